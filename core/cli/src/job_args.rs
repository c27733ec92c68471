//! The words of `wythe job`.

use std::path::PathBuf;

use clap::Subcommand;

use crate::args::Paper;

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
    /// See a job: its head, `missing`, `visits`, a stage, a visit, or the claim's life.
    See {
        /// The first digits of the job's number.
        job: String,
        /// job, missing, visits, claim_life, a stage, or visit/day_1.
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
    /// See the visits, or one of them with what it still needs; arrive, pause, resume or leave.
    Visit {
        /// The job.
        job: String,
        /// What it is for: survey, desk, day_1 ...; without it, all visits are listed.
        sort: Option<String>,
        /// arrived, paused, resumed or left; without it, the visit is shown.
        moment: Option<String>,
        /// Who came too, by name; give it once for each.
        #[arg(long)]
        with: Vec<String>,
        /// With what is measured: its name, and the day of its calibration behind an = where the library
        /// does not know it; give it once for each.
        #[arg(long)]
        instrument: Vec<String>,
        /// The weather in words.
        #[arg(long)]
        weather: Option<String>,
        /// What was done to leave the house safe: gas_capped, top_covered, thimble_covered,
        /// house_has_heat, owner_told; give it once for each.
        #[arg(long)]
        left_safe: Vec<String>,
    },
    /// See which rules the job keeps and what newer ones would change; take them.
    Rules {
        /// The job.
        job: String,
        /// The digits of the newer rules, as they were shown.
        #[arg(long, requires = "reason")]
        accept: Option<String>,
        /// Why they are taken.
        #[arg(long)]
        reason: Option<String>,
    },
    /// Pause the job, go on, hand it to another crew, or cancel it.
    Move {
        /// The job.
        job: String,
        /// paused, resumed, handed_over or cancelled.
        to: String,
        /// Why; to whom it is handed.
        #[arg(long)]
        reason: String,
        /// What was done to leave the house safe; give it once for each.
        #[arg(long)]
        left_safe: Vec<String>,
    },
    /// Say that another job is of the same house.
    Link {
        /// The job.
        job: String,
        /// The other job.
        other: String,
        /// Why there are two.
        #[arg(long)]
        reason: String,
    },
    /// Add a person who takes part without a phone: a fitter, a sweep, a recycler.
    Assign {
        /// The job.
        job: String,
        /// The name.
        #[arg(long)]
        name: String,
        /// In what role.
        #[arg(long)]
        role: String,
        /// The licence's number.
        #[arg(long)]
        licence: Option<String>,
        /// The licence's last valid day.
        #[arg(long)]
        licence_until: Option<String>,
    },
    /// Add one more of something, or take one away: old_stove 2, owner 2, room 3.
    Add {
        /// The job.
        job: String,
        /// What there are several of.
        group: String,
        /// Which.
        number: u32,
        /// What it is called.
        #[arg(long)]
        name: Option<String>,
        /// It is not there after all.
        #[arg(long)]
        gone: bool,
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
    /// See the claim's life, or record a move of it: sent, queried, answered, paid ...
    Claim {
        /// The job.
        job: String,
        /// sent, received, queried, answered, short_paid, refused or paid; without it, the claim's life is
        /// shown.
        #[arg(requires = "on")]
        to: Option<String>,
        /// The date on paper.
        #[arg(long)]
        on: Option<String>,
        /// The query, the answer, the payment's reference.
        #[arg(long)]
        text: Option<String>,
        /// What was paid: "2500.00 USD".
        #[arg(long)]
        amount: Option<String>,
        /// The claim pack that was sent.
        #[arg(long)]
        pack: Option<PathBuf>,
        /// Which sending, counted from 1 [default: the next to be sent, else the latest].
        #[arg(long, default_value_t = 0, hide_default_value = true)]
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
