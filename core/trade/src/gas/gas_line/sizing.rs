//! Finding sizes and walking the pressures along the tree.

use uom::si::length::meter;
use uom::si::pressure::pascal;

use super::equations::Loss;
use super::line::{Appliance, ApplianceAnswer, Bore, Line, LineAnswer, Method, Segment, SegmentAnswer};
use super::tree::{self, Order};
use crate::compare::at_most;
use crate::quantities::{Length, Power, Pressure, VolumeRate, flow_for};

/// Solves a line: sizes where they are to be found, capacities, pressures.
///
/// # Errors
/// The place of a segment on a circle of parents, as [`Order::of`] gives it.
pub fn solve(line: &Line) -> Result<LineAnswer, usize> {
    let order = Order::of(&line.segments)?;
    let loads = tree::loads(&order, &line.segments, &line.appliances);
    let flows = loads
        .iter()
        .map(|load| flow_for(*load, line.heating_value) * line.flow_factor)
        .collect();
    let mut work = Work {
        line,
        order,
        segments: line.segments.clone(),
        flows,
        no_size_fits: vec![false; line.segments.len()],
    };
    match line.method {
        Method::LongestLength | Method::BranchLength => work.find_by_length(),
        Method::PressureDrop => work.find_by_pressure(),
    }
    Ok(work.answer(&loads))
}

struct Work<'a> {
    line: &'a Line,
    order: Order,
    segments: Vec<Segment>,
    flows: Vec<VolumeRate>,
    no_size_fits: Vec<bool>,
}

struct Lengths {
    longest: Length,
    paths: Vec<Length>,
    branch: Vec<Length>,
}

impl Lengths {
    fn of_method(&self, method: Method, place: usize) -> Length {
        match method {
            Method::BranchLength => at(&self.branch, place, zero_length()),
            Method::LongestLength | Method::PressureDrop => self.longest,
        }
    }
}

impl Work<'_> {
    /// Raises each segment in list order until it carries its flow over the method's length;
    /// repeats until nothing changes. Sizes never go down.
    fn find_by_length(&mut self) {
        loop {
            let lengths = self.lengths();
            let mut changed = false;
            for place in 0..self.segments.len() {
                let length = lengths.of_method(self.line.method, place);
                while self.overloaded(place, length) && self.grow(place) {
                    changed = true;
                }
            }
            if !changed {
                break;
            }
        }
        let lengths = self.lengths();
        for place in 0..self.segments.len() {
            let length = lengths.of_method(self.line.method, place);
            let finds = self.segments.get(place).is_some_and(Segment::finds);
            if finds && self.overloaded(place, length) {
                self.mark_no_size(place);
            }
        }
    }

    /// While the worst appliance loses more than allowed, raises the segment on its path with
    /// the greatest drop per length.
    fn find_by_pressure(&mut self) {
        let mut losses: Vec<Loss> = self.losses();
        let mut ends = self.end_pressures(&losses);
        loop {
            let Some(worst) = self.worst_appliance(&ends) else {
                return;
            };
            let path = tree::path_to(&self.segments, worst.node);
            match self.steepest(&path, &ends) {
                Some(place) => {
                    self.grow(place);
                    if let (Some(loss), Some(new)) = (losses.get_mut(place), self.loss(place)) {
                        *loss = new;
                    }
                    self.renew_behind(place, &losses, &mut ends);
                }
                None => {
                    for place in path {
                        if self.segments.get(place).is_some_and(Segment::finds) {
                            self.mark_no_size(place);
                        }
                    }
                    return;
                }
            }
        }
    }

    /// The first appliance with the greatest drop, if that is more than allowed.
    fn worst_appliance(&self, ends: &[Pressure]) -> Option<Appliance> {
        let drop = |appliance: &Appliance| self.drop_at(ends, appliance.node).value;
        let worst = self.line.appliances.iter().reduce(|worst, appliance| {
            if !at_most(drop(appliance), drop(worst)) {
                appliance
            } else {
                worst
            }
        })?;
        (!at_most(drop(worst), self.line.allowed_drop.value)).then_some(*worst)
    }

    /// Among the segments of a path that can grow and have a length, the first with the greatest
    /// drop per length.
    fn steepest(&self, path: &[usize], ends: &[Pressure]) -> Option<usize> {
        let mut best: Option<(usize, f64)> = None;
        for &place in path {
            let Some(segment) = self.segments.get(place) else {
                continue;
            };
            let length = segment.equivalent_length().value;
            if !segment.can_grow() || length <= 0.0 {
                continue;
            }
            let slope = (self.start_pressure(ends, place) - self.end(ends, place)).value / length;
            if best.is_none_or(|(_, steepest)| !at_most(slope, steepest)) {
                best = Some((place, slope));
            }
        }
        best.map(|(place, _)| place)
    }

    fn grow(&mut self, place: usize) -> bool {
        self.segments.get_mut(place).is_some_and(Segment::grow)
    }

    fn mark_no_size(&mut self, place: usize) {
        if let Some(mark) = self.no_size_fits.get_mut(place) {
            *mark = true;
        }
    }

    fn lengths(&self) -> Lengths {
        let paths = tree::paths(&self.order, &self.segments);
        let branch = tree::branch_lengths(&self.order, &self.segments, &self.line.appliances, &paths);
        let longest = self
            .line
            .appliances
            .iter()
            .map(|appliance| at(&paths, appliance.node, zero_length()))
            .fold(
                zero_length(),
                |longest, path| {
                    if path > longest { path } else { longest }
                },
            );
        Lengths {
            longest,
            paths,
            branch,
        }
    }

    fn capacity(&self, place: usize, length: Length) -> Option<VolumeRate> {
        let segment = self.segments.get(place)?;
        match segment.bore {
            Bore::Listed(tube) => tube.capacity(length, self.line.allowed_drop),
            Bore::Sized { .. } | Bore::Measured { .. } => self.line.equation.capacity(
                length,
                segment.inside_diameter()?,
                self.line.inlet,
                self.line.allowed_drop,
            ),
        }
    }

    fn overloaded(&self, place: usize, length: Length) -> bool {
        match (self.flows.get(place), self.capacity(place, length)) {
            (Some(flow), Some(capacity)) => !at_most(flow.value, capacity.value),
            _ => false,
        }
    }

    fn loss(&self, place: usize) -> Option<Loss> {
        let segment = self.segments.get(place)?;
        let flow = *self.flows.get(place)?;
        let length = segment.equivalent_length();
        Some(match segment.bore {
            Bore::Listed(tube) => tube.loss(length, flow),
            Bore::Sized { .. } | Bore::Measured { .. } => {
                self.line.equation.loss(length, segment.inside_diameter()?, flow)
            }
        })
    }

    fn losses(&self) -> Vec<Loss> {
        (0..self.segments.len())
            .map(|place| self.loss(place).unwrap_or(Loss::Drop(no_pressure())))
            .collect()
    }

    fn end_pressures(&self, losses: &[Loss]) -> Vec<Pressure> {
        let mut ends = vec![self.line.inlet; self.segments.len()];
        for place in self.order.outwards() {
            self.renew(place, losses, &mut ends);
        }
        ends
    }

    /// The pressures of a segment whose loss has changed, and of what hangs on it.
    fn renew_behind(&self, changed: usize, losses: &[Loss], ends: &mut [Pressure]) {
        let mut behind = vec![false; self.segments.len()];
        for place in self.order.outwards() {
            let parent = self.segments.get(place).and_then(|segment| segment.parent);
            if place == changed || parent.is_some_and(|parent| at(&behind, parent, false)) {
                if let Some(mark) = behind.get_mut(place) {
                    *mark = true;
                }
                self.renew(place, losses, ends);
            }
        }
    }

    fn renew(&self, place: usize, losses: &[Loss], ends: &mut [Pressure]) {
        let start = self.start_pressure(ends, place);
        let loss = at(losses, place, Loss::Drop(no_pressure()));
        if let Some(end) = ends.get_mut(place) {
            *end = self.line.equation.end_pressure(start, loss);
        }
    }

    fn end(&self, ends: &[Pressure], place: usize) -> Pressure {
        at(ends, place, self.line.inlet)
    }

    fn start_pressure(&self, ends: &[Pressure], place: usize) -> Pressure {
        self.segments
            .get(place)
            .and_then(|segment| segment.parent)
            .map_or(self.line.inlet, |parent| self.end(ends, parent))
    }

    fn drop_at(&self, ends: &[Pressure], node: usize) -> Pressure {
        self.line.inlet - self.end(ends, node)
    }

    fn answer(&self, loads: &[Power]) -> LineAnswer {
        let lengths = self.lengths();
        let ends = self.end_pressures(&self.losses());
        let judged = self.line.method != Method::PressureDrop;
        let segments = self
            .segments
            .iter()
            .zip(loads)
            .zip(&self.flows)
            .enumerate()
            .map(|(place, ((segment, load), flow))| {
                let length_branch = at(&lengths.branch, place, zero_length());
                let no_size_fits = at(&self.no_size_fits, place, false);
                SegmentAnswer {
                    segment: *segment,
                    load: *load,
                    flow: *flow,
                    equivalent_length: segment.equivalent_length(),
                    drop: self.start_pressure(&ends, place) - self.end(&ends, place),
                    pressure_end: self.end(&ends, place),
                    capacity_longest: self.capacity(place, lengths.longest),
                    length_branch,
                    capacity_branch: self.capacity(place, length_branch),
                    undersized: judged
                        && !no_size_fits
                        && self.overloaded(place, lengths.of_method(self.line.method, place)),
                    no_size_fits,
                }
            })
            .collect();
        let appliances = self
            .line
            .appliances
            .iter()
            .map(|appliance| {
                let pressure = self.end(&ends, appliance.node);
                let drop = self.drop_at(&ends, appliance.node);
                ApplianceAnswer {
                    pressure,
                    drop,
                    path_length: at(&lengths.paths, appliance.node, zero_length()),
                    within_allowed_drop: at_most(drop.value, self.line.allowed_drop.value),
                    above_minimum: appliance
                        .minimum_pressure
                        .map(|minimum| at_most(minimum.value, pressure.value)),
                    exhausted: pressure.value <= 1e-9 * self.line.inlet.value,
                }
            })
            .collect();
        LineAnswer {
            longest_length: lengths.longest,
            segments,
            appliances,
        }
    }
}

fn at<T: Copy>(list: &[T], place: usize, otherwise: T) -> T {
    list.get(place).copied().unwrap_or(otherwise)
}

fn zero_length() -> Length {
    Length::new::<meter>(0.0)
}

fn no_pressure() -> Pressure {
    Pressure::new::<pascal>(0.0)
}

#[cfg(test)]
mod tests {
    use uom::si::power::watt;

    use super::*;
    use crate::customary::{BTU, BTU_PER_HOUR, CUBIC_FOOT, FOOT, INCH_WATER, PSI};
    use crate::gas::gas_line::equations::{CR_NATURAL_GAS, Equation, code_atmosphere};
    use crate::gas::gas_line::line::Fittings;
    use crate::gas::pipe_sizes::PipeMaterial;
    use crate::quantities::HeatingValue;

    fn pipe(parent: Option<usize>, feet: f64, size: Option<&str>, ells: u32, tees: u32) -> Segment {
        let sizes = PipeMaterial::Schedule40.sizes();
        let place = size.map(|name| sizes.iter().position(|s| s.name == name).unwrap());
        Segment {
            parent,
            length: Length::new::<meter>(feet * FOOT),
            bore: Bore::Sized {
                material: PipeMaterial::Schedule40,
                size: place.unwrap_or(0),
                find: place.is_none(),
            },
            fittings: Fittings {
                ell90: ells,
                tee_branch: tees,
                ..Fittings::default()
            },
        }
    }

    fn burner(node: usize, btu_per_hour: f64) -> Appliance {
        Appliance {
            node,
            input: Power::new::<watt>(btu_per_hour * BTU_PER_HOUR),
            minimum_pressure: None,
        }
    }

    fn line(method: Method, segments: Vec<Segment>, appliances: Vec<Appliance>) -> Line {
        Line {
            equation: Equation::Low { cr: CR_NATURAL_GAS },
            method,
            inlet: Pressure::new::<pascal>(7.0 * INCH_WATER),
            allowed_drop: Pressure::new::<pascal>(0.5 * INCH_WATER),
            heating_value: HeatingValue(1000.0 * BTU / CUBIC_FOOT),
            flow_factor: 1.0,
            segments,
            appliances,
        }
    }

    fn size(answer: &LineAnswer, place: usize) -> &str {
        &answer.segments[place].segment.trade_size().unwrap().name
    }

    fn close(found: f64, wanted: f64, relative: f64) {
        assert!(
            (found - wanted).abs() <= relative * wanted.abs(),
            "{found} is not {wanted}"
        );
    }

    #[test]
    fn a_stove_and_a_furnace_on_one_main() {
        let segments = vec![
            pipe(None, 20.0, None, 2, 0),
            pipe(Some(0), 30.0, None, 3, 1),
            pipe(Some(0), 10.0, Some("1/2"), 0, 0),
        ];
        let appliances = vec![burner(1, 35_000.0), burner(2, 80_000.0)];
        let found = solve(&line(Method::LongestLength, segments, appliances)).unwrap();
        assert_eq!((size(&found, 0), size(&found, 1)), ("3/4", "1/2"));
        close(found.longest_length.value, 18.8656, 1e-5);
        let furnace = found.segments[2];
        close(furnace.capacity_longest.unwrap().value, 0.000_507_918, 1e-5);
        close(furnace.flow.value, 0.000_629_263, 1e-5);
        close(furnace.capacity_branch.unwrap().value, 0.000_700_872, 1e-5);
        assert!(furnace.undersized && !furnace.no_size_fits);
        close(found.appliances[0].pressure.value, 1683.10, 1e-5);
        close(found.appliances[1].pressure.value, 1677.68, 1e-5);
    }

    #[test]
    fn high_pressure_loses_by_squares() {
        let found = solve(&Line {
            equation: Equation::High {
                cr: CR_NATURAL_GAS,
                y: 0.9992,
                atmosphere: code_atmosphere(),
            },
            inlet: Pressure::new::<pascal>(3.0 * PSI),
            allowed_drop: Pressure::new::<pascal>(2.0 * PSI),
            ..line(
                Method::LongestLength,
                vec![pipe(None, 60.0, Some("1/2"), 0, 0)],
                vec![Appliance {
                    input: Power::new::<watt>(200_000.0),
                    ..burner(0, 0.0)
                }],
            )
        })
        .unwrap();
        close(found.appliances[0].drop.value, 8138.27, 1e-5);
    }

    #[test]
    fn by_pressure_the_steepest_segment_grows_first() {
        let segments = vec![pipe(None, 60.0, None, 0, 0), pipe(Some(0), 20.0, None, 0, 0)];
        let appliances = vec![burner(1, 60_000.0), burner(0, 60_000.0)];
        let found = solve(&line(Method::PressureDrop, segments, appliances)).unwrap();
        assert!(found.appliances.iter().all(|a| a.within_allowed_drop));
        assert!(found.segments.iter().all(|s| !s.no_size_fits));
        // The main grows first (1.5 in over 60 ft); then the branch is the steeper of the two.
        assert_eq!((size(&found, 0), size(&found, 1)), ("3/4", "3/4"));
    }

    #[test]
    fn too_much_for_any_size_is_said() {
        let huge = vec![Appliance {
            input: Power::new::<watt>(200_000.0),
            ..burner(0, 0.0)
        }];
        let mut thin = line(Method::LongestLength, vec![pipe(None, 300.0, None, 0, 0)], huge);
        thin.heating_value = HeatingValue(1e6);
        let by_length = solve(&thin).unwrap();
        assert!(by_length.segments[0].no_size_fits && !by_length.segments[0].undersized);
        thin.method = Method::PressureDrop;
        let by_pressure = solve(&thin).unwrap();
        assert!(by_pressure.segments[0].no_size_fits);
        assert!(!by_pressure.appliances[0].within_allowed_drop);
    }

    #[test]
    fn a_segment_of_no_length_has_no_capacity_and_no_drop() {
        let found = solve(&line(
            Method::LongestLength,
            vec![pipe(None, 0.0, None, 0, 0)],
            vec![burner(0, 35_000.0)],
        ))
        .unwrap();
        assert_eq!(found.segments[0].capacity_longest, None);
        close(found.appliances[0].pressure.value, 7.0 * INCH_WATER, 1e-12);
    }

    #[test]
    fn a_drop_without_end_is_never_allowed() {
        let mut hair = line(
            Method::PressureDrop,
            vec![
                pipe(None, 60.0, None, 0, 0),
                pipe(Some(0), 20.0, Some("1/2"), 0, 0),
            ],
            vec![burner(1, 60_000.0)],
        );
        hair.segments[1].bore = Bore::Measured {
            material: PipeMaterial::Schedule40,
            inside_diameter: Length::new::<meter>(1e-300),
        };
        let found = solve(&hair).unwrap();
        assert!(found.appliances[0].drop.value.is_infinite());
        assert!(!found.appliances[0].within_allowed_drop && found.appliances[0].exhausted);
        assert!(found.segments[0].no_size_fits);
    }
}
