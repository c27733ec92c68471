use minicbor::{Decode, Encode};

use crate::address::Address;
use crate::id::{Digest, FactId, VisitId};
use crate::limits::{MAX_MANY, MAX_STROKE_POINTS, MAX_TEXT_BYTES};
use crate::rules::{Kept, Rules, code, facts, holds, language, list, name, words};
use crate::value::Position;

/// A point of a signature's stroke.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct StrokePoint {
    /// Across, in thousandths of the pad's width.
    #[n(0)]
    pub x: i32,
    /// Down, in thousandths of the pad's width.
    #[n(1)]
    pub y: i32,
    /// Milliseconds since the first touch.
    #[n(2)]
    pub ms: u32,
    /// Pressure in thousandths, where the pad tells it.
    #[n(3)]
    pub pressure: Option<u16>,
}

/// A person signed, declined to, or signed on paper.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Signed {
    /// For which ask.
    #[n(0)]
    pub address: Address,
    /// `signed`, `declined` or `on_paper`.
    #[n(1)]
    pub act: String,
    /// In what role: `owner`, `renter`, `fitter` ...
    #[n(2)]
    pub role: String,
    /// The name as given.
    #[n(3)]
    pub name: String,
    /// The words as shown, in the language shown.
    #[n(4)]
    pub words: String,
    /// That language, as BCP 47.
    #[n(5)]
    pub language: String,
    /// The version of the consent words.
    #[n(6)]
    pub consent_version: u32,
    /// The drawn strokes.
    #[n(7)]
    pub strokes: Vec<Vec<StrokePoint>>,
    /// The facts it covers, in ascending order.
    #[n(8)]
    pub covers: Vec<FactId>,
    /// SHA-256 of the summary as shown.
    #[n(9)]
    pub summary_digest: Digest,
    /// Where, if the signer allowed it.
    #[n(10)]
    pub position: Option<Position>,
    /// Whether a copy was handed over.
    #[n(11)]
    pub copy_given: Option<bool>,
    /// On which visit.
    #[n(12)]
    pub visit: Option<VisitId>,
}

impl Rules for StrokePoint {
    fn keeps(&self) -> Kept {
        let near = |n: i32| (-10_000..=10_000).contains(&n);
        holds(
            "strokes",
            near(self.x) && near(self.y),
            "goes far outside the pad",
        )?;
        let fits = self.pressure.is_none_or(|n| n <= 1_000);
        holds("pressure", fits, "is above 1,000")
    }
}

impl Rules for Signed {
    fn keeps(&self) -> Kept {
        self.address.names_an_ask()?;
        code("act", &self.act)?;
        code("role", &self.role)?;
        name("name", &self.name)?;
        words("words", &self.words, MAX_TEXT_BYTES)?;
        language("language", &self.language)?;
        list("strokes", &self.strokes, MAX_MANY)?;
        let points: usize = self.strokes.iter().map(Vec::len).sum();
        holds("strokes", points <= MAX_STROKE_POINTS, "has too many points")?;
        let drawn = !self.strokes.iter().any(Vec::is_empty);
        holds("strokes", drawn, "has a stroke without points")?;
        self.strokes.iter().try_for_each(Rules::keeps)?;
        facts("covers", &self.covers, MAX_MANY)?;
        self.position.keeps()
    }
}
