//! The golden recordings of the exchange: one session, byte for byte, against the CDDL, and played
//! again against the office of today. Recordings never change; `WYTHE_GOLDEN=add` writes new ones.

#[cfg(test)]
#[expect(dead_code, reason = "shared with other tests")]
mod cddl;
#[cfg(test)]
#[expect(dead_code, reason = "shared with other tests")]
mod samples;

#[cfg(test)]
mod tests {
    use std::path::{Path, PathBuf};

    use ed25519_dalek::SigningKey;
    use wythe_job::{
        ArrivalRecord, BusinessId, Chain, DeviceId, Fact, FactId, Facts, Keeper, Noted, OfficeEpoch,
        Original, PaperAdded, PersonId, Stream, digest_of,
    };
    use wythe_sync::wire::{
        Bytes, Code, Enrol, Exchange, Fetch, Offered, Piece, Renew, Reply, Request, WireFault,
    };
    use wythe_sync::{
        Call, Cursor, House, Houses, InviteCode, MemoryObjects, MemoryOffice, NewInvite, Office, Token,
        Trouble,
    };

    use crate::cddl::Cddl;
    use crate::samples::{BUSINESS, BUSINESS_KEY, JOB, NOW, certificate, keeper};

    const CDDL: &str = include_str!("../../../fixtures/formats/exchange.cddl");
    const ORIGINAL: &[u8] = b"the certificate that the recycler gave, as it was scanned";
    const SECRET: [u8; 32] = [0x5e; 32];

    fn folder() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/formats/golden/exchange")
    }

    /// What was recorded under this name; with `WYTHE_GOLDEN=add`, what is recorded now.
    fn golden(name: &str, now: &[u8]) -> Vec<u8> {
        let path = folder().join(name);
        if std::env::var("WYTHE_GOLDEN").is_ok_and(|word| word == "add") && !path.exists() {
            std::fs::create_dir_all(folder()).unwrap();
            std::fs::write(&path, now).unwrap();
        }
        std::fs::read(&path).unwrap_or_default()
    }

    /// The business of the golden files; phone 1 is its office.
    struct One;

    impl Houses for One {
        fn house(&self, business: BusinessId) -> Result<Option<House>, Trouble> {
            Ok((business == BUSINESS).then(|| House {
                name: "Ninefold Hearth".into(),
                business_key: SigningKey::from_bytes(&[BUSINESS_KEY; 32]),
                keeper: keeper(1),
                certificate: certificate(1),
                person: PersonId([0x77; 16]),
            }))
        }
    }

    /// An office whose chance is a count, and what it has.
    struct Desk {
        books: MemoryOffice,
        objects: MemoryObjects,
        count: u8,
    }

    impl Desk {
        fn new() -> Self {
            let mut books = MemoryOffice::new();
            books.open(BUSINESS);
            let mut desk = Self {
                books,
                objects: MemoryObjects::new(),
                count: 0,
            };
            desk.act(|office| office.begin_epoch(BUSINESS)).unwrap();
            desk
        }

        fn act<T>(&mut self, work: impl FnOnce(&mut Office<'_>) -> T) -> T {
            let count = &mut self.count;
            work(&mut Office {
                houses: &One,
                storage: &mut self.books,
                objects: &mut self.objects,
                now: NOW,
                chance: &mut |bytes| {
                    *count += 1;
                    bytes.fill(*count);
                },
            })
        }

        fn invite(&mut self) -> InviteCode {
            let invite = NewInvite {
                person: PersonId([0x78; 16]),
                replaces: None,
                lasts_ms: 1_000,
            };
            self.act(|office| office.invite(BUSINESS, invite)).unwrap()
        }

        fn answer(&mut self, token: Option<&Token>, bytes: &[u8]) -> Vec<u8> {
            self.act(|office| office.answer(Call { token, bytes })).bytes
        }
    }

    fn token() -> Token {
        Token {
            business: BUSINESS,
            secret: SECRET,
        }
    }

    fn phone() -> (DeviceId, SigningKey) {
        (DeviceId([0x21; 16]), SigningKey::from_bytes(&[0x21; 32]))
    }

    fn facts() -> [Fact; 3] {
        let (device, key) = phone();
        let keeper = Keeper {
            business: BUSINESS,
            chain: Chain { device, epoch: 1 },
            key,
        };
        let mut held = Facts::new();
        let mut sign = |keeper: &Keeper, body: wythe_job::Body| {
            let fact = crate::samples::sign(keeper, &held, JOB, body, Vec::new());
            held.insert(fact.clone());
            fact
        };
        let note = |text: &str| Noted {
            about: None,
            text: text.into(),
        };
        let first = sign(&keeper, note("Cap is loose.").into());
        let original = Original {
            digest: digest_of(ORIGINAL),
            bytes: u64::try_from(ORIGINAL.len()).unwrap(),
            media_type: "application/pdf".into(),
            name: "certificate.pdf".into(),
        };
        let paper = PaperAdded {
            address: wythe_job::Address::of("destruction.certificate"),
            original,
            pages: Some(1),
            preview: None,
            visit: None,
        };
        let second = sign(&keeper, paper.into());
        let mut forger = keeper.clone();
        forger.key = SigningKey::from_bytes(&[0x66; 32]);
        let forged = sign(&forger, note("forged").into());
        [first, second, forged]
    }

    fn exchange(facts: &[Fact]) -> Exchange {
        Exchange {
            business: BUSINESS,
            chain: Chain {
                device: phone().0,
                epoch: 1,
            },
            office: OfficeEpoch([0; 16]),
            cursor: Cursor::default(),
            room: 65_536,
            facts: facts.iter().map(|fact| Bytes(fact.encode())).collect(),
            held: Vec::new(),
            originals: Vec::new(),
            wanted: Vec::new(),
        }
    }

    fn piece(at: usize, to: usize) -> Vec<u8> {
        let raw = &ORIGINAL[at..to];
        let piece = Piece {
            business: BUSINESS,
            digest: digest_of(ORIGINAL),
            bytes: u64::try_from(ORIGINAL.len()).unwrap(),
            at: u64::try_from(at).unwrap(),
            length: u32::try_from(raw.len()).unwrap(),
        };
        let mut bytes = Request::Piece(piece).encode();
        bytes.extend_from_slice(raw);
        bytes
    }

    /// The session: name, whether the token goes with it, and the request.
    fn session(code: InviteCode) -> Vec<(&'static str, bool, Vec<u8>)> {
        let (device, key) = phone();
        let facts = facts();
        let offered = Offered {
            digest: digest_of(ORIGINAL),
            bytes: u64::try_from(ORIGINAL.len()).unwrap(),
        };
        let sends = Exchange {
            originals: vec![offered],
            ..exchange(&facts)
        };
        let again = Exchange {
            held: vec![facts[0].id(), FactId([0xee; 32])],
            wanted: vec![facts[1].id()],
            ..exchange(&facts[..1])
        };
        let fetch = Fetch {
            business: BUSINESS,
            digest: digest_of(ORIGINAL),
            at: 4,
            most: 11,
        };
        let enrol = Enrol::sign(code, device, &key, token().hash(), "phone of the crew");
        let certificate = {
            let chain = Chain { device, epoch: 1 };
            let business_key = SigningKey::from_bytes(&[BUSINESS_KEY; 32]);
            let key = key.verifying_key();
            wythe_job::Certificate::issue(BUSINESS, &business_key, chain, &key, NOW, "phone of the crew")
        };
        let next = SigningKey::from_bytes(&[0x22; 32]);
        let renew = Renew::sign(certificate.unwrap().bytes(), &key, &next, token().hash());
        vec![
            ("01_enrol", false, Request::Enrol(enrol).encode()),
            ("02_first", true, Request::Exchange(exchange(&[])).encode()),
            ("03_facts", true, Request::Exchange(sends).encode()),
            ("04_piece", true, piece(0, 20)),
            ("05_rest", true, piece(20, ORIGINAL.len())),
            ("06_again", true, Request::Exchange(again).encode()),
            ("07_fetch", true, Request::Fetch(fetch).encode()),
            ("08_renew", false, Request::Renew(renew).encode()),
            ("09_no_token", false, Request::Exchange(exchange(&[])).encode()),
        ]
    }

    /// What must stay the same of a reply whatever a newer office adds to its facts.
    fn gist(reply: &Reply) -> String {
        match reply {
            Reply::Exchanged(it) => format!(
                "exchanged: {:?}, known {:?}, aside {:?}, refused {:?}, record {}, lacking {:?}, {:?}, again {}",
                it.standing,
                it.taken.known,
                it.taken.aside,
                it.taken.refused,
                it.taken.record.is_some(),
                it.lacking,
                it.originals,
                it.again.len(),
            ),
            Reply::Enrolled(it) => format!("enrolled: {:?} {:?}", it.business, it.person),
            Reply::Renewed(_) => "renewed".into(),
            Reply::Held(it) => format!("{it:?}"),
            Reply::Fetched(it) => format!("{it:?}"),
            Reply::Refused(it) => format!("refused: {}", it.code.name()),
        }
    }

    /// What the recorded office answered, in words.
    const ANSWERS: [&str; 9] = [
        "enrolled: BusinessId(b5b5b5b5)",
        "exchanged: InOrder, known [], aside [], refused [], record false",
        "exchanged: InOrder, known [], aside [], refused [NotTaken { place: 2, code: \"bad_signature\" }], record true",
        "HeldSoFar { bytes: 20, safe: false, refused: None }",
        "HeldSoFar { bytes: 57, safe: true, refused: None }",
        "exchanged: InOrder, known [0], aside [], refused [], record false, lacking [FactId(eeeeeeee)], [], again 1",
        "Fetched { digest: ",
        "renewed",
        "refused: unknown_token",
    ];

    #[test]
    fn the_recorded_session_is_answered_as_it_was() {
        let (mut desk, mut now) = (Desk::new(), Desk::new());
        let (code, same) = (desk.invite(), now.invite());
        assert_eq!(code, same);
        let cddl = Cddl::parse(CDDL);
        for ((name, with_token, request), answer) in session(code).into_iter().zip(ANSWERS) {
            let token = token();
            let token = with_token.then_some(&token);
            // Recorded with the program of that day; answered by the one of today.
            let recorded = golden(&format!("{name}.request.cbor"), &request);
            assert_eq!(
                recorded, request,
                "{name}: what is written today is what was recorded"
            );
            let answered = now.answer(token, &request);
            let reply_then = golden(&format!("{name}.reply.cbor"), &answered);
            let reply_now = desk.answer(token, &recorded);
            let (read_then, raw_then) = Reply::decode(&reply_then).unwrap();
            let (read_now, raw_now) = Reply::decode(&reply_now).unwrap();
            assert_eq!(gist(&read_then), gist(&read_now), "{name}");
            assert_eq!(raw_then, raw_now, "{name}");
            assert!(
                gist(&read_then).starts_with(answer),
                "{name}: {}",
                gist(&read_then)
            );
            // What was recorded is read, and written as it was.
            let (request_read, raw) = Request::decode(&recorded).unwrap();
            let mut written = request_read.encode();
            assert!(cddl.fits("request", &written), "{name}");
            written.extend_from_slice(raw);
            assert_eq!(written, recorded, "{name}");
            let mut written = read_then.encode();
            assert!(cddl.fits("reply", &written), "{name}");
            written.extend_from_slice(raw_then);
            assert_eq!(written, reply_then, "{name}");
            if let Reply::Exchanged(it) = read_then
                && let Some(record) = it.taken.record
            {
                assert!(cddl.fits("arrival-record", &record.0));
                let parts: ciborium::Value = ciborium::from_reader(record.0.as_slice()).unwrap();
                let statement = parts.as_array().unwrap()[0].as_bytes().unwrap();
                assert!(cddl.fits("arrival-statement", statement));
                let trust = One.house(BUSINESS).unwrap().unwrap().trust();
                let ids = [facts()[0].id(), facts()[1].id()];
                ArrivalRecord::decode(&record.0)
                    .unwrap()
                    .check(&ids, &trust)
                    .unwrap();
            }
        }
        assert_eq!(
            std::fs::read_dir(folder()).unwrap().count(),
            19,
            "nine calls and what is refused"
        );
    }

    #[test]
    fn what_is_no_message_is_refused_with_its_code() {
        let good = Request::Exchange(exchange(&[])).encode();
        let with = |change: &dyn Fn(&mut Exchange)| {
            let mut it = exchange(&[]);
            change(&mut it);
            Request::Exchange(it).encode()
        };
        let mut version = good.clone();
        version[1] = 2;
        let mut longer = good.clone();
        longer.push(0);
        let many = |it: &mut Exchange| it.held = vec![FactId([1; 32]); 1_001];
        let heavy = |it: &mut Exchange| it.facts = vec![Bytes(vec![0; 300_000]); 2];
        let offered = |it: &mut Exchange| {
            let digest = digest_of(b"");
            it.originals = vec![Offered { digest, bytes: 0 }; 33];
        };
        let mut beyond = piece(20, ORIGINAL.len());
        beyond.push(0);
        let cases = [
            ("another version", Code::UnknownVersion, version),
            ("nothing", Code::Unreadable, Vec::new()),
            ("half", Code::Unreadable, good[..good.len() / 2].to_vec()),
            ("text", Code::Unreadable, b"GET / HTTP/1.1".to_vec()),
            (
                "a length in too many bytes",
                Code::Unreadable,
                [&[0x98, 2], &good[1..]].concat(),
            ),
            ("something follows", Code::OutOfBounds, longer),
            ("too many held", Code::OutOfBounds, with(&many)),
            ("too many bytes of facts", Code::OutOfBounds, with(&heavy)),
            ("too many originals", Code::OutOfBounds, with(&offered)),
            ("a piece past its length", Code::OutOfBounds, beyond),
        ];
        let mut rows = Vec::new();
        let mut desk = Desk::new();
        for (name, code, bytes) in cases {
            let answer = desk.answer(Some(&token()), &bytes);
            let Reply::Refused(refused) = Reply::decode(&answer).unwrap().0 else {
                panic!("{name} was taken");
            };
            assert_eq!(refused.code, code, "{name}");
            if bytes.len() < 4_096 {
                rows.push(serde_json::json!({
                    "code": code.name(), "cbor": hex::encode(&bytes), "name": name,
                }));
            }
        }
        let text = wythe_job::json::to_text(&serde_json::Value::Array(rows)).into_bytes();
        assert_eq!(golden("refused.json", &text), text);
    }

    #[test]
    fn a_refusal_of_a_newer_office_is_still_read() {
        let refusal = Reply::refused(Code::Other(99), "something new").encode();
        let Reply::Refused(read) = Reply::decode(&refusal).unwrap().0 else {
            panic!("a refusal");
        };
        assert_eq!(read.code, Code::Other(99));
        assert_eq!(read.code.name(), "refused");
        let mut numbers: Vec<u32> = Code::ALL.iter().map(|code| code.number()).collect();
        let text = include_str!("../../../fixtures/formats/exchange.md");
        for code in Code::ALL {
            let row = format!("| {} | {} | {} |", code.number(), code.name(), code.status());
            assert!(text.contains(&row), "{row}");
            assert_eq!(Code::of(code.number()), *code);
        }
        numbers.dedup();
        assert_eq!(numbers.len(), Code::ALL.len());
        assert!(matches!(Reply::decode(&[]), Err(WireFault::Unreadable(_))));
        assert_eq!(Stream::from(BUSINESS).0, BUSINESS.0);
    }
}
