//! A phone's exchange with its office: joining it, and running the phone's machine over whatever
//! carries bytes.

mod join;
mod log_store;

use wythe_job::{DeviceId, FactId, OfficeArrivals};
use wythe_store::Log;
use wythe_sync::{Command, Event, Membership, Now, Phone, PhoneStore, Report, SetAside, Token, Wanted};

pub use log_store::LogStore;
use log_store::arrival_records;

use crate::app::App;
use crate::error::AppError;

const TOKEN: &str = "exchange/token";
const OFFICE: &str = "exchange/office";

/// What carries bytes to the office and back.
pub trait Line {
    /// Sends a request with the token, and gives the reply's bytes, as many as came; none when nothing
    /// came.
    fn send(&mut self, token: Option<&Token>, request: &[u8]) -> Option<Vec<u8>>;

    /// Milliseconds of a clock that is better never set.
    fn now_ms(&mut self) -> u64;

    /// Waits until that time after a failure; `false` when there is no time for that now.
    fn wait_until(&mut self, ms: u64) -> bool;
}

/// What an exchange came to.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Exchanged {
    /// Facts that came.
    pub received: usize,
    /// Facts that are safe at the office now.
    pub safe_facts: usize,
    /// Originals that are safe at the office now.
    pub safe_originals: usize,
    /// Facts that were set aside.
    pub set_aside: Vec<SetAside>,
    /// Facts that are kept apart at the office.
    pub kept_apart: usize,
    /// Whether everything was done that there was to do.
    pub quiet: bool,
    /// Whether the office revoked this phone.
    pub revoked: bool,
}

impl<L: Log> App<L> {
    /// Who this phone is to its office.
    ///
    /// # Errors
    /// [`AppError::NotEnrolled`] before [`App::join_office`], [`AppError::KeyClosed`],
    /// [`AppError::Stale`] while a new epoch is due: [`App::renew`].
    pub fn membership(&self) -> Result<Membership, AppError> {
        let keeper = self.keeper()?;
        let wrapped = self.log.setting(TOKEN)?.ok_or(AppError::NotEnrolled)?;
        let secret = self.services.keys.open(&wrapped).ok_or(AppError::KeyClosed)?;
        let office = self.log.setting(OFFICE)?.ok_or(AppError::NotEnrolled)?;
        let office = wythe_job::Certificate::decode(&office)?;
        let mut trust = self.trust()?;
        let device: DeviceId = office.chain().device;
        trust.add(office)?;
        Ok(Membership {
            business: keeper.business,
            chain: keeper.chain,
            token: Token {
                business: keeper.business,
                secret,
            },
            office: device,
            trust,
        })
    }

    /// Exchanges with the office until nothing is left to do, or nothing works. A process that dies in
    /// the middle loses nothing: the next run goes on. An office that does not know this phone's token
    /// any more is shown its certificate, once.
    ///
    /// # Errors
    /// [`AppError::NotEnrolled`], [`AppError::Office`] with the office's reason, [`AppError::Store`].
    pub fn exchange(&mut self, line: &mut dyn Line) -> Result<Exchanged, AppError> {
        if self.log.stale()?.is_some() {
            self.renew(line)?;
        }
        let mut done = Exchanged::default();
        match self.run(line, &mut done) {
            Err(AppError::Office {
                code: "unknown_token",
                ..
            }) => {
                self.renew(line)?;
                self.run(line, &mut done)?;
            }
            other => other?,
        }
        Ok(done)
    }

    fn run(&mut self, line: &mut dyn Line, done: &mut Exchanged) -> Result<(), AppError> {
        let mut phone = Phone::new(self.membership()?);
        let token = phone.token().clone();
        let mut commands = phone.on(Event::Started, self.moment(line), &mut LogStore(&mut self.log));
        loop {
            let mut next = None;
            for command in commands {
                match command {
                    Command::Send { call, bytes } => next = Some((call, bytes)),
                    Command::WakeAt { ms } if next.is_none() => {
                        if done.quiet || !line.wait_until(ms) {
                            return Ok(());
                        }
                    }
                    Command::WakeAt { .. } => {}
                    Command::Report(report) => note(report, done)?,
                }
            }
            if done.quiet && next.is_none() {
                return Ok(());
            }
            let answer = next.map(|(call, bytes)| (call, line.send(Some(&token), &bytes)));
            let now = self.moment(line);
            let event = match &answer {
                Some((call, Some(bytes))) => Event::Answer { call: *call, bytes },
                Some((call, None)) => Event::Failed { call: *call },
                None => Event::Tick,
            };
            commands = phone.on(event, now, &mut LogStore(&mut self.log));
        }
    }

    fn moment(&self, line: &mut dyn Line) -> Now {
        Now {
            ms: line.now_ms(),
            chance: u64::from_be_bytes(self.chance()),
        }
    }

    /// Wants an original that is at the office and not here; the next exchange fetches it.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn want_original(&mut self, wanted: Wanted) -> Result<(), AppError> {
        if self.log.originals().has(wanted.digest)? {
            return Ok(());
        }
        let mut store = LogStore(&mut self.log);
        let keeping = wythe_sync::Keeping {
            want: vec![wanted],
            ..wythe_sync::Keeping::default()
        };
        Ok(store.commit(&keeping)?)
    }

    /// What was set aside in exchanges, with its reasons.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn set_aside(&mut self) -> Result<Vec<SetAside>, AppError> {
        Ok(LogStore(&mut self.log).set_aside()?)
    }

    /// When facts of this phone came to the office, by the office's signed word.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], [`AppError::Store`].
    pub fn office_arrivals(&self) -> Result<OfficeArrivals, AppError> {
        self.arrivals_where(|_| true)
    }

    /// The same of some facts: a record that speaks of none of them is not looked into.
    pub(crate) fn arrivals_where(&self, wanted: impl Fn(FactId) -> bool) -> Result<OfficeArrivals, AppError> {
        let trust = self.trust()?;
        let mut arrivals = OfficeArrivals::default();
        for (record, ids) in arrival_records(&self.log)? {
            if ids.iter().any(|id| wanted(*id)) {
                // One that does not hold is no evidence.
                let _passed_over = arrivals.take(&record, &ids, &trust);
            }
        }
        Ok(arrivals)
    }
}

fn note(report: Report, done: &mut Exchanged) -> Result<(), AppError> {
    match report {
        Report::Quiet => done.quiet = true,
        Report::Received(facts) => done.received += facts,
        Report::Safe { facts, originals } => {
            done.safe_facts += facts;
            done.safe_originals += originals;
        }
        Report::SetAside(aside) => done.set_aside.push(aside),
        Report::KeptApart(facts) => done.kept_apart += facts,
        Report::Revoked => done.revoked = true,
        Report::UnknownToken => {
            return Err(AppError::office(
                "unknown_token",
                "the office does not know this phone",
            ));
        }
        Report::Refused { code, reason } => return Err(AppError::office(code.name(), &reason)),
        Report::Store(trouble) => return Err(AppError::Exchange(trouble)),
        Report::OfferingAgain | Report::WaitsAfterFailure | Report::Disbelieved => {}
    }
    Ok(())
}
