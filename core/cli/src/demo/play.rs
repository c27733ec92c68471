//! Plays a scenario: opens the stores, does the acts in order, tells the story.

mod evidence;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use wythe_app::guide::screen::figure_lines;
use wythe_app::guide::{Language, Words};
use wythe_app::job::{Address, ClaimMoved, JobId};
use wythe_app::media::made::MadePosition;
use wythe_app::pack::paper::PageSize;
use wythe_app::{NewJob, Recording, TimerDeed, VisitMoment};

use super::props::{milliseconds, write};
use super::scenario::{Act, Scenario};
use super::setting::{device, open_store, programme, programme_id, set_licence};
use crate::packs;
use crate::phone::Phone;
use crate::platform::SetClock;
use crate::text;
use crate::trouble::Trouble;
use crate::typed::{at_address, day, moment, position};

/// Plays a scenario into a folder and tells its story.
pub fn play(scenario: &Scenario, out: &Path, beside: Option<&Path>) -> Result<String, Trouble> {
    let mut stage = Stage::set(scenario, out, beside)?;
    stage.tell(&scenario.head.title);
    stage.tell(&"─".repeat(scenario.head.title.chars().count().min(96)));
    for (line, act) in &scenario.acts {
        let played = stage.act(act);
        let ended = match (&act.refused, played) {
            (None, played) => played,
            (Some(code), Err(trouble)) if trouble.code() == code => {
                stage.tell_under(
                    "   ",
                    &format!("Refused: {}", trouble.written(false, Language::En)),
                );
                Ok(())
            }
            (Some(code), Err(trouble)) => Err(Trouble::Usage(format!(
                "refused as {} ({trouble}), and {code} was expected",
                trouble.code()
            ))),
            (Some(code), Ok(())) => Err(Trouble::Usage(format!("not refused, and {code} was expected"))),
        };
        ended.map_err(|trouble| Trouble::Scenario {
            file: scenario.file.clone(),
            place: format!("line {line}"),
            why: trouble.to_string(),
        })?;
    }
    Ok(stage.story)
}

pub(super) struct Stage<'s> {
    scenario: &'s Scenario,
    out: PathBuf,
    clock: SetClock,
    phones: BTreeMap<String, Phone>,
    pub(super) job: JobId,
    here: MadePosition,
    pictures: u64,
    tag: Option<String>,
    story: String,
    last_pack: Option<PathBuf>,
}

impl<'s> Stage<'s> {
    fn set(scenario: &'s Scenario, out: &Path, beside: Option<&Path>) -> Result<Self, Trouble> {
        let clock = SetClock::at(moment(&scenario.head.clock)?);
        let mut phones: BTreeMap<String, Phone> = BTreeMap::new();
        let office = scenario.stores.iter().find(|store| store.office);
        let office = office.ok_or_else(|| Trouble::Usage("no store is the office".to_owned()))?;
        let mut first = open_store(scenario, office, out, &clock, 0)?;
        first.begin_business(&scenario.head.business, &device(office))?;
        let (file, text) = programme(&scenario.head.programme, beside)?;
        first.add_programme(&file, &text)?;
        for entry in &scenario.library {
            let content = serde_json::to_string(&entry.content).unwrap_or_default();
            first.keep_in_library(&entry.sort, &entry.id, &content)?;
        }
        for (number, store) in scenario
            .stores
            .iter()
            .enumerate()
            .filter(|(_, store)| !store.office)
        {
            let mut phone = open_store(scenario, store, out, &clock, number + 1)?;
            phone.join(&device(store), |id, key, name| first.enrol(id, key, name))?;
            set_licence(&mut phone, store)?;
            phones.insert(store.id.clone(), phone);
        }
        set_licence(&mut first, office)?;
        let place = position(&scenario.head.job.place)?;
        let job = first.open_job(&NewJob {
            label: scenario.head.job.label.clone(),
            address: scenario.head.job.address.clone(),
            zone: scenario.head.job.zone.clone(),
            position: Some(place),
            programme: programme_id(&text, &first)?,
        })?;
        phones.insert(office.id.clone(), first);
        let here = MadePosition {
            latitude: place.latitude.0,
            longitude: place.longitude.0,
            altitude_m: None,
            error_m: Some(6.0),
            age_s: 0,
            at_utc: None,
        };
        let mut stage = Self {
            scenario,
            out: out.to_path_buf(),
            clock,
            phones,
            job,
            here,
            pictures: 0,
            tag: None,
            story: String::new(),
            last_pack: None,
        };
        let everybody: Vec<String> = scenario.stores.iter().map(|store| store.id.clone()).collect();
        stage.join(&everybody)?;
        Ok(stage)
    }

    fn tell(&mut self, words: &str) {
        text::line(&mut self.story, "", words);
    }

    fn tell_under(&mut self, lead: &str, words: &str) {
        text::line(&mut self.story, lead, words);
    }

    pub(super) fn phone(&mut self, act: &Act) -> Result<&mut Phone, Trouble> {
        let id = match &act.on {
            Some(id) => id.clone(),
            None => self
                .scenario
                .stores
                .first()
                .map(|store| store.id.clone())
                .unwrap_or_default(),
        };
        self.phones
            .get_mut(&id)
            .ok_or_else(|| Trouble::Usage(format!("there is no store \"{id}\"")))
    }

    fn act(&mut self, act: &Act) -> Result<(), Trouble> {
        match &act.at {
            Some(at) => self.clock.set(moment(at)?),
            None => self.clock.pass(60_000),
        }
        if let Some(say) = &act.say {
            self.story.push('\n');
            let at = self.clock.true_time();
            let date = wythe_app::guide::local_date(at, &self.scenario.head.job.zone);
            let date = date.map_or_else(String::new, |date| date.to_string());
            self.tell(&format!("{date}  {say}"));
        }
        let job = self.job;
        if !act.answers.is_empty() {
            self.answers(act)?;
        } else if let Some(address) = &act.photo {
            self.photo(act, address)?;
        } else if let Some(address) = &act.paper {
            self.paper(act, address)?;
        } else if let Some(address) = &act.sign {
            self.sign(act, &at_address(address)?)?;
        } else if let Some(sort) = &act.visit {
            let moment = VisitMoment {
                sort: sort.clone(),
                moment: act.moment.clone().unwrap_or_else(|| "arrived".to_owned()),
                weather: act.weather.clone(),
                left_safe: act.left_safe.clone(),
                with: act.with.clone(),
                instruments: act.instruments.iter().map(|name| (name.clone(), None)).collect(),
                at: None,
            };
            let phone = self.phone(act)?;
            let recorded = phone.visit(job, &moment)?;
            for told in crate::jobs::visit_in_words(phone, &recorded) {
                self.tell_under("   ", &told);
            }
        } else if let Some(to) = &act.moved {
            let reason = act.reason.clone().unwrap_or_default();
            let left_safe = act.left_safe.clone();
            self.phone(act)?.move_job(job, to, &reason, left_safe)?;
        } else if !act.join.is_empty() {
            self.join(&act.join)?;
        } else if let Some(screen) = &act.show {
            let today = day(act.date.as_deref())?;
            let phone = self.phone(act)?;
            let shown = phone.look(job, today)?.screen(screen, phone.words())?;
            let shown = text::screen(&shown, phone.words());
            let rows: Vec<&str> = shown.lines().collect();
            let most = act
                .number
                .and_then(|most| usize::try_from(most).ok())
                .unwrap_or(rows.len());
            for row in rows.iter().take(most) {
                self.story.push_str("   ");
                self.story.push_str(row);
                self.story.push('\n');
            }
            if rows.len() > most {
                self.story.push_str("    …\n");
            }
        } else if let Some(address) = &act.strike {
            let address = at_address(address)?;
            let reason = act.reason.clone().unwrap_or_default();
            let phone = self.phone(act)?;
            let facts = phone.look(job, None)?.job.to_replace(&address);
            phone.strike(job, facts, &reason)?;
        } else if let Some(address) = &act.agree {
            let typed = act.typed.clone().unwrap_or_default();
            let reason = act.reason.clone().unwrap_or_default();
            self.phone(act)?
                .agree(job, &at_address(address)?, &typed, &reason)?;
        } else if let Some(figures) = &act.keep {
            let phone = self.phone(act)?;
            phone.work_out(job)?;
            phone.keep_figures(job, figures)?;
            self.figures(act, figures)?;
        } else if let Some(address) = &act.timer {
            self.timer(act, &at_address(address)?)?;
        } else if let Some(figures) = &act.again {
            self.figures(act, figures)?;
            self.phone(act)?.measure_again(job, figures)?;
        } else if let Some(stop) = &act.lift {
            let evidence = match &act.evidence {
                None => Vec::new(),
                Some(address) => {
                    let address = at_address(address)?;
                    let look = self.phone(act)?.look(job, None)?;
                    let known = look.known();
                    let ask = look.guide.ask(&address.ask);
                    ask.map(|ask| known.evidence(ask, &address)).unwrap_or_default()
                }
            };
            let by = act.by.clone().unwrap_or_default();
            let reason = act.reason.clone().unwrap_or_default();
            self.phone(act)?.lift_stop(job, stop, &by, evidence, &reason)?;
        } else if let Some(words) = &act.note {
            self.phone(act)?.note(job, words)?;
        } else if let Some(to) = &act.claim {
            self.claim(act, to)?;
        } else if let Some(group) = &act.add {
            let number = act.number.unwrap_or(2);
            let name = act.name.clone();
            self.phone(act)?.instance(job, group, number, true, name)?;
        } else if let Some(expect) = &act.expect {
            self.expect(act, expect)?;
        } else if act.pack {
            self.pack(act)?;
        }
        Ok(())
    }

    fn answers(&mut self, act: &Act) -> Result<(), Trouble> {
        let job = self.job;
        let how = Recording {
            instrument: act.instrument.clone(),
            anyway: act.anyway.clone(),
            ..Recording::default()
        };
        for (address, typed) in &act.answers {
            let recorded = self.phone(act)?.answer(job, &at_address(address)?, typed, &how)?;
            if recorded.doubt.is_some() {
                let label = self
                    .phone(act)?
                    .words()
                    .get(&format!("ask-{}", at_address(address)?.ask));
                self.tell_under(
                    "   ",
                    &format!("{label}: {} is kept, but unusual.", recorded.read_back),
                );
            }
            self.clock.pass(5_000);
        }
        Ok(())
    }

    /// A timer as it is played: started now, tapped and stopped after so many seconds.
    fn timer(&mut self, act: &Act, address: &Address) -> Result<(), Trouble> {
        let job = self.job;
        let end = act.seconds.or(act.taps.last().copied()).unwrap_or_default();
        let deeds = act.taps.iter().map(|tap| (*tap, TimerDeed::Tap));
        self.phone(act)?.timer(job, address, TimerDeed::Start, None)?;
        let mut passed = 0;
        for (seconds, deed) in deeds.chain([(end, TimerDeed::Stop)]) {
            let ms = milliseconds(seconds)?;
            self.clock.pass(ms - passed);
            passed = ms;
            self.phone(act)?.timer(job, address, deed, None)?;
        }
        Ok(())
    }

    /// Every store of the list gets what every other has, by file, both ways.
    fn join(&mut self, stores: &[String]) -> Result<(), Trouble> {
        for pass in 0..2 {
            for from in stores {
                let file = self.out.join("carried").join(format!("{from}.wythe"));
                write(&file, &[])?;
                let phone = self.phones.get(from);
                let phone = phone.ok_or_else(|| Trouble::Usage(format!("there is no store \"{from}\"")))?;
                phone.carry_out(&file)?;
                for to in stores.iter().filter(|to| *to != from) {
                    let phone = self.phones.get_mut(to);
                    let phone = phone.ok_or_else(|| Trouble::Usage(format!("there is no store \"{to}\"")))?;
                    let carried = phone.carry_in(&file)?;
                    if pass == 1 && carried.new_facts > 0 {
                        return Err(Trouble::Usage(format!(
                            "{to} still learned from {from} in the second pass"
                        )));
                    }
                }
            }
        }
        Ok(())
    }

    fn figures(&mut self, act: &Act, id: &str) -> Result<(), Trouble> {
        let job = self.job;
        let phone = self.phone(act)?;
        let words: std::sync::Arc<Words> = std::sync::Arc::clone(phone.words());
        let look = phone.look(job, None)?;
        for figures in look.figures.iter().filter(|figures| figures.id == id) {
            let plan = look.guide.figures.iter().find(|plan| plan.id == id);
            let Some(result) = figures.good() else { continue };
            let title = words.get(&format!("figures-{id}"));
            let lines = plan
                .into_iter()
                .flat_map(|plan| figure_lines(plan, result, &words));
            let parts: Vec<String> = lines.map(|(name, text)| format!("{name} {text}")).collect();
            self.tell_under("   ", &format!("{title}: {}.", parts.join(", ")));
        }
        Ok(())
    }

    fn claim(&mut self, act: &Act, to: &str) -> Result<(), Trouble> {
        let job = self.job;
        let pack = match &self.last_pack {
            Some(path) if to == "sent" => Some(packs::pack_id(path)?),
            _ => None,
        };
        let money = act.amount.as_deref().and_then(|amount| amount.split_once(' '));
        let moved = ClaimMoved {
            to: to.to_owned(),
            on: act.date.clone().unwrap_or_default(),
            pack,
            version: act.sending.unwrap_or_default(),
            text: act.reason.clone(),
            amount: money.map(|(amount, _)| amount.to_owned()),
            currency: money.map(|(_, currency)| currency.to_owned()),
        };
        self.phone(act)?.move_claim(job, moved)?;
        Ok(())
    }

    fn pack(&mut self, act: &Act) -> Result<(), Trouble> {
        let job = self.job;
        let today = day(act.date.as_deref())?;
        let sheet = if self.scenario.head.job.paper == "a4" {
            PageSize::A4
        } else {
            PageSize::Letter
        };
        let file = self.out.join("claim-pack.zip");
        let phone = self.phone(act)?;
        let made = packs::make(phone, job, &file, sheet, today)?;
        let (_, _, fingerprint) = phone.business()?;
        let checked = packs::check_file(&file, Some(&fingerprint.to_string()))?;
        self.story.push('\n');
        self.tell(&format!(
            "The claim pack: {} ({} pages, {} photos and papers)",
            file.display(),
            made.pages,
            made.report.originals
        ));
        self.tell(&format!("Stores, photos and papers: {}", self.out.display()));
        let trust = format!("wythe check-pack {} --trust {fingerprint}", file.display());
        self.story.push_str(&trust);
        self.story.push('\n');
        self.story.push_str(&checked);
        self.last_pack = Some(file);
        Ok(())
    }
}
