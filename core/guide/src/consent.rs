//! The words above a signature: what the role says, and what a signer is told about signing on a device.

use crate::words::Words;

/// The version of these words. It changes with any of them, in any language.
pub const CONSENT_VERSION: u32 = 2;

/// What every signer is told about signing here, a sentence each, in this order. `fixtures/consent` says
/// which law wants which.
pub const CONSENT_ITEMS: [&str; 12] = [
    "consent-item-agree",
    "consent-item-paper",
    "consent-item-decline",
    "consent-item-withdraw",
    "consent-item-scope",
    "consent-item-how",
    "consent-item-copy",
    "consent-item-device",
    "consent-item-read",
    "consent-item-change",
    "consent-item-kind",
    "consent-item-lawyer",
];

/// Of whom and what the words speak.
#[derive(Debug, Clone, Copy)]
pub struct ConsentOf<'c> {
    /// The role that signs: the end of the message `consent-…`.
    pub role: &'c str,
    /// The business.
    pub business: &'c str,
    /// The programme.
    pub programme: &'c str,
    /// The house.
    pub house: &'c str,
}

/// The words in full: what is signed for, then, apart by a line, what is so about signing on a device.
#[must_use]
pub fn consent(words: &Words, of: ConsentOf<'_>) -> String {
    let given = [
        ("business", of.business),
        ("programme", of.programme),
        ("house", of.house),
    ];
    let signed_for = words.with(&format!("consent-{}", of.role), &given);
    let items = CONSENT_ITEMS.map(|item| words.with(item, &given));
    format!("{signed_for}\n{}", items.join(" "))
}
