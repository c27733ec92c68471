use std::fmt;
use std::str::FromStr;

use minicbor::{Decode, Encode};

/// Which one of several alike: the second room, the third surface.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Encode, Decode)]
pub struct Place {
    /// What there are several of: `room`, `old_stove`, `tile_section`.
    #[n(0)]
    pub of: String,
    /// Which of them, counted from 1.
    #[n(1)]
    pub number: u32,
}

/// The address of what was asked: the ask, and which instance of what it is asked about.
///
/// Written `survey.tile_inside` or `survey.tile_inside@tile_section:2/face:1`.
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
        let plain = |name: &str| {
            !name.is_empty()
                && name.len() <= 80
                && name
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_' || c == '.')
        };
        if !plain(ask) {
            return Err(no());
        }
        let mut address = Self::of(ask);
        for step in rest.into_iter().flat_map(|rest| rest.split('/')) {
            let (of, number) = step.split_once(':').ok_or_else(no)?;
            let number = number
                .parse::<u32>()
                .ok()
                .filter(|number| *number > 0)
                .ok_or_else(no)?;
            if !plain(of) {
                return Err(no());
            }
            address = address.at(of, number);
        }
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
        ] {
            assert_eq!(text.parse::<Address>().unwrap().to_string(), text);
        }
        for text in ["", "Survey", "a@", "a@b", "a@b:0", "a@b:-1", "a@b:1/", "a b"] {
            assert!(text.parse::<Address>().is_err(), "{text}");
        }
    }
}
