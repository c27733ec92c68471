//! Every message that data and code can ask for is there in every language, and none is spare.
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

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};
use wythe_guide::{Ask, AskKind, ConsentOf, Guide, Language, Programme, Words, consent};

/// The first part of every message's id. A text of this shape in a source is taken for a message.
const FAMILIES: [&str; 54] = [
    "action", "again", "ask", "caution", "choice", "claim", "consent", "date", "deadline", "error", "event",
    "evidence", "figure", "figures", "finding", "grade", "group", "house", "job", "lapse", "left", "life",
    "library", "lifted", "load", "moment", "month", "moved", "need", "newer", "phone", "photo", "refusal",
    "remark", "rests", "role", "row", "rule", "rules", "screen", "shown", "sign", "signed", "stage", "state",
    "step", "stop", "tag", "tap", "verdict", "visit", "wall", "why", "word",
];

/// Texts of that shape that name blocks of a screen, and no message.
const BLOCKS: [&str; 11] = [
    "wall-words",
    "left-safe",
    "visit-now",
    "rule-changes",
    "rule-effect",
    "accept-rules",
    "job-state",
    "life-next",
    "claim-life",
    "visit-moment-arrived",
    "visit-moment-left",
];

const MESSAGES: [&str; 11] = [
    "app",
    "asks",
    "stops",
    "figures",
    "programmes",
    "claim",
    "errors",
    "photos",
    "life",
    "findings",
    "phone",
];

fn core() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The texts of all sources that show words to people, by path.
fn sources() -> BTreeMap<PathBuf, String> {
    let mut found = BTreeMap::new();
    let mut folders: Vec<PathBuf> = ["guide", "pack", "app", "cli", "media", "sync", "office"]
        .iter()
        .map(|name| core().join(name).join("src"))
        .collect();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ext| ext == "rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                // Tests at the end of a file ask for nothing.
                let code = text.split("#[cfg(test)]").next().unwrap_or_default().to_owned();
                found.insert(path, code);
            }
        }
    }
    found
}

/// The literal texts of a source: what stands between quotation marks.
fn literals(code: &str) -> impl Iterator<Item = &str> {
    code.split('"').skip(1).step_by(2)
}

fn is_message(text: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || b"-_".contains(&byte);
    let family = text.split('-').next().unwrap_or_default();
    let whole = text == "date" || text.contains('-') && !text.ends_with('-');
    whole && FAMILIES.contains(&family) && text.bytes().all(plain) && !BLOCKS.contains(&text)
}

/// The ids that the sources name letter for letter.
fn named(sources: &BTreeMap<PathBuf, String>) -> BTreeSet<String> {
    let mut ids = BTreeSet::new();
    for code in sources.values() {
        ids.extend(literals(code).filter(|text| is_message(text)).map(str::to_owned));
    }
    ids
}

fn programmes(guide: &Guide) -> Vec<Programme> {
    let folder = core().join("../fixtures/programmes");
    let mut programmes = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ext| ext == "toml") {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).unwrap();
            programmes.push(Programme::load(&name, &text, guide).unwrap());
        }
    }
    programmes
}

/// The ids that the data asks for.
fn of_data(guide: &Guide) -> BTreeSet<String> {
    let mut ids = BTreeSet::new();
    let mut add = |family: &str, id: &str| {
        ids.insert(format!("{family}-{}", id.replace('.', "-")));
    };
    for stage in &guide.stages {
        add("stage", &stage.id);
    }
    for visit in &guide.visits {
        add("visit", &visit.id);
    }
    for group in &guide.groups {
        add("group", &group.id);
    }
    for event in &guide.events {
        add("event", &event.id);
    }
    for event in ["claim_sent", "opened"] {
        add("event", event);
    }
    for role in &guide.roles {
        add("role", role);
    }
    for safe in &guide.left_safe {
        add("left-safe", safe);
    }
    for ask in &guide.asks {
        add("ask", &ask.id);
        add("step", &format!("{}-{}", ask.stage, ask.step));
        if let Some(caution) = &ask.caution {
            add("caution", caution);
        }
        if let Some(tap) = &ask.tap {
            add("tap", tap);
        }
        match &ask.kind {
            AskKind::Choice(choices) => choices.iter().for_each(|choice| add("choice", choice)),
            AskKind::Signature(signer) => add("consent", signer),
            _ => {}
        }
    }
    for stop in &guide.stops {
        add("stop", &stop.code);
        let by = serde_json::to_value(stop.lifted_by).unwrap();
        add("lifted-by", by.as_str().unwrap());
    }
    for plan in &guide.figures {
        add("figures", &plan.id);
        for (_, words) in &plan.said {
            let (family, rest) = words.split_once('-').unwrap();
            add(family, rest);
        }
        for at in &plan.show {
            add("figure", &format!("{}{}", plan.reckoning, at.replace('/', "-")));
        }
    }
    for programme in programmes(guide) {
        for requirement in programme.requirements.iter().filter(|one| one.words.is_none()) {
            add("need", &requirement.id);
        }
        for deadline in programme.deadlines.iter().filter(|one| one.words.is_none()) {
            add("deadline", &deadline.id);
        }
    }
    ids
}

/// The ids that code puts together from a closed set of endings.
fn of_sets() -> BTreeSet<String> {
    let mut ids = BTreeSet::new();
    let mut add = |family: &str, endings: &[&str]| {
        ids.extend(endings.iter().map(|ending| format!("{family}-{ending}")));
    };
    add("grade", &["good", "usable", "weak", "poor"]);
    add(
        "shown",
        &["met", "doubtful", "failed", "open", "waiting", "not-needed"],
    );
    add("verdict", &["pass", "fail", "caution", "cannot_tell"]);
    add("signed", &["signed", "declined", "on-paper"]);
    add("choice", &["yes", "no"]);
    add("moment", &["arrived", "paused", "resumed", "left"]);
    add(
        "rule-key",
        &["name", "edition", "grant", "currency", "keep-years"],
    );
    add(
        "moved",
        &[
            "sent",
            "received",
            "queried",
            "answered",
            "short-paid",
            "refused",
            "paid",
        ],
    );
    add("word", &["note", "caution", "stop"]);
    ids.extend((1..=12).map(|month| format!("month-{month}")));
    ids
}

/// Ids that may be there, and are not missed where they are not: there is something to fall back on.
fn is_optional(id: &str, sources: &BTreeMap<PathBuf, String>, guide: &Guide) -> bool {
    if let Some(code) = id.strip_prefix("error-") {
        return sources.values().any(|text| text.contains(&format!("\"{code}\"")));
    }
    if let Some(stage) = id.strip_prefix("caution-stage-") {
        return guide.stages.iter().any(|known| known.id == stage);
    }
    // What a reckoning may say as a word; its reasons for a photo are checked beside the grading.
    // The words in drawings are checked where the drawings are made.
    // What the reckonings find is checked against their sources in the tests of findings.
    // A value of the library without words is called by its key.
    [
        "library-model-",
        "library-needs-model-",
        "figure-text-",
        "photo-reason-",
        "picture-",
        "trim-sheet-",
        "finding-",
        "refusal-",
    ]
    .iter()
    .any(|family| id.starts_with(family))
}

#[test]
fn each_message_is_there_in_each_language_and_none_is_spare() {
    let guide = Guide::embedded().unwrap();
    let sources = sources();
    let mut wanted = of_data(&guide);
    wanted.extend(of_sets());
    wanted.extend(named(&sources));
    for language in Language::ALL {
        let (ids, faults) = Words::ids(language);
        assert!(faults.is_empty(), "{language:?}: {faults:?}");
        let mut seen = BTreeSet::new();
        for id in &ids {
            assert!(seen.insert(id.clone()), "{language:?}: {id} stands twice");
        }
        let messages: BTreeSet<String> = ids.iter().filter(|id| !id.contains('.')).cloned().collect();
        let missing: Vec<&String> = wanted.difference(&messages).collect();
        assert!(missing.is_empty(), "{language:?} lacks {missing:#?}");
        let spare: Vec<&String> = messages
            .difference(&wanted)
            .filter(|id| !is_optional(id, &sources, &guide))
            .collect();
        assert!(spare.is_empty(), "{language:?} has nobody asking for {spare:#?}");
    }
}

#[test]
fn languages_have_the_same_messages() {
    let (english, _) = Words::ids(Language::En);
    for language in Language::ALL {
        let (ids, _) = Words::ids(language);
        assert_eq!(english, ids, "{language:?}");
    }
}

/// The arguments of every message and attribute of a language.
fn arguments(language: Language) -> BTreeMap<String, BTreeSet<String>> {
    let mut found = BTreeMap::new();
    for name in MESSAGES {
        let path = core().join(format!("guide/messages/{}/{name}.ftl", language.tag()));
        let text = std::fs::read_to_string(path).unwrap();
        let resource = fluent_syntax::parser::parse(text.as_str()).unwrap();
        for entry in &resource.body {
            let Entry::Message(message) = entry else { continue };
            if let Some(pattern) = &message.value {
                let mut names = BTreeSet::new();
                of_pattern(pattern, &mut names);
                found.insert(message.id.name.to_owned(), names);
            }
            for attribute in &message.attributes {
                let mut names = BTreeSet::new();
                of_pattern(&attribute.value, &mut names);
                found.insert(format!("{}.{}", message.id.name, attribute.id.name), names);
            }
        }
    }
    found
}

fn of_pattern(pattern: &Pattern<&str>, names: &mut BTreeSet<String>) {
    for element in &pattern.elements {
        let PatternElement::Placeable { expression } = element else {
            continue;
        };
        match expression {
            Expression::Inline(inline) => of_inline(inline, names),
            Expression::Select { selector, variants } => {
                of_inline(selector, names);
                for variant in variants {
                    of_pattern(&variant.value, names);
                }
            }
        }
    }
}

fn of_inline(inline: &InlineExpression<&str>, names: &mut BTreeSet<String>) {
    if let InlineExpression::VariableReference { id } = inline {
        names.insert(id.name.to_owned());
    }
}

/// What whole families are given, wherever they are asked for.
fn given_to_family(id: &str) -> Option<&'static [&'static str]> {
    if id.starts_with("photo-reason-") {
        return Some(&[]);
    }
    let family = id.split('-').next().unwrap_or_default();
    match family {
        "group" => Some(&["number"]),
        "moved" => Some(&["version"]),
        "error" | "refusal" => Some(&["detail"]),
        "consent" => Some(&["business", "house", "programme"]),
        "ask" | "stage" | "step" | "choice" | "role" | "event" | "stop" | "lifted" | "caution" | "need"
        | "deadline" | "month" | "grade" | "shown" | "verdict" | "signed" | "state" | "rests" | "left"
        | "figures" | "figure" | "word" | "moment" | "action" => Some(&[]),
        _ => None,
    }
}

#[test]
fn messages_use_the_arguments_that_they_are_given() {
    let sources = sources();
    let english = arguments(Language::En);
    for language in Language::ALL {
        for (id, names) in arguments(language) {
            assert!(
                english[&id].is_superset(&names),
                "{language:?}: {id} uses {names:?}, English {:?}",
                english[&id]
            );
            // A finding may name a thing once where English names it twice.
            let detail_is_enough = ["error-", "refusal-", "finding-"]
                .iter()
                .any(|family| id.starts_with(family));
            assert!(
                detail_is_enough || names.is_superset(&english[&id]),
                "{language:?}: {id} leaves out some of {:?}",
                english[&id]
            );
        }
    }
    for (id, names) in &english {
        // The words in drawings are checked where the drawings are made.
        if ["picture-", "trim-sheet-", "finding-"]
            .iter()
            .any(|family| id.starts_with(family))
        {
            continue;
        }
        if let Some(given) = given_to_family(id) {
            let strange: Vec<&String> = names
                .iter()
                .filter(|name| !given.contains(&name.as_str()))
                .collect();
            assert!(strange.is_empty(), "{id} is not given {strange:?}");
            continue;
        }
        for name in names {
            assert!(is_given(id, name, &sources), "{id} is given no {name}");
        }
    }
}

/// Whether an argument of this name stands near a place where the message is asked for.
fn is_given(id: &str, name: &str, sources: &BTreeMap<PathBuf, String>) -> bool {
    const NEAR: usize = 1_800;
    let wanted = format!("(\"{name}\",");
    if id.starts_with("why-") {
        // Reasons are put together where the rules are, some by a helper.
        let rules = sources
            .iter()
            .filter(|(path, _)| path.to_string_lossy().contains("readiness"));
        return rules.into_iter().any(|(_, code)| code.contains(&wanted));
    }
    sources.values().any(|code| {
        code.match_indices(&format!("\"{id}\"")).any(|(at, _)| {
            let mut from = at.saturating_sub(NEAR);
            while !code.is_char_boundary(from) {
                from -= 1;
            }
            let mut to = (at + NEAR).min(code.len());
            while !code.is_char_boundary(to) {
                to += 1;
            }
            code[from..to].contains(&wanted)
        })
    })
}

#[test]
fn nothing_is_left_in_english() {
    let texts = |language| -> BTreeMap<String, String> {
        let words = Words::of(language);
        let (ids, _) = Words::ids(language);
        let of = |id: &String| match id.split_once('.') {
            Some((id, attribute)) => words.attribute(id, attribute),
            None => words.find(id, &[]),
        };
        ids.iter().filter_map(|id| Some((id.clone(), of(id)?))).collect()
    };
    let english = texts(Language::En);
    for language in [Language::Es, Language::Fr] {
        for (id, text) in texts(language) {
            let sentence = text.split_whitespace().filter(|word| word.len() > 3).count() > 2;
            assert!(
                !sentence || english[&id] != text,
                "{language:?}: {id} is still English"
            );
        }
    }
}

#[test]
fn messages_say_what_is_so_in_calm_words() {
    // The words that never stand on a screen, and the longest that fits a phone's line or a stop.
    const NEVER: [&str; 6] = [
        "error",
        "invalid",
        "oops",
        "please",
        "por favor",
        "s’il vous plaît",
    ];
    for language in Language::ALL {
        let words = Words::of(language);
        let (ids, _) = Words::ids(language);
        for id in ids.iter().filter(|id| !id.contains('.')) {
            let text = words.find(id, &[("count", "3"), ("day", "3")]).unwrap();
            let told = text.to_lowercase();
            let wrong = NEVER.iter().find(|word| {
                let is_word = |part: &str| part.trim_matches(|c: char| !c.is_alphanumeric()) == **word;
                told.split_whitespace().any(is_word) || (word.contains(' ') && told.contains(**word))
            });
            assert!(wrong.is_none(), "{language:?}: {id} says {wrong:?}");
            let most = match id.split('-').next() {
                Some("ask") => 95,
                Some("need" | "step" | "choice") => 70,
                Some("stage" | "visit" | "role" | "state") => 62,
                Some("stop" | "caution") => 235,
                _ => continue,
            };
            let length = text.chars().count();
            assert!(
                length <= most,
                "{language:?}: {id} is {length} letters long: {text}"
            );
        }
    }
}

#[test]
fn a_signer_is_told_the_same_in_every_language() {
    // What every consent has to say: that paper can be had, that signing here can be declined, and that no
    // lawyer has looked at the words.
    let said = [
        (Language::En, ["on paper", "decline to sign", "lawyer"]),
        (Language::Es, ["en papel", "negarme a firmar", "abogado"]),
        (Language::Fr, ["sur papier", "refuser de signer", "avocat"]),
    ];
    let guide = Guide::embedded().unwrap();
    let (business, house) = ("Ninefold Hearth", "12 Nowhere Lane");
    let programme = "Larkspur Basin Clean Hearth Grant";
    for (language, wanted) in said {
        let words = Words::of(language);
        for role in guide.asks.iter().filter_map(signer) {
            let text = consent(
                &words,
                ConsentOf {
                    role,
                    business,
                    programme,
                    house,
                },
            );
            for part in wanted.iter().chain([&business, &programme, &house]) {
                assert!(
                    text.contains(part),
                    "{language:?}: consent-{role} does not say {part}"
                );
            }
            assert!(
                text.ends_with('.') && text.matches(". ").count() >= 2,
                "{role}: full sentences"
            );
        }
    }
}

fn signer(ask: &Ask) -> Option<&str> {
    match &ask.kind {
        AskKind::Signature(role) => Some(role),
        _ => None,
    }
}
