//! An invented phone: a real log, the phone's machine, and a person who records.

use std::collections::BTreeSet;
use std::sync::Arc;

use ed25519_dalek::SigningKey;
use tempfile::TempDir;
use wythe_app::LogStore;
use wythe_app::job::{
    Address, ArrivalRecord, Assigned, Body, BusinessId, Certificate, Chain, DeviceId, Draft, Fact, FactId,
    Keeper, Moment, Noted, Original, PaperAdded, PersonId, Stamp, Stream,
};
use wythe_app::store::{Change, Log, MemoryLog, Options, Originals, Plain, SqliteLog};
use wythe_app::sync::wire::{Enrol, Renew};
use wythe_app::sync::{InviteCode, Membership, Phone, PhoneStore, SetAside, Token};

use crate::chance::Chance;

/// Where a phone keeps its log.
pub enum Kept {
    Memory(Box<MemoryLog>),
    Sqlite(Box<SqliteLog>, Arc<TempDir>),
}

/// A phone.
pub struct Handset {
    pub business: BusinessId,
    pub keeper: Keeper,
    pub person: PersonId,
    pub certificate: Certificate,
    pub office: Certificate,
    pub token: Token,
    pub kept: Kept,
    /// The process, while it runs.
    pub machine: Option<Phone>,
    /// Counts processes, so that answers to a dead one are not given to the next.
    pub run: u64,
    pub wake: Option<u64>,
    pub quiet: bool,
    pub revoked: bool,
    /// Lost for good.
    pub lost: bool,
    pub clock_ahead: u64,
    /// A copy of the phone, as a backup holds it.
    pub copy: Option<(MemoryLog, Certificate, Keeper)>,
    /// What it ever had a fact of, or was given otherwise.
    pub may_see: BTreeSet<Stream>,
    pub jobs: Vec<Stream>,
    recorded: u64,
}

/// A phone that asks to be taken in.
pub struct Asking {
    pub device: DeviceId,
    pub key: SigningKey,
    pub secret: [u8; 32],
}

impl Asking {
    pub fn new(chance: &mut Chance) -> Self {
        Self {
            device: DeviceId(chance.bytes()),
            key: SigningKey::from_bytes(&chance.bytes()),
            secret: chance.bytes(),
        }
    }

    pub fn token(&self, business: BusinessId) -> Token {
        Token {
            business,
            secret: self.secret,
        }
    }

    pub fn enrol(&self, code: InviteCode) -> Enrol {
        let token = self.token(BusinessId([0; 16])).hash();
        Enrol::sign(code, self.device, &self.key, token, "a phone")
    }

    pub fn renew(&self, phone: &Handset) -> Renew {
        let token = self.token(phone.business).hash();
        Renew::sign(phone.certificate.bytes(), &phone.keeper.key, &self.key, token)
    }
}

fn sqlite(folder: &Arc<TempDir>) -> Kept {
    let options = Options::new(b"this phone".to_vec(), [1; 16]);
    let (log, _) = SqliteLog::open(folder.path(), options).unwrap();
    Kept::Sqlite(Box::new(log), Arc::clone(folder))
}

impl Handset {
    pub fn new(
        asking: &Asking,
        certificate: Certificate,
        office: Certificate,
        person: PersonId,
        on_disk: bool,
    ) -> Self {
        let business = certificate.business();
        let kept = if on_disk {
            sqlite(&Arc::new(tempfile::tempdir().unwrap()))
        } else {
            let originals = Originals::in_memory().unwrap();
            Kept::Memory(Box::new(MemoryLog::with(Arc::new(Plain), originals, true)))
        };
        Self {
            business,
            keeper: Keeper {
                business,
                chain: certificate.chain(),
                key: asking.key.clone(),
            },
            person,
            certificate,
            office,
            token: asking.token(business),
            kept,
            machine: None,
            run: 0,
            wake: None,
            quiet: false,
            revoked: false,
            lost: false,
            clock_ahead: 0,
            copy: None,
            may_see: [business.into()].into(),
            jobs: Vec::new(),
            recorded: 0,
        }
    }

    pub fn device(&self) -> DeviceId {
        self.keeper.chain.device
    }

    pub fn log(&self) -> &dyn Log {
        match &self.kept {
            Kept::Memory(log) => &**log,
            Kept::Sqlite(log, _) => &**log,
        }
    }

    pub fn log_mut(&mut self) -> &mut dyn Log {
        match &mut self.kept {
            Kept::Memory(log) => &mut **log,
            Kept::Sqlite(log, _) => &mut **log,
        }
    }

    /// Does something with the log as the exchange sees it.
    pub fn with_store<T>(&mut self, work: impl FnOnce(&mut Phone, &mut dyn PhoneStore) -> T) -> Option<T> {
        let machine = self.machine.as_mut()?;
        Some(match &mut self.kept {
            Kept::Memory(log) => work(machine, &mut LogStore(&mut **log)),
            Kept::Sqlite(log, _) => work(machine, &mut LogStore(&mut **log)),
        })
    }

    pub fn set_aside(&mut self) -> Vec<SetAside> {
        match &mut self.kept {
            Kept::Memory(log) => LogStore(&mut **log).set_aside().unwrap(),
            Kept::Sqlite(log, _) => LogStore(&mut **log).set_aside().unwrap(),
        }
    }

    pub fn arrival_records(&mut self) -> Vec<(ArrivalRecord, Vec<FactId>)> {
        match &mut self.kept {
            Kept::Memory(log) => LogStore(&mut **log).arrival_records().unwrap(),
            Kept::Sqlite(log, _) => LogStore(&mut **log).arrival_records().unwrap(),
        }
    }

    /// A process begins.
    pub fn start(&mut self) {
        let mut trust = wythe_app::job::Trust::in_business(self.business, self.certificate.fingerprint());
        trust.add(self.certificate.clone()).unwrap();
        trust.add(self.office.clone()).unwrap();
        for fact in self.log().facts(self.business.into()).unwrap().iter() {
            if let Some(Body::DeviceCertified(body)) = fact.body() {
                let _ = trust.add(Certificate::decode(&body.certificate).unwrap());
            }
        }
        self.run += 1;
        self.quiet = false;
        self.machine = Some(Phone::new(Membership {
            business: self.business,
            chain: self.keeper.chain,
            token: self.token.clone(),
            office: self.office.chain().device,
            trust,
        }));
    }

    /// The process is killed. A log on disk is opened anew.
    pub fn die(&mut self) {
        self.machine = None;
        self.wake = None;
        if let Kept::Sqlite(_, folder) = &self.kept {
            let folder = Arc::clone(folder);
            self.kept = Kept::Memory(Box::new(MemoryLog::new().unwrap()));
            self.kept = sqlite(&folder);
        }
    }

    pub fn sign(&mut self, stream: Stream, body: Body, at_ms: u64) -> Fact {
        self.recorded += 1;
        let held = self.log().facts(stream).unwrap();
        let ms = i64::try_from(at_ms).unwrap() + 1_764_000_000_000;
        let mut salt = [0; 16];
        salt[..8].copy_from_slice(&self.recorded.to_be_bytes());
        salt[8..12].copy_from_slice(&self.keeper.chain.epoch.to_be_bytes());
        let draft = Draft {
            stream,
            person: self.person,
            at: Moment {
                utc_ms: ms,
                offset_min: 0,
            },
            stamp: Stamp { ms, counter: 0 },
            replaces: Vec::new(),
            body,
            salt,
        };
        let chain = self.keeper.chain;
        self.keeper
            .sign(draft, held.last(chain), held.seen_by(chain))
            .unwrap()
    }

    pub fn append(&mut self, facts: &[Fact]) {
        self.log_mut()
            .commit(&Change {
                facts,
                ..Change::default()
            })
            .unwrap();
        for fact in facts {
            self.may_see.insert(fact.envelope().stream);
        }
    }

    pub fn note(&mut self, stream: Stream, at_ms: u64) -> Fact {
        let text = format!("entry {} of {}", self.recorded, self.keeper.chain.device.short());
        let fact = self.sign(stream, Noted { about: None, text }.into(), at_ms);
        self.append(std::slice::from_ref(&fact));
        fact
    }

    pub fn assign(&mut self, stream: Stream, person: PersonId, at_ms: u64) {
        let body = Assigned {
            person,
            name: "a person".into(),
            role: "installer".into(),
            licence: None,
            licence_until: None,
        };
        let fact = self.sign(stream, body.into(), at_ms);
        self.append(&[fact]);
    }

    pub fn put(&mut self, bytes: &[u8], name: &str) -> Original {
        let mut bytes = bytes;
        self.log()
            .originals()
            .put(&mut bytes, name, "image/jpeg")
            .unwrap()
    }

    pub fn picture(&mut self, stream: Stream, original: &[u8], preview: &[u8], at_ms: u64) -> Fact {
        let body = PaperAdded {
            address: Address::of("destruction.certificate"),
            original: self.put(original, "picture.jpg"),
            pages: None,
            preview: Some(self.put(preview, "preview.jpg")),
            visit: None,
        };
        let fact = self.sign(stream, body.into(), at_ms);
        self.append(std::slice::from_ref(&fact));
        fact
    }

    pub fn ids(&self) -> BTreeSet<FactId> {
        let arrivals = self.log().arrivals(0, u32::MAX).unwrap();
        arrivals.iter().map(|arrival| arrival.fact.id()).collect()
    }

    /// Puts the copy back: what came since is gone, and a new epoch is due.
    pub fn put_back(&mut self) -> bool {
        let Some((log, certificate, keeper)) = self.copy.clone() else {
            return false;
        };
        self.machine = None;
        self.wake = None;
        self.kept = Kept::Memory(Box::new(log));
        self.certificate = certificate;
        self.keeper = keeper;
        true
    }

    pub fn take_copy(&mut self) {
        if let Kept::Memory(log) = &self.kept {
            self.copy = Some(((**log).clone(), self.certificate.clone(), self.keeper.clone()));
        }
    }

    /// Goes on with what the office certified.
    pub fn renewed(&mut self, asking: &Asking, certificate: Certificate, office: Certificate) {
        self.keeper = Keeper {
            business: self.business,
            chain: Chain {
                device: self.device(),
                epoch: certificate.chain().epoch,
            },
            key: asking.key.clone(),
        };
        self.token = asking.token(self.business);
        self.certificate = certificate;
        self.office = office;
    }
}
