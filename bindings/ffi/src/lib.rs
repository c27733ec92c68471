//! What the phone shells call. The only crate beside the generator that knows uniffi.
//!
//! Coarse and synchronous; every call answers or says why with a code, a message and the detail.

use std::fs::File;
use std::io::BufReader;

use wythe_app::job::Fingerprint;
use wythe_app::pack::check;
use wythe_app::trade;

uniffi::setup_scaffolding!();

/// Why a call did not do what was asked.
#[derive(Debug, thiserror::Error, uniffi::Error)]
pub enum Trouble {
    /// The one form of all troubles.
    #[error("{message}")]
    Refused {
        /// Stable, for programs.
        code: String,
        /// The member it is about, as a JSON pointer or an ask's address; empty where there is none.
        field: String,
        /// What is so, and what to do.
        message: String,
        /// For whoever is called for help.
        detail: String,
    },
}

/// What a claim pack's check found.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PackReport {
    /// The pack's id.
    pub pack: String,
    /// The fingerprint of the business's key.
    pub fingerprint: String,
    /// Whether that fingerprint is the one that was named.
    pub trusted: bool,
    /// The date at the site for which the claim was reckoned, `YYYY-MM-DD`.
    pub as_of: String,
    /// How many facts it holds.
    pub facts: u64,
}

/// Works out a reckoning: one JSON object in, one JSON object out.
///
/// # Errors
/// [`Trouble`] with the code, and the JSON pointer of the value that is not taken.
#[uniffi::export]
pub fn reckon(name: &str, input: &str) -> Result<String, Trouble> {
    trade::reckon(name, input)
        .map(|answer| answer.to_string())
        .map_err(|refusal| Trouble::Refused {
            code: refusal.code.as_str().to_owned(),
            field: refusal.field.clone(),
            message: refusal.message.clone(),
            detail: refusal.to_string(),
        })
}

/// The names of the reckonings.
#[uniffi::export]
#[must_use]
pub fn reckonings() -> Vec<String> {
    trade::list().map(|entry| entry.name.to_owned()).collect()
}

/// Checks a claim pack; `trust` is the business's fingerprint as it was told once, or nothing.
///
/// # Errors
/// [`Trouble`] that names the first thing that is wrong.
#[uniffi::export]
pub fn check_pack(path: &str, trust: Option<String>) -> Result<PackReport, Trouble> {
    let refused = |code: &str, message: String| Trouble::Refused {
        code: code.to_owned(),
        field: String::new(),
        detail: message.clone(),
        message,
    };
    let trust = match trust.as_deref() {
        None => None,
        Some(text) => Some(Fingerprint::read(text).ok_or_else(|| {
            refused(
                "fingerprint",
                "A fingerprint has 64 hexadecimal digits.".to_owned(),
            )
        })?),
    };
    let file = File::open(path).map_err(|why| refused("file", why.to_string()))?;
    let report =
        check(BufReader::new(file), trust).map_err(|fault| refused(fault.code(), fault.to_string()))?;
    Ok(PackReport {
        pack: report.pack.to_string(),
        fingerprint: report.fingerprint,
        trusted: report.trusted,
        as_of: report.as_of,
        facts: u64::try_from(report.facts).unwrap_or(u64::MAX),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_comes_with_its_code_and_place() {
        assert!(reckonings().contains(&"liner_fit".to_owned()));
        let Err(Trouble::Refused { code, field, .. }) = reckon("liner_fit", r#"{"surprise": 1}"#) else {
            panic!("taken");
        };
        assert_eq!((code.as_str(), field.as_str()), ("unknown_key", "/surprise"));
    }

    #[test]
    fn what_is_no_pack_is_refused() {
        let Err(Trouble::Refused { code, .. }) = check_pack("no/such/file", None) else {
            panic!("taken")
        };
        assert_eq!(code, "file");
        assert!(check_pack("no/such/file", Some("xyz".to_owned())).is_err());
    }
}
