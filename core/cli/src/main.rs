//! The `wythe` command: a phone at the command line, the reckonings, the claim pack and its check.

mod args;
mod carry;
mod demo;
mod entries;
mod job_args;
mod jobs;
mod office;
mod packs;
mod phone;
mod platform;
mod reckon;
mod signing;
mod sync;
mod text;
mod trouble;
mod typed;

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;
use wythe_app::guide::Language;

use args::{Cli, Command};
use trouble::Trouble;

fn main() -> ExitCode {
    let cli = Cli::parse();
    start_log(&cli.command);
    let json = cli.json;
    let ended = match cli.command {
        Command::Demo(args) => demo::run(&args),
        Command::Reckon(args) => reckon::run(&args),
        Command::CheckPack(args) => packs::check(&args, json),
        Command::Begin(args) => phone::begin(&args, json),
        Command::Programme(args) => phone::programme(&args, json),
        Command::Library(args) => phone::library(&args, json),
        Command::Job(args) => phone::job(&args, json),
        Command::Pack(args) => packs::pack(&args, json),
        Command::Carry(args) => carry::run(&args, json),
        Command::Office(args) => office::run(&args, json),
        Command::Sync(args) => sync::run(&args, json),
    };
    match ended {
        Ok(text) => {
            print(&text);
            ExitCode::SUCCESS
        }
        Err(trouble) => {
            complain(&trouble, json);
            ExitCode::from(2)
        }
    }
}

/// Writes to standard output; a reader that went away is no trouble of ours.
pub(crate) fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    let _gone = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

fn complain(trouble: &Trouble, json: bool) {
    let mut err = std::io::stderr().lock();
    let _gone = writeln!(err, "{}", trouble.written(json, Language::En));
}

/// Logs go to standard error. A server's are lines of JSON; any other command writes them only where
/// `WYTHE_LOG` asks for them.
fn start_log(command: &Command) {
    let asked: Option<tracing::Level> = std::env::var("WYTHE_LOG")
        .ok()
        .and_then(|level| level.parse().ok());
    let serves = matches!(command, Command::Office(args) if office::is_server(args));
    let log = tracing_subscriber::fmt().with_writer(std::io::stderr);
    match (serves, asked) {
        (true, level) => log
            .with_max_level(level.unwrap_or(tracing::Level::INFO))
            .json()
            .init(),
        (false, Some(level)) => log.with_max_level(level).init(),
        (false, None) => {}
    }
}
