//! What there may be only one of, and figures that were kept.

use wythe_job::{Entry, FactId, FiguresKept};

use crate::evidence::OnceOf;
use crate::figures::Figures;

use super::super::Why;
use super::{Found, Judge};

impl Judge<'_, '_> {
    pub(super) fn kept_figures(&self, id: &str) -> Found {
        let kept = self.known.job.figures.iter();
        let here: Vec<&Entry<FiguresKept>> = kept
            .filter(|kept| kept.holds())
            .filter(|kept| kept.body.address.ask == id && kept.body.address.path == self.path)
            .collect();
        let now = self
            .figures
            .iter()
            .find(|now| now.id == id && now.path == self.path);
        let (Some(kept), now) = (here.last(), now) else {
            return if now.is_none() && self.applies_not(id) {
                Found::not_needed()
            } else {
                Found::missing(None)
            };
        };
        let was: Option<serde_json::Value> = serde_json::from_str(&kept.body.result).ok();
        // A band that came later is no change of what was relied upon.
        let later = now.is_some_and(|now| self.as_before_its_band(now) == kept.body.input);
        let same = later
            || now
                .and_then(Figures::good)
                .is_some_and(|now| was.as_ref() == Some(now));
        if !same {
            return Found::does_not_count(Why::new("why-figures-changed", &[]), vec![kept.fact]);
        }
        let verdict = was.as_ref().and_then(|was| was.get("verdict"));
        if verdict.and_then(serde_json::Value::as_str) == Some("fail") {
            return Found::does_not_count(Why::new("why-figures-stop", &[]), vec![kept.fact]);
        }
        Found::met(vec![kept.fact])
    }

    /// The input of figures without what was worked out in the background.
    fn as_before_its_band(&self, now: &Figures) -> String {
        let plan = self.known.guide.figures.iter().find(|plan| plan.id == now.id);
        let later = plan.and_then(|plan| plan.later.as_ref());
        match (later, &now.input) {
            (Some(later), serde_json::Value::Object(input)) => {
                let mut input = input.clone();
                input.retain(|key, _| !later.contains_key(key));
                serde_json::Value::Object(input).to_string()
            }
            _ => String::new(),
        }
    }

    /// Whether these figures are of no use for this job.
    fn applies_not(&self, id: &str) -> bool {
        let plan = self.known.guide.figures.iter().find(|plan| plan.id == id);
        plan.and_then(|plan| plan.when.as_ref())
            .is_some_and(|when| !when.holds(self.known, self.path))
    }

    pub(super) fn once(&self, of: OnceOf) -> Found {
        match of {
            OnceOf::Household => match self.elsewhere.same_house.first() {
                None => Found::met(self.opening()),
                Some(job) => {
                    let why = Why::new("why-same-house", &[("job", job.short())]);
                    Found::does_not_count(why, self.opening())
                }
            },
            OnceOf::Photos => {
                let photos = self.known.job.photos.iter().filter(|photo| photo.holds());
                let used: Vec<(FactId, String)> = photos
                    .filter_map(|photo| {
                        let job = self.elsewhere.photos.get(&photo.body.original.digest)?;
                        Some((photo.fact, job.short()))
                    })
                    .collect();
                match used.first() {
                    None => Found::met(self.opening()),
                    Some((_, job)) => Found::does_not_count(
                        Why::new("why-photo-elsewhere", &[("job", job.clone())]),
                        used.iter().map(|(fact, _)| *fact).collect(),
                    ),
                }
            }
        }
    }

    /// What a row stands on that speaks of the job as a whole.
    fn opening(&self) -> Vec<FactId> {
        let opened = self.known.job.opened.iter().filter(|opened| opened.holds());
        opened.map(|opened| opened.fact).collect()
    }
}
