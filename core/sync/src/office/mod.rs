//! The office's side. [`Office::answer`] takes a request and gives its reply; what must become visible
//! together is one transaction of [`OfficeStorage`]. Invariants, each with a test of its name:
//!
//! - a fact is acknowledged only when the transaction that holds it is committed;
//! - a fact has one number however often it comes;
//! - a phone is given facts of its own streams only;
//! - a receipt for an original comes after its hash was checked and it lasts;
//! - what a revoked phone brings is kept apart and goes to nobody;
//! - no request reaches another business's books.

mod desk_work;
mod enrol;
mod exchange;
mod intake;
mod memory;
mod originals;
mod storage;

use ed25519_dalek::SigningKey;
use wythe_job::{BusinessId, Certificate, Keeper, Moment, PersonId, Trust};

pub use desk_work::NewInvite;
pub use intake::{Brought, Outcome};
pub use memory::{MemoryObjects, MemoryOffice};
pub use storage::{
    Access, AsideRow, Desk, Device, Due, Grant, Holding, Invite, Naming, ObjectKey, OfficeObjects,
    OfficeStorage,
};

use crate::token::Token;
use crate::trouble::Trouble;
use crate::wire::{Code, Reply, Request, WireFault};

/// One business, as its office acts for it.
#[derive(Clone)]
pub struct House {
    /// Its name.
    pub name: String,
    /// Its key, which certifies devices.
    pub business_key: SigningKey,
    /// The office's own device, which signs the office's facts and arrival records.
    pub keeper: Keeper,
    /// That device's certificate.
    pub certificate: Certificate,
    /// In whose name the office records.
    pub person: PersonId,
}

impl House {
    /// The business.
    #[must_use]
    pub fn business(&self) -> BusinessId {
        self.keeper.business
    }

    /// Trust in the business's key, with the office's own certificate.
    #[must_use]
    pub fn trust(&self) -> Trust {
        let mut trust = Trust::in_business(self.business(), self.certificate.fingerprint());
        // Signed by the same key: it is taken.
        let _taken = trust.add(self.certificate.clone());
        trust
    }
}

/// Where the office's businesses are looked up.
pub trait Houses {
    /// A business; none when the office does not serve it.
    ///
    /// # Errors
    /// [`Trouble`].
    fn house(&self, business: BusinessId) -> Result<Option<House>, Trouble>;
}

/// One request as it came.
#[derive(Debug, Clone, Copy)]
pub struct Call<'a> {
    /// The token that came with it.
    pub token: Option<&'a Token>,
    /// Its bytes. Of a piece they may break off anywhere: what came is kept.
    pub bytes: &'a [u8],
}

/// A reply.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// The status of HTTP that goes with it.
    pub status: u16,
}

/// The office while it answers one request.
pub struct Office<'a> {
    /// Its businesses.
    pub houses: &'a dyn Houses,
    /// Their books.
    pub storage: &'a mut dyn OfficeStorage,
    /// Their originals.
    pub objects: &'a mut dyn OfficeObjects,
    /// Now, by the office's clock.
    pub now: Moment,
    /// Chance.
    pub chance: &'a mut dyn FnMut(&mut [u8]),
}

/// Why a request is not answered as it wished.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Stop {
    Refused(Code, &'static str),
    Trouble(Trouble),
}

impl From<Trouble> for Stop {
    fn from(trouble: Trouble) -> Self {
        Self::Trouble(trouble)
    }
}

impl From<wythe_job::Refusal> for Stop {
    fn from(refusal: wythe_job::Refusal) -> Self {
        Self::Trouble(Trouble::new(refusal.code(), "the office could not sign"))
    }
}

impl Office<'_> {
    /// Answers a request. Whatever it is, there is an answer, and asking again does no harm.
    pub fn answer(&mut self, call: Call<'_>) -> Answer {
        let answered = match Request::decode(call.bytes) {
            Ok((request, rest)) => self.act(call.token, request, rest),
            Err(fault) => Err(refusal_of(&fault)),
        };
        match answered {
            Ok((reply, raw)) => {
                let mut bytes = reply.encode();
                bytes.extend_from_slice(&raw);
                Answer { bytes, status: 200 }
            }
            Err(stop) => {
                let (code, reason) = match stop {
                    Stop::Refused(code, reason) => (code, reason),
                    // What exactly is for the office's own log, not for the caller.
                    Stop::Trouble(_) => (
                        Code::TryLater,
                        "the office's store did not take it; nothing is lost",
                    ),
                };
                Answer {
                    bytes: Reply::refused(code, reason).encode(),
                    status: code.status(),
                }
            }
        }
    }

    fn act(
        &mut self,
        token: Option<&Token>,
        request: Request,
        rest: &[u8],
    ) -> Result<(Reply, Vec<u8>), Stop> {
        let plain = |reply| Ok((reply, Vec::new()));
        if let Some(business) = request.business() {
            let token = token.ok_or(NO_TOKEN)?;
            if token.business != business {
                return Err(Stop::Refused(
                    Code::NotYours,
                    "the token belongs to another business",
                ));
            }
            return match request {
                Request::Exchange(it) => plain(Reply::Exchanged(self.exchange(token, &it)?)),
                Request::Piece(it) => plain(Reply::Held(self.piece(token, &it, rest)?)),
                Request::Fetch(it) => {
                    let (fetched, raw) = self.fetch(token, &it)?;
                    Ok((Reply::Fetched(fetched), raw))
                }
                Request::Enrol(_) | Request::Renew(_) => Err(NO_TOKEN),
            };
        }
        match request {
            Request::Enrol(it) => plain(Reply::Enrolled(self.enrol(&it)?)),
            Request::Renew(it) => plain(Reply::Renewed(self.renew(&it)?)),
            _ => Err(NO_TOKEN),
        }
    }

    fn house(&self, business: BusinessId) -> Result<House, Stop> {
        let house = self.houses.house(business)?;
        house.ok_or(Stop::Refused(
            Code::UnknownToken,
            "this office does not serve that business",
        ))
    }

    fn chance<const N: usize>(&mut self) -> [u8; N] {
        let mut bytes = [0; N];
        (self.chance)(&mut bytes);
        bytes
    }
}

const NO_TOKEN: Stop = Stop::Refused(Code::UnknownToken, "a token is needed; enrol this phone");

fn refusal_of(fault: &WireFault) -> Stop {
    match fault {
        WireFault::UnknownVersion(_) => Stop::Refused(
            Code::UnknownVersion,
            "this office knows version 1 of the exchange; update the older of the two programs",
        ),
        WireFault::TooLong | WireFault::OutOfBounds(_) => Stop::Refused(
            Code::OutOfBounds,
            "the request is longer, or has more members, than is taken",
        ),
        WireFault::Unreadable(_) => {
            Stop::Refused(Code::Unreadable, "the request is no message of the exchange")
        }
    }
}

/// The phone that a token lets in, revoked or not.
fn admit(desk: &mut dyn Desk, token: &Token) -> Result<Device, Stop> {
    let unknown = Stop::Refused(
        Code::UnknownToken,
        "the token is not known here; enrol this phone, or renew it",
    );
    let device = desk.device_of(token.hash())?.ok_or(unknown.clone())?;
    desk.device(device)?.ok_or(unknown)
}
