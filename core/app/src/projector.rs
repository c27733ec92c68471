use std::collections::BTreeSet;

use wythe_guide::readiness::clerk;
use wythe_job::{Facts, Job, JobId, Stream, Value, fold};
use wythe_store::{Projector, Summary};

/// What is searched for to find the jobs of one house, however its address was written.
pub(crate) fn house(address: &[String]) -> String {
    format!("={}", clerk(&address.join(", ")))
}

/// Makes the summary by which a job is listed and found.
#[derive(Debug, Clone, Copy, Default)]
pub struct JobProjector;

impl Projector for JobProjector {
    fn version(&self) -> u32 {
        3
    }

    fn project(&self, stream: Stream, facts: &Facts) -> Summary {
        let job = fold(facts);
        let Some(opened) = job.opened.iter().find(|entry| entry.holds()) else {
            // The business's own stream, or a job whose beginning has not arrived.
            return Summary {
                label: stream.short(),
                sort_key: format!("~{stream}"),
                json: serde_json::json!({ "kind": "other" }).to_string(),
                search: String::new(),
            };
        };
        let moved = job
            .moves
            .iter()
            .rfind(|entry| entry.holds())
            .map(|entry| entry.body.to.as_str());
        let state = match moved {
            Some("paused") => "paused",
            Some("cancelled") => "cancelled",
            Some("handed_over") => "handed_over",
            _ => "open",
        };
        let claim = job
            .claim
            .iter()
            .rfind(|entry| entry.holds())
            .map(|entry| entry.body.to.clone());
        let programme = job.rules.last().map(|rules| rules.body.programme.clone());
        let prints = job.photos.iter().filter(|photo| photo.holds());
        let prints: String = prints
            .filter_map(|photo| photo.body.fingerprint)
            .map(|print| format!("{print:016x}"))
            .collect();
        let json = serde_json::json!({
            "kind": "job",
            "state": state,
            "claim": claim,
            "programme": programme,
            "address": opened.body.address,
            "facts": facts.len(),
            "photos": job.photos.len(),
            "links": links_of(&job),
            "fingerprints": prints,
        });
        let mut search = vec![opened.body.label.to_lowercase(), stream.to_string()];
        search.extend(opened.body.address.iter().map(|line| line.to_lowercase()));
        search.push(house(&opened.body.address));
        search.extend(serials_of(&job).iter().map(|serial| serial_line(serial)));
        Summary {
            label: opened.body.label.clone(),
            sort_key: opened.body.label.to_lowercase(),
            json: json.to_string(),
            search: search.join("\n"),
        }
    }
}

/// Asks whose answer is a stove's serial number.
const SERIALS: [&str; 3] = ["setting.serial", "plan.crate_serial", "claim.invoice_serial"];

/// What is searched for to find the jobs in which a serial number stands.
pub(crate) fn serial_line(serial: &str) -> String {
    format!("#{}", serial.to_lowercase())
}

/// The serial numbers that hold in a job, as they are compared: capitals and digits alone.
pub(crate) fn serials_of(job: &Job) -> BTreeSet<String> {
    let heads = job.heads.iter();
    let of_serial = heads.filter(|(address, _)| SERIALS.contains(&address.ask.as_str()));
    let texts = of_serial
        .flat_map(|(_, heads)| heads)
        .filter_map(|head| match &head.body.value {
            Value::Text(text) => Some(text),
            _ => None,
        });
    let plain = |text: &String| -> String {
        let kept = text.chars().filter(|letter| letter.is_alphanumeric());
        kept.flat_map(char::to_uppercase).collect()
    };
    texts.map(plain).filter(|serial| serial.len() > 3).collect()
}

/// The jobs that a job names as ones of the same house.
pub(crate) fn links_of(job: &Job) -> Vec<JobId> {
    let links = job.links.iter().filter(|entry| entry.holds());
    links.map(|entry| entry.body.other).collect()
}
