//! Figures that were kept because they did not hold, and were measured again: they stay visible.

use serde_json::Value as Json;
use wythe_job::{Entry, FiguresKept, Place};

use super::Figures;
use crate::known::Known;

/// Kept figures that did not hold, as they stood.
#[derive(Debug, Clone)]
pub struct Earlier<'k> {
    /// The fact that keeps them.
    pub entry: &'k Entry<FiguresKept>,
    /// Their result.
    pub result: Json,
}

/// Whether a result says that what was measured does not hold, or that nothing can be told from it.
#[must_use]
pub fn holds_not(result: &Json) -> bool {
    let findings = result.get("findings").and_then(Json::as_array);
    let is_stop = |finding: &Json| finding.get("severity").and_then(Json::as_str) == Some("stop");
    let verdict = result.get("verdict").and_then(Json::as_str);
    matches!(verdict, Some("fail" | "cannot_tell")) || findings.into_iter().flatten().any(is_stop)
}

/// The kept figures of a plan that did not hold, oldest first, without those that stand now.
#[must_use]
pub fn earlier<'k>(known: &Known<'k>, id: &str, path: &[Place], now: Option<&Figures>) -> Vec<Earlier<'k>> {
    let kept = known.job.figures.iter().filter(|entry| {
        let address = &entry.body.address;
        entry.holds() && address.ask == id && address.path == path
    });
    let current = now.and_then(Figures::good);
    let mut found: Vec<Earlier<'k>> = Vec::new();
    for entry in kept {
        let Ok(result) = serde_json::from_str::<Json>(&entry.body.result) else {
            continue;
        };
        let again = found.iter().any(|known| known.result == result);
        if holds_not(&result) && !again && current != Some(&result) {
            found.push(Earlier { entry, result });
        }
    }
    found
}
