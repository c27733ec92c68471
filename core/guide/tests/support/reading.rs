//! The rules of a programme, read a second time and as simply as can be: straight from its file, over
//! plain notes of what was done. It knows nothing of facts, folding or the loader.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use toml::{Table, Value};

use super::book::{Book, Scope, clerk, date, figure, liner_is_too_wide, plain, site_date, squeeze, utc};
use super::{Shot, Tag};

/// A row as the test compares it: state and reason.
pub type Read = (&'static str, Option<&'static str>);

const MET: Read = ("met", None);
const MISSING: Read = ("missing", None);

/// One requirement, read over the notes.
pub struct Reader<'r> {
    pub book: &'r Book,
    pub programme: &'r Table,
}

impl Reader<'_> {
    /// All requirements: `id:number`, or `id` where there is one.
    pub fn rows(&self) -> BTreeMap<String, Read> {
        let mut rows = BTreeMap::new();
        for require in self.programme["require"].as_array().unwrap() {
            let require = require.as_table().unwrap();
            let id = require["id"].as_str().unwrap();
            match require.get("each").and_then(Value::as_str) {
                None => {
                    rows.insert(id.to_owned(), self.row(require, &None));
                }
                Some(group) => {
                    for number in self.book.numbers(group) {
                        let scope = Some((group.to_owned(), number));
                        rows.insert(format!("{id}:{number}"), self.row(require, &scope));
                    }
                }
            }
        }
        rows
    }

    fn row(&self, require: &Table, scope: &Scope) -> Read {
        if require
            .get("when")
            .is_some_and(|when| !self.holds(when.as_table().unwrap(), "", scope))
        {
            return ("not_needed", None);
        }
        let shows = require["shows"].as_table().unwrap();
        let read = self.shown(shows, scope);
        if read.0 != "missing" {
            return read;
        }
        let deadline = match shows.get("deadline") {
            Some(deadline) => deadline.as_str(),
            None => require.get("due").and_then(Value::as_str),
        };
        let due = deadline.and_then(|id| self.due(id));
        let overdue = due.is_some_and(|due| due < date(&self.book.today));
        let waits = require.get("waits_since").and_then(Value::as_str);
        if waits.is_some_and(|event| self.event(event, scope).is_some()) && !overdue {
            return ("waiting", read.1);
        }
        if overdue && matches!(read.1, None | Some("why-event-not-yet")) {
            return ("missing", Some("why-overdue"));
        }
        read
    }

    /// The last day of a deadline.
    pub fn due(&self, id: &str) -> Option<NaiveDate> {
        let deadlines = self.programme["deadline"].as_array().unwrap();
        let deadline = deadlines
            .iter()
            .find(|one| one["id"].as_str() == Some(id))
            .unwrap();
        let days = deadline.get("days").and_then(Value::as_integer);
        let days = days.unwrap_or_else(|| 7 * deadline["weeks"].as_integer().unwrap());
        let from = self.event_date(deadline["from"].as_str().unwrap(), &None)?;
        Some(from + chrono::TimeDelta::days(days))
    }

    fn shown(&self, shows: &Table, scope: &Scope) -> Read {
        let text = |key: &str| shows.get(key).and_then(Value::as_str).unwrap_or_default();
        let list = |key: &str| -> Vec<&str> {
            let items = shows.get(key).and_then(Value::as_array).into_iter().flatten();
            items.filter_map(Value::as_str).collect()
        };
        match text("kind") {
            "photo" => self.photo(shows, scope),
            "paper" => self.paper(text("ask"), &list("fields"), scope),
            "signature" => self.signature(text("ask"), scope),
            "answer" => self.answer(text("ask"), shows.get("must"), scope),
            "same" => self.agree(
                &list("asks"),
                "why-not-the-same",
                |text| vec![squeeze(text)],
                scope,
            ),
            "alike" => self.agree(&list("asks"), "why-not-alike", clerk, scope),
            "order" => self.order(&list("events"), scope),
            "within" => self.within(text("deadline"), scope),
            "valid" => {
                let Some(until) = self.book.first(text("ask"), scope) else {
                    return MISSING;
                };
                let day = self
                    .event_date(text("on"), scope)
                    .unwrap_or_else(|| date(&self.book.today));
                if day > date(until) {
                    (lapsed(text("lapse")), Some("why-lapsed"))
                } else {
                    MET
                }
            }
            "calibrated" => {
                let days = chrono::TimeDelta::days(shows["days"].as_integer().unwrap());
                let too_old = |(used, calibrated): &(i64, String)| site_date(*used) > date(calibrated) + days;
                if self.book.instruments.is_empty() {
                    MISSING
                } else if self.book.instruments.iter().any(too_old) {
                    (lapsed(text("lapse")), Some("why-calibration"))
                } else {
                    MET
                }
            }
            "held_for" => {
                let Some(until) = self.book.first(text("ask"), scope) else {
                    return MISSING;
                };
                let Some(from) = self.event_date(text("from"), scope) else {
                    return ("missing", Some("why-event-not-yet"));
                };
                let days = shows["days"].as_integer().unwrap();
                if date(until) < from + chrono::TimeDelta::days(days) {
                    ("does_not_count", Some("why-not-kept-long-enough"))
                } else {
                    MET
                }
            }
            "figures" => self.figures(text("figures")),
            "mentions" => {
                let Some(says) = self.book.first(text("ask"), scope) else {
                    return MISSING;
                };
                if list("not_only").iter().any(|word| squeeze(word) == squeeze(says)) {
                    return ("does_not_count", Some("why-too-general"));
                }
                let named = list("of")
                    .into_iter()
                    .filter_map(|ask| self.book.first(ask, scope));
                let mut named = named.map(squeeze);
                if named.any(|name| squeeze(says).contains(&name)) {
                    MET
                } else {
                    ("does_not_count", Some("why-not-named"))
                }
            }
            "grant" => {
                let Some(line) = self.book.first(text("ask"), scope) else {
                    return MISSING;
                };
                let grant = self.programme["grant"].as_str().unwrap();
                let currency = self.programme["currency"].as_str().unwrap();
                if line.replace(',', "") == format!("{grant} {currency}") {
                    MET
                } else {
                    ("does_not_count", Some("why-not-the-grant"))
                }
            }
            "once" if text("of") == "household" && self.book.same_house => {
                ("does_not_count", Some("why-same-house"))
            }
            "once" if text("of") == "photos" => {
                let used = self.book.photo_elsewhere;
                let here = self.book.photos.iter().any(|photo| Some(photo.3.file) == used);
                if here {
                    ("does_not_count", Some("why-photo-elsewhere"))
                } else {
                    MET
                }
            }
            "once" => MET,
            other => panic!("the reading knows no {other}"),
        }
    }

    fn photo(&self, shows: &Table, scope: &Scope) -> Read {
        let ask = shows["ask"].as_str().unwrap();
        let [address] = self.book.addresses(ask, scope).try_into().unwrap();
        let mut wanted = 1;
        if let Some(count) = shows.get("as_many_as").and_then(Value::as_str) {
            let Some(count) = self.book.first(count, scope) else {
                return ("missing", Some("why-fields-missing"));
            };
            wanted = count.parse().unwrap();
        }
        let mut good = BTreeSet::new();
        let mut bad = None;
        for (place, at, _, shot) in self.book.photos.iter().filter(|photo| photo.2 == address) {
            match self.against(shows, scope, (*place, *at), shot) {
                None => {
                    good.insert(shot.file);
                }
                Some(why) => bad = Some(why),
            }
        }
        match (good.len(), bad) {
            (have, _) if have >= wanted => MET,
            (0, Some(why)) => ("does_not_count", Some(why)),
            (0, None) => MISSING,
            _ => ("missing", Some("why-too-few-photos")),
        }
    }

    /// Why a photo does not count.
    fn against(&self, shows: &Table, scope: &Scope, when: (usize, i64), shot: &Shot) -> Option<&'static str> {
        let text = |key: &str| shows.get(key).and_then(Value::as_str);
        if let Some(event) = text("before")
            && let Some(event) = self.event(event, scope)
            && !was_before(when, shot, event)
        {
            return Some("why-photo-after-event");
        }
        if let Some(name) = text("after") {
            match self.event(name, scope) {
                None => return Some("why-event-not-yet"),
                Some(event) if was_before(when, shot, event) => return Some("why-photo-before-event"),
                Some(_) => {}
            }
        }
        if let Some(least) = text("grade") {
            let grades = ["poor", "weak", "usable", "good"];
            let rank = |grade: &str| grades.iter().position(|known| *known == grade);
            if rank(shot.grade) < rank(least) && shot.best.is_none() {
                let plain = shot.reasons.is_empty();
                return Some(if plain { "why-grade-plain" } else { "why-grade" });
            }
        }
        let tagged = shows.get("tag").and_then(Value::as_bool).unwrap_or_default();
        match (tagged, shot.tag) {
            (true, Tag::None) => Some("why-no-tag"),
            (true, Tag::Other) => Some("why-other-tag"),
            (true, Tag::MadeUp) => Some("why-tag-not-genuine"),
            _ => None,
        }
    }

    fn paper(&self, ask: &str, fields: &[&str], scope: &Scope) -> Read {
        if !self.book.papers.contains(ask) {
            return MISSING;
        }
        if fields.iter().any(|field| self.book.first(field, scope).is_none()) {
            return ("missing", Some("why-fields-missing"));
        }
        MET
    }

    fn signature(&self, ask: &str, scope: &Scope) -> Read {
        let [address] = self.book.addresses(ask, scope).try_into().unwrap();
        let Some((signed, _, act)) = self.book.signatures.iter().rev().find(|one| one.1 == address) else {
            return MISSING;
        };
        if *act == "declined" {
            return ("does_not_count", Some("why-declined"));
        }
        let changed = self.book.answers.values().any(|all| {
            let before = all.iter().any(|(place, ..)| place < signed);
            before && all.last().is_some_and(|(place, ..)| place > signed)
        });
        if changed {
            ("does_not_count", Some("why-signed-an-earlier-state"))
        } else {
            MET
        }
    }

    fn answer(&self, ask: &str, must: Option<&Value>, scope: &Scope) -> Read {
        let mut doubtful = false;
        for address in self.book.addresses(ask, scope) {
            let here: Scope = address.split_once('@').map(|(_, place)| {
                let (group, number) = place.split_once(':').unwrap();
                (group.to_owned(), number.parse().unwrap())
            });
            match self.book.heads(&address).as_slice() {
                [] => return MISSING,
                [_, _, ..] => return ("disagreeing", None),
                [typed] => {
                    if must.is_some_and(|must| !self.holds(must.as_table().unwrap(), ask, &here)) {
                        return ("does_not_count", Some("why-answer"));
                    }
                    doubtful |= match ask {
                        "destruction.weight" => !(150.0..=600.0).contains(&figure(typed)),
                        "start_up.manifold_high" => {
                            let usual = match self.book.value("survey.fuel").map(plain).as_deref() {
                                Some("natural_gas") => 3.2..=3.8,
                                Some("propane") => 9.5..=11.0,
                                _ => 3.2..=11.0,
                            };
                            !usual.contains(&figure(typed))
                        }
                        _ => false,
                    };
                }
            }
        }
        if doubtful { ("doubtful", None) } else { MET }
    }

    fn agree<T: Ord>(
        &self,
        asks: &[&str],
        why: &'static str,
        as_read: impl Fn(&str) -> T,
        scope: &Scope,
    ) -> Read {
        let mut shared: Option<BTreeSet<T>> = None;
        for ask in asks {
            let addresses = self.book.addresses(ask, scope);
            let values = addresses.iter().filter_map(|address| self.book.value(address));
            let values: BTreeSet<T> = values.map(&as_read).collect();
            if values.is_empty() {
                return ("missing", Some("why-fields-missing"));
            }
            shared = Some(match shared {
                None => values,
                Some(shared) => shared.into_iter().filter(|one| values.contains(one)).collect(),
            });
        }
        if shared.unwrap().is_empty() {
            ("does_not_count", Some(why))
        } else {
            MET
        }
    }

    fn order(&self, events: &[&str], scope: &Scope) -> Read {
        let mut last = NaiveDate::MIN;
        for event in events {
            let Some(date) = self.event_date(event, scope) else {
                return ("missing", Some("why-event-not-yet"));
            };
            if date < last {
                return ("does_not_count", Some("why-order"));
            }
            last = date;
        }
        MET
    }

    fn within(&self, id: &str, scope: &Scope) -> Read {
        let deadlines = self.programme["deadline"].as_array().unwrap();
        let deadline = deadlines
            .iter()
            .find(|one| one["id"].as_str() == Some(id))
            .unwrap();
        let met = self.event_date(deadline["to"].as_str().unwrap(), scope);
        match (met, self.due(id)) {
            (Some(met), Some(due)) if met > due => ("does_not_count", Some("why-late")),
            (Some(_), Some(_)) => MET,
            _ => ("missing", Some("why-event-not-yet")),
        }
    }

    /// Kept figures count while nothing that they were worked out from has changed.
    fn figures(&self, id: &str) -> Read {
        let Some((kept, _)) = self.book.kept.iter().rev().find(|(_, figures)| *figures == id) else {
            let of_no_use = id == "plan.derate" && !self.book.is_there("plan.plate_input", &None);
            return if of_no_use { ("not_needed", None) } else { MISSING };
        };
        let from: &[&str] = if id == "plan.derate" {
            &["plan.plate_input", "plan.altitude"]
        } else {
            &["survey.tile_inside_a@tile_section:2", "plan.exhaust_outside"]
        };
        for address in from {
            let history = &self.book.answers[*address];
            let then = history.iter().rev().find(|(place, ..)| place < kept).unwrap();
            let now = history.last().unwrap();
            if then.2 != now.2 || self.book.value(address).is_none() {
                return ("does_not_count", Some("why-figures-changed"));
            }
        }
        // Air in the tile without the maker's word for it is a stop of the figures themselves.
        let unlisted = !self.book.has("plan.tile_as_air_listed", "yes");
        if id == "lining.liner_fit" && (liner_is_too_wide(self.book) || unlisted) {
            return ("does_not_count", Some("why-figures-stop"));
        }
        MET
    }

    /// The date of an event.
    fn event_date(&self, event: &str, scope: &Scope) -> Option<NaiveDate> {
        match self.event(event, scope)? {
            Event::On(date) => Some(date),
            Event::At(_, at) => Some(site_date(at)),
        }
    }

    fn event(&self, event: &str, scope: &Scope) -> Option<Event> {
        let asks: &[&str] = match event {
            "approval" => &["plan.approval_date"],
            "sale" => &["plan.sale_date"],
            "purchase" => &["plan.purchase_date", "claim.invoice_date"],
            "delivery" => &["plan.delivery_date"],
            "removal" => &["removal.removed_on"],
            "installation" => &["start_up.installed_on"],
            "destruction" => &["destruction.destroyed_on"],
            "ticket" => &["destruction.ticket_date"],
            "certificate" => &["destruction.certificate_date"],
            "permit_final" => &["claim.permit_final"],
            "claim_sent" => return self.book.sent.as_deref().map(|on| Event::On(date(on))),
            "opened" => return Some(Event::At(0, utc("2026-03-01T08:00:01-07:00"))),
            "disconnected" => {
                let addresses = self.book.addresses("removal.disconnected", scope);
                let address = addresses
                    .iter()
                    .find(|address| self.book.value(address).is_some())?;
                let (place, at, typed) = self.book.answers[address].last()?;
                return (typed == "yes").then_some(Event::At(*place, *at));
            }
            "plate_photographed" => {
                let addresses = self.book.addresses("survey.stove_plate", scope);
                let mut photos = self.book.photos.iter();
                let (place, at, ..) = photos.find(|photo| addresses.contains(&photo.2))?;
                return Some(Event::At(*place, *at));
            }
            other => panic!("the reading knows no event {other}"),
        };
        let typed = asks.iter().find_map(|ask| self.book.first(ask, scope))?;
        Some(Event::On(date(typed)))
    }

    fn holds(&self, condition: &Table, about: &str, scope: &Scope) -> bool {
        let parts = |key: &str| {
            let items = condition.get(key).and_then(Value::as_array).into_iter().flatten();
            items
                .map(|part| self.holds(part.as_table().unwrap(), "", scope))
                .collect::<Vec<bool>>()
        };
        if condition.contains_key("any") {
            return parts("any").contains(&true);
        }
        if condition.contains_key("all") {
            return !parts("all").contains(&false);
        }
        if let Some(not) = condition.get("not") {
            return !self.holds(not.as_table().unwrap(), "", scope);
        }
        let ask = condition.get("ask").and_then(Value::as_str).unwrap_or(about);
        let text = |key: &str| condition.get(key).and_then(Value::as_str);
        let addresses = self.book.addresses(ask, scope);
        let mut heads = addresses.iter().flat_map(|address| self.book.heads(address));
        if let Some(wanted) = text("is") {
            return heads.any(|head| plain(head) == plain(wanted));
        }
        if let Some(most) = text("at_most") {
            return heads.any(|head| figure(head) <= figure(most));
        }
        if condition.contains_key("missing") {
            return !self.book.is_there(ask, scope);
        }
        panic!("the reading knows no condition {condition:?}")
    }
}

#[derive(Clone, Copy)]
enum Event {
    /// A date on a paper.
    On(NaiveDate),
    /// A deed: its place and moment.
    At(usize, i64),
}

/// A photo comes before a date on a paper if it is of that day or earlier. It comes before a deed if it was
/// recorded before, unless its camera says that it was taken after.
fn was_before((place, at): (usize, i64), shot: &Shot, event: Event) -> bool {
    let taken = shot.taken.as_deref().map(utc);
    match event {
        Event::On(date) => site_date(taken.unwrap_or(at)) <= date,
        Event::At(of, moment) => place < of && taken.is_none_or(|taken| taken <= moment),
    }
}

/// What a lapse is: told, or not counted.
fn lapsed(lapse: &str) -> &'static str {
    if lapse == "caution" {
        "doubtful"
    } else {
        "does_not_count"
    }
}
