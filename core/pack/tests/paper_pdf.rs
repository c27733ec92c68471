//! What a printed PDF says when it is read back: text in reading order, tags, geometry, the same bytes.
#![cfg(test)]

mod pdf_reader;
#[path = "../examples/paper_sample/sample.rs"]
mod sample;

use pdf_reader::{Object, Pdf, Said};
use wythe_pack::paper::{self, PageSize, print};

const SIZES: [PageSize; 2] = [PageSize::Letter, PageSize::A4];

fn sample_pdf(size: PageSize) -> Pdf {
    Pdf::read(&print(&sample::document(size).unwrap()).unwrap().pdf)
}

fn of_role<'a>(said: &'a [Said], role: &str) -> Vec<&'a Said> {
    said.iter().filter(|said| said.role == role).collect()
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    for size in SIZES {
        let document = sample::document(size).unwrap();
        assert!(print(&document).unwrap() == print(&document).unwrap());
    }
}

#[test]
fn it_is_read_aloud_in_the_order_it_was_written() {
    for size in SIZES {
        let said = sample_pdf(size).read_aloud();
        let whole: Vec<&str> = said.iter().map(|said| said.text.as_str()).collect();
        let whole = whole.join("\n");
        let mut rest = whole.as_str();
        for expected in [
            "Claim for a wood stove changed out",
            "Ninefold Hearth claims $1,500.00 under the Larkspur Basin Clean Hearth Grant for the house at 14 \
             Sample Lane. The old stove was photographed in place",
            "Walk-through",
            "The job as a wall",
            "Old stove\nInvented Model A",
            "El niño midió la válvula: ¿cuántos m²? Œuvre achevée à 8 h 30, mesurée çà et là — 12 °C, ½ po, \
             ⅜ po, 7′ 4½″, ≤ 25 Pa, −4 °C, 3 · 10³",
            "What was asked, and what shows it",
            "No.\nAsked for\nShown by\nPage",
            "1\nOld stove in place",
            "34\nEach hinge cut",
            "Figures",
            "19 3/4 in",
            "outdoor temperature, °C",
            "Note\nLocal code",
            "Caution\nThe liner's top is wet below −4 °C outside.",
            "Stop\nGas pressure fell",
            "•\n\nManifold pressure 3.5 in w.c., plate 3.5 ± 0.3"
                .replace("\n\n", "\n")
                .as_str(),
            "Kept together",
            "Photo 1. Hinge cut",
            "Photo 7. Hinge cut",
            "Wilhelmina Inventedname, owner",
            "Cap trim, full size, page A1 of 3 across and 2 down",
            "Cap trim, full size, page B3 of 3 across and 2 down",
        ] {
            let found = rest.split_once(expected);
            assert!(
                found.is_some(),
                "{size:?}: {expected:?} is missing or out of order"
            );
            rest = found.unwrap().1;
        }
        assert!(
            !whole.contains("Page 1 of 12"),
            "the foot is no part of what is read"
        );
    }
}

#[test]
fn every_page_has_its_foot() {
    let pdf = sample_pdf(PageSize::A4);
    let pages = pdf.pages();
    assert_eq!(pages.len(), 12);
    for (index, page) in pages.iter().enumerate() {
        let beside = pdf.painted(page).beside;
        for expected in [
            "Job 31, 14 Sample Lane",
            &format!("Page {} of 12", index + 1),
            "Pack 4f2a 9c07 e1d5",
        ] {
            assert!(beside.contains(expected), "{beside}");
        }
    }
}

#[test]
fn pages_have_the_size_of_their_paper() {
    for (size, expected) in [
        (PageSize::Letter, [612.0, 792.0]),
        (PageSize::A4, [595.2756, 841.8898]),
    ] {
        let pdf = sample_pdf(size);
        let media = pdf.get(&pdf.pages()[0], "MediaBox");
        let corner: Vec<f64> = media.array().iter().filter_map(Object::number).skip(2).collect();
        assert!((corner[0] - expected[0]).abs() < 0.01 && (corner[1] - expected[1]).abs() < 0.01);
    }
}

#[test]
fn tags_and_titles_are_there_for_who_cannot_see() {
    let pdf = sample_pdf(PageSize::Letter);
    let root = pdf.root();
    assert_eq!(pdf.get(&root, "Lang").words().as_deref(), Some("en"));
    assert_eq!(pdf.get(&pdf.get(&root, "MarkInfo"), "Marked"), Object::Bool(true));
    assert_eq!(
        pdf.get(&pdf.get(&root, "ViewerPreferences"), "DisplayDocTitle"),
        Object::Bool(true)
    );
    let said = pdf.read_aloud();
    let figures = of_role(&said, "Figure");
    // The wall, section, plot, nine photos, a signature, six tiles.
    assert_eq!(figures.len(), 19);
    assert!(
        figures
            .iter()
            .all(|figure| figure.alt.as_ref().is_some_and(|alt| alt.len() > 10))
    );
    assert_eq!(of_role(&said, "H1").len(), 4);
    assert_eq!(of_role(&said, "H2").len(), 3);
    assert_eq!(of_role(&said, "Table").len(), 2);
    assert_eq!(of_role(&said, "TR").len(), 4 + 35);
    assert_eq!(of_role(&said, "TH").len(), 4 + 4);
    assert_eq!(of_role(&said, "LI").len(), 3);
}

#[test]
fn the_outline_has_the_headings_as_a_tree() {
    let pdf = sample_pdf(PageSize::Letter);
    let mut first = pdf.get(&pdf.get(&pdf.root(), "Outlines"), "First");
    let mut titles = Vec::new();
    while first != Object::Null {
        titles.push(pdf.get(&first, "Title").words().unwrap());
        let below = pdf.get(&first, "First");
        if titles.len() == 2 {
            assert_eq!(pdf.get(&below, "Title").words().as_deref(), Some("Heat load"));
        }
        first = pdf.get(&first, "Next");
    }
    assert_eq!(
        titles,
        [
            "Claim for a wood stove changed out",
            "Figures",
            "Photos",
            "Signatures"
        ]
    );
}

/// Lengths of the level lines of a page in points.
fn level_lines(pdf: &Pdf, page: &Object) -> Vec<f64> {
    let level = |(from, to): &((f64, f64), (f64, f64))| {
        ((from.1 - to.1).abs() < 1e-3).then_some((from.0 - to.0).abs())
    };
    pdf.painted(page).lines.iter().filter_map(level).collect()
}

fn count(lengths: &[f64], millimetres: f64) -> usize {
    lengths
        .iter()
        .filter(|length| (**length / 72.0 * 25.4 - millimetres).abs() < 0.01)
        .count()
}

#[test]
fn a_metre_at_one_to_ten_measures_a_hundred_millimetres() {
    for size in SIZES {
        let pdf = sample_pdf(size);
        let pages = pdf.pages();
        let lengths: Vec<f64> = pages
            .iter()
            .take(6)
            .flat_map(|page| level_lines(&pdf, page))
            .collect();
        assert_eq!(count(&lengths, 100.0), 1, "{size:?}");
        // The wall of the flue, 0.6 m outside, is 60 mm: its dimension line.
        assert_eq!(count(&lengths, 60.0), 1, "{size:?}");
    }
}

#[test]
fn every_full_size_page_has_its_bars_and_the_cut_is_full_size() {
    for size in SIZES {
        let pdf = sample_pdf(size);
        let pages = pdf.pages();
        for page in &pages[6..] {
            let lengths = level_lines(&pdf, page);
            assert_eq!(count(&lengths, 100.0), 1, "{size:?}");
            assert_eq!(count(&lengths, 101.6), 1, "{size:?}");
            // Both level edges of the cut, 11 in, and its dimension line.
            assert!(count(&lengths, 279.4) >= 3, "{size:?}");
        }
    }
}

#[test]
fn neighbouring_pages_meet_at_the_line() {
    let pdf = sample_pdf(PageSize::Letter);
    let pages = pdf.pages();
    let upright = |page: usize| -> Vec<f64> {
        let height = |(from, to): &((f64, f64), (f64, f64))| {
            let long = (from.0 - to.0).abs() < 1e-3 && (from.1 - to.1).abs() > 300.0;
            long.then_some(from.0)
        };
        pdf.painted(&pages[page])
            .lines
            .iter()
            .filter_map(height)
            .collect()
    };
    // The centre line is on A2 alone; the left edge of A2 is where A1 has its line.
    let (a1, a2) = (upright(6), upright(7));
    let left = 18.0 / 25.4 * 72.0;
    let right = 612.0 - left - 12.0 / 25.4 * 72.0;
    assert!(a1.iter().any(|x| (x - right).abs() < 0.01), "{a1:?}");
    assert!(a2.iter().any(|x| (x - left).abs() < 0.01), "{a2:?}");
    // The left edge of the cut lies on A1 and, moved by one page, at the same place on A2.
    let step = right - left;
    let shared = a1
        .iter()
        .filter(|x| a2.iter().any(|y| (*x - step - y).abs() < 0.01))
        .count();
    assert!(shared >= 2, "{a1:?} {a2:?}");
}
