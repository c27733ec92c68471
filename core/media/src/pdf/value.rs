use crate::{MediaError, limits};

use super::too_much;

/// A value of ISO 32000-1, 7.3, as far as pages need it: strings are passed over.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    Number(f64),
    Name(Vec<u8>),
    Array(Vec<Value>),
    Dict(Dict),
    /// Another object, by number.
    Ref(u32),
    /// A string, `true`, `false` or `null`.
    Other,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Dict(Vec<(Vec<u8>, Value)>);

impl Dict {
    /// The value of a key; of a key said twice, the last.
    pub(super) fn get(&self, key: &[u8]) -> Option<&Value> {
        self.0
            .iter()
            .rev()
            .find(|(name, _)| name == key)
            .map(|(_, value)| value)
    }

    pub(super) fn values(&self) -> impl Iterator<Item = &Value> {
        self.0.iter().map(|(_, value)| value)
    }

    pub(super) fn is(&self, key: &[u8], name: &[u8]) -> bool {
        self.get(key).is_some_and(|value| value.is_name(name))
    }
}

impl Value {
    pub(super) fn is_name(&self, name: &[u8]) -> bool {
        matches!(self, Self::Name(found) if found == name)
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the range first"
    )]
    pub(super) fn whole(&self) -> Option<usize> {
        match self {
            Self::Number(value) if *value >= 0.0 => Some(value.min(f64::from(u32::MAX)) as usize),
            _ => None,
        }
    }
}

/// Why a value could not be read.
#[derive(Debug)]
pub(super) enum Unread {
    /// It is no value; look on behind it.
    NoValue,
    /// It is beyond a limit.
    TooMuch(MediaError),
}

/// Reads values from bytes, forwards.
#[derive(Debug, Clone)]
pub(super) struct Reader<'a> {
    bytes: &'a [u8],
    pub(super) at: usize,
    values: usize,
}

impl<'a> Reader<'a> {
    pub(super) const fn new(bytes: &'a [u8], at: usize) -> Self {
        Self { bytes, at, values: 0 }
    }

    pub(super) fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    pub(super) fn rest(&self) -> &'a [u8] {
        self.bytes.get(self.at..).unwrap_or_default()
    }

    /// Passes over white space and comments.
    pub(super) fn skip_space(&mut self) {
        while let Some(byte) = self.peek() {
            if byte == b'%' {
                while self.peek().is_some_and(|b| b != b'\n' && b != b'\r') {
                    self.at += 1;
                }
            } else if is_space(byte) {
                self.at += 1;
            } else {
                return;
            }
        }
    }

    /// Passes over `word` if it stands here.
    pub(super) fn take(&mut self, word: &[u8]) -> bool {
        let here = self.rest().starts_with(word);
        if here {
            self.at += word.len();
        }
        here
    }

    /// One value, nested at most [`limits::PDF_NESTING`] deep.
    pub(super) fn value(&mut self, depth: usize) -> Result<Value, Unread> {
        if depth > limits::PDF_NESTING {
            return Err(Unread::TooMuch(too_much("nesting")));
        }
        self.values += 1;
        if self.values > limits::PDF_VALUES {
            return Err(Unread::TooMuch(too_much("values in one object")));
        }
        self.skip_space();
        match self.peek().ok_or(Unread::NoValue)? {
            b'/' => Ok(Value::Name(self.name())),
            b'[' => self.array(depth),
            b'(' => self.string(),
            b'<' if self.rest().starts_with(b"<<") => self.dict(depth).map(Value::Dict),
            b'<' => self.hex_string(),
            b'0'..=b'9' | b'+' | b'-' | b'.' => self.number_or_ref(),
            _ => [&b"true"[..], b"false", b"null"]
                .into_iter()
                .any(|word| self.take(word))
                .then_some(Value::Other)
                .ok_or(Unread::NoValue),
        }
    }

    pub(super) fn dict(&mut self, depth: usize) -> Result<Dict, Unread> {
        if !self.take(b"<<") {
            return Err(Unread::NoValue);
        }
        let mut entries = Vec::new();
        loop {
            self.skip_space();
            if self.take(b">>") {
                return Ok(Dict(entries));
            }
            if self.peek() != Some(b'/') {
                return Err(Unread::NoValue);
            }
            let key = self.name();
            entries.push((key, self.value(depth + 1)?));
        }
    }

    fn array(&mut self, depth: usize) -> Result<Value, Unread> {
        self.at += 1;
        let mut values = Vec::new();
        loop {
            self.skip_space();
            if self.take(b"]") {
                return Ok(Value::Array(values));
            }
            values.push(self.value(depth + 1)?);
        }
    }

    /// The name behind a slash. Escapes (`#20`) stay as they are: none of our keys has one.
    fn name(&mut self) -> Vec<u8> {
        self.at += 1;
        let name: Vec<u8> = self
            .rest()
            .iter()
            .copied()
            .take_while(|b| is_regular(*b))
            .take(128)
            .collect();
        self.at += name.len();
        name
    }

    fn string(&mut self) -> Result<Value, Unread> {
        let mut open = 0_usize;
        while let Some(byte) = self.peek() {
            self.at += 1;
            match byte {
                b'\\' => self.at += 1,
                b'(' => open += 1,
                b')' if open <= 1 => return Ok(Value::Other),
                b')' => open -= 1,
                _ => {}
            }
        }
        Err(Unread::NoValue)
    }

    fn hex_string(&mut self) -> Result<Value, Unread> {
        let length = self
            .rest()
            .iter()
            .position(|b| *b == b'>')
            .ok_or(Unread::NoValue)?;
        self.at += length + 1;
        Ok(Value::Other)
    }

    fn number_or_ref(&mut self) -> Result<Value, Unread> {
        let number = self.number().ok_or(Unread::NoValue)?;
        let after = self.at;
        if let Some(object) = self.reference(&number) {
            return Ok(Value::Ref(object));
        }
        self.at = after;
        Ok(Value::Number(number.parse().unwrap_or(0.0)))
    }

    /// The rest of `12 0 R`, its first number read.
    fn reference(&mut self, object: &str) -> Option<u32> {
        let object = object.parse().ok()?;
        self.skip_space();
        self.number()?.parse::<u16>().ok()?;
        self.skip_space();
        (self.take(b"R") && !self.peek().is_some_and(is_regular)).then_some(object)
    }

    /// The characters of a number; at most 32, as none has more.
    pub(super) fn number(&mut self) -> Option<String> {
        let digits: String = self
            .rest()
            .iter()
            .take(32)
            .take_while(|b| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.'))
            .map(|b| char::from(*b))
            .collect();
        self.at += digits.len();
        (!digits.is_empty()).then_some(digits)
    }
}

pub(super) const fn is_space(byte: u8) -> bool {
    matches!(byte, 0 | 9 | 10 | 12 | 13 | 32)
}

const fn is_regular(byte: u8) -> bool {
    !is_space(byte)
        && !matches!(
            byte,
            b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%'
        )
}
