use serde::Deserialize;
use wythe_job::{Address, Entry, FactId, Held, Order, Place};

use crate::ask::Ask;
use crate::condition::Condition;
use crate::guide::Guide;
use crate::known::Known;
use crate::load::is_id;

/// Who, or what, ends a stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LiftedBy {
    /// A paper of the programme.
    Programme,
    /// A paper of the authority that has jurisdiction.
    Authority,
    /// A laboratory's or an abatement firm's paper, never the crew.
    Laboratory,
    /// The sweep's report.
    Sweep,
    /// The maker's letter and the authority together.
    MakerAndAuthority,
    /// The thing is put right and recorded anew.
    PutRight,
    /// A stated reason.
    Reason,
    /// Nobody: only a newer passing measurement ends it, and the failed one stays visible.
    Nobody,
    /// It ends with the act; only who called it off resumes.
    Act,
}

impl LiftedBy {
    /// How many papers have to stand behind a lift.
    fn papers(self) -> Option<usize> {
        match self {
            Self::Programme | Self::Authority | Self::Laboratory | Self::Sweep => Some(1),
            Self::MakerAndAuthority => Some(2),
            Self::PutRight | Self::Reason | Self::Nobody | Self::Act => None,
        }
    }

    /// Whether somebody can lift it by saying so.
    #[must_use]
    pub fn can_lift(self) -> bool {
        !matches!(self, Self::PutRight | Self::Nobody)
    }
}

impl LiftedBy {
    /// The message that says how it ends.
    #[must_use]
    pub fn message(self) -> String {
        let who = match self {
            Self::Programme => "programme",
            Self::Authority => "authority",
            Self::Laboratory => "laboratory",
            Self::Sweep => "sweep",
            Self::MakerAndAuthority => "maker_and_authority",
            Self::PutRight => "put_right",
            Self::Reason => "reason",
            Self::Nobody => "nobody",
            Self::Act => "act",
        };
        format!("lifted-by-{who}")
    }
}

/// One row of the table of stops.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// Its stable code.
    pub code: String,
    /// When it stands.
    pub raise: Condition,
    /// Looked at for each of these.
    pub each: Option<String>,
    /// What it blocks: `everything`, `sign_off`, stages, or steps as `stage.step`.
    pub blocks: Vec<String>,
    /// What ends it.
    pub lifted_by: LiftedBy,
    /// The ask whose answer would end it, to be shown as the way out.
    pub way_out: Option<String>,
    /// Asks that measure the same thing: a newer passing reading of any of them ends it.
    pub measures_same: Vec<String>,
    /// Asks that have to be answered as well, before a newer reading ends it: the cause.
    pub needs: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RawStop {
    code: String,
    raise: Condition,
    each: Option<String>,
    blocks: Vec<String>,
    lifted_by: LiftedBy,
    way_out: Option<String>,
    #[serde(default)]
    measures_same: Vec<String>,
    #[serde(default)]
    needs: Vec<String>,
}

/// A stop that stands.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenStop<'a> {
    /// The row of the table.
    pub stop: &'a Stop,
    /// Which of several.
    pub path: Vec<Place>,
    /// The readings that raised it, failed ones since replaced included.
    pub readings: Vec<FactId>,
    /// Whether it stands only because something is not recorded yet, and nothing is wrong so far.
    pub not_yet: bool,
}

impl Stop {
    pub(crate) fn settle(raw: RawStop, guide: &Guide) -> Result<Self, String> {
        let within = |wrong: String| format!("{}: {wrong}", raw.code);
        if !is_id(&raw.code) {
            return Err(format!(
                "the code \"{}\" is written with small letters, digits and underscores",
                raw.code
            ));
        }
        if guide.stops.iter().any(|known| known.code == raw.code) {
            return Err(within("this stop stands twice; rename one of them".to_owned()));
        }
        let mut raise = raw.raise;
        guide.settle(&mut raise).map_err(within)?;
        if let Some(each) = &raw.each {
            guide.check_group(each).map_err(within)?;
        }
        if raw.blocks.is_empty() {
            return Err(within(
                "a stop blocks something: write blocks = [\"sign_off\"]".to_owned(),
            ));
        }
        for block in &raw.blocks {
            let whole = block == "everything" || block == "sign_off";
            let stage = guide.stages.iter().any(|stage| stage.id == *block);
            let is_step = |ask: &Ask| format!("{}.{}", ask.stage, ask.step) == *block;
            if !whole && !stage && !guide.asks.iter().any(is_step) {
                return Err(within(format!(
                    "a stop blocks everything, sign_off, a stage, or a step as stage.step; \"{block}\" is none"
                )));
            }
        }
        let asks = raw.way_out.iter().chain(&raw.measures_same).chain(&raw.needs);
        for ask in asks {
            guide.check_ask(ask).map_err(within)?;
        }
        let by_reading = raw.lifted_by == LiftedBy::Nobody;
        let of_readings = !raw.measures_same.is_empty() || !raw.needs.is_empty();
        if of_readings && !by_reading {
            return Err(within(
                "measures_same and needs go with lifted_by = \"nobody\"".to_owned(),
            ));
        }
        Ok(Self {
            code: raw.code,
            raise,
            each: raw.each,
            blocks: raw.blocks,
            lifted_by: raw.lifted_by,
            way_out: raw.way_out,
            measures_same: raw.measures_same,
            needs: raw.needs,
        })
    }

    /// Whether it keeps this whole stage from going on.
    #[must_use]
    pub fn blocks_stage(&self, stage: &str) -> bool {
        self.blocks
            .iter()
            .any(|block| block == stage || block == "everything")
    }

    /// Whether it keeps what this ask records from going on: its stage or its step is blocked.
    #[must_use]
    pub fn blocks_ask(&self, ask: &Ask) -> bool {
        let is_step = |block: &String| {
            let rest = block
                .strip_prefix(&ask.stage)
                .and_then(|rest| rest.strip_prefix('.'));
            rest == Some(ask.step.as_str())
        };
        self.blocks_stage(&ask.stage) || self.blocks.iter().any(is_step)
    }

    /// Whether the owner's sign-off has to wait for it.
    #[must_use]
    pub fn blocks_sign_off(&self) -> bool {
        self.blocks
            .iter()
            .any(|block| block == "sign_off" || block == "everything")
    }

    /// The parts of which one that holds raises the stop.
    fn parts(&self) -> Vec<&Condition> {
        let alone = self.raise.all.is_empty() && !self.raise.says_something() && self.raise.not.is_none();
        if alone {
            self.raise.any.iter().collect()
        } else {
            vec![&self.raise]
        }
    }
}

/// Whether a part can be held against a single reading: a comparison that stands alone.
fn is_reading(part: &Condition) -> bool {
    let alone = part.all.is_empty() && part.any.is_empty() && part.not.is_none();
    alone && part.ask.is_some() && !part.missing && !part.present
}

/// Whether a part that holds only says that something is not there yet.
fn is_absence(part: &Condition, known: &Known<'_>, path: &[Place]) -> bool {
    if part.says_something() {
        return part.missing;
    }
    if !part.all.is_empty() {
        let absent = |part: &Condition| is_absence(part, known, path);
        return part.all.iter().any(absent) && part.all.iter().all(|part| part.present || absent(part));
    }
    let mut holding = part.any.iter().filter(|part| part.holds(known, path));
    !part.any.is_empty() && holding.all(|part| is_absence(part, known, path))
}

/// All stops that stand.
#[must_use]
pub fn open_stops<'a>(known: &Known<'a>) -> Vec<OpenStop<'a>> {
    let mut open = Vec::new();
    for stop in &known.guide.stops {
        let paths: Vec<Vec<Place>> = match &stop.each {
            None => vec![Vec::new()],
            Some(group) => {
                let numbers = known.instances(group).into_iter();
                numbers
                    .map(|number| {
                        vec![Place {
                            of: group.clone(),
                            number,
                        }]
                    })
                    .collect()
            }
        };
        open.extend(paths.into_iter().filter_map(|path| {
            Looking {
                stop,
                known,
                path: &path,
            }
            .open()
        }));
    }
    open
}

/// One stop held against one instance.
struct Looking<'l, 'a> {
    stop: &'a Stop,
    known: &'l Known<'a>,
    path: &'l [Place],
}

impl<'a> Looking<'_, 'a> {
    fn open(&self) -> Option<OpenStop<'a>> {
        let readings = self.raising();
        let parts = self.stop.parts();
        let holding: Vec<&Condition> = parts
            .into_iter()
            .filter(|part| part.holds(self.known, self.path))
            .collect();
        let stands = match self.stop.lifted_by {
            // What was read counts, and not only what is read now.
            LiftedBy::Nobody => {
                let apart = holding.iter().any(|part| !is_reading(part));
                let lasting = readings
                    .iter()
                    .any(|(entry, address)| !self.is_passed(entry, address));
                let cause_missing =
                    !readings.is_empty() && self.stop.needs.iter().any(|ask| !self.is_told(ask));
                apart || lasting || cause_missing
            }
            LiftedBy::Act => {
                let apart = holding.iter().any(|part| !is_reading(part));
                let lasting = readings
                    .iter()
                    .any(|(entry, address)| !self.is_resumed(entry, address));
                apart || lasting
            }
            _ => !holding.is_empty(),
        };
        if !stands || self.is_lifted() {
            return None;
        }
        let not_yet = readings.is_empty()
            && !holding.is_empty()
            && holding.iter().all(|part| is_absence(part, self.known, self.path));
        Some(OpenStop {
            stop: self.stop,
            path: self.path.to_vec(),
            readings: readings.into_iter().map(|(entry, _)| entry.fact).collect(),
            not_yet,
        })
    }

    /// Readings, struck ones included, that raise the stop by themselves. Only comparisons that stand
    /// alone are looked at: beside others a single reading proves nothing.
    fn raising(&self) -> Vec<(&'a Entry<Held>, Address)> {
        let mut readings: Vec<(&Entry<Held>, Address)> = Vec::new();
        for part in self.stop.parts().into_iter().filter(|part| is_reading(part)) {
            let Some(ask) = part.ask.as_ref().and_then(|ask| self.known.guide.ask(ask)) else {
                continue;
            };
            for address in self.known.addresses(ask, self.path) {
                for entry in self.known.job.record.get(&address).into_iter().flatten() {
                    let met = readings.iter().any(|(known, _)| known.fact == entry.fact);
                    if !met && part.fits(&entry.body.value, self.known, &address.path) {
                        readings.push((entry, address.clone()));
                    }
                }
            }
        }
        readings
    }

    /// Whether a value recorded at an address raises the stop by itself.
    fn raises(&self, entry: &Entry<Held>, address: &Address) -> bool {
        self.stop
            .parts()
            .into_iter()
            .filter(|part| is_reading(part) && part.ask.as_ref() == Some(&address.ask))
            .any(|part| part.fits(&entry.body.value, self.known, &address.path))
    }

    /// Whether a raising reading holds no longer and was followed by a passing one: of the same address,
    /// or of an ask that measures the same thing.
    fn is_passed(&self, raised: &Entry<Held>, address: &Address) -> bool {
        let holds_still = self
            .known
            .job
            .heads_of(address)
            .iter()
            .any(|head| head.fact == raised.fact);
        let same: Vec<Address> = self
            .stop
            .measures_same
            .iter()
            .filter_map(|ask| self.known.guide.ask(ask))
            .flat_map(|ask| self.known.addresses(ask, self.path))
            .filter(|other| other != address)
            .collect();
        let passes = |at: &Address| {
            let heads = self.known.job.heads_of(at);
            let newer = heads.iter().any(|head| self.is_newer(head, raised));
            newer && !heads.iter().any(|head| self.raises(head, at))
        };
        (!holds_still && passes(address)) || same.iter().any(passes)
    }

    /// Whether who called an act off has taken that back, or the visit in which it was called off is over.
    fn is_resumed(&self, raised: &Entry<Held>, address: &Address) -> bool {
        let visit = raised
            .body
            .visit
            .and_then(|visit| self.known.job.visits.get(&visit));
        let last = visit.and_then(|moments| moments.iter().rfind(|moment| moment.holds()));
        let over = last.is_some_and(|last| last.body.moment == "left");
        let record = self.known.job.record.get(address);
        let taken_back = record.into_iter().flatten().any(|entry| {
            entry.holds()
                && entry.person == raised.person
                && self.is_newer(entry, raised)
                && !self.raises(entry, address)
        });
        over || taken_back
    }

    /// Whether one entry is newer than another: by what its author had seen, else by the stamps.
    fn is_newer(&self, entry: &Entry<Held>, than: &Entry<Held>) -> bool {
        match self.known.causality.order(than.fact, entry.fact) {
            Order::Before => true,
            Order::After => false,
            Order::Unknown => entry.stamp > than.stamp,
        }
    }

    fn is_told(&self, ask: &str) -> bool {
        self.known.is_there(ask, self.path)
    }

    /// Whether a lift is recorded that counts: a paper of those who may, the reason, or the end of the act
    /// by who called it off.
    fn is_lifted(&self) -> bool {
        if !self.stop.lifted_by.can_lift() {
            return false;
        }
        let lifts = self.known.job.lifted.iter().filter(|entry| entry.holds());
        lifts
            .filter(|entry| entry.body.stop == self.stop.code)
            .filter(|entry| {
                let at = entry.body.address.as_ref();
                at.is_none_or(|address| address.path == self.path)
            })
            .any(|entry| {
                if let Some(wanted) = self.stop.lifted_by.papers() {
                    let papers = self.known.job.papers.iter();
                    let behind = papers
                        .filter(|paper| paper.holds() && entry.body.evidence.contains(&paper.fact))
                        .count();
                    return behind >= wanted;
                }
                self.stop.lifted_by == LiftedBy::Reason
                    || self
                        .raising()
                        .iter()
                        .all(|(raised, _)| raised.person == entry.person && entry.stamp > raised.stamp)
            })
    }
}
