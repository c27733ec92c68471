//! What was photographed, added, signed or answered.

use wythe_job::{Address, Entry, FactId, Order, PhotoTaken, Signed, TagRead, Value};

use crate::condition::Condition;
use crate::entry::show_value;
use crate::evidence::GRADES;
use crate::known::Standing;
use crate::screen::reason_code;

use super::super::times::{self, Basis};
use super::super::{State, Why};
use super::{Found, Judge, not_yet};

/// What a photograph has to be.
pub(super) struct Wanted<'w> {
    pub ask: &'w str,
    pub before: Option<&'w str>,
    pub after: Option<&'w str>,
    pub grade: Option<&'w str>,
    pub tag: bool,
    pub as_many_as: Option<&'w str>,
}

impl Judge<'_, '_> {
    pub(super) fn photo(&self, wanted: &Wanted<'_>) -> Found {
        let addresses = match self.addresses(wanted.ask) {
            Ok(addresses) => addresses,
            Err(found) => return found,
        };
        let mut all = Found::met(Vec::new());
        for address in &addresses {
            let here = match self.photos_at(address, wanted) {
                Ok(here) => here,
                Err(found) => return found,
            };
            all.evidence.extend(here.evidence);
            all.passed_over.extend(here.passed_over);
            all.rests_on = weaker(all.rests_on, here.rests_on);
        }
        all
    }

    /// The photographs of one address that count, or what is wrong with the last one.
    fn photos_at(&self, address: &Address, wanted: &Wanted<'_>) -> Result<Found, Found> {
        let needed = match wanted.as_many_as {
            None => 1,
            Some(ask) => self.count(ask, address)?,
        };
        let photos = self.known.job.photos.iter().filter(|photo| photo.holds());
        let (mut good, mut bad): (Vec<Found>, Option<Found>) = (Vec::new(), None);
        let mut originals = std::collections::BTreeSet::new();
        let mut passed_over = Vec::new();
        for photo in photos.filter(|photo| photo.body.address == *address) {
            let found = self.one_photo(photo, wanted);
            if found.state == Some(State::Met) {
                // The same file twice is one photograph.
                if originals.insert(photo.body.original.digest) {
                    good.push(found);
                }
            } else {
                passed_over.extend(found.why.clone().map(|why| (photo.fact, why)));
                bad = Some(found);
            }
        }
        if needed == 0 {
            return Ok(Found::met(Vec::new()));
        }
        let have = good.len();
        let evidence: Vec<FactId> = good.iter().flat_map(|found| found.evidence.clone()).collect();
        let rests_on = good
            .iter()
            .map(|found| found.rests_on.clone())
            .fold(Box::default(), weaker);
        if have >= needed {
            return Ok(Found {
                rests_on,
                passed_over,
                ..Found::met(evidence)
            });
        }
        if have > 0 {
            let why = Why::new(
                "why-too-few-photos",
                &[("have", have.to_string()), ("wanted", needed.to_string())],
            );
            return Err(Found::missing(Some(why)).with_evidence(evidence));
        }
        Err(Found {
            passed_over,
            ..bad.unwrap_or_else(|| Found::missing(None))
        })
    }

    fn count(&self, ask: &str, address: &Address) -> Result<usize, Found> {
        let counted = self.known.answer_in(ask, &address.path);
        let count = counted.and_then(|answer| match answer.value {
            Value::Count(count) => usize::try_from(*count).ok(),
            _ => None,
        });
        count.ok_or_else(|| {
            Found::missing(Some(Why::new(
                "why-fields-missing",
                &[("fields", format!("#ask-{ask}"))],
            )))
        })
    }

    fn one_photo(&self, photo: &Entry<PhotoTaken>, wanted: &Wanted<'_>) -> Found {
        let mut found = Found::met(vec![photo.fact]);
        let bounds = [
            (wanted.before, Order::Before, "why-photo-after-event"),
            (wanted.after, Order::After, "why-photo-before-event"),
        ];
        for (event, order_wanted, code) in bounds {
            let Some(id) = event else { continue };
            let Some(event) = times::event(self.known, id, &photo.body.address.path) else {
                // Before something that has not happened yet: so far it is before.
                if order_wanted == Order::After {
                    return Found::does_not_count(not_yet(id), vec![photo.fact]);
                }
                continue;
            };
            let (order, bases) = times::photo_and_event(self.known, &self.elsewhere.arrivals, photo, &event);
            found.rests_on = weaker(found.rests_on, bases.into_boxed_slice());
            if order != order_wanted {
                let date = event.date.map_or_else(String::new, |date| date.to_string());
                let why = Why::new(code, &[("event", format!("#event-{id}")), ("date", date)]);
                return Found {
                    rests_on: found.rests_on,
                    ..Found::does_not_count(why, vec![photo.fact])
                };
            }
        }
        if let Some(why) = wanted.grade.and_then(|grade| grade_too_low(photo, grade)) {
            return Found::does_not_count(why, vec![photo.fact]);
        }
        if wanted.tag
            && let Some(why) = self.tag_missing(photo)
        {
            return Found::does_not_count(why, vec![photo.fact]);
        }
        found
    }

    fn tag_missing(&self, photo: &Entry<PhotoTaken>) -> Option<Why> {
        let read: Vec<TagRead> = photo
            .body
            .tags
            .iter()
            .map(|text| self.elsewhere.tags.get(text).copied().unwrap_or(TagRead::NoTag))
            .collect();
        let code = if read.contains(&TagRead::Own) {
            return None;
        } else if read.contains(&TagRead::OtherJob) {
            "why-other-tag"
        } else if read.contains(&TagRead::NotGenuine) {
            "why-tag-not-genuine"
        } else {
            "why-no-tag"
        };
        Some(Why::new(code, &[]))
    }

    pub(super) fn paper(&self, ask: &str, fields: &[String]) -> Found {
        let addresses = match self.addresses(ask) {
            Ok(addresses) => addresses,
            Err(found) => return found,
        };
        let Some(asked) = self.known.guide.ask(ask) else {
            return Found::missing(None);
        };
        let mut evidence = Vec::new();
        for address in addresses {
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
            return Found::met(evidence);
        }
        let why = Why::new("why-fields-missing", &[("fields", absent.join("; "))]);
        Found::missing(Some(why)).with_evidence(evidence)
    }

    pub(super) fn signature(&self, ask: &str) -> Found {
        let addresses = match self.addresses(ask) {
            Ok(addresses) => addresses,
            Err(found) => return found,
        };
        let mut evidence = Vec::new();
        for address in &addresses {
            let mut signed = self.known.job.signatures.iter().rev();
            let Some(last) = signed.find(|signed| signed.holds() && signed.body.address == *address) else {
                return Found::missing(None);
            };
            if last.body.act == "declined" {
                return Found::does_not_count(Why::new("why-declined", &[]), vec![last.fact]);
            }
            if last.body.act == "on_paper" && !self.has_its_page(&last.body) {
                let why = Why::new("why-signed-paper-not-here", &[]);
                return Found::does_not_count(why, vec![last.fact]);
            }
            if self.known.job.has_changed_since(&last.body) {
                return Found::does_not_count(Why::new("why-signed-an-earlier-state", &[]), vec![last.fact]);
            }
            evidence.push(last.fact);
        }
        Found::met(evidence)
    }

    /// Whether the page that was signed by hand is here, and is one of what the signature covers.
    fn has_its_page(&self, signed: &Signed) -> bool {
        let pages = self.known.job.papers.iter().filter(|page| page.holds());
        let mut pages = pages.filter(|page| page.body.address == signed.address);
        pages.any(|page| signed.covers.contains(&page.fact))
    }

    pub(super) fn answer(&self, ask: &str, must: Option<&Condition>) -> Found {
        let addresses = match self.addresses(ask) {
            Ok(addresses) => addresses,
            Err(found) => return found,
        };
        let Some(asked) = self.known.guide.ask(ask) else {
            return Found::missing(None);
        };
        let (mut evidence, mut doubtful) = (Vec::new(), false);
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
                        let why = Why::new("why-answer", &[("value", said(&entry.body.value))]);
                        return Found::does_not_count(why, evidence);
                    }
                    doubtful |= self.known.is_doubtful(asked, &address.path, &entry.body.value);
                }
            }
        }
        let state = if doubtful { State::Doubtful } else { State::Met };
        Found {
            state: Some(state),
            ..Found::met(evidence)
        }
    }
}

/// Of two orders that are both needed, what the weaker one rests on.
fn weaker(one: Box<[Basis]>, other: Box<[Basis]>) -> Box<[Basis]> {
    match (one.first(), other.first()) {
        (Some(first), Some(second)) if second > first => other,
        (None, _) => other,
        _ => one,
    }
}

/// An answer as an argument of a reason: the message of a choice, else the value as it is read.
pub(super) fn said(value: &Value) -> String {
    match value {
        Value::Choice(code) => format!("#choice-{code}"),
        Value::YesNo(yes) => format!("#choice-{}", if *yes { "yes" } else { "no" }),
        other => show_value(other, wythe_units::DecimalSign::Point),
    }
}

fn grade_too_low(photo: &Entry<PhotoTaken>, wanted: &str) -> Option<Why> {
    let place = |code: &str| GRADES.iter().position(|known| *known == code);
    let held = photo.body.grade.as_ref();
    let enough = held.and_then(|grade| place(&grade.code)) >= place(wanted);
    let explained = held.is_some_and(|grade| grade.best_i_can.is_some());
    if enough || explained {
        return None;
    }
    let reason = |reason: &String| format!("#photo-reason-{}", reason_code(reason));
    let reasons: Vec<String> = held
        .map(|grade| grade.reasons.iter().map(reason).collect())
        .unwrap_or_default();
    let (code, reasons) = if reasons.is_empty() {
        ("why-grade-plain", String::new())
    } else {
        ("why-grade", reasons.join("; "))
    };
    let mut with = vec![("wanted", format!("#grade-{wanted}"))];
    if !reasons.is_empty() {
        with.push(("reasons", reasons));
    }
    Some(Why::new(code, &with))
}
