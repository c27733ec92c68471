use wythe_guide::Words;
use wythe_job::FactId;
use wythe_store::Stale;

/// Why something was not done.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AppError {
    /// The store could not do it.
    #[error(transparent)]
    Store(#[from] wythe_store::StoreError),
    /// A photograph or paper could not be taken in.
    #[error(transparent)]
    Media(#[from] wythe_media::MediaError),
    /// An entry that is not taken.
    #[error(transparent)]
    Entry(#[from] wythe_guide::EntryRefusal),
    /// A data file with a mistake.
    #[error(transparent)]
    Load(#[from] wythe_guide::LoadFault),
    /// Bytes that are not what they should be.
    #[error(transparent)]
    Fact(#[from] wythe_job::Refusal),
    /// A claim pack that could not be put together.
    #[error("{0}")]
    Pack(String),
    /// The store has no device yet.
    #[error("This store has no phone yet. Begin it first.")]
    NotBegun,
    /// The store has a device already.
    #[error("This store belongs to a phone already. Use another folder for another phone.")]
    AlreadyBegun,
    /// The device's key cannot be opened here.
    #[error("The phone's key cannot be opened here. Enrol this phone anew; what it holds stays readable.")]
    KeyClosed,
    /// The store was put back from a copy, cloned or salvaged.
    #[error(
        "This store {}. What is here can be read; begin a new epoch before recording, so that no entry's \
         number is given twice.",
        became(*.0)
    )]
    Stale(Stale),
    /// The office of another business.
    #[error("That office belongs to another business. Name the office of this one.")]
    OtherBusiness,
    /// This store is not the business's office.
    #[error("Only the store that began the business can do this: it holds the business's key.")]
    NotTheOffice,
    /// No such job.
    #[error("There is no job \"{0}\" here. List the jobs, and use the first digits of the number.")]
    NoJob(String),
    /// More than one job fits.
    #[error("More than one job begins with \"{0}\". Use more digits.")]
    ManyJobs(String),
    /// No such ask.
    #[error("There is no ask \"{0}\". List the asks of the stage.")]
    NoAsk(String),
    /// An ask about one of several, or about the only one.
    #[error("\"{0}\" is asked for each {1}: write it like {0}@{1}:1.")]
    WhichOne(String, String),
    /// An instance of something there is one of.
    #[error("\"{0}\" is asked once: leave out what stands behind the @.")]
    OnlyOne(String),
    /// A text that is no address of an ask.
    #[error(transparent)]
    Address(#[from] wythe_job::NoAddress),
    /// No such programme.
    #[error("There is no programme \"{0}\" in this business's library. Add its file first.")]
    NoProgramme(String),
    /// The job has no rules.
    #[error("This job names no programme. Pin one first.")]
    NoRules,
    /// Rules that are not the ones that were shown.
    #[error(
        "These are not the newest rules of the job's programme. Look at what they change, then accept those."
    )]
    RulesNotShown,
    /// A move of the claim that does not follow from what was recorded.
    #[error("{0}")]
    ClaimMove(String),
    /// A stop holds the act.
    #[error("{text} {way_out}")]
    Held {
        /// The stop's code.
        stop: String,
        /// What is so.
        text: String,
        /// What ends it.
        way_out: String,
    },
    /// The sign-off is closed.
    #[error("The sign-off is closed: {0}")]
    SignOffClosed(String),
    /// What was shown to be signed is no longer so.
    #[error("What was shown to be signed has changed since. Show it again, then sign.")]
    ShownChanged,
    /// A signature on paper without its page.
    #[error("Add the page that was signed: a photo or a PDF of it.")]
    NoSignedPage,
    /// No such fact.
    #[error("There is no entry {0} in this job.")]
    NoFact(String),
    /// Something that must be said was not.
    #[error("Say why: a reason is kept with it.")]
    NoReason,
    /// A value that is none of what is wanted.
    #[error("\"{value}\" is not {what}.")]
    NotOneOf {
        /// What was given.
        value: String,
        /// What is wanted.
        what: String,
    },
    /// Figures that cannot be kept yet.
    #[error("These figures are not complete. Missing: {0}.")]
    FiguresOpen(String),
    /// A timer that cannot do this now.
    #[error("{0}")]
    Timer(&'static str),
    /// A carried file that is none.
    #[error("This file is not one that a phone of this business carried out: {0}.")]
    NotCarried(String),
    /// Reading or writing a file.
    #[error("{what}: {why}")]
    File {
        /// Which file, without its folder.
        what: String,
        /// What the system said.
        why: String,
    },
    /// A drawing that cannot be laid out.
    #[error(transparent)]
    Drawing(#[from] wythe_drawing::DrawingError),
    /// The store was closed in this program.
    #[error("This was closed. Open it again; what was recorded is there.")]
    Closed,
    /// A call from inside another call, where the other must end first.
    #[error(
        "This was called while another call was still at work in the same thread. Call again afterwards."
    )]
    Nested,
    /// A fault of the program, caught.
    #[error(
        "Something went wrong inside; what was recorded before is there. Do it again, and report this: {0}"
    )]
    Fault(String),
    /// The phone has not joined an office.
    #[error("This phone has not joined an office. Ask the office for a code and join with it.")]
    NotEnrolled,
    /// The office did not answer.
    #[error("The office did not answer. Try again where there is signal; nothing is lost.")]
    NoAnswer,
    /// The office refused.
    #[error("The office says: {reason}.")]
    Office {
        /// The office's stable code.
        code: &'static str,
        /// Its reason.
        reason: String,
    },
    /// The phone's store failed during an exchange.
    #[error(transparent)]
    Exchange(#[from] wythe_sync::Trouble),
    /// An erasure is known for this fact already, or it cannot be erased.
    #[error("Entry {0} cannot be erased.")]
    NotErasable(FactId),
}

/// What happened to a store.
#[must_use]
pub fn became(stale: Stale) -> &'static str {
    match stale {
        Stale::PutBack => "was put back from a copy",
        Stale::Copied => "is a copy of one that was begun elsewhere",
        Stale::Salvaged => "was damaged and salvaged, and may lack its latest entries",
    }
}

/// An error as a shell shows it.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Told {
    /// Stable, for programs.
    pub code: String,
    /// The ask or member it is about, where it is about one.
    pub field: Option<String>,
    /// What is so and what to do, in the person's language.
    pub message: String,
    /// The same in English, with figures, for whoever is called for help.
    pub detail: String,
}

impl AppError {
    /// The stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Store(wrong) => wrong.code(),
            Self::Media(wrong) => wrong.code(),
            Self::Entry(wrong) => wrong.code(),
            Self::Load(_) => "data_file",
            Self::Fact(wrong) => wrong.code(),
            Self::Pack(_) => "pack",
            Self::NotBegun => "not_begun",
            Self::AlreadyBegun => "already_begun",
            Self::KeyClosed => "key_closed",
            Self::Stale(_) => "stale",
            Self::OtherBusiness => "other_business",
            Self::NotTheOffice => "not_the_office",
            Self::NoJob(_) => "no_job",
            Self::ManyJobs(_) => "many_jobs",
            Self::NoAsk(_) => "no_ask",
            Self::WhichOne(..) => "which_one",
            Self::OnlyOne(_) => "only_one",
            Self::Address(_) => "address",
            Self::NoProgramme(_) => "no_programme",
            Self::NoRules => "no_rules",
            Self::RulesNotShown => "rules_not_shown",
            Self::ClaimMove(_) => "claim_move",
            Self::Held { .. } => "held",
            Self::SignOffClosed(_) => "sign_off_closed",
            Self::ShownChanged => "shown_changed",
            Self::NoSignedPage => "no_signed_page",
            Self::NoFact(_) => "no_fact",
            Self::NoReason => "no_reason",
            Self::NotOneOf { .. } => "not_one_of",
            Self::FiguresOpen(_) => "figures_open",
            Self::Timer(_) => "timer",
            Self::NotCarried(_) => "not_carried",
            Self::File { .. } => "file",
            Self::Drawing(wrong) => wrong.code(),
            Self::Closed => "closed",
            Self::Nested => "nested",
            Self::Fault(_) => "fault",
            Self::NotEnrolled => "not_enrolled",
            Self::NoAnswer => "no_answer",
            Self::Office { code, .. } => code,
            Self::Exchange(trouble) => trouble.code,
            Self::NotErasable(_) => "not_erasable",
        }
    }

    pub(crate) fn office(code: &'static str, reason: &str) -> Self {
        Self::Office {
            code,
            reason: reason.to_owned(),
        }
    }

    /// The error in the person's language; in English where the language has no words for it.
    #[must_use]
    pub fn told(&self, field: Option<&str>, words: &Words) -> Told {
        let detail = self.to_string();
        let message = words.find(&format!("error-{}", self.code()), &[("detail", &detail)]);
        Told {
            code: self.code().to_owned(),
            field: field.map(str::to_owned),
            message: message.unwrap_or_else(|| detail.clone()),
            detail,
        }
    }
}
