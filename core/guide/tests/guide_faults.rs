//! Mistakes in the guide's own files, each refused with its file, its line, and what to write instead.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a test that cannot go on stops, and reads the files it speaks of"
)]

use wythe_guide::Guide;

const STAGES: &str = r#"roles = ["lead", "fitter", "owner"]
glance = []

[[stage]]
id = "survey"

[[visit]]
id = "survey"

[[group]]
id = "room"

[[event]]
id = "seen"
asks = ["survey.seen"]
"#;

const ASKS: &str = r#"stage = "survey"

[[ask]]
id = "survey.width"
step = "flue"
visit = "survey"
kind = "length"
refused = ["2 in", "6 ft"]
doubtful = ["5 in", "20 in"]
mark = "common practice, no source"
tolerance = "1/4 in"
roles = ["lead"]

[[ask]]
id = "survey.seen"
step = "flue"
visit = "survey"
kind = "date"
when = { ask = "survey.fuel", is = "propane" }

[[ask]]
id = "survey.fuel"
step = "gas"
visit = "survey"
kind = "choice"
choices = ["natural_gas", "propane"]

[[ask]]
id = "survey.signed"
step = "gas"
visit = "survey"
kind = "signature"
signer = "owner"

[[ask]]
id = "survey.turns"
step = "gas"
visit = "survey"
kind = "span"
"#;

const STOPS: &str = r#"
[[stop]]
code = "narrow"
raise = { ask = "survey.width", below = "4 in" }
blocks = ["survey"]
lifted_by = "nobody"
way_out = "survey.width"

[[stop]]
code = "wide"
raise = { figures = "survey.air", finding = "frost_point" }
blocks = ["survey.flue"]
lifted_by = "put_right"
"#;

const FIGURES: &str = r#"
[[figures]]
id = "survey.air"
reckoning = "air"
show = ["/density"]
[figures.input]
temperature = { first = [{ ask = "survey.width" }, "14 degF"] }
relative_humidity = 0.5
"#;

/// In which file, what stands there, what was written instead, what is told.
const GUIDE_MISTAKES: &[(usize, &str, &str, &str)] = &[
    (
        0,
        r#"id = "survey""#,
        r#"id = "The Survey""#,
        "small letters, digits and underscores",
    ),
    (
        0,
        r#"asks = ["survey.seen"]"#,
        r#"asks = ["survey.saw"]"#,
        "event seen: there is no ask",
    ),
    (
        0,
        "glance = []",
        r#"glance = ["survey.saw"]"#,
        "glance: there is no ask",
    ),
    (0, "[[group]]", "[[groups]]", "there is no key `groups`"),
    (
        1,
        r#"signer = "owner""#,
        "signer = \"owner\"\nsigns_for = [\"survey.roof\"]",
        "signs_for names stages, or steps as stage.step; \"survey.roof\" is neither",
    ),
    (
        1,
        r#"choices = ["natural_gas", "propane"]"#,
        "choices = [\"natural_gas\", \"propane\"]\nsigns_for = [\"survey\"]",
        "only a signature has signs_for",
    ),
    (
        1,
        r#"choices = ["natural_gas", "propane"]"#,
        "choices = [\"natural_gas\", \"propane\"]\nfilled_from = \"owner.hat\"",
        "filled_from is a role and name, licence or licence_until",
    ),
    (
        1,
        r#"stage = "survey""#,
        r#"stage = "surveys""#,
        "there is no stage \"surveys\"; write one of survey",
    ),
    (
        1,
        r#"id = "survey.width""#,
        r#"id = "width""#,
        "write \"survey.width\"",
    ),
    (
        1,
        r#"visit = "survey""#,
        r#"visit = "first""#,
        "there is no visit \"first\"; write one of survey",
    ),
    (
        1,
        r#"kind = "length""#,
        r#"kind = "width""#,
        "\"width\" is no kind of ask; write length",
    ),
    (
        1,
        r#"["2 in", "6 ft"]"#,
        "[2, 6]",
        "2 needs its unit: write it as a text, like \"2 in\"",
    ),
    (
        1,
        r#"["5 in", "20 in"]"#,
        r#"["20 in", "5 in"]"#,
        "the first bound of a range is the smaller one",
    ),
    (
        1,
        r#"["5 in", "20 in"]"#,
        r#"["5 in", "20 psi"]"#,
        "survey.width: ",
    ),
    (
        1,
        "mark = \"common practice, no source\"\n",
        "",
        "need their mark: write mark",
    ),
    (
        1,
        r#"roles = ["lead"]"#,
        r#"roles = ["chief"]"#,
        "there is no role \"chief\"; write one of lead",
    ),
    (
        1,
        r#"is = "propane" }"#,
        r#"is = "butane" }"#,
        "write one of natural_gas, propane",
    ),
    (
        1,
        r#"when = { ask = "survey.fuel","#,
        r#"when = { ask = "survey.gas","#,
        "there is no ask \"survey.gas\"",
    ),
    (
        1,
        r#"choices = ["natural_gas", "propane"]"#,
        r#"choices = ["propane"]"#,
        "a choice needs two choices or more",
    ),
    (
        1,
        r#"choices = ["natural_gas", "propane"]"#,
        r#"choices = ["natural gas", "propane"]"#,
        "the choice \"natural gas\"",
    ),
    (1, r#"signer = "owner""#, "", "write signer = \"owner\""),
    (
        1,
        r#"id = "survey.turns""#,
        r#"id = "survey.fuel""#,
        "stands twice; rename one of them",
    ),
    (
        1,
        r#"kind = "span""#,
        "kind = \"span\"\nunit = \"s\"",
        "only kind = \"number\" has a unit",
    ),
    (
        2,
        r#"below = "4 in""#,
        r#"under = "4 in""#,
        "there is no key `under`",
    ),
    (
        2,
        r#"blocks = ["survey"]"#,
        r#"blocks = ["everyting"]"#,
        "a stop blocks everything, sign_off, a stage, or a step as stage.step",
    ),
    (
        2,
        r#"lifted_by = "nobody""#,
        r#"lifted_by = "boss""#,
        "`boss` is not one of the choices; write",
    ),
    (
        2,
        r#"way_out = "survey.width""#,
        r#"way_out = "survey.door""#,
        "narrow: there is no ask",
    ),
    (
        2,
        r#"figures = "survey.air""#,
        r#"figures = "survey.smoke""#,
        "there are no figures \"survey.smoke\"",
    ),
    (
        2,
        r#", finding = "frost_point""#,
        "",
        "figures and finding go together",
    ),
    (
        2,
        "lifted_by = \"put_right\"",
        "lifted_by = \"put_right\"\nneeds = [\"survey.width\"]",
        "go with lifted_by = \"nobody\"",
    ),
    (
        3,
        r#"reckoning = "air""#,
        r#"reckoning = "wind""#,
        "there is no reckoning \"wind\"; write one of",
    ),
    (
        3,
        r#"show = ["/density"]"#,
        r#"show = ["density"]"#,
        "write \"/density\"",
    ),
    (
        3,
        r#"{ ask = "survey.width" }"#,
        r#"{ ask = "survey.width", unit = "in" }"#,
        "a source with ask has no key unit; the keys are names",
    ),
    (
        3,
        r#"{ ask = "survey.width" }"#,
        r#"{ ask = "survey.turns", take = "laps" }"#,
        "write taps or tapped, of a span",
    ),
    (
        3,
        r#"{ ask = "survey.width" }"#,
        r#"{ figures = "survey.smoke", at = "/x" }"#,
        "do not stand before these; move them up",
    ),
    (
        3,
        r#"{ ask = "survey.width" }"#,
        r#"{ ask = "survey.fuel", names = { butane = 1 } }"#,
        "\"butane\" is no choice of survey.fuel",
    ),
    (
        3,
        r#"[{ ask = "survey.width" }, "14 degF"]"#,
        r#"["14 degF"]"#,
        "first is a list of two sources or more",
    ),
];

#[test]
fn mistakes_in_the_guides_own_files_are_told_as_well() {
    let good = [STAGES, ASKS, STOPS, FIGURES];
    let names = ["stages.toml", "asks/survey.toml", "stops.toml", "figures.toml"];
    let load = |texts: &[String]| {
        Guide::load(
            &texts[0],
            &[("asks/survey.toml", &texts[1])],
            &texts[2],
            &texts[3],
        )
    };
    let texts: Vec<String> = good.iter().map(|text| (*text).to_owned()).collect();
    load(&texts).unwrap();
    for (file, right, wrong, told) in GUIDE_MISTAKES {
        let mut texts = texts.clone();
        assert!(texts[*file].contains(right), "{right}");
        texts[*file] = texts[*file].replacen(right, wrong, 1);
        let fault = load(&texts).map(|_| ()).expect_err(wrong);
        println!("{fault}");
        assert_eq!(fault.file, names[*file], "{wrong}: {fault}");
        assert!(fault.message.contains(told), "{wrong}: {}", fault.message);
    }
}
