use ed25519_dalek::SigningKey;
use wythe_job::{
    BusinessId, Certificate, Chain, DeviceCertified, DeviceId, Fact, Fingerprint, LibraryKept, PersonId,
};
use wythe_store::{Identity, Kept, Log};

use crate::app::{App, Whose};
use crate::error::AppError;

/// What a device needs to be told about itself when it begins.
#[derive(Debug, Clone)]
pub struct NewDevice {
    /// The person who will use it.
    pub person_name: String,
    /// The person's role.
    pub role: String,
    /// What the device is called.
    pub device_name: String,
}

/// What the office gives a device that it takes in.
#[derive(Debug, Clone)]
pub struct Enrolment {
    /// The business.
    pub business: BusinessId,
    /// Its name.
    pub business_name: String,
    /// Its key's fingerprint.
    pub fingerprint: Fingerprint,
    /// The device's certificate.
    pub certificate: Certificate,
    /// The business's own stream.
    pub facts: Vec<Fact>,
    /// Whose device it is, where the office says so.
    pub person: Option<PersonId>,
}

/// A device that asks to be taken in: its name for itself, and its public key.
pub(crate) struct Candidate {
    pub(crate) device: DeviceId,
    pub(crate) key: SigningKey,
}

impl<L: Log> App<L> {
    /// Begins a business: this store is its office and holds its key.
    ///
    /// # Errors
    /// [`AppError::AlreadyBegun`], [`AppError::Store`].
    pub fn begin_business(&mut self, name: &str, device: &NewDevice) -> Result<Fingerprint, AppError> {
        let candidate = self.candidate()?;
        let business = BusinessId(self.chance());
        let business_key = SigningKey::from_bytes(&self.chance());
        let chain = Chain {
            device: candidate.device,
            epoch: 1,
        };
        let at = self.services.time.now();
        let public = candidate.key.verifying_key();
        let certificate =
            Certificate::issue(business, &business_key, chain, &public, at, &device.device_name)?;
        self.set_business_key(&business_key)?;
        let fingerprint = certificate.fingerprint();
        let enrolment = Enrolment {
            business,
            business_name: name.to_owned(),
            fingerprint,
            certificate: certificate.clone(),
            facts: Vec::new(),
            person: None,
        };
        self.settle_in(&candidate, &enrolment, device, Vec::new())?;
        let content = serde_json::json!({ "name": name }).to_string();
        let about = LibraryKept {
            sort: "business".to_owned(),
            id: "name".to_owned(),
            content,
            gone: false,
        };
        let certified = DeviceCertified {
            certificate: certificate.bytes().to_vec(),
        };
        self.append(
            business.into(),
            vec![(certified.into(), vec![]), (about.into(), vec![])],
            vec![],
        )?;
        self.introduce(device)?;
        Ok(fingerprint)
    }

    /// Joins a business as one of its devices. `enrol` is the office: it is given the device, its
    /// public key and its name.
    ///
    /// # Errors
    /// [`AppError::AlreadyBegun`], what the office says, [`AppError::Store`].
    pub fn join(
        &mut self,
        device: &NewDevice,
        enrol: impl FnOnce(DeviceId, [u8; 32], &str) -> Result<Enrolment, AppError>,
    ) -> Result<(), AppError> {
        let candidate = self.candidate()?;
        let public = candidate.key.verifying_key().to_bytes();
        let enrolment = enrol(candidate.device, public, &device.device_name)?;
        self.settle_in(&candidate, &enrolment, device, Vec::new())?;
        self.log.receive(&enrolment.facts)?;
        self.introduce(device)
    }

    /// Begins a new epoch of this phone, with a new key: its store was put back from a copy, cloned or
    /// salvaged, and what it recorded since may stand elsewhere under the numbers it would give now.
    /// `enrol` is the office, as for [`App::join`]. What is held stays.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], what the office says, [`AppError::OtherBusiness`], [`AppError::Store`].
    pub fn begin_epoch(
        &mut self,
        enrol: impl FnOnce(DeviceId, [u8; 32], &str) -> Result<Enrolment, AppError>,
    ) -> Result<u32, AppError> {
        let (candidate, mut whose) = self.candidate_again()?;
        let public = candidate.key.verifying_key().to_bytes();
        let enrolment = enrol(candidate.device, public, &whose.device_name)?;
        if enrolment.business != whose.business {
            return Err(AppError::OtherBusiness);
        }
        whose.certificate = hex::encode(enrolment.certificate.bytes());
        let epoch = self.take_identity(&candidate, &enrolment.certificate, vec![whose.kept()])?;
        self.log.receive(&enrolment.facts)?;
        Ok(epoch)
    }

    /// The same for the office itself, which certifies its own key.
    ///
    /// # Errors
    /// [`AppError::NotTheOffice`], [`AppError::Store`].
    pub fn begin_office_epoch(&mut self) -> Result<u32, AppError> {
        let business_key = self.business_key()?;
        let (candidate, mut whose) = self.candidate_again()?;
        let chain = Chain {
            device: candidate.device,
            epoch: self.next_epoch(candidate.device)?,
        };
        let at = self.services.time.now();
        let public = candidate.key.verifying_key();
        let certificate = Certificate::issue(
            whose.business,
            &business_key,
            chain,
            &public,
            at,
            &whose.device_name,
        )?;
        whose.certificate = hex::encode(certificate.bytes());
        let epoch = self.take_identity(&candidate, &certificate, vec![whose.kept()])?;
        let certified = DeviceCertified {
            certificate: certificate.bytes().to_vec(),
        };
        self.record_one(whose.business.into(), certified, Vec::new())?;
        Ok(epoch)
    }

    /// The office takes a device in: certifies its key and hands it the business's stream.
    ///
    /// # Errors
    /// [`AppError::NotTheOffice`], [`AppError::Fact`] for a key that is none, [`AppError::Store`].
    pub fn enrol(&mut self, device: DeviceId, key: [u8; 32], name: &str) -> Result<Enrolment, AppError> {
        let business_key = self.business_key()?;
        let (business, business_name, fingerprint) = self.business()?;
        let key = ed25519_dalek::VerifyingKey::from_bytes(&key).map_err(|_| wythe_job::Refusal::BadKey)?;
        let epoch = self.next_epoch(device)?;
        let at = self.services.time.now();
        let chain = Chain { device, epoch };
        let certificate = Certificate::issue(business, &business_key, chain, &key, at, name)?;
        let body = DeviceCertified {
            certificate: certificate.bytes().to_vec(),
        };
        self.record_one(business.into(), body, Vec::new())?;
        let facts = self.log.facts(business.into())?.iter().cloned().collect();
        Ok(Enrolment {
            business,
            business_name,
            fingerprint,
            certificate,
            facts,
            person: None,
        })
    }

    /// The epoch that a device begins next. After the first it leaves a gap by chance: an office that was
    /// itself put back does not know which it gave, and must not give one twice.
    fn next_epoch(&self, device: DeviceId) -> Result<u32, AppError> {
        let trust = self.trust()?;
        let chains = trust.certificates().map(Certificate::chain);
        let held = chains
            .filter(|chain| chain.device == device)
            .map(|chain| chain.epoch);
        let gap = u32::from(u16::from_be_bytes(self.chance()));
        Ok(held
            .max()
            .map_or(1, |held| held.saturating_add(1).saturating_add(gap)))
    }

    fn candidate(&mut self) -> Result<Candidate, AppError> {
        if self.log.identity()?.is_some() {
            return Err(AppError::AlreadyBegun);
        }
        Ok(Candidate {
            device: DeviceId(self.chance()),
            key: SigningKey::from_bytes(&self.chance()),
        })
    }

    /// This device with a new key, and whose it is.
    fn candidate_again(&mut self) -> Result<(Candidate, Whose), AppError> {
        let device = self.log.identity()?.ok_or(AppError::NotBegun)?.device;
        let candidate = Candidate {
            device,
            key: SigningKey::from_bytes(&self.chance()),
        };
        Ok((candidate, self.whose()?))
    }

    pub(crate) fn settle_in(
        &mut self,
        candidate: &Candidate,
        enrolment: &Enrolment,
        device: &NewDevice,
        with: Vec<Kept>,
    ) -> Result<(), AppError> {
        let whose = Whose {
            business: enrolment.business,
            business_name: enrolment.business_name.clone(),
            fingerprint: enrolment.fingerprint.to_string(),
            person: enrolment.person.unwrap_or_else(|| PersonId(self.chance())),
            person_name: device.person_name.clone(),
            device_name: device.device_name.clone(),
            certificate: hex::encode(enrolment.certificate.bytes()),
        };
        self.set_whose(&whose)?;
        self.take_identity(candidate, &enrolment.certificate, with)?;
        Ok(())
    }

    fn take_identity(
        &mut self,
        candidate: &Candidate,
        certificate: &Certificate,
        with: Vec<Kept>,
    ) -> Result<u32, AppError> {
        let epoch = certificate.chain().epoch;
        let identity = Identity {
            device: candidate.device,
            epoch,
            wrapped_key: self.services.keys.wrap(&candidate.key.to_bytes()),
        };
        self.log.set_identity_with(&identity, with)?;
        Ok(epoch)
    }

    /// Writes the person into the business's stream.
    pub(crate) fn introduce(&mut self, device: &NewDevice) -> Result<(), AppError> {
        let whose = self.whose()?;
        let content = serde_json::json!({ "name": whose.person_name, "role": device.role }).to_string();
        let body = LibraryKept {
            sort: "person".to_owned(),
            id: whose.person.to_string(),
            content,
            gone: false,
        };
        self.record_one(whose.business.into(), body, Vec::new())?;
        Ok(())
    }
}
