//! The spread of the figures over the draws, as it is written.

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};
use uom::si::f64::TemperatureInterval;

use wythe_physics::flue::{self, Drawn, Quantiles, Share};

use crate::form::{Figure, Verdict};
use crate::quantities::{Length, Pressure, Quantity, ThermodynamicTemperature};

/// The spread.
#[derive(Debug, Clone, Serialize)]
pub struct BandFigures {
    draws: usize,
    seed: u64,
    air_ratio: Points<f64>,
    draft: Points<Figure<Pressure>>,
    wall_temperature_top: Points<Figure<ThermodynamicTemperature>>,
    condensation_margin: Option<Points<Figure<TemperatureInterval>>>,
    wet_length: Points<Figure<Length>>,
    statuses: Shares,
    findings: Shares,
    unsettled: f64,
    good: f64,
    moves_most: &'static str,
    rank_correlation: f64,
    advice: Option<String>,
}

/// The 5, 50 and 95 % points over the draws.
#[derive(Debug, Clone, Copy, Serialize)]
struct Points<T> {
    p5: T,
    p50: T,
    p95: T,
}

/// Shares of the draws under their names.
#[derive(Debug, Clone)]
struct Shares(Vec<(&'static str, f64)>);

impl Serialize for Shares {
    fn serialize<S: Serializer>(&self, writer: S) -> Result<S::Ok, S::Error> {
        let mut map = writer.serialize_map(Some(self.0.len()))?;
        for (name, share) in &self.0 {
            map.serialize_entry(name, share)?;
        }
        map.end()
    }
}

impl BandFigures {
    pub(super) fn of(band: &flue::Band, seed: u64) -> Self {
        let (moves_most, rank_correlation) = band.moves_most;
        let cannot_tell = band.verdict == flue::Verdict::CannotTell;
        Self {
            draws: band.draws,
            seed,
            air_ratio: Points {
                p5: band.air_ratio.low,
                p50: band.air_ratio.middle,
                p95: band.air_ratio.high,
            },
            draft: Points::of(band.draft),
            wall_temperature_top: Points::of(band.wall_temperature_top),
            condensation_margin: band.condensation_margin.map(Points::of),
            wet_length: Points::of(band.wet_length),
            statuses: Shares::of(&band.statuses, flue::Status::name),
            findings: Shares::of(&band.findings, flue::Finding::code),
            unsettled: band.unsettled,
            good: band.good,
            moves_most: moves_most.name(),
            rank_correlation,
            advice: cannot_tell.then(|| advice(moves_most)),
        }
    }
}

/// The verdict of a band, as all verdicts are written.
pub(super) fn verdict(band: &flue::Band) -> Verdict {
    match band.verdict {
        flue::Verdict::Pass => Verdict::Pass,
        flue::Verdict::Caution => Verdict::Caution,
        flue::Verdict::Fail => Verdict::Fail,
        flue::Verdict::CannotTell => Verdict::CannotTell,
    }
}

fn advice(moves_most: Drawn) -> String {
    let what = match moves_most {
        Drawn::LinerRoughness => "the roughness of the liner",
        Drawn::AppliancePressureDrop => "the stove's own pressure drop",
        Drawn::FlueTemperature => "the flue temperature",
        Drawn::MasonryResistance => "what the masonry lets through",
        Drawn::Emissivity => "how much the liner radiates",
        Drawn::CapLosses => "the losses at the cap",
        Drawn::WindCoefficient => "what the wind does at the cap",
        Drawn::RelativeHumidity => "the moisture outdoors",
    };
    format!(
        "It cannot be told from what is known. What moves the air ratio most is {what}: look in the maker's vent \
         table, or measure it."
    )
}

impl<Q: Quantity> Points<Figure<Q>> {
    fn of(quantiles: Quantiles<Q>) -> Self {
        Self {
            p5: quantiles.low.into(),
            p50: quantiles.middle.into(),
            p95: quantiles.high.into(),
        }
    }
}

impl Shares {
    fn of<T: Copy>(shares: &[Share<T>], name: fn(T) -> &'static str) -> Self {
        Self(shares.iter().map(|share| (name(share.of), share.share)).collect())
    }
}
