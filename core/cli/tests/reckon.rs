//! The reckonings through the command itself: the published values, the refusals, the list, the schemas.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value as Json;
use wythe_app::trade;

/// Runs a reckoning on standard input.
fn reckon(name: &str, input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_wythe"))
        .args(["reckon", name])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    child.wait_with_output().unwrap()
}

/// Every checked input of the published values.
fn published() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/published");
    let mut inputs = Vec::new();
    for entry in trade::list() {
        let text = std::fs::read_to_string(folder.join(format!("{}.toml", entry.name))).unwrap();
        let file: toml::Table = toml::from_str(&text).unwrap();
        for check in file["check"].as_array().unwrap() {
            inputs.push((entry.name.to_owned(), check["input"].as_str().unwrap().to_owned()));
        }
    }
    assert!(inputs.len() > 150, "{}", inputs.len());
    inputs
}

/// What a refusal has to look like: status 2, nothing on standard output, one object on standard error.
fn refusal(name: &str, input: &[u8]) -> (String, String) {
    let out = reckon(name, input);
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert_eq!(out.status.code(), Some(2), "{name}: {told}");
    assert!(out.stdout.is_empty(), "{name}");
    let told: Json = serde_json::from_slice(&out.stderr).unwrap();
    let error = &told["error"];
    assert_eq!(told.as_object().unwrap().len(), 1);
    assert!(!error["message"].as_str().unwrap().is_empty());
    let text = |key: &str| error[key].as_str().unwrap().to_owned();
    (text("code"), text("field"))
}

#[test]
fn every_published_value_comes_out_of_the_command() {
    for (name, input) in published() {
        match trade::reckon(&name, &input) {
            Ok(answer) => {
                let out = reckon(&name, input.as_bytes());
                assert_eq!(out.status.code(), Some(0), "{name} {input}");
                assert!(out.stderr.is_empty(), "{name} {input}");
                let told: Json = serde_json::from_slice(&out.stdout).unwrap();
                assert_eq!(told, answer, "{name} {input}");
            }
            Err(refused) => {
                let told = refusal(&name, input.as_bytes());
                assert_eq!(
                    told,
                    (refused.code.as_str().to_owned(), refused.field.clone()),
                    "{input}"
                );
            }
        }
    }
}

#[test]
fn what_is_not_taken_says_its_code_and_place() {
    let fit = |extra: &str| {
        format!(
            r#"{{"arrangement":"annulus","tile":{{"shape":"round","inside_diameter":"8 in"}},"exhaust_outside":"4 in"{extra}}}"#
        )
    };
    for (input, code, field) in [
        ("[]".to_owned(), "not_json", ""),
        ("{\"a\": NaN}".to_owned(), "not_json", ""),
        ("not json at all".to_owned(), "not_json", ""),
        (fit(r#","surprise":1"#), "unknown_key", "/surprise"),
        (fit(r#","clearance":13"#), "unit_missing", "/clearance"),
        (fit(r#","clearance":"13""#), "unit_missing", "/clearance"),
        (fit(r#","clearance":"13 psi""#), "unit_wrong_kind", "/clearance"),
        (fit(r#","clearance":"13 cubits""#), "unit_unknown", "/clearance"),
        (fit(r#","clearance":"thick""#), "number_unreadable", "/clearance"),
        (fit(r#","clearance":"1e999 mm""#), "not_finite", "/clearance"),
        (fit(r#","clearance":"13 m""#), "out_of_range", "/clearance"),
        (fit(r#","sections":[]"#), "empty_list", "/sections"),
        (
            fit(&format!(
                r#","sections":[{}]"#,
                vec![r#"{"inside_diameter":"8 in"}"#; 61].join(",")
            )),
            "too_many",
            "/sections",
        ),
        (
            fit(r#","intake_outside":"3 in""#),
            "inconsistent",
            "/intake_outside",
        ),
        (
            fit("").replace("annulus", "braid"),
            "unknown_choice",
            "/arrangement",
        ),
        ("{}".to_owned(), "missing", "/arrangement"),
    ] {
        let told = refusal("liner_fit", input.as_bytes());
        assert_eq!(told, (code.to_owned(), field.to_owned()), "{input}");
    }
    // Bytes that are no text.
    assert_eq!(refusal("liner_fit", &[0xff, 0xfe, 0x00]).0, "not_json");
    // Bad news is an answer.
    let tight = fit("").replace("8 in", "4 in");
    let out = reckon("liner_fit", tight.as_bytes());
    assert_eq!(out.status.code(), Some(0));
    let told: Json = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(told["verdict"], "fail");
}

#[test]
fn the_list_says_in_a_line_what_each_is_for_and_each_has_its_schema() {
    let wythe = |args: &[&str]| {
        let out = Command::new(env!("CARGO_BIN_EXE_wythe"))
            .args(args)
            .output()
            .unwrap();
        assert!(out.status.success());
        String::from_utf8(out.stdout).unwrap()
    };
    let list = wythe(&["reckon", "--list"]);
    let lines: Vec<&str> = list.lines().collect();
    assert_eq!(lines.len(), trade::list().count());
    for entry in trade::list() {
        let line = lines
            .iter()
            .find(|line| line.split(' ').next() == Some(entry.name))
            .unwrap();
        assert!(
            line.ends_with(entry.purpose) && entry.purpose.len() > 20,
            "{line}"
        );
        let schema: Json = serde_json::from_str(&wythe(&["reckon", "--schema", entry.name])).unwrap();
        assert_eq!(schema["title"], entry.name);
    }
}
