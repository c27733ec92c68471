use serde::de::DeserializeOwned;
use toml::{Spanned, Table};
use wythe_units::{Dimension, read};

use crate::ask::{AskKind, Range};
use crate::condition::{Condition, Limits};

/// Why a data file was refused: where, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}: {message}")]
pub struct LoadFault {
    /// The file's name.
    pub file: String,
    /// The line, counted from 1.
    pub line: usize,
    /// What is wrong and what to write instead.
    pub message: String,
}

/// A data file being read.
#[derive(Clone, Copy)]
pub(crate) struct File<'a> {
    pub name: &'a str,
    pub text: &'a str,
}

/// One entry of a list in a data file, with the line it begins on.
pub(crate) struct Item<T> {
    pub line: usize,
    pub body: T,
}

impl File<'_> {
    pub fn fault(&self, line: usize, message: impl Into<String>) -> LoadFault {
        LoadFault {
            file: self.name.to_owned(),
            line,
            message: message.into(),
        }
    }

    fn line_of(&self, at: usize) -> usize {
        1 + self.text.bytes().take(at).filter(|byte| *byte == b'\n').count()
    }

    /// The line on which a key of the file's head stands.
    pub fn line_of_key(&self, key: &str) -> usize {
        let is_key = |line: &str| {
            let rest = line.trim_start().strip_prefix(key);
            rest.is_some_and(|rest| rest.trim_start().starts_with('='))
        };
        self.text.lines().position(is_key).map_or(1, |place| place + 1)
    }

    /// Reads the whole file as one thing whose lists are read by [`File::items`].
    pub fn head<T: DeserializeOwned>(&self) -> Result<T, LoadFault> {
        toml::from_str(self.text).map_err(|wrong| {
            let line = wrong.span().map_or(1, |span| self.line_of(span.start));
            self.fault(line, tidy(wrong.message()))
        })
    }

    /// Reads the entries of a list, so that a mistake names the line of its entry.
    pub fn items<T: DeserializeOwned>(&self, list: Vec<Spanned<Table>>) -> Result<Vec<Item<T>>, LoadFault> {
        let mut items = Vec::new();
        for entry in list {
            let line = self.line_of(entry.span().start);
            let body = entry
                .into_inner()
                .try_into()
                .map_err(|wrong: toml::de::Error| self.fault(line, tidy(wrong.message())))?;
            items.push(Item { line, body });
        }
        Ok(items)
    }
}

/// The reader's own messages, in words that say what to write.
fn tidy(message: &str) -> String {
    let message = message.trim();
    if let Some(rest) = message.strip_prefix("unknown field ") {
        return format!("there is no key {}", rest.replace(", expected", "; the keys are"));
    }
    if let Some(rest) = message.strip_prefix("missing field ") {
        return format!("the key {rest} is missing");
    }
    if let Some(rest) = message.strip_prefix("duplicate key") {
        return format!("this key stands twice{rest}; leave one of them out");
    }
    if let Some(rest) = message.strip_prefix("invalid type: ") {
        return format!("found {}", rest.replace(", expected", "; write"));
    }
    if let Some(rest) = message.strip_prefix("invalid value: ") {
        return format!("found {}", rest.replace(", expected", "; write"));
    }
    if let Some(rest) = message.strip_prefix("unknown variant ") {
        return match rest.split_once(", expected ") {
            Some((found, known)) => format!("{found} is not one of the choices; write {known}"),
            None => format!("{rest} is not one of the choices"),
        };
    }
    message.to_owned()
}

/// A bound as it stands in a file: a number for counts, a text with its unit for quantities.
#[derive(Debug, Clone, serde::Deserialize)]
#[serde(untagged)]
pub(crate) enum Bound {
    Number(f64),
    Text(String),
}

impl Bound {
    /// The bound in the kind's base unit.
    pub fn read(&self, kind: &AskKind) -> Result<f64, String> {
        match (self, kind) {
            (Self::Number(number), AskKind::Count | AskKind::Number(_) | AskKind::Money) => Ok(*number),
            (Self::Number(number), _) => Err(format!(
                "{number} needs its unit: write it as a text, like \"{number} in\""
            )),
            (Self::Text(text), kind) => limit(text, kind),
        }
    }
}

/// A typed limit in the base unit of what it is compared with.
pub(crate) fn limit(text: &str, kind: &AskKind) -> Result<f64, String> {
    match kind {
        AskKind::Quantity(dimension) => read(*dimension, text)
            .map(|reading| reading.si)
            .map_err(|wrong| wrong.to_string()),
        AskKind::Span => read(Dimension::Time, text)
            .map(|reading| reading.si)
            .map_err(|wrong| wrong.to_string()),
        AskKind::Count | AskKind::Number(_) | AskKind::Money => {
            let number = text.split_whitespace().next().unwrap_or_default();
            number.parse().map_err(|_| format!("\"{text}\" is not a number"))
        }
        AskKind::Date => crate::calendar::read_date(text)
            .map(|date| f64::from(chrono::Datelike::num_days_from_ce(&date)))
            .ok_or_else(|| format!("\"{text}\" is not a date; write it like 2026-03-31")),
        _ => Err("only figures, counts, dates, spans and money can be compared".to_owned()),
    }
}

/// A range as it stands in a file: two bounds.
pub(crate) fn range(bounds: Option<&(Bound, Bound)>, kind: &AskKind) -> Result<Range, String> {
    let Some((least, most)) = bounds else {
        return Ok(Range::default());
    };
    let (least, most) = (least.read(kind)?, most.read(kind)?);
    if least > most {
        return Err("the first bound of a range is the smaller one".to_owned());
    }
    Ok(Range {
        least: Some(least),
        most: Some(most),
    })
}

/// Reads the limits of a condition, given what each ask is; names the first mistake.
pub(crate) fn settle(
    condition: &mut Condition,
    kind_of: &dyn Fn(&str) -> Option<AskKind>,
) -> Result<(), String> {
    let mut wrong = None;
    condition.visit_parts_mut(&mut |part| {
        if wrong.is_none() {
            wrong = settle_part(part, kind_of).err();
        }
    });
    wrong.map_or(Ok(()), Err)
}

fn settle_part(part: &mut Condition, kind_of: &dyn Fn(&str) -> Option<AskKind>) -> Result<(), String> {
    if part.figures.is_some() != part.finding.is_some() {
        return Err("figures and finding go together in a condition".to_owned());
    }
    let others = part
        .above_ask
        .iter()
        .chain(&part.below_ask)
        .chain(&part.above_each);
    for other in others.chain(&part.differs_from) {
        kind_of(other).ok_or_else(|| format!("there is no ask \"{other}\""))?;
    }
    let Some(ask) = &part.ask else {
        let empty =
            part.figures.is_none() && part.all.is_empty() && part.any.is_empty() && part.not.is_none();
        if empty {
            return Err("a condition names an ask, figures, or all, any, not".to_owned());
        }
        if part.comparisons() > 0 {
            return Err(
                "a comparison needs the ask that it compares: write ask = \"…\" beside it".to_owned(),
            );
        }
        return Ok(());
    };
    let kind = kind_of(ask).ok_or_else(|| format!("there is no ask \"{ask}\""))?;
    match part.comparisons() {
        1 => {}
        0 => {
            return Err(format!(
                "say what {ask} has to be: write is, at_least, above, at_most, below, missing or present"
            ));
        }
        _ => {
            return Err(format!(
                "{ask} is compared in more than one way at once; split it into parts of all = [ … ]"
            ));
        }
    }
    let is_words = matches!(kind, AskKind::Choice(_) | AskKind::Text);
    if part.differs_from.is_some() && !is_words {
        return Err(format!(
            "{ask} is no text or choice; compare it with above_ask or below_ask"
        ));
    }
    if part.past && kind != AskKind::Date {
        return Err(format!("{ask} is no date; only a date can be past"));
    }
    if let Some(is) = &part.is {
        match &kind {
            AskKind::Choice(choices) if !choices.contains(is) => {
                return Err(format!(
                    "\"{is}\" is not a choice of {ask}; write one of {}",
                    choices.join(", ")
                ));
            }
            AskKind::YesNo if is != "yes" && is != "no" => {
                return Err(format!("{ask} is answered yes or no; \"{is}\" never holds"));
            }
            AskKind::Choice(_) | AskKind::YesNo | AskKind::Text => {}
            _ => {
                return Err(format!(
                    "{ask} is not answered with a choice; compare it with at_least or above"
                ));
            }
        }
    }
    let read = |text: &Option<String>| text.as_ref().map(|text| limit(text, &kind)).transpose();
    part.limits = Limits {
        at_least: read(&part.at_least)?,
        above: read(&part.above)?,
        at_most: read(&part.at_most)?,
        below: read(&part.below)?,
    };
    Ok(())
}

/// Whether a text can be an id: small letters, digits and underscores.
pub(crate) fn is_id(text: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'_';
    !text.is_empty() && text.len() <= 80 && text.bytes().all(plain)
}
