use serde::Deserialize;
use wythe_job::{FactId, Place};

use crate::condition::Condition;
use crate::guide::Guide;
use crate::known::Known;
use crate::load::settle;

/// Who, or what, ends a stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LiftedBy {
    /// A paper of the programme.
    Programme,
    /// A paper of the authority that has jurisdiction.
    Authority,
    /// A laboratory's or an abatement firm's paper, never the crew.
    Laboratory,
    /// The sweep's report.
    Sweep,
    /// The maker's letter and the authority together.
    MakerAndAuthority,
    /// The thing is put right and recorded anew.
    PutRight,
    /// A stated reason.
    Reason,
    /// Nobody: only a newer passing measurement ends it, and the failed one stays visible.
    Nobody,
    /// It ends with the act; only who called it off resumes.
    Act,
}

/// One row of the table of stops.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// Its stable code.
    pub code: String,
    /// When it stands.
    pub raise: Condition,
    /// Looked at for each of these.
    pub each: Option<String>,
    /// What it blocks: `everything`, `sign_off`, or stages.
    pub blocks: Vec<String>,
    /// What ends it.
    pub lifted_by: LiftedBy,
    /// The ask whose answer would end it, to be shown as the way out.
    pub way_out: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RawStop {
    code: String,
    raise: Condition,
    each: Option<String>,
    blocks: Vec<String>,
    lifted_by: LiftedBy,
    way_out: Option<String>,
}

/// A stop that stands.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenStop<'a> {
    /// The row of the table.
    pub stop: &'a Stop,
    /// Which of several.
    pub path: Vec<Place>,
    /// The readings that raised it, failed ones since replaced included.
    pub readings: Vec<FactId>,
}

impl Stop {
    pub(crate) fn settle(raw: RawStop, guide: &Guide) -> Result<Self, String> {
        let mut raise = raw.raise;
        settle(&mut raise, &|id| guide.kind_of(id)).map_err(|wrong| format!("{}: {wrong}", raw.code))?;
        for block in &raw.blocks {
            let known = block == "everything" || block == "sign_off";
            if !known && !guide.stages.iter().any(|stage| stage.id == *block) {
                return Err(format!(
                    "{}: a stop blocks everything, sign_off, or a stage; \"{block}\" is none",
                    raw.code
                ));
            }
        }
        if let Some(ask) = &raw.way_out {
            guide
                .ask(ask)
                .ok_or_else(|| format!("{}: there is no ask \"{ask}\"", raw.code))?;
        }
        Ok(Self {
            code: raw.code,
            raise,
            each: raw.each,
            blocks: raw.blocks,
            lifted_by: raw.lifted_by,
            way_out: raw.way_out,
        })
    }

    /// Whether it keeps this stage from going on.
    #[must_use]
    pub fn blocks_stage(&self, stage: &str) -> bool {
        self.blocks
            .iter()
            .any(|block| block == stage || block == "everything")
    }

    /// Whether the owner's sign-off has to wait for it.
    #[must_use]
    pub fn blocks_sign_off(&self) -> bool {
        self.blocks
            .iter()
            .any(|block| block == "sign_off" || block == "everything")
    }
}

/// All stops that stand.
#[must_use]
pub fn open_stops<'a>(known: &Known<'a>) -> Vec<OpenStop<'a>> {
    let mut open = Vec::new();
    for stop in &known.guide.stops {
        let paths: Vec<Vec<Place>> = match &stop.each {
            None => vec![Vec::new()],
            Some(group) => {
                let numbers = known.instances(group).into_iter();
                numbers
                    .map(|number| {
                        vec![Place {
                            of: group.clone(),
                            number,
                        }]
                    })
                    .collect()
            }
        };
        for path in paths {
            let readings = raising_readings(stop, known, &path);
            let taken_back = stop.lifted_by == LiftedBy::Nobody && !passed_since(&readings, known);
            let stands = stop.raise.holds(known, &path) || (taken_back && !readings.is_empty());
            if stands && !lifted(stop, known, &path) {
                open.push(OpenStop {
                    stop,
                    path,
                    readings: readings.into_iter().map(|(id, _)| id).collect(),
                });
            }
        }
    }
    open
}

/// Readings, struck ones included, that raise the stop by themselves. Only comparisons that stand
/// alone or under `any` are looked at: under `all` and `not` a single reading proves nothing.
fn raising_readings(stop: &Stop, known: &Known<'_>, path: &[Place]) -> Vec<(FactId, wythe_job::Address)> {
    let mut readings = Vec::new();
    let alone = |condition: &Condition| condition.all.is_empty() && condition.not.is_none();
    let parts: Vec<&Condition> = if stop.raise.any.is_empty() {
        std::iter::once(&stop.raise).filter(|part| alone(part)).collect()
    } else {
        stop.raise.any.iter().filter(|part| alone(part)).collect()
    };
    for part in parts.into_iter().filter(|part| !part.missing && !part.present) {
        let Some(ask) = part.ask.as_ref().and_then(|ask| known.guide.ask(ask)) else {
            continue;
        };
        for address in known.addresses(ask, path) {
            for entry in known.job.record.get(&address).into_iter().flatten() {
                if part.fits(&entry.body.value, known, path) {
                    readings.push((entry.fact, address.clone()));
                }
            }
        }
    }
    readings
}

/// Whether each raising reading was followed by a reading of the same address that holds.
fn passed_since(readings: &[(FactId, wythe_job::Address)], known: &Known<'_>) -> bool {
    readings.iter().all(|(fact, address)| {
        let raised = known
            .job
            .record
            .get(address)
            .into_iter()
            .flatten()
            .find(|entry| entry.fact == *fact);
        let heads = known.job.heads_of(address);
        raised.is_some_and(|raised| heads.iter().any(|head| head.stamp > raised.stamp))
    })
}

fn lifted(stop: &Stop, known: &Known<'_>, path: &[Place]) -> bool {
    if matches!(stop.lifted_by, LiftedBy::Nobody | LiftedBy::PutRight) {
        return false;
    }
    known
        .job
        .lifted
        .iter()
        .filter(|entry| entry.holds())
        .any(|entry| {
            let here = entry
                .body
                .address
                .as_ref()
                .is_none_or(|address| address.path == path);
            let stands_on_something = stop.lifted_by == LiftedBy::Reason
                || stop.lifted_by == LiftedBy::Act
                || !entry.body.evidence.is_empty();
            entry.body.stop == stop.code && here && stands_on_something
        })
}
