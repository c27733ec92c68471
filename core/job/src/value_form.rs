//! How a value is written: `[sort, [members]]` in CBOR, an object with a `type` in JSON.

use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};
use serde::ser::SerializeMap;

use crate::value::{UnknownValue, Value};

impl Value {
    /// The name of its sort, as its JSON form states it.
    #[must_use]
    pub fn sort(&self) -> &'static str {
        match self {
            Self::Quantity { .. } => "quantity",
            Self::Choice(_) => "choice",
            Self::YesNo(_) => "yes_no",
            Self::Count(_) => "count",
            Self::Text(_) => "text",
            Self::Date(_) => "date",
            Self::Span { .. } => "span",
            Self::Money { .. } => "money",
            Self::Place(_) => "place",
            Self::Person(_) => "person",
            Self::List(_) => "list",
            Self::Unknown(_) => "unknown",
        }
    }
}

impl<C> Encode<C> for Value {
    fn encode<W: encode::Write>(&self, e: &mut Encoder<W>, c: &mut C) -> Result<(), encode::Error<W::Error>> {
        let sort = |e: &mut Encoder<W>, number: u8, members: u64| {
            e.array(2)?.u8(number)?.array(members)?;
            Ok::<(), encode::Error<W::Error>>(())
        };
        match self {
            Self::Quantity { dimension, si } => {
                sort(e, 0, 2)?;
                e.str(dimension)?;
                si.encode(e, c)
            }
            Self::Choice(choice) => {
                sort(e, 1, 1)?;
                e.str(choice)?.ok()
            }
            Self::YesNo(yes) => {
                sort(e, 2, 1)?;
                e.bool(*yes)?.ok()
            }
            Self::Count(count) => {
                sort(e, 3, 1)?;
                e.u64(*count)?.ok()
            }
            Self::Text(text) => {
                sort(e, 4, 1)?;
                e.str(text)?.ok()
            }
            Self::Date(text) => {
                sort(e, 5, 1)?;
                e.str(text)?.ok()
            }
            Self::Span { start, end, taps } => {
                sort(e, 6, 3)?;
                start.encode(e, c)?;
                end.encode(e, c)?;
                taps.encode(e, c)
            }
            Self::Money { amount, currency } => {
                sort(e, 7, 2)?;
                e.str(amount)?.str(currency)?.ok()
            }
            Self::Place(position) => {
                sort(e, 8, 1)?;
                position.encode(e, c)
            }
            Self::Person(person) => {
                sort(e, 9, 1)?;
                person.encode(e, c)
            }
            Self::List(values) => {
                sort(e, 10, 1)?;
                values.encode(e, c)
            }
            Self::Unknown(unknown) => e
                .writer_mut()
                .write_all(&unknown.bytes)
                .map_err(encode::Error::write),
        }
    }
}

impl<'b, C> Decode<'b, C> for Value {
    fn decode(d: &mut Decoder<'b>, c: &mut C) -> Result<Self, decode::Error> {
        let start = d.position();
        if d.array()? != Some(2) {
            return Err(decode::Error::message("a value has a sort and its members").at(start));
        }
        let sort = d.u64()?;
        let members = d
            .array()?
            .ok_or_else(|| decode::Error::message("a value's members have no length"))?;
        let known: u64 = match sort {
            0 | 7 => 2,
            6 => 3,
            1..=10 => 1,
            _ => {
                for _ in 0..members {
                    d.skip()?;
                }
                let bytes = d.input().get(start..d.position()).unwrap_or_default();
                return Ok(Self::Unknown(UnknownValue {
                    bytes: bytes.to_vec(),
                }));
            }
        };
        if members < known {
            return Err(decode::Error::message("a value lacks a member").at(start));
        }
        let value = match sort {
            0 => Self::Quantity {
                dimension: d.decode_with(c)?,
                si: d.decode_with(c)?,
            },
            1 => Self::Choice(d.decode_with(c)?),
            2 => Self::YesNo(d.bool()?),
            3 => Self::Count(d.u64()?),
            4 => Self::Text(d.decode_with(c)?),
            5 => Self::Date(d.decode_with(c)?),
            6 => Self::Span {
                start: d.decode_with(c)?,
                end: d.decode_with(c)?,
                taps: d.decode_with(c)?,
            },
            7 => Self::Money {
                amount: d.decode_with(c)?,
                currency: d.decode_with(c)?,
            },
            8 => Self::Place(d.decode_with(c)?),
            9 => Self::Person(d.decode_with(c)?),
            _ => Self::List(d.decode_with(c)?),
        };
        // Members that a newer program added.
        for _ in known..members {
            d.skip()?;
        }
        Ok(value)
    }
}

impl serde::Serialize for Value {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        let mut map = s.serialize_map(None)?;
        match self {
            Self::Quantity { dimension, si } => {
                map.serialize_entry("dimension", dimension)?;
                map.serialize_entry("si", si)?;
            }
            Self::Choice(choice) => map.serialize_entry("choice", choice)?,
            Self::YesNo(yes) => map.serialize_entry("yes", yes)?,
            Self::Count(count) => map.serialize_entry("count", count)?,
            Self::Text(text) => map.serialize_entry("text", text)?,
            Self::Date(date) => map.serialize_entry("date", date)?,
            Self::Span { start, end, taps } => {
                map.serialize_entry("end", end)?;
                map.serialize_entry("start", start)?;
                map.serialize_entry("taps", taps)?;
            }
            Self::Money { amount, currency } => {
                map.serialize_entry("amount", amount)?;
                map.serialize_entry("currency", currency)?;
            }
            Self::Place(position) => map.serialize_entry("position", position)?,
            Self::Person(person) => map.serialize_entry("person", person)?,
            Self::List(values) => map.serialize_entry("values", values)?,
            Self::Unknown(unknown) => map.serialize_entry("cbor", &hex::encode(&unknown.bytes))?,
        }
        map.serialize_entry("type", self.sort())?;
        map.end()
    }
}
