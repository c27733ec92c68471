use wythe_guide::AskKind;
use wythe_job::{Address, FactId, JobId, Position, Signed, StrokePoint, digest_of};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::look::Look;
use crate::record::figures_to_keep;

/// The version of the consent words.
const CONSENT_VERSION: u32 = 1;

/// What a person who signs brings.
#[derive(Debug, Clone, Default)]
pub struct Signing {
    /// `signed`, `declined` or `on_paper`.
    pub act: String,
    /// The name as given.
    pub name: String,
    /// The drawn strokes.
    pub strokes: Vec<Vec<StrokePoint>>,
    /// Where, if the signer allowed it.
    pub position: Option<Position>,
    /// Whether a copy was handed over.
    pub copy_given: Option<bool>,
}

impl<L: Log> App<L> {
    /// The words above a signature, and the summary of what it covers, as the signer is shown them.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] when the ask takes no signature.
    pub fn words_to_sign(&self, look: &Look, address: &Address) -> Result<(String, String), AppError> {
        let ask = self.ask_at(address)?;
        let AskKind::Signature(role) = &ask.kind else {
            let what = "an ask for a signature".to_owned();
            return Err(AppError::NotOneOf {
                value: address.to_string(),
                what,
            });
        };
        let words = self.words();
        let business = self.business()?.1;
        let label = look
            .job
            .opened
            .first()
            .map(|opened| opened.body.address.join(", "))
            .unwrap_or_default();
        let consent = words.with(
            &format!("consent-{role}"),
            &[
                ("business", &business),
                ("programme", &look.programme.name),
                ("house", &label),
            ],
        );
        Ok((consent, self.summary(look, address)))
    }

    /// What is signed for, line by line: every answer that holds in the stages up to this one.
    fn summary(&self, look: &Look, address: &Address) -> String {
        let known = look.known();
        let words = self.words();
        let last = self.stage_of(address);
        let mut lines = Vec::new();
        for (at, heads) in &look.job.heads {
            let Some(ask) = self.guide.ask(&at.ask) else {
                continue;
            };
            if self.guide.stage_place(&ask.stage) > last || !known.applies(ask, &at.path) {
                continue;
            }
            let label = words.get(&format!("ask-{}", ask.id));
            let values = heads.iter().map(|head| {
                wythe_guide::show_held(&head.body.value, &head.body.measured, words.language().sign())
            });
            lines.push(format!("{label}: {}", values.collect::<Vec<_>>().join(" / ")));
        }
        lines.join("\n")
    }

    /// The place in the order of the job of the stage that a signature belongs to.
    fn stage_of(&self, address: &Address) -> usize {
        let ask = self.guide.ask(&address.ask);
        ask.map_or(0, |ask| self.guide.stage_place(&ask.stage))
    }

    fn covered(&self, look: &Look, address: &Address) -> Vec<FactId> {
        let last = self.stage_of(address);
        let mut covered = Vec::new();
        for (at, heads) in &look.job.heads {
            if self
                .guide
                .ask(&at.ask)
                .is_some_and(|ask| self.guide.stage_place(&ask.stage) <= last)
            {
                covered.extend(heads.iter().map(|head| head.fact));
            }
        }
        covered.sort_unstable();
        covered
    }

    /// Records a signature: the words shown, what it covers, and the strokes.
    ///
    /// # Errors
    /// [`AppError::SignOffClosed`] while a stop closes the sign-off, [`AppError::NotOneOf`],
    /// [`AppError::NoReason`] when a signature has neither strokes nor name.
    pub fn sign_off(&mut self, job: JobId, address: &Address, signing: Signing) -> Result<FactId, AppError> {
        if !["signed", "declined", "on_paper"].contains(&signing.act.as_str()) {
            let what = "a way to sign; write signed, declined or on_paper".to_owned();
            return Err(AppError::NotOneOf {
                value: signing.act,
                what,
            });
        }
        if signing.name.trim().is_empty() || (signing.act == "signed" && signing.strokes.is_empty()) {
            return Err(AppError::NoReason);
        }
        let look = self.look(job, None)?;
        let known = look.known();
        let readiness = look.readiness(&known);
        // A quote or a change is signed while the work is still open; only the sign-off waits for it.
        let signs_off = self.ask_at(address)?.sign_off;
        if signs_off && signing.act != "declined" && !readiness.sign_off_is_open() {
            let blocking = readiness.stops.iter().filter(|open| open.stop.blocks_sign_off());
            let mut texts: Vec<String> = blocking
                .map(|open| self.words().get(&format!("stop-{}", open.stop.code)))
                .collect();
            if readiness.needs_newer_program {
                texts.push(self.words().get("newer-program"));
            }
            return Err(AppError::SignOffClosed(texts.join(" ")));
        }
        let (words, summary) = self.words_to_sign(&look, address)?;
        let role = match &self.ask_at(address)?.kind {
            AskKind::Signature(role) => role.clone(),
            _ => String::new(),
        };
        let covers = self.covered(&look, address);
        let body = Signed {
            address: address.clone(),
            act: signing.act,
            role,
            name: signing.name.trim().to_owned(),
            words,
            language: self.language().tag().to_owned(),
            consent_version: CONSENT_VERSION,
            strokes: signing.strokes,
            covers,
            summary_digest: digest_of(summary.as_bytes()),
            position: signing.position,
            copy_given: signing.copy_given,
            visit: self.open_visit(job, None)?,
        };
        // What was worked out up to here is kept with the signature that relies upon it.
        let last = self.stage_of(address);
        let mut bodies = self.introduction(job)?;
        for kept in figures_to_keep(&look, last) {
            bodies.push((kept.into(), Vec::new()));
        }
        bodies.push((body.into(), Vec::new()));
        let facts = self.append(job.into(), bodies, Vec::new())?;
        facts
            .last()
            .map(wythe_job::Fact::id)
            .ok_or_else(|| AppError::NoFact(String::new()))
    }
}
