//! A phone at the command line.

use serde_json::{Value as Json, json};
use wythe_app::guide::screen::{Block, grade_in_words, way_out};
use wythe_app::guide::{Date, Language};
use wythe_app::media::grade::HowAdded;
use wythe_app::store::SqliteLog;
use wythe_app::{App, NewDevice, NewJob, PhotoOptions, Recorded, Recording, TimerDeed};

use crate::args::{BeginArgs, JobArgs, LibraryArgs, ProgrammeArgs};
use crate::entries;
use crate::job_args::JobCommand;
use crate::jobs;
use crate::packs::print_paper;
use crate::platform::{open, open_begun};
use crate::signing;
use crate::text;
use crate::trouble::Trouble;
use crate::typed::{answer, at_address, day, moment, position, read_bytes, read_text};

pub type Phone = App<SqliteLog>;

pub fn begin(args: &BeginArgs, json: bool) -> Result<String, Trouble> {
    let language = Language::from_tag(&args.language).ok_or_else(|| {
        Trouble::Usage(format!(
            "There is no language {}: write en, es or fr.",
            args.language
        ))
    })?;
    let person = match &args.person {
        Some(person) => person.clone(),
        None => return begin_epoch(args, json),
    };
    let device = NewDevice {
        person_name: person.clone(),
        role: args.role.clone(),
        device_name: args.device.clone(),
    };
    match (&args.business, &args.join) {
        (Some(name), None) => {
            open(&args.store.store, json)?.begin_business(name, &device)?;
        }
        (None, Some(office)) => {
            let mut office = open_begun(office, json)?;
            open(&args.store.store, json)?.join(&device, |id, key, name| office.enrol(id, key, name))?;
        }
        _ => {
            return Err(Trouble::Usage(
                "Give --business NAME for an office, or --join DIR for a phone.".to_owned(),
            ));
        }
    }
    let mut phone = open(&args.store.store, json)?;
    phone.set_language(language)?;
    let (business, name, fingerprint) = phone.business()?;
    Ok(answer(
        json,
        &json!({"business": business, "name": name, "fingerprint": fingerprint.to_string()}),
        &format!("{person} works for {name}.\nThe business's fingerprint: {fingerprint}\n"),
    ))
}

fn begin_epoch(args: &BeginArgs, json: bool) -> Result<String, Trouble> {
    let mut phone = open_begun(&args.store.store, json)?;
    let epoch = match &args.join {
        None => phone.begin_office_epoch()?,
        Some(office) => {
            let mut office = open_begun(office, json)?;
            phone.begin_epoch(|id, key, name| office.enrol(id, key, name))?
        }
    };
    Ok(answer(
        json,
        &json!({ "epoch": epoch }),
        &format!("Epoch {epoch} begins; what was recorded before stays as it is.\n"),
    ))
}

pub fn programme(args: &ProgrammeArgs, json: bool) -> Result<String, Trouble> {
    let mut phone = open_begun(&args.store.store, json)?;
    let Some(path) = &args.file else {
        let programmes = phone.programmes()?;
        let list: Vec<Json> = programmes
            .values()
            .map(|p| json!({"id": p.id, "name": p.name, "edition": p.edition, "digest": p.digest}))
            .collect();
        let lines = programmes
            .values()
            .map(|p| format!("{}  {} ({})\n", p.id, p.name, p.edition));
        return Ok(answer(json, &json!(list), &lines.collect::<String>()));
    };
    let text = read_text(path)?;
    let name = path
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let digest = phone.add_programme(&name, &text)?;
    Ok(answer(
        json,
        &json!({"digest": digest}),
        &format!("Added, rules {}.\n", digest.short()),
    ))
}

pub fn library(args: &LibraryArgs, json: bool) -> Result<String, Trouble> {
    let mut phone = open_begun(&args.store.store, json)?;
    match (&args.sort, &args.id, &args.file) {
        (Some(sort), Some(id), Some(path)) => {
            let fact = phone.keep_in_library(sort, id, &read_text(path)?)?;
            Ok(answer(json, &json!({"fact": fact}), "Kept.\n"))
        }
        _ => {
            let library = phone.library()?;
            let list: Vec<Json> = library
                .iter()
                .map(|((sort, id), content)| json!({"sort": sort, "id": id, "content": content}))
                .collect();
            let lines = library
                .iter()
                .map(|((sort, id), content)| format!("{sort} {id}: {content}\n"));
            Ok(answer(json, &json!(list), &lines.collect::<String>()))
        }
    }
}

pub fn job(args: &JobArgs, json: bool) -> Result<String, Trouble> {
    let mut phone = open_begun(&args.store.store, json)?;
    let today = day(args.today.as_deref())?;
    match &args.command {
        JobCommand::New {
            label,
            address,
            zone,
            place,
            programme,
        } => {
            let new = NewJob {
                label: label.clone(),
                address: address.clone(),
                zone: zone.clone(),
                position: place.as_deref().map(position).transpose()?,
                programme: programme.clone(),
            };
            let job = phone.open_job(&new)?;
            Ok(answer(
                json,
                &json!({"job": job}),
                &format!("Job {} is open.\n", job.short()),
            ))
        }
        JobCommand::List { search } => jobs::list(&phone, search.as_deref(), today, json),
        JobCommand::See { job, screen } => see(&phone, job, screen, today, json),
        JobCommand::Missing { job } => see(&phone, job, "missing", today, json),
        JobCommand::Words { .. } => signing::words(&phone, &args.command, json),
        JobCommand::Print {
            job,
            what,
            out,
            paper,
        } => print_paper(&phone, phone.find_job(job)?, what, (out, *paper), today, json),
        JobCommand::Entries { job, address } => entries::list(&phone, job, address.as_deref(), json),
        JobCommand::Asks { job, stage } => asks(&phone, job, stage.as_deref(), today, json),
        other => {
            jobs::command(&mut phone, other, today, json).unwrap_or_else(|| change(&mut phone, other, json))
        }
    }
}

pub fn see(
    phone: &Phone,
    job: &str,
    screen: &str,
    today: Option<Date>,
    json: bool,
) -> Result<String, Trouble> {
    let look = phone.look(phone.find_job(job)?, today)?;
    let screen = look.screen(screen, phone.words())?;
    Ok(answer(
        json,
        &serde_json::to_value(&screen).unwrap_or_default(),
        &text::screen(&screen, phone.words()),
    ))
}

fn asks(
    phone: &Phone,
    job: &str,
    stage: Option<&str>,
    today: Option<Date>,
    json: bool,
) -> Result<String, Trouble> {
    let look = phone.look(phone.find_job(job)?, today)?;
    let mut list = Vec::new();
    let mut out = String::new();
    for known in look
        .guide
        .stages
        .iter()
        .filter(|known| stage.is_none_or(|stage| stage == known.id))
    {
        for block in look.screen(&known.id, phone.words())?.blocks {
            if let Block::Ask {
                id,
                label,
                kind,
                value,
                state,
                choices,
                ..
            } = block
            {
                let choices: Vec<&str> = choices.iter().map(|choice| choice.code.as_str()).collect();
                let value_text = value
                    .clone()
                    .map(|value| format!(" = {value}"))
                    .unwrap_or_default();
                out.push_str(&format!("{id}  ({kind}) {label}{value_text}\n"));
                list.push(json!({
                    "address": id, "label": label, "kind": kind, "value": value, "state": state,
                    "choices": choices,
                }));
            }
        }
    }
    if list.is_empty() {
        return Err(Trouble::Usage(format!(
            "There is no stage {}.",
            stage.unwrap_or_default()
        )));
    }
    Ok(answer(json, &json!(list), &out))
}

fn change(phone: &mut Phone, command: &JobCommand, json: bool) -> Result<String, Trouble> {
    let find = |phone: &Phone, digits: &str| phone.find_job(digits);
    let fact = match command {
        JobCommand::Answer {
            job,
            address,
            typed,
            instrument,
            at,
            anyway,
        } => {
            let job = find(phone, job)?;
            let how = Recording {
                instrument: instrument.clone(),
                at: at.as_deref().map(moment).transpose()?,
                anyway: anyway.clone(),
                by: None,
            };
            let recorded = phone.answer(job, &at_address(address)?, typed, &how)?;
            return Ok(recorded_text(&recorded, json));
        }
        JobCommand::Timer {
            job,
            address,
            deed,
            at,
        } => {
            let job = find(phone, job)?;
            let deed = TimerDeed::named(deed)
                .ok_or_else(|| Trouble::Usage("A timer is told start, tap, stop or drop.".to_owned()))?;
            let at = at.as_deref().map(moment).transpose()?;
            return Ok(match phone.timer(job, &at_address(address)?, deed, at)? {
                Some(recorded) => recorded_text(&recorded, json),
                None => answer(json, &json!({}), "Noted.\n"),
            });
        }
        JobCommand::Again { job, figures } => {
            let job = find(phone, job)?;
            phone.measure_again(job, figures)?
        }
        JobCommand::Agree {
            job,
            address,
            typed,
            reason,
        } => {
            let job = find(phone, job)?;
            let recorded = phone.agree(job, &at_address(address)?, typed, reason)?;
            return Ok(recorded_text(&recorded, json));
        }
        JobCommand::Photo {
            job,
            address,
            file,
            best,
            just_taken,
            preview,
        } => {
            let job = find(phone, job)?;
            let options = PhotoOptions {
                added: if *just_taken {
                    HowAdded::JustTaken
                } else {
                    HowAdded::FromFiles
                },
                preview: preview.as_deref().map(read_bytes).transpose()?,
                best_i_can: best.clone(),
                phone_position: None,
            };
            let added = phone.add_photo(job, &at_address(address)?, file, &options)?;
            let taken = added
                .taken
                .clone()
                .unwrap_or_else(|| "no time of its own".to_owned());
            let words = phone.words();
            let mut text = format!(
                "{} × {} pixels, {taken}. {}\n",
                added.size.0,
                added.size.1,
                grade_in_words(&added.grade, words),
            );
            if let Some(way) = way_out(&added.grade, words) {
                text.push_str(&format!("{way}\n"));
            }
            return Ok(answer(
                json,
                &json!({
                    "fact": added.fact, "original": added.original, "grade": added.grade.code, "reasons": added.grade.reasons,
                }),
                &text,
            ));
        }
        JobCommand::Paper { job, address, file } => {
            let job = find(phone, job)?;
            let added = phone.add_paper(job, &at_address(address)?, file)?;
            let value = json!({"fact": added.fact, "original": added.original, "pages": added.pages});
            return Ok(answer(json, &value, "Added.\n"));
        }
        JobCommand::Sign { .. } => signing::sign(phone, command)?,
        JobCommand::Strike { job, entry, reason } => {
            let job = find(phone, job)?;
            let entry = phone.find_fact(job, entry)?;
            phone.strike(job, vec![entry], reason)?
        }
        JobCommand::Keep { job, figures } => {
            let job = find(phone, job)?;
            phone.work_out(job)?;
            let facts = phone.keep_figures(job, figures)?;
            return Ok(answer(json, &json!({"facts": facts}), "Kept.\n"));
        }
        JobCommand::Lift {
            job,
            stop,
            by,
            on,
            reason,
        } => {
            let job = find(phone, job)?;
            let evidence = on
                .iter()
                .map(|digits| phone.find_fact(job, digits))
                .collect::<Result<_, _>>()?;
            phone.lift_stop(job, stop, by, evidence, reason)?
        }
        JobCommand::Note { job, text } => {
            let job = find(phone, job)?;
            phone.note(job, text)?
        }
        JobCommand::Erase { job, entry, reason } => {
            let job = find(phone, job)?;
            let entry = phone.find_fact(job, entry)?;
            phone.erase(job.into(), entry, reason)?
        }
        _ => return Err(Trouble::Usage("That changes nothing.".to_owned())),
    };
    Ok(recorded(fact, json))
}

/// The line that says that an entry is there.
pub fn recorded(fact: wythe_app::job::FactId, json: bool) -> String {
    answer(
        json,
        &json!({"fact": fact}),
        &format!("Recorded, entry {}.\n", fact.short()),
    )
}

fn recorded_text(recorded: &Recorded, json: bool) -> String {
    let value = json!({
        "fact": recorded.fact,
        "understood": recorded.read_back,
        "doubtful": recorded.doubt.is_some(),
    });
    let mut text = format!("{}\n", recorded.read_back);
    if let Some(doubt) = &recorded.doubt {
        let usual = [&doubt.least, &doubt.most].map(|bound| bound.clone().unwrap_or_else(|| "…".to_owned()));
        text.push_str(&format!(
            "Kept, but unusual: most are between {} and {}.\n",
            usual[0], usual[1]
        ));
    }
    answer(json, &value, &text)
}
