//! The cap's trim as an office prints it: full size by the PDF's own geometry.
#![cfg(test)]

mod pdf_reader;

use pdf_reader::Pdf;
use wythe_guide::figures::Figures;
use wythe_guide::{Language, Words, pictures};
use wythe_pack::claim::{SheetOf, trim_sheet};
use wythe_pack::paper::{Day, PageSize, print};

/// A plate of 14 by 18 in over a tile of 8 1/2 by 13 in.
const CAP: &str = include_str!("../../trade/samples/cap_fit.json");

fn printed(language: Language, size: PageSize) -> Pdf {
    let figures = Figures {
        id: "chimney_top.cap_fit".to_owned(),
        reckoning: "cap_fit".to_owned(),
        path: Vec::new(),
        missing: Vec::new(),
        from: Vec::new(),
        editions: std::collections::BTreeMap::new(),
        input: serde_json::from_str(CAP).unwrap(),
        result: Some(wythe_trade::reckon("cap_fit", CAP)),
        ..Figures::default()
    };
    let words = Words::of(language);
    let drawing = pictures::pictures(&figures, &words).remove(0);
    let of = SheetOf {
        job: "Job 31, 14 Sample Lane",
        business: "Ninefold Hearth",
        software: "wythe",
        day: Day {
            year: 2031,
            month: 5,
            day: 4,
        },
    };
    Pdf::read(&print(&trim_sheet(drawing, &words, size, of)).unwrap().pdf)
}

/// How many level lines of a page are so long.
fn level(pdf: &Pdf, page: usize, millimetres: f64) -> usize {
    let is_so_long = |(from, to): &&((f64, f64), (f64, f64))| {
        let length = (from.0 - to.0).abs() / 72.0 * 25.4;
        (from.1 - to.1).abs() < 1e-3 && (length - millimetres).abs() < 0.01
    };
    pdf.painted(&pdf.pages()[page])
        .lines
        .iter()
        .filter(is_so_long)
        .count()
}

#[test]
fn the_bars_and_the_plate_are_full_size_on_every_page() {
    for size in [PageSize::Letter, PageSize::A4] {
        let pdf = printed(Language::En, size);
        let pages = pdf.pages().len();
        assert!(
            pages >= 4,
            "a plate of 14 by 18 in takes {pages} pages of {size:?}"
        );
        for page in 0..pages {
            assert_eq!(level(&pdf, page, 100.0), 1, "{size:?} page {page}: 100 mm");
            assert_eq!(level(&pdf, page, 101.6), 1, "{size:?} page {page}: 4 in");
            // Two edges of the plate, 14 in, and its dimension line.
            assert!(level(&pdf, page, 355.6) >= 3, "{size:?} page {page}: 14 in");
        }
    }
}

#[test]
fn it_says_in_every_language_how_it_is_checked() {
    for (language, check) in [
        (Language::En, "Hold a rule against both bars"),
        (Language::Es, "Poner una regla sobre las dos barras"),
        (Language::Fr, "Poser une règle sur les deux barres"),
    ] {
        let said = printed(language, PageSize::Letter).read_aloud();
        let said: Vec<&str> = said.iter().map(|said| said.text.as_str()).collect();
        let said = said.join(" ");
        assert!(said.contains(check), "{language:?}: {said}");
        assert!(!said.contains("[trim"), "{language:?}: {said}");
    }
}
