//! The one way in which bytes are written: deterministic CBOR (RFC 8949, section 4.2.1), and
//! stricter: no indefinite lengths, no NaN, no infinities, no negative zero, no tags, no `undefined`,
//! and no array that ends in `null` (absent members at the end are left out).

use half::f16;
use minicbor::{Decode, Decoder, Encode, Encoder};

use crate::limits::MAX_DEPTH;
use crate::refusal::Refusal;

/// The head of `null`.
const NULL: u8 = 0xf6;

/// The bytes of a value whose encoder is deterministic.
#[must_use]
pub fn encode<T: Encode<()>>(value: &T) -> Vec<u8> {
    let mut bytes = Vec::new();
    // Writing into a vector cannot fail, and no encoder of this crate refuses a value.
    let _infallible = minicbor::encode(value, &mut bytes);
    bytes
}

/// Reads a value from bytes that must be canonical and hold nothing else.
///
/// # Errors
/// [`Refusal::NotCanonical`] or [`Refusal::Unreadable`].
pub fn decode<'b, T: Decode<'b, ()>>(what: &'static str, bytes: &'b [u8]) -> Result<T, Refusal> {
    check(bytes)?;
    let mut decoder = Decoder::new(bytes);
    decoder
        .decode()
        .map_err(|why: minicbor::decode::Error| Refusal::Unreadable {
            what,
            why: why.to_string(),
        })
}

/// Refuses bytes that are not exactly one canonical item.
///
/// # Errors
/// [`Refusal::NotCanonical`] with the place of the first wrong byte.
pub fn check(bytes: &[u8]) -> Result<(), Refusal> {
    let mut walk = Walk { bytes, at: 0 };
    walk.item(0)?;
    if walk.at == bytes.len() {
        Ok(())
    } else {
        Err(walk.wrong("bytes follow the item"))
    }
}

/// Cuts the first item off a sequence of canonical items (RFC 8742): the item, and what follows it.
///
/// # Errors
/// [`Refusal::NotCanonical`] when the bytes do not begin with a canonical item.
pub fn split_first(bytes: &[u8]) -> Result<(&[u8], &[u8]), Refusal> {
    let mut walk = Walk { bytes, at: 0 };
    walk.item(0)?;
    Ok(bytes.split_at_checked(walk.at).unwrap_or((bytes, &[])))
}

struct Walk<'b> {
    bytes: &'b [u8],
    at: usize,
}

impl<'b> Walk<'b> {
    fn wrong(&self, why: &'static str) -> Refusal {
        Refusal::NotCanonical { at: self.at, why }
    }

    fn take(&mut self, count: usize) -> Result<&'b [u8], Refusal> {
        let end = self
            .at
            .checked_add(count)
            .ok_or_else(|| self.wrong("a length past all bounds"))?;
        let taken = self
            .bytes
            .get(self.at..end)
            .ok_or_else(|| self.wrong("the bytes end too early"))?;
        self.at = end;
        Ok(taken)
    }

    fn argument(&mut self, info: u8) -> Result<u64, Refusal> {
        let (count, least) = match info {
            0..=23 => return Ok(u64::from(info)),
            24 => (1, 24),
            25 => (2, 0x100),
            26 => (4, 0x1_0000),
            27 => (8, 0x1_0000_0000),
            31 => return Err(self.wrong("an indefinite length")),
            _ => return Err(self.wrong("a reserved length")),
        };
        let value = self
            .take(count)?
            .iter()
            .fold(0u64, |sum, byte| (sum << 8) | u64::from(*byte));
        if value < least {
            return Err(self.wrong("a number not in its shortest form"));
        }
        Ok(value)
    }

    fn length(&mut self, info: u8) -> Result<usize, Refusal> {
        let value = self.argument(info)?;
        usize::try_from(value)
            .ok()
            .filter(|length| *length <= self.bytes.len())
            .ok_or_else(|| self.wrong("a length past the end of the bytes"))
    }

    fn item(&mut self, depth: usize) -> Result<(), Refusal> {
        if depth > MAX_DEPTH {
            return Err(self.wrong("items nested too deeply"));
        }
        let start = self.at;
        let head = self.take(1)?.first().copied().unwrap_or_default();
        let info = head & 0x1f;
        match head >> 5 {
            0 | 1 => {
                self.argument(info)?;
            }
            2 => {
                let length = self.length(info)?;
                self.take(length)?;
            }
            3 => {
                let length = self.length(info)?;
                let text = self.take(length)?;
                std::str::from_utf8(text).map_err(|_| self.wrong("text that is not UTF-8"))?;
            }
            4 => {
                let mut last = None;
                for _ in 0..self.length(info)? {
                    last = self.bytes.get(self.at).copied();
                    self.item(depth + 1)?;
                }
                if last == Some(NULL) {
                    return Err(Refusal::NotCanonical {
                        at: self.at - 1,
                        why: "an absent member at the end that is not left out",
                    });
                }
            }
            5 => self.map(info, depth)?,
            6 => {
                return Err(Refusal::NotCanonical {
                    at: start,
                    why: "a tag",
                });
            }
            _ => self.simple(info)?,
        }
        Ok(())
    }

    fn map(&mut self, info: u8, depth: usize) -> Result<(), Refusal> {
        let mut last: Option<&[u8]> = None;
        for _ in 0..self.length(info)? {
            let start = self.at;
            self.item(depth + 1)?;
            let key = self.bytes.get(start..self.at).unwrap_or_default();
            if last.is_some_and(|last| last >= key) {
                return Err(Refusal::NotCanonical {
                    at: start,
                    why: "map keys out of order or twice",
                });
            }
            last = Some(key);
            self.item(depth + 1)?;
        }
        Ok(())
    }

    fn simple(&mut self, info: u8) -> Result<(), Refusal> {
        let found = match info {
            20..=22 => return Ok(()),
            25 => {
                let bits = self.big_endian(2)?;
                f64::from(f16::from_bits(u16::try_from(bits).unwrap_or_default()))
            }
            26 => f64::from(f32::from_bits(
                u32::try_from(self.big_endian(4)?).unwrap_or_default(),
            )),
            27 => f64::from_bits(self.big_endian(8)?),
            _ => return Err(self.wrong("a simple value that is not used here")),
        };
        if !found.is_finite() {
            return Err(self.wrong("a number that is not finite"));
        }
        if found.to_bits() == (-0.0f64).to_bits() {
            return Err(self.wrong("a negative zero"));
        }
        if info != Width::of(found).info() {
            return Err(self.wrong("a number not in its shortest form"));
        }
        Ok(())
    }

    fn big_endian(&mut self, count: usize) -> Result<u64, Refusal> {
        Ok(self
            .take(count)?
            .iter()
            .fold(0u64, |sum, byte| (sum << 8) | u64::from(*byte)))
    }
}

enum Width {
    Half,
    Single,
    Double,
}

impl Width {
    fn of(value: f64) -> Self {
        if same(f64::from(f16::from_f64(value)), value) {
            Self::Half
        } else if same(f64::from(to_single(value)), value) {
            Self::Single
        } else {
            Self::Double
        }
    }

    fn info(&self) -> u8 {
        match self {
            Self::Half => 25,
            Self::Single => 26,
            Self::Double => 27,
        }
    }
}

fn same(a: f64, b: f64) -> bool {
    a.to_bits() == b.to_bits()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the caller compares the result with what went in"
)]
fn to_single(value: f64) -> f32 {
    value as f32
}

/// A finite number, written in the shortest floating-point form that keeps it.
///
/// One that is not finite has no written form: the rules of every value refuse it before it is written.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Number(pub f64);

impl<C> Encode<C> for Number {
    fn encode<W: minicbor::encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), minicbor::encode::Error<W::Error>> {
        // Adding zero turns a negative zero into zero.
        let value = if self.0.is_finite() { self.0 + 0.0 } else { 0.0 };
        match Width::of(value) {
            Width::Half => e.f16(to_single(value))?.ok(),
            Width::Single => e.f32(to_single(value))?.ok(),
            Width::Double => e.f64(value)?.ok(),
        }
    }
}

impl<'b, C> Decode<'b, C> for Number {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, minicbor::decode::Error> {
        use minicbor::data::Type;
        Ok(Self(match d.datatype()? {
            Type::F16 => f64::from(d.f16()?),
            Type::F32 => f64::from(d.f32()?),
            _ => d.f64()?,
        }))
    }
}

impl serde::Serialize for Number {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_f64(self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn why(bytes: &[u8]) -> String {
        check(bytes)
            .err()
            .map_or_else(|| "canonical".to_owned(), |refusal| refusal.to_string())
    }

    #[test]
    fn each_way_of_writing_a_thing_twice_is_refused() {
        assert_eq!(why(&[0x17]), "canonical");
        assert!(why(&[0x18, 0x17]).contains("shortest"), "23 in two bytes");
        assert!(why(&[0x9f, 0xff]).contains("indefinite"));
        assert!(
            why(&[0xfb, 0, 0, 0, 0, 0, 0, 0, 0]).contains("shortest"),
            "0.0 in eight bytes"
        );
        assert!(why(&[0xf9, 0x80, 0x00]).contains("negative zero"));
        assert!(why(&[0xf9, 0x7e, 0x00]).contains("not finite"));
        assert!(why(&[0xa2, 0x02, 0x00, 0x01, 0x00]).contains("out of order"));
        assert!(why(&[0xa2, 0x01, 0x00, 0x01, 0x00]).contains("twice"));
        assert!(why(&[0xc1, 0x00]).contains("tag"));
        assert!(why(&[0xf7]).contains("not used"));
        assert!(why(&[0x01, 0x01]).contains("follow"));
        assert!(why(&[0x62, 0x41]).contains("end"));
        assert!(why(&[0x61, 0xff]).contains("UTF-8"));
        assert!(why(&[0x81; 40]).contains("deeply"));
        assert!(why(&[0x82, 0x01, 0xf6]).contains("left out"));
        assert_eq!(why(&[0x82, 0xf6, 0x01]), "canonical");
        assert!(why(&[0x9b, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff]).contains("past the end"));
    }

    #[test]
    fn numbers_take_the_shortest_form_that_keeps_them() {
        // RFC 8949, appendix A.
        assert_eq!(encode(&Number(0.0)), [0xf9, 0x00, 0x00]);
        assert_eq!(encode(&Number(-0.0)), [0xf9, 0x00, 0x00]);
        assert_eq!(encode(&Number(1.5)), [0xf9, 0x3e, 0x00]);
        assert_eq!(encode(&Number(100_000.0)), [0xfa, 0x47, 0xc3, 0x50, 0x00]);
        assert_eq!(
            encode(&Number(1.1)),
            [0xfb, 0x3f, 0xf1, 0x99, 0x99, 0x99, 0x99, 0x99, 0x9a]
        );
        assert_eq!(encode(&Number(5.960_464_477_539_063e-8)), [0xf9, 0x00, 0x01]);
    }
}
