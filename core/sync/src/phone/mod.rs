//! The phone's side. [`Phone::on`] takes what happened and says what to do. Invariants, each with a
//! test of its name:
//!
//! - a fact is marked safe only on the office's word for exactly this fact;
//! - the cursor moves in the transaction that keeps the facts it passes;
//! - what cannot be taken is set aside and blocks nothing;
//! - at any moment it may be stopped, die, or be asked again, and nothing is lost or done twice;
//! - nothing is asked again before its wait is over, and waits grow while nothing works;
//! - an office put back from a copy is offered everything again.

mod plan;
mod store;
mod take;

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use wythe_job::{BusinessId, Chain, DeviceId, Digest, FactId, Trust};

pub use store::{Keeping, PhoneStore, SetAside, State, Wanted};

use crate::limits::{FIRST_WAIT_MS, IDLE_MS, LEAST_BYTES, LONGEST_WAIT_MS, PATIENCE_MS};
use crate::token::Token;
use crate::trouble::Trouble;
use crate::wire::Code;

/// The bytes of the first batch of facts; it grows while all goes well.
const FIRST_BATCH_BYTES: usize = 64 * 1024;
/// The bytes of the first piece of an original.
const FIRST_PIECE_BYTES: usize = 256 * 1024;
/// How many originals are asked about at once.
const ORIGINALS_AT_ONCE: usize = 8;

/// The moment of an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Now {
    /// Milliseconds of any clock; better one that is never set.
    pub ms: u64,
    /// Chance, anew for each event: spreads the waits of many phones.
    pub chance: u64,
}

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Event<'a> {
    /// The phone may use the network: the app was opened, the platform's job scheduler called.
    Started,
    /// An answer came. It may break off.
    Answer {
        /// The call that it answers.
        call: u64,
        /// Its bytes.
        bytes: &'a [u8],
    },
    /// A call came to nothing.
    Failed {
        /// Which.
        call: u64,
    },
    /// Time has passed.
    Tick,
    /// Something was recorded on this phone.
    Appended,
    /// An original is to be fetched: it was put among [`PhoneStore::wanted`].
    Demanded,
    /// No more network: the platform ends the work, or the person does.
    Stopped,
}

/// What to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Command {
    /// Send these bytes to the office with the token, and tell what came of it.
    Send {
        /// The call's number.
        call: u64,
        /// The bytes.
        bytes: Vec<u8>,
    },
    /// Give [`Event::Tick`] at this time, or sooner.
    WakeAt {
        /// By the clock of [`Now`].
        ms: u64,
    },
    /// Tell whoever looks.
    Report(Report),
}

/// What whoever looks at the phone may be told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Report {
    /// Nothing is left to do for now.
    Quiet,
    /// Facts came.
    Received(usize),
    /// Facts or originals are safe at the office now.
    Safe {
        /// How many facts.
        facts: usize,
        /// How many originals.
        originals: usize,
    },
    /// A fact was set aside.
    SetAside(SetAside),
    /// So many facts are kept apart at the office until somebody there decides.
    KeptApart(usize),
    /// The office was put back from a copy: everything is offered again.
    OfferingAgain,
    /// This phone was revoked.
    Revoked,
    /// The office does not know this phone's token: renew, or enrol again. The machine stopped.
    UnknownToken,
    /// The office refuses for good. The machine stopped.
    Refused {
        /// Why.
        code: Code,
        /// In words.
        reason: String,
    },
    /// It did not work, and is tried again later.
    WaitsAfterFailure,
    /// The office's word could not be believed.
    Disbelieved,
    /// The phone's own store did not work.
    Store(Trouble),
}

/// Who this phone is to its office.
#[derive(Debug, Clone)]
pub struct Membership {
    /// Its business.
    pub business: BusinessId,
    /// Its device and epoch.
    pub chain: Chain,
    /// Its token.
    pub token: Token,
    /// The office's device.
    pub office: DeviceId,
    /// The certificates that the phone knows, the office's among them.
    pub trust: Trust,
}

/// The phone's machine.
#[derive(Debug)]
pub struct Phone {
    who: Membership,
    state: Option<State>,
    running: bool,
    revoked: bool,
    calls: u64,
    flight: Option<Flight>,
    failures: u32,
    /// Nothing is begun before.
    not_before: Option<u64>,
    /// Whether an exchange is due.
    due: bool,
    batch_bytes: usize,
    piece_bytes: usize,
    /// Set aside for good, or for this run.
    skipped: BTreeSet<FactId>,
    /// How often originals came out wrong; too often, and they are left alone for this run.
    wrong: BTreeMap<Digest, u32>,
    /// Originals left alone until the next asking.
    later: BTreeSet<Digest>,
    uploads: VecDeque<Upload>,
    again: Again,
    /// Facts from the office that were set aside and are asked for once more.
    ask_again: Vec<FactId>,
}

/// An original on its way to the office.
#[derive(Debug, Clone, Copy)]
struct Upload {
    what: Wanted,
    /// How much the office has.
    there: u64,
}

/// What is offered again after the office was put back.
#[derive(Debug, Default)]
struct Again {
    /// The place in the log up to which the batch goes that is being worked off.
    until: Option<u64>,
    /// Facts of it that the office lacks.
    facts: VecDeque<FactId>,
    /// Originals of it that were not yet asked about.
    originals: VecDeque<Wanted>,
}

/// A call that is under way.
#[derive(Debug)]
struct Flight {
    call: u64,
    until: u64,
    what: Errand,
}

#[derive(Debug)]
enum Errand {
    Exchange(Sent),
    Piece { what: Wanted },
    Fetch { what: Wanted, at: u64 },
}

/// What went out with an exchange.
#[derive(Debug, Default)]
struct Sent {
    facts: Vec<FactId>,
    originals: Vec<Wanted>,
    held: Option<Held>,
    /// Whether more facts wait than went out.
    more: bool,
}

/// The facts that were offered again with an exchange.
#[derive(Debug)]
struct Held {
    until: u64,
    originals: Vec<Wanted>,
}

impl Phone {
    /// A machine at rest.
    #[must_use]
    pub fn new(who: Membership) -> Self {
        Self {
            who,
            state: None,
            running: false,
            revoked: false,
            calls: 0,
            flight: None,
            failures: 0,
            not_before: None,
            due: false,
            batch_bytes: FIRST_BATCH_BYTES,
            piece_bytes: FIRST_PIECE_BYTES,
            skipped: BTreeSet::new(),
            wrong: BTreeMap::new(),
            later: BTreeSet::new(),
            uploads: VecDeque::new(),
            again: Again::default(),
            ask_again: Vec::new(),
        }
    }

    /// The token that goes with every call.
    #[must_use]
    pub fn token(&self) -> &Token {
        &self.who.token
    }

    /// Takes what happened, and says what to do. There is at most one call under way.
    pub fn on(&mut self, event: Event<'_>, now: Now, store: &mut dyn PhoneStore) -> Vec<Command> {
        let mut commands = Vec::new();
        self.keep_clock(now);
        let told = self.happened(event, now, store, &mut commands);
        let begun = told.and_then(|()| self.go_on(now, store, &mut commands));
        if let Err(trouble) = begun {
            // The store may be in any state: what is in memory is read anew.
            self.state = None;
            commands.push(Command::Report(Report::Store(trouble)));
            self.fail(now, &mut commands);
            if let Some(ms) = self.not_before.filter(|_| self.running) {
                commands.push(Command::WakeAt { ms });
            }
        }
        commands
    }

    fn happened(
        &mut self,
        event: Event<'_>,
        now: Now,
        store: &mut dyn PhoneStore,
        commands: &mut Vec<Command>,
    ) -> Result<(), Trouble> {
        match event {
            Event::Started => {
                self.running = true;
                self.due = true;
                self.not_before = None;
                self.later.clear();
            }
            Event::Stopped => {
                self.running = false;
                self.give_up_call();
            }
            Event::Appended => self.due = true,
            Event::Demanded => {
                if self.failures == 0 {
                    self.not_before = None;
                }
            }
            Event::Answer { call, bytes } => {
                // Late answers to calls that were given up say nothing new.
                if let Some(flight) = self.flight.take_if(|flight| flight.call == call) {
                    return self.answered(flight, bytes, now, store, commands);
                }
            }
            Event::Failed { call } => {
                if self.flight.as_ref().is_some_and(|flight| flight.call == call) {
                    self.fail(now, commands);
                }
            }
            Event::Tick => {
                let late = self.flight.as_ref().is_some_and(|flight| flight.until <= now.ms);
                if late {
                    self.fail(now, commands);
                }
            }
        }
        Ok(())
    }

    /// A clock that was set back must not make anything wait for years.
    fn keep_clock(&mut self, now: Now) {
        if let Some(until) = &mut self.not_before {
            *until = (*until).min(now.ms.saturating_add(LONGEST_WAIT_MS));
        }
        if let Some(flight) = &mut self.flight {
            flight.until = flight.until.min(now.ms.saturating_add(PATIENCE_MS));
        }
    }

    /// A call came to nothing: the next is smaller, and later.
    fn fail(&mut self, now: Now, commands: &mut Vec<Command>) {
        self.give_up_call();
        let wait = FIRST_WAIT_MS
            .checked_shl(self.failures.min(20))
            .unwrap_or(LONGEST_WAIT_MS);
        self.failures = self.failures.saturating_add(1);
        self.not_before = Some(
            now.ms
                .saturating_add(spread(wait.min(LONGEST_WAIT_MS), now.chance)),
        );
        self.batch_bytes = (self.batch_bytes / 2).max(LEAST_BYTES);
        self.piece_bytes = (self.piece_bytes / 2).max(LEAST_BYTES);
        commands.push(Command::Report(Report::WaitsAfterFailure));
    }

    /// How much of an original came across is for the office to say.
    fn give_up_call(&mut self) {
        self.flight = None;
        self.due = true;
        for upload in std::mem::take(&mut self.uploads) {
            if self.again.until.is_some() {
                self.again.originals.push_back(upload.what);
            }
        }
    }

    fn succeed(&mut self) {
        self.failures = 0;
        self.not_before = None;
    }

    /// Nothing is left to do: until something happens, or a while has passed.
    fn rest(&mut self, now: Now, commands: &mut Vec<Command>) {
        commands.push(Command::Report(Report::Quiet));
        if !self.revoked {
            let ms = now.ms.saturating_add(spread(IDLE_MS, now.chance));
            self.not_before = Some(ms);
            self.due = true;
            commands.push(Command::WakeAt { ms });
        }
    }
}

/// Between half of a wait and the whole.
fn spread(wait: u64, chance: u64) -> u64 {
    let half = wait / 2;
    half + chance % (half + 1)
}
