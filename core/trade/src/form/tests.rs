//! The rules every input keeps, on a small invented one.

use serde_json::{Value, json};
use uom::si::f64::{Length, ThermodynamicTemperature};
use wythe_units::{AbsolutePressure, Quantity};

use super::*;

choice! {
    /// A colour.
    pub enum Colour {
        /// Red.
        Red = "red",
        /// Blue.
        Blue = "blue",
    }
}

input! {
    /// Where the site is.
    pub struct Site {
        /// Above the sea.
        pub altitude: Length = within(-500.0, 4500.0).or("0 m"),
        /// At the station.
        pub barometer: Option<AbsolutePressure> = within(50e3, 110e3),
    }
}

input! {
    /// A brick.
    pub struct Brick {
        /// How long.
        pub length: Length = within(0.05, 0.5),
        /// Which colour.
        pub colour: Colour = any().or("red"),
    }
}

input! {
    /// A pile.
    pub struct Pile {
        /// Its name.
        pub id: String,
        /// Its bricks.
        pub bricks: Vec<Brick> = items(1, 3),
        /// The site.
        pub site: Flat<Site>,
        /// How many piles.
        pub piles: u32 = within(1.0, 5.0).or(1_u32),
        /// Wet over dry.
        pub ratio: Option<f64> = over(0.0, 1.0),
        /// Whether it is covered.
        pub covered: bool = any().or(false),
        /// Air.
        pub air: Option<ThermodynamicTemperature> = within(-60.0, 60.0),
        /// The next wall.
        pub wall: Option<OrNone<Length>> = within(0.0, 100.0),
    }
}

input! {
    /// By weight.
    pub struct Weigh {
        /// Pulls.
        pub pulls: u32,
    }
}

tagged! {
    /// A task.
    pub enum Task by "task" {
        /// Pile.
        Pile(Pile) = "pile",
        /// Weigh.
        Weigh(Weigh) = "weigh",
    }
}

/// The task as a reckoning of no consequence.
struct Tasks;

impl Reckoning for Tasks {
    const NAME: &'static str = "tasks";
    const PURPOSE: &'static str = "Checks the form.";
    type Input = Task;
    type Figures = Value;
    fn reckon(_: &Task) -> Result<Answer<Value>, Refusal> {
        Ok(Answer {
            verdict: None,
            figures: json!({}),
            findings: vec![],
            trace: vec![],
            notes: vec![],
        })
    }
}

fn pile(text: &str) -> Result<Pile, Refusal> {
    Pile::read(&parse(text)?, &Pointer::root(), &any())
}

fn refused(text: &str, code: &str, field: &str) {
    let refusal = pile(text).expect_err(text);
    assert_eq!(
        (refusal.code.as_str(), refusal.field.as_str()),
        (code, field),
        "{text}: {refusal}"
    );
    assert!(refusal.message.ends_with('.'), "{refusal}");
}

const BRICKS: &str = r#""bricks":[{"length":"8 in"}]"#;

#[test]
fn a_whole_pile_is_read_with_what_was_left_out() {
    let read = pile(&format!(
        r#"{{"id":" p ",{BRICKS},"barometer":null,"air":"12 F","wall":"none"}}"#
    ))
    .unwrap();
    assert_eq!(read.id, "p");
    assert_eq!(read.bricks[0].colour, Colour::Red);
    assert!((read.bricks[0].length.value - 0.2032).abs() < 1e-12);
    assert!(read.site.altitude.value.abs() < 1e-12 && read.site.barometer.is_none());
    assert_eq!(
        (read.piles, read.covered, read.wall),
        (1, false, Some(OrNone::NoSuch))
    );
    assert!((read.air.unwrap().to_base() + 100.0 / 9.0).abs() < 1e-9);
    let typed =
        pile(r#"{"id":"p","bricks":[{"length":{"value":8,"unit":"in"},"colour":"blue"}],"piles":2.0}"#)
            .unwrap();
    assert_eq!((typed.bricks[0].length, typed.piles), (read.bricks[0].length, 2));
}

#[test]
fn what_is_no_object_is_no_input() {
    for text in [
        "",
        "[]",
        "3",
        "null",
        "{",
        r#"{"id":NaN}"#,
        r#"{"id":Infinity}"#,
        r#"{"id":1} x"#,
        "\u{feff}{}",
    ] {
        refused(text, "not_json", "");
    }
    refused(
        &format!("{{\"id\":\"{}\"}}", "x".repeat(LARGEST_TEXT)),
        "not_json",
        "",
    );
    refused(&"[".repeat(100_000), "not_json", "");
    refused(
        r#"{"bricks":[{"length":1e999}]}"#,
        "not_finite",
        "/bricks/0/length",
    );
    refused(
        r#"{"id":"a","bricks":[{"length":"8 in","length":"9 in"}]}"#,
        "inconsistent",
        "/bricks/0/length",
    );
}

#[test]
fn unknown_keys_come_first_then_the_keys_in_order() {
    refused(r#"{"x~/y":1,"bricks":[]}"#, "unknown_key", "/x~0~1y");
    refused(r#"{"bricks":[]}"#, "missing", "/id");
    refused(r#"{"id":"a","bricks":[],"piles":9}"#, "empty_list", "/bricks");
    refused(
        &format!(r#"{{"id":"a",{BRICKS},"piles":9,"altitude":"9000 m"}}"#),
        "out_of_range",
        "/altitude",
    );
    refused(
        r#"{"id":"a","bricks":[{"length":"8 in","width":"4 in"}]}"#,
        "unknown_key",
        "/bricks/0/width",
    );
    refused(r#"{"id":"a","bricks":[null]}"#, "missing", "/bricks/0");
    refused(r#"{"id":"a","bricks":[{}, 1]}"#, "missing", "/bricks/0/length");
    refused(
        r#"{"id":"a","bricks":[{"length":"8 in"}, 1]}"#,
        "missing",
        "/bricks/1",
    );
    refused(r#"{"id":"a","bricks":[{},{},{},{}]}"#, "too_many", "/bricks");
}

#[test]
fn each_wrong_type_has_its_code() {
    let with = |key: &str, value: &str| format!(r#"{{"id":"a",{BRICKS},"{key}":{value}}}"#);
    for (key, value, code) in [
        ("altitude", "5", "unit_missing"),
        ("altitude", "true", "unit_missing"),
        ("altitude", r#""5""#, "unit_missing"),
        ("altitude", r#"{"value":5}"#, "unit_missing"),
        ("altitude", r#""5 psi""#, "unit_wrong_kind"),
        ("altitude", r#"{"value":5,"unit":"psi"}"#, "unit_wrong_kind"),
        ("altitude", r#"{"value":5,"unit":"leagues"}"#, "unit_unknown"),
        ("altitude", "[]", "number_unreadable"),
        ("altitude", "{}", "number_unreadable"),
        ("altitude", r#"{"value":"5","unit":"m"}"#, "number_unreadable"),
        ("altitude", r#""1e999 m""#, "not_finite"),
        ("altitude", r#"{"value":1e300,"unit":"ft"}"#, "out_of_range"),
        ("altitude", r#""4501 m""#, "out_of_range"),
        ("ratio", r#""0.5""#, "number_unreadable"),
        ("ratio", "true", "number_unreadable"),
        ("ratio", "0", "out_of_range"),
        ("ratio", "1.1", "out_of_range"),
        ("piles", "2.5", "out_of_range"),
        ("piles", "-1", "out_of_range"),
        ("piles", "1e300", "out_of_range"),
        ("covered", "1", "unknown_choice"),
        ("covered", r#""yes""#, "unknown_choice"),
        ("bricks", "{}", "missing"),
        ("id", "5", "missing"),
        ("id", r#"" ""#, "missing"),
        ("wall", r#""nothing""#, "number_unreadable"),
    ] {
        let text = match key {
            "id" => format!(r#"{{"id":{value},{BRICKS}}}"#),
            "bricks" => format!(r#"{{"id":"a","bricks":{value}}}"#),
            _ => with(key, value),
        };
        refused(&text, code, &format!("/{key}"));
    }
    refused(
        &with("altitude", r#"{"value":5,"unit":"m","note":1}"#),
        "unknown_key",
        "/altitude/note",
    );
    refused(
        r#"{"id":"a","bricks":[{"length":"8 in","colour":"green"}]}"#,
        "unknown_choice",
        "/bricks/0/colour",
    );
    assert!(
        pile(&with("altitude", r#""4500.000001 m""#)).is_ok(),
        "a slack of 1e-9 of the larger bound"
    );
}

#[test]
fn a_key_of_another_task_is_unknown() {
    let entry = Entry::of::<Tasks>();
    let code = |text: &str| {
        entry
            .run_text(text)
            .map_err(|refusal| (refusal.code.as_str(), refusal.field))
    };
    assert!(code(r#"{"task":"weigh","pulls":3}"#).is_ok());
    assert_eq!(
        code(r#"{"task":"weigh","pulls":3,"id":"a"}"#),
        Err(("unknown_key", "/id".to_owned()))
    );
    assert_eq!(code(r#"{"task":"weigh"}"#), Err(("missing", "/pulls".to_owned())));
    assert_eq!(
        code(r#"{"task":"lift","id":"a"}"#),
        Err(("unknown_choice", "/task".to_owned()))
    );
    assert_eq!(code(r#"{"id":"a"}"#), Err(("missing", "/task".to_owned())));
    assert_eq!(code(r#"{"ids":"a"}"#), Err(("unknown_key", "/ids".to_owned())));
    assert_eq!(code("[]"), Err(("not_json", String::new())));
}

#[test]
fn exactly_one_of_several_keys() {
    let root = Pointer::root();
    assert_eq!(exactly_one(&root, &[("a", false), ("b", true)]), Ok(1));
    let none = exactly_one(&root, &[("a", false), ("b", false)]).unwrap_err();
    assert_eq!((none.code, none.field.as_str()), (RefusalCode::Missing, "/a"));
    let two = exactly_one(&root, &[("a", false), ("b", true), ("c", true)]).unwrap_err();
    assert_eq!((two.code, two.field.as_str()), (RefusalCode::Inconsistent, "/c"));
}

#[test]
fn the_schema_says_what_is_read() {
    let schema = Entry::of::<Tasks>().schema();
    let pile = &schema["oneOf"][0];
    assert_eq!(pile["required"], json!(["task", "id", "bricks"]));
    assert_eq!(pile["additionalProperties"], json!(false));
    assert_eq!(pile["properties"]["bricks"]["maxItems"], json!(3));
    assert_eq!(
        pile["properties"]["altitude"]["anyOf"][0]["x-maximum"],
        json!(4500.0)
    );
    assert_eq!(pile["properties"]["altitude"]["default"], json!("0 m"));
    assert_eq!(
        pile["properties"]["altitude"]["description"],
        json!("Above the sea.")
    );
    assert_eq!(
        pile["properties"]["ratio"]["anyOf"][0]["exclusiveMinimum"],
        json!(0.0)
    );
    assert_eq!(schema["oneOf"][1]["properties"]["task"]["const"], json!("weigh"));
}

#[test]
fn findings_stand_in_the_order_of_their_kinds() {
    const STOP: FindingKind = FindingKind::stop(1, "a_stop", "source");
    const UNKNOWN: FindingKind = FindingKind::caution(2, "b_unknown", "source");
    const NOTE: FindingKind = FindingKind::info(3, "c_note", "source");
    let mut findings = Findings::default();
    assert_eq!(findings.verdict(), Verdict::Pass);
    findings.add(NOTE, "one.");
    assert_eq!(findings.verdict(), Verdict::Pass);
    findings.add(UNKNOWN, "two.");
    assert_eq!(
        (findings.verdict(), findings.verdict_with_unknowns()),
        (Verdict::Caution, Verdict::CannotTell)
    );
    findings.add(STOP, "three.");
    findings.add(UNKNOWN, "four.");
    assert_eq!(findings.verdict_with_unknowns(), Verdict::Fail);
    let said: Vec<String> = findings
        .finish()
        .into_iter()
        .map(|finding| finding.message)
        .collect();
    assert_eq!(said, ["three.", "two.", "four.", "one."]);
}

#[test]
fn figures_leave_with_nine_digits_and_their_unit() {
    let mut value = json!({
        "a": Figure(Length::from_base(1.0 / 3.0)),
        "b": [1.0 / 3.0, 5],
        "t": Figure(ThermodynamicTemperature::from_base(20.0)),
        "none": Figure(Length::from_base(f64::NAN)),
    });
    super::answer::round_numbers(&mut value);
    let wanted = json!({
        "a": { "value": 0.333_333_333, "unit": "m" },
        "b": [0.333_333_333, 5],
        "t": { "value": 20.0, "unit": "degC" },
        "none": null,
    });
    assert_eq!(value, wanted);
}
