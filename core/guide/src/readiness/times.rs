use chrono::TimeDelta;
use wythe_job::{Entry, FactId, Moment, Order, PhotoTaken, Place, Value};

use crate::calendar::{Date, local_date, read_date};
use crate::known::Known;
use crate::programme::Deadline;

/// On what an order in time rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// One author had the other's fact before him: the chains prove it.
    Chain,
    /// Clocks only: the phones' own time.
    Clock,
    /// Dates on papers.
    Date,
}

/// When an event happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Happened {
    /// The fact that tells it; none for what is told by the claim's life.
    pub fact: Option<FactId>,
    /// Its date at the site.
    pub date: Option<Date>,
    /// Its moment, where the answer itself is no date.
    pub at: Option<Moment>,
}

/// When an event happened, if it has.
pub(super) fn event(known: &Known<'_>, id: &str, path: &[Place]) -> Option<Happened> {
    match id {
        "claim_sent" => {
            let sent = known
                .job
                .claim
                .iter()
                .find(|entry| entry.holds() && entry.body.to == "sent")?;
            return Some(Happened {
                fact: Some(sent.fact),
                date: read_date(&sent.body.on),
                at: None,
            });
        }
        "opened" => {
            let opened = known.job.opened.iter().find(|entry| entry.holds())?;
            let date = local_date(opened.at, known.zone());
            return Some(Happened {
                fact: Some(opened.fact),
                date,
                at: Some(opened.at),
            });
        }
        _ => {}
    }
    let event = known.guide.event(id)?;
    event.asks.iter().find_map(|ask| {
        if let Some(recorded) = recorded(known, ask, path) {
            return recorded;
        }
        let answer = known.answer_in(ask, path)?;
        if let Value::Date(text) = answer.value {
            return Some(Happened {
                fact: Some(answer.fact),
                date: read_date(text),
                at: None,
            });
        }
        if matches!(answer.value, Value::YesNo(false)) {
            return None;
        }
        let ask = known.guide.ask(ask)?;
        let address = known.addresses(ask, path).into_iter().next()?;
        let entry = known
            .job
            .heads_of(&address)
            .iter()
            .find(|entry| entry.fact == answer.fact)?;
        let at = match answer.value {
            Value::Span { end, .. } => *end,
            _ => entry.body.measured.at.unwrap_or(entry.at),
        };
        Some(Happened {
            fact: Some(answer.fact),
            date: local_date(at, known.zone()),
            at: Some(at),
        })
    })
}

/// The first photograph, paper or signature of an ask, for an event that is one. `None` for an ask that
/// is answered.
fn recorded(known: &Known<'_>, id: &str, path: &[Place]) -> Option<Option<Happened>> {
    let ask = known.guide.ask(id)?;
    if ask.kind.is_typed() {
        return None;
    }
    let addresses = known.addresses(ask, path);
    let photos = known.job.photos.iter().filter(|entry| entry.holds());
    let photos = photos.filter(|entry| addresses.contains(&entry.body.address));
    let papers = known.job.papers.iter().filter(|entry| entry.holds());
    let papers = papers.filter(|entry| addresses.contains(&entry.body.address));
    let signed = known.job.signatures.iter().filter(|entry| entry.holds());
    let signed = signed.filter(|entry| addresses.contains(&entry.body.address));
    let signed = signed.filter(|entry| entry.body.act != "declined");
    let all = photos
        .map(|entry| (entry.stamp, entry.fact, entry.at))
        .chain(papers.map(|entry| (entry.stamp, entry.fact, entry.at)))
        .chain(signed.map(|entry| (entry.stamp, entry.fact, entry.at)));
    Some(all.min().map(|(_, fact, at)| Happened {
        fact: Some(fact),
        date: local_date(at, known.zone()),
        at: Some(at),
    }))
}

/// The last day that counts for a deadline, once its event has happened.
pub(super) fn due_date(known: &Known<'_>, deadline: &Deadline) -> Option<Date> {
    let from = event(known, &deadline.from, &[])?.date?;
    from.checked_add_signed(TimeDelta::try_days(i64::from(deadline.days))?)
}

/// How a photograph stands to an event, and on what that rests.
///
/// What the chains prove comes first. Where neither author knew of the other's fact, and also where
/// the photograph's own time says otherwise, the clocks are asked: a photograph whose camera wrote a
/// time after the event was not taken before it, whenever it was recorded.
pub(super) fn photo_and_event(
    known: &Known<'_>,
    photo: &Entry<PhotoTaken>,
    event: &Happened,
) -> (Order, Basis) {
    let taken = taken_date_and_time(known, photo);
    let by_clock = clock_order(known, photo, event, taken);
    let proven = event
        .fact
        .map_or(Order::Unknown, |fact| known.causality.order(photo.fact, fact));
    // An event that is a date on a paper is typed when the paper comes: the chains say nothing of it.
    let is_paper_date = event.at.is_none();
    match (proven, by_clock) {
        (Order::Before, Order::After) if taken.is_some() => (Order::After, Basis::Clock),
        (Order::Before, _) if !is_paper_date => (Order::Before, Basis::Chain),
        (Order::After, _) if !is_paper_date => (Order::After, Basis::Chain),
        (_, order) => (order, if is_paper_date { Basis::Date } else { Basis::Clock }),
    }
}

type Taken = (Date, Option<i64>);

/// The photograph's own date at the site, and its moment where the camera wrote its offset.
fn taken_date_and_time(known: &Known<'_>, photo: &Entry<PhotoTaken>) -> Option<Taken> {
    let taken = photo.body.taken.as_ref()?;
    let local = chrono::NaiveDateTime::parse_from_str(&taken.local, "%Y-%m-%dT%H:%M:%S").ok()?;
    let Some(offset) = taken.offset_min else {
        return Some((local.date(), None));
    };
    let utc = local.and_utc().timestamp_millis() - i64::from(offset) * 60_000;
    let date = local_date(
        Moment {
            utc_ms: utc,
            offset_min: offset,
        },
        known.zone(),
    )?;
    Some((date, Some(utc)))
}

fn clock_order(
    known: &Known<'_>,
    photo: &Entry<PhotoTaken>,
    event: &Happened,
    taken: Option<Taken>,
) -> Order {
    let date = taken
        .map(|(date, _)| date)
        .or_else(|| local_date(photo.at, known.zone()));
    let moment = taken.map_or(Some(photo.at.utc_ms), |(_, moment)| moment);
    if let (Some(at), Some(moment)) = (event.at, moment) {
        return if moment <= at.utc_ms {
            Order::Before
        } else {
            Order::After
        };
    }
    match (date, event.date) {
        // The same day counts as before: papers carry no hour.
        (Some(date), Some(event)) if date <= event => Order::Before,
        (Some(_), Some(_)) => Order::After,
        _ => Order::Unknown,
    }
}
