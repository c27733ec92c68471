//! What is done with a job beside its answers: visits, rules, the claim's life, people, other jobs.

use serde_json::json;
use wythe_app::guide::Date;
use wythe_app::job::{Assigned, ClaimMoved, PersonId};
use wythe_app::store::Page;
use wythe_app::{VisitMoment, VisitRecorded};

use crate::job_args::JobCommand;
use crate::packs;
use crate::phone::{Phone, recorded, see};
use crate::text;
use crate::trouble::Trouble;
use crate::typed::answer;

/// The list of jobs, each with its wall in words.
pub fn list(phone: &Phone, search: Option<&str>, today: Option<Date>, json: bool) -> Result<String, Trouble> {
    let mut page = Page {
        search: search.map(str::to_lowercase),
        ..Page::default()
    };
    let mut list = Vec::new();
    let mut out = String::new();
    loop {
        let part = phone.job_lines(&page, today)?;
        for line in part.lines {
            out.push_str(&format!("{}  {}\n", line.job.short(), line.label));
            text::line(&mut out, "          ", &line.words);
            list.push(json!({
                "job": line.job, "label": line.label, "about": line.about, "wall": line.wall, "words": line.words,
            }));
        }
        let Some(next) = part.next else { break };
        page.after = Some(next);
    }
    Ok(answer(json, &json!(list), &out))
}

/// The commands of this module; nothing for the others.
pub fn command(
    phone: &mut Phone,
    command: &JobCommand,
    today: Option<Date>,
    json: bool,
) -> Option<Result<String, Trouble>> {
    Some(match command {
        JobCommand::Visit {
            job,
            sort: None,
            moment: _,
            ..
        } => see(phone, job, "visits", today, json),
        JobCommand::Visit {
            job,
            sort: Some(sort),
            moment: None,
            ..
        } => see(phone, job, &format!("visit/{sort}"), today, json),
        JobCommand::Visit { .. } => visit(phone, command, json),
        JobCommand::Rules { job, accept, reason } => rules(
            phone,
            job,
            accept.as_deref(),
            reason.as_deref().unwrap_or_default(),
            today,
            json,
        ),
        JobCommand::Claim { job, to: None, .. } => see(phone, job, "claim_life", today, json),
        JobCommand::Claim { .. } => claim(phone, command, json),
        JobCommand::Move { .. }
        | JobCommand::Link { .. }
        | JobCommand::Assign { .. }
        | JobCommand::Add { .. } => beside(phone, command, json),
        _ => return None,
    })
}

fn visit(phone: &mut Phone, command: &JobCommand, json: bool) -> Result<String, Trouble> {
    let JobCommand::Visit {
        job,
        sort: Some(sort),
        moment: Some(moment),
        with,
        instrument,
        weather,
        left_safe,
    } = command
    else {
        return Err(Trouble::Usage("Name the visit and its moment.".to_owned()));
    };
    let job = phone.find_job(job)?;
    let named = |text: &String| match text.rsplit_once('=') {
        Some((name, date)) => (name.to_owned(), Some(date.to_owned())),
        None => (text.clone(), None),
    };
    let moment = VisitMoment {
        sort: sort.clone(),
        moment: moment.clone(),
        with: with.clone(),
        weather: weather.clone(),
        instruments: instrument.iter().map(named).collect(),
        left_safe: left_safe.clone(),
        at: None,
    };
    let recorded = phone.visit(job, &moment)?;
    let value = json!({
        "visit": recorded.visit,
        "filled": recorded.filled.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "still_needs": recorded.still_needs,
        "not_left_safe": recorded.not_left_safe,
    });
    let mut out = format!("{}\n", phone.words().get("visit-recorded"));
    for told in visit_in_words(phone, &recorded) {
        text::line(&mut out, "", &told);
    }
    Ok(answer(json, &value, &out))
}

/// What is told when a moment of a visit was recorded, a line each.
pub fn visit_in_words(phone: &Phone, recorded: &VisitRecorded) -> Vec<String> {
    let words = phone.words();
    let mut lines = Vec::new();
    if !recorded.filled.is_empty() {
        let labels = recorded.filled.iter();
        let labels = labels.map(|address| words.get(&format!("ask-{}", address.ask)));
        let names = labels.collect::<Vec<String>>().join("; ");
        lines.push(words.with("visit-filled", &[("names", &names)]));
    }
    lines.extend(recorded.still_needs.clone());
    if !recorded.not_left_safe.is_empty() {
        let labels = recorded.not_left_safe.iter();
        let labels = labels.map(|id| words.get(&format!("left-safe-{id}")));
        let names = labels.collect::<Vec<String>>().join(", ");
        lines.push(words.with("visit-not-left-safe", &[("names", &names)]));
    }
    lines
}

fn rules(
    phone: &mut Phone,
    job: &str,
    accept: Option<&str>,
    reason: &str,
    today: Option<Date>,
    json: bool,
) -> Result<String, Trouble> {
    let job = phone.find_job(job)?;
    let shown = phone.rules_of(job, today)?;
    let Some(digits) = accept else {
        let mut out = text::screen(&shown.screen, phone.words());
        if let Some(newer) = &shown.newer {
            out.push_str(&format!("   wythe job rules --accept {}\n", newer.short()));
        }
        return Ok(answer(
            json,
            &json!({"screen": shown.screen, "newer": shown.newer}),
            &out,
        ));
    };
    let newer = shown
        .newer
        .filter(|newer| digits.len() >= 6 && newer.to_string().starts_with(&digits.to_lowercase()));
    let newer = newer.ok_or(wythe_app::AppError::RulesNotShown)?;
    let changes = phone.accept_rules(job, newer, reason)?;
    Ok(answer(
        json,
        &json!({"rules": newer, "changes": changes}),
        &format!("Taken: rules {}.\n", newer.short()),
    ))
}

fn claim(phone: &mut Phone, command: &JobCommand, json: bool) -> Result<String, Trouble> {
    let JobCommand::Claim {
        job,
        to: Some(to),
        on,
        text,
        amount,
        pack,
        sending,
    } = command
    else {
        return Err(Trouble::Usage("Say what happened to the claim.".to_owned()));
    };
    let job = phone.find_job(job)?;
    let (amount, currency) = match amount.as_deref().map(|amount| amount.split_once(' ')) {
        None => (None, None),
        Some(Some((amount, currency))) => (Some(amount.to_owned()), Some(currency.to_owned())),
        Some(None) => return Err(Trouble::Usage("Write an amount like \"2500.00 USD\".".to_owned())),
    };
    let moved = ClaimMoved {
        to: to.clone(),
        on: on.clone().unwrap_or_default(),
        pack: pack.as_deref().map(packs::pack_id).transpose()?,
        version: *sending,
        text: text.clone(),
        amount,
        currency,
    };
    Ok(recorded(phone.move_claim(job, moved)?, json))
}

fn beside(phone: &mut Phone, command: &JobCommand, json: bool) -> Result<String, Trouble> {
    let fact = match command {
        JobCommand::Move {
            job,
            to,
            reason,
            left_safe,
        } => {
            let job = phone.find_job(job)?;
            phone.move_job(job, to, reason, left_safe.clone())?
        }
        JobCommand::Link { job, other, reason } => {
            let (job, other) = (phone.find_job(job)?, phone.find_job(other)?);
            phone.link_job(job, other, reason)?
        }
        JobCommand::Add {
            job,
            group,
            number,
            name,
            gone,
        } => {
            let job = phone.find_job(job)?;
            phone.instance(job, group, *number, !gone, name.clone())?
        }
        JobCommand::Assign {
            job,
            name,
            role,
            licence,
            licence_until,
        } => {
            let job = phone.find_job(job)?;
            let assigned = Assigned {
                person: PersonId([0; 16]),
                name: name.clone(),
                role: role.clone(),
                licence: licence.clone(),
                licence_until: licence_until.clone(),
            };
            let person = phone.assign(job, assigned)?;
            let text = format!("{name} is on the job.\n");
            return Ok(answer(json, &json!({ "person": person }), &text));
        }
        _ => return Err(Trouble::Usage("That changes nothing.".to_owned())),
    };
    Ok(recorded(fact, json))
}
