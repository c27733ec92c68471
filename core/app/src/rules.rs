//! Moving a job to newer rules: shown before they are accepted.

use wythe_guide::readiness::readiness;
use wythe_guide::screen::Screen;
use wythe_guide::{Date, RuleChange};
use wythe_job::{Digest, JobId};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;

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
        let newest = self.newest_programme(&look.programme.id)?;
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

    /// Moves a job to the newer rules that were shown, and gives what that changed in them.
    ///
    /// # Errors
    /// [`AppError::RulesNotShown`] when `shown` are not the newest rules of the job's programme,
    /// [`AppError::NoReason`], [`AppError::Store`].
    pub fn accept_rules(
        &mut self,
        job: JobId,
        shown: Digest,
        reason: &str,
    ) -> Result<Vec<RuleChange>, AppError> {
        let look = self.look(job, None)?;
        let newest = self.newest_programme(&look.programme.id)?;
        if shown != newest.digest || shown == look.programme.digest {
            return Err(AppError::RulesNotShown);
        }
        self.move_rules(job, &newest.id, reason)
    }
}
