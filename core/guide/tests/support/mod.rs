//! Jobs made for tests: facts signed by phones of our own, folded and held against a programme.
#![allow(dead_code, reason = "each test takes what it needs")]

pub mod book;
pub mod chance;
pub mod deeds;
pub mod dice;
pub mod reading;
pub mod stops;
pub mod whole;

use std::collections::BTreeMap;

use ed25519_dalek::SigningKey;
use wythe_guide::figures::{Figures, Library, run};
use wythe_guide::readiness::readiness;
use wythe_guide::{Date, Elsewhere, Guide, Known, Programme, Row, read_date, read_entry, read_moment};
use wythe_job::{
    Address, Answered, Body, BusinessId, Causality, Chain, ClaimMoved, Clock, DeviceId, Digest, Draft,
    FactId, Facts, FiguresKept, Grade, Instrument, Job, JobOpened, Keeper, Moment, Original, PaperAdded,
    PersonId, PhotoTaken, PhotoTime, Signed, StopLifted, Stream, StrokePoint, StruckOut, TagRead, Visit,
    VisitId, digest_of, fold,
};

pub const ZONE: &str = "America/Denver";

/// What is special about a photograph.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    pub grade: &'static str,
    pub reasons: Vec<String>,
    pub best: Option<String>,
    /// The job's own tag, another's, or none.
    pub tag: Tag,
    /// When the camera says it was taken, where it says so.
    pub taken: Option<String>,
    /// What file it is; the same number is the same file.
    pub file: u64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tag {
    Own,
    Other,
    MadeUp,
    None,
}

impl Shot {
    pub fn good(file: u64) -> Self {
        Self {
            grade: "good",
            reasons: Vec::new(),
            best: None,
            tag: Tag::Own,
            taken: None,
            file,
        }
    }
}

/// One phone with its own copy of the job's facts.
pub struct Phone<'g> {
    guide: &'g Guide,
    keeper: Keeper,
    person: PersonId,
    clock: Clock,
    pub facts: Facts,
    heads: BTreeMap<Address, Vec<FactId>>,
    pub now: Moment,
    visit: Option<VisitId>,
    instruments: Vec<Instrument>,
    salt: u64,
}

impl<'g> Phone<'g> {
    pub fn new(guide: &'g Guide, name: u8) -> Self {
        Self {
            guide,
            keeper: Keeper {
                business: BusinessId([7; 16]),
                chain: Chain {
                    device: DeviceId([name; 16]),
                    epoch: 1,
                },
                key: SigningKey::from_bytes(&[name; 32]),
            },
            person: PersonId([name; 16]),
            clock: Clock::default(),
            facts: Facts::new(),
            heads: BTreeMap::new(),
            now: read_moment("2026-03-01T08:00-07:00").unwrap(),
            visit: None,
            instruments: Vec::new(),
            salt: 0,
        }
    }

    pub fn at(&mut self, moment: &str) {
        self.now = read_moment(moment).unwrap();
    }

    fn record(&mut self, body: impl Into<Body>, replaces: Vec<FactId>) -> FactId {
        self.now.utc_ms += 1_000;
        self.salt += 1;
        let mut salt = [0; 16];
        salt[..8].copy_from_slice(&self.salt.to_be_bytes());
        let draft = Draft {
            stream: Stream([9; 16]),
            person: self.person,
            at: self.now,
            stamp: self.clock.tick(self.now.utc_ms),
            replaces,
            body: body.into(),
            salt,
        };
        let chain = self.keeper.chain;
        let fact = self
            .keeper
            .sign(draft, self.facts.last(chain), self.facts.seen_by(chain))
            .unwrap();
        let id = fact.id();
        self.facts.insert(fact);
        id
    }

    pub fn open(&mut self, zone: &str) -> FactId {
        let opened = JobOpened {
            label: "Featherstep, 12 Nowhere Lane".to_owned(),
            address: vec!["12 Nowhere Lane".to_owned()],
            zone: zone.to_owned(),
            position: None,
        };
        self.record(opened, Vec::new())
    }

    /// Answers as the app does: read, then recorded over every answer that holds here.
    pub fn answer(&mut self, address: &str, typed: &str) -> FactId {
        let address: Address = address.parse().unwrap();
        let ask = self.guide.ask(&address.ask);
        let ask = ask.unwrap_or_else(|| panic!("there is no ask {}", address.ask));
        let entry = read_entry(ask, typed, "en").unwrap_or_else(|why| panic!("{address}: {why}"));
        let answered = Answered {
            address: address.clone(),
            value: entry.value,
            measured: entry.measured,
            visit: self.visit,
        };
        let replaces = self.heads.remove(&address).unwrap_or_default();
        let id = self.record(answered, replaces);
        self.heads.insert(address, vec![id]);
        id
    }

    pub fn photo(&mut self, address: &str, shot: &Shot, job: &str) -> FactId {
        let tags = match shot.tag {
            Tag::Own => vec![format!("WYTHE {job}")],
            Tag::Other => vec!["WYTHE ffffffff".to_owned()],
            Tag::MadeUp => vec!["WYTHE made up".to_owned()],
            Tag::None => Vec::new(),
        };
        let taken = shot.taken.as_ref().map(|text| {
            let (local, offset) = text.split_at(19);
            let hours: i16 = offset[..3].parse().unwrap();
            PhotoTime {
                local: local.to_owned(),
                offset_min: Some(hours * 60),
            }
        });
        let photo = PhotoTaken {
            address: address.parse().unwrap(),
            original: original(&format!("photo {}", shot.file), "image/jpeg"),
            preview: None,
            width: 4_000,
            height: 3_000,
            taken,
            position: None,
            phone_position: None,
            orientation: 1,
            grade: Some(Grade {
                code: shot.grade.to_owned(),
                version: 1,
                reasons: shot.reasons.clone(),
                best_i_can: shot.best.clone(),
            }),
            fingerprint: None,
            tags,
            visit: self.visit,
        };
        self.record(photo, Vec::new())
    }

    pub fn paper(&mut self, address: &str) -> FactId {
        let paper = PaperAdded {
            address: address.parse().unwrap(),
            original: original(address, "application/pdf"),
            pages: Some(1),
            preview: None,
            visit: self.visit,
        };
        self.record(paper, Vec::new())
    }

    /// Signs for everything that holds here.
    pub fn sign(&mut self, address: &str, act: &str) -> FactId {
        let mut covers: Vec<FactId> = self.heads.values().flatten().copied().collect();
        covers.sort_unstable();
        let point = StrokePoint {
            x: 10,
            y: 10,
            ms: 0,
            pressure: None,
        };
        let signed = Signed {
            address: address.parse().unwrap(),
            act: act.to_owned(),
            role: "owner".to_owned(),
            name: "Tansy Featherstep".to_owned(),
            words: "The words as shown.".to_owned(),
            language: "en".to_owned(),
            consent_version: 1,
            strokes: vec![vec![point]],
            covers,
            summary_digest: digest_of(b"summary"),
            position: None,
            copy_given: Some(true),
            visit: self.visit,
        };
        self.record(signed, Vec::new())
    }

    /// Keeps figures as they stand now.
    pub fn keep(&mut self, id: &str, library: &Library) -> FactId {
        let look = Look::of(&self.facts);
        let known = Known::new(self.guide, &look.job, &look.causality);
        let figures = run(&known, library);
        let here = figures.iter().find(|figures| figures.id == id);
        let here = here.unwrap_or_else(|| panic!("there are no figures {id}"));
        let here = here.clone();
        self.keep_as(&here)
    }

    /// Keeps figures as they are given.
    pub fn keep_as(&mut self, here: &Figures) -> FactId {
        let result = here.good();
        let result =
            result.unwrap_or_else(|| panic!("{} is missing {:?} {:?}", here.id, here.missing, here.result));
        let kept = FiguresKept {
            reckoning: here.reckoning.clone(),
            address: here.id.parse().unwrap(),
            input: here.input.to_string(),
            result: result.to_string(),
            editions: Vec::new(),
            from: here.from.clone(),
        };
        self.record(kept, Vec::new())
    }

    pub fn claim(&mut self, to: &str, on: &str) -> FactId {
        let moved = ClaimMoved {
            to: to.to_owned(),
            on: on.to_owned(),
            pack: None,
            version: 1,
            text: None,
            amount: None,
            currency: None,
        };
        self.record(moved, Vec::new())
    }

    pub fn lift(&mut self, stop: &str, evidence: Vec<FactId>) -> FactId {
        let lifted = StopLifted {
            stop: stop.to_owned(),
            by: "whoever may".to_owned(),
            evidence,
            reason: "As the paper says.".to_owned(),
            address: None,
        };
        self.record(lifted, Vec::new())
    }

    pub fn strike(&mut self, fact: FactId) -> FactId {
        for heads in self.heads.values_mut() {
            heads.retain(|head| *head != fact);
        }
        let struck = StruckOut {
            facts: vec![fact],
            reason: "Mistaken.".to_owned(),
        };
        self.record(struck, Vec::new())
    }

    pub fn arrive_with(&mut self, sort: &str, calibrated: &str) {
        self.instruments = vec![Instrument {
            name: "CO meter 4".to_owned(),
            calibrated: Some(calibrated.to_owned()),
        }];
        self.arrive(sort);
        self.instruments.clear();
        self.visit = None;
    }

    pub fn arrive(&mut self, sort: &str) {
        self.salt += 1;
        let mut id = [self.person.0[0]; 16];
        id[..8].copy_from_slice(&self.salt.to_be_bytes());
        self.visit = Some(VisitId(id));
        self.moment(sort, "arrived");
    }

    pub fn moment(&mut self, sort: &str, moment: &str) {
        let Some(visit) = self.visit else { return };
        let body = Visit {
            visit,
            sort: sort.to_owned(),
            moment: moment.to_owned(),
            people: vec![self.person],
            weather: None,
            instruments: self.instruments.clone(),
            left_safe: Vec::new(),
            at: None,
        };
        self.record(body, Vec::new());
        if moment == "left" {
            self.visit = None;
        }
    }

    /// Takes in what another phone holds, and knows its answers from then on.
    pub fn meet(&mut self, other: &Self) {
        self.facts.extend(other.facts.iter().cloned());
        let job = fold(&self.facts);
        self.heads = job
            .heads
            .iter()
            .map(|(address, heads)| (address.clone(), heads.iter().map(|head| head.fact).collect()))
            .collect();
        for fact in other.facts.iter() {
            self.clock.see(fact.envelope().stamp, self.now.utc_ms);
        }
    }

    pub fn job_tag(&self) -> String {
        let opened = fold(&self.facts);
        opened.opened.first().unwrap().fact.short()
    }
}

fn original(name: &str, media_type: &str) -> Original {
    Original {
        digest: digest_of(name.as_bytes()),
        bytes: 1_000,
        media_type: media_type.to_owned(),
        name: "file".to_owned(),
    }
}

/// The digest under which [`Phone::photo`] keeps a file.
pub fn photo_digest(file: u64) -> Digest {
    digest_of(format!("photo {file}").as_bytes())
}

/// A folded job.
pub struct Look {
    pub job: Job,
    pub causality: Causality,
}

impl Look {
    pub fn of(facts: &Facts) -> Self {
        Self {
            job: fold(facts),
            causality: Causality::of(facts),
        }
    }
}

/// What the tags are that [`Phone::photo`] puts into the frame.
pub fn tags(job: &Job) -> BTreeMap<String, TagRead> {
    let own = job.opened.first().map(|opened| opened.fact.short());
    BTreeMap::from([
        (format!("WYTHE {}", own.unwrap_or_default()), TagRead::Own),
        ("WYTHE ffffffff".to_owned(), TagRead::OtherJob),
        ("WYTHE made up".to_owned(), TagRead::NotGenuine),
    ])
}

/// How a job stands, taken out of everything that it borrows from.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    pub rows: Vec<Row>,
    /// Codes of the stops that stand, with what they block.
    pub stops: BTreeMap<String, Vec<String>>,
    pub ready: bool,
    /// The required rows that are missing, in the order in which they press.
    pub missing: Vec<String>,
    pub due: Vec<(String, Option<Date>, Option<Date>)>,
}

impl Stand {
    /// The required row of an id and instance.
    pub fn row(&self, id: &str) -> &Row {
        let (name, number) = id.split_once(':').unwrap_or((id, ""));
        let here = |row: &&Row| {
            let numbers: Vec<String> = row.path.iter().map(|(_, number)| number.to_string()).collect();
            row.id == name && row.required && (number.is_empty() || numbers == [number])
        };
        self.rows
            .iter()
            .find(here)
            .unwrap_or_else(|| panic!("there is no row {id}"))
    }
}

pub fn stand(
    guide: &Guide,
    facts: &Facts,
    programme: &Programme,
    library: &Library,
    elsewhere: &Elsewhere,
    today: &str,
) -> Stand {
    let look = Look::of(facts);
    let today = read_date(today).unwrap();
    let bare = Known::new(guide, &look.job, &look.causality);
    let figures: Vec<Figures> = run(&bare, library);
    let mut known = bare.on(today);
    for figures in &figures {
        known.note_findings(figures);
    }
    let mut elsewhere = elsewhere.clone();
    elsewhere.tags.extend(tags(&look.job));
    let readiness = readiness(&known, programme, &figures, &elsewhere, today);
    Stand {
        rows: readiness.rows.clone(),
        stops: readiness
            .stops
            .iter()
            .map(|open| (open.stop.code.clone(), open.stop.blocks.clone()))
            .collect(),
        ready: readiness.claim_is_whole(),
        missing: readiness.missing().iter().map(|row| row.id.clone()).collect(),
        due: readiness
            .deadlines
            .iter()
            .map(|due| (due.id.clone(), due.on, due.met))
            .collect(),
    }
}

/// The three programmes that are carried along.
pub fn programmes(guide: &Guide) -> Vec<(Programme, toml::Table)> {
    [
        (
            "larkspur.toml",
            include_str!("../../../../fixtures/programmes/larkspur.toml"),
        ),
        (
            "saltmarsh.toml",
            include_str!("../../../../fixtures/programmes/saltmarsh.toml"),
        ),
        (
            "thornfield.toml",
            include_str!("../../../../fixtures/programmes/thornfield.toml"),
        ),
    ]
    .into_iter()
    .map(|(name, text)| (Programme::load(name, text, guide).unwrap(), text.parse().unwrap()))
    .collect()
}
