//! `wythe demo`: plays a scenario file. Nothing here knows any scenario.

mod expected;
mod play;
mod props;
mod scenario;
mod setting;

use std::fs;
use std::path::{Path, PathBuf};

use crate::args::DemoArgs;
use crate::trouble::Trouble;
use scenario::Scenario;

/// The scenario that is played when no other is named.
const DEFAULT_NAME: &str = "larkspur";

macro_rules! scenarios {
    ($($name:literal),* $(,)?) => {
        &[$((
            $name,
            include_str!(concat!("../../../../fixtures/scenarios/", $name, ".toml")),
        )),*]
    };
}

/// Scenarios that the program carries, by their name.
const SCENARIOS: &[(&str, &str)] = scenarios!(
    "larkspur",
    "approval_expired",
    "before_photo_missed",
    "change_order",
    "claim_queried_and_paid",
    "disagreement",
    "ineligible_stove",
    "lapsed_licence",
    "overdue_certificate",
    "pressure_test",
    "propane_two_stoves",
    "renter_and_two_owners",
    "room_co",
    "two_stoves_one_ticket",
);

/// Marks a folder as made by the demonstration, so that it may be made anew.
const MARK: &str = ".wythe-demo";

pub fn run(args: &DemoArgs) -> Result<String, Trouble> {
    if args.list {
        let mut list = String::new();
        for (name, text) in SCENARIOS {
            let title = Scenario::read(name, text)?.head.title;
            list.push_str(&format!("{name}  {title}\n"));
        }
        return Ok(list);
    }
    let named = args
        .scenario
        .clone()
        .unwrap_or_else(|| PathBuf::from(DEFAULT_NAME));
    let carried = SCENARIOS.iter().find(|(name, _)| Path::new(name) == named);
    let (name, text) = match carried {
        Some((name, text)) => (format!("{name}.toml"), (*text).to_owned()),
        None => {
            let text =
                fs::read_to_string(&named).map_err(|why| Trouble::file(named.display().to_string(), &why))?;
            let name = named.file_name().unwrap_or_default();
            (name.to_string_lossy().into_owned(), text)
        }
    };
    let scenario = Scenario::read(&name, &text)?;
    let out = args.out.clone().unwrap_or_else(|| PathBuf::from("wythe-demo"));
    make_room(&out)?;
    let beside = args
        .scenario
        .as_ref()
        .and_then(|path| path.parent())
        .map(Path::to_path_buf);
    play::play(&scenario, &out, beside.as_deref())
}

/// An empty folder for the results. One that the demonstration made before is cleared; any other
/// that holds something is left alone.
fn make_room(out: &Path) -> Result<(), Trouble> {
    let wrong = |why: &std::io::Error| Trouble::file(out.display().to_string(), why);
    if out.join(MARK).is_file() {
        fs::remove_dir_all(out).map_err(|why| wrong(&why))?;
    }
    fs::create_dir_all(out).map_err(|why| wrong(&why))?;
    let occupied = fs::read_dir(out).map_err(|why| wrong(&why))?.next().is_some();
    if occupied {
        let what = out.display().to_string();
        let why = "the folder holds other things; name an empty one with --out".to_owned();
        return Err(Trouble::File { what, why });
    }
    fs::write(out.join(MARK), "Made by `wythe demo`; it may be cleared by it.\n").map_err(|why| wrong(&why))
}
