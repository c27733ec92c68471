use wythe_guide::screen::{ask_in_words, value_in_words, why_in_words};
use wythe_guide::{AskKind, CONSENT_VERSION, ConsentOf, Lapse, consent, row_label};
use wythe_job::{Address, Digest, FactId, JobId, Position, Signed, StrokePoint, digest_of};
use wythe_pack::claim::{ToBeSigned, sign_sheet};
use wythe_pack::paper::{Document, PageSize};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::look::Look;
use crate::printing::sheet_of;
use crate::record::figures_to_keep;

/// What a signer is shown before signing.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct ToSign {
    /// The words above the signature, in the language of this phone.
    pub words: String,
    /// What it covers, a line each.
    pub summary: String,
    /// SHA-256 of the summary.
    pub summary_digest: Digest,
    /// SHA-256 of both: what the act of signing names.
    pub shown: Digest,
}

/// What a person who signs brings.
#[derive(Debug, Clone)]
pub struct Signing {
    /// What was shown: [`ToSign::shown`].
    pub shown: Digest,
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
    /// What a signer is shown: the words above the signature, and the summary of what it covers. Showing
    /// and signing are two acts; the second one names what the first one showed.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] when the ask takes no signature.
    pub fn to_sign(&self, look: &Look, address: &Address) -> Result<ToSign, AppError> {
        let role = self.signing_role(address)?;
        let (_, business, _) = self.business()?;
        let opened = look.job.opened.first();
        let house = opened.map(|opened| opened.body.address.join(", "));
        let of = ConsentOf {
            role: &role,
            business: &business,
            programme: &look.programme.name,
            house: &house.unwrap_or_default(),
        };
        let words = consent(self.words(), of);
        let summary = self.summary(look, address);
        Ok(ToSign {
            shown: digest_of(format!("{words}\0{summary}").as_bytes()),
            summary_digest: digest_of(summary.as_bytes()),
            words,
            summary,
        })
    }

    /// The same on pages to be signed by hand.
    pub(crate) fn document_to_sign(
        &self,
        look: &Look,
        address: &Address,
        size: PageSize,
    ) -> Result<Document, AppError> {
        let to_sign = self.to_sign(look, address)?;
        let title = ask_in_words(&address.ask, &address.path, self.words());
        let (job, business) = self.whose_sheet(look)?;
        let signed = ToBeSigned {
            title: &title,
            words: &to_sign.words,
            summary: &to_sign.summary,
            digest: &to_sign.summary_digest.to_string(),
        };
        Ok(sign_sheet(
            signed,
            self.words(),
            size,
            sheet_of(&job, &business, look),
        ))
    }

    pub(crate) fn signing_role(&self, address: &Address) -> Result<String, AppError> {
        match &self.ask_at(address)?.kind {
            AskKind::Signature(role) => Ok(role.clone()),
            _ => Err(AppError::NotOneOf {
                value: address.to_string(),
                what: "an ask for a signature".to_owned(),
            }),
        }
    }

    /// What is signed for, line by line: every answer that holds in the stages up to this one.
    fn summary(&self, look: &Look, address: &Address) -> String {
        let known = look.known();
        let words = self.words();
        let name = |person| look.name(person);
        let mut lines = Vec::new();
        for (at, heads) in &look.job.heads {
            let Some(ask) = self.guide.ask(&at.ask) else {
                continue;
            };
            if !self.guide.is_signed_for(address, at) || !known.applies(ask, &at.path) {
                continue;
            }
            let label = ask_in_words(&ask.id, &at.path, words);
            let values = heads.iter().map(|head| value_in_words(&head.body, words, &name));
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
        let signed_for = look.job.heads.iter();
        let signed_for = signed_for.filter(|(at, _)| self.guide.is_signed_for(address, at));
        let heads = signed_for.flat_map(|(_, heads)| heads);
        let mut covered: Vec<FactId> = heads.map(|head| head.fact).collect();
        covered.sort_unstable();
        covered
    }

    /// Records a signature: the words shown, what it covers, and the strokes. One on paper covers its page,
    /// which was added before ([`App::add_signed_page`]).
    ///
    /// # Errors
    /// [`AppError::ShownChanged`] when what was shown is no longer so, [`AppError::SignOffClosed`] while a
    /// stop closes the sign-off, [`AppError::NoSignedPage`], [`AppError::NotOneOf`], [`AppError::NoReason`]
    /// when a signature has no strokes, or nobody's name.
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
            let lapsed = readiness.lapses().filter(|row| row.lapse == Some(Lapse::Stop));
            texts.extend(lapsed.map(|row| {
                let why = row.why.as_ref().map(|why| why_in_words(why, self.words()));
                format!("{}: {}", row_label(row, self.words()), why.unwrap_or_default())
            }));
            if readiness.needs_newer_program {
                texts.push(self.words().get("newer-program"));
            }
            return Err(AppError::SignOffClosed(texts.join(" ")));
        }
        let to_sign = self.to_sign(&look, address)?;
        if to_sign.shown != signing.shown {
            return Err(AppError::ShownChanged);
        }
        let role = self.signing_role(address)?;
        let mut covers = self.covered(&look, address);
        if signing.act == "on_paper" {
            let pages = look.job.papers.iter().rev();
            let mut pages = pages.filter(|page| page.holds() && page.body.address == *address);
            covers.push(pages.next().ok_or(AppError::NoSignedPage)?.fact);
            covers.sort_unstable();
        }
        let body = Signed {
            address: address.clone(),
            act: signing.act,
            role,
            name: signing.name.trim().to_owned(),
            words: to_sign.words,
            language: self.language().tag().to_owned(),
            consent_version: CONSENT_VERSION,
            strokes: signing.strokes,
            covers,
            summary_digest: to_sign.summary_digest,
            position: signing.position,
            copy_given: signing.copy_given,
            visit: self.open_visit(job)?,
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
