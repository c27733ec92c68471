//! The syntax of PDF: objects, and the words of content streams (ISO 32000-1:2008, 7.2 and 7.3).

use std::collections::BTreeMap;

/// A PDF object.
#[derive(Debug, Clone, PartialEq)]
pub enum Object {
    Null,
    Bool(bool),
    Number(f64),
    Name(String),
    Text(Vec<u8>),
    Array(Vec<Object>),
    Dict(BTreeMap<String, Object>),
    Reference(u32),
    /// A word of a content stream.
    Operator(String),
}

impl Object {
    pub fn number(&self) -> Option<f64> {
        if let Self::Number(number) = self {
            Some(*number)
        } else {
            None
        }
    }

    pub fn name(&self) -> Option<&str> {
        if let Self::Name(name) = self {
            Some(name)
        } else {
            None
        }
    }

    pub fn array(&self) -> &[Object] {
        if let Self::Array(items) = self { items } else { &[] }
    }

    /// A text string in UTF-16 or in a single-byte encoding.
    pub fn words(&self) -> Option<String> {
        let Self::Text(bytes) = self else { return None };
        if let [0xFE, 0xFF, rest @ ..] = bytes.as_slice() {
            let units: Vec<u16> = rest
                .chunks(2)
                .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
                .collect();
            return Some(String::from_utf16_lossy(&units));
        }
        Some(bytes.iter().map(|byte| char::from(*byte)).collect())
    }
}

/// Where `what` next stands.
pub fn find(bytes: &[u8], what: &[u8], from: usize) -> Option<usize> {
    bytes[from..]
        .windows(what.len())
        .position(|window| window == what)
        .map(|index| from + index)
}

/// Reads one object after the other.
pub struct Scan<'a> {
    pub bytes: &'a [u8],
    pub at: usize,
}

impl Scan<'_> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    /// Skips blanks and comments.
    pub fn blanks(&mut self) {
        while let Some(byte) = self.peek() {
            if byte == b'%' {
                while self.peek().is_some_and(|byte| byte != b'\n') {
                    self.at += 1;
                }
            } else if byte.is_ascii_whitespace() || byte == 0 {
                self.at += 1;
            } else {
                break;
            }
        }
    }

    fn word(&mut self) -> String {
        let start = self.at;
        while self
            .peek()
            .is_some_and(|byte| !byte.is_ascii_whitespace() && !b"()<>[]{}/%".contains(&byte))
        {
            self.at += 1;
        }
        String::from_utf8_lossy(&self.bytes[start..self.at]).into_owned()
    }

    /// The next object; nothing at the end, or at the end of a dictionary.
    pub fn object(&mut self) -> Option<Object> {
        self.blanks();
        match self.peek()? {
            b'/' => {
                self.at += 1;
                Some(Object::Name(self.word()))
            }
            b'(' => Some(Object::Text(self.literal())),
            b'<' if self.bytes.get(self.at + 1) == Some(&b'<') => {
                self.at += 2;
                let mut entries = BTreeMap::new();
                while let Some(Object::Name(key)) = self.object() {
                    entries.insert(key, self.object()?);
                }
                Some(Object::Dict(entries))
            }
            b'<' => {
                let end = find(self.bytes, b">", self.at)?;
                let digits: Vec<u8> = self.bytes[self.at + 1..end]
                    .iter()
                    .copied()
                    .filter(u8::is_ascii_hexdigit)
                    .collect();
                self.at = end + 1;
                let pairs = digits.chunks(2).map(|pair| std::str::from_utf8(pair).unwrap());
                Some(Object::Text(
                    pairs.map(|pair| u8::from_str_radix(pair, 16).unwrap()).collect(),
                ))
            }
            b'[' => {
                self.at += 1;
                let mut items = Vec::new();
                loop {
                    self.blanks();
                    if self.peek()? == b']' {
                        self.at += 1;
                        return Some(Object::Array(items));
                    }
                    items.push(self.object()?);
                }
            }
            b'>' => {
                self.at += 2;
                None
            }
            b'{' | b'}' | b']' | b')' => {
                self.at += 1;
                self.object()
            }
            _ => {
                let word = self.word();
                Some(match word.as_str() {
                    "true" => Object::Bool(true),
                    "false" => Object::Bool(false),
                    "null" => Object::Null,
                    other => match other.parse() {
                        Ok(number) => self.reference(number),
                        Err(_) => Object::Operator(word),
                    },
                })
            }
        }
    }

    /// A number, or a reference if "0 R" follows.
    fn reference(&mut self, number: f64) -> Object {
        if self.bytes[self.at..].starts_with(b" 0 R") {
            self.at += 4;
            return Object::Reference(whole(number));
        }
        Object::Number(number)
    }

    fn literal(&mut self) -> Vec<u8> {
        let (mut text, mut depth) = (Vec::new(), 0);
        while let Some(byte) = self.peek() {
            self.at += 1;
            match byte {
                b'\\' => {
                    let next = self.peek().unwrap();
                    self.at += 1;
                    match next {
                        b'n' => text.push(b'\n'),
                        b'r' => text.push(b'\r'),
                        b't' => text.push(b'\t'),
                        b'b' => text.push(8),
                        b'f' => text.push(12),
                        b'0'..=b'7' => {
                            let mut value = u32::from(next - b'0');
                            for _ in 0..2 {
                                if let Some(digit @ b'0'..=b'7') = self.peek() {
                                    value = value * 8 + u32::from(digit - b'0');
                                    self.at += 1;
                                }
                            }
                            text.push(u8::try_from(value & 0xFF).unwrap());
                        }
                        other => text.push(other),
                    }
                }
                b'(' => {
                    if depth > 0 {
                        text.push(byte);
                    }
                    depth += 1;
                }
                b')' => {
                    depth -= 1;
                    if depth == 0 {
                        break;
                    }
                    text.push(byte);
                }
                other => text.push(other),
            }
        }
        text
    }
}

/// A number that counts something.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of objects and marks"
)]
pub fn whole(number: f64) -> u32 {
    number.round() as u32
}
