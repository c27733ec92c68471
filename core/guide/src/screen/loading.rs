//! What goes on the truck before a visit, as a list to be ticked off.

use serde_json::Value as Json;

use crate::known::Standing;
use crate::loading::LoadOf;

use super::make::Make;
use super::text::figure_text;
use super::{Block, BlockState, ListItem};

impl Make<'_, '_> {
    /// The blocks of a visit's loading list; none for a visit to which nothing is taken.
    pub(super) fn loading(&self, visit: &str) -> Vec<Block> {
        let loads = self.known.guide.loads.iter();
        let mut items: Vec<ListItem> = Vec::new();
        for load in loads.filter(|load| load.visit == visit) {
            items.extend(match &load.of {
                LoadOf::Answer(ask) => self.load_answer(ask),
                LoadOf::Figures { figures, at } => self.load_figures(figures, at),
            });
        }
        if items.is_empty() {
            return Vec::new();
        }
        for (item, number) in items.iter_mut().zip(1..) {
            item.id = format!("load-{number}");
        }
        vec![
            Block::Text {
                id: "load-title".to_owned(),
                text: self.words.get("load-title"),
                heading: true,
            },
            Block::List {
                id: "load".to_owned(),
                items,
            },
            Block::Action {
                id: format!("print/loading_list/{visit}"),
                label: self.words.get("action-print-loading-list"),
            },
        ]
    }

    fn load_answer(&self, id: &str) -> Vec<ListItem> {
        let Some(ask) = self.known.guide.ask(id) else {
            return Vec::new();
        };
        let addresses = self.known.addresses(ask, &[]).into_iter();
        let applying = addresses.filter(|address| self.known.applies(ask, &address.path));
        applying
            .map(|address| {
                let title = self.words.get(&format!("ask-{id}"));
                match self.known.standing(&address) {
                    Standing::Holds(entry) => known(title, self.value_text(&entry.body)),
                    _ => waiting(title, self.words.get("load-not-known")),
                }
            })
            .collect()
    }

    fn load_figures(&self, id: &str, at: &str) -> Vec<ListItem> {
        let title = self.words.get(&format!("figures-{id}"));
        let Some(figures) = self.figures.iter().find(|figures| figures.id == id) else {
            return vec![waiting(title, self.words.get("load-not-known"))];
        };
        let Some(result) = figures.good() else {
            let lacking: Vec<String> = figures.missing.iter().map(|what| self.lacking(what)).collect();
            let note = self.words.with("load-waits", &[("what", &lacking.join(", "))]);
            return vec![waiting(title, note)];
        };
        // Nothing is loaded by figures that say it will not do.
        if let Some(stop) = figures.first_stop() {
            return vec![waiting(title, stop.to_owned())];
        }
        match result.pointer(at) {
            None | Some(Json::Null) => Vec::new(),
            Some(Json::Array(pieces)) => self.load_pieces(pieces),
            Some(value) => {
                let name = format!("figure-{}{}", figures.reckoning, at.replace('/', "-"));
                vec![known(self.words.get(&name), figure_text(value, self.words))]
            }
        }
    }

    /// Pieces counted: alike are those of one name to which the same is done.
    fn load_pieces(&self, pieces: &[Json]) -> Vec<ListItem> {
        let mut alike: Vec<(String, String, usize)> = Vec::new();
        for piece in pieces {
            let name = piece.get("id").and_then(Json::as_str).unwrap_or_default();
            let note = self.piece_note(piece);
            match alike
                .iter_mut()
                .find(|(known, said, _)| known == name && *said == note)
            {
                Some((.., count)) => *count += 1,
                None => alike.push((name.to_owned(), note, 1)),
            }
        }
        let item = |(name, note, count): (String, String, usize)| {
            let count = count.to_string();
            let title = self
                .words
                .with("load-pieces", &[("count", &count), ("name", &name)]);
            known(title, note)
        };
        alike.into_iter().map(item).collect()
    }

    /// What is done to a piece, or how long it is.
    fn piece_note(&self, piece: &Json) -> String {
        let length = |key: &str| {
            let length = piece.get(key).filter(|length| !length.is_null());
            length.map_or_else(String::new, |length| figure_text(length, self.words))
        };
        if piece.get("cut").and_then(Json::as_bool) == Some(true) {
            return self
                .words
                .with("load-cut", &[("length", &length("overall_length"))]);
        }
        match piece.get("kind").and_then(Json::as_str) {
            Some("adjustable") => self
                .words
                .with("load-set", &[("length", &length("effective_length"))]),
            _ => length("overall_length"),
        }
    }
}

fn known(title: String, detail: String) -> ListItem {
    ListItem {
        id: String::new(),
        title,
        detail,
        state: BlockState::Filled,
    }
}

fn waiting(title: String, detail: String) -> ListItem {
    ListItem {
        state: BlockState::Waiting,
        ..known(title, detail)
    }
}
