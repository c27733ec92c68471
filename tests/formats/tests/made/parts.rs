//! A pack taken apart, so that its parts can be changed and put together again. The ZIP file is
//! written here a second time, from its description, without the code under test.

use ed25519_dalek::{Signer, SigningKey};
use serde_json::Value;
use wythe_job::{Fact, canonical, digest_of, json};

#[derive(Clone)]
pub struct Parts(pub Vec<(String, Vec<u8>)>);

impl Parts {
    pub fn of(pack: &[u8]) -> Self {
        let mut parts = Vec::new();
        let mut at = 0;
        while pack[at..].starts_with(b"PK\x03\x04") {
            let number = |from: usize, count: usize| {
                let bytes = &pack[at + from..at + from + count];
                bytes
                    .iter()
                    .rev()
                    .fold(0usize, |sum, b| sum << 8 | usize::from(*b))
            };
            let (size, name) = (number(18, 4), number(26, 2));
            let content = at + 30 + name;
            let text = String::from_utf8(pack[at + 30..content].to_vec()).unwrap();
            parts.push((text, pack[content..content + size].to_vec()));
            at = content + size;
        }
        Self(parts)
    }

    pub fn zip(&self) -> Vec<u8> {
        let (mut bytes, mut central) = (Vec::new(), Vec::new());
        for (name, content) in &self.0 {
            let offset = u32::try_from(bytes.len()).unwrap();
            let size = u32::try_from(content.len()).unwrap().to_le_bytes();
            let mut shared = vec![20, 0, 0, 0, 0, 0, 0, 0, 33, 0];
            shared.extend(crc32fast::hash(content).to_le_bytes());
            shared.extend(size);
            shared.extend(size);
            shared.extend(u16::try_from(name.len()).unwrap().to_le_bytes());
            shared.extend([0, 0]);
            bytes.extend(b"PK\x03\x04");
            bytes.extend(&shared);
            bytes.extend(name.as_bytes());
            bytes.extend(content);
            central.extend(b"PK\x01\x02\x14\x03");
            central.extend(&shared);
            central.extend([0, 0, 0, 0, 0, 0, 0, 0, 0xa4, 0x81]);
            central.extend(offset.to_le_bytes());
            central.extend(name.as_bytes());
        }
        let at = u32::try_from(bytes.len()).unwrap().to_le_bytes();
        let count = u16::try_from(self.0.len()).unwrap().to_le_bytes();
        let length = u32::try_from(central.len()).unwrap().to_le_bytes();
        bytes.extend(central);
        bytes.extend(b"PK\x05\x06\0\0\0\0");
        bytes.extend(count);
        bytes.extend(count);
        bytes.extend(length);
        bytes.extend(at);
        bytes.extend([0, 0]);
        bytes
    }

    pub fn get(&self, name: &str) -> &Vec<u8> {
        &self.0.iter().find(|(found, _)| found == name).unwrap().1
    }

    pub fn get_mut(&mut self, name: &str) -> &mut Vec<u8> {
        &mut self.0.iter_mut().find(|(found, _)| found == name).unwrap().1
    }

    pub fn set(&mut self, name: &str, bytes: Vec<u8>) {
        *self.get_mut(name) = bytes;
    }

    pub fn remove(&mut self, name: &str) {
        self.0.retain(|(found, _)| found != name);
    }

    pub fn originals(&self) -> Vec<String> {
        let names = self.0.iter().map(|(name, _)| name.clone());
        names.filter(|name| name.starts_with("originals/")).collect()
    }

    pub fn json(&self, name: &str) -> Value {
        serde_json::from_slice(self.get(name)).unwrap()
    }

    pub fn edit_json(&mut self, name: &str, edit: impl FnOnce(&mut Value)) {
        let mut value = self.json(name);
        edit(&mut value);
        self.set(name, json::to_text(&value).into_bytes());
    }

    pub fn facts(&self) -> Vec<Fact> {
        let mut rest = self.get("facts.cbor").as_slice();
        let mut facts = Vec::new();
        while !rest.is_empty() {
            let (item, after) = canonical::split_first(rest).unwrap();
            facts.push(Fact::decode(item).unwrap());
            rest = after;
        }
        facts
    }

    /// Writes the facts, and `facts.json` to fit.
    pub fn set_facts(&mut self, facts: &[Fact]) {
        self.set("facts.cbor", facts.iter().flat_map(Fact::encode).collect());
        let readable: Vec<Value> = facts.iter().map(wythe_job::readable).collect();
        let text = json::to_text(&serde_json::json!({ "facts": readable, "format": 1 }));
        self.set("facts.json", text.into_bytes());
    }

    /// Makes `SHA256SUMS` fit.
    pub fn resum(&mut self) {
        let lines = self.0.iter().filter(|(name, _)| name != "SHA256SUMS");
        let text: String = lines
            .map(|(name, bytes)| format!("{}  {name}\n", digest_of(bytes)))
            .collect();
        self.set("SHA256SUMS", text.into_bytes());
    }

    /// Makes the manifest's list of members fit.
    pub fn relist(&mut self) {
        let before = self.0.iter().take_while(|(name, _)| name != "manifest.json");
        let lines: Vec<Value> = before
            .map(|(name, bytes)| {
                serde_json::json!({
                    "name": name, "sha256": digest_of(bytes).to_string(), "size": bytes.len(),
                })
            })
            .collect();
        self.edit_json("manifest.json", |manifest| {
            manifest["members"] = Value::Array(lines)
        });
    }

    /// Signs the manifest anew, as one who has a key can.
    pub fn resign(&mut self, key: &SigningKey) {
        let signature = key.sign(self.get("manifest.json")).to_bytes();
        self.set("manifest.sig", signature.to_vec());
    }

    /// Everything that one who has a device's key can put right.
    pub fn sealed(mut self, key: &SigningKey) -> Vec<u8> {
        self.relist();
        self.resign(key);
        self.resum();
        self.zip()
    }
}
