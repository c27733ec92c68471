use std::collections::BTreeSet;

use wythe_job::{ArrivalRecord, Body, Certificate, Digest, Fact, FactId, Original, Refusal, digest_of};

use super::{
    Command, Errand, Flight, Keeping, Now, Phone, PhoneStore, Report, Sent, SetAside, State, Upload, Wanted,
};
use crate::limits::{MAX_BATCH_BYTES, MAX_PIECE_BYTES, MAX_WRONG};
use crate::trouble::Trouble;
use crate::wire::{Bytes, Code, Exchanged, Fetched, HeldSoFar, Refused, Reply, Standing, Taken};

/// Reasons of the office that may pass: the fact is offered again at the next start.
const PASSING: &[&str] = &[
    "unknown_device",
    "aside_full",
    "unknown_version",
    "unknown_algorithm",
];

/// What the office's answer says of the facts that were sent.
struct Verdict {
    /// Safe, whether new, known before, or kept apart.
    safe: Vec<FactId>,
    record: Option<(ArrivalRecord, Vec<FactId>)>,
    refused: Vec<SetAside>,
    apart: usize,
    believed: bool,
}

impl Phone {
    pub(super) fn answered(
        &mut self,
        flight: Flight,
        bytes: &[u8],
        now: Now,
        store: &mut dyn PhoneStore,
        commands: &mut Vec<Command>,
    ) -> Result<(), Trouble> {
        let done = match (Reply::decode(bytes), flight.what) {
            (Ok((Reply::Exchanged(reply), _)), Errand::Exchange(sent)) => {
                self.exchanged(reply, sent, store, commands)?
            }
            (Ok((Reply::Held(held), _)), Errand::Piece { what }) => {
                self.piece_taken(held, what, store, commands)?
            }
            (Ok((Reply::Fetched(fetched), raw)), Errand::Fetch { what, at }) => {
                self.fetched(fetched, raw, what, at, store)?
            }
            (Ok((Reply::Refused(refused), _)), errand) => self.refused(&refused, &errand, commands),
            // It broke off, or answers something else.
            _ => false,
        };
        if done {
            self.succeed();
        } else if self.running {
            self.fail(now, commands);
        }
        Ok(())
    }

    /// Takes an exchange's answer. All of it is kept in one transaction, the cursor with the facts.
    fn exchanged(
        &mut self,
        reply: Exchanged,
        sent: Sent,
        store: &mut dyn PhoneStore,
        commands: &mut Vec<Command>,
    ) -> Result<bool, Trouble> {
        let state = self.load(store)?;
        let mut keeping = Keeping::default();
        self.receive(&reply.facts, store, &mut keeping)?;
        self.receive_again(&reply.again, store, &mut keeping)?;
        let Some(verdict) = self.verdict(&reply.taken, &sent.facts) else {
            commands.push(Command::Report(Report::Disbelieved));
            return Ok(false);
        };
        keeping.safe_facts.clone_from(&verdict.safe);
        keeping.record.clone_from(&verdict.record);
        let passing = |aside: &SetAside| PASSING.contains(&aside.reason.as_str());
        let for_good = verdict.refused.iter().filter(|aside| !passing(aside));
        keeping.aside.extend(for_good.cloned());
        let ships = sent.originals.iter().zip(&reply.originals);
        for (what, _) in ships.clone().filter(|(_, held)| held.safe) {
            keeping.safe_originals.push(what.digest);
            keeping.no_longer_want.push(what.digest);
        }
        let after = self.state_after(state, &reply, &sent);
        if after != state || !keeping.is_empty() {
            keeping.state = Some(after);
            store.commit(&keeping)?;
        }
        self.state = Some(after);
        self.remember(state, &reply, &sent, &verdict);
        for (what, held) in ships {
            self.plan_upload(*what, *held);
        }
        self.tell(&keeping, &verdict, state, after, commands);
        self.grow_batch();
        self.set_due(&reply, &sent, after, store)?;
        Ok(verdict.believed)
    }

    /// Checks facts that came, and sorts them into what is kept and what is set aside.
    fn receive(
        &mut self,
        facts: &[Bytes],
        store: &dyn PhoneStore,
        keeping: &mut Keeping,
    ) -> Result<(), Trouble> {
        for Bytes(bytes) in facts {
            let fact = match self.check(bytes) {
                Ok(fact) => fact,
                Err((id, why)) => {
                    keeping.aside.push(SetAside {
                        id,
                        reason: why.code().to_owned(),
                        incoming: true,
                    });
                    continue;
                }
            };
            let body = fact.body();
            let preview = body.as_ref().and_then(preview_of);
            for what in body.iter().flat_map(Body::originals).map(wanted) {
                // One that is here is offered: this store may have lost that it was still to be sent.
                if store.has_original(what.digest)? || preview == Some(what.digest) {
                    keeping.want.push(what);
                }
            }
            keeping.facts.push(fact);
        }
        Ok(())
    }

    /// The same for facts that were set aside and asked for once more.
    fn receive_again(
        &mut self,
        facts: &[Bytes],
        store: &dyn PhoneStore,
        keeping: &mut Keeping,
    ) -> Result<(), Trouble> {
        let before = keeping.facts.len();
        self.receive(facts, store, keeping)?;
        let good = keeping.facts.iter().skip(before).map(Fact::id);
        keeping.no_longer_aside = good.collect();
        Ok(())
    }

    fn check(&mut self, bytes: &[u8]) -> Result<Fact, (FactId, Refusal)> {
        let fact = Fact::decode(bytes).map_err(|why| (FactId(digest_of(bytes).0), why))?;
        // A certificate stands by itself, and may be the one under which its own fact is signed.
        if let Some(Body::DeviceCertified(body)) = fact.body()
            && let Ok(certificate) = Certificate::decode(&body.certificate)
        {
            // One that another key signed certifies nothing here.
            let _passed_over = self.who.trust.add(certificate);
        }
        fact.verify_in(&self.who.trust).map_err(|why| (fact.id(), why))?;
        Ok(fact)
    }

    /// What became of the facts that were sent; none when the answer contradicts itself.
    fn verdict(&self, taken: &Taken, sent: &[FactId]) -> Option<Verdict> {
        let at = |place: u32| sent.get(usize::try_from(place).ok()?).copied();
        let mut named = BTreeSet::new();
        let mut verdict = Verdict {
            safe: Vec::new(),
            record: None,
            refused: Vec::new(),
            apart: taken.aside.len(),
            believed: true,
        };
        for place in taken.known.iter().chain(&taken.aside) {
            verdict.safe.push(at(*place)?);
            named.insert(at(*place)?);
        }
        for not_taken in &taken.refused {
            let id = at(not_taken.place)?;
            named.insert(id);
            verdict.refused.push(SetAside {
                id,
                reason: not_taken.code.clone(),
                incoming: false,
            });
        }
        let new: Vec<FactId> = sent.iter().filter(|id| !named.contains(*id)).copied().collect();
        if new.is_empty() {
            return taken.record.is_none().then_some(verdict);
        }
        let record = ArrivalRecord::decode(&taken.record.as_ref()?.0).ok()?;
        match record.check(&new, &self.who.trust) {
            Ok(()) if record.office().device == self.who.office => {
                verdict.safe.extend(&new);
                verdict.record = Some((record, new));
            }
            // A restored office signs with a key that this phone has not heard of yet: its word counts
            // once the certificate has come.
            Err(Refusal::ForeignRecord) if record.office().device == self.who.office => {
                verdict.believed = false;
            }
            _ => return None,
        }
        Some(verdict)
    }

    /// Where the phone is when the answer is kept.
    fn state_after(&self, state: State, reply: &Exchanged, sent: &Sent) -> State {
        let mut after = state;
        if reply.standing == Standing::InOrder {
            after.cursor = reply.cursor;
        }
        if after.office != reply.office {
            after.office = reply.office;
            // At the first meeting everything waits anyway.
            after.offering = state.has_met().then_some(0);
        } else if let Some(held) = &sent.held
            && state.offering == Some(held.until)
        {
            // Nothing was left to offer.
            after.offering = None;
        }
        after
    }

    /// Takes what was kept into memory.
    fn remember(&mut self, before: State, reply: &Exchanged, sent: &Sent, verdict: &Verdict) {
        self.revoked = reply.standing == Standing::Revoked;
        self.skipped.extend(verdict.refused.iter().map(|aside| aside.id));
        self.ask_again.clear();
        if before.office != reply.office {
            self.again = super::Again::default();
            return;
        }
        let answered =
            |id: &FactId| verdict.safe.contains(id) || verdict.refused.iter().any(|aside| aside.id == *id);
        self.again.facts.retain(|id| !answered(id));
        self.again.originals.retain(|what| !sent.originals.contains(what));
        if let Some(held) = &sent.held
            && before.offering != Some(held.until)
        {
            self.again.until = Some(held.until);
            self.again.facts = reply.lacking.iter().copied().collect();
            self.again.originals = held.originals.iter().copied().collect();
        }
    }

    fn plan_upload(&mut self, what: Wanted, held: HeldSoFar) {
        match held.refused {
            None if held.safe => {}
            None => self.uploads.push_back(Upload {
                what,
                there: held.bytes,
            }),
            Some(code) => {
                self.came_out_wrong(what, code);
                if code == Code::WrongBytes && !self.is_left_alone(what) {
                    self.uploads.push_back(Upload { what, there: 0 });
                }
            }
        }
    }

    /// Takes note that an original was not taken. One whose bytes are wrong may come out right if it is
    /// sent again, a few times; anything else can change only with time.
    fn came_out_wrong(&mut self, what: Wanted, code: Code) {
        if code == Code::WrongBytes {
            let times = self.wrong.entry(what.digest).or_default();
            *times = times.saturating_add(1);
        } else {
            self.later.insert(what.digest);
        }
    }

    fn tell(
        &self,
        keeping: &Keeping,
        verdict: &Verdict,
        before: State,
        after: State,
        commands: &mut Vec<Command>,
    ) {
        let mut say = |report| commands.push(Command::Report(report));
        if before.has_met() && before.office != after.office {
            say(Report::OfferingAgain);
        }
        if !keeping.facts.is_empty() {
            say(Report::Received(keeping.facts.len()));
        }
        let (facts, originals) = (keeping.safe_facts.len(), keeping.safe_originals.len());
        if facts + originals > 0 {
            say(Report::Safe { facts, originals });
        }
        if verdict.apart > 0 {
            say(Report::KeptApart(verdict.apart));
        }
        for aside in &keeping.aside {
            say(Report::SetAside(aside.clone()));
        }
        if self.revoked {
            say(Report::Revoked);
        }
    }

    fn grow_batch(&mut self) {
        self.batch_bytes = self.batch_bytes.saturating_mul(2).min(MAX_BATCH_BYTES);
    }

    /// Whether another exchange is due at once.
    fn set_due(
        &mut self,
        reply: &Exchanged,
        sent: &Sent,
        after: State,
        store: &mut dyn PhoneStore,
    ) -> Result<(), Trouble> {
        self.due = reply.more || sent.more || !self.again.facts.is_empty();
        if !self.due && self.uploads.is_empty() {
            self.originals_done(after, store)?;
        }
        Ok(())
    }

    /// No original is on its way: whether there are others to ask about, or more to offer again.
    fn originals_done(&mut self, state: State, store: &mut dyn PhoneStore) -> Result<(), Trouble> {
        let originals = self.again.originals.iter().copied();
        let (left_alone, open): (Vec<_>, Vec<_>) = originals.partition(|what| self.is_left_alone(*what));
        let worked_off = self.again.facts.is_empty() && open.is_empty();
        if let Some(until) = self.again.until.filter(|_| worked_off) {
            let after = State {
                offering: Some(until),
                ..state
            };
            // What the office did not take now is asked about in later runs, and holds up nothing else.
            store.commit(&Keeping {
                state: Some(after),
                want: left_alone,
                ..Keeping::default()
            })?;
            self.state = Some(after);
            self.again = super::Again::default();
        }
        let offering = self.state.is_some_and(|state| state.offering.is_some());
        self.due = offering || !self.originals_to_ask(store)?.is_empty();
        Ok(())
    }

    fn piece_taken(
        &mut self,
        held: HeldSoFar,
        what: Wanted,
        store: &mut dyn PhoneStore,
        commands: &mut Vec<Command>,
    ) -> Result<bool, Trouble> {
        let Some(upload) = self.uploads.front_mut().filter(|upload| upload.what == what) else {
            return Ok(true);
        };
        if held.safe {
            store.commit(&Keeping {
                safe_originals: vec![what.digest],
                no_longer_want: vec![what.digest],
                ..Keeping::default()
            })?;
            commands.push(Command::Report(Report::Safe {
                facts: 0,
                originals: 1,
            }));
            self.uploads.pop_front();
        } else if let Some(code) = held.refused {
            self.came_out_wrong(what, code);
            if let Some(upload) = self.uploads.pop_front()
                && !self.is_left_alone(what)
            {
                self.uploads.push_front(Upload { there: 0, ..upload });
            }
        } else {
            let moved = held.bytes > upload.there;
            upload.there = held.bytes;
            if !moved {
                return Ok(false);
            }
        }
        self.piece_bytes = self.piece_bytes.saturating_mul(2).min(MAX_PIECE_BYTES);
        if self.uploads.is_empty() {
            let state = self.load(store)?;
            self.originals_done(state, store)?;
        }
        Ok(true)
    }

    /// Keeps bytes that were fetched, as many as came.
    fn fetched(
        &mut self,
        fetched: Fetched,
        raw: &[u8],
        what: Wanted,
        at: u64,
        store: &mut dyn PhoneStore,
    ) -> Result<bool, Trouble> {
        if fetched.digest != what.digest || fetched.at != at || fetched.bytes != what.bytes {
            self.came_out_wrong(what, Code::OtherLength);
            return Ok(true);
        }
        let there = if raw.is_empty() {
            store.arrived(what.digest)?
        } else {
            store.arrive(what.digest, at, raw)?
        };
        if there < what.bytes {
            return Ok(!raw.is_empty());
        }
        if store.finish(what.digest)? {
            store.commit(&Keeping {
                no_longer_want: vec![what.digest],
                ..Keeping::default()
            })?;
        } else {
            self.came_out_wrong(what, Code::WrongBytes);
        }
        self.piece_bytes = self.piece_bytes.saturating_mul(2).min(MAX_PIECE_BYTES);
        Ok(true)
    }

    /// Takes a refusal; the answer is whether to go on at once.
    fn refused(&mut self, refused: &Refused, errand: &Errand, commands: &mut Vec<Command>) -> bool {
        match (refused.code, errand) {
            // A request that broke off on the way is unreadable there.
            (Code::TryLater | Code::OutOfBounds | Code::Unreadable | Code::Other(_), _) => return false,
            (Code::NotHere, Errand::Fetch { what, .. }) => self.came_out_wrong(*what, refused.code),
            // The job was taken from this phone, or the office was put back and has yet to learn of it:
            // the next run asks again.
            (Code::NotNamed, Errand::Fetch { what, .. }) => {
                self.wrong.insert(what.digest, MAX_WRONG);
            }
            (Code::Revoked, _) => {
                self.revoked = true;
                commands.push(Command::Report(Report::Revoked));
            }
            (code, _) => {
                self.running = false;
                self.give_up_call();
                commands.push(Command::Report(match code {
                    Code::UnknownToken => Report::UnknownToken,
                    code => Report::Refused {
                        code,
                        reason: refused.reason.clone(),
                    },
                }));
            }
        }
        true
    }
}

/// The preview that a fact names.
fn preview_of(body: &Body) -> Option<Digest> {
    let preview = match body {
        Body::PhotoTaken(body) => body.preview.as_ref(),
        Body::PaperAdded(body) => body.preview.as_ref(),
        _ => None,
    };
    preview.map(|preview| preview.digest)
}

pub(super) fn wanted(original: &Original) -> Wanted {
    Wanted {
        digest: original.digest,
        bytes: original.bytes,
    }
}
