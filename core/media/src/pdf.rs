//! What intake wants of a PDF (ISO 32000-1): how many pages, whether it is locked, and the picture
//! that is the first page of a scan. Nothing is run, drawn or followed out of the file.
//!
//! The cross-reference table is not trusted: the objects are found by reading the file once from its
//! beginning, as a repair would, so that a damaged table costs nothing and cannot send us round.

mod objects;
mod pages;
mod value;

use crate::MediaError;
use objects::Objects;

/// What was found in a PDF.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfSummary {
    /// Pages; `None` if it is locked and they cannot be counted.
    pub pages: Option<u32>,
    /// Whether it is encrypted: a reader may ask for a password.
    pub locked: bool,
    /// The JPEG that is all there is on the first page, and the quarter turns clockwise at which it
    /// is shown: a scan. `None` for a page with text or other pictures.
    pub scan: Option<(Vec<u8>, u8)>,
}

/// Reads the structure of the PDF in `file`.
///
/// # Errors
/// [`MediaError::NoPages`] if no page is found; [`MediaError::TooMuchWork`] beyond a limit of
/// nesting, objects, pages or unpacked bytes.
pub fn read_pdf(file: &[u8]) -> Result<PdfSummary, MediaError> {
    let objects = Objects::find(file)?;
    if objects.locked() {
        let pages = pages::count(&objects).ok().filter(|pages| *pages > 0);
        return Ok(PdfSummary {
            pages,
            locked: true,
            scan: None,
        });
    }
    let pages = pages::count(&objects)?;
    if pages == 0 {
        return Err(MediaError::NoPages {
            detail: "its list of pages is empty".to_owned(),
        });
    }
    Ok(PdfSummary {
        pages: Some(pages),
        locked: false,
        scan: pages::scan(&objects),
    })
}

pub(crate) fn too_much(what: &str) -> MediaError {
    MediaError::TooMuchWork {
        detail: what.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use flate2::{Compression, bufread::ZlibEncoder};

    use super::*;

    fn pack(bytes: &[u8]) -> Vec<u8> {
        let mut packed = Vec::new();
        ZlibEncoder::new(bytes, Compression::default())
            .read_to_end(&mut packed)
            .unwrap();
        packed
    }

    fn code(file: &[u8]) -> &'static str {
        read_pdf(file).unwrap_err().code()
    }

    const PLAIN: &[u8] = b"%PDF-1.4
1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj
2 0 obj << /Type /Pages /Count 3 /Kids [3 0 R 4 0 R] >> endobj
3 0 obj << /Type /Page /Parent 2 0 R >> endobj
4 0 obj << /Type /Pages /Count 2 /Kids [5 0 R 6 0 R] /Parent 2 0 R >> endobj
5 0 obj << /Type /Page >> endobj
6 0 obj << /Type /Page /Contents 7 0 R >> endobj
7 0 obj << /Length 24 >> stream
1 0 obj << /Pages 9 0 R >> endstream endobj
trailer << /Root 1 0 R >>
%%EOF";

    #[test]
    fn pages_are_counted_where_they_stand() {
        let found = read_pdf(PLAIN).unwrap();
        assert_eq!(
            found,
            PdfSummary {
                pages: Some(3),
                locked: false,
                scan: None
            }
        );
    }

    #[test]
    fn a_later_version_of_an_object_counts() {
        let mut changed = PLAIN.to_vec();
        changed
            .extend(b"\n4 0 obj << /Type /Pages /Count 1 /Kids [5 0 R] >> endobj\ntrailer << /Root 1 0 R >>");
        assert_eq!(read_pdf(&changed).unwrap().pages, Some(2));
    }

    #[test]
    fn a_ring_of_pages_ends() {
        let ring = b"%PDF-1.4\n1 0 obj <</Type/Catalog/Pages 2 0 R>> endobj\n\
            2 0 obj <</Type/Pages/Kids[2 0 R 3 0 R]>> endobj\n3 0 obj <</Type/Page>> endobj";
        assert_eq!(read_pdf(ring).unwrap().pages, Some(1));
    }

    #[test]
    fn objects_in_compressed_streams_are_found() {
        let parts = [
            "<< /Type /Catalog /Pages 2 0 R >> ",
            "<< /Type /Pages /Kids [ 3 0 R ] >> ",
            "<< /Type /Page >>",
        ];
        let head = format!("1 0 2 {} 3 {} ", parts[0].len(), parts[0].len() + parts[1].len());
        let (first, inside) = (head.len(), head + &parts.concat());
        let packed = pack(inside.as_bytes());
        let mut file = format!(
            "%PDF-1.5\n9 0 obj << /Type /ObjStm /N 3 /First {first} /Filter /FlateDecode /Length {} >> stream\n",
            packed.len()
        )
        .into_bytes();
        file.extend(&packed);
        file.extend(
            b"\nendstream endobj\n10 0 obj << /Type /XRef /Root 1 0 R /Length 0 >> stream\nendstream endobj",
        );
        assert_eq!(read_pdf(&file).unwrap().pages, Some(1));
    }

    #[test]
    fn a_stream_that_unpacks_without_end_is_refused() {
        let packed = pack(&vec![b' '; 40 << 20]);
        let mut file =
            b"%PDF-1.5\n9 0 obj << /Type /ObjStm /N 1 /First 4 /Filter /FlateDecode >> stream\n".to_vec();
        file.extend(&packed);
        file.extend(b"\nendstream endobj");
        assert!(file.len() < 100_000);
        assert_eq!(code(&file), "media_too_much_work");
    }

    #[test]
    fn nesting_without_end_is_refused() {
        let mut file = b"%PDF-1.4\n1 0 obj ".to_vec();
        file.extend(std::iter::repeat_n(b'[', 1 << 20));
        assert_eq!(code(&file), "media_too_much_work");
    }

    #[test]
    fn openings_without_closings_take_no_more_than_a_few_readings_of_the_file() {
        for opening in [
            "1 0 obj ( ",
            "1 0 obj << /A (",
            "1 0 obj [ 0 ",
            "1 0 obj << >> stream ",
            "trailer << /A ",
        ] {
            let file = format!("%PDF-1.4\n{}", opening.repeat((2 << 20) / opening.len()));
            assert!(
                ["media_too_much_work", "media_no_pages"].contains(&code(file.as_bytes())),
                "{opening}"
            );
        }
    }

    #[test]
    fn a_locked_file_says_so() {
        let locked = [PLAIN, b"\ntrailer << /Root 1 0 R /Encrypt 8 0 R >>"].concat();
        let found = read_pdf(&locked).unwrap();
        assert_eq!((found.locked, found.pages), (true, Some(3)));
    }

    #[test]
    fn what_has_no_page_is_refused() {
        assert_eq!(code(b"%PDF-1.4"), "media_no_pages");
        assert_eq!(
            code(b"%PDF-1.4\n1 0 obj <</Type/Catalog/Pages 2 0 R>> endobj"),
            "media_no_pages"
        );
    }

    #[test]
    fn the_picture_of_a_scanned_page_is_found_with_its_turn() {
        let file = b"%PDF-1.4\n1 0 obj <</Type/Catalog/Pages 2 0 R>> endobj\n\
            2 0 obj <</Type/Pages/Kids[3 0 R]/Rotate 90/Resources<</XObject<</Im0 4 0 R>>>>>> endobj\n\
            3 0 obj <</Type/Page>> endobj\n\
            4 0 obj <</Type/XObject/Subtype/Image/Filter/DCTDecode/Length 5>> stream\nHELLO\nendstream endobj";
        assert_eq!(read_pdf(file).unwrap().scan, Some((b"HELLO".to_vec(), 1)));
        let with_text = String::from_utf8_lossy(file).replace("<</XObject", "<</Font<</F1 9 0 R>>/XObject");
        assert_eq!(read_pdf(with_text.as_bytes()).unwrap().scan, None);
    }
}
