//! The shape of a pipe tree: what hangs on what, what each part serves.

use super::line::{Appliance, Segment};
use crate::quantities::{Length, Power};

/// A tree's segments in an order in which each parent comes before its children.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order(Vec<usize>);

impl Order {
    /// Orders segments by their parents.
    ///
    /// # Errors
    /// The place of the first segment, in list order, that stands on a circle or whose parent is
    /// not in the list.
    pub fn of(segments: &[Segment]) -> Result<Self, usize> {
        let mut order = Vec::with_capacity(segments.len());
        let mut placed = vec![false; segments.len()];
        for start in 0..segments.len() {
            let mut chain = Vec::new();
            let mut next = Some(start);
            while let Some(here) = next {
                let Some(segment) = segments.get(here) else {
                    return Err(start);
                };
                if placed.get(here).copied().unwrap_or(false) {
                    break;
                }
                if chain.contains(&here) {
                    return Err(first_of_circle(&chain, here));
                }
                chain.push(here);
                next = segment.parent;
            }
            for here in chain.into_iter().rev() {
                if let Some(mark) = placed.get_mut(here) {
                    *mark = true;
                }
                order.push(here);
            }
        }
        Ok(Self(order))
    }

    /// From the supply outwards.
    pub fn outwards(&self) -> impl Iterator<Item = usize> + '_ {
        self.0.iter().copied()
    }

    /// From the far ends to the supply.
    pub fn inwards(&self) -> impl Iterator<Item = usize> + '_ {
        self.0.iter().rev().copied()
    }
}

fn first_of_circle(chain: &[usize], closes_at: usize) -> usize {
    chain
        .iter()
        .copied()
        .skip_while(|place| *place != closes_at)
        .min()
        .unwrap_or(closes_at)
}

/// Input of all appliances that each segment serves.
#[must_use]
pub fn loads(order: &Order, segments: &[Segment], appliances: &[Appliance]) -> Vec<Power> {
    let mut loads = vec![appliances.first().map_or_else(none, |a| a.input * 0.0); segments.len()];
    for appliance in appliances {
        if let Some(load) = loads.get_mut(appliance.node) {
            *load += appliance.input;
        }
    }
    for here in order.inwards() {
        let load = loads.get(here).copied();
        let parent = segments.get(here).and_then(|segment| segment.parent);
        if let (Some(load), Some(above)) = (load, parent.and_then(|p| loads.get_mut(p))) {
            *above += load;
        }
    }
    loads
}

fn none() -> Power {
    use uom::si::power::watt;
    Power::new::<watt>(0.0)
}

/// Equivalent length from the supply to the far end of each segment.
#[must_use]
pub fn paths(order: &Order, segments: &[Segment]) -> Vec<Length> {
    let mut paths = vec![zero_length(); segments.len()];
    for here in order.outwards() {
        let Some(segment) = segments.get(here) else {
            continue;
        };
        let before = segment
            .parent
            .and_then(|parent| paths.get(parent).copied())
            .unwrap_or_else(zero_length);
        if let Some(path) = paths.get_mut(here) {
            *path = before + segment.equivalent_length();
        }
    }
    paths
}

/// The longest path among the appliances that each segment serves, 0 where it serves none.
#[must_use]
pub fn branch_lengths(
    order: &Order,
    segments: &[Segment],
    appliances: &[Appliance],
    paths: &[Length],
) -> Vec<Length> {
    let mut longest = vec![zero_length(); segments.len()];
    for appliance in appliances {
        if let (Some(own), Some(path)) = (longest.get_mut(appliance.node), paths.get(appliance.node)) {
            *own = *path;
        }
    }
    for here in order.inwards() {
        let below = longest.get(here).copied();
        let parent = segments.get(here).and_then(|segment| segment.parent);
        if let (Some(below), Some(above)) = (below, parent.and_then(|p| longest.get_mut(p)))
            && below > *above
        {
            *above = below;
        }
    }
    longest
}

/// The segments from the supply to a node, that node last.
#[must_use]
pub fn path_to(segments: &[Segment], node: usize) -> Vec<usize> {
    let mut path = Vec::new();
    let mut next = Some(node);
    while let Some(here) = next {
        if path.len() > segments.len() {
            break;
        }
        path.push(here);
        next = segments.get(here).and_then(|segment| segment.parent);
    }
    path.reverse();
    path
}

fn zero_length() -> Length {
    use uom::si::length::meter;
    Length::new::<meter>(0.0)
}

#[cfg(test)]
mod tests {
    use uom::si::length::meter;
    use uom::si::power::watt;

    use super::*;
    use crate::gas::gas_line::line::{Bore, Fittings};
    use crate::gas::pipe_sizes::PipeMaterial;

    fn segment(parent: Option<usize>, metres: f64) -> Segment {
        Segment {
            parent,
            length: Length::new::<meter>(metres),
            bore: Bore::Sized {
                material: PipeMaterial::Schedule40,
                size: 1,
                find: false,
            },
            fittings: Fittings::default(),
        }
    }

    fn burner(node: usize, watts: f64) -> Appliance {
        Appliance {
            node,
            input: Power::new::<watt>(watts),
            minimum_pressure: None,
        }
    }

    #[test]
    fn children_may_stand_before_their_parents() {
        let segments = [
            segment(Some(2), 1.0),
            segment(Some(2), 5.0),
            segment(None, 2.0),
            segment(None, 9.0),
        ];
        let appliances = [burner(0, 10.0), burner(1, 20.0)];
        let order = Order::of(&segments).unwrap();
        let watts: Vec<f64> = loads(&order, &segments, &appliances)
            .iter()
            .map(|load| load.value)
            .collect();
        assert_eq!(watts, [10.0, 20.0, 30.0, 0.0]);
        let paths = paths(&order, &segments);
        assert!((paths[1].value - 7.0).abs() < 1e-12);
        let branch = branch_lengths(&order, &segments, &appliances, &paths);
        let metres: Vec<f64> = branch.iter().map(|length| length.value).collect();
        assert_eq!(metres, [3.0, 7.0, 7.0, 0.0]);
        assert_eq!(path_to(&segments, 1), [2, 1]);
    }

    #[test]
    fn a_circle_is_named_by_its_first_segment() {
        let segments = [
            segment(Some(2), 1.0),
            segment(None, 1.0),
            segment(Some(3), 1.0),
            segment(Some(2), 1.0),
        ];
        assert_eq!(Order::of(&segments), Err(2));
        assert_eq!(Order::of(&[segment(Some(0), 1.0)]), Err(0));
    }
}
