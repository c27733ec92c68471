//! Gas line: does every segment of the pipe tree carry its appliances, which size would, and what pressure
//! is left at each appliance?
//!
//! The equations are the fuel gas code's. A listed tube goes by its own listing.

pub mod equations;
pub mod line;
pub mod sizing;
pub mod tree;

mod figures;
mod findings;
mod input;
mod read;

pub use figures::{ApplianceFigures, Figures, SegmentFigures};
pub use input::{
    ApplianceInput, EquationChoice, FittingsInput, Input, MaterialChoice, MethodChoice, SegmentInput,
    SizeOrFind,
};

use crate::form::{Answer, Reckoning, Refusal, Trace};
use crate::notes::GOVERNS;
use equations::Equation;
use line::{Line, LineAnswer};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct GasLine;

const FITTER: &str = "Gas piping is the licensed fitter's work. The code's printed tables and the tube maker's own tables \
     are what an inspector reads; where they differ from this sum, they govern.";

impl Reckoning for GasLine {
    const NAME: &'static str = "gas_line";
    const PURPOSE: &'static str = "Does the gas piping carry its appliances, and with what pressure left?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let line = read::line(input)?;
        let found = sizing::solve(&line).map_err(|place| read::circle(input, place))?;
        let findings = findings::findings(input, &line, &found);
        Ok(Answer {
            verdict: Some(findings.verdict()),
            figures: figures::figures(input, &line, &found),
            findings: findings.finish(),
            trace: trace(input, &line, &found).finish(),
            notes: vec![GOVERNS, FITTER],
        })
    }
}

fn trace(input: &Input, line: &Line, found: &LineAnswer) -> Trace {
    let mut trace = Trace::default();
    match line.equation {
        Equation::Low { cr } => trace.number("gas factor Cr, low-pressure equation", cr),
        Equation::High { cr, y, atmosphere } => {
            trace.number("gas factor Cr, high-pressure equation", cr);
            trace.number("super-expansion factor Y", y);
            trace.quantity("atmosphere added to gauge readings", atmosphere);
        }
    }
    trace.number("factor on the flows", line.flow_factor);
    trace.quantity("longest path", found.longest_length);
    for (asked, segment) in input.segments.iter().zip(&found.segments) {
        let id = &asked.id;
        trace.quantity(format!("{id}: load"), segment.load);
        trace.quantity(format!("{id}: flow"), segment.flow);
        trace.quantity(format!("{id}: equivalent length"), segment.equivalent_length);
        trace.quantity(format!("{id}: drop"), segment.drop);
    }
    for (asked, appliance) in input.appliances.iter().zip(&found.appliances) {
        trace.quantity(format!("{}: pressure left", asked.id), appliance.pressure);
    }
    trace
}
