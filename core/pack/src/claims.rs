use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use serde_json::Value;
use wythe_job::{FactId, JobId, json};

use crate::fault::PackFault;
use crate::manifest::{FORMAT, Manifest};

const MAX_ROWS: usize = 2_000;
const MAX_TEXT: usize = 4_000;

/// How a row of the evidence table stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Shown.
    Met,
    /// Shown, with something that a reader should look at.
    Doubtful,
    /// Shown not to be so.
    Failed,
    /// Not shown yet.
    Open,
    /// Not due yet, or in other hands.
    Waiting,
    /// Does not apply to this job.
    NotNeeded,
}

/// A row of the evidence table and what it stands on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// The facts behind it.
    pub facts: BTreeSet<FactId>,
    /// The members behind it: names of originals that its facts name.
    pub members: BTreeSet<String>,
    /// The requirement's name in the programme's rules, 1 to 80 bytes.
    pub requirement: String,
    /// How it stands.
    pub state: State,
    /// What the PDF says, in the pack's language, at most 4,000 bytes.
    pub text: String,
}

/// `claims.json`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Claims {
    pub(crate) as_of: String,
    pub(crate) format: u64,
    pub(crate) job: JobId,
    pub(crate) language: String,
    pub(crate) rows: Vec<Row>,
}

impl Claims {
    pub(crate) fn to_text(&self) -> String {
        json::to_text(&serde_json::to_value(self).unwrap_or_default())
    }

    pub(crate) fn from_bytes(bytes: &[u8], manifest: &Manifest) -> Result<Self, PackFault> {
        let broken = |why: &str| PackFault::Claims(why.to_owned());
        let text = std::str::from_utf8(bytes).ok();
        let value: Value = text
            .and_then(json::from_text)
            .ok_or_else(|| broken("it is not written in the one way"))?;
        let claims: Self =
            serde_json::from_value(value.clone()).map_err(|why| PackFault::Claims(why.to_string()))?;
        // Sets that are not in order, upper-case digits: readable, but not the one way.
        if serde_json::to_value(&claims).ok().as_ref() != Some(&value) {
            return Err(broken("a member is not written in the one way"));
        }
        let of_the_pack = i128::from(claims.format) == FORMAT
            && claims.as_of == manifest.as_of
            && claims.job == manifest.job
            && claims.language == manifest.language;
        if !of_the_pack {
            return Err(broken("it is of another date, job or language"));
        }
        let fits = |row: &Row| (1..=80).contains(&row.requirement.len()) && row.text.len() <= MAX_TEXT;
        if claims.rows.len() > MAX_ROWS || !claims.rows.iter().all(fits) {
            return Err(broken("it is longer than a claim pack allows"));
        }
        Ok(claims)
    }
}
