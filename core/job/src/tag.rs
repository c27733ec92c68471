//! The job's tag: a short text, signed for one job, that stands as a QR code in the frame with the old
//! stove. `fixtures/formats/tag.md` describes it.

use ed25519_dalek::{Signature, Signer};
use serde::Serialize;

use crate::certificate::Trust;
use crate::fact::Keeper;
use crate::id::{BusinessId, JobId};

/// What every tag's text begins with: the name and the version of the form.
const BEGINS: &str = "WYTHE1:";

/// How much of the job's number a tag carries, bytes: enough to name the job, and short enough that the
/// code keeps to 37 modules a side.
const NUMBER: usize = 12;

/// What a text read in a picture is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TagRead {
    /// This job's tag, signed by a device of the business.
    Own,
    /// The tag of another job.
    OtherJob,
    /// It names this job, and no device known here signed it: made up, damaged, or signed by a phone
    /// whose certificate has not come yet.
    NotGenuine,
    /// Some other code.
    NoTag,
}

impl Keeper {
    /// The text of a job's tag, signed by this device: capitals and digits only, as a QR code writes
    /// them shortest.
    #[must_use]
    pub fn tag(&self, job: JobId) -> String {
        let signature = self.key.sign(&statement(self.business, job)).to_bytes();
        let mut bytes = number(job).to_vec();
        bytes.extend(signature);
        format!("{BEGINS}{}", base45::encode(&bytes))
    }
}

impl Trust {
    /// What a text read in a picture of this job is. A certificate taken back later does not undo a tag
    /// that already hangs at the house.
    #[must_use]
    pub fn read_tag(&self, text: &str, job: JobId) -> TagRead {
        let Some(coded) = text.strip_prefix(BEGINS) else {
            return TagRead::NoTag;
        };
        let bytes = base45::decode(coded).unwrap_or_default();
        let Some((named, signature)) = bytes.split_first_chunk::<NUMBER>() else {
            return TagRead::NotGenuine;
        };
        if *named != number(job) {
            return TagRead::OtherJob;
        }
        let Ok(signature) = Signature::from_slice(signature) else {
            return TagRead::NotGenuine;
        };
        let statement = statement(self.business(), job);
        let signed = self.certificates().any(|certificate| {
            let key = certificate.device_key();
            key.is_ok_and(|key| key.verify_strict(&statement, &signature).is_ok())
        });
        if signed { TagRead::Own } else { TagRead::NotGenuine }
    }
}

/// What a tag's signature is over.
fn statement(business: BusinessId, job: JobId) -> Vec<u8> {
    let mut statement = b"wythe job tag 1\0".to_vec();
    statement.extend(business.0);
    statement.extend(job.0);
    statement
}

fn number(job: JobId) -> [u8; NUMBER] {
    job.0.first_chunk::<NUMBER>().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use ed25519_dalek::SigningKey;

    use super::*;
    use crate::certificate::{Certificate, Fingerprint};
    use crate::id::{Chain, DeviceId};
    use crate::value::Moment;

    const BUSINESS: BusinessId = BusinessId([7; 16]);
    const JOB: JobId = JobId([9; 16]);

    fn keeper(name: u8) -> Keeper {
        Keeper {
            business: BUSINESS,
            chain: Chain {
                device: DeviceId([name; 16]),
                epoch: 1,
            },
            key: SigningKey::from_bytes(&[name; 32]),
        }
    }

    fn trust(devices: &[u8]) -> Trust {
        let business_key = SigningKey::from_bytes(&[1; 32]);
        let fingerprint = Fingerprint::of(&business_key.verifying_key().to_bytes());
        let mut trust = Trust::in_business(BUSINESS, fingerprint);
        for device in devices {
            let keeper = keeper(*device);
            let issued = Moment {
                utc_ms: 1_764_000_000_000,
                offset_min: 0,
            };
            let key = keeper.key.verifying_key();
            let certificate =
                Certificate::issue(BUSINESS, &business_key, keeper.chain, &key, issued, "Phone").unwrap();
            trust.add(certificate).unwrap();
        }
        trust
    }

    #[test]
    fn any_phone_of_the_business_reads_the_tag_that_another_signed() {
        let tag = keeper(2).tag(JOB);
        assert_eq!(trust(&[2, 3]).read_tag(&tag, JOB), TagRead::Own);
    }

    #[test]
    fn a_tag_fits_a_code_of_37_modules() {
        // ISO/IEC 18004, table 7: version 5 with medium correction holds 122 alphanumeric characters.
        let tag = keeper(2).tag(JOB);
        assert_eq!(tag.len(), 121);
        assert!(
            tag.chars()
                .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || " $%*+-./:".contains(c))
        );
    }

    #[test]
    fn another_jobs_tag_says_so() {
        let mut near = JOB;
        near.0[11] ^= 1;
        assert_eq!(trust(&[2]).read_tag(&keeper(2).tag(near), JOB), TagRead::OtherJob);
    }

    #[test]
    fn what_no_device_of_the_business_signed_is_not_genuine() {
        let tag = keeper(2).tag(JOB);
        assert_eq!(trust(&[3]).read_tag(&tag, JOB), TagRead::NotGenuine);
        // The same number in another firm.
        let other = Keeper {
            business: BusinessId([8; 16]),
            ..keeper(2)
        };
        assert_eq!(trust(&[2]).read_tag(&other.tag(JOB), JOB), TagRead::NotGenuine);
        // A tag beside it whose number only begins alike: the signature is over the whole of it.
        let mut alike = JOB;
        alike.0[15] ^= 1;
        assert_eq!(
            trust(&[2]).read_tag(&keeper(2).tag(alike), JOB),
            TagRead::NotGenuine
        );
    }

    #[test]
    fn other_codes_are_no_tags_and_every_changed_sign_is_noticed() {
        let trust = trust(&[2]);
        for text in ["", "WYTHE", "https://example.org/stove/4711", "WYTHE2:00"] {
            assert_eq!(trust.read_tag(text, JOB), TagRead::NoTag, "{text}");
        }
        let tag = keeper(2).tag(JOB);
        for at in 0..tag.len() {
            for with in ["", "0", "Z", "%", "ü"] {
                let changed: String = tag
                    .char_indices()
                    .map(|(n, c)| if n == at { with.to_owned() } else { c.to_string() })
                    .collect();
                let same = changed == tag;
                assert_eq!(trust.read_tag(&changed, JOB) == TagRead::Own, same, "{changed}");
            }
        }
    }
}
