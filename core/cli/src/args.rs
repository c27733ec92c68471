//! The words of the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use wythe_app::pack::paper::PageSize;

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
}

/// `wythe demo`.
#[derive(Debug, Args)]
pub struct DemoArgs {
    /// Another scenario file.
    #[arg(long)]
    pub scenario: Option<PathBuf>,
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

/// What is done with jobs.
#[derive(Debug, Subcommand)]
pub enum JobCommand {
    /// Open a job.
    New {
        /// What people call it.
        #[arg(long)]
        label: String,
        /// A line of the house's address; give it once for each line.
        #[arg(long)]
        address: Vec<String>,
        /// The site's time zone.
        #[arg(long)]
        zone: String,
        /// Where the house stands: "north, east" in degrees.
        #[arg(long)]
        place: Option<String>,
        /// The programme's id.
        #[arg(long)]
        programme: String,
    },
    /// List the jobs.
    List {
        /// Only those whose name, address or number holds this.
        #[arg(long)]
        search: Option<String>,
    },
    /// See a job: its head, `missing`, or a stage.
    See {
        /// The first digits of the job's number.
        job: String,
        /// job, missing, a stage, or visit/ and a visit.
        #[arg(default_value = "job")]
        screen: String,
    },
    /// Print a paper for the crew: the job's tag, the trim at full size, a visit's loading list, what is to
    /// be signed by hand.
    Print {
        /// The job.
        job: String,
        /// tag, trim_sheet, loading_list/ and a visit, or to_sign/ and an address.
        what: String,
        /// Where the PDF goes.
        #[arg(long)]
        out: PathBuf,
        /// The size of the pages.
        #[arg(long, value_enum, default_value = "letter")]
        paper: Paper,
    },
    /// List the asks of a stage, with their addresses.
    Asks {
        /// The job.
        job: String,
        /// The stage [default: all].
        stage: Option<String>,
    },
    /// List what was recorded, with each entry's number, the oldest first.
    Entries {
        /// The job.
        job: String,
        /// Only those about this address.
        address: Option<String>,
    },
    /// Answer an ask, as you would type it.
    Answer {
        /// The job.
        job: String,
        /// The ask's address.
        address: String,
        /// The answer: "11 3/8 in", yes, a choice, a date.
        #[arg(allow_hyphen_values = true)]
        typed: String,
        /// With what it was measured.
        #[arg(long)]
        instrument: Option<String>,
        /// When it was measured: 2026-03-31T10:00-07:00.
        #[arg(long)]
        at: Option<String>,
        /// Why an act is recorded although a stop holds it.
        #[arg(long)]
        anyway: Option<String>,
    },
    /// Add a photo.
    Photo {
        /// The job.
        job: String,
        /// The ask's address.
        address: String,
        /// The photo's file.
        file: PathBuf,
        /// Why it is the best that could be had.
        #[arg(long)]
        best: Option<String>,
        /// The camera took it just now; otherwise it lay among the files.
        #[arg(long)]
        just_taken: bool,
        /// An upright JPEG of it, for a file that cannot be looked into here (HEIC).
        #[arg(long)]
        preview: Option<PathBuf>,
    },
    /// Add a paper: a PDF, or a photo of it.
    Paper {
        /// The job.
        job: String,
        /// The ask's address.
        address: String,
        /// The paper's file.
        file: PathBuf,
    },
    /// What a signer is shown: the words, the summary and their digest.
    Words {
        /// The job.
        job: String,
        /// The ask's address.
        address: String,
    },
    /// Sign, decline, or note a signature on paper.
    Sign {
        /// The job.
        job: String,
        /// The ask's address.
        address: String,
        /// The signer's name.
        #[arg(long)]
        name: String,
        /// The digest that `words` showed; without it, what would be shown now.
        #[arg(long)]
        shown: Option<String>,
        /// The drawn strokes: a file with a JSON list of lists of [x, y], or [x, y, ms, pressure], in
        /// thousandths of the pad.
        #[arg(long)]
        strokes: Option<PathBuf>,
        /// signed, declined or on_paper.
        #[arg(long, default_value = "signed")]
        act: String,
        /// The page that was signed by hand: a photo or a PDF of it.
        #[arg(long)]
        page: Option<PathBuf>,
        /// Where, if the signer allows it: "north, east" in degrees.
        #[arg(long)]
        place: Option<String>,
        /// A copy was handed over.
        #[arg(long)]
        copy_given: bool,
    },
    /// Take a mistaken entry back.
    Strike {
        /// The job.
        job: String,
        /// The first digits of the entry's number.
        entry: String,
        /// Why.
        #[arg(long)]
        reason: String,
    },
    /// Decide a disagreement.
    Agree {
        /// The job.
        job: String,
        /// The ask's address.
        address: String,
        /// The value that holds.
        #[arg(allow_hyphen_values = true)]
        typed: String,
        /// Why.
        #[arg(long)]
        reason: String,
    },
    /// Start, tap, stop or drop the timer of a span.
    Timer {
        /// The job.
        job: String,
        /// The ask's address.
        address: String,
        /// start, tap, stop or drop.
        deed: String,
        /// When, if not now: 2026-03-31T10:00:05-07:00.
        #[arg(long)]
        at: Option<String>,
    },
    /// Measure again what did not hold; the figures before stay visible.
    Again {
        /// The job.
        job: String,
        /// The figures' id.
        figures: String,
    },
    /// What is missing, from whom, by when.
    Missing {
        /// The job.
        job: String,
    },
    /// Arrive at, pause, resume or leave a visit.
    Visit {
        /// The job.
        job: String,
        /// What it is for: survey, desk, day_1 ...
        sort: String,
        /// arrived, paused, resumed or left.
        moment: String,
        /// The weather in words.
        #[arg(long)]
        weather: Option<String>,
        /// What was done to leave the house safe; give it once for each.
        #[arg(long)]
        left_safe: Vec<String>,
    },
    /// Keep figures as they stand, to be relied upon.
    Keep {
        /// The job.
        job: String,
        /// The figures' id.
        figures: String,
    },
    /// Lift a stop, on what a paper says.
    Lift {
        /// The job.
        job: String,
        /// The stop's code.
        stop: String,
        /// By whom.
        #[arg(long)]
        by: String,
        /// The entry that it rests on; give it once for each.
        #[arg(long)]
        on: Vec<String>,
        /// Why.
        #[arg(long)]
        reason: String,
    },
    /// Words for the next reader.
    Note {
        /// The job.
        job: String,
        /// The words.
        text: String,
    },
    /// Record a move of the claim: sent, queried, answered, paid ...
    Claim {
        /// The job.
        job: String,
        /// sent, received, queried, answered, short_paid, refused or paid.
        to: String,
        /// The date on paper.
        #[arg(long)]
        on: String,
        /// The query, the answer, the payment's reference.
        #[arg(long)]
        text: Option<String>,
        /// What was paid: "2500.00 USD".
        #[arg(long)]
        amount: Option<String>,
        /// Which sending, counted from 1.
        #[arg(long, default_value_t = 1)]
        sending: u32,
    },
    /// Drop the content of one entry; its place in the chain stays and says so.
    Erase {
        /// The job.
        job: String,
        /// The first digits of the entry's number.
        entry: String,
        /// Why.
        #[arg(long)]
        reason: String,
    },
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
