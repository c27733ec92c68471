//! What the pixels say.

use super::Reason;
use crate::{Format, Light, PhotoIntake};

/// Longest side below which a plate's small print is not sure to be read, pixels.
const ENOUGH_SIDE: u32 = 1600;

/// Spread of edges (pixels of the preview) above which a picture is soft, and above which it is
/// blurred. Set on made photos of all scenes, 3000 pixels wide and blurred by known deviations: up to
/// 1 pixel they stay below 1.7, from 4 pixels on they are above 2.1, from 6 pixels on above 2.9.
const SOFT: f64 = 1.9;
const BLURRED: f64 = 2.9;

/// Brightness that nine tenths stay below: dark, and too dark. Made photos of rooms are below these
/// when taken about three and five stops under.
const DARK: u8 = 75;
const TOO_DARK: u8 = 40;

/// Share of pure white: bright. Too bright is a larger share and no dark parts left beside it: black
/// print on a burnt-out sheet can still be read.
const BRIGHT: f64 = 0.12;
const TOO_BRIGHT: f64 = 0.4;
const NOTHING_DARK: u8 = 140;

/// Between dark and bright parts (a twentieth and all but a fiftieth), brightness: below it a lens is
/// covered or a blank wall seen.
const EMPTY: u8 = 24;

/// How much a dot pattern stands out before it is called a screen's.
/// In made photos it is at most 6 without one, and above 100 with the one that the program draws.
const DOTS: f64 = 20.0;

pub(super) fn reasons(photo: &PhotoIntake, reasons: &mut Vec<Reason>) {
    let few = photo
        .size
        .filter(|size| size.width.max(size.height) < ENOUGH_SIDE);
    reasons.extend(few.map(|size| Reason::FewPixels {
        width: size.width,
        height: size.height,
    }));
    if !photo.complete {
        reasons.push(Reason::CutShort);
    }
    if photo.metadata.present && !photo.metadata.orientation_present && photo.original.format == Format::Jpeg
    {
        reasons.push(Reason::TurnUnknown);
    }
    let Some(look) = photo.look else {
        reasons.push(Reason::NotLookedAt);
        return;
    };
    let lit = light(&look.light);
    let unlit = matches!(lit, Some(Reason::TooDark { .. } | Reason::TooBright { .. }));
    reasons.extend(lit);
    if unlit {
        // Whether it is sharp as well no longer matters, and could hardly be told.
        return;
    }
    match look.edge_spread {
        None if look.light.top.saturating_sub(look.light.low) < EMPTY => reasons.push(Reason::NothingToSee),
        None => reasons.push(Reason::Blurred { spread: None }),
        Some(spread) if spread > BLURRED => reasons.push(Reason::Blurred {
            spread: Some(tenths(spread)),
        }),
        // Few pixels are soft by themselves, and that has been said.
        Some(spread) if spread > SOFT && few.is_none() => reasons.push(Reason::Soft {
            spread: tenths(spread),
        }),
        Some(_) => {}
    }
    if look.dot_pattern > DOTS {
        reasons.push(Reason::OffAScreen);
    }
}

fn light(light: &Light) -> Option<Reason> {
    if light.high < TOO_DARK {
        return Some(Reason::TooDark { high: light.high });
    }
    if light.white > TOO_BRIGHT && light.low >= NOTHING_DARK {
        return Some(Reason::TooBright {
            percent: percent(light.white),
        });
    }
    if light.high < DARK {
        return Some(Reason::Dark { high: light.high });
    }
    (light.white > BRIGHT).then(|| Reason::Bright {
        percent: percent(light.white),
    })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the range first"
)]
fn percent(share: f64) -> u8 {
    (share * 100.0).round().clamp(0.0, 100.0) as u8
}

/// Kept figures have no more digits than they are worth.
fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}
