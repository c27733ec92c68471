use wythe_guide::Words;
use wythe_guide::figures::Figures;
use wythe_guide::screen::ListItem;

use crate::paper::{Align, Block, Column, Document, Foot, Level, PageSize, Table};

use super::evidence::NOTHING;
use super::sections::drawings;
use super::trim_sheet::SheetOf;

/// What goes on the truck before a visit, line by line with room for a tick, and the drawings of the
/// figures behind it: the pieces in their order.
#[must_use]
pub fn loading_sheet(
    visit: &str,
    items: &[ListItem],
    figures: &[&Figures],
    words: &Words,
    size: PageSize,
    of: SheetOf<'_>,
) -> Document {
    let visit = words.get(&format!("visit-{visit}"));
    let title = words.with("load-paper", &[("visit", &visit)]);
    let column = |head: &str, share: f64| Column {
        head: words.get(head),
        share,
        align: Align::Start,
    };
    let said = |text: &str| {
        if text.is_empty() {
            NOTHING.into()
        } else {
            text.into()
        }
    };
    let row = |item: &ListItem| vec![said(&item.title), said(&item.detail), TICK.into()];
    let mut blocks = vec![
        Block::Heading(Level::One, title.clone()),
        Block::Table(Table {
            summary: title.clone(),
            columns: vec![
                column("load-column-piece", 4.0),
                column("load-column-note", 4.0),
                column("load-column-there", 1.6),
            ],
            rows: items.iter().map(row).collect(),
        }),
    ];
    blocks.extend(figures.iter().flat_map(|figures| drawings(figures, words)));
    Document {
        language: words.language().tag().to_owned(),
        as_of: of.day,
        author: of.business.to_owned(),
        creator: of.software.to_owned(),
        id: format!("{} {title}", of.job),
        size,
        foot: Foot {
            left: of.job.to_owned(),
            pages: words.get("claim-pages"),
            right: title.clone(),
        },
        title,
        blocks,
    }
}

/// Room for a tick.
const TICK: &str = "_____";
