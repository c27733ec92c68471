//! A fact as JSON, for people and for programs that do not read CBOR. `fixtures/formats/facts.md`
//! describes it, section "As JSON".

use serde_json::{Value, json};

use crate::fact::Fact;

/// A faithful rendering of a fact: every signed member by its name, ids and digests in hexadecimal.
///
/// `body` is `null` when the payload was dropped. Members that a newer program added to a body have
/// no name here: `body_cbor` then holds the whole body as it was written.
#[must_use]
pub fn readable(fact: &Fact) -> Value {
    let envelope = fact.envelope();
    let seen: Vec<Value> = envelope
        .seen
        .iter()
        .map(|seen| {
            json!({
                "device": seen.chain.device,
                "epoch": seen.chain.epoch,
                "id": seen.id,
                "number": seen.number,
            })
        })
        .collect();
    let mut readable = json!({
        "algorithm": envelope.algorithm,
        "at": envelope.at,
        "body": Value::Null,
        "business": envelope.business,
        "critical": envelope.critical,
        "device": envelope.device,
        "epoch": envelope.epoch,
        "id": fact.id(),
        "kind": envelope.kind,
        "number": envelope.number,
        "payload": envelope.payload,
        "person": envelope.person,
        "previous": envelope.previous,
        "replaces": envelope.replaces,
        "salt": Value::Null,
        "seen": seen,
        "signature": hex::encode(fact.signature()),
        "stamp": envelope.stamp,
        "stream": envelope.stream,
        "version": envelope.version,
    });
    if let (Some(payload), Some(body), Some(members)) =
        (fact.payload(), fact.body(), readable.as_object_mut())
    {
        members.insert("body".into(), body.to_json());
        members.insert("salt".into(), hex::encode(payload.salt()).into());
        if body.encode() != payload.body_bytes() {
            members.insert("body_cbor".into(), hex::encode(payload.body_bytes()).into());
        }
    }
    readable
}
