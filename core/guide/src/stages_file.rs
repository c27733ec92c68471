//! The file of stages: what a job is made of before anything is asked.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::{Spanned, Table};
use wythe_job::Digest;

use crate::ask::{Group, Stage, VisitSort};
use crate::guide::{Event, Guide};
use crate::load::{File, LoadFault, is_id};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StagesFile {
    roles: Vec<String>,
    #[serde(default)]
    left_safe: Vec<String>,
    #[serde(default)]
    glance: Vec<String>,
    stage: Vec<Spanned<Table>>,
    visit: Vec<Spanned<Table>>,
    group: Vec<Spanned<Table>>,
    event: Vec<Spanned<Table>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawStage {
    id: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawVisit {
    id: String,
    #[serde(default)]
    leaves_house_open: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawGroup {
    id: String,
    #[serde(default)]
    least: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawEvent {
    id: String,
    asks: Vec<String>,
}

/// A guide with everything but its asks, stops and figures.
pub(crate) fn read(file: File<'_>) -> Result<Guide, LoadFault> {
    let head: StagesFile = file.head()?;
    let stages = file.items::<RawStage>(head.stage)?;
    let visits = file.items::<RawVisit>(head.visit)?;
    let groups = file.items::<RawGroup>(head.group)?;
    let events = file.items::<RawEvent>(head.event)?;
    let ids = stages.iter().map(|item| (item.line, &item.body.id));
    let ids = ids.chain(visits.iter().map(|item| (item.line, &item.body.id)));
    let ids = ids.chain(groups.iter().map(|item| (item.line, &item.body.id)));
    let mut ids = ids.chain(events.iter().map(|item| (item.line, &item.body.id)));
    if let Some((line, wrong)) = ids.find(|(_, id)| !is_id(id)) {
        let message = format!("\"{wrong}\" is written with small letters, digits and underscores");
        return Err(file.fault(line, message));
    }
    let visit = |raw: RawVisit| VisitSort {
        id: raw.id,
        leaves_house_open: raw.leaves_house_open,
    };
    Ok(Guide {
        stages: stages
            .into_iter()
            .map(|item| Stage { id: item.body.id })
            .collect(),
        visits: visits.into_iter().map(|item| visit(item.body)).collect(),
        groups: groups
            .into_iter()
            .map(|item| Group {
                id: item.body.id,
                least: item.body.least,
            })
            .collect(),
        events: events
            .into_iter()
            .map(|item| Event {
                id: item.body.id,
                asks: item.body.asks,
            })
            .collect(),
        roles: head.roles,
        left_safe: head.left_safe,
        asks: Vec::new(),
        stops: Vec::new(),
        figures: Vec::new(),
        loads: Vec::new(),
        glance: head.glance,
        digest: Digest([0; 32]),
        index: BTreeMap::new(),
    })
}
