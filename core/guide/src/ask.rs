use wythe_units::Dimension;

use crate::condition::Condition;

/// A stage of the job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stage {
    /// Its id.
    pub id: String,
}

/// A sort of visit, in the order in which a job usually has them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitSort {
    /// Its id.
    pub id: String,
    /// Whether the house is left open over it, so that "left safe" is asked when it pauses.
    pub leaves_house_open: bool,
}

/// Something there can be several of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// Its id.
    pub id: String,
    /// How many there are at least without anybody adding one.
    pub least: u32,
}

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum AskKind {
    /// A measured quantity.
    Quantity(Dimension),
    /// A plain number with what it counts: `ppm`, `percent`, `in_12` for the pitch of a roof.
    Number(String),
    /// One of these.
    Choice(Vec<String>),
    /// Yes or no.
    YesNo,
    /// How many.
    Count,
    /// Words.
    Text,
    /// A date.
    Date,
    /// A span of time.
    Span,
    /// Money.
    Money,
    /// A place on the earth.
    Place,
    /// A person.
    Person,
    /// Several texts.
    List,
    /// A photograph.
    Photo,
    /// A document.
    Paper,
    /// A signature of somebody in this role.
    Signature(String),
}

/// Bounds in base units; open where there is none.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Range {
    /// The least.
    pub least: Option<f64>,
    /// The most.
    pub most: Option<f64>,
}

impl Range {
    /// Whether a figure lies outside.
    #[must_use]
    pub fn misses(&self, figure: f64) -> bool {
        let slack = |bound: f64| 1e-9 * bound.abs().max(1e-9);
        self.least.is_some_and(|least| figure < least - slack(least))
            || self.most.is_some_and(|most| figure > most + slack(most))
    }
}

/// Which of two measurements within the tolerance is the careful one.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Careful {
    /// The smaller: a fit, a clearance.
    #[default]
    Smaller,
    /// The larger: a load, a distance to be bridged.
    Larger,
}

/// One thing that is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Its id: `stage.name`.
    pub id: String,
    /// Its stage.
    pub stage: String,
    /// The step of the stage that it is asked in.
    pub step: String,
    /// The visit on which it is usually met.
    pub visit: String,
    /// What is asked for.
    pub kind: AskKind,
    /// Asked for each of these.
    pub each: Option<String>,
    /// When it applies; always, if nothing is said.
    pub when: Option<Condition>,
    /// Outside of this an entry is refused.
    pub refused: Range,
    /// Outside of this an entry is kept and marked doubtful.
    pub doubtful: Range,
    /// Narrower bounds where a condition holds, such as one fuel or the other; the first that holds.
    pub usual_when: Vec<(Condition, Range)>,
    /// Where the bounds come from: a source, `common practice`, or `from memory`.
    pub mark: Option<String>,
    /// How far two measurements may differ without a disagreement, in the base unit.
    pub tolerance: f64,
    /// Which of two within the tolerance is used.
    pub careful: Careful,
    /// Who may answer; anybody, if empty.
    pub roles: Vec<String>,
    /// A caution shown with it.
    pub caution: Option<String>,
    /// Not needed for the stage to be whole.
    pub optional: bool,
    /// What a span's timer is tapped at, as `turn`; none where it is only started and stopped.
    pub tap: Option<String>,
    /// Measured on the roof: large targets, one ask at a time.
    pub roof: bool,
    /// Something done that cannot be undone: held while a stop blocks its stage or step.
    pub act: bool,
    /// What a signature is for: stages, or steps as `stage.step`; every stage up to its own, if empty.
    pub signs_for: Vec<String>,
    /// Told once a visit: the role of who came, or `business`, and what is known of them.
    pub filled_from: Option<(String, String)>,
    /// The signature that signs the work off: closed while a stop blocks the sign-off.
    pub sign_off: bool,
    /// A photo with the old stove in the frame, and the job's tag beside it.
    pub tag: bool,
}

impl AskKind {
    /// Whether it is answered by typing or choosing.
    #[must_use]
    pub fn is_typed(&self) -> bool {
        !matches!(self, Self::Photo | Self::Paper | Self::Signature(_))
    }

    /// Whether a figure is typed: what costs gloves and daylight on a roof.
    #[must_use]
    pub fn is_figure(&self) -> bool {
        matches!(self, Self::Quantity(_) | Self::Number(_) | Self::Count)
    }

    /// Its name for a shell: `length`, `yes_no`, `choice`, `photo` ...
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Quantity(dimension) => dimension.code(),
            Self::Number(unit) => unit,
            Self::Choice(_) => "choice",
            Self::YesNo => "yes_no",
            Self::Count => "count",
            Self::Text => "text",
            Self::Date => "date",
            Self::Span => "span",
            Self::Money => "money",
            Self::Place => "place",
            Self::Person => "person",
            Self::List => "list",
            Self::Photo => "photo",
            Self::Paper => "paper",
            Self::Signature(_) => "signature",
        }
    }
}
