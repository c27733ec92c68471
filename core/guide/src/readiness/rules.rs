use wythe_job::{Address, Entry, FactId, Order, PhotoTaken, Place, Value};

use crate::ask::AskKind;
use crate::calendar::{Date, read_date};
use crate::entry::show_value;
use crate::figures::Figures;
use crate::known::{Known, Standing};
use crate::programme::{Evidence, GRADES, OnceOf, Programme, Requirement};

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
    rests_on: Option<Basis>,
    passed_over: Vec<(FactId, Why)>,
}

impl Found {
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
        row.rests_on = found.rests_on;
        row.passed_over = found.passed_over;
        let deadline = match &requirement.evidence {
            Evidence::Within { deadline } => Some(deadline),
            _ => requirement.due.as_ref(),
        };
        let deadline = deadline.and_then(|id| self.programme.deadline(id));
        row.due = deadline.and_then(|deadline| times::due_date(self.known, deadline));
        let waits = requirement.waits_since.as_ref();
        let may_wait = waits.is_some_and(|event| times::event(self.known, event, self.path).is_some());
        let overdue = row.due.is_some_and(|due| due < self.today);
        if row.state == State::Missing && may_wait && !overdue {
            row.state = State::Waiting;
        }
        if row.state == State::Missing && overdue && row.why.is_none() {
            row.why = Some(Why::new(
                "why-overdue",
                &[("date", row.due.map_or_else(String::new, |d| d.to_string()))],
            ));
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
            } => self.photo(ask, before.as_deref(), after.as_deref(), grade.as_deref(), *tag),
            Evidence::Paper { ask, fields } => self.paper(ask, fields),
            Evidence::Signature { ask } => self.signature(ask),
            Evidence::Answer { ask, must } => self.answer(ask, must.as_deref()),
            Evidence::Same { asks } => self.alike(asks, "why-not-the-same", &squeeze),
            Evidence::Alike { asks } => self.alike(asks, "why-not-alike", &clerk),
            Evidence::Order { events } => self.order(events),
            Evidence::Within { deadline } => self.within(deadline),
            Evidence::Valid { ask, on } => self.valid(ask, on),
            Evidence::Figures { figures } => self.kept_figures(figures),
            Evidence::Mentions { ask, of, not_only } => self.mentions(ask, of, not_only),
            Evidence::Grant { ask } => self.grant(ask),
            Evidence::Once { of } => self.once(*of),
        }
    }

    fn addresses(&self, ask: &str) -> Vec<Address> {
        self.known
            .guide
            .ask(ask)
            .map(|ask| self.known.addresses(ask, self.path))
            .unwrap_or_default()
    }

    fn photo(
        &self,
        ask: &str,
        before: Option<&str>,
        after: Option<&str>,
        grade: Option<&str>,
        tag: bool,
    ) -> Found {
        let addresses = self.addresses(ask);
        let mut all = Found::met(Vec::new());
        for address in &addresses {
            let here = self.known.job.photos.iter().filter(|photo| photo.holds());
            let mut best: Option<Found> = None;
            for photo in here.filter(|photo| photo.body.address == *address) {
                let found = self.one_photo(photo, before, after, grade, tag);
                if let (Some(why), [fact]) = (&found.why, found.evidence.as_slice()) {
                    all.passed_over.push((*fact, why.clone()));
                }
                let better = best.as_ref().is_none_or(|best| best.state != Some(State::Met));
                if better {
                    best = Some(found);
                }
            }
            let Some(best) = best else {
                return Found::missing(None);
            };
            if best.state != Some(State::Met) {
                return Found {
                    passed_over: all.passed_over,
                    ..best
                };
            }
            all.evidence.extend(best.evidence);
            all.rests_on = all.rests_on.or(best.rests_on);
        }
        if addresses.is_empty() {
            Found::missing(None)
        } else {
            all
        }
    }

    fn one_photo(
        &self,
        photo: &Entry<PhotoTaken>,
        before: Option<&str>,
        after: Option<&str>,
        grade: Option<&str>,
        tag: bool,
    ) -> Found {
        let mut found = Found::met(vec![photo.fact]);
        let bounds = [
            (before, Order::Before, "why-photo-after-event"),
            (after, Order::After, "why-photo-before-event"),
        ];
        for (event, wanted, code) in bounds {
            let Some(id) = event else { continue };
            let Some(event) = times::event(self.known, id, self.path) else {
                // Before something that has not happened yet: so far it is before.
                if wanted == Order::After {
                    let why = Why::new("why-event-not-yet", &[("event", format!("#event-{id}"))]);
                    return Found::does_not_count(why, vec![photo.fact]);
                }
                continue;
            };
            let (order, basis) = times::photo_and_event(self.known, photo, &event);
            found.rests_on = Some(basis);
            if order != wanted {
                let date = event.date.map_or_else(String::new, |date| date.to_string());
                let why = Why::new(code, &[("event", format!("#event-{id}")), ("date", date)]);
                return Found {
                    rests_on: Some(basis),
                    ..Found::does_not_count(why, vec![photo.fact])
                };
            }
        }
        if let Some(wanted) = grade {
            let place = |code: &str| GRADES.iter().position(|known| *known == code);
            let held = photo.body.grade.as_ref();
            let enough = held.and_then(|grade| place(&grade.code)) >= place(wanted);
            let explained = held.is_some_and(|grade| grade.best_i_can.is_some());
            if !enough && !explained {
                let reasons = held.map(|grade| grade.reasons.join(", ")).unwrap_or_default();
                let why = Why::new(
                    "why-grade",
                    &[("wanted", format!("#grade-{wanted}")), ("reasons", reasons)],
                );
                return Found::does_not_count(why, vec![photo.fact]);
            }
        }
        if tag {
            let job = self
                .known
                .job
                .opened
                .first()
                .map(|opened| opened.fact.short())
                .unwrap_or_default();
            if !photo.body.tags.iter().any(|read| read.contains(&job)) {
                let code = if photo.body.tags.is_empty() {
                    "why-no-tag"
                } else {
                    "why-other-tag"
                };
                return Found::does_not_count(Why::new(code, &[]), vec![photo.fact]);
            }
        }
        found
    }

    fn paper(&self, ask: &str, fields: &[String]) -> Found {
        let Some(asked) = self.known.guide.ask(ask) else {
            return Found::missing(None);
        };
        let mut evidence = Vec::new();
        for address in self.known.addresses(asked, self.path) {
            let papers = self.known.evidence(asked, &address);
            if papers.is_empty() {
                return Found::missing(None);
            }
            evidence.extend(papers);
        }
        let mut absent = Vec::new();
        for field in fields {
            match self.known.answer_in(field, self.path) {
                Some(answer) => evidence.push(answer.fact),
                None => absent.push(format!("#ask-{field}")),
            }
        }
        if absent.is_empty() {
            Found::met(evidence)
        } else {
            let why = Why::new("why-fields-missing", &[("fields", absent.join("; "))]);
            Found {
                evidence,
                ..Found::missing(Some(why))
            }
        }
    }

    fn signature(&self, ask: &str) -> Found {
        let mut evidence = Vec::new();
        let addresses = self.addresses(ask);
        for address in &addresses {
            let signed = self.known.job.signatures.iter();
            let Some(last) = signed
                .rev()
                .find(|signed| signed.holds() && signed.body.address == *address)
            else {
                return Found::missing(None);
            };
            if last.body.act == "declined" {
                return Found::does_not_count(Why::new("why-declined", &[]), vec![last.fact]);
            }
            let changed = last
                .body
                .covers
                .iter()
                .any(|fact| self.known.job.is_replaced(*fact) || self.is_struck(*fact));
            if changed {
                return Found::does_not_count(Why::new("why-signed-an-earlier-state", &[]), vec![last.fact]);
            }
            evidence.push(last.fact);
        }
        if addresses.is_empty() {
            Found::missing(None)
        } else {
            Found::met(evidence)
        }
    }

    fn is_struck(&self, fact: FactId) -> bool {
        let entries = self.known.job.record.values().flatten();
        entries
            .into_iter()
            .any(|entry| entry.fact == fact && entry.struck.is_some())
    }

    fn answer(&self, ask: &str, must: Option<&crate::condition::Condition>) -> Found {
        let mut evidence = Vec::new();
        let addresses = self.addresses(ask);
        for address in &addresses {
            match self.known.standing(address) {
                Standing::Empty => return Found::missing(None),
                Standing::Disagrees(heads) => {
                    return Found {
                        state: Some(State::Disagreeing),
                        evidence: heads.iter().map(|head| head.fact).collect(),
                        ..Found::default()
                    };
                }
                Standing::Holds(entry) => {
                    evidence.push(entry.fact);
                    if must.is_some_and(|must| !must.holds(self.known, &address.path)) {
                        let value = show_value(&entry.body.value, wythe_units::DecimalSign::Point);
                        return Found::does_not_count(Why::new("why-answer", &[("value", value)]), evidence);
                    }
                }
            }
        }
        if addresses.is_empty() {
            Found::missing(None)
        } else {
            Found::met(evidence)
        }
    }

    fn alike(&self, asks: &[String], code: &str, plain: &dyn Fn(&str) -> String) -> Found {
        let mut evidence = Vec::new();
        let mut texts: Vec<String> = Vec::new();
        for ask in asks {
            let Some(answer) = self.known.answer_in(ask, self.path) else {
                let why = Why::new("why-fields-missing", &[("fields", format!("#ask-{ask}"))]);
                return Found {
                    evidence,
                    ..Found::missing(Some(why))
                };
            };
            evidence.push(answer.fact);
            texts.push(show_value(answer.value, wythe_units::DecimalSign::Point));
        }
        let first = texts.first().map(|text| plain(text));
        if texts.iter().all(|text| Some(plain(text)) == first) {
            return Found::met(evidence);
        }
        let different: Vec<String> = texts.iter().map(|text| format!("“{text}”")).collect();
        Found::does_not_count(Why::new(code, &[("texts", different.join(" · "))]), evidence)
    }

    fn order(&self, events: &[String]) -> Found {
        let mut last: Option<(Date, &str)> = None;
        let mut evidence = Vec::new();
        for id in events {
            let Some(event) = times::event(self.known, id, self.path) else {
                let why = Why::new("why-event-not-yet", &[("event", format!("#event-{id}"))]);
                return Found {
                    evidence,
                    ..Found::missing(Some(why))
                };
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
                return Found {
                    rests_on: Some(Basis::Date),
                    ..Found::does_not_count(why, evidence)
                };
            }
            last = Some((date, id));
        }
        Found {
            rests_on: Some(Basis::Date),
            ..Found::met(evidence)
        }
    }

    fn within(&self, id: &str) -> Found {
        let Some(deadline) = self.programme.deadline(id) else {
            return Found::missing(None);
        };
        let due = times::due_date(self.known, deadline);
        let Some(happened) = times::event(self.known, &deadline.to, self.path) else {
            let why = Why::new(
                "why-event-not-yet",
                &[("event", format!("#event-{}", deadline.to))],
            );
            return Found::missing(Some(why));
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
            (Some(_), Some(_)) => Found {
                rests_on: Some(Basis::Date),
                ..Found::met(evidence)
            },
            _ => Found::missing(Some(Why::new(
                "why-event-not-yet",
                &[("event", format!("#event-{}", deadline.from))],
            ))),
        }
    }

    fn valid(&self, ask: &str, on: &str) -> Found {
        let Some(answer) = self.known.answer_in(ask, self.path) else {
            return Found::missing(None);
        };
        let until = if let Value::Date(text) = answer.value {
            read_date(text)
        } else {
            None
        };
        let Some(until) = until else {
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
        Found::does_not_count(why, vec![answer.fact])
    }

    fn kept_figures(&self, figures: &str) -> Found {
        let here: Vec<&wythe_job::Entry<wythe_job::FiguresKept>> = self
            .known
            .job
            .figures
            .iter()
            .filter(|kept| {
                kept.holds() && kept.body.address.ask == figures && kept.body.address.path == self.path
            })
            .collect();
        let now = self
            .figures
            .iter()
            .find(|now| now.id == figures && now.path == self.path);
        let Some(kept) = here.last() else {
            return Found::missing(None);
        };
        if let Some(result) = now.and_then(Figures::good) {
            let was: Option<serde_json::Value> = serde_json::from_str(&kept.body.result).ok();
            if was.as_ref() != Some(result) {
                return Found::does_not_count(Why::new("why-figures-changed", &[]), vec![kept.fact]);
            }
            if result.get("verdict").and_then(serde_json::Value::as_str) == Some("fail") {
                return Found::does_not_count(Why::new("why-figures-stop", &[]), vec![kept.fact]);
            }
        }
        Found::met(vec![kept.fact])
    }

    fn mentions(&self, ask: &str, of: &[String], not_only: &[String]) -> Found {
        let Some(answer) = self.known.answer_in(ask, self.path) else {
            return Found::missing(None);
        };
        let text = squeeze(&show_value(answer.value, wythe_units::DecimalSign::Point));
        if not_only.iter().any(|word| squeeze(word) == text) {
            return Found::does_not_count(Why::new("why-too-general", &[("text", text)]), vec![answer.fact]);
        }
        let mut evidence = vec![answer.fact];
        for other in of {
            if let Some(named) = self.known.answer_in(other, self.path) {
                evidence.push(named.fact);
                let named = squeeze(&show_value(named.value, wythe_units::DecimalSign::Point));
                if !named.is_empty() && text.contains(&named) {
                    return Found::met(evidence);
                }
            }
        }
        Found::does_not_count(Why::new("why-not-named", &[("text", text)]), evidence)
    }

    fn grant(&self, ask: &str) -> Found {
        let Some(answer) = self.known.answer_in(ask, self.path) else {
            return Found::missing(None);
        };
        match answer.value {
            Value::Money { amount, currency }
                if *amount == self.programme.grant && *currency == self.programme.currency =>
            {
                Found::met(vec![answer.fact])
            }
            other => {
                let value = show_value(other, wythe_units::DecimalSign::Point);
                let grant = format!("{} {}", self.programme.grant, self.programme.currency);
                let why = Why::new("why-not-the-grant", &[("value", value), ("grant", grant)]);
                Found::does_not_count(why, vec![answer.fact])
            }
        }
    }

    fn once(&self, of: OnceOf) -> Found {
        match of {
            OnceOf::Household => match self.elsewhere.same_house.first() {
                None => Found::met(self.opening()),
                Some(job) => {
                    let why = Why::new("why-same-house", &[("job", job.short())]);
                    Found::does_not_count(why, self.opening())
                }
            },
            OnceOf::Photos => {
                let photos = self.known.job.photos.iter().filter(|photo| photo.holds());
                let used: Vec<(FactId, String)> = photos
                    .filter_map(|photo| {
                        let job = self.elsewhere.photos.get(&photo.body.original.digest)?;
                        Some((photo.fact, job.short()))
                    })
                    .collect();
                match used.first() {
                    None => Found::met(self.opening()),
                    Some((_, job)) => Found::does_not_count(
                        Why::new("why-photo-elsewhere", &[("job", job.clone())]),
                        used.iter().map(|(fact, _)| *fact).collect(),
                    ),
                }
            }
        }
    }

    /// What a row stands on that speaks of the job as a whole.
    fn opening(&self) -> Vec<FactId> {
        self.known
            .job
            .opened
            .iter()
            .filter(|opened| opened.holds())
            .map(|opened| opened.fact)
            .collect()
    }
}

/// A text without spaces, hyphens and case.
fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

/// A name or address as a clerk compares it: case, punctuation, the order of given name and surname
/// behind a comma, and the usual short forms of street words do not matter. Common practice, no source.
pub(crate) fn clerk(text: &str) -> String {
    const SHORT: [(&str, &str); 14] = [
        ("street", "st"),
        ("avenue", "ave"),
        ("road", "rd"),
        ("drive", "dr"),
        ("lane", "ln"),
        ("court", "ct"),
        ("place", "pl"),
        ("boulevard", "blvd"),
        ("highway", "hwy"),
        ("north", "n"),
        ("south", "s"),
        ("east", "e"),
        ("west", "w"),
        ("apartment", "apt"),
    ];
    let mut words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .map(|word| {
            SHORT
                .iter()
                .find(|(long, _)| *long == word)
                .map_or(word.clone(), |(_, short)| (*short).to_owned())
        })
        .collect();
    words.sort();
    words.join(" ")
}

impl AskKind {
    /// Whether it is answered by typing or choosing.
    #[must_use]
    pub fn is_typed(&self) -> bool {
        !matches!(self, Self::Photo | Self::Paper | Self::Signature(_))
    }
}
