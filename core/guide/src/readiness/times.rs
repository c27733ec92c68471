use chrono::TimeDelta;
use wythe_job::{Entry, FactId, Moment, OfficeArrivals, Order, PhotoTaken, Place, Value};

use crate::calendar::{Date, local_date, read_date};
use crate::known::Known;
use crate::programme::Deadline;

/// On what an order in time rests, the strongest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Both were recorded on one phone, one after the other: its chain proves it.
    Chain,
    /// Recorded on two phones, and the author of the later one had the other before him.
    Seen,
    /// The earlier one had arrived at the office, by the office's clock, before the later one happened.
    Arrival,
    /// The phones' own time.
    Clock,
    /// Dates on papers.
    Date,
}

impl Basis {
    /// The message that says it.
    #[must_use]
    pub const fn message(self) -> &'static str {
        match self {
            Self::Chain => "rests-chain",
            Self::Seen => "rests-seen",
            Self::Arrival => "rests-arrival",
            Self::Clock => "rests-clock",
            Self::Date => "rests-date",
        }
    }
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

/// How a photograph stands to an event, and everything that this rests on, the strongest first.
///
/// What the chains prove comes first, then when the office had what. Where neither tells, and also where
/// the photograph's own time says otherwise, the clocks are asked: a photograph whose camera wrote a time
/// after the event was not taken before it, whenever it was recorded, unless the office had it by then.
pub(super) fn photo_and_event(
    known: &Known<'_>,
    arrivals: &OfficeArrivals,
    photo: &Entry<PhotoTaken>,
    event: &Happened,
) -> (Order, Vec<Basis>) {
    let taken = taken_date_and_time(known, photo);
    let by_clock = clock_order(known, photo, event, taken);
    let by_arrival = arrival_order(known, arrivals, photo, event, taken);
    // An event that is a date on a paper is typed when the paper comes: the chains say nothing of it.
    let is_paper_date = event.at.is_none();
    let by_chain = event
        .fact
        .filter(|_| !is_paper_date)
        .map_or(Order::Unknown, |fact| known.causality.order(photo.fact, fact));
    let camera_says_after = taken.is_some() && by_clock == Order::After;
    let order = if by_chain == Order::Before && camera_says_after && by_arrival != Order::Before {
        Order::After
    } else {
        let told = [by_chain, by_arrival, by_clock].into_iter();
        told.into_iter()
            .find(|order| *order != Order::Unknown)
            .unwrap_or(Order::Unknown)
    };
    let one_phone = event
        .fact
        .is_some_and(|fact| known.causality.on_one_chain(photo.fact, fact));
    let chain = if one_phone { Basis::Chain } else { Basis::Seen };
    let clock = if is_paper_date { Basis::Date } else { Basis::Clock };
    let bases = [(by_chain, chain), (by_arrival, Basis::Arrival), (by_clock, clock)];
    let agree = bases
        .into_iter()
        .filter(|(told, _)| *told == order && order != Order::Unknown);
    (order, agree.map(|(_, basis)| basis).collect())
}

/// What the office's clock proves: a photograph that had arrived before the event was taken before it,
/// and an event that had arrived before the photograph's own time was before it. Nothing else: to arrive
/// late says nothing.
fn arrival_order(
    known: &Known<'_>,
    arrivals: &OfficeArrivals,
    photo: &Entry<PhotoTaken>,
    event: &Happened,
    taken: Option<Taken>,
) -> Order {
    let photo_there = arrivals.of(photo.fact).map(|arrival| arrival.at);
    let before = photo_there.is_some_and(|there| match (event.at, event.date) {
        (Some(at), _) => there.utc_ms <= at.utc_ms,
        (None, Some(on)) => local_date(there, known.zone()).is_some_and(|day| day <= on),
        (None, None) => false,
    });
    if before {
        return Order::Before;
    }
    let own_time = taken.map_or(Some(photo.at.utc_ms), |(_, moment)| moment);
    let event_there = event.fact.and_then(|fact| arrivals.of(fact));
    let after = event.at.is_some()
        && event_there
            .zip(own_time)
            .is_some_and(|(there, own)| there.at.utc_ms < own);
    if after { Order::After } else { Order::Unknown }
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
