use std::fmt;

use minicbor::{Decode, Encode};
use wythe_job::{BusinessId, Digest, digest_of};

/// What lets a phone in: made by the phone from chance, and never shown to anybody but its office.
#[derive(Clone, PartialEq, Eq)]
pub struct Token {
    /// The business it belongs to.
    pub business: BusinessId,
    /// 32 bytes of chance.
    pub secret: [u8; 32],
}

/// The only thing of a token that the office keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Encode, Decode)]
#[cbor(transparent)]
pub struct TokenHash(#[n(0)] pub Digest);

impl Token {
    /// The hash that the office keeps.
    #[must_use]
    pub fn hash(&self) -> TokenHash {
        TokenHash::of(&self.secret)
    }

    /// The token as text, for a header: the business and the secret in hexadecimal, a point between.
    #[must_use]
    pub fn to_text(&self) -> String {
        format!("{}.{}", self.business, hex::encode(self.secret))
    }

    /// Reads what [`Token::to_text`] wrote.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let (business, secret) = text.split_once('.')?;
        let mut bytes = [0; 32];
        hex::decode_to_slice(secret, &mut bytes).ok()?;
        Some(Self {
            business: BusinessId::from_hex(business)?,
            secret: bytes,
        })
    }
}

impl TokenHash {
    /// The hash of a token's secret.
    #[must_use]
    pub fn of(secret: &[u8; 32]) -> Self {
        Self(tagged(b"wythe token 1", secret))
    }
}

/// The secret is never shown.
impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Token({}, …)", self.business.short())
    }
}

/// A one-time code with which a phone is taken in: 80 bits of chance, typed or read from a QR code.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct InviteCode(pub [u8; 10]);

/// The only thing of a code that the office keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Encode, Decode)]
#[cbor(transparent)]
pub struct CodeHash(#[n(0)] pub Digest);

/// Digits and letters without I, L, O and U, which are misread (Crockford's base 32).
const SIGNS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

impl InviteCode {
    /// The hash that the office keeps.
    #[must_use]
    pub fn hash(&self) -> CodeHash {
        CodeHash(tagged(b"wythe code 1", &self.0))
    }

    /// Reads what a person typed: spaces and hyphens are passed over, small letters taken, O read as
    /// 0, I and L as 1.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let mut number = 0u128;
        let mut count = 0;
        for sign in text.chars().filter(|sign| !sign.is_whitespace() && *sign != '-') {
            let sign = match sign.to_ascii_uppercase() {
                'O' => '0',
                'I' | 'L' => '1',
                other => other,
            };
            let place = SIGNS.iter().position(|known| char::from(*known) == sign)?;
            number = (number << 5) | u128::try_from(place).ok()?;
            count += 1;
            if count > 16 {
                return None;
            }
        }
        let [_, _, _, _, _, _, bytes @ ..] = number.to_be_bytes();
        (count == 16).then_some(Self(bytes))
    }
}

/// Four groups of four signs.
impl fmt::Display for InviteCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = self
            .0
            .iter()
            .fold(0u128, |sum, byte| (sum << 8) | u128::from(*byte));
        for place in 0..16u32 {
            let sign = usize::try_from((number >> (75 - 5 * place)) & 31).unwrap_or_default();
            let gap = if place > 0 && place.is_multiple_of(4) {
                "-"
            } else {
                ""
            };
            let sign = SIGNS.get(sign).copied().unwrap_or_default();
            write!(f, "{gap}{}", char::from(sign))?;
        }
        Ok(())
    }
}

/// A code lets somebody in: it is not shown by chance.
impl fmt::Debug for InviteCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("InviteCode(…)")
    }
}

fn tagged(tag: &[u8], secret: &[u8]) -> Digest {
    let mut bytes = tag.to_vec();
    bytes.push(0);
    bytes.extend_from_slice(secret);
    digest_of(&bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_reads_back_however_it_was_copied() {
        let code = InviteCode([0, 1, 2, 3, 0xff, 0xfe, 77, 200, 9, 31]);
        let text = code.to_string();
        assert_eq!(text.len(), 19);
        for copied in [
            text.clone(),
            text.to_lowercase(),
            text.replace('-', " "),
            text.replace('0', "o"),
            text.replace('1', "l"),
        ] {
            assert_eq!(InviteCode::read(&copied), Some(code), "{copied}");
        }
        assert_eq!(InviteCode::read(text.trim_start_matches('0')), None);
        assert_eq!(InviteCode::read(&format!("{text}0")), None);
        assert_eq!(InviteCode::read("U000-0000-0000-0000"), None);
    }

    #[test]
    fn a_token_reads_back_and_does_not_show_itself() {
        let token = Token {
            business: BusinessId([7; 16]),
            secret: [0x5a; 32],
        };
        assert_eq!(Token::read(&token.to_text()), Some(token.clone()));
        assert!(!format!("{token:?}").contains("5a"));
        assert_ne!(token.hash().0, digest_of(&token.secret));
        assert_eq!(Token::read("07.5a"), None);
    }
}
