use std::{fs::File, io::Read, path::Path};

use serde::{Deserialize, Serialize};

use crate::{
    Format, Kept, MediaError, Metadata, Orientation, Original, OriginalSink, Picture, Preview, copy_and_hash,
    limits, pdf::read_pdf, read_metadata,
};

/// A paper taken in: certificate, ticket, permit, invoice, application.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PaperIntake {
    /// The original, which is now kept.
    pub original: Original,
    /// Whether the same bytes had been kept before.
    pub seen_before: bool,
    /// Pages: 1 for a photographed paper; `None` for a locked PDF whose pages cannot be counted.
    pub pages: Option<u32>,
    /// Whether a PDF is encrypted, so that a reader may ask for a password.
    pub locked: bool,
    /// What a photographed paper's file says about itself; `None` for a PDF.
    pub metadata: Option<Metadata>,
    /// A small upright picture of the first page. `None` for a HEIC and for a PDF whose first page
    /// is not a scan: those are drawn by the phone or browser that shows them.
    pub preview: Option<Preview>,
}

/// Takes in the paper at `path`. See [`intake_paper`].
///
/// # Errors
/// [`MediaError::Read`] if it cannot be opened, and those of [`intake_paper`].
pub fn intake_paper_file(path: &Path, sink: &mut dyn OriginalSink) -> Result<PaperIntake, MediaError> {
    intake_paper(File::open(path).map_err(MediaError::Read)?, sink)
}

/// Takes in a paper: copies it to `sink` while its SHA-256 is taken, counts a PDF's pages or decodes a
/// photographed paper within [`limits`], and last of all has the sink make the original durable.
///
/// # Errors
/// Any [`MediaError`]; the sink has then been abandoned and nothing is kept.
pub fn intake_paper(source: impl Read, sink: &mut dyn OriginalSink) -> Result<PaperIntake, MediaError> {
    let (bytes, sha256) = copy_and_hash(source, limits::PAPER_BYTES, sink)?;
    match look_at(&bytes, sha256) {
        Ok(mut paper) => {
            paper.seen_before = sink.keep(&paper.original).map_err(MediaError::Write)? == Kept::AlreadyThere;
            Ok(paper)
        }
        Err(refused) => {
            sink.abandon();
            Err(refused)
        }
    }
}

fn look_at(bytes: &[u8], sha256: [u8; 32]) -> Result<PaperIntake, MediaError> {
    let format = Format::sniff(bytes).ok_or(MediaError::NotAPaper)?;
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    let mut paper = PaperIntake {
        original: Original {
            sha256,
            length,
            format,
        },
        seen_before: false,
        pages: Some(1),
        locked: false,
        metadata: None,
        preview: None,
    };
    match format {
        Format::Pdf => {
            let found = read_pdf(bytes)?;
            paper.pages = found.pages;
            paper.locked = found.locked;
            paper.preview = found
                .scan
                .and_then(|(jpeg, quarters)| scan_preview(&jpeg, quarters));
        }
        Format::Heic => paper.metadata = Some(read_metadata(bytes)),
        Format::Jpeg | Format::Png => {
            let metadata = read_metadata(bytes);
            let picture = Picture::decode(bytes, format)?;
            paper.preview = Some(small(&picture, metadata.orientation)?);
            paper.metadata = Some(metadata);
        }
    }
    Ok(paper)
}

/// A scan that cannot be decoded leaves the paper without a preview, and the paper as it is.
fn scan_preview(jpeg: &[u8], quarters: u8) -> Option<Preview> {
    let turn = match quarters {
        1 => Orientation::Clockwise,
        2 => Orientation::Half,
        3 => Orientation::CounterClockwise,
        _ => Orientation::Upright,
    };
    small(&Picture::decode(jpeg, Format::Jpeg).ok()?, turn).ok()
}

fn small(picture: &Picture, turn: Orientation) -> Result<Preview, MediaError> {
    let side = usize::try_from(limits::PREVIEW_SIDE).unwrap_or(usize::MAX);
    Preview::of(&picture.reduced_to(side).turned(turn))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::MemorySink;

    #[test]
    fn a_pdf_is_kept_with_its_pages() {
        let pdf = b"%PDF-1.4\n1 0 obj <</Type/Catalog/Pages 2 0 R>> endobj\n\
            2 0 obj <</Type/Pages/Kids[3 0 R]>> endobj\n3 0 obj <</Type/Page>> endobj";
        let mut sink = MemorySink::default();
        let paper = intake_paper(pdf.as_slice(), &mut sink).unwrap();
        assert_eq!((paper.pages, paper.locked, paper.preview), (Some(1), false, None));
        assert_eq!(sink.kept, [(paper.original, pdf.to_vec())]);
    }

    #[test]
    fn a_photographed_paper_has_one_page_and_a_preview() {
        let picture = Picture::new(40, 30, vec![200; 3600]).unwrap();
        let jpeg = Preview::of(&picture).unwrap().jpeg;
        let paper = intake_paper(jpeg.as_slice(), &mut MemorySink::default()).unwrap();
        assert_eq!(paper.pages, Some(1));
        assert_eq!(paper.preview.map(|p| (p.width, p.height)), Some((40, 30)));
    }

    #[test]
    fn the_scan_in_a_pdf_is_its_preview_turned_as_it_is_shown() {
        let jpeg = Preview::of(&Picture::new(40, 30, vec![90; 3600]).unwrap())
            .unwrap()
            .jpeg;
        let mut pdf = format!(
            "%PDF-1.4\n1 0 obj <</Type/Catalog/Pages 2 0 R>> endobj\n2 0 obj <</Type/Pages/Kids[3 0 R]>> endobj\n\
             3 0 obj <</Type/Page/Rotate 270/Resources<</XObject<</I 4 0 R>>>>>> endobj\n\
             4 0 obj <</Subtype/Image/Filter/DCTDecode/Length {}>> stream\n",
            jpeg.len()
        )
        .into_bytes();
        pdf.extend(jpeg);
        pdf.extend(b"\nendstream endobj");
        let paper = intake_paper(pdf.as_slice(), &mut MemorySink::default()).unwrap();
        assert_eq!(paper.preview.map(|p| (p.width, p.height)), Some((30, 40)));
    }

    #[test]
    fn other_files_are_refused_and_not_kept() {
        let mut sink = MemorySink::default();
        let refused = intake_paper(&b"dear sir"[..], &mut sink).unwrap_err();
        assert_eq!(refused.code(), "media_not_a_paper");
        assert!(sink.kept.is_empty());
    }
}
