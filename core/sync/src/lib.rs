//! Exchange of facts between a phone and the office as state machines without I/O.
//!
//! Invariant: events in, commands out; every step may be repeated.
//!
//! [`Phone`] is the phone's machine: it is told what happens, reads and writes the phone's store through
//! [`PhoneStore`], and says what to do ([`Command`]). [`Office`] answers one request in the books behind
//! [`OfficeStorage`] and [`OfficeObjects`]. [`wire`] is what they send each other, described in
//! `fixtures/formats/exchange.md`. Shells carry bytes, wake the machine, and nothing else.

pub mod limits;

mod cursor;
mod token;
mod trouble;
pub mod wire;

mod office;
mod phone;

pub use cursor::Cursor;
pub use office::{
    Access, Answer, AsideRow, Brought, Call, Desk, Device, Due, Grant, Holding, House, Houses, Invite,
    MemoryObjects, MemoryOffice, Naming, NewInvite, ObjectKey, Office, OfficeObjects, OfficeStorage, Outcome,
};
pub use phone::{
    Command, Event, Keeping, Membership, Now, Phone, PhoneStore, Report, SetAside, State, Wanted,
};
pub use token::{CodeHash, InviteCode, Token, TokenHash};
pub use trouble::Trouble;
