//! Each thing near the cap: what the edition wants, and what was measured.

use uom::si::f64::Length;

use super::input::{Distances, Edition, Inlet, Input, Kind, Meter, OwnMinimum, TerminalIs};
use crate::compare::{at_most, reaches};
use crate::form::OrNone;
use crate::site::{feet, inches};

/// A thing near the cap, before it is compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Near {
    /// Nobody measured it.
    NotMeasured,
    /// There is no such thing near, or none that counts.
    NoMatter,
    /// It was measured.
    Measured {
        measured: Length,
        /// What the edition wants, where it says anything.
        code: Option<Length>,
        /// The listing's or the local rule's figure.
        own: Option<Length>,
        /// Whether the edition's figure alone is not enough.
        own_needed: bool,
        /// Whether it fails whatever the distance.
        enclosed: bool,
    },
}

/// A thing near the cap by its key.
pub(super) struct Item {
    pub(super) name: &'static str,
    pub(super) near: Near,
    /// What it is, in words, for messages.
    pub(super) words: &'static str,
}

/// Keys that are only for a wall, with whether each is given as a distance or as an own minimum.
pub(super) fn only_for_a_wall(distances: &Distances, own: &OwnMinimum) -> [(&'static str, bool, bool); 10] {
    [
        ("grade", distances.grade.is_some(), own.grade.is_some()),
        (
            "regulator_vent",
            distances.regulator_vent.is_some(),
            own.regulator_vent.is_some(),
        ),
        ("meter", distances.meter.is_some(), own.meter.is_some()),
        ("walkway", distances.walkway.is_some(), own.walkway.is_some()),
        ("overhang", distances.overhang.is_some(), own.overhang.is_some()),
        (
            "inside_corner",
            distances.inside_corner.is_some(),
            own.inside_corner.is_some(),
        ),
        (
            "outside_corner",
            distances.outside_corner.is_some(),
            own.outside_corner.is_some(),
        ),
        ("soffit", distances.soffit.is_some(), own.soffit.is_some()),
        (
            "closed_window",
            distances.closed_window.is_some(),
            own.closed_window.is_some(),
        ),
        (
            "property_line",
            distances.property_line.is_some(),
            own.property_line.is_some(),
        ),
    ]
}

/// The items of the kind of terminal, in order, but for another flue.
pub(super) fn items(input: &Input) -> Vec<Item> {
    let (near, own) = (&input.distances, &input.own_minimum);
    let opening = opening_figure(
        input.edition,
        input.input.get::<uom::si::power::watt>() / WATTS_PER_BTU_PER_HOUR,
    );
    let canada = input.edition == Edition::Canada;
    let by_own = |near: Option<OrNone<Length>>, own: Option<Length>| distance(near, None, own);
    let opening_item = Item {
        name: "opening",
        near: with_own_needed(distance(near.opening, Some(opening.0), own.opening), opening.1),
        words: "a door or window that opens",
    };
    let inlet = Item {
        name: "mechanical_inlet",
        near: of(near.mechanical_inlet.as_ref(), |inlet| {
            inlet_near(inlet, canada, own.mechanical_inlet)
        }),
        words: "a mechanical air inlet",
    };
    let other = Item {
        name: "other_terminal",
        near: by_own(near.other_terminal, own.other_terminal),
        words: "another outlet",
    };
    if input.kind == Kind::Roof {
        return vec![opening_item, inlet, other];
    }
    let regulator = (input.edition != Edition::UsOlder).then(|| feet(3.0));
    let grade = near.grade.map(OrNone::At);
    vec![
        Item {
            name: "grade",
            near: distance(grade, Some(inches(12.0) + input.snow_depth), own.grade),
            words: "the ground",
        },
        opening_item,
        inlet,
        Item {
            name: "regulator_vent",
            near: distance(near.regulator_vent, regulator, own.regulator_vent),
            words: "a regulator's vent",
        },
        Item {
            name: "meter",
            near: of(near.meter.as_ref(), |meter| meter_near(meter, canada, own.meter)),
            words: "a gas meter",
        },
        Item {
            name: "walkway",
            near: of(near.walkway.as_ref(), |walkway| {
                match (walkway.public, own.walkway) {
                    (false, None) => Near::NoMatter,
                    (public, own) => measured(walkway.height, public.then(|| feet(7.0)), own),
                }
            }),
            words: "a walkway below",
        },
        Item {
            name: "overhang",
            near: of(near.overhang.as_ref(), |overhang| {
                enclosed(
                    measured(overhang.distance, Some(inches(12.0)), own.overhang),
                    overhang.open_sides < 2,
                )
            }),
            words: "the porch or deck above",
        },
        Item {
            name: "inside_corner",
            near: by_own(near.inside_corner, own.inside_corner),
            words: "an inside corner",
        },
        Item {
            name: "outside_corner",
            near: by_own(near.outside_corner, own.outside_corner),
            words: "an outside corner",
        },
        Item {
            name: "soffit",
            near: by_own(near.soffit, own.soffit),
            words: "a soffit",
        },
        Item {
            name: "closed_window",
            near: by_own(near.closed_window, own.closed_window),
            words: "a window that stays closed",
        },
        other,
        Item {
            name: "property_line",
            near: by_own(near.property_line, own.property_line),
            words: "the property line",
        },
    ]
}

const WATTS_PER_BTU_PER_HOUR: f64 = 1_055.055_852_62 / 3_600.0;

/// Distance to an opening by input in Btu/h, and whether a figure of the listing is needed besides.
///
/// ANSI Z223.1/NFPA 54 12.9 as quoted in several manuals; 10,000 Btu/h in Canada, 150,000 Btu/h and 4 ft from memory.
fn opening_figure(edition: Edition, btu_per_hour: f64) -> (Length, bool) {
    let up_to = |limit: f64| at_most(btu_per_hour, limit);
    match edition {
        _ if up_to(10_000.0) => (inches(6.0), false),
        Edition::Canada if up_to(100_000.0) => (inches(12.0), false),
        Edition::Canada => (inches(36.0), false),
        _ if up_to(50_000.0) => (inches(9.0), false),
        Edition::UsNewer if !up_to(150_000.0) => (feet(4.0), true),
        Edition::UsOlder | Edition::UsNewer => (inches(12.0), false),
    }
}

/// Within 10 ft sideways the cap stands 3 ft above a mechanical inlet; in Canada it keeps 6 ft in every direction.
fn inlet_near(inlet: &Inlet, canada: bool, own: Option<Length>) -> Near {
    if canada {
        return measured(straight(inlet.horizontal, inlet.vertical), Some(feet(6.0)), own);
    }
    if !reaches(feet(10.0), inlet.horizontal) {
        return Near::NoMatter;
    }
    let above = match inlet.terminal_is {
        TerminalIs::Above => inlet.vertical,
        TerminalIs::Below => -inlet.vertical,
    };
    measured(above, Some(feet(3.0)), own)
}

/// In Canada 3 ft sideways of a meter, up to 15 ft above it; elsewhere only what the listing says.
fn meter_near(meter: &Meter, canada: bool, own: Option<Length>) -> Near {
    if !canada {
        return measured(straight(meter.horizontal, meter.height), None, own);
    }
    if reaches(feet(15.0), meter.height) {
        measured(meter.horizontal, Some(feet(3.0)), own)
    } else {
        Near::NoMatter
    }
}

fn straight(one: Length, other: Length) -> Length {
    (one * one + other * other).sqrt()
}

fn of<T>(given: Option<&OrNone<T>>, near: impl FnOnce(&T) -> Near) -> Near {
    match given {
        None => Near::NotMeasured,
        Some(OrNone::NoSuch) => Near::NoMatter,
        Some(OrNone::At(thing)) => near(thing),
    }
}

fn distance(given: Option<OrNone<Length>>, code: Option<Length>, own: Option<Length>) -> Near {
    of(given.as_ref(), |distance| measured(*distance, code, own))
}

fn measured(measured: Length, code: Option<Length>, own: Option<Length>) -> Near {
    Near::Measured {
        measured,
        code,
        own,
        own_needed: false,
        enclosed: false,
    }
}

fn with_own_needed(near: Near, needed: bool) -> Near {
    match near {
        Near::Measured {
            measured,
            code,
            own,
            enclosed,
            ..
        } => Near::Measured {
            measured,
            code,
            own,
            own_needed: needed,
            enclosed,
        },
        other => other,
    }
}

fn enclosed(near: Near, closed: bool) -> Near {
    match near {
        Near::Measured {
            measured,
            code,
            own,
            own_needed,
            ..
        } => Near::Measured {
            measured,
            code,
            own,
            own_needed,
            enclosed: closed,
        },
        other => other,
    }
}
