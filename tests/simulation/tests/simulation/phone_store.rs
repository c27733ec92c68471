//! A phone's store with faults of its disk, and with planted mistakes.

use std::cell::RefCell;
use std::collections::BTreeSet;

use wythe_app::job::{Digest, Fact, FactId};
use wythe_app::sync::{Keeping, PhoneStore, SetAside, State, Trouble, Wanted};

use crate::chance::Chance;
use crate::mistake::Mistake;

pub struct SimStore<'a> {
    pub inner: &'a mut dyn PhoneStore,
    pub chance: RefCell<&'a mut Chance>,
    pub in_a_thousand: usize,
    pub mistake: Option<Mistake>,
    /// Facts that some phone was told are safe.
    pub acknowledged: &'a mut BTreeSet<FactId>,
}

impl SimStore<'_> {
    fn may_break(&self) -> Result<(), Trouble> {
        match self.chance.borrow_mut().happens(self.in_a_thousand) {
            true => Err(Trouble::new("disk", "the phone's disk did not take it")),
            false => Ok(()),
        }
    }
}

impl PhoneStore for SimStore<'_> {
    fn state(&self) -> Result<Option<State>, Trouble> {
        self.inner.state()
    }

    fn generation(&self) -> Result<[u8; 16], Trouble> {
        self.inner.generation()
    }

    fn waiting_facts(&self, since: u64, limit: u32) -> Result<Vec<(u64, Fact)>, Trouble> {
        self.may_break()?;
        self.inner.waiting_facts(since, limit)
    }

    fn facts_since(&self, since: u64, limit: u32) -> Result<Vec<(u64, Fact)>, Trouble> {
        // Small pages, so that the simulation meets their seams.
        self.inner.facts_since(since, limit.min(7))
    }

    fn fact(&self, id: FactId) -> Result<Option<Fact>, Trouble> {
        self.inner.fact(id)
    }

    fn waiting_originals(&self, limit: u32) -> Result<Vec<Wanted>, Trouble> {
        self.inner.waiting_originals(limit)
    }

    fn has_original(&self, digest: Digest) -> Result<bool, Trouble> {
        self.inner.has_original(digest)
    }

    fn read_original(&self, digest: Digest, at: u64, most: usize) -> Result<Vec<u8>, Trouble> {
        self.may_break()?;
        self.inner.read_original(digest, at, most)
    }

    fn arrived(&self, digest: Digest) -> Result<u64, Trouble> {
        self.inner.arrived(digest)
    }

    fn arrive(&mut self, digest: Digest, at: u64, bytes: &[u8]) -> Result<u64, Trouble> {
        if self.may_break().is_err() {
            // A part of it may be there.
            let part = self.chance.borrow_mut().below(bytes.len() + 1);
            self.inner.arrive(digest, at, &bytes[..part])?;
            return Err(Trouble::new("disk", "the phone's disk did not take it"));
        }
        self.inner.arrive(digest, at, bytes)
    }

    fn finish(&mut self, digest: Digest) -> Result<bool, Trouble> {
        self.may_break()?;
        self.inner.finish(digest)
    }

    fn set_aside(&self) -> Result<Vec<SetAside>, Trouble> {
        self.inner.set_aside()
    }

    fn wanted(&self) -> Result<Vec<Wanted>, Trouble> {
        self.inner.wanted()
    }

    fn commit(&mut self, keeping: &Keeping) -> Result<(), Trouble> {
        if self.mistake == Some(Mistake::CursorBeforeFacts) {
            self.inner.commit(&Keeping {
                state: keeping.state,
                ..Keeping::default()
            })?;
        }
        self.may_break()?;
        self.inner.commit(keeping)?;
        self.acknowledged.extend(&keeping.safe_facts);
        // It was done, and nobody is told.
        self.may_break()
    }
}
