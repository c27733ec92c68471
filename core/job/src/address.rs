use std::fmt;
use std::str::FromStr;

use minicbor::{Decode, Encode};

use crate::limits::{MAX_CODE_BYTES, MAX_INSTANCE, MAX_PATH};
use crate::rules::{Kept, holds};

/// Which one of several alike: the second room, the third surface.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Encode, Decode)]
pub struct Place {
    /// What there are several of: `room`, `old_stove`, `tile_section`.
    #[n(0)]
    pub of: String,
    /// Which of them, 1 to [`MAX_INSTANCE`].
    #[n(1)]
    pub number: u32,
}

/// The address of what was asked: the ask, and which instance of what it is asked about.
///
/// Written `survey.tile_inside` or `survey.tile_inside@tile_section:2/face:1`; that of an instance itself,
/// whose ask is empty, `@tile_section:2`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Encode, Decode)]
pub struct Address {
    /// The ask's id.
    #[n(0)]
    pub ask: String,
    /// The instance path, outermost first; empty for what there is one of.
    #[n(1)]
    pub path: Vec<Place>,
}

impl Address {
    /// The address of an ask about something there is one of.
    #[must_use]
    pub fn of(ask: impl Into<String>) -> Self {
        Self {
            ask: ask.into(),
            path: Vec::new(),
        }
    }

    /// The same ask about one of several.
    #[must_use]
    pub fn at(mut self, of: impl Into<String>, number: u32) -> Self {
        self.path.push(Place {
            of: of.into(),
            number,
        });
        self
    }

    /// The rules of every address: its letters, its depth, its numbers.
    pub(crate) fn keeps_form(&self) -> Kept {
        let asks = self.ask.is_empty() || is_plain(&self.ask);
        holds("address", asks, "has an ask that is none")?;
        let fits = self.path.len() <= MAX_PATH;
        holds("address", fits, "has a path of more than 8 steps")?;
        let fits = |step: &Place| is_plain(&step.of) && (1..=MAX_INSTANCE).contains(&step.number);
        holds(
            "address",
            self.path.iter().all(fits),
            "has a step that is none: a name and a number from 1 to 9,999",
        )?;
        let something = !(self.ask.is_empty() && self.path.is_empty());
        holds("address", something, "is empty")
    }

    /// The rules of an address of what was asked.
    pub(crate) fn names_an_ask(&self) -> Kept {
        self.keeps_form()?;
        holds("address", !self.ask.is_empty(), "names no ask")
    }

    /// The rules of the address of an instance itself: no ask, at least one step.
    pub(crate) fn names_an_instance(&self) -> Kept {
        self.keeps_form()?;
        holds("address", self.ask.is_empty(), "of an instance names an ask")
    }
}

/// Whether a name may stand in an address: 1 to 80 of `a-z`, `0-9`, `_` and `.`.
fn is_plain(name: &str) -> bool {
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || matches!(b, b'_' | b'.');
    (1..=MAX_CODE_BYTES).contains(&name.len()) && name.bytes().all(plain)
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.ask)?;
        for (index, place) in self.path.iter().enumerate() {
            write!(
                f,
                "{}{}:{}",
                if index == 0 { "@" } else { "/" },
                place.of,
                place.number
            )?;
        }
        Ok(())
    }
}

/// A text that is not an address.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no address; write it like survey.tile_inside or survey.tile_inside@tile_section:2")]
pub struct NoAddress(String);

impl FromStr for Address {
    type Err = NoAddress;

    fn from_str(text: &str) -> Result<Self, NoAddress> {
        let no = || NoAddress(text.chars().take(80).collect());
        let (ask, rest) = text
            .split_once('@')
            .map_or((text, None), |(ask, rest)| (ask, Some(rest)));
        let mut address = Self::of(ask);
        for step in rest.into_iter().flat_map(|rest| rest.split('/')) {
            let (of, number) = step.split_once(':').ok_or_else(no)?;
            // One way of writing a number: no sign, no zero before it.
            let digits = number.bytes().all(|b| b.is_ascii_digit()) && !number.starts_with('0');
            let number = number.parse().ok().filter(|_| digits).ok_or_else(no)?;
            address = address.at(of, number);
        }
        address.keeps_form().map_err(|_| no())?;
        Ok(address)
    }
}

impl serde::Serialize for Address {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> serde::Deserialize<'de> for Address {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_reads_back_as_it_is_written() {
        for text in [
            "survey.tile_inside",
            "survey.tile_inside@tile_section:2",
            "gas.relit@room:2/appliance:11",
            "@room:2",
        ] {
            assert_eq!(text.parse::<Address>().unwrap().to_string(), text);
        }
        for text in [
            "",
            "Survey",
            "a@",
            "a@b",
            "a@b:0",
            "a@b:-1",
            "a@b:1/",
            "a b",
            "a@b:01",
            "a@b:+1",
            "a@b:10000",
            "@",
            "a@b:1/b:1/b:1/b:1/b:1/b:1/b:1/b:1/b:1",
        ] {
            assert!(text.parse::<Address>().is_err(), "{text}");
        }
    }
}
