use wythe_guide::figures::Figures;
use wythe_guide::{AskKind, Doubt, Entry, read_entry};
use wythe_job::{
    Address, Agreed, Answered, Body, Edition, FactId, FiguresKept, Instance, JobId, Moment, Noted, PersonId,
};
use wythe_store::{Kept, Log};

use crate::app::App;
use crate::error::AppError;
use crate::jobs::said;
use crate::look::Look;

/// How an answer came about, beyond what was typed.
#[derive(Debug, Clone, Default)]
pub struct Recording {
    /// Who held the tape, when not the one who types.
    pub by: Option<PersonId>,
    /// When, if not now.
    pub at: Option<Moment>,
    /// With what.
    pub instrument: Option<String>,
    /// Why an act is recorded although a stop holds it.
    pub anyway: Option<String>,
}

/// What was recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    /// The fact.
    pub fact: FactId,
    /// What was understood: "11 3/8 in · 289 mm".
    pub read_back: String,
    /// Why it is marked doubtful.
    pub doubt: Option<Doubt>,
}

impl<L: Log> App<L> {
    /// The ask at an address, after checking that the address is one of its own.
    pub(crate) fn ask_at(&self, address: &Address) -> Result<&wythe_guide::Ask, AppError> {
        let ask = self
            .guide
            .ask(&address.ask)
            .ok_or_else(|| AppError::NoAsk(address.ask.clone()))?;
        match (&ask.each, address.path.as_slice()) {
            (None, []) => Ok(ask),
            (Some(group), [place]) if place.of == *group => Ok(ask),
            (Some(group), _) => Err(AppError::WhichOne(ask.id.clone(), group.clone())),
            (None, _) => Err(AppError::OnlyOne(ask.id.clone())),
        }
    }

    /// Reads a typed entry without recording it: for the line above the pad.
    ///
    /// # Errors
    /// [`AppError::Entry`], [`AppError::NoAsk`].
    pub fn understand(&self, address: &Address, typed: &str) -> Result<Entry, AppError> {
        Ok(read_entry(self.ask_at(address)?, typed, self.language().tag())?)
    }

    /// Keeps what was typed and is not yet recorded.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn draft(&mut self, job: JobId, address: &Address, typed: &str) -> Result<(), AppError> {
        let key = address.to_string();
        if typed.is_empty() {
            return Ok(self.log.draft_drop(job.into(), &key)?);
        }
        Ok(self.log.draft_put(job.into(), &key, typed)?)
    }

    /// Records a typed answer. It replaces every answer that holds at the address now.
    ///
    /// # Errors
    /// [`AppError::Entry`] with the bound and the way out, [`AppError::Held`] for an act that a stop
    /// holds, [`AppError::Store`]. What was typed stays as a draft.
    pub fn answer(
        &mut self,
        job: JobId,
        address: &Address,
        typed: &str,
        how: &Recording,
    ) -> Result<Recorded, AppError> {
        self.draft(job, address, typed)?;
        let entry = self.understand(address, typed)?;
        let held = self.holding_stop(job, address, &entry)?;
        if let (Some(held), None) = (&held, &how.anyway) {
            return Err(AppError::Held {
                stop: held.0.clone(),
                text: held.1.clone(),
                way_out: held.2.clone(),
            });
        }
        let replaces = wythe_job::fold(&*self.log.facts(job.into())?).to_replace(address);
        let mut measured = entry.measured;
        measured.by = how.by;
        measured.at = how.at;
        measured.instrument = match &how.instrument {
            Some(named) => Some(named.clone()),
            None => self.instrument_for(job, self.ask_at(address)?)?,
        };
        let visit = self.open_visit(job)?;
        let answered = Answered {
            address: address.clone(),
            value: entry.value,
            measured,
            visit,
        };
        let mut bodies = self.introduction(job)?;
        if let (Some(held), Some(reason)) = (held, &how.anyway) {
            let text = format!("{}: {}", held.0, said(reason)?);
            bodies.push((
                Noted {
                    about: Some(address.clone()),
                    text,
                }
                .into(),
                Vec::new(),
            ));
        }
        bodies.push((answered.into(), replaces));
        // The draft goes in the transaction in which its fact comes.
        let done = vec![Kept::draft(job.into(), &address.to_string(), None)];
        let facts = self.append(job.into(), bodies, done)?;
        let fact = facts
            .last()
            .map(wythe_job::Fact::id)
            .ok_or_else(|| AppError::NoFact(String::new()))?;
        Ok(Recorded {
            fact,
            read_back: entry.read_back,
            doubt: entry.doubt,
        })
    }

    /// The stop that holds an act at this address: its code, what is so, what ends it.
    fn holding_stop(
        &self,
        job: JobId,
        address: &Address,
        entry: &Entry,
    ) -> Result<Option<(String, String, String)>, AppError> {
        let ask = self.ask_at(address)?;
        // Saying that an act was not done is always taken.
        if !ask.act || entry.value == wythe_job::Value::YesNo(false) {
            return Ok(None);
        }
        let look = self.look(job, None)?;
        let known = look.known();
        let stops = wythe_guide::open_stops(&known);
        let Some(open) = stops.iter().find(|open| open.stop.blocks_ask(ask)) else {
            return Ok(None);
        };
        let code = &open.stop.code;
        let words = self.words();
        Ok(Some((
            code.clone(),
            words.get(&format!("stop-{code}")),
            words.get(&open.stop.lifted_by.message()),
        )))
    }

    /// Decides a disagreement.
    ///
    /// # Errors
    /// [`AppError::NoReason`], [`AppError::Entry`], [`AppError::Store`].
    pub fn agree(
        &mut self,
        job: JobId,
        address: &Address,
        typed: &str,
        reason: &str,
    ) -> Result<Recorded, AppError> {
        let reason = said(reason)?;
        let entry = self.understand(address, typed)?;
        let replaces = wythe_job::fold(&*self.log.facts(job.into())?).to_replace(address);
        let body = Agreed {
            address: address.clone(),
            value: entry.value,
            reason,
            measured: entry.measured,
        };
        let fact = self.record(job, body, replaces)?;
        Ok(Recorded {
            fact,
            read_back: entry.read_back,
            doubt: entry.doubt,
        })
    }

    /// Adds one more of something, or takes one away.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for something there is one of, [`AppError::Store`].
    pub fn instance(
        &mut self,
        job: JobId,
        group: &str,
        number: u32,
        there: bool,
        name: Option<String>,
    ) -> Result<FactId, AppError> {
        if !self.guide.groups.iter().any(|known| known.id == group) {
            let known: Vec<&str> = self.guide.groups.iter().map(|group| group.id.as_str()).collect();
            let what = format!(
                "something there are several of; write one of {}",
                known.join(", ")
            );
            return Err(AppError::NotOneOf {
                value: group.to_owned(),
                what,
            });
        }
        let address = Address::of("").at(group, number);
        let folded = wythe_job::fold(&*self.log.facts(job.into())?);
        let held = folded.instances.get(&address).into_iter().flatten();
        let replaces = held.map(|entry| entry.fact).collect();
        self.record(job, Instance { address, there, name }, replaces)
    }

    /// Keeps figures as they stand, as a fact that can be relied upon.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for figures that there are not, [`AppError::FiguresOpen`] while
    /// something is missing.
    pub fn keep_figures(&mut self, job: JobId, id: &str) -> Result<Vec<FactId>, AppError> {
        let look = self.look(job, None)?;
        let here: Vec<_> = look.figures.iter().filter(|figures| figures.id == id).collect();
        if here.is_empty() {
            let value = id.to_owned();
            return Err(AppError::NotOneOf {
                value,
                what: "figures that this job shows".to_owned(),
            });
        }
        let mut bodies: Vec<(Body, Vec<FactId>)> = self.introduction(job)?;
        for figures in here {
            let kept =
                kept_as(figures, &look).ok_or_else(|| AppError::FiguresOpen(figures.missing.join(", ")))?;
            bodies.push((kept.into(), Vec::new()));
        }
        let facts = self.append(job.into(), bodies, Vec::new())?;
        Ok(facts.iter().map(wythe_job::Fact::id).collect())
    }

    /// Whether an ask takes a photograph, a paper or a signature at this address.
    pub(crate) fn ask_of_kind(&self, address: &Address, wanted: &AskKind) -> Result<(), AppError> {
        let ask = self.ask_at(address)?;
        let same = std::mem::discriminant(&ask.kind) == std::mem::discriminant(wanted);
        if same {
            return Ok(());
        }
        let what = match wanted {
            AskKind::Photo => "an ask for a photo",
            AskKind::Paper => "an ask for a paper",
            _ => "an ask for a signature",
        };
        Err(AppError::NotOneOf {
            value: address.to_string(),
            what: what.to_owned(),
        })
    }
}

/// Figures as they are kept: input, result, editions, and the facts behind them.
pub(crate) fn kept_as(figures: &Figures, look: &Look) -> Option<FiguresKept> {
    let result = figures.good()?;
    let mut editions = vec![Edition {
        of: "guide".to_owned(),
        edition: look.guide.digest.short(),
    }];
    let library = figures.editions.iter().map(|(of, edition)| Edition {
        of: of.clone(),
        edition: edition.clone(),
    });
    editions.extend(library);
    Some(FiguresKept {
        reckoning: figures.reckoning.clone(),
        address: Address {
            ask: figures.id.clone(),
            path: figures.path.clone(),
        },
        input: figures.input.to_string(),
        result: result.to_string(),
        editions,
        from: figures.from.clone(),
    })
}

/// The figures of the stages up to a place in the order of the job that are complete and not yet kept
/// as they stand: what a sign-off relies upon.
pub(crate) fn figures_to_keep(look: &Look, last_stage: usize) -> Vec<FiguresKept> {
    let stage_of = |id: &str| look.guide.stage_place(id.split('.').next().unwrap_or_default());
    let due = look
        .figures
        .iter()
        .filter(|figures| stage_of(&figures.id) <= last_stage);
    let kept = due.filter_map(|figures| kept_as(figures, look));
    kept.filter(|kept| {
        let held = look
            .job
            .figures
            .iter()
            .rfind(|held| held.holds() && held.body.address == kept.address);
        held.is_none_or(|held| held.body.input != kept.input || held.body.result != kept.result)
    })
    .collect()
}
