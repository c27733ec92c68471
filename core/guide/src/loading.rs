//! What goes on the truck before a visit, as data.

use serde::Deserialize;

use crate::guide::Guide;

/// One line of the data: for which visit, and where what is loaded comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Load {
    /// The visit.
    pub visit: String,
    /// What is loaded.
    pub of: LoadOf,
}

/// Where what is loaded comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LoadOf {
    /// The answer of an ask.
    Answer(String),
    /// A result of figures: a quantity, a count, or a list of pieces.
    Figures {
        /// Their id.
        figures: String,
        /// JSON pointer into their result.
        at: String,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RawLoad {
    visit: String,
    ask: Option<String>,
    figures: Option<String>,
    at: Option<String>,
}

impl Load {
    pub(crate) fn settle(raw: RawLoad, guide: &Guide) -> Result<Self, String> {
        guide.check_visit(&raw.visit)?;
        let of = match (raw.ask, raw.figures, raw.at) {
            (Some(ask), None, None) => {
                guide.check_ask(&ask)?;
                LoadOf::Answer(ask)
            }
            (None, Some(figures), Some(at)) if at.starts_with('/') => {
                if !guide.figures.iter().any(|plan| plan.id == figures) {
                    return Err(format!("there are no figures \"{figures}\""));
                }
                LoadOf::Figures { figures, at }
            }
            _ => {
                return Err(
                    "what is loaded is an answer or a figure: write ask = \"…\", or figures = \"…\" with at = \"/…\""
                        .to_owned(),
                );
            }
        };
        Ok(Self { visit: raw.visit, of })
    }
}
