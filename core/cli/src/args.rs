//! The words of the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use wythe_app::pack::paper::PageSize;

use crate::job_args::JobCommand;

/// Change-out of an old wood stove for a sealed gas stove: from the survey to a claim that is paid.
#[derive(Debug, Parser)]
#[command(name = "wythe", version, max_term_width = 100)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Answer with JSON; troubles too.
    #[arg(long, global = true)]
    pub json: bool,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Play an invented job from the survey to the checked claim pack.
    Demo(DemoArgs),
    /// Work out one reckoning from a JSON object.
    Reckon(ReckonArgs),
    /// Check a claim pack: nothing changed, nothing missing, whose it is.
    CheckPack(CheckArgs),
    /// Make a store: a new business's office, or a phone that joins it.
    Begin(BeginArgs),
    /// Add a programme's file to the business's library.
    Programme(ProgrammeArgs),
    /// Keep a model, a stock list, a licence in the business's library.
    Library(LibraryArgs),
    /// Open, list and fill jobs.
    Job(JobArgs),
    /// Put a job's claim pack together.
    Pack(PackArgs),
    /// Carry facts and photos to another phone by file.
    Carry(CarryArgs),
    /// Serve the office that phones exchange with, open a business's books, invite a phone.
    Office(OfficeArgs),
    /// Exchange entries, photos and papers with the office.
    Sync(SyncArgs),
}

/// `wythe office`.
#[derive(Debug, Args)]
pub struct OfficeArgs {
    /// The office's folder.
    #[arg(long, global = true, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Where it listens.
    #[arg(long, default_value = "127.0.0.1:8700", value_name = "ADDRESS")]
    pub listen: std::net::SocketAddr,
    /// What to do instead of serving.
    #[command(subcommand)]
    pub command: Option<OfficeCommand>,
}

/// What is done in an office's folder.
#[derive(Debug, Subcommand)]
pub enum OfficeCommand {
    /// Open the books of a business, with a key of its own.
    Open {
        /// Its name.
        #[arg(long)]
        business: String,
    },
    /// Make a one-time code with which a person's phone joins.
    Invite {
        /// The person's name.
        #[arg(long)]
        person: String,
        /// In what role: lead, installer, fitter, sweep, office.
        #[arg(long, default_value = "installer")]
        role: String,
        /// The business, where the office has several.
        #[arg(long)]
        business: Option<String>,
    },
    /// Go on after the folder was put back from a copy. Do it before serving again.
    GoOn,
}

/// `wythe sync`.
#[derive(Debug, Args)]
pub struct SyncArgs {
    #[command(flatten)]
    pub store: StoreArgs,
    /// The office's address, like http://127.0.0.1:8700.
    #[arg(long, value_name = "URL")]
    pub office: String,
    /// Join with this one-time code of the office first.
    #[arg(long, requires = "person")]
    pub code: Option<String>,
    /// Who will use a phone that joins.
    #[arg(long)]
    pub person: Option<String>,
    /// In what role: lead, installer, fitter, sweep, office.
    #[arg(long, default_value = "installer")]
    pub role: String,
    /// What a phone that joins is called.
    #[arg(long, default_value = "phone")]
    pub device: String,
    /// How many seconds may be waited in all while the office does not answer.
    #[arg(long, default_value_t = 60, value_name = "SECONDS")]
    pub patience: u64,
}

/// `wythe demo`.
#[derive(Debug, Args)]
pub struct DemoArgs {
    /// Another scenario: the name of one that comes along, or a file.
    #[arg(long)]
    pub scenario: Option<PathBuf>,
    /// List the scenarios that come along.
    #[arg(long)]
    pub list: bool,
    /// Where the results go [default: wythe-demo in this folder].
    #[arg(long)]
    pub out: Option<PathBuf>,
}

/// `wythe reckon`.
#[derive(Debug, Args)]
pub struct ReckonArgs {
    /// The reckoning's name.
    pub name: Option<String>,
    /// A file with one JSON object [default: standard input].
    pub file: Option<PathBuf>,
    /// List the reckonings.
    #[arg(long)]
    pub list: bool,
    /// Print the JSON Schema of a reckoning's input.
    #[arg(long, value_name = "NAME")]
    pub schema: Option<String>,
}

/// `wythe check-pack`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The claim pack.
    pub file: PathBuf,
    /// The fingerprint of the business's key, as it told you once.
    #[arg(long)]
    pub trust: Option<String>,
}

/// The store that a command works on.
#[derive(Debug, Args)]
pub struct StoreArgs {
    /// The store's folder.
    #[arg(long, value_name = "DIR")]
    pub store: PathBuf,
}

/// `wythe begin`.
#[derive(Debug, Args)]
pub struct BeginArgs {
    #[command(flatten)]
    pub store: StoreArgs,
    /// Begin a business of this name: the store becomes its office and holds its key.
    #[arg(long, conflicts_with = "join")]
    pub business: Option<String>,
    /// Join the business whose office store this is.
    #[arg(long, value_name = "DIR")]
    pub join: Option<PathBuf>,
    /// Give the device of a store that was put back from a copy, cloned or salvaged a new epoch and key,
    /// so that it can record again.
    #[arg(long, conflicts_with_all = ["business", "person"])]
    pub new_epoch: bool,
    /// Who will use it.
    #[arg(long, required_unless_present = "new_epoch")]
    pub person: Option<String>,
    /// In what role: lead, installer, fitter, sweep, office.
    #[arg(long, default_value = "lead")]
    pub role: String,
    /// What the device is called.
    #[arg(long, default_value = "phone")]
    pub device: String,
    /// The person's language: en, es or fr.
    #[arg(long, default_value = "en")]
    pub language: String,
}

/// `wythe programme`.
#[derive(Debug, Args)]
pub struct ProgrammeArgs {
    #[command(flatten)]
    pub store: StoreArgs,
    /// The programme's file; without one, the library's programmes are listed.
    pub file: Option<PathBuf>,
}

/// `wythe library`.
#[derive(Debug, Args)]
pub struct LibraryArgs {
    #[command(flatten)]
    pub store: StoreArgs,
    /// What sort of thing: model, stock, licence, instrument.
    pub sort: Option<String>,
    /// Its id.
    pub id: Option<String>,
    /// A file with one JSON object; without one, the library is listed.
    pub file: Option<PathBuf>,
}

/// `wythe job`.
#[derive(Debug, Args)]
pub struct JobArgs {
    #[command(flatten)]
    pub store: StoreArgs,
    /// The day at the site, where days count [default: today].
    #[arg(long, global = true, value_name = "DATE")]
    pub today: Option<String>,
    #[command(subcommand)]
    pub command: JobCommand,
}

/// The size of the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// 8 1/2 by 11 in.
    Letter,
    /// 210 by 297 mm.
    A4,
}

impl From<Paper> for PageSize {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::Letter => Self::Letter,
            Paper::A4 => Self::A4,
        }
    }
}

/// For whom a pack is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Reader {
    /// Everything.
    Full,
    /// The programme.
    Programme,
    /// The owner.
    Owner,
    /// An auditor.
    Auditor,
    /// The recycler.
    Recycler,
}

/// `wythe pack`.
#[derive(Debug, Args)]
pub struct PackArgs {
    #[command(flatten)]
    pub store: StoreArgs,
    /// The job.
    pub job: String,
    /// Where the pack goes.
    #[arg(long)]
    pub out: PathBuf,
    /// The size of the pages.
    #[arg(long, value_enum, default_value = "letter")]
    pub paper: Paper,
    /// For whom: leaves out what that reader need not see.
    #[arg(long = "for", value_enum, default_value = "full")]
    pub reader: Reader,
    /// The day at the site for which the claim is reckoned [default: today].
    #[arg(long, value_name = "DATE")]
    pub today: Option<String>,
}

/// `wythe carry`.
#[derive(Debug, Args)]
pub struct CarryArgs {
    #[command(flatten)]
    pub store: StoreArgs,
    #[command(subcommand)]
    pub command: CarryCommand,
}

/// Out of this store, or into it.
#[derive(Debug, Subcommand)]
pub enum CarryCommand {
    /// Write everything that this store holds into a file.
    Out {
        /// The file.
        file: PathBuf,
    },
    /// Take in what another phone carried out.
    In {
        /// The file.
        file: PathBuf,
    },
}
