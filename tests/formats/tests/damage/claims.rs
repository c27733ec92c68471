//! Damage to `claims.json` by one who can sign the manifest.

use serde_json::{Value, json};

use super::Cases;

pub fn add(cases: &mut Cases) {
    let id = |cases: &Cases, name: &str| json!(cases.made.named[name].to_string());
    let (inlet, wrong, strike) = (id(cases, "inlet"), id(cases, "wrong"), id(cases, "strike"));
    let mut edit = |name: &str, code: &'static str, edit: &dyn Fn(&mut Value)| {
        cases.inside(&format!("claims: {name}"), code, |parts| {
            parts.edit_json("claims.json", edit)
        });
    };
    edit("a row without its facts", "claim_facts", &|json| {
        json["rows"][2]["facts"] = json!([]);
    });
    edit("a doubtful row without facts", "claim_facts", &|json| {
        json["rows"][3]["facts"] = json!([])
    });
    edit("a failed row without facts", "claim_facts", &|json| {
        json["rows"][5]["state"] = json!("failed")
    });
    edit("an open row said to be met", "claim_facts", &|json| {
        json["rows"][5]["state"] = json!("met")
    });
    edit("a fact that is not here", "claim_facts", &|json| {
        json["rows"][2]["facts"] = json!(["0".repeat(64)]);
    });
    edit("a row met by a struck fact", "claim_facts", &|json| {
        json["rows"][2]["facts"] = json!([wrong.clone()]);
    });
    edit("a doubtful row on a struck fact", super::CONSISTENT, &|json| {
        json["rows"][2]["facts"] = json!([wrong.clone()]);
        json["rows"][2]["state"] = json!("doubtful");
    });
    edit("a row met by a strike", super::CONSISTENT, &|json| {
        json["rows"][2]["facts"] = json!([strike.clone()]);
    });
    edit("a member of another row", "claim_members", &|json| {
        json["rows"][2]["members"] = json["rows"][0]["members"].clone();
    });
    edit("a member that is not there", "claim_members", &|json| {
        json["rows"][0]["members"] = json!([format!("originals/{}.jpg", "0".repeat(64))]);
    });
    edit("the PDF as a member", "claim_members", &|json| {
        json["rows"][0]["members"] = json!(["claim.pdf"])
    });
    edit("a member fewer", super::CONSISTENT, &|json| {
        json["rows"][0]["members"] = json!([])
    });
    edit("another job", "claims", &|json| {
        json["job"] = json!("0b".repeat(16))
    });
    edit("another date", "claims", &|json| {
        json["as_of"] = json!("2025-11-23")
    });
    edit("another language", "claims", &|json| {
        json["language"] = json!("fr")
    });
    edit("a newer format", "claims", &|json| json["format"] = json!(2));
    edit("a member more", "claims", &|json| json["more"] = json!(1));
    edit("a row with a member more", "claims", &|json| {
        json["rows"][0]["more"] = json!(1)
    });
    edit("an unknown state", "claims", &|json| {
        json["rows"][0]["state"] = json!("paid")
    });
    edit("a requirement without name", "claims", &|json| {
        json["rows"][0]["requirement"] = json!("")
    });
    edit("a text too long", "claims", &|json| {
        json["rows"][0]["text"] = json!("a".repeat(4_001))
    });
    edit("too many rows", "claims", &|json| {
        let row = json["rows"][5].clone();
        json["rows"] = Value::Array(vec![row; 2_001]);
    });
    edit("facts in capitals", "claims", &|json| {
        json["rows"][2]["facts"] = json!([inlet.as_str().unwrap().to_uppercase()]);
    });
    edit("a fact twice", "claims", &|json| {
        json["rows"][2]["facts"] = json!([inlet.clone(), inlet.clone()]);
    });
    edit("facts out of order", "claims", &|json| {
        json["rows"][3]["facts"].as_array_mut().unwrap().reverse();
    });
    cases.inside("claims: empty", "claims", |parts| {
        parts.set("claims.json", Vec::new())
    });
    cases.inside("claims: on one line", "claims", |parts| {
        let value = parts.json("claims.json");
        parts.set("claims.json", value.to_string().into_bytes());
    });
}
