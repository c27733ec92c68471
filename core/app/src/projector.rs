use wythe_guide::readiness::clerk;
use wythe_job::{Facts, Stream, fold};
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
            "fingerprints": prints,
        });
        let mut search = vec![opened.body.label.to_lowercase(), stream.to_string()];
        search.extend(opened.body.address.iter().map(|line| line.to_lowercase()));
        search.push(house(&opened.body.address));
        Summary {
            label: opened.body.label.clone(),
            sort_key: opened.body.label.to_lowercase(),
            json: json.to_string(),
            search: search.join("\n"),
        }
    }
}
