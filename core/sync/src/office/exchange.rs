use std::collections::BTreeSet;

use wythe_job::{Fact, FactId, OfficeEpoch, Stream};

use super::intake::{Brought, Intake, Outcome};
use super::storage::{Access, Desk, Device, ObjectKey};
use super::{Office, Stop, admit};
use crate::cursor::Cursor;
use crate::limits::{MAX_BATCH_BYTES, MAX_BATCH_FACTS};
use crate::token::Token;
use crate::trouble::Trouble;
use crate::wire::{Bytes, Code, Exchange, Exchanged, NotTaken, Standing, Taken};

/// The life that the books are in.
pub(super) fn current(desk: &mut dyn Desk) -> Result<OfficeEpoch, Trouble> {
    let epochs = desk.epochs()?;
    let last = epochs.last().copied();
    last.ok_or_else(|| Trouble::new("no_epoch", "the books of this business were never opened"))
}

/// A phone's cursor as it stands in the life that the books are in. One of another life says nothing,
/// not even of facts that are in the copy: that life may have withheld them from the phone, because the
/// job had been taken from it, or moved them past its cursor, and the copy knows of neither.
fn cursor_in(life: OfficeEpoch, of: OfficeEpoch, cursor: Cursor) -> Cursor {
    if of == life { cursor } else { Cursor::default() }
}

impl Office<'_> {
    pub(super) fn exchange(&mut self, token: &Token, it: &Exchange) -> Result<Exchanged, Stop> {
        let house = self.house(it.business)?;
        let writes = !it.facts.is_empty() || !it.held.is_empty();
        let access = if writes { Access::Write } else { Access::Read };
        let mut desk = self.storage.begin(it.business, access)?;
        let device = admit(&mut *desk, token)?;
        if device.device != it.chain.device {
            return Err(Stop::Refused(
                Code::NotYours,
                "the token belongs to another phone",
            ));
        }
        let office = current(&mut *desk)?;
        let mut intake = Intake::new(&house, &mut *desk, self.now);
        let facts: Vec<Vec<u8>> = it.facts.iter().map(|fact| fact.0.clone()).collect();
        let outcome = if facts.is_empty() {
            Outcome::default()
        } else {
            intake.take(Brought {
                carrier: it.chain,
                apart: device.revoked,
                facts: &facts,
            })?
        };
        // Facts that came may have revoked the very phone that brought them.
        let revoked = is_revoked_by_now(&mut intake, &device)?;
        let lacking = lacking(&mut intake, it, revoked)?;
        let mut reply = Exchanged {
            office,
            standing: Standing::InOrder,
            taken: taken(&outcome),
            lacking,
            originals: Vec::new(),
            facts: Vec::new(),
            again: Vec::new(),
            cursor: it.cursor,
            more: false,
        };
        if revoked {
            reply.standing = Standing::Revoked;
        } else {
            deliver(
                &mut *desk,
                it,
                cursor_in(office, it.office, it.cursor),
                &mut reply,
            )?;
        }
        let mut allowed = Vec::new();
        for offered in &it.originals {
            allowed.push(super::originals::may_send(&mut *desk, device.device, offered)?);
        }
        if writes {
            desk.commit()?;
        } else {
            drop(desk);
        }
        for digest in outcome.unnamed {
            self.objects.remove(ObjectKey {
                business: it.business,
                digest,
            })?;
        }
        for (offered, allowed) in it.originals.iter().zip(allowed) {
            let key = ObjectKey {
                business: it.business,
                digest: offered.digest,
            };
            reply.originals.push(match allowed {
                Some(code) => super::originals::refused(code),
                None => super::originals::held(self.objects, key, device.device, offered.bytes)?,
            });
        }
        Ok(reply)
    }
}

fn is_revoked_by_now(intake: &mut Intake<'_>, device: &Device) -> Result<bool, Stop> {
    let now = intake.desk.device(device.device)?;
    Ok(now.is_some_and(|device| device.revoked))
}

fn taken(outcome: &Outcome) -> Taken {
    let refused = outcome.refused.iter().map(|(place, code)| NotTaken {
        place: *place,
        code: (*code).to_owned(),
    });
    Taken {
        known: outcome.known.clone(),
        aside: outcome.aside.clone(),
        refused: refused.collect(),
        record: outcome.record.as_ref().map(|record| Bytes(record.encode())),
    }
}

/// Which of the facts that a phone holds the office lacks. Who holds facts of a job was of it: after a
/// restore the phone is given it again.
fn lacking(intake: &mut Intake<'_>, it: &Exchange, revoked: bool) -> Result<Vec<FactId>, Stop> {
    let business: Stream = it.business.into();
    let mut lacking = Vec::new();
    for id in &it.held {
        match intake.desk.holding(*id)? {
            Some(held) if held.stream != business && !revoked => {
                intake.give_also(it.chain.device, held.stream);
            }
            Some(_) => {}
            None if intake.desk.aside(*id)?.is_some() => {}
            None => lacking.push(*id),
        }
    }
    intake.give()?;
    Ok(lacking)
}

/// Puts what is due into the reply, and where that brings the phone.
fn deliver(desk: &mut dyn Desk, it: &Exchange, cursor: Cursor, reply: &mut Exchanged) -> Result<(), Stop> {
    let room = usize::try_from(it.room)
        .unwrap_or(usize::MAX)
        .min(MAX_BATCH_BYTES);
    let due = desk.due(it.chain, cursor, MAX_BATCH_FACTS, room)?;
    reply.more = due.more;
    reply.cursor = match due.facts.last() {
        Some((at, _)) if due.more => *at,
        _ => cursor.max(Cursor::past(desk.last_number()?)),
    };
    reply.facts = due.facts.into_iter().map(|(_, fact)| Bytes(fact)).collect();
    let given = desk.grants(it.chain.device)?;
    let given = given.iter().filter(|grant| !grant.withdrawn);
    let given: BTreeSet<Stream> = given.map(|grant| grant.stream).collect();
    let mut bytes = 0;
    for id in &it.wanted {
        let found: Option<Fact> = desk.fact(*id)?;
        let Some(fact) = found.filter(|fact| given.contains(&fact.envelope().stream)) else {
            continue;
        };
        let fact = fact.encode();
        bytes += fact.len();
        if !reply.again.is_empty() && (bytes > MAX_BATCH_BYTES || reply.again.len() >= MAX_BATCH_FACTS) {
            break;
        }
        reply.again.push(Bytes(fact));
    }
    Ok(())
}
