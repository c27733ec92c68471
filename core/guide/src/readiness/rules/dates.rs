//! Dates: their order, deadlines, and what has to be valid or kept until when.

use chrono::TimeDelta;
use wythe_job::{FactId, Value};

use crate::calendar::{Date, local_date, read_date};
use crate::evidence::Lapse;
use crate::known::Answer;

use super::super::Why;
use super::super::times::{self, Basis};
use super::{Found, Judge, not_yet};

impl Judge<'_, '_> {
    pub(super) fn order(&self, events: &[String]) -> Found {
        let mut last: Option<(Date, &str)> = None;
        let mut evidence = Vec::new();
        for id in events {
            let Some(event) = times::event(self.known, id, self.path) else {
                return Found::missing(Some(not_yet(id))).with_evidence(evidence);
            };
            evidence.extend(event.fact);
            let Some(date) = event.date else { continue };
            if let Some((before, name)) = last
                && date < before
            {
                let why = Why::new(
                    "why-order",
                    &[
                        ("first", format!("#event-{name}")),
                        ("second", format!("#event-{id}")),
                        ("date", date.to_string()),
                    ],
                );
                return Found::does_not_count(why, evidence).on(Basis::Date);
            }
            last = Some((date, id));
        }
        Found::met(evidence).on(Basis::Date)
    }

    pub(super) fn within(&self, id: &str) -> Found {
        let Some(deadline) = self.programme.deadline(id) else {
            return Found::missing(None);
        };
        let due = times::due_date(self.known, deadline);
        let Some(happened) = times::event(self.known, &deadline.to, self.path) else {
            return Found::missing(Some(not_yet(&deadline.to)));
        };
        let evidence: Vec<FactId> = happened.fact.into_iter().collect();
        match (happened.date, due) {
            (Some(date), Some(due)) if date > due => {
                let why = Why::new(
                    "why-late",
                    &[("date", date.to_string()), ("due", due.to_string())],
                );
                Found::does_not_count(why, evidence)
            }
            (Some(_), Some(_)) => Found::met(evidence).on(Basis::Date),
            _ => Found::missing(Some(not_yet(&deadline.from))),
        }
    }

    pub(super) fn valid(&self, ask: &str, on: &str, lapse: Lapse) -> Found {
        let Some((until, answer)) = self.date(ask) else {
            return Found::missing(None);
        };
        let day = times::event(self.known, on, self.path)
            .and_then(|event| event.date)
            .unwrap_or(self.today);
        if day <= until {
            return Found::met(vec![answer.fact]);
        }
        let why = Why::new(
            "why-lapsed",
            &[("until", until.to_string()), ("date", day.to_string())],
        );
        Found::lapsed(lapse, why, vec![answer.fact])
    }

    /// Every instrument whose calibration is told was calibrated not longer than so many days before the
    /// visit on which it was used.
    pub(super) fn calibrated(&self, days: u16, lapse: Lapse) -> Found {
        let mut evidence = Vec::new();
        let moments = self.known.job.visits.values().flatten();
        for moment in moments.filter(|moment| moment.holds()) {
            let used = local_date(moment.body.at.unwrap_or(moment.at), self.known.zone());
            for instrument in &moment.body.instruments {
                let calibrated = instrument.calibrated.as_deref().and_then(read_date);
                let good = calibrated
                    .zip(TimeDelta::try_days(i64::from(days)))
                    .and_then(|(calibrated, days)| calibrated.checked_add_signed(days));
                let (Some(good), Some(used)) = (good, used) else {
                    continue;
                };
                if used > good {
                    let why = Why::new(
                        "why-calibration",
                        &[
                            ("name", instrument.name.clone()),
                            ("until", good.to_string()),
                            ("date", used.to_string()),
                        ],
                    );
                    return Found::lapsed(lapse, why, vec![moment.fact]);
                }
                evidence.push(moment.fact);
            }
        }
        if evidence.is_empty() {
            return Found::missing(None);
        }
        evidence.dedup();
        Found::met(evidence)
    }

    pub(super) fn held_for(&self, ask: &str, days: u16, from: &str) -> Found {
        let Some((until, answer)) = self.date(ask) else {
            return Found::missing(None);
        };
        let begun = times::event(self.known, from, self.path).and_then(|event| event.date);
        let least = begun
            .zip(TimeDelta::try_days(i64::from(days)))
            .and_then(|(begun, days)| begun.checked_add_signed(days));
        let Some(least) = least else {
            return Found::missing(Some(not_yet(from))).with_evidence(vec![answer.fact]);
        };
        if until >= least {
            return Found::met(vec![answer.fact]).on(Basis::Date);
        }
        let why = Why::new(
            "why-not-kept-long-enough",
            &[("until", until.to_string()), ("least", least.to_string())],
        );
        Found::does_not_count(why, vec![answer.fact])
    }

    fn date(&self, ask: &str) -> Option<(Date, Answer<'_>)> {
        let answer = self.known.answer_in(ask, self.path)?;
        let Value::Date(text) = answer.value else {
            return None;
        };
        Some((read_date(text)?, answer))
    }
}
