//! The files of asks: how an ask is written, and what is wrong with one that is not taken.

use serde::Deserialize;
use toml::{Spanned, Table};
use wythe_units::Dimension;

use crate::ask::{Ask, AskKind, Careful, Range};
use crate::condition::Condition;
use crate::guide::Guide;
use crate::load::{Bound, File, Item, LoadFault, is_id, range};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AsksFile {
    stage: String,
    ask: Vec<Spanned<Table>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawAsk {
    id: String,
    step: String,
    visit: String,
    kind: String,
    unit: Option<String>,
    #[serde(default)]
    choices: Vec<String>,
    signer: Option<String>,
    each: Option<String>,
    when: Option<Condition>,
    refused: Option<(Bound, Bound)>,
    doubtful: Option<(Bound, Bound)>,
    #[serde(default)]
    usual: Vec<RawUsual>,
    mark: Option<String>,
    tolerance: Option<Bound>,
    #[serde(default)]
    careful: RawCareful,
    #[serde(default)]
    roles: Vec<String>,
    caution: Option<String>,
    tap: Option<String>,
    #[serde(default)]
    optional: bool,
    #[serde(default)]
    roof: bool,
    #[serde(default)]
    act: bool,
    filled_from: Option<String>,
    #[serde(default)]
    signs_for: Vec<String>,
    #[serde(default)]
    sign_off: bool,
    #[serde(default)]
    tag: bool,
}

/// Bounds for where a condition holds.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawUsual {
    when: Condition,
    between: (Bound, Bound),
}

#[derive(Default, Deserialize)]
#[serde(rename_all = "snake_case")]
enum RawCareful {
    #[default]
    Smaller,
    Larger,
}

/// The asks of a file, each with the line it begins on. Conditions are settled later, when all asks
/// are known.
pub(crate) fn read(guide: &Guide, file: File<'_>) -> Result<Vec<(usize, Ask)>, LoadFault> {
    let head: AsksFile = file.head()?;
    if !guide.stages.iter().any(|stage| stage.id == head.stage) {
        let stages: Vec<&str> = guide.stages.iter().map(|stage| stage.id.as_str()).collect();
        let message = format!(
            "there is no stage \"{}\"; write one of {}",
            head.stage,
            stages.join(", ")
        );
        return Err(file.fault(1, message));
    }
    let items: Vec<Item<RawAsk>> = file.items(head.ask)?;
    let read = |item: Item<RawAsk>| {
        let line = item.line;
        let ask = one(guide, &head.stage, item.body).map_err(|message| file.fault(line, message))?;
        Ok((line, ask))
    };
    items.into_iter().map(read).collect()
}

fn one(guide: &Guide, stage: &str, raw: RawAsk) -> Result<Ask, String> {
    let id = raw.id.clone();
    let within = |message: String| format!("{id}: {message}");
    let name = id.strip_prefix(stage).and_then(|rest| rest.strip_prefix('.'));
    let Some(name) = name else {
        return Err(format!(
            "the id of an ask begins with its stage: write \"{stage}.{id}\""
        ));
    };
    if !is_id(name) || !is_id(&raw.step) {
        return Err(within(
            "ids and steps are written with small letters, digits and underscores".to_owned(),
        ));
    }
    guide.check_visit(&raw.visit).map_err(within)?;
    if let Some(each) = &raw.each
        && !guide.groups.iter().any(|group| group.id == *each)
    {
        return Err(within(format!("there is no group \"{each}\"")));
    }
    for role in raw.roles.iter().chain(&raw.signer) {
        guide.check_role(role).map_err(within)?;
    }
    let kind = kind(&raw).map_err(within)?;
    if let Some(tap) = &raw.tap
        && (kind != AskKind::Span || !is_id(tap))
    {
        return Err(within(
            "only kind = \"span\" is tapped: write tap = \"turn\" there, or leave it out".to_owned(),
        ));
    }
    if raw.sign_off && !matches!(kind, AskKind::Signature(_)) {
        return Err(within("only a signature can be the sign-off".to_owned()));
    }
    if !raw.signs_for.is_empty() && !matches!(kind, AskKind::Signature(_)) {
        return Err(within("only a signature has signs_for".to_owned()));
    }
    let filled_from = raw.filled_from.as_deref();
    let filled_from = filled_from.map(|from| filled_from_of(guide, &kind, from));
    if raw.tag && kind != AskKind::Photo {
        return Err(within("only a photo can have the tag in its frame".to_owned()));
    }
    let bounded = raw.refused.is_some() || raw.doubtful.is_some() || !raw.usual.is_empty();
    if bounded && raw.doubtful.is_some() && raw.mark.is_none() {
        return Err(within(
            "bounds of what is usual need their mark: write mark = \"common practice, no source\", \
             \"from memory\" or the source"
                .to_owned(),
        ));
    }
    let read_usual = |raw: RawUsual| Ok((raw.when, range(Some(&raw.between), &kind)?));
    let usual_when: Result<Vec<(Condition, Range)>, String> = raw.usual.into_iter().map(read_usual).collect();
    Ok(Ask {
        stage: stage.to_owned(),
        step: raw.step,
        visit: raw.visit,
        each: raw.each,
        when: raw.when,
        refused: range(raw.refused.as_ref(), &kind).map_err(within)?,
        doubtful: range(raw.doubtful.as_ref(), &kind).map_err(within)?,
        usual_when: usual_when.map_err(within)?,
        mark: raw.mark,
        tolerance: raw
            .tolerance
            .map_or(Ok(0.0), |bound| bound.read(&kind))
            .map_err(within)?,
        careful: match raw.careful {
            RawCareful::Smaller => Careful::Smaller,
            RawCareful::Larger => Careful::Larger,
        },
        roles: raw.roles,
        caution: raw.caution,
        tap: raw.tap,
        optional: raw.optional,
        roof: raw.roof,
        act: raw.act,
        signs_for: raw.signs_for,
        filled_from: filled_from.transpose().map_err(within)?,
        sign_off: raw.sign_off,
        tag: raw.tag,
        kind,
        id: raw.id,
    })
}

/// What is known of who came, or of the business: `fitter.licence`, `business.insurance_until`.
fn filled_from_of(guide: &Guide, kind: &AskKind, from: &str) -> Result<(String, String), String> {
    let wrong = || {
        format!(
            "filled_from is a role and name, licence or licence_until, like \"fitter.licence\", or business and \
             the key in its papers; \"{from}\" is neither"
        )
    };
    let (who, what) = from.split_once('.').ok_or_else(wrong)?;
    if !kind.is_typed() {
        return Err("only what is typed or chosen is filled from what is known".to_owned());
    }
    if who == "business" && is_id(what) {
        return Ok((who.to_owned(), what.to_owned()));
    }
    guide.check_role(who)?;
    if !["name", "licence", "licence_until"].contains(&what) {
        return Err(wrong());
    }
    Ok((who.to_owned(), what.to_owned()))
}

fn kind(raw: &RawAsk) -> Result<AskKind, String> {
    let takes_choices = raw.kind == "choice";
    if !takes_choices && !raw.choices.is_empty() {
        return Err("only kind = \"choice\" has choices".to_owned());
    }
    if raw.kind != "signature" && raw.signer.is_some() {
        return Err("only kind = \"signature\" has a signer".to_owned());
    }
    if raw.kind != "number" && raw.unit.is_some() {
        return Err("only kind = \"number\" has a unit; a length or pressure knows its own".to_owned());
    }
    Ok(match raw.kind.as_str() {
        "choice" if raw.choices.len() < 2 => {
            return Err("a choice needs two choices or more".to_owned());
        }
        "choice" => {
            if let Some(wrong) = raw.choices.iter().find(|choice| !is_id(choice)) {
                return Err(format!(
                    "the choice \"{wrong}\" is written with small letters, digits and underscores"
                ));
            }
            AskKind::Choice(raw.choices.clone())
        }
        "yes_no" => AskKind::YesNo,
        "count" => AskKind::Count,
        "ppm" | "percent" | "cords" => AskKind::Number(raw.kind.clone()),
        "number" => match &raw.unit {
            Some(unit) if is_id(unit) => AskKind::Number(unit.clone()),
            _ => return Err("a number says what it counts: write unit = \"in_12\"".to_owned()),
        },
        "text" => AskKind::Text,
        "date" => AskKind::Date,
        "span" => AskKind::Span,
        "money" => AskKind::Money,
        "place" => AskKind::Place,
        "person" => AskKind::Person,
        "list" => AskKind::List,
        "photo" => AskKind::Photo,
        "paper" => AskKind::Paper,
        "signature" => AskKind::Signature(
            raw.signer
                .clone()
                .ok_or_else(|| "a signature names its signer: write signer = \"owner\"".to_owned())?,
        ),
        other => AskKind::Quantity(Dimension::from_code(other).ok_or_else(|| {
            format!("\"{other}\" is no kind of ask; write length, pressure, yes_no, choice, photo …")
        })?),
    })
}
