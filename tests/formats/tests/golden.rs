//! The golden files of `fixtures/formats`: every stored form, byte for byte, in CBOR and as JSON, and
//! against the CDDL. Golden files never change; a new version adds new ones. With `WYTHE_GOLDEN=add`
//! files that are not there yet are written; one that differs is always a failure.

#[cfg(test)]
mod cddl;
#[cfg(test)]
#[expect(dead_code, reason = "shared with other tests")]
mod made;
#[cfg(test)]
mod samples;

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::{Path, PathBuf};

    use ciborium::Value as Cbor;
    use wythe_job::{Certificate, Fact, JobId, KINDS, Refusal, json, readable};

    use crate::cddl::Cddl;
    use crate::samples::refused::{Refused, refused};
    use crate::samples::{BUSINESS, BUSINESS_KEY, JOB, certificate, keeper, samples};

    const CDDL: &str = include_str!("../../../fixtures/formats/facts.cddl");

    fn folder() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/formats/golden")
    }

    fn golden(name: &str, bytes: &[u8]) {
        let path = folder().join(name);
        let add = std::env::var("WYTHE_GOLDEN").is_ok_and(|word| word == "add");
        if add && !path.exists() {
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(&path, bytes).unwrap();
        }
        let found = std::fs::read(&path).unwrap_or_default();
        assert!(
            found == bytes,
            "{name} is missing or differs; golden files never change"
        );
    }

    fn text(value: &serde_json::Value) -> Vec<u8> {
        json::to_text(value).into_bytes()
    }

    fn fits(rule: &str, name: &str, bytes: &[u8]) {
        assert!(Cddl::parse(CDDL).fits(rule, bytes), "{name} as {rule}");
    }

    #[test]
    fn a_tag_is_written_as_its_text_says() {
        let job = JobId(JOB.0);
        let tag = keeper(2).tag(job);
        golden("tag.txt", tag.as_bytes());
        // By the text alone: base45, the number, the signature over the statement.
        let bytes = base45::decode(tag.strip_prefix("WYTHE1:").unwrap()).unwrap();
        let (number, signature) = bytes.split_at(12);
        assert_eq!(number, &job.0[..12]);
        let statement = [b"wythe job tag 1\0".as_slice(), &BUSINESS.0, &job.0].concat();
        let signature = ed25519_dalek::Signature::from_slice(signature).unwrap();
        let key = keeper(2).key.verifying_key();
        assert!(key.verify_strict(&statement, &signature).is_ok());
    }

    #[test]
    fn every_kind_and_value_has_its_golden_file() {
        let mut kinds = BTreeSet::new();
        let mut names = BTreeSet::new();
        for sample in samples() {
            let bytes = sample.fact.encode();
            golden(&format!("facts/{}.cbor", sample.name), &bytes);
            golden(
                &format!("facts/{}.json", sample.name),
                &text(&readable(&sample.fact)),
            );
            let read = Fact::decode(&bytes).unwrap();
            assert_eq!(read, sample.fact, "{}", sample.name);
            let key = keeper(read.envelope().device.0[0]).key.verifying_key();
            assert_eq!(read.verify(&key), Ok(()), "{}", sample.name);
            kinds.insert(read.envelope().kind.clone());
            names.insert(sample.name);
        }
        for kind in KINDS {
            assert!(kinds.contains(*kind), "{kind} has no golden file");
        }
        let files = std::fs::read_dir(folder().join("facts")).unwrap();
        for file in files {
            let path = file.unwrap().path();
            let stem = path.file_stem().unwrap().to_str().unwrap();
            assert!(names.contains(stem), "{stem} is no longer made");
        }
    }

    #[test]
    fn the_example_in_the_text_is_the_golden_file() {
        let text = include_str!("../../../fixtures/formats/facts.md");
        let example = text.split("```").nth(1).unwrap();
        let digits: String = example
            .lines()
            .flat_map(|line| line.split(';').next())
            .flat_map(str::split_whitespace)
            .collect();
        let fact = &samples()[0].fact;
        assert_eq!(digits, hex::encode(fact.encode()));
        assert!(text.contains(&fact.id().to_string()));
    }

    #[test]
    fn certificates_and_keys_have_their_golden_files() {
        for device in [1, 2] {
            let certificate = certificate(device);
            golden(&format!("certificates/phone_{device}.cbor"), certificate.bytes());
        }
        let business = ed25519_dalek::SigningKey::from_bytes(&[BUSINESS_KEY; 32]);
        let key = |key: &ed25519_dalek::SigningKey| {
            serde_json::json!({
                "public": hex::encode(key.verifying_key().to_bytes()),
                "secret": hex::encode(key.to_bytes()),
            })
        };
        let keys = serde_json::json!({
            "business": key(&business),
            "fingerprint": certificate(1).fingerprint().to_string(),
            "phone_1": key(&keeper(1).key),
            "phone_2": key(&keeper(2).key),
        });
        golden("keys.json", &text(&keys));
    }

    #[test]
    fn a_claim_pack_has_its_golden_file() {
        let pack = crate::made::Made::new().pack(crate::made::Choice::default());
        golden("pack.zip", &pack.unwrap());
    }

    #[test]
    fn golden_files_fit_the_cddl() {
        for sample in samples() {
            let (name, fact) = (&sample.name, &sample.fact);
            fits("fact", name, &fact.encode());
            fits("envelope", name, fact.envelope_bytes());
            if let Some(payload) = fact.payload() {
                fits("payload", name, payload.bytes());
                let kind = &fact.envelope().kind;
                if KINDS.contains(&kind.as_str()) {
                    fits(kind, name, payload.body_bytes());
                }
            }
        }
        let certificate = certificate(1);
        fits("certificate", "certificate", certificate.bytes());
        let wire: ciborium::Value = ciborium::from_reader(certificate.bytes()).unwrap();
        let statement = wire.as_array().unwrap()[0].as_bytes().unwrap();
        fits("statement", "statement", statement);
    }

    #[test]
    fn the_cddl_refuses_what_is_not_so_shaped() {
        let cddl = Cddl::parse(CDDL);
        for kind in KINDS {
            assert!(cddl.rules().any(|rule| rule == kind), "{kind} is not described");
        }
        assert!(cddl.fits("answered", b"\x83\x82\x63a.b\x80\x82\x03\x81\x05\x80"));
        for (rule, bytes) in [
            ("answered", b"\x83\x82\x63a.b\x80\x82\x03\x81\x20\x80".as_slice()),
            ("answered", b"\x83\x82\x63a.b\x80\x82\x01\x81\x61A\x80"),
            ("answered", b"\x82\x82\x63a.b\x80\x82\x03\x81\x05"),
            ("fact", b"\x81\x40"),
            ("struck_out", b"\x82\x80\x61a"),
        ] {
            assert!(!cddl.fits(rule, bytes), "{rule}: {bytes:02x?}");
        }
        // What is refused for its shape is not so shaped; other rules are beyond CDDL.
        for case in refused().iter().filter(|case| case.code == "unreadable") {
            let whole = case.what == "certificate" || !readable_parts(&case.bytes, &cddl);
            assert!(whole, "{} fits the CDDL", case.name);
        }
    }

    /// Whether every part of a carried fact is as the CDDL says.
    fn readable_parts(bytes: &[u8], cddl: &Cddl) -> bool {
        if !cddl.fits("fact", bytes) {
            return false;
        }
        let parts: Vec<Cbor> = ciborium::from_reader(bytes).unwrap();
        let [envelope, payload] = [0, 2].map(|part| parts[part].as_bytes().unwrap());
        if !cddl.fits("envelope", envelope) || !cddl.fits("payload", payload) {
            return false;
        }
        let envelope: Vec<Cbor> = ciborium::from_reader(envelope.as_slice()).unwrap();
        let payload: Vec<Cbor> = ciborium::from_reader(payload.as_slice()).unwrap();
        cddl.fits(envelope[12].as_text().unwrap(), payload[1].as_bytes().unwrap())
    }

    #[test]
    fn what_breaks_a_rule_is_refused_with_its_code() {
        let mut rows = Vec::new();
        for Refused {
            name,
            what,
            code,
            bytes,
        } in refused()
        {
            let refusal: Refusal = match what {
                "fact" => Fact::decode(&bytes).map(drop).unwrap_err(),
                _ => Certificate::decode(&bytes).map(drop).unwrap_err(),
            };
            assert_eq!(refusal.code(), code, "{name}: {refusal}");
            // Long ones are for the test alone.
            if bytes.len() < 4_096 {
                rows.push(serde_json::json!({
                    "code": code, "cbor": hex::encode(&bytes), "name": name, "what": what,
                }));
            }
        }
        golden("refused.json", &text(&serde_json::Value::Array(rows)));
    }
}
