//! Phones, an office, and a network that is against them.

use std::collections::{BTreeMap, BTreeSet};

use ed25519_dalek::SigningKey;
use wythe_app::job::{
    BusinessId, Certificate, Chain, DeviceId, Digest, Fact, FactId, Keeper, Moment, OfficeEpoch, PersonId,
    Stream,
};
use wythe_app::sync::wire::{Reply, Request};
use wythe_app::sync::{
    Access, Answer, Call, Command, Event, House, Houses, MemoryObjects, NewInvite, Now, Office,
    OfficeStorage, Report, Token, Trouble,
};

use crate::books::Books;
use crate::chance::Chance;
use crate::handset::{Asking, Handset};
use crate::mistake::Mistake;
use crate::office_store::{Faults, SimObjects, SimStorage};
use crate::phone_store::SimStore;

pub const OURS: BusinessId = BusinessId([7; 16]);
pub const THEIRS: BusinessId = BusinessId([8; 16]);

/// How a run is set up.
#[derive(Debug, Clone, Copy)]
pub struct Setup {
    pub seed: u64,
    pub phones: usize,
    pub on_disk: bool,
    /// Whether the office keeps its books in SQLite.
    pub office_on_disk: bool,
    pub mistake: Option<Mistake>,
}

/// What goes wrong on the way and on disks, in a thousand.
#[derive(Debug, Clone, Copy)]
pub struct Weather {
    pub dropped: usize,
    pub broken_off: usize,
    pub doubled: usize,
    pub delayed: usize,
    pub disk: usize,
    pub rot: usize,
}

pub const FAIR: Weather = Weather {
    dropped: 0,
    broken_off: 0,
    doubled: 0,
    delayed: 0,
    disk: 0,
    rot: 0,
};
pub const FOUL: Weather = Weather {
    dropped: 80,
    broken_off: 80,
    doubled: 60,
    delayed: 100,
    disk: 15,
    rot: 30,
};

pub struct Firm(BTreeMap<BusinessId, House>);

impl Houses for Firm {
    fn house(&self, business: BusinessId) -> Result<Option<House>, Trouble> {
        Ok(self.0.get(&business).cloned())
    }
}

/// Something on its way.
struct Parcel {
    due: u64,
    phone: usize,
    run: u64,
    call: u64,
    to_office: Option<Token>,
    bytes: Vec<u8>,
}

/// What was sent and what came, for the budget.
#[derive(Debug, Clone, Copy, Default)]
pub struct Traffic {
    pub calls: u64,
    pub up: u64,
    pub down: u64,
}

pub struct World {
    pub chance: Chance,
    pub weather: Weather,
    pub mistake: Option<Mistake>,
    pub now: u64,
    pub firm: Firm,
    pub books: Books,
    pub objects: MemoryObjects,
    backup: Option<Books>,
    unseen: BTreeSet<u64>,
    pub phones: Vec<Handset>,
    parcels: Vec<Parcel>,
    /// What was found to be wrong.
    pub flaws: Vec<String>,
    pub acknowledged: BTreeSet<FactId>,
    /// Facts that no office can take.
    pub poisoned: BTreeSet<FactId>,
    /// Facts that somebody in the office let in after all.
    pub released: BTreeSet<FactId>,
    withdrawn: BTreeSet<(DeviceId, Stream)>,
    pub named: BTreeMap<Digest, BTreeSet<Stream>>,
    pub traffic: Traffic,
    /// Bytes of originals that came to the office, however often.
    pub kept_of_pieces: u64,
    /// A sum over all that happened: two runs of one seed have the same.
    pub trace: u64,
    on_disk: bool,
}

impl World {
    pub fn new(setup: Setup) -> Self {
        let mut chance = Chance::of(setup.seed);
        let mut firm = BTreeMap::new();
        let mut books = Books::new(setup.office_on_disk);
        for business in [OURS, THEIRS] {
            firm.insert(
                business,
                house(business, 1, SigningKey::from_bytes(&chance.bytes())),
            );
            books.open(business);
        }
        let mut world = Self {
            chance,
            weather: FAIR,
            mistake: setup.mistake,
            now: 1_000,
            firm: Firm(firm),
            books,
            objects: MemoryObjects::new(),
            backup: None,
            unseen: BTreeSet::new(),
            phones: Vec::new(),
            parcels: Vec::new(),
            flaws: Vec::new(),
            acknowledged: BTreeSet::new(),
            poisoned: BTreeSet::new(),
            released: BTreeSet::new(),
            withdrawn: BTreeSet::new(),
            named: BTreeMap::new(),
            traffic: Traffic::default(),
            kept_of_pieces: 0,
            trace: setup.seed,
            on_disk: setup.on_disk,
        };
        for business in [OURS, THEIRS] {
            world.at_desk(|office| office.begin_epoch(business));
        }
        for _ in 0..setup.phones {
            world.take_in(OURS, None);
        }
        world.take_in(THEIRS, None);
        world
    }

    pub fn moment(&self) -> Moment {
        Moment {
            utc_ms: i64::try_from(self.now).unwrap() + 1_764_000_000_000,
            offset_min: 0,
        }
    }

    fn flaw(&mut self, what: impl Into<String>) {
        self.flaws.push(what.into());
    }

    /// Lets the office act.
    pub fn office<T>(&mut self, asking: Option<usize>, work: impl FnOnce(&mut Office<'_>) -> T) -> T {
        let foreign = self.foreign_to(asking);
        let now = self.moment();
        let faults = Faults {
            disk: self.weather.disk,
            rot: self.weather.rot,
        };
        let (mut of_storage, mut of_objects) =
            (Chance::of(self.chance.next()), Chance::of(self.chance.next()));
        let mut chance = Chance::of(self.chance.next());
        let mut storage = SimStorage {
            books: &mut self.books,
            chance: &mut of_storage,
            faults,
            mistake: self.mistake,
            unseen: &mut self.unseen,
            foreign,
        };
        let mut objects = SimObjects {
            inner: &mut self.objects,
            chance: &mut of_objects,
            faults,
            mistake: self.mistake,
        };
        work(&mut Office {
            houses: &self.firm,
            storage: &mut storage,
            objects: &mut objects,
            now,
            chance: &mut |bytes| {
                for byte in bytes {
                    *byte = chance.next().to_le_bytes()[0];
                }
            },
        })
    }

    /// What mistakes would give out to a phone.
    fn foreign_to(&self, phone: Option<usize>) -> Vec<Vec<u8>> {
        let Some(phone) = phone.and_then(|phone| self.phones.get(phone)) else {
            return Vec::new();
        };
        let of = |business| self.books.facts(business).into_iter().map(|(_, fact)| fact);
        match self.mistake {
            Some(Mistake::WrongBusiness) if phone.business == THEIRS => {
                of(OURS).map(|fact| fact.encode()).collect()
            }
            Some(Mistake::GrantsIgnored) => of(phone.business)
                .filter(|fact| !phone.may_see.contains(&fact.envelope().stream))
                .map(|fact| fact.encode())
                .collect(),
            _ => Vec::new(),
        }
    }

    /// The desk tries until the disk takes it.
    pub fn at_desk<T>(&mut self, work: impl Fn(&mut Office<'_>) -> Result<T, Trouble>) -> T {
        loop {
            if let Ok(done) = self.office(None, &work) {
                return done;
            }
        }
    }

    pub fn ask(&mut self, token: Option<&Token>, phone: Option<usize>, bytes: &[u8]) -> Answer {
        self.office(phone, |office| office.answer(Call { token, bytes }))
    }

    /// Asks until there is an answer that is no trouble of a disk; now and then once more than needed.
    fn ask_until(&mut self, request: &Request) -> Reply {
        let bytes = request.encode();
        loop {
            let answer = self.ask(None, None, &bytes);
            let (reply, _) = Reply::decode(&answer.bytes).unwrap();
            let lost = self.chance.happens(self.weather.dropped);
            if answer.status != 503 && !lost {
                return reply;
            }
        }
    }

    /// A phone is taken in with a code, instead of another or for a new person.
    pub fn take_in(&mut self, business: BusinessId, replaces: Option<usize>) -> usize {
        let lost = replaces.map(|phone| (self.phones[phone].device(), self.phones[phone].person));
        let person = lost.map_or(PersonId(self.chance.bytes()), |(_, person)| person);
        let invite = NewInvite {
            person,
            replaces: lost.map(|(device, _)| device),
            lasts_ms: 3_600_000,
        };
        let (code, asking, enrolled) = loop {
            let code = self.at_desk(|office| office.invite(business, invite));
            let asking = Asking::new(&mut self.chance);
            match self.ask_until(&Request::Enrol(asking.enrol(code))) {
                Reply::Enrolled(enrolled) => break (code, asking, enrolled),
                reply => self.flaw(format!("not taken in: {reply:?}")),
            }
        };
        let thief = Asking::new(&mut self.chance);
        if let Reply::Enrolled(_) = self.ask_until(&Request::Enrol(thief.enrol(code))) {
            self.flaw("a code let a second phone in");
        }
        let certificate = Certificate::decode(&enrolled.certificate).unwrap();
        let office = Certificate::decode(&enrolled.office_certificate).unwrap();
        let on_disk = self.on_disk && self.phones.is_empty();
        let mut phone = Handset::new(&asking, certificate, office, enrolled.person, on_disk);
        if let Some(lost) = replaces {
            phone.may_see.extend(self.phones[lost].may_see.clone());
            phone.jobs.clone_from(&self.phones[lost].jobs);
        }
        self.phones.push(phone);
        self.phones.len() - 1
    }

    /// Shows the office the certificate and goes on with another key, or with the same.
    pub fn renew(&mut self, phone: usize, new_key: bool) {
        let mut asking = Asking::new(&mut self.chance);
        if !new_key {
            asking.key = self.phones[phone].keeper.key.clone();
        }
        let request = Request::Renew(asking.renew(&self.phones[phone]));
        match self.ask_until(&request) {
            Reply::Renewed(renewed) => {
                let certificate = Certificate::decode(&renewed.certificate).unwrap();
                let office = Certificate::decode(&renewed.office_certificate).unwrap();
                self.phones[phone].renewed(&asking, certificate, office);
            }
            _ => self.phones[phone].revoked = true,
        }
    }

    pub fn tell(&mut self, phone: usize, event: Event<'_>) {
        let chance = self.chance.next();
        let mut of_store = Chance::of(self.chance.next());
        let (disk, mistake) = (self.weather.disk, self.mistake);
        let handset = &mut self.phones[phone];
        let now = Now {
            ms: self.now + handset.clock_ahead,
            chance,
        };
        let acknowledged = &mut self.acknowledged;
        let commands = handset.with_store(|machine, store| {
            let mut store = SimStore {
                inner: store,
                chance: std::cell::RefCell::new(&mut of_store),
                in_a_thousand: disk,
                mistake,
                acknowledged,
            };
            machine.on(event, now, &mut store)
        });
        handset.wake = None;
        for command in commands.unwrap_or_default() {
            self.obey(phone, command);
        }
        let facts = self.phones[phone].log().streams().unwrap();
        self.phones[phone].may_see.extend(facts);
    }

    fn obey(&mut self, phone: usize, command: Command) {
        let handset = &mut self.phones[phone];
        match command {
            Command::Send { call, bytes } => {
                handset.quiet = false;
                self.traffic.calls += 1;
                self.traffic.up += u64::try_from(bytes.len()).unwrap();
                let token = handset.token.clone();
                let run = handset.run;
                self.send(phone, run, call, Some(token), bytes);
            }
            Command::WakeAt { ms } => handset.wake = Some(ms.saturating_sub(handset.clock_ahead)),
            Command::Report(report) => {
                if std::env::var("WYTHE_TOLD").is_ok() {
                    println!("{} phone {phone}: {report:?}", self.now);
                }
                self.trace = self.trace.rotate_left(5) ^ u64::try_from(format!("{report:?}").len()).unwrap();
                match report {
                    Report::Quiet => handset.quiet = true,
                    // A late word of a life that was lost says nothing of this one.
                    Report::Revoked => handset.revoked = books_say_revoked(&mut self.books, handset),
                    Report::UnknownToken => {
                        self.renew(phone, false);
                        self.phones[phone].start();
                        self.tell(phone, Event::Started);
                    }
                    _ => {}
                }
            }
        }
    }

    /// Gives something to the network.
    fn send(&mut self, phone: usize, run: u64, call: u64, to_office: Option<Token>, bytes: Vec<u8>) {
        let weather = self.weather;
        if self.chance.happens(weather.dropped) {
            return;
        }
        let copies = 1 + usize::from(self.chance.happens(weather.doubled));
        for _ in 0..copies {
            let mut bytes = bytes.clone();
            if self.chance.happens(weather.broken_off) {
                let part = self.chance.below(bytes.len());
                bytes.truncate(part);
            }
            let slow = self.chance.happens(weather.delayed);
            let most = if slow { 120_000 } else { 900 };
            let due = self.now + 20 + u64::try_from(self.chance.below(most)).unwrap();
            self.parcels.push(Parcel {
                due,
                phone,
                run,
                call,
                to_office: to_office.clone(),
                bytes,
            });
        }
    }

    /// The machine of a phone, and nothing obeys what it says.
    pub fn hear(&mut self, phone: usize, event: Event<'_>) -> Vec<Command> {
        let now = Now {
            ms: self.now,
            chance: 0,
        };
        self.hear_at(phone, event, now)
    }

    pub fn hear_at(&mut self, phone: usize, event: Event<'_>, now: Now) -> Vec<Command> {
        let heard = self.phones[phone].with_store(|machine, store| machine.on(event, now, store));
        heard.unwrap_or_default()
    }

    pub fn start_all_but_send_nothing(&mut self) {
        for phone in self.phones.iter_mut().filter(|phone| !phone.lost) {
            phone.start();
        }
    }

    pub fn start_all(&mut self) {
        self.start_all_but_send_nothing();
        for phone in 0..self.phones.len() {
            if !self.phones[phone].lost {
                self.tell(phone, Event::Started);
            }
        }
    }

    /// Goes on until nobody has anything to do.
    pub fn run_until_quiet(&mut self) {
        for _ in 0..20_000 {
            let mut live = self.phones.iter().filter(|phone| !phone.lost);
            if (self.parcels.is_empty() && live.all(|phone| phone.quiet)) || !self.step() {
                return;
            }
        }
    }

    /// Lets time pass to the next thing that happens.
    pub fn step(&mut self) -> bool {
        let parcel = self.parcels.iter().map(|parcel| parcel.due).min();
        let wake = self.phones.iter().filter(|phone| phone.machine.is_some());
        let wake = wake.filter_map(|phone| phone.wake).min();
        let Some(next) = parcel.into_iter().chain(wake).min() else {
            return false;
        };
        self.now = self.now.max(next);
        while let Some(at) = self.parcels.iter().position(|parcel| parcel.due <= self.now) {
            let parcel = self.parcels.remove(at);
            self.deliver(parcel);
        }
        for phone in 0..self.phones.len() {
            if self.phones[phone].wake.is_some_and(|wake| wake <= self.now) {
                self.tell(phone, Event::Tick);
            }
        }
        true
    }

    fn deliver(&mut self, parcel: Parcel) {
        let Parcel {
            phone,
            run,
            call,
            to_office,
            bytes,
            ..
        } = parcel;
        self.trace = self.trace.rotate_left(7) ^ u64::try_from(bytes.len()).unwrap() ^ self.now;
        if let Some(token) = to_office {
            let before = self.ids_of(self.phones[phone].business);
            if let Ok((Request::Piece(_), raw)) = Request::decode(&bytes) {
                self.kept_of_pieces += u64::try_from(raw.len()).unwrap();
            }
            let answer = self.ask(Some(&token), Some(phone), &bytes);
            self.look_at_apart(phone, &bytes, &before);
            let reply = self.look_at_reply(phone, &bytes, answer.bytes);
            self.traffic.down += u64::try_from(reply.len()).unwrap();
            self.send(phone, run, call, None, reply);
        } else if self.phones[phone].run == run && self.phones[phone].machine.is_some() {
            self.tell(phone, Event::Answer { call, bytes: &bytes });
        }
    }

    pub fn ids_of(&self, business: BusinessId) -> BTreeSet<FactId> {
        let facts = self.books.facts(business);
        facts.iter().map(|(_, fact)| fact.id()).collect()
    }

    /// Nothing that a revoked phone brings is among the others.
    fn look_at_apart(&mut self, phone: usize, request: &[u8], before: &BTreeSet<FactId>) {
        if !self.phones[phone].revoked {
            return;
        }
        if let Ok((Request::Exchange(it), _)) = Request::decode(request) {
            let after = self.ids_of(it.business);
            let brought = it.facts.iter().filter_map(|fact| Fact::decode(&fact.0).ok());
            let merged = brought
                .map(|fact| fact.id())
                .find(|id| after.contains(id) && !before.contains(id));
            if merged.is_some() {
                self.flaw("what a revoked phone brought was merged");
            }
        }
    }

    /// Nothing goes to a phone that is not its own.
    fn look_at_reply(&mut self, phone: usize, request: &[u8], reply: Vec<u8>) -> Vec<u8> {
        let handset = &self.phones[phone];
        let may_see = |stream: &Stream| {
            handset.may_see.contains(stream) && !self.withdrawn.contains(&(handset.device(), *stream))
        };
        let mut wrong = Vec::new();
        let Ok((read, raw)) = Reply::decode(&reply) else {
            self.flaw("the office's reply cannot be read");
            return reply;
        };
        match (&read, Request::decode(request)) {
            (Reply::Exchanged(it), _) => {
                let facts = it.facts.iter().chain(&it.again);
                for fact in facts.filter_map(|fact| Fact::decode(&fact.0).ok()) {
                    let envelope = fact.envelope();
                    if envelope.business != handset.business {
                        wrong.push("a fact went to another business");
                    } else if !may_see(&envelope.stream) {
                        wrong.push("a fact went to a phone that is not of its job");
                    } else if handset.revoked {
                        wrong.push("a fact went to a revoked phone");
                    }
                }
            }
            (Reply::Fetched(it), _) if !raw.is_empty() => {
                let streams = self.named.get(&it.digest);
                if !streams.into_iter().flatten().any(may_see) {
                    wrong.push("an original went to a phone that is not of its job");
                }
            }
            _ => {}
        }
        self.flaws.extend(wrong.into_iter().map(str::to_owned));
        // The mistake of a phone that does not look at the office's epoch.
        if let (Some(Mistake::EpochIgnored), Reply::Exchanged(it), Ok((Request::Exchange(asked), _))) =
            (self.mistake, &read, Request::decode(request))
            && asked.office != OfficeEpoch([0; 16])
        {
            let mut forged = it.clone();
            forged.office = asked.office;
            return Reply::Exchanged(forged).encode();
        }
        reply
    }

    pub fn withdraw(&mut self, phone: usize, stream: Stream) {
        let (business, device) = (self.phones[phone].business, self.phones[phone].device());
        self.at_desk(|office| office.withdraw(business, device, stream));
        self.withdrawn.insert((device, stream));
    }

    pub fn give(&mut self, phone: usize, stream: Stream) {
        let (business, device) = (self.phones[phone].business, self.phones[phone].device());
        self.phones[phone].may_see.insert(stream);
        self.withdrawn.remove(&(device, stream));
        self.at_desk(|office| office.give(business, device, stream));
    }

    pub fn revoke(&mut self, phone: usize) {
        let (business, device) = (self.phones[phone].business, self.phones[phone].device());
        self.at_desk(|office| office.revoke(business, device, "lost"));
        self.phones[phone].revoked = true;
    }

    pub fn back_up(&mut self) {
        self.backup = Some(self.books.copy());
    }

    /// The office's books are put back from the copy; the originals lie elsewhere and stay.
    pub fn restore_office(&mut self) {
        let Some(backup) = &self.backup else {
            return;
        };
        self.books = backup.copy();
        self.unseen.clear();
        if self.mistake == Some(Mistake::NoNewLife) {
            return;
        }
        for business in [OURS, THEIRS] {
            let epoch = self.firm.0[&business].keeper.chain.epoch + 1;
            let key = SigningKey::from_bytes(&self.chance.bytes());
            self.firm.0.insert(business, house(business, epoch, key));
            self.at_desk(|office| office.begin_epoch(business));
        }
        // What the copy did not know of is known no more.
        self.withdrawn.clear();
        self.forgive();
    }

    /// Facts of which every holder is gone cannot be asked for.
    pub fn forgive(&mut self) {
        let mut somewhere = self.ids_of(OURS);
        somewhere.extend(self.ids_of(THEIRS));
        somewhere.extend(self.kept_apart());
        for phone in self.phones.iter().filter(|phone| !phone.lost && !phone.revoked) {
            somewhere.extend(phone.ids());
        }
        self.acknowledged.retain(|id| somewhere.contains(id));
    }

    pub fn kept_apart(&self) -> BTreeSet<FactId> {
        let rows = [OURS, THEIRS].map(|business| self.books.kept_apart(business));
        rows.iter().flatten().map(|row| row.fact.id()).collect()
    }

    /// Fair weather from now on, until nothing is left to do. Gives whether that came.
    pub fn quiet_down(&mut self) -> bool {
        self.weather = FAIR;
        self.mistake = self.mistake.filter(|mistake| {
            // Those that come with bad luck have had their chance.
            !matches!(mistake, Mistake::LostLock | Mistake::AcknowledgedBeforeCommit)
        });
        self.unseen.clear();
        for round in 0..4 {
            for phone in 0..self.phones.len() {
                if !self.phones[phone].lost {
                    if self.phones[phone].machine.is_none() || round > 0 {
                        self.phones[phone].start();
                    }
                    self.tell(phone, Event::Started);
                }
            }
            self.run_until_quiet();
        }
        let mut live = self.phones.iter().filter(|phone| !phone.lost);
        live.all(|phone| phone.quiet)
    }
}

fn books_say_revoked(books: &mut Books, phone: &Handset) -> bool {
    let mut desk = books.begin(phone.business, Access::Read).unwrap();
    let device = desk.device(phone.device()).unwrap();
    device.is_some_and(|device| device.revoked)
}

fn house(business: BusinessId, epoch: u32, key: SigningKey) -> House {
    let business_key = SigningKey::from_bytes(&[business.0[0]; 32]);
    let chain = Chain {
        device: DeviceId([business.0[0] ^ 0xff; 16]),
        epoch,
    };
    let issued = Moment {
        utc_ms: 1_763_000_000_000,
        offset_min: 0,
    };
    let certificate = Certificate::issue(
        business,
        &business_key,
        chain,
        &key.verifying_key(),
        issued,
        "the office",
    );
    House {
        name: "Ninefold Hearth".into(),
        business_key,
        keeper: Keeper { business, chain, key },
        certificate: certificate.unwrap(),
        person: PersonId([1; 16]),
    }
}
