//! An invented job of an invented business, and packs made of it.

pub mod parts;

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Cursor, Read};

use ed25519_dalek::SigningKey;
use wythe_job::canonical::Number;
use wythe_job::{
    Address, Agreed, Answered, Body, BusinessId, Certificate, Chain, DeviceId, DeviceRevoked, Digest, Draft,
    Erased, Fact, FactId, Facts, Fingerprint, JobId, JobOpened, Keeper, Measured, Moment, Noted, Original,
    PaperAdded, PersonId, PhotoTaken, RulesPinned, SALT_BYTES, Stamp, Stream, StruckOut, Trust, Value,
    digest_of,
};
use wythe_pack::{Originals, PackInput, PackReader, Row, State, original_name, write};

pub const BUSINESS: BusinessId = BusinessId([0xb5; 16]);
pub const JOB: JobId = JobId([0x0a; 16]);
pub const START_MS: i64 = 1_764_000_000_000;

pub struct Made {
    pub business_key: SigningKey,
    pub trust: Trust,
    pub facts: Facts,
    pub keepers: BTreeMap<&'static str, Keeper>,
    pub files: BTreeMap<Digest, Vec<u8>>,
    pub rows: Vec<Row>,
    pub named: BTreeMap<&'static str, FactId>,
    pub revocations: Vec<Fact>,
    pub now: i64,
}

pub struct Choice {
    pub reader: PackReader,
    pub left_out: BTreeSet<FactId>,
    pub left_out_originals: BTreeSet<Digest>,
    pub forks: BTreeSet<(Chain, u64)>,
    pub packer: &'static str,
}

impl Default for Choice {
    fn default() -> Self {
        Self {
            reader: PackReader::Full,
            left_out: BTreeSet::new(),
            left_out_originals: BTreeSet::new(),
            forks: BTreeSet::new(),
            packer: "office",
        }
    }
}

pub struct Shelf<'a>(pub &'a BTreeMap<Digest, Vec<u8>>);

impl Originals for Shelf<'_> {
    fn open(&self, original: &Original) -> io::Result<Option<Box<dyn Read + '_>>> {
        let found = self.0.get(&original.digest);
        Ok(found.map(|bytes| Box::new(Cursor::new(bytes)) as Box<dyn Read>))
    }
}

pub fn keeper(name: u8, epoch: u32) -> Keeper {
    Keeper {
        business: BUSINESS,
        chain: Chain {
            device: DeviceId([name; 16]),
            epoch,
        },
        key: SigningKey::from_bytes(&[name ^ u8::try_from(epoch).unwrap() << 6; 32]),
    }
}

pub fn certificate(business_key: &SigningKey, keeper: &Keeper, name: &str) -> Certificate {
    let issued = Moment {
        utc_ms: START_MS - 86_400_000,
        offset_min: 0,
    };
    let key = keeper.key.verifying_key();
    Certificate::issue(keeper.business, business_key, keeper.chain, &key, issued, name).unwrap()
}

impl Made {
    /// Three phones (one of them in its second epoch too) and an office; every sort of link between facts.
    pub fn new() -> Self {
        let business_key = SigningKey::from_bytes(&[0x42; 32]);
        let keepers = BTreeMap::from([
            ("lead", keeper(1, 1)),
            ("roof", keeper(2, 1)),
            ("roof_again", keeper(2, 2)),
            ("fitter", keeper(3, 1)),
            ("office", keeper(9, 1)),
        ]);
        let fingerprint = Fingerprint::of(&business_key.verifying_key().to_bytes());
        let mut trust = Trust::in_business(BUSINESS, fingerprint);
        for (name, keeper) in &keepers {
            trust.add(certificate(&business_key, keeper, name)).unwrap();
        }
        let mut made = Self {
            business_key,
            trust,
            facts: Facts::new(),
            keepers,
            files: BTreeMap::new(),
            rows: Vec::new(),
            named: BTreeMap::new(),
            revocations: Vec::new(),
            now: START_MS,
        };
        made.record_all();
        made
    }

    /// Records everything once more, with the keys that the devices have now.
    pub fn record_all_anew(&mut self) {
        self.facts = Facts::new();
        self.now = START_MS;
        self.record_all();
    }

    fn record_all(&mut self) {
        let opened = JobOpened {
            label: "Ninefold, house by the dry creek".into(),
            address: vec!["12 Invented Row".into(), "Larkspur Basin".into()],
            zone: "America/Denver".into(),
            position: None,
        };
        self.record("opened", "lead", opened, &[]);
        let rules = RulesPinned {
            programme: "larkspur_basin".into(),
            programme_digest: digest_of(b"programme"),
            guide_digest: digest_of(b"guide"),
            reason: None,
        };
        self.record("rules", "lead", rules, &[]);
        let first = self.record(
            "width",
            "lead",
            answer("survey.tile_width", length(0.288_925)),
            &[],
        );
        let apart = self.record(
            "width_roof",
            "roof",
            answer("survey.tile_width", length(0.279_4)),
            &[],
        );
        let agreed = Agreed {
            address: Address::of("survey.tile_width"),
            value: length(0.279_4),
            reason: "measured again together".into(),
            measured: Measured::default(),
        };
        self.record("agreed", "lead", agreed, &[first, apart]);
        self.photo(
            "before",
            "roof",
            "removal.in_place",
            b"picture of an old stove in place",
            "image/jpeg",
        );
        self.photo(
            "plate",
            "roof",
            "removal.plate",
            b"picture of a plate",
            "image/png",
        );
        let wrong = self.record(
            "wrong",
            "roof_again",
            answer("gas.inlet", pressure(17_400.0)),
            &[],
        );
        let strike = StruckOut {
            facts: vec![wrong],
            reason: "a slip on the pad".into(),
        };
        self.record("strike", "roof_again", strike, &[]);
        self.record("inlet", "fitter", answer("gas.inlet", pressure(1_743.6)), &[]);
        let ticket = b"scale ticket, an invented one".to_vec();
        let paper = PaperAdded {
            address: Address::of("destruction.ticket"),
            original: self.file(ticket, "application/pdf", "ticket.pdf"),
            pages: Some(1),
            preview: None,
            visit: None,
        };
        self.record("ticket", "office", paper, &[]);
        let private = self.photo(
            "private",
            "lead",
            "survey.room",
            b"a face in a mirror",
            "image/jpeg",
        );
        let erased = Erased {
            fact: private,
            reason: "the owner asked for it".into(),
            original: Some(digest_of(b"a face in a mirror")),
        };
        self.record("erased", "office", erased, &[]);
        let note = Noted {
            about: None,
            text: "Dog in the yard. Ring first.".into(),
        };
        self.record("note", "lead", note, &[]);
        let newer = Body::Unknown {
            kind: "kiln_dried".into(),
            critical: false,
            bytes: vec![0x82, 0x01, 0x63, b'o', b'a', b'k'],
        };
        self.record("newer", "fitter", newer, &[]);
        self.rows = vec![
            self.row(
                "in_place_photo",
                State::Met,
                &["before"],
                "Photographed in place.",
            ),
            self.row("plate_photo", State::Met, &["plate"], "The plate can be read."),
            self.row("inlet_pressure", State::Met, &["inlet"], "7.0 in w.c."),
            self.row(
                "tile",
                State::Doubtful,
                &["width", "width_roof", "agreed"],
                "11 in",
            ),
            self.row("ticket", State::Met, &["ticket"], "Ticket 12"),
            self.row("certificate", State::Open, &[], "Still to come."),
        ];
    }

    pub fn row(&self, requirement: &str, state: State, facts: &[&str], text: &str) -> Row {
        let facts: BTreeSet<FactId> = facts.iter().map(|name| self.named[name]).collect();
        let originals = facts.iter().filter_map(|id| {
            let original = self.facts.get(*id)?.body()?.original()?.clone();
            Some(original_name(original.digest, &original.media_type))
        });
        Row {
            members: originals.collect(),
            facts,
            requirement: requirement.into(),
            state,
            text: text.into(),
        }
    }

    pub fn file(&mut self, bytes: Vec<u8>, media_type: &str, name: &str) -> Original {
        let original = Original {
            digest: digest_of(&bytes),
            bytes: u64::try_from(bytes.len()).unwrap(),
            media_type: media_type.into(),
            name: name.into(),
        };
        self.files.insert(original.digest, bytes);
        original
    }

    pub fn photo(
        &mut self,
        name: &'static str,
        by: &'static str,
        ask: &str,
        bytes: &[u8],
        media: &str,
    ) -> FactId {
        let original = self.file(bytes.to_vec(), media, "picture");
        let photo = PhotoTaken {
            address: Address::of(ask),
            original,
            preview: None,
            width: 4_000,
            height: 3_000,
            taken: None,
            position: None,
            phone_position: None,
            orientation: 1,
            grade: None,
            fingerprint: Some(0x0123_4567_89ab_cdef),
            tags: Vec::new(),
            visit: None,
        };
        self.record(name, by, photo, &[])
    }

    /// Signs the next fact of a device that has seen everything so far.
    pub fn record(
        &mut self,
        name: &'static str,
        by: &'static str,
        body: impl Into<Body>,
        replaces: &[FactId],
    ) -> FactId {
        let keeper = self.keepers[by].clone();
        let last = self.facts.last(keeper.chain);
        let fact = self.sign(&keeper, Stream::from(JOB), body.into(), replaces, last);
        let id = fact.id();
        self.named.insert(name, id);
        self.facts.insert(fact);
        id
    }

    pub fn sign(
        &mut self,
        keeper: &Keeper,
        stream: Stream,
        body: Body,
        replaces: &[FactId],
        last: Option<(u64, FactId)>,
    ) -> Fact {
        self.now += 60_000;
        let salt = digest_of(&self.now.to_le_bytes()).0;
        let mut short = [0; SALT_BYTES];
        short.copy_from_slice(&salt[..SALT_BYTES]);
        let draft = Draft {
            stream,
            person: PersonId([0x77; 16]),
            at: Moment {
                utc_ms: self.now,
                offset_min: -420,
            },
            stamp: Stamp {
                ms: self.now,
                counter: 0,
            },
            replaces: replaces.to_vec(),
            body,
            salt: short,
        };
        let seen = if stream == Stream::from(JOB) {
            self.facts.seen_by(keeper.chain)
        } else {
            Vec::new()
        };
        keeper.sign(draft, last, seen).unwrap()
    }

    pub fn revoke(&mut self, device: &'static str, by: &'static str) {
        let body = DeviceRevoked {
            device: self.keepers[device].chain.device,
            reason: "lost on the way home".into(),
        };
        let keeper = self.keepers[by].clone();
        let fact = self.sign(&keeper, Stream::from(BUSINESS), body.into(), &[], None);
        self.revocations.push(fact);
    }

    pub fn fingerprint(&self) -> Fingerprint {
        self.trust.fingerprint()
    }

    pub fn pack(&self, choice: Choice) -> Result<Vec<u8>, wythe_pack::PackError> {
        let input = PackInput {
            job: JOB,
            facts: &self.facts,
            trust: &self.trust,
            revocations: &self.revocations,
            forks: choice.forks,
            as_of: "2025-11-24".into(),
            language: "en".into(),
            programme: ("larkspur_basin".into(), digest_of(b"programme")),
            guide: digest_of(b"guide"),
            software: "wythe 0.1.0".into(),
            reader: choice.reader,
            left_out: choice.left_out,
            left_out_originals: choice.left_out_originals,
            rows: self.rows.clone(),
            claim_pdf: b"%PDF-1.7 an invented one",
            read_me: "READ ME FIRST\nAn example. `sha256sum -c SHA256SUMS` checks the files.\n",
        };
        let mut bytes = Vec::new();
        write(
            &input,
            &self.keepers[choice.packer],
            &Shelf(&self.files),
            &mut bytes,
        )?;
        Ok(bytes)
    }
}

pub fn answer(ask: &str, value: Value) -> Answered {
    Answered {
        address: Address::of(ask),
        value,
        measured: Measured::default(),
        visit: None,
    }
}

pub fn length(metres: f64) -> Value {
    Value::Quantity {
        dimension: "length".into(),
        si: Number(metres),
    }
}

pub fn pressure(pascals: f64) -> Value {
    Value::Quantity {
        dimension: "pressure".into(),
        si: Number(pascals),
    }
}
