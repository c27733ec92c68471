use std::fmt;

use minicbor::bytes::ByteSlice;
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};
use sha2::{Digest as _, Sha256};

macro_rules! fixed_bytes {
    ($(#[$doc:meta])* $name:ident, $len:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub [u8; $len]);

        impl $name {
            /// Reads the hexadecimal form; `None` when it is not exactly that.
            #[must_use]
            pub fn from_hex(text: &str) -> Option<Self> {
                let mut bytes = [0u8; $len];
                hex::decode_to_slice(text, &mut bytes).ok()?;
                Some(Self(bytes))
            }

            /// The first eight hexadecimal digits, for people.
            #[must_use]
            pub fn short(&self) -> String {
                let mut text = self.to_string();
                text.truncate(8);
                text
            }

            /// Takes the bytes; `None` when there are too many or too few.
            #[must_use]
            pub fn from_slice(bytes: &[u8]) -> Option<Self> {
                bytes.try_into().ok().map(Self)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&hex::encode(self.0))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}({})", stringify!($name), self.short())
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.serialize_str(&hex::encode(self.0))
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                let text = String::deserialize(d)?;
                Self::from_hex(&text)
                    .ok_or_else(|| serde::de::Error::custom(concat!("not ", $len, " bytes in hexadecimal")))
            }
        }

        impl<C> Encode<C> for $name {
            fn encode<W: encode::Write>(
                &self,
                e: &mut Encoder<W>,
                _: &mut C,
            ) -> Result<(), encode::Error<W::Error>> {
                e.bytes(&self.0)?.ok()
            }
        }

        impl<'b, C> Decode<'b, C> for $name {
            fn decode(d: &mut Decoder<'b>, c: &mut C) -> Result<Self, decode::Error> {
                let bytes: &ByteSlice = Decode::decode(d, c)?;
                Self::from_slice(bytes)
                    .ok_or_else(|| decode::Error::message(concat!("not ", $len, " bytes long")))
            }
        }
    };
}

fixed_bytes!(
    /// One firm.
    BusinessId, 16
);
fixed_bytes!(
    /// One house, one new stove.
    JobId, 16
);
fixed_bytes!(
    /// What facts belong to: a job, or (with the business's own id) the business.
    Stream, 16
);
fixed_bytes!(
    /// One enrolled phone, or the office.
    DeviceId, 16
);
fixed_bytes!(
    /// One person.
    PersonId, 16
);
fixed_bytes!(
    /// One coming to the house, the recycler or the desk.
    VisitId, 16
);
fixed_bytes!(
    /// One life of the office's store: another begins whenever it was put back from a copy.
    OfficeEpoch, 16
);
fixed_bytes!(
    /// The SHA-256 of an envelope's bytes.
    FactId, 32
);
fixed_bytes!(
    /// A SHA-256.
    Digest, 32
);

impl From<JobId> for Stream {
    fn from(job: JobId) -> Self {
        Self(job.0)
    }
}

impl From<BusinessId> for Stream {
    fn from(business: BusinessId) -> Self {
        Self(business.0)
    }
}

/// The SHA-256 of some bytes.
#[must_use]
pub fn digest_of(bytes: &[u8]) -> Digest {
    Digest(Sha256::digest(bytes).into())
}

/// One hash chain within a stream: a device in one of its epochs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Encode, Decode, serde::Serialize)]
pub struct Chain {
    /// The device.
    #[n(0)]
    pub device: DeviceId,
    /// Its epoch: grows by one whenever the device's store was restored or cloned.
    #[n(1)]
    pub epoch: u32,
}
