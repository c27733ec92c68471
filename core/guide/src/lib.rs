//! Stages, visits, asks, programmes, readiness, figures and screens, read from data files.
//!
//! Invariant: what is asked and what a programme wants is data; words that people read are messages.
//!
//! A [`Guide`] says what a job asks; a [`Programme`] says what must be shown to be paid, and by when.
//! [`Known`] is what a folded job knows in the guide's terms; [`readiness`] holds one against the
//! other; [`figures`] fills the reckonings from it; [`screen`] describes what a person sees.

mod ask;
mod ask_file;
mod calendar;
mod changes;
mod condition;
mod consent;
mod entry;
mod evidence;
pub mod figures;
mod guide;
mod known;
mod load;
mod loading;
pub mod pictures;
mod programme;
pub mod readiness;
pub mod screen;
mod stages_file;
mod stops;
mod timer;
mod visits;
mod wall;
mod words;

pub use ask::{Ask, AskKind, Careful, Group, Range, Stage, VisitSort};
pub use calendar::{Date, days_between, local_date, read_date};
pub use changes::{RuleChange, RuleOf, rule_changes};
pub use condition::{Condition, Scope};
pub use consent::{CONSENT_ITEMS, CONSENT_VERSION, ConsentOf, consent};
pub use entry::{Doubt, Entry, EntryRefusal, read_entry, read_moment, read_place, show_held, show_value};
pub use evidence::{Evidence, Lapse, OnceOf};
pub use figures::{FiguresPlan, Source};
pub use guide::{Event, Guide};
pub use known::{Answer, Known, Standing};
pub use load::LoadFault;
pub use loading::{Load, LoadOf};
pub use programme::{Deadline, Labels, Programme, Requirement};
pub use readiness::{Basis, Elsewhere, Readiness, Row, State, Why};
pub use stops::{LiftedBy, OpenStop, Stop, open_stops};
pub use timer::{ClockSetBack, Timer};
pub use visits::{VisitNeed, VisitStand, VisitState, visit_needs, visit_not_left, visits};
pub use wall::{Brick, in_words, row_label, wall_of};
pub use words::{Language, Words};
