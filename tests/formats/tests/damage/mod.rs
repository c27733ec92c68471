//! Good and damaged claim packs, each with the code that its check must give.

mod claims;
mod facts;
mod file;
mod good;
mod manifest;
mod originals;

use ed25519_dalek::SigningKey;
use serde_json::{Value, json};
use wythe_job::Fact;

use crate::made::parts::Parts;
use crate::made::{Choice, Made, keeper};

/// What a good pack gives.
pub const CONSISTENT: &str = "consistent";

pub struct Case {
    pub name: String,
    pub pack: Vec<u8>,
    /// Whether it is checked against the business's fingerprint.
    pub trust: bool,
    /// The code expected; any fault where it is `None`.
    pub code: Option<&'static str>,
}

pub struct Cases {
    pub made: Made,
    pub pack: Vec<u8>,
    pub all: Vec<Case>,
}

impl Cases {
    /// All of them.
    pub fn new() -> Self {
        let made = Made::new();
        let pack = made.pack(Choice::default()).unwrap();
        let mut cases = Self {
            made,
            pack,
            all: Vec::new(),
        };
        good::add(&mut cases);
        file::add(&mut cases);
        manifest::add(&mut cases);
        facts::add(&mut cases);
        originals::add(&mut cases);
        claims::add(&mut cases);
        cases
    }

    pub fn parts(&self) -> Parts {
        Parts::of(&self.pack)
    }

    pub fn add(&mut self, name: &str, code: &'static str, pack: Vec<u8>) {
        self.all.push(Case {
            name: name.into(),
            pack,
            trust: false,
            code: Some(code),
        });
    }

    pub fn add_trusting(&mut self, name: &str, code: &'static str, pack: Vec<u8>) {
        self.add(name, code, pack);
        if let Some(case) = self.all.last_mut() {
            case.trust = true;
        }
    }

    /// A change by one who has the packing device's key: sums, lists and signature are made to fit.
    pub fn inside(&mut self, name: &str, code: &'static str, edit: impl FnOnce(&mut Parts)) {
        let mut parts = self.parts();
        edit(&mut parts);
        self.add(name, code, parts.sealed(&office()));
    }

    /// The same, but for the manifest, whose list of members is left as the edit leaves it.
    pub fn inside_manifest(&mut self, name: &str, code: &'static str, edit: impl FnOnce(&mut Value)) {
        let mut parts = self.parts();
        parts.edit_json("manifest.json", edit);
        parts.resign(&office());
        parts.resum();
        self.add(name, code, parts.zip());
    }

    /// Changed facts, by one who has the packing device's key and tells their chains as they are.
    pub fn with_facts(&mut self, name: &str, code: &'static str, edit: impl FnOnce(&Made, &mut Vec<Fact>)) {
        let mut parts = self.parts();
        let mut facts = parts.facts();
        edit(&self.made, &mut facts);
        parts.set_facts(&facts);
        retell(&mut parts);
        self.add(name, code, parts.sealed(&office()));
    }

    pub fn position(&self, name: &str) -> usize {
        let id = self.made.named[name];
        let facts = self.parts().facts();
        facts.iter().position(|fact| fact.id() == id).unwrap()
    }
}

pub fn office() -> SigningKey {
    keeper(9, 1).key
}

/// Makes the manifest's `facts` and `chains` fit what `facts.cbor` holds.
pub fn retell(parts: &mut Parts) {
    let facts = parts.facts();
    let mut chains: Vec<Value> = Vec::new();
    for fact in &facts {
        let envelope = fact.envelope();
        let (device, epoch) = (envelope.device.to_string(), envelope.epoch);
        let known = chains
            .iter_mut()
            .find(|line| line["device"] == device.as_str() && line["epoch"] == epoch);
        match known {
            Some(line) => {
                line["facts"] = json!(line["facts"].as_u64().unwrap() + 1);
                if line["number"].as_u64().unwrap() < envelope.number {
                    line["last"] = json!(fact.id().to_string());
                    line["number"] = json!(envelope.number);
                }
            }
            None => chains.push(json!({
                "device": device, "epoch": epoch, "facts": 1, "last": fact.id().to_string(),
                "number": envelope.number, "revoked": false,
            })),
        }
    }
    for line in &mut chains {
        line.as_object_mut().unwrap().remove("number");
    }
    parts.edit_json("manifest.json", |manifest| {
        manifest["facts"] = json!(facts.len());
        manifest["chains"] = Value::Array(chains);
    });
}
