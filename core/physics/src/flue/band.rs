//! The same sum over the inputs that nobody knows well, drawn from a seed.

use super::answer::{Brief, Status};
use super::input::{FlueInput, Intake, Restrictor};
use super::judgement::{Finding, Judged, Severity, Task, Verdict, judge, verdict};
use super::operating::{Fields, Found, Precision, fixed, search};
use super::plan::Plan;
use super::{AIR_RATIOS, Flue};
use crate::constants::ICE_POINT;
use crate::error::PhysicsError;
use crate::quantities::{
    Length, Pressure, TemperatureInterval, ThermodynamicTemperature, kelvin_difference, length, pressure,
    temperature,
};
use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};

/// The most draws of one band.
pub const MOST_DRAWS: usize = 100_000;

/// An uncertain input, in the order in which they are drawn. Each draw takes one uniform number for every
/// one of them, whether it matters or not, so that one arrangement's draws compare with another's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawn {
    /// 1..5 mm, log-uniform, of every liner inside and out.
    LinerRoughness,
    /// 0.7..1.3 times, uniform.
    AppliancePressureDrop,
    /// -30..+30 K, uniform, held between outdoors and 600 degC.
    FlueTemperature,
    /// 1/1.5..1.5 times, log-uniform.
    MasonryResistance,
    /// Of the liner, 0.15..0.6, uniform.
    Emissivity,
    /// -0.5..+1 velocity heads on both sides of the cap, uniform, cut at 0.
    CapLosses,
    /// -0.2..+0.2, uniform, in place of the one given, when there is wind.
    WindCoefficient,
    /// -0.1..+0.1, uniform, cut at 0 and 1.
    RelativeHumidity,
}

impl Drawn {
    /// All, in order.
    pub const ALL: [Self; 8] = [
        Self::LinerRoughness,
        Self::AppliancePressureDrop,
        Self::FlueTemperature,
        Self::MasonryResistance,
        Self::Emissivity,
        Self::CapLosses,
        Self::WindCoefficient,
        Self::RelativeHumidity,
    ];

    /// The input's name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::LinerRoughness => "liner_roughness",
            Self::AppliancePressureDrop => "appliance_pressure_drop",
            Self::FlueTemperature => "flue_temperature",
            Self::MasonryResistance => "masonry_resistance",
            Self::Emissivity => "liner_emissivity",
            Self::CapLosses => "cap_losses",
            Self::WindCoefficient => "wind_coefficient",
            Self::RelativeHumidity => "relative_humidity",
        }
    }
}

/// What every draw is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BandTask {
    /// Where does it run?
    OperatingPoint,
    /// Where does it run with the restrictor that the middle values ask for at this air ratio?
    RestrictorFor(f64),
    /// What happens at this air ratio?
    At(f64),
}

/// The 5, 50 and 95 % points of a figure over the draws (linear between order statistics).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantiles<T> {
    /// 5 % of the draws lie below.
    pub low: T,
    /// Half of the draws lie below.
    pub middle: T,
    /// 95 % of the draws lie below.
    pub high: T,
}

/// A share of the draws, 0..1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share<T> {
    /// Of what.
    pub of: T,
    /// How many of all draws.
    pub share: f64,
}

/// The band of an arrangement.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// How many draws were made.
    pub draws: usize,
    /// Air ratio.
    pub air_ratio: Quantiles<f64>,
    /// Draft.
    pub draft: Quantiles<Pressure>,
    /// Inner wall at the top.
    pub wall_temperature_top: Quantiles<ThermodynamicTemperature>,
    /// Lowest wall less dew point; none when no draw has a dew point.
    pub condensation_margin: Option<Quantiles<TemperatureInterval>>,
    /// Length that is below the dew point.
    pub wet_length: Quantiles<Length>,
    /// Share of the draws that ended in each way.
    pub statuses: Vec<Share<Status>>,
    /// Share of the draws with each finding.
    pub findings: Vec<Share<Finding>>,
    /// Share of the draws that did not settle; their figures are left out, and they are not good.
    pub unsettled: f64,
    /// Share of the draws whose own verdict is not `fail`.
    pub good: f64,
    /// At least 95 % good: pass, or caution when over 5 % carry a caution; fewer than 50 %: fail; otherwise
    /// it cannot be told.
    pub verdict: Verdict,
    /// The input that moves the air ratio most, and its rank correlation with it.
    pub moves_most: (Drawn, f64),
}

impl Flue {
    /// Draws the uncertain inputs `draws` times from `seed` and gives the spread of the figures. The same
    /// seed gives the same band everywhere.
    ///
    /// # Errors
    /// As the task itself with the middle values; `too_many` or `empty_list` for the number of draws.
    pub fn band(&self, task: BandTask, draws: usize, seed: u64) -> Result<Band, PhysicsError> {
        if draws == 0 || draws > MOST_DRAWS {
            return Err(PhysicsError::Count {
                field: "band/draws".into(),
                found: draws,
                most: MOST_DRAWS,
            });
        }
        let mut middle = self.input.clone();
        if let BandTask::RestrictorFor(air_ratio) = task {
            middle.restrictor = self
                .restrictor_for(air_ratio)?
                .loss_coefficient
                .map(Restrictor::LossCoefficient);
        }
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut fields = None;
        let mut kept = Vec::with_capacity(draws);
        for _ in 0..draws {
            let uniforms = Drawn::ALL.map(|_| uniform(&mut random));
            let outcome = Outcome::of(&middle, task, uniforms, &mut fields);
            if outcome.is_err() {
                fields = None;
            }
            kept.extend(outcome);
        }
        let judged_as = if matches!(task, BandTask::At(_)) {
            Task::Given
        } else {
            Task::OperatingPoint
        };
        summarise(&kept, draws, self.air_ratio_limits(), judged_as).ok_or(PhysicsError::NotConverged {
            air_ratio: *AIR_RATIOS.end(),
        })
    }
}

/// A number in 0..1 with 53 random bits.
fn uniform(random: &mut ChaCha8Rng) -> f64 {
    (random.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
}

/// What one draw gave, plain SI.
struct Outcome {
    uniforms: [f64; 8],
    status: Status,
    air_ratio: f64,
    draft: f64,
    brief: Brief,
}

impl Outcome {
    fn of(
        middle: &FlueInput,
        task: BandTask,
        uniforms: [f64; 8],
        fields: &mut Option<Fields>,
    ) -> Result<Self, PhysicsError> {
        let (input, wall_factor) = drawn(middle, uniforms);
        let plan = Plan::with_wall_factor(&input, wall_factor)?;
        let mut here = fields.take().unwrap_or_else(|| Fields::new(&plan));
        let found = match task {
            BandTask::At(air_ratio) => {
                let drop = plan.appliance.rated_drop.unwrap_or(0.0);
                let (settled, state) = fixed(&plan, air_ratio, drop)?;
                here.fine = settled;
                Found {
                    status: Status::Fixed,
                    state,
                }
            }
            BandTask::OperatingPoint | BandTask::RestrictorFor(_) => {
                search(&plan, &mut here, Precision::DRAWN)?
            }
        };
        let brief = found.state.brief(&plan, &here.fine)?;
        *fields = Some(here);
        Ok(Self {
            uniforms,
            status: found.status,
            air_ratio: found.state.flow.air_ratio,
            draft: found.state.balance.draft,
            brief,
        })
    }

    fn judged(&self) -> Judged {
        Judged {
            status: self.status,
            air_ratio: self.air_ratio,
            freezing: self.brief.freezing(),
            condensing: self.brief.condensing(),
        }
    }
}

/// The input of one draw, and the factor on the masonry's resistance.
fn drawn(middle: &FlueInput, uniforms: [f64; 8]) -> (FlueInput, f64) {
    let [rough, drop, flue, masonry, emissivity, cap, wind, humidity] = uniforms;
    let mut input = middle.clone();
    let roughness = length(libm::exp(between(rough, libm::log(0.001), libm::log(0.005))));
    for segment in &mut input.segments {
        segment.exhaust.roughness = roughness;
        match &mut segment.intake {
            Intake::Coaxial { roughness_inner, .. } => *roughness_inner = roughness,
            Intake::Colinear { liner, .. } => liner.roughness = roughness,
        }
    }
    let appliance = &mut input.appliance;
    appliance.pressure_drop = appliance.pressure_drop.map(|p| p * between(drop, 0.7, 1.3));
    let hottest = (600.0 + ICE_POINT).max(appliance.flue_temperature.value);
    let shifted = appliance.flue_temperature.value + between(flue, -30.0, 30.0);
    appliance.flue_temperature = temperature(shifted.max(input.site.outdoor_temperature.value).min(hottest));
    let half = libm::log(1.5);
    let wall_factor = libm::exp(between(masonry, -half, half));
    input.options.liner_emissivity = between(emissivity, 0.15, 0.6);
    let shift = between(cap, -0.5, 1.0);
    input.cap.exhaust_loss = (input.cap.exhaust_loss + shift).max(0.0);
    input.cap.intake_loss = (input.cap.intake_loss + shift).max(0.0);
    if input.site.wind.value > 0.0 {
        input.site.wind_coefficient = between(wind, -0.2, 0.2);
    }
    let moister = input.site.relative_humidity + between(humidity, -0.1, 0.1);
    input.site.relative_humidity = moister.clamp(0.0, 1.0);
    (input, wall_factor)
}

fn between(uniform: f64, low: f64, high: f64) -> f64 {
    low + (high - low) * uniform
}

fn summarise(kept: &[Outcome], draws: usize, limits: (f64, f64), task: Task) -> Option<Band> {
    let all = draws as f64;
    let share = |count: usize| count as f64 / all;
    let judged: Vec<Vec<Finding>> = kept
        .iter()
        .map(|outcome| judge(limits, task, &outcome.judged()))
        .collect();
    let count = |holds: &dyn Fn(&[Finding]) -> bool| judged.iter().filter(|f| holds(f)).count();
    let good = share(count(&|f| verdict(f) != Verdict::Fail));
    let cautioned = share(count(&|f| f.iter().any(|f| f.severity() == Severity::Caution)));
    let statuses = Status::ALL.into_iter().map(|of| {
        let found = kept.iter().filter(|outcome| outcome.status == of).count();
        Share {
            of,
            share: share(found),
        }
    });
    let findings = Finding::ALL
        .into_iter()
        .filter(|f| f.severity() != Severity::Info)
        .map(|of| {
            let found = count(&|f| f.contains(&of));
            Share {
                of,
                share: share(found),
            }
        });
    Some(Band {
        draws,
        air_ratio: quantiles(kept.iter().map(|o| o.air_ratio), |x| x)?,
        draft: quantiles(kept.iter().map(|o| o.draft), pressure)?,
        wall_temperature_top: quantiles(kept.iter().map(|o| o.brief.walls.top), temperature)?,
        condensation_margin: quantiles(
            kept.iter().filter_map(|o| o.brief.margin()),
            TemperatureInterval::new::<kelvin_difference>,
        ),
        wet_length: quantiles(kept.iter().map(|o| o.brief.walls.wet_length), length)?,
        statuses: statuses.collect(),
        findings: findings.collect(),
        unsettled: share(draws - kept.len()),
        good,
        verdict: band_verdict(good, cautioned),
        moves_most: moves_most(kept),
    })
}

fn band_verdict(good: f64, cautioned: f64) -> Verdict {
    match (good >= 0.95, good < 0.5) {
        (true, _) if cautioned > 0.05 => Verdict::Caution,
        (true, _) => Verdict::Pass,
        (false, true) => Verdict::Fail,
        (false, false) => Verdict::CannotTell,
    }
}

fn quantiles<T>(values: impl Iterator<Item = f64>, unit: impl Fn(f64) -> T) -> Option<Quantiles<T>> {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let at = |p: f64| quantile(&sorted, p);
    Some(Quantiles {
        low: unit(at(0.05)?),
        middle: unit(at(0.5)?),
        high: unit(at(0.95)?),
    })
}

/// The `p` point of sorted values, linear between order statistics: the value at rank `p (n - 1)`.
fn quantile(sorted: &[f64], p: f64) -> Option<f64> {
    let (last, most) = (sorted.last()?, (sorted.len() - 1) as f64);
    let rank = p * most;
    let pairs = sorted.iter().zip(sorted.iter().skip(1));
    let mut lower = 0.0;
    for (a, b) in pairs {
        if rank < lower + 1.0 {
            return Some(a + (b - a) * (rank - lower));
        }
        lower += 1.0;
    }
    Some(*last)
}

/// The input whose rank correlation with the air ratio is largest in size.
fn moves_most(kept: &[Outcome]) -> (Drawn, f64) {
    let air_ratios = ranks(kept.iter().map(|o| o.air_ratio));
    let mut most = (Drawn::AppliancePressureDrop, 0.0_f64);
    for (i, input) in Drawn::ALL.into_iter().enumerate() {
        let drawn = ranks(kept.iter().filter_map(|o| o.uniforms.get(i).copied()));
        let strength = correlation(&drawn, &air_ratios);
        if strength.abs() > most.1.abs() {
            most = (input, strength);
        }
    }
    most
}

/// Ranks from 0, equal values sharing their mean rank.
fn ranks(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut order: Vec<(f64, usize)> = values.enumerate().map(|(i, v)| (v, i)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut ranked = Vec::with_capacity(order.len());
    let mut first = 0;
    for group in order.chunk_by(|a, b| a.0.total_cmp(&b.0).is_eq()) {
        let rank = first as f64 + (group.len() - 1) as f64 / 2.0;
        ranked.extend(group.iter().map(|(_, place)| (*place, rank)));
        first += group.len();
    }
    ranked.sort_by_key(|(place, _)| *place);
    ranked.into_iter().map(|(_, rank)| rank).collect()
}

/// Pearson's correlation; 0 when one of them does not vary.
fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len() as f64;
    let (mean_a, mean_b) = (a.iter().sum::<f64>() / n, b.iter().sum::<f64>() / n);
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        ab += (x - mean_a) * (y - mean_b);
        aa += (x - mean_a) * (x - mean_a);
        bb += (y - mean_b) * (y - mean_b);
    }
    if aa > 0.0 && bb > 0.0 {
        ab / (aa * bb).sqrt()
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_lie_between_the_order_statistics() {
        let sorted = [1.0, 2.0, 4.0, 8.0, 16.0];
        assert_eq!(quantile(&sorted, 0.5), Some(4.0));
        assert!((quantile(&sorted, 0.05).unwrap() - 1.2).abs() < 1e-12);
        assert!((quantile(&sorted, 0.95).unwrap() - 14.4).abs() < 1e-12);
        assert_eq!(quantile(&sorted, 1.0), Some(16.0));
        assert_eq!(quantile(&[3.0], 0.95), Some(3.0));
        assert_eq!(quantile(&[], 0.5), None);
    }

    #[test]
    fn equal_values_share_their_rank() {
        assert_eq!(ranks([5.0, 1.0, 5.0, 0.0].into_iter()), vec![2.5, 1.0, 2.5, 0.0]);
        let rising = ranks([1.0, 2.0, 3.0].into_iter());
        let falling = ranks([9.0, 4.0, 1.0].into_iter());
        assert!((correlation(&rising, &falling) + 1.0).abs() < 1e-12);
        assert!(correlation(&rising, &[1.0, 1.0, 1.0]).abs() < 1e-12);
    }

    #[test]
    fn the_verdict_of_a_band_follows_the_shares() {
        assert_eq!(band_verdict(0.95, 0.05), Verdict::Pass);
        assert_eq!(band_verdict(1.0, 0.0501), Verdict::Caution);
        assert_eq!(band_verdict(0.949, 0.0), Verdict::CannotTell);
        assert_eq!(band_verdict(0.5, 0.0), Verdict::CannotTell);
        assert_eq!(band_verdict(0.499, 0.0), Verdict::Fail);
    }

    #[test]
    fn uniform_numbers_are_those_of_the_generator() {
        let mut random = ChaCha8Rng::seed_from_u64(7);
        let first: Vec<f64> = (0..1000).map(|_| uniform(&mut random)).collect();
        assert!(first.iter().all(|u| (0.0..1.0).contains(u)));
        let mean = first.iter().sum::<f64>() / 1000.0;
        assert!((mean - 0.5).abs() < 0.05);
    }
}
