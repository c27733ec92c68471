//! `wythe demo`: plays a scenario file. Nothing here knows any scenario.

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
const DEFAULT_SCENARIO: &str = include_str!("../../../../fixtures/scenarios/larkspur.toml");
const DEFAULT_NAME: &str = "larkspur.toml";
/// Marks a folder as made by the demonstration, so that it may be made anew.
const MARK: &str = ".wythe-demo";

pub fn run(args: &DemoArgs) -> Result<String, Trouble> {
    let (name, text) = match &args.scenario {
        None => (DEFAULT_NAME.to_owned(), DEFAULT_SCENARIO.to_owned()),
        Some(path) => {
            let text =
                fs::read_to_string(path).map_err(|why| Trouble::file(path.display().to_string(), &why))?;
            (
                path.file_name()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned(),
                text,
            )
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
