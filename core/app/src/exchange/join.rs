use ed25519_dalek::SigningKey;
use wythe_job::{Certificate, DeviceId};
use wythe_store::{Identity, Kept, Log};
use wythe_sync::wire::{Enrol, Renew, Reply, Request};
use wythe_sync::{InviteCode, Token, TokenHash};

use super::{Line, OFFICE, TOKEN};
use crate::app::App;
use crate::begin::{Candidate, Enrolment, NewDevice};
use crate::error::AppError;

/// The key and token that this phone asked with, kept before it asks: when the answer is lost, or the
/// process dies, it asks again with the same, and the office gives the same answer.
const ASKING: &str = "exchange/asking";

struct Asking {
    device: DeviceId,
    key: SigningKey,
    secret: [u8; 32],
}

impl<L: Log> App<L> {
    /// Joins a business as one of its phones, with a one-time code of its office.
    ///
    /// # Errors
    /// [`AppError::AlreadyBegun`], [`AppError::NoAnswer`], [`AppError::Office`] with the office's
    /// reason, [`AppError::Store`].
    pub fn join_office(
        &mut self,
        device: &NewDevice,
        code: InviteCode,
        line: &mut dyn Line,
    ) -> Result<(), AppError> {
        if self.log.identity()?.is_some() {
            return Err(AppError::AlreadyBegun);
        }
        let asking = self.asking(None)?;
        let request = Request::Enrol(Enrol::sign(
            code,
            asking.device,
            &asking.key,
            TokenHash::of(&asking.secret),
            &device.device_name,
        ));
        let Reply::Enrolled(enrolled) = ask(line, &request)? else {
            return Err(AppError::office(
                "unreadable",
                "the office answered something else",
            ));
        };
        let certificate = Certificate::decode(&enrolled.certificate)?;
        let office = Certificate::decode(&enrolled.office_certificate)?;
        let of_phone = certificate.chain().device == asking.device
            && certificate.device_key()? == asking.key.verifying_key();
        let of_business = certificate.business() == enrolled.business
            && office.business() == enrolled.business
            && office.fingerprint() == certificate.fingerprint();
        if !of_phone || !of_business {
            return Err(AppError::office(
                "bad_proof",
                "the certificate is not this phone's",
            ));
        }
        let enrolment = Enrolment {
            business: enrolled.business,
            business_name: enrolled.business_name,
            fingerprint: certificate.fingerprint(),
            certificate,
            facts: Vec::new(),
            person: Some(enrolled.person),
        };
        let wrapped = self.services.keys.wrap(&asking.secret);
        let candidate = Candidate {
            device: asking.device,
            key: asking.key,
        };
        let with = vec![
            Kept::setting(TOKEN, Some(wrapped)),
            Kept::setting(OFFICE, Some(office.bytes().to_vec())),
            Kept::setting(ASKING, None),
        ];
        self.settle_in(&candidate, &enrolment, device, with)?;
        self.introduce(device)
    }

    /// Has the office certify a new key when this store was put back, copied or salvaged, or know this
    /// phone again after the office was put back.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], [`AppError::KeyClosed`], [`AppError::NoAnswer`], [`AppError::Office`],
    /// [`AppError::Store`].
    pub fn renew(&mut self, line: &mut dyn Line) -> Result<(), AppError> {
        let mut whose = self.whose()?;
        let identity = self.log.identity()?.ok_or(AppError::NotBegun)?;
        let old = self.services.keys.open(&identity.wrapped_key);
        let old = SigningKey::from_bytes(&old.ok_or(AppError::KeyClosed)?);
        let keeps_key = self.log.stale()?.is_none().then(|| old.clone());
        let mut asking = self.asking(keeps_key)?;
        asking.device = identity.device;
        let held = hex::decode(&whose.certificate).map_err(|_| AppError::NotBegun)?;
        let token = TokenHash::of(&asking.secret);
        let request = Request::Renew(Renew::sign(&held, &old, &asking.key, token));
        let Reply::Renewed(renewed) = ask(line, &request)? else {
            return Err(AppError::office(
                "unreadable",
                "the office answered something else",
            ));
        };
        let certificate = Certificate::decode(&renewed.certificate)?;
        let before = Certificate::decode(&held)?;
        let of_phone = certificate.chain().device == asking.device
            && certificate.device_key()? == asking.key.verifying_key()
            && certificate.fingerprint() == before.fingerprint();
        if !of_phone {
            return Err(AppError::office(
                "bad_proof",
                "the certificate is not this phone's",
            ));
        }
        whose.certificate = hex::encode(certificate.bytes());
        let with = vec![
            Kept::setting(TOKEN, Some(self.services.keys.wrap(&asking.secret))),
            Kept::setting(OFFICE, Some(renewed.office_certificate)),
            Kept::setting(ASKING, None),
            whose.kept(),
        ];
        let identity = Identity {
            device: identity.device,
            epoch: certificate.chain().epoch,
            wrapped_key: self.services.keys.wrap(&asking.key.to_bytes()),
        };
        Ok(self.log.set_identity_with(&identity, with)?)
    }

    /// What this phone asks with: kept from the last time, or made now.
    fn asking(&mut self, key: Option<SigningKey>) -> Result<Asking, AppError> {
        if let Some(held) = self
            .log
            .setting(ASKING)?
            .as_deref()
            .and_then(|held| self.read_asking(held))
        {
            // A renewal that keeps its key goes on with that one.
            return Ok(match key {
                Some(key) => Asking { key, ..held },
                None => held,
            });
        }
        let token = Token {
            business: wythe_job::BusinessId([0; 16]),
            secret: self.chance(),
        };
        let asking = Asking {
            device: DeviceId(self.chance()),
            key: key.unwrap_or_else(|| SigningKey::from_bytes(&self.chance())),
            secret: token.secret,
        };
        let wrapped = [asking.key.to_bytes(), asking.secret].map(|secret| self.services.keys.wrap(&secret));
        let kept = (asking.device, wrapped.map(minicbor::bytes::ByteVec::from));
        self.log
            .set_setting(ASKING, Some(&wythe_job::canonical::encode(&kept)))?;
        Ok(asking)
    }

    fn read_asking(&self, bytes: &[u8]) -> Option<Asking> {
        type Held = (DeviceId, [minicbor::bytes::ByteVec; 2]);
        let (device, [key, secret]): Held =
            wythe_job::canonical::decode("what was asked with", bytes).ok()?;
        Some(Asking {
            device,
            key: SigningKey::from_bytes(&self.services.keys.open(&key)?),
            secret: self.services.keys.open(&secret)?,
        })
    }
}

fn ask(line: &mut dyn Line, request: &Request) -> Result<Reply, AppError> {
    let bytes = line.send(None, &request.encode()).ok_or(AppError::NoAnswer)?;
    match Reply::decode(&bytes) {
        Ok((Reply::Refused(refused), _)) => Err(AppError::office(refused.code.name(), &refused.reason)),
        Ok((reply, _)) => Ok(reply),
        Err(_) => Err(AppError::NoAnswer),
    }
}
