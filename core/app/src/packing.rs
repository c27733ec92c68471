use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, BufWriter, Read};
use std::path::Path;
use std::sync::Arc;

use wythe_guide::figures::Figures;
use wythe_guide::{Date, Row};
use wythe_job::{Body, Digest, Fact, FactId, Facts, JobId, Original, PersonId, Position, digest_of};
use wythe_pack::claim::{ClaimInput, claim};
use wythe_pack::paper::{self, Document, PageSize};
use wythe_pack::{Originals, PackInput, PackReader, READ_ME_FIRST, Report, Row as ClaimRow};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::look::Look;
use crate::pictures::{file_error, file_name};

/// How a pack is made.
#[derive(Debug, Clone, Copy)]
pub struct PackOptions {
    /// For whom.
    pub reader: PackReader,
    /// The size of the pages.
    pub size: PageSize,
    /// The day at the site for which the claim is reckoned; today, if none is given.
    pub today: Option<Date>,
}

/// A pack that was made.
#[derive(Debug)]
pub struct Packed {
    /// What its own check reports.
    pub report: Report,
    /// How many pages the PDF has.
    pub pages: usize,
}

/// A claim for one reader, and what it leaves out.
struct Made {
    look: Look,
    left_out: BTreeSet<FactId>,
    left_out_originals: BTreeSet<Digest>,
    document: Document,
    rows: Vec<ClaimRow>,
}

/// Name and version of the program, as a pack names it.
pub const SOFTWARE: &str = concat!("Wythe ", env!("CARGO_PKG_VERSION"));

/// The stages that concern the recycler: the old stove leaves the house and is destroyed.
const RECYCLERS_STAGES: [&str; 2] = ["removal", "destruction"];

/// The originals of a log, as a pack reads them.
struct Shelf<'l, L: Log>(&'l L);

impl<L: Log> Originals for Shelf<'_, L> {
    fn open(&self, original: &Original) -> io::Result<Option<Box<dyn Read + '_>>> {
        let shelf = self.0.originals();
        if !shelf.has(original.digest).map_err(io::Error::other)? {
            return Ok(None);
        }
        let opened = shelf.read(original.digest).map_err(io::Error::other)?;
        Ok(Some(Box::new(opened)))
    }
}

impl<L: Log> App<L> {
    /// Puts a job's claim pack together and writes it to a path, whole or not at all.
    ///
    /// # Errors
    /// [`AppError::Pack`] when what is here makes no pack that passes its check, [`AppError::File`],
    /// [`AppError::Store`].
    pub fn pack(&self, job: JobId, path: &Path, options: &PackOptions) -> Result<Packed, AppError> {
        let made = self.claim_for(job, options)?;
        let look = &made.look;
        let printed = paper::print(&made.document).map_err(|why| AppError::Pack(why.to_string()))?;
        let input = PackInput {
            job,
            facts: &look.facts,
            trust: &self.trust()?,
            revocations: &self.revocations()?,
            forks: BTreeSet::new(),
            as_of: look.today.to_string(),
            language: self.language().tag().to_owned(),
            programme: (look.programme.id.clone(), look.programme.digest),
            guide: look.guide.digest,
            software: SOFTWARE.to_owned(),
            reader: options.reader,
            left_out: made.left_out,
            left_out_originals: made.left_out_originals,
            rows: made.rows,
            claim_pdf: &printed.pdf,
            read_me: READ_ME_FIRST,
        };
        let wrong = |why: &io::Error| file_error(&file_name(path), why);
        let part = path.with_extension("part");
        let file = File::create(&part).map_err(|why| wrong(&why))?;
        let written = wythe_pack::write(&input, &self.keeper()?, &Shelf(&self.log), BufWriter::new(&file));
        let report = match written {
            Ok(report) => report,
            Err(why) => {
                let _left_behind = fs::remove_file(&part);
                return Err(AppError::Pack(why.to_string()));
            }
        };
        file.sync_all().map_err(|why| wrong(&why))?;
        fs::rename(&part, path).map_err(|why| wrong(&why))?;
        Ok(Packed {
            report,
            pages: printed.pages,
        })
    }

    /// The claim as a reader gets it: the content of its PDF, before it is printed.
    ///
    /// # Errors
    /// [`AppError::NoJob`], [`AppError::NoRules`], [`AppError::Store`].
    pub fn claim_document(&self, job: JobId, options: &PackOptions) -> Result<Document, AppError> {
        Ok(self.claim_for(job, options)?.document)
    }

    fn claim_for(&self, job: JobId, options: &PackOptions) -> Result<Made, AppError> {
        let look = self.look_by_facts(job, options.today)?;
        let (_, business, fingerprint) = self.business()?;
        let (left_out, left_out_originals) = left_out(&look, options.reader);
        // The PDF is made of what this reader sees; how things stand was judged on everything.
        let full = look.known();
        let readiness = look.readiness(&full);
        let is_recycler = options.reader == PackReader::Recycler;
        let sees_row = |row: &Row| {
            let seen = row.evidence.iter().all(|fact| !left_out.contains(fact));
            seen && (!is_recycler || RECYCLERS_STAGES.contains(&row.stage.as_str()))
        };
        let shown_facts: Facts = look
            .facts
            .iter()
            .map(|fact| {
                if left_out.contains(&fact.id()) {
                    fact.without_payload()
                } else {
                    fact.clone()
                }
            })
            .collect();
        let shown_job = wythe_job::fold(&shown_facts);
        let known = look.known_of(&shown_job);
        let figures: &[Figures] = if is_recycler { &[] } else { &look.figures };
        let mark = mark(&look, options.reader);
        let name = |person: PersonId| look.name(person);
        let picture = |digest: Digest| self.picture(digest);
        let shown = |digest: Digest| !left_out_originals.contains(&digest);
        let way = |a: Position, b: Position| {
            let place = |position: Position| wythe_media::Position {
                latitude: position.latitude.0,
                longitude: position.longitude.0,
            };
            wythe_media::distance_and_bearing(place(a), place(b))
        };
        let (document, rows) = claim(&ClaimInput {
            known: &known,
            readiness: &readiness,
            sees: &sees_row,
            asks_payment: !is_recycler,
            programme: &look.programme,
            figures,
            words: self.words(),
            as_of: look.today,
            business: &business,
            fingerprint: fingerprint.to_string(),
            software: SOFTWARE,
            size: options.size,
            mark,
            name: &name,
            picture: &picture,
            shown: &shown,
            way: &way,
            tags: &look.elsewhere.tags,
        });
        Ok(Made {
            left_out,
            left_out_originals,
            document,
            rows,
            look,
        })
    }

    fn picture(&self, digest: Digest) -> Option<Arc<Vec<u8>>> {
        let mut bytes = Vec::new();
        let mut opened = self.log.originals().read(digest).ok()?;
        opened.read_to_end(&mut bytes).ok()?;
        Some(Arc::new(bytes))
    }

    fn revocations(&self) -> Result<Vec<Fact>, AppError> {
        let facts = self.business_stream()?.0;
        let revokes = |fact: &&Fact| matches!(fact.body(), Some(Body::DeviceRevoked(_)));
        Ok(facts.iter().filter(revokes).cloned().collect())
    }
}

/// A short mark of what a pack is made of, for the foot of its pages. The pack's own id is a digest
/// over the PDF too, so it cannot stand in it.
fn mark(look: &Look, reader: PackReader) -> String {
    let mut text = format!("{} {} {:?}\n", look.id, look.today, reader);
    for fact in look.facts.iter() {
        text.push_str(&fact.id().to_string());
    }
    digest_of(text.as_bytes()).short()
}

/// What a reader need not see: facts, and originals.
fn left_out(look: &Look, reader: PackReader) -> (BTreeSet<FactId>, BTreeSet<Digest>) {
    let (mut facts, mut originals) = (BTreeSet::new(), BTreeSet::new());
    for fact in look.facts.iter() {
        let Some(body) = fact.body() else { continue };
        if !sees(look, reader, &body) {
            facts.insert(fact.id());
            originals.extend(body.originals().into_iter().map(|original| original.digest));
        }
    }
    // A picture that another entry shows stays.
    for fact in look.facts.iter().filter(|fact| !facts.contains(&fact.id())) {
        for original in fact.body().iter().flat_map(|body| body.originals()) {
            originals.remove(&original.digest);
        }
    }
    (facts, originals)
}

/// Who is shown what. The recycler: the old stove and its destruction. The owner: all but the crew's
/// notes and the claim's life. The programme: all but notes. An auditor: everything.
fn sees(look: &Look, reader: PackReader, body: &Body) -> bool {
    match reader {
        PackReader::Full | PackReader::Auditor => true,
        PackReader::Programme => !matches!(body, Body::Noted(_)),
        PackReader::Owner => !matches!(body, Body::Noted(_) | Body::ClaimMoved(_)),
        PackReader::Recycler => match body {
            Body::JobOpened(_) | Body::RulesPinned(_) | Body::Erased(_) | Body::StruckOut(_) => true,
            other => {
                let ask = other.address().and_then(|address| look.guide.ask(&address.ask));
                ask.is_some_and(|ask| RECYCLERS_STAGES.contains(&ask.stage.as_str()))
            }
        },
    }
}
