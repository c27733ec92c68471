use ed25519_dalek::VerifyingKey;
use wythe_job::{Certificate, Chain, DeviceCertified, DeviceId, LibraryKept, Stream};

use super::intake::{Intake, PHONE, phone_content};
use super::storage::{Access, Desk, Device, Invite};
use super::{House, Office, Stop};
use crate::token::{InviteCode, TokenHash};
use crate::wire::{Code, Enrol, Enrolled, Renew, Renewed};

const BAD_CODE: Stop = Stop::Refused(
    Code::BadCode,
    "the code is unknown, was used, or is past its time; ask the office for another",
);
const BAD_PROOF: Stop = Stop::Refused(
    Code::BadProof,
    "the keys were not proven, or the certificate is none of this business",
);

/// A key that is to be certified.
struct Candidate<'a> {
    device: DeviceId,
    key: VerifyingKey,
    token: TokenHash,
    name: &'a str,
}

impl Office<'_> {
    /// Takes a phone in. A phone whose answer was lost asks again and gets the same.
    pub(super) fn enrol(&mut self, it: &Enrol) -> Result<Enrolled, Stop> {
        let key = VerifyingKey::from_bytes(&it.device_key).map_err(|_| BAD_PROOF)?;
        if !it.is_proven() {
            return Err(BAD_PROOF);
        }
        let code = InviteCode(it.code).hash();
        let business = self.storage.business_of_code(code)?.ok_or(BAD_CODE)?;
        let house = self.house(business)?;
        let salts = [self.chance(), self.chance()];
        let mut desk = self.storage.begin(business, Access::Write)?;
        let invite = desk.invite(code)?.ok_or(BAD_CODE)?;
        let asks = (it.device, it.device_key, it.token);
        let enrolled = |certificate: &Certificate| Enrolled {
            business,
            business_name: house.name.clone(),
            certificate: certificate.bytes().to_vec(),
            office_certificate: house.certificate.bytes().to_vec(),
            person: invite.person,
        };
        match &invite.used {
            Some(used) if *used == asks => {
                let held = certified(&mut *desk, it.device, &key)?;
                return held.as_ref().map(enrolled).ok_or(BAD_CODE);
            }
            Some(_) => return Err(BAD_CODE),
            None if self.now.utc_ms >= invite.ends_ms => return Err(BAD_CODE),
            // Another phone's name cannot be taken with a code of one's own.
            None if desk.device(it.device)?.is_some() => return Err(BAD_PROOF),
            None => {}
        }
        let mut intake = Intake::new(&house, &mut *desk, self.now);
        let candidate = Candidate {
            device: it.device,
            key,
            token: it.token,
            name: &it.name,
        };
        let certificate = certify(&mut intake, &house, &candidate, salts[0])?;
        settle(&mut intake, &candidate, &invite, salts[1])?;
        desk.put_invite(&Invite {
            used: Some(asks),
            ..invite.clone()
        })?;
        desk.commit()?;
        Ok(enrolled(&certificate))
    }

    /// Certifies the key that a phone goes on with, or knows a phone again after a restore.
    pub(super) fn renew(&mut self, it: &Renew) -> Result<Renewed, Stop> {
        let held = Certificate::decode(&it.certificate).map_err(|_| BAD_PROOF)?;
        let key = VerifyingKey::from_bytes(&it.device_key).map_err(|_| BAD_PROOF)?;
        let house = self.house(held.business())?;
        let of_house = held.fingerprint() == house.certificate.fingerprint();
        let chain = held.chain();
        // Nobody becomes the office by renewing.
        let of_office = chain.device == house.keeper.chain.device;
        if !of_house || of_office || !it.is_proven(&held.device_key()?) {
            return Err(BAD_PROOF);
        }
        let salts = [self.chance(), self.chance()];
        let mut desk = self.storage.begin(held.business(), Access::Write)?;
        let known = desk.device(chain.device)?;
        // A revoked phone is given no new key. With the one it has it is known again, and stays revoked:
        // what it still holds must find its way to where it is kept apart.
        let new_key = key != held.device_key()?;
        if new_key && known.as_ref().is_some_and(|device| device.revoked) {
            return Err(Stop::Refused(
                Code::Revoked,
                "this phone was revoked; enrol another",
            ));
        }
        let mut intake = Intake::new(&house, &mut *desk, self.now);
        if intake.desk.certificate(chain)?.is_none() {
            // Books that were put back have lost it; the other phones need it too.
            announce(&mut intake, &held, salts[0])?;
        }
        let candidate = Candidate {
            device: chain.device,
            key,
            token: it.token,
            name: held.name(),
        };
        let certificate = match certified(intake.desk, chain.device, &key)? {
            Some(certificate) => certificate,
            None => certify(&mut intake, &house, &candidate, salts[1])?,
        };
        if known.is_none() {
            intake.desk.put_device(&Device {
                device: chain.device,
                person: None,
                name: held.name().to_owned(),
                revoked: false,
            })?;
        }
        intake.desk.put_token(it.token, chain.device)?;
        intake.give_also(chain.device, house.business().into());
        intake.give()?;
        desk.commit()?;
        Ok(Renewed {
            certificate: certificate.bytes().to_vec(),
            office_certificate: house.certificate.bytes().to_vec(),
        })
    }
}

/// The certificate of a device's key, if it has one.
fn certified(desk: &mut dyn Desk, device: DeviceId, key: &VerifyingKey) -> Result<Option<Certificate>, Stop> {
    let all = desk.certificates_of(device)?;
    Ok(all
        .into_iter()
        .find(|certificate| certificate.device_key().is_ok_and(|held| held == *key)))
}

/// Certifies a key for the device's next epoch, and says so in the business's stream.
fn certify(
    intake: &mut Intake<'_>,
    house: &House,
    candidate: &Candidate<'_>,
    salt: [u8; 16],
) -> Result<Certificate, Stop> {
    let held = intake.desk.certificates_of(candidate.device)?;
    let last = held.iter().map(|certificate| certificate.chain().epoch).max();
    let chain = Chain {
        device: candidate.device,
        epoch: last.unwrap_or(0).saturating_add(step(intake.desk)?),
    };
    let certificate = Certificate::issue(
        house.business(),
        &house.business_key,
        chain,
        &candidate.key,
        intake.now,
        candidate.name,
    )
    .map_err(|_| BAD_PROOF)?;
    announce(intake, &certificate, salt)?;
    Ok(certificate)
}

/// Says in the business's stream that a device is its own.
fn announce(intake: &mut Intake<'_>, certificate: &Certificate, salt: [u8; 16]) -> Result<(), Stop> {
    let body = DeviceCertified {
        certificate: certificate.bytes().to_vec(),
    };
    let business = intake.house.business();
    intake.record(business.into(), body.into(), salt).map(drop)
}

/// How far the next epoch of a device lies from the last one known. In books that were put back, epochs
/// given since the copy was made are forgotten, and none may be given twice with two keys: there it is
/// a step that no other life of the books is likely to take.
fn step(desk: &mut dyn Desk) -> Result<u32, Stop> {
    if desk.epochs()?.len() < 2 {
        return Ok(1);
    }
    let [a, b, c, ..] = super::exchange::current(desk)?.0;
    Ok(1 + u32::from_be_bytes([0, a & 0x0f, b, c]))
}

/// Writes down whose phone it is, lets its token in, and gives it its streams.
fn settle(
    intake: &mut Intake<'_>,
    candidate: &Candidate<'_>,
    invite: &Invite,
    salt: [u8; 16],
) -> Result<(), Stop> {
    let business: Stream = intake.house.business().into();
    intake.desk.put_device(&Device {
        device: candidate.device,
        person: Some(invite.person),
        name: candidate.name.to_owned(),
        revoked: false,
    })?;
    intake.desk.put_token(candidate.token, candidate.device)?;
    let body = LibraryKept {
        sort: PHONE.to_owned(),
        id: candidate.device.to_string(),
        content: phone_content(invite.person, candidate.name),
        gone: false,
    };
    intake.record(business, body.into(), salt)?;
    intake.give_also(candidate.device, business);
    if let Some(lost) = invite.replaces {
        for grant in intake.desk.grants(lost)?.iter().filter(|grant| !grant.withdrawn) {
            intake.give_also(candidate.device, grant.stream);
        }
    }
    intake.give()
}
