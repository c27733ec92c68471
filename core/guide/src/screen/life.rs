//! What became of a job and its claim, beside the work itself: paused, handed over, the same house twice;
//! sent, queried, paid.

use wythe_job::{ClaimMoved, Entry, JobId};

use crate::calendar::read_date;
use crate::programme::Programme;

use super::make::Make;
use super::{Block, BlockState, Level, ListItem, Screen};

/// What another job has in common with this one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum InCommon {
    /// The house's address, as a clerk compares it.
    Address,
    /// A stove's serial number.
    Serial(String),
}

/// Another job that looks like one of the same house.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SameHouse {
    /// Which.
    pub job: JobId,
    /// What people call it.
    pub label: String,
    /// What they have in common.
    pub in_common: InCommon,
    /// Whether one of the two names the other in a fact.
    pub linked: bool,
}

impl Make<'_, '_> {
    /// Whether the job is paused, handed over or cancelled, and why.
    pub(super) fn job_state(&self) -> Option<Block> {
        let last = self.known.job.moves.iter().rfind(|entry| entry.holds())?;
        let id = match last.body.to.as_str() {
            "paused" => "job-paused",
            "cancelled" => "job-cancelled",
            "handed_over" => "job-handed-over",
            _ => return None,
        };
        let date = self.when(last.at);
        let who = (self.name)(last.person);
        let given = [
            ("date", date.as_str()),
            ("who", &who),
            ("reason", &last.body.reason),
        ];
        let mut text = self.words.with(id, &given);
        let safe: Vec<String> = last
            .body
            .left_safe
            .iter()
            .map(|id| {
                self.words
                    .find(&format!("left-safe-{id}"), &[])
                    .unwrap_or_else(|| id.clone())
            })
            .collect();
        if !safe.is_empty() {
            let safe = self.words.with("job-left-safe", &[("names", &safe.join(", "))]);
            text = format!("{text} {safe}");
        }
        Some(Block::Text {
            id: "job-state".to_owned(),
            text,
            heading: false,
        })
    }

    /// A caution for each other job that looks like one of the same house; a note once they are linked.
    pub(super) fn same_house(&self, others: &[SameHouse]) -> Vec<Block> {
        let block = |other: &SameHouse| {
            let (id, serial) = match (&other.in_common, other.linked) {
                (_, true) => ("house-linked", ""),
                (InCommon::Address, false) => ("house-same-address", ""),
                (InCommon::Serial(serial), false) => ("house-same-serial", serial.as_str()),
            };
            let number = other.job.short();
            let given = [
                ("label", other.label.as_str()),
                ("number", &number),
                ("serial", serial),
            ];
            let level = if other.linked { Level::Note } else { Level::Caution };
            self.note(format!("{id}-{number}"), level, self.words.with(id, &given))
        };
        others.iter().map(block).collect()
    }

    /// The claim's life: every move, and what comes next.
    #[must_use]
    pub fn claim_life(&self, programme: &Programme) -> Screen {
        let moves: Vec<&Entry<ClaimMoved>> = self
            .known
            .job
            .claim
            .iter()
            .filter(|entry| entry.holds())
            .collect();
        let items: Vec<ListItem> = moves.iter().map(|entry| self.claim_move(entry)).collect();
        let mut blocks = vec![Block::Text {
            id: "life-next".to_owned(),
            text: self.claim_next(&moves, programme),
            heading: false,
        }];
        if !items.is_empty() {
            blocks.push(Block::List {
                id: "claim-life".to_owned(),
                items,
            });
        }
        Screen {
            id: "claim-life".to_owned(),
            title: self.words.get("screen-claim-life"),
            place: vec![self.job_label()],
            revision: moves
                .last()
                .map_or_else(|| self.revision(), |entry| entry.fact.to_string()),
            blocks,
            next: None,
        }
    }

    fn claim_move(&self, entry: &Entry<ClaimMoved>) -> ListItem {
        let body = &entry.body;
        let version = body.version.to_string();
        let title = self.words.with(
            &format!("moved-{}", body.to.replace('_', "-")),
            &[("version", &version)],
        );
        let date = read_date(&body.on).map_or_else(|| body.on.clone(), |date| self.words.date(date));
        let mut parts = vec![date];
        if let (Some(amount), Some(currency)) = (&body.amount, &body.currency) {
            parts.push(format!("{amount} {currency}"));
        }
        if let Some(pack) = &body.pack {
            parts.push(self.words.with("life-pack", &[("pack", &pack.short())]));
        }
        parts.extend(body.text.clone());
        ListItem {
            id: entry.fact.to_string(),
            title,
            detail: parts.join(" · "),
            state: BlockState::Filled,
        }
    }

    fn claim_next(&self, moves: &[&Entry<ClaimMoved>], programme: &Programme) -> String {
        let Some(last) = moves.last() else {
            return self.words.get("life-next-none");
        };
        let text = last.body.text.clone().unwrap_or_default();
        match last.body.to.as_str() {
            "queried" => self.words.with("life-next-queried", &[("text", &text)]),
            "answered" => self.words.get("life-next-answered"),
            "refused" => self.words.with("life-next-refused", &[("text", &text)]),
            "short_paid" | "paid" => self.still_open(moves, programme),
            _ => self.words.get("life-next-waiting"),
        }
    }

    /// What of the grant is still to come, when all payments are taken off it.
    fn still_open(&self, moves: &[&Entry<ClaimMoved>], programme: &Programme) -> String {
        let of_grant =
            |entry: &&&Entry<ClaimMoved>| entry.body.currency.as_ref() == Some(&programme.currency);
        let paid = moves
            .iter()
            .filter(of_grant)
            .filter_map(|entry| cents(entry.body.amount.as_deref()?))
            .sum::<i64>();
        let open = cents(&programme.grant).unwrap_or_default().saturating_sub(paid);
        if open <= 0 {
            return self.words.get("life-next-paid");
        }
        let amount = format!(
            "{}.{:02} {}",
            open.div_euclid(100),
            open.rem_euclid(100),
            programme.currency
        );
        self.words.with("life-next-short", &[("amount", &amount)])
    }
}

/// A decimal with at most two places, in hundredths.
fn cents(amount: &str) -> Option<i64> {
    let (whole, part) = amount.split_once('.').unwrap_or((amount, ""));
    let whole: i64 = whole.replace(',', "").parse().ok()?;
    let part: i64 = match part.len() {
        0 => 0,
        1 => part.parse::<i64>().ok()?.checked_mul(10)?,
        2 => part.parse().ok()?,
        _ => return None,
    };
    whole.checked_mul(100)?.checked_add(part)
}
