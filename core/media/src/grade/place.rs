//! Where the photo was taken: its file's place, the phone's own, and the house.

use super::{Circumstances, Reason};
use crate::{PhotoIntake, Position, PositionFix, distance_m};

/// A radius beyond which a place says little about which house it is, metres.
const ROUGH_M: f64 = 200.0;

/// What two fixes may be apart beside their stated radii, metres.
const APART_M: f64 = 100.0;

pub(super) fn reasons(photo: &PhotoIntake, around: &Circumstances, reasons: &mut Vec<Reason>) {
    let in_file = photo.metadata.fix.filter(|fix| !is_zero(fix.position));
    if photo.metadata.fix.is_some() && in_file.is_none() {
        reasons.push(Reason::PlaceZero);
    }
    let Some(fix) = in_file.or(around.phone) else {
        if photo.metadata.fix.is_none() {
            reasons.push(Reason::PlaceMissing);
        }
        return;
    };
    if in_file.is_none() {
        reasons.push(Reason::PlaceOfPhone);
    }
    if let Some(error_m) = fix.error_m.filter(|error| *error > ROUGH_M) {
        reasons.push(Reason::PlaceRough {
            error_m: error_m.round(),
        });
    }
    if let Some(site) = around.site {
        let distance_m = distance_m(fix.position, site);
        if distance_m - radius(&fix) > around.near_m.unwrap_or(Circumstances::NEAR_M) {
            reasons.push(Reason::FarFromSite {
                distance_m: distance_m.round(),
                error_m: fix.error_m.map(f64::round),
            });
        }
    }
    if let Some((one, other)) = in_file.zip(around.phone)
        && around.added == super::HowAdded::JustTaken
    {
        let distance_m = distance_m(one.position, other.position);
        if distance_m - radius(&one) - radius(&other) > APART_M {
            reasons.push(Reason::PlacesApart {
                distance_m: distance_m.round(),
            });
        }
    }
}

fn radius(fix: &PositionFix) -> f64 {
    fix.error_m.unwrap_or(0.0)
}

/// Within a millionth of a degree (0.1 m) of where the Greenwich meridian meets the equator.
fn is_zero(position: Position) -> bool {
    position.latitude.abs() < 1e-6 && position.longitude.abs() < 1e-6
}
