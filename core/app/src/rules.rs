//! Moving a job to newer rules: shown before they are accepted.

use wythe_guide::readiness::readiness;
use wythe_guide::screen::Screen;
use wythe_guide::{Date, Programme};
use wythe_job::{Digest, FactId, JobId, RulesPinned};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::jobs::said;
use crate::look::Look;

/// The rules of a job, as a screen, and the newer ones that can be accepted.
#[derive(Debug, Clone)]
pub struct RulesShown {
    /// What the job pins; what newer rules would change in them, and for this job.
    pub screen: Screen,
    /// The newer rules that the screen speaks of, by their digest; none when the job has the newest.
    pub newer: Option<Digest>,
}

impl<L: Log> App<L> {
    /// The rules that a job pins, and what moving it to the newest edition in the library would change.
    ///
    /// # Errors
    /// [`AppError::NoJob`], [`AppError::NoRules`], [`AppError::NoProgramme`], [`AppError::Store`].
    pub fn rules_of(&self, job: JobId, today: Option<Date>) -> Result<RulesShown, AppError> {
        let look = self.look(job, today)?;
        let newest = self.newest_edition(&look.programme.id)?;
        let words = self.words();
        if newest.digest == look.programme.digest {
            let screen = look.make(words, &|make| make.rules(&look.programme));
            return Ok(RulesShown { screen, newer: None });
        }
        let known = look.known();
        let then = readiness(&known, &newest, &look.figures, &look.elsewhere, look.today);
        let screen = look.make(words, &|make| make.newer_rules(&look.programme, &newest, &then));
        Ok(RulesShown {
            screen,
            newer: Some(newest.digest),
        })
    }

    /// Moves a job to the newer rules that were shown.
    ///
    /// # Errors
    /// [`AppError::RulesNotShown`] when `shown` are not the newest rules of the job's programme,
    /// [`AppError::NoReason`], [`AppError::Store`].
    pub fn accept_rules(&mut self, job: JobId, shown: Digest, reason: &str) -> Result<FactId, AppError> {
        let reason = said(reason)?;
        let look = self.look(job, None)?;
        let newest = self.newest_edition(&look.programme.id)?;
        if shown != newest.digest || shown == look.programme.digest {
            return Err(AppError::RulesNotShown);
        }
        let replaces = pinned(&look);
        let body = RulesPinned {
            programme: newest.id,
            programme_digest: newest.digest,
            guide_digest: self.guide.digest,
            reason: Some(reason),
        };
        self.record(job, body, replaces)
    }

    /// The edition of a programme that was added to the library last.
    pub(crate) fn newest_edition(&self, programme: &str) -> Result<Programme, AppError> {
        let missing = || AppError::NoProgramme(programme.to_owned());
        let business = self.business_stream()?.1;
        let latest = business
            .library
            .iter()
            .rev()
            .find(|entry| entry.holds() && entry.body.sort == "programme" && entry.body.id == programme)
            .ok_or_else(missing)?;
        let digest = wythe_job::digest_of(latest.body.content.as_bytes());
        self.programmes()?.remove(&digest).ok_or_else(missing)
    }
}

fn pinned(look: &Look) -> Vec<FactId> {
    look.job.rules.iter().map(|entry| entry.fact).collect()
}
