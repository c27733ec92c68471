use minicbor::{Decode, Encode};

use crate::id::DeviceId;
use crate::limits::{MAX_CERTIFICATE_BYTES, MAX_DOCUMENT_BYTES};
use crate::rules::{Kept, Rules, code, holds, name, reason, words};

/// Something of the business's own library.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct LibraryKept {
    /// `person`, `licence`, `insurance`, `instrument`, `model`, `stock`, `programme`, `business` ...
    #[n(0)]
    pub sort: String,
    /// Its id within the sort.
    #[n(1)]
    pub id: String,
    /// Its content, as JSON (a programme: its file's text).
    #[n(2)]
    pub content: String,
    /// Taken off the shelf.
    #[n(3)]
    pub gone: bool,
}

/// A device's certificate, as the business signed it.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct DeviceCertified {
    /// The certificate's bytes.
    #[cbor(n(0), with = "minicbor::bytes")]
    #[serde(serialize_with = "digits")]
    pub certificate: Vec<u8>,
}

/// A device's facts are no longer taken.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct DeviceRevoked {
    /// Which device.
    #[n(0)]
    pub device: DeviceId,
    /// Why.
    #[n(1)]
    pub reason: String,
}

fn digits<S: serde::Serializer>(bytes: &[u8], s: S) -> Result<S::Ok, S::Error> {
    s.serialize_str(&hex::encode(bytes))
}

impl Rules for LibraryKept {
    fn keeps(&self) -> Kept {
        code("sort", &self.sort)?;
        name("id", &self.id)?;
        words("content", &self.content, MAX_DOCUMENT_BYTES)
    }
}

impl Rules for DeviceCertified {
    fn keeps(&self) -> Kept {
        let fits = (1..=MAX_CERTIFICATE_BYTES).contains(&self.certificate.len());
        holds("certificate", fits, "is not between 1 and 1,024 bytes long")
    }
}

impl Rules for DeviceRevoked {
    fn keeps(&self) -> Kept {
        reason("reason", &self.reason)
    }
}
