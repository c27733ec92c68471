use wythe_guide::figures::holds_not;
use wythe_guide::{AskKind, Timer};
use wythe_job::{Address, FactId, JobId, Moment, StruckOut};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::record::{Recorded, Recording, kept_as};

/// What is done to a timer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimerDeed {
    /// It starts.
    Start,
    /// One more turn, or whatever its ask is tapped at.
    Tap,
    /// It stops, and the span is recorded.
    Stop,
    /// It is given up; nothing is recorded.
    Drop,
}

impl TimerDeed {
    /// The deed of a screen's action `timer/ADDRESS/DEED`.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "start" => Some(Self::Start),
            "tap" => Some(Self::Tap),
            "stop" => Some(Self::Stop),
            "drop" => Some(Self::Drop),
            _ => None,
        }
    }
}

impl<L: Log> App<L> {
    /// Starts, taps, stops or gives up the timer of a span, at a moment or now. While it runs it is the
    /// ask's draft.
    ///
    /// # Errors
    /// [`AppError::Timer`] for a deed that does not fit how the timer stands, and for a clock that was set
    /// back meanwhile; [`AppError::NotOneOf`] for an ask that is no span; stopping, as [`App::answer`].
    pub fn timer(
        &mut self,
        job: JobId,
        address: &Address,
        deed: TimerDeed,
        at: Option<Moment>,
    ) -> Result<Option<Recorded>, AppError> {
        let ask = self.ask_at(address)?;
        if ask.kind != AskKind::Span {
            return Err(AppError::NotOneOf {
                value: address.to_string(),
                what: "an ask that is timed".to_owned(),
            });
        }
        let tapped = ask.tap.is_some();
        let now = at.unwrap_or_else(|| self.services.time.now());
        let running = self.running(job, address)?;
        let set_back =
            |_| AppError::Timer("The phone’s clock was set back while the timer ran. Start again.");
        let text = match (deed, running) {
            (TimerDeed::Start, None) => Timer::started(now).draft(),
            (TimerDeed::Start, Some(_)) => {
                return Err(AppError::Timer(
                    "This timer runs already. Stop it, or give it up.",
                ));
            }
            (_, None) => return Err(AppError::Timer("This timer does not run. Start it first.")),
            (TimerDeed::Tap, Some(_)) if !tapped => {
                return Err(AppError::Timer(
                    "This timer is not tapped. Stop it when the time is over.",
                ));
            }
            (TimerDeed::Tap, Some(mut timer)) => {
                timer.tap(now).map_err(set_back)?;
                timer.draft()
            }
            (TimerDeed::Drop, Some(_)) => String::new(),
            (TimerDeed::Stop, Some(timer)) if tapped && timer.taps().is_empty() => {
                return Err(AppError::Timer(
                    "Nothing was tapped yet. Tap at the end of a full turn first.",
                ));
            }
            (TimerDeed::Stop, Some(timer)) => {
                let span = timer.stopped(now).map_err(set_back)?;
                return self.answer(job, address, &span, &Recording::default()).map(Some);
            }
        };
        self.draft(job, address, &text)?;
        Ok(None)
    }

    fn running(&self, job: JobId, address: &Address) -> Result<Option<Timer>, AppError> {
        let key = address.to_string();
        let drafts = self.log.drafts(job.into())?.into_iter();
        let mut here = drafts.filter(|(at, _)| *at == key);
        Ok(here.find_map(|(_, draft)| Timer::read(&draft)))
    }

    /// Begins a measurement anew whose figures do not hold: they are kept as they stand, and the readings
    /// behind them are struck out, so that no old reading meets a new one.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for figures that are not measured again, or that hold; [`AppError::Store`].
    pub fn measure_again(&mut self, job: JobId, id: &str) -> Result<FactId, AppError> {
        let look = self.look(job, None)?;
        let plan = look.guide.figures.iter().find(|plan| plan.id == id);
        let figures = look.figures.iter().find(|figures| figures.id == id);
        let fails = figures.filter(|figures| figures.good().is_some_and(holds_not));
        let (Some(plan), Some(figures)) = (plan.filter(|plan| !plan.again.is_empty()), fails) else {
            return Err(AppError::NotOneOf {
                value: id.to_owned(),
                what: "figures that do not hold and are measured again".to_owned(),
            });
        };
        let known = look.known();
        let asks = plan.again.iter().filter_map(|ask| look.guide.ask(ask));
        let addresses = asks.flat_map(|ask| known.addresses(ask, &figures.path));
        let facts = addresses
            .flat_map(|address| look.job.to_replace(&address))
            .collect();
        let mut bodies = self.introduction(job)?;
        if let Some(kept) = kept_as(figures, &look) {
            bodies.push((kept.into(), Vec::new()));
        }
        let reason = self.words().get("again-reason");
        bodies.push((StruckOut { facts, reason }.into(), Vec::new()));
        let facts = self.append(job.into(), bodies, Vec::new())?;
        facts
            .last()
            .map(wythe_job::Fact::id)
            .ok_or_else(|| AppError::NoFact(String::new()))
    }
}
