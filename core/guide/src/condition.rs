use serde::Deserialize;
use wythe_job::{Place, Value};

use crate::known::Known;

/// When something applies, as data: `{ ask = "survey.fuel", is = "propane" }`, combined with `all`,
/// `any`, `not`. A figure is compared in the ask's own unit: `{ ask = "x", at_least = "36 ppm" }`.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Condition {
    /// Which ask the comparison is about.
    pub ask: Option<String>,
    /// The answer is this choice, `yes`, `no` or text.
    pub is: Option<String>,
    /// Nothing was answered, photographed, added or signed.
    #[serde(default)]
    pub missing: bool,
    /// Something was.
    #[serde(default)]
    pub present: bool,
    /// The figure is at least this.
    pub at_least: Option<String>,
    /// The figure is above this.
    pub above: Option<String>,
    /// The figure is at most this.
    pub at_most: Option<String>,
    /// The figure is below this.
    pub below: Option<String>,
    /// The figure, or the date, is above that of another ask.
    pub above_ask: Option<String>,
    /// The figure, or the date, is below that of another ask.
    pub below_ask: Option<String>,
    /// The figure is above that of each of these asks; one that is not answered is not above.
    #[serde(default)]
    pub above_each: Vec<String>,
    /// The choice or text is another than that of this ask. Holds only where both are answered.
    pub differs_from: Option<String>,
    /// The date lies before the day for which the job is looked at.
    #[serde(default)]
    pub past: bool,
    /// These figures carry this finding.
    pub figures: Option<String>,
    /// The finding's code.
    pub finding: Option<String>,
    /// All of these hold.
    #[serde(default)]
    pub all: Vec<Condition>,
    /// At least one of these holds.
    #[serde(default)]
    pub any: Vec<Condition>,
    /// This does not hold.
    pub not: Option<Box<Condition>>,
    /// The limits in base units, filled in by the loader.
    #[serde(skip)]
    pub(crate) limits: Limits,
}

/// The limits of a condition in base units.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Limits {
    pub at_least: Option<f64>,
    pub above: Option<f64>,
    pub at_most: Option<f64>,
    pub below: Option<f64>,
}

/// Where a condition is looked at: the whole job, or one instance.
pub type Scope<'a> = &'a [Place];

impl Condition {
    /// Whether it holds for what is known. What is not answered fulfils only `missing`.
    ///
    /// An ask that is asked for each of several is looked at in the scope's instance, or, outside of
    /// any, in all of them: one that fulfils the condition is enough.
    #[must_use]
    pub fn holds(&self, known: &Known<'_>, scope: Scope<'_>) -> bool {
        self.own(known, scope)
            && self.all.iter().all(|part| part.holds(known, scope))
            && (self.any.is_empty() || self.any.iter().any(|part| part.holds(known, scope)))
            && self.not.as_ref().is_none_or(|part| !part.holds(known, scope))
    }

    fn own(&self, known: &Known<'_>, scope: Scope<'_>) -> bool {
        if let (Some(figures), Some(finding)) = (&self.figures, &self.finding) {
            return known.has_finding(figures, finding);
        }
        let Some(ask) = &self.ask else { return true };
        let there = known.is_there(ask, scope);
        if self.missing {
            return !there;
        }
        if self.present {
            return there;
        }
        known
            .values(ask, scope)
            .iter()
            .any(|value| self.fits(value, known, scope))
    }

    /// Whether a single value fulfils this condition's comparison.
    pub(crate) fn fits(&self, value: &Value, known: &Known<'_>, scope: Scope<'_>) -> bool {
        if let Some(wanted) = &self.is {
            return is(value, wanted);
        }
        if let Some(other) = &self.differs_from {
            let others = known.values(other, scope);
            return others.first().is_some_and(|other| differs(value, other));
        }
        if self.past {
            let Value::Date(text) = value else { return false };
            let date = crate::calendar::read_date(text);
            return date.zip(known.today).is_some_and(|(date, today)| date < today);
        }
        let other = |ask: &str| known.values(ask, scope).first().and_then(|value| measure(value));
        let Some(figure) = measure(value) else {
            return false;
        };
        let limits = &self.limits;
        // A typed limit and a typed figure may differ in the last bit after conversion.
        let slack = |limit: f64| 1e-9 * limit.abs().max(1e-9);
        limits.at_least.is_none_or(|limit| figure >= limit - slack(limit))
            && limits.above.is_none_or(|limit| figure > limit + slack(limit))
            && limits.at_most.is_none_or(|limit| figure <= limit + slack(limit))
            && limits.below.is_none_or(|limit| figure < limit - slack(limit))
            && self
                .above_ask
                .as_ref()
                .is_none_or(|ask| other(ask).is_some_and(|limit| figure > limit + slack(limit)))
            && self
                .below_ask
                .as_ref()
                .is_none_or(|ask| other(ask).is_some_and(|limit| figure < limit - slack(limit)))
            && self
                .above_each
                .iter()
                .all(|ask| other(ask).is_some_and(|limit| figure > limit + slack(limit)))
    }

    /// Whether it says itself something of an ask or of figures, and not only by its parts.
    pub(crate) fn says_something(&self) -> bool {
        self.ask.is_some() || self.figures.is_some()
    }

    /// How many comparisons it makes with its own ask.
    pub(crate) fn comparisons(&self) -> usize {
        let figures = [
            &self.at_least,
            &self.above,
            &self.at_most,
            &self.below,
            &self.above_ask,
            &self.below_ask,
        ];
        let measured = figures.into_iter().any(Option::is_some) || !self.above_each.is_empty();
        let others = [
            self.is.is_some(),
            self.missing,
            self.present,
            self.past,
            self.differs_from.is_some(),
            measured,
        ];
        others.into_iter().filter(|said| *said).count()
    }

    /// Every part of the condition, itself first.
    pub(crate) fn visit_parts<'c>(&'c self, visit: &mut dyn FnMut(&'c Self)) {
        visit(self);
        for part in self.all.iter().chain(&self.any).chain(self.not.as_deref()) {
            part.visit_parts(visit);
        }
    }

    /// Every part of the condition, itself first.
    pub(crate) fn visit_parts_mut(&mut self, visit: &mut dyn FnMut(&mut Self)) {
        visit(self);
        for part in self
            .all
            .iter_mut()
            .chain(&mut self.any)
            .chain(self.not.as_deref_mut())
        {
            part.visit_parts_mut(visit);
        }
    }
}

fn is(value: &Value, wanted: &str) -> bool {
    match value {
        Value::Choice(choice) => choice == wanted,
        Value::YesNo(yes) => (wanted == "yes") == *yes && (wanted == "yes" || wanted == "no"),
        Value::Text(text) => text.trim().eq_ignore_ascii_case(wanted),
        _ => false,
    }
}

fn differs(one: &Value, other: &Value) -> bool {
    let plain = |value: &Value| match value {
        Value::Choice(text) | Value::Text(text) => Some(text.trim().to_lowercase()),
        _ => None,
    };
    plain(one)
        .zip(plain(other))
        .is_some_and(|(one, other)| one != other)
}

/// The figure of a value, for comparing: base units; days for dates; seconds for spans.
pub(crate) fn measure(value: &Value) -> Option<f64> {
    use chrono::Datelike;
    match value {
        Value::Quantity { si, .. } => Some(si.0),
        Value::Count(count) => u32::try_from(*count).ok().map(f64::from),
        Value::Date(text) => crate::calendar::read_date(text).map(|date| f64::from(date.num_days_from_ce())),
        Value::Span { start, end, .. } => {
            let ms = i32::try_from(end.utc_ms.saturating_sub(start.utc_ms)).ok()?;
            Some(f64::from(ms) / 1000.0)
        }
        Value::Money { amount, .. } => amount.parse().ok(),
        _ => None,
    }
}
