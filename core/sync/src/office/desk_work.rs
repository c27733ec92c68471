use wythe_job::{
    Body, BusinessId, DeviceCertified, DeviceId, DeviceRevoked, Fact, FactId, OfficeEpoch, PersonId, Stream,
};

use super::intake::{Brought, Intake, Outcome};
use super::storage::{Access, Grant, Invite, ObjectKey};
use super::{Office, Stop};
use crate::token::InviteCode;
use crate::trouble::Trouble;
use crate::wire::Code;

/// An invitation to make.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NewInvite {
    /// Whose phone it will be.
    pub person: PersonId,
    /// The lost phone whose jobs it gets.
    pub replaces: Option<DeviceId>,
    /// How long the code holds, in milliseconds.
    pub lasts_ms: i64,
}

/// What is done at the desk, each in one transaction.
impl Office<'_> {
    /// Takes in facts that were recorded at the desk and signed by the office's device.
    ///
    /// # Errors
    /// [`Trouble`]; nothing is taken.
    pub fn enter(&mut self, business: BusinessId, facts: &[Fact]) -> Result<Outcome, Trouble> {
        let facts: Vec<Vec<u8>> = facts.iter().map(Fact::encode).collect();
        let outcome = self.with_intake(business, |intake| {
            intake.take(Brought {
                carrier: intake.house.keeper.chain,
                apart: false,
                facts: &facts,
            })
        })?;
        for digest in &outcome.unnamed {
            self.objects.remove(ObjectKey {
                business,
                digest: *digest,
            })?;
        }
        Ok(outcome)
    }

    /// Records something at the desk, signed by the office's device.
    ///
    /// # Errors
    /// [`Trouble`]; nothing is recorded.
    pub fn record(&mut self, business: BusinessId, stream: Stream, body: Body) -> Result<Fact, Trouble> {
        let salt = self.chance();
        self.with_intake(business, |intake| intake.record(stream, body, salt))
    }

    /// Makes a one-time code.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn invite(&mut self, business: BusinessId, new: NewInvite) -> Result<InviteCode, Trouble> {
        let code = InviteCode(self.chance());
        let ends_ms = self.now.utc_ms.saturating_add(new.lasts_ms);
        self.with_intake(business, |intake| {
            Ok(intake.desk.put_invite(&Invite {
                code: code.hash(),
                person: new.person,
                replaces: new.replaces,
                ends_ms,
                used: None,
            })?)
        })?;
        Ok(code)
    }

    /// Revokes a phone: what it brings from now on is kept apart, and it is given nothing.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn revoke(&mut self, business: BusinessId, device: DeviceId, reason: &str) -> Result<(), Trouble> {
        let salt = self.chance();
        let body = DeviceRevoked {
            device,
            reason: reason.to_owned(),
        };
        self.with_intake(business, |intake| {
            intake.record(business.into(), body.into(), salt).map(drop)
        })
    }

    /// Gives a phone a job.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn give(&mut self, business: BusinessId, device: DeviceId, stream: Stream) -> Result<(), Trouble> {
        self.with_intake(business, |intake| {
            if intake
                .desk
                .grant(device, stream)?
                .is_some_and(|grant| !grant.withdrawn)
            {
                return Ok(());
            }
            let number = intake.desk.last_number()?.saturating_add(1);
            intake.desk.set_last_number(number)?;
            let grant = Grant {
                stream,
                number,
                withdrawn: false,
            };
            Ok(intake.desk.put_grant(device, grant)?)
        })
    }

    /// Takes a job away from a phone: it may still send what it has, and is given nothing of the job.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn withdraw(
        &mut self,
        business: BusinessId,
        device: DeviceId,
        stream: Stream,
    ) -> Result<(), Trouble> {
        self.with_intake(business, |intake| {
            let number = intake.desk.last_number()?;
            let grant = Grant {
                stream,
                number,
                withdrawn: true,
            };
            Ok(intake.desk.put_grant(device, grant)?)
        })
    }

    /// Takes facts that were kept apart into their jobs, as somebody in the office decided. They come
    /// after everything that is there.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn release(&mut self, business: BusinessId, ids: &[FactId]) -> Result<Outcome, Trouble> {
        self.with_intake(business, |intake| intake.release(ids))
    }

    /// Begins a life of the books: when they are new, and again after they were put back from a copy.
    /// The house that acts then must have a new epoch of its own, with a new key: what it signed since
    /// the copy was made is on the phones.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn begin_epoch(&mut self, business: BusinessId) -> Result<OfficeEpoch, Trouble> {
        let epoch = OfficeEpoch(self.chance());
        let salt = self.chance();
        self.with_intake(business, |intake| {
            intake.desk.put_epoch(epoch)?;
            let body = DeviceCertified {
                certificate: intake.house.certificate.bytes().to_vec(),
            };
            intake.record(business.into(), body.into(), salt)?;
            Ok(epoch)
        })
    }

    fn with_intake<T>(
        &mut self,
        business: BusinessId,
        work: impl FnOnce(&mut Intake<'_>) -> Result<T, Stop>,
    ) -> Result<T, Trouble> {
        let house = self.house(business).map_err(told)?;
        let mut desk = self.storage.begin(business, Access::Write)?;
        let done = work(&mut Intake::new(&house, &mut *desk, self.now)).map_err(told)?;
        desk.commit()?;
        Ok(done)
    }
}

fn told(stop: Stop) -> Trouble {
    match stop {
        Stop::Trouble(trouble) => trouble,
        Stop::Refused(code, reason) => Trouble::new(Code::name(code), reason),
    }
}
