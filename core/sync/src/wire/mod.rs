//! The bytes that phone and office send each other: `fixtures/formats/exchange.md`.

mod reply;
mod request;

use minicbor::{Decode, Encode};
use wythe_job::canonical;

pub use reply::{
    Code, Enrolled, Exchanged, Fetched, HeldSoFar, NotTaken, Refused, Renewed, Reply, Standing, Taken,
};
pub use request::{Enrol, Exchange, Fetch, Offered, Piece, Renew, Request};

use crate::limits::MAX_MESSAGE_BYTES;

/// The version of the messages written here.
pub const VERSION: u64 = 1;

/// Bytes that are no message.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WireFault {
    /// A version that this program does not know.
    #[error("version {0} of the exchange is not known here; update the older of the two programs")]
    UnknownVersion(u64),
    /// Longer than any message.
    #[error("the message is longer than {MAX_MESSAGE_BYTES} bytes")]
    TooLong,
    /// Not what the format describes.
    #[error("the message cannot be read: {0}")]
    Unreadable(String),
    /// More members, or longer ones, than the format allows.
    #[error("{0} of the message is out of bounds")]
    OutOfBounds(&'static str),
}

/// What has bounds beyond its shape.
trait Bounded {
    fn out_of_bounds(&self) -> Option<&'static str>;
}

#[derive(Encode, Decode)]
struct Message<T> {
    #[n(0)]
    version: u64,
    #[n(1)]
    content: T,
}

fn write<T: Encode<()>>(content: &T) -> Vec<u8> {
    canonical::encode(&Message {
        version: VERSION,
        content,
    })
}

/// Reads a message, and gives what follows it.
fn read<'b, T>(bytes: &'b [u8]) -> Result<(T, &'b [u8]), WireFault>
where
    T: Decode<'b, ()> + Encode<()> + Bounded,
{
    // What may follow is raw bytes: the message itself must end within its bound.
    let head = bytes.get(..MAX_MESSAGE_BYTES).unwrap_or(bytes);
    let (message, _) = canonical::split_first(head).map_err(|why| match head.len() < bytes.len() {
        true => WireFault::TooLong,
        false => WireFault::Unreadable(why.to_string()),
    })?;
    let unreadable = |why: minicbor::decode::Error| WireFault::Unreadable(why.to_string());
    let mut decoder = minicbor::Decoder::new(message);
    decoder.array().map_err(unreadable)?;
    let version = decoder.u64().map_err(unreadable)?;
    if version != VERSION {
        return Err(WireFault::UnknownVersion(version));
    }
    let read: Message<T> = minicbor::decode(message).map_err(unreadable)?;
    // Version 1 has exactly these members.
    if canonical::encode(&read) != message {
        return Err(WireFault::Unreadable(
            "members that version 1 does not have".into(),
        ));
    }
    if let Some(member) = read.content.out_of_bounds() {
        return Err(WireFault::OutOfBounds(member));
    }
    Ok((read.content, bytes.get(message.len()..).unwrap_or_default()))
}

/// A byte string.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Encode, Decode)]
#[cbor(transparent)]
pub struct Bytes(#[cbor(n(0), with = "minicbor::bytes")] pub Vec<u8>);

/// The bytes of all.
fn total(items: &[Bytes]) -> usize {
    items.iter().map(|item| item.0.len()).sum()
}

/// Whether facts keep to the bounds of a batch.
fn fits_batch(facts: &[Bytes]) -> bool {
    facts.len() <= crate::limits::MAX_BATCH_FACTS
        && (facts.len() <= 1 || total(facts) <= crate::limits::MAX_BATCH_BYTES)
}
