//! Whether the file is as a camera wrote it.

use chrono::TimeDelta;

use super::Reason;
use crate::{Format, Metadata, PhotoIntake};

/// Words by which picture editors name themselves in the Software field, in small letters.
/// From memory; an editor that is not here may still be told by times or sizes.
const EDITORS: [&str; 12] = [
    "photoshop",
    "lightroom",
    "gimp",
    "snapseed",
    "affinity",
    "paint",
    "picsart",
    "pixelmator",
    "darktable",
    "editor",
    "imagemagick",
    "photopea",
];

/// A camera may take some seconds to write a file; more is another program, or somebody.
const WRITING: TimeDelta = TimeDelta::seconds(60);

pub(super) fn reasons(photo: &PhotoIntake, reasons: &mut Vec<Reason>) {
    let said = &photo.metadata;
    if is_screenshot(photo) {
        reasons.push(Reason::Screenshot);
    } else if !said.present && !said.damaged {
        reasons.push(Reason::MetadataMissing);
    }
    if said.damaged {
        reasons.push(Reason::MetadataDamaged);
    }
    if let Some(by) = edited(photo, said) {
        reasons.push(Reason::Edited { by: by.to_owned() });
    }
}

/// Phones keep screenshots as PNG without a camera's values, or say so in the comment. From memory.
fn is_screenshot(photo: &PhotoIntake) -> bool {
    let said = &photo.metadata;
    let says_so = |text: &Option<String>| {
        text.as_deref()
            .is_some_and(|t| t.to_ascii_lowercase().replace(' ', "").contains("screenshot"))
    };
    let png = photo.original.format == Format::Png && !said.exposure_recorded;
    png || says_so(&said.comment) || says_so(&said.software)
}

fn edited(photo: &PhotoIntake, said: &Metadata) -> Option<&'static str> {
    let software = said.software.as_deref().unwrap_or_default().to_ascii_lowercase();
    if EDITORS.iter().any(|word| software.contains(word)) {
        return Some("program");
    }
    if said
        .written
        .zip(said.taken)
        .is_some_and(|(written, taken)| written - taken.local > WRITING)
    {
        return Some("written_later");
    }
    // Either way round: programs differ on whether the claim is as stored or as seen.
    let (size, (width, height)) = photo.size.zip(said.claimed_size)?;
    let same = (size.width, size.height) == (width, height) || (size.height, size.width) == (width, height);
    (!same && photo.look.is_some() && photo.original.format != Format::Heic).then_some("size")
}
