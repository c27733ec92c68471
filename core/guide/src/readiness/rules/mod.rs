//! The rules: each kind of evidence held against what is known.

mod alone;
mod dates;
mod shown;
mod texts;

pub(super) use texts::clerk;

use wythe_job::{Address, FactId, Place};

use crate::calendar::Date;
use crate::evidence::{Evidence, Lapse};
use crate::figures::Figures;
use crate::known::Known;
use crate::programme::{Programme, Requirement};

use super::times::{self, Basis};
use super::{Elsewhere, Row, State, Why};

/// Judges one requirement for one instance.
pub(super) struct Judge<'j, 'k> {
    pub known: &'j Known<'k>,
    pub programme: &'j Programme,
    pub figures: &'j [Figures],
    pub elsewhere: &'j Elsewhere,
    pub today: Date,
    pub path: &'j [Place],
}

/// What a rule found.
#[derive(Default)]
struct Found {
    state: Option<State>,
    why: Option<Why>,
    evidence: Vec<FactId>,
    rests_on: Box<[Basis]>,
    passed_over: Vec<(FactId, Why)>,
    lapse: Option<Lapse>,
}

impl Found {
    /// Something that has lapsed: told, or not counted, as the programme says.
    fn lapsed(lapse: Lapse, why: Why, evidence: Vec<FactId>) -> Self {
        let state = match lapse {
            Lapse::Caution => State::Doubtful,
            Lapse::Claim | Lapse::Stop => State::DoesNotCount,
        };
        Self {
            state: Some(state),
            why: Some(why),
            evidence,
            lapse: (lapse != Lapse::Claim).then_some(lapse),
            ..Self::default()
        }
    }

    fn met(evidence: Vec<FactId>) -> Self {
        Self {
            state: Some(State::Met),
            evidence,
            ..Self::default()
        }
    }

    fn missing(why: Option<Why>) -> Self {
        Self {
            state: Some(State::Missing),
            why,
            ..Self::default()
        }
    }

    fn does_not_count(why: Why, evidence: Vec<FactId>) -> Self {
        Self {
            state: Some(State::DoesNotCount),
            why: Some(why),
            evidence,
            ..Self::default()
        }
    }

    fn not_needed() -> Self {
        Self {
            state: Some(State::NotNeeded),
            ..Self::default()
        }
    }

    fn with_evidence(self, evidence: Vec<FactId>) -> Self {
        Self { evidence, ..self }
    }

    fn on(self, basis: Basis) -> Self {
        Self {
            rests_on: Box::new([basis]),
            ..self
        }
    }
}

/// An event that is not recorded yet, as a reason.
fn not_yet(event: &str) -> Why {
    Why::new("why-event-not-yet", &[("event", format!("#event-{event}"))])
}

impl Judge<'_, '_> {
    pub fn row(&self, requirement: &Requirement) -> Row {
        let mut row = requirement.row(self.path, State::NotNeeded);
        if requirement
            .when
            .as_ref()
            .is_some_and(|when| !when.holds(self.known, self.path))
        {
            return row;
        }
        let found = self.judge(&requirement.evidence);
        row.state = found.state.unwrap_or(State::Missing);
        row.why = found.why;
        row.evidence = found.evidence;
        row.rests_on = found.rests_on.into_vec();
        row.passed_over = found.passed_over;
        row.lapse = found.lapse;
        let deadline = match &requirement.evidence {
            Evidence::Within { deadline } => Some(deadline),
            _ => requirement.due.as_ref(),
        };
        let deadline = deadline.and_then(|id| self.programme.deadline(id));
        row.due = deadline.and_then(|deadline| times::due_date(self.known, deadline));
        let waits = requirement.waits_since.as_ref();
        let may_wait = waits.is_some_and(|event| times::event(self.known, event, self.path).is_some());
        let overdue = row.due.filter(|due| *due < self.today);
        if row.state == State::Missing && may_wait && overdue.is_none() {
            row.state = State::Waiting;
        }
        let says_more = row
            .why
            .as_ref()
            .is_some_and(|why| why.code != "why-event-not-yet");
        if let Some(due) = overdue
            && row.state == State::Missing
            && !says_more
        {
            row.why = Some(Why::new("why-overdue", &[("date", due.to_string())]));
        }
        row
    }

    fn judge(&self, evidence: &Evidence) -> Found {
        match evidence {
            Evidence::Photo {
                ask,
                before,
                after,
                grade,
                tag,
                as_many_as,
            } => self.photo(&shown::Wanted {
                ask,
                before: before.as_deref(),
                after: after.as_deref(),
                grade: grade.as_deref(),
                tag: *tag,
                as_many_as: as_many_as.as_deref(),
            }),
            Evidence::Paper { ask, fields } => self.paper(ask, fields),
            Evidence::Signature { ask } => self.signature(ask),
            Evidence::Answer { ask, must } => self.answer(ask, must.as_deref()),
            Evidence::Same { asks } => self.alike(asks, "why-not-the-same", &texts::squeeze),
            Evidence::Alike { asks } => self.alike(asks, "why-not-alike", &texts::clerk),
            Evidence::Order { events } => self.order(events),
            Evidence::Within { deadline } => self.within(deadline),
            Evidence::Valid { ask, on, lapse } => self.valid(ask, on, *lapse),
            Evidence::Calibrated { days, lapse } => self.calibrated(*days, *lapse),
            Evidence::HeldFor { ask, days, from } => self.held_for(ask, *days, from),
            Evidence::Figures { figures } => self.kept_figures(figures),
            Evidence::Mentions { ask, of, not_only } => self.mentions(ask, of, not_only),
            Evidence::Grant { ask } => self.grant(ask),
            Evidence::Once { of } => self.once(*of),
        }
    }

    /// The addresses at which an ask applies here, or nothing to be shown where it applies nowhere.
    fn addresses(&self, ask: &str) -> Result<Vec<Address>, Found> {
        let Some(ask) = self.known.guide.ask(ask) else {
            return Err(Found::missing(None));
        };
        let all = self.known.addresses(ask, self.path);
        let (total, applying): (usize, Vec<Address>) = (
            all.len(),
            all.into_iter()
                .filter(|address| self.known.applies(ask, &address.path))
                .collect(),
        );
        match (total, applying.len()) {
            (0, _) => Err(Found::missing(None)),
            (_, 0) => Err(Found::not_needed()),
            _ => Ok(applying),
        }
    }
}
