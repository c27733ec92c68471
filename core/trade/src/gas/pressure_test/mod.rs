//! Pressure test: is the gas piping tight? The standing pressure test of new pipe, the meter's dial with
//! everything turned off, the hold check of a live system.
//!
//! A gauge that visibly fell never passes: what temperature and barometer explain is a test to do again
//! once it has settled, what they do not explain is a leak.

pub mod gas_law;
pub mod hold_check;
pub mod meter_dial;
pub mod standing_pressure;

use serde::Serialize;

use crate::form::{Answer, Reckoning, Refusal, tagged};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct PressureTest;

tagged! {
    /// Which test, and what was read.
    pub enum Input by "task" or "standing_pressure" {
        /// The standing pressure test of new or altered pipe.
        StandingPressure(standing_pressure::Input) = "standing_pressure",
        /// The dial of the meter with everything turned off.
        MeterDial(meter_dial::Input) = "meter_dial",
        /// The hold check of a live system whose supply is shut.
        HoldCheck(hold_check::Input) = "hold_check",
    }
}

/// What comes out, by test.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Figures {
    /// Of the standing pressure test.
    StandingPressure(standing_pressure::Figures),
    /// Of the dial.
    MeterDial(meter_dial::Figures),
    /// Of the hold check.
    HoldCheck(hold_check::Figures),
}

impl Reckoning for PressureTest {
    const NAME: &'static str = "pressure_test";
    const PURPOSE: &'static str = "Is the gas piping tight, and could the test have told?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        match input {
            Input::StandingPressure(input) => {
                standing_pressure::reckon(input).map(|answer| as_figures(answer, Figures::StandingPressure))
            }
            Input::MeterDial(input) => Ok(as_figures(meter_dial::reckon(input), Figures::MeterDial)),
            Input::HoldCheck(input) => Ok(as_figures(hold_check::reckon(input), Figures::HoldCheck)),
        }
    }
}

fn as_figures<F>(answer: Answer<F>, wrap: impl FnOnce(F) -> Figures) -> Answer<Figures> {
    let Answer {
        verdict,
        figures,
        findings,
        trace,
        notes,
    } = answer;
    Answer {
        verdict,
        figures: wrap(figures),
        findings,
        trace,
        notes,
    }
}

/// On every sheet of a test of gas piping.
const GAS_SMELL: &str = "Where gas is smelled, nothing is switched, lit or phoned from inside: everybody out, and \
     call from away. Look for leaks with leak fluid, never with a flame.";
