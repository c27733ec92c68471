use wythe_guide::figures::Figures;
use wythe_guide::screen::Block;
use wythe_guide::{Date, LoadOf, pictures};
use wythe_job::JobId;
use wythe_pack::claim::{SheetOf, loading_sheet, trim_sheet};
use wythe_pack::paper::{self, Document, PageSize};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::look::Look;
use crate::packing::SOFTWARE;

/// A paper for the crew, printed beside the claim.
#[derive(Debug)]
pub struct PrintedPaper {
    /// The PDF.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
}

impl<L: Log> App<L> {
    /// Prints what a screen's action `print/WHAT` offers: `trim_sheet`, the cap's trim at full size; `tag`,
    /// the job's tag in three sizes; `loading_list/VISIT`; or `to_sign/ADDRESS`, the words and the summary of
    /// a signature, to be signed by hand.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for a paper that there is not, [`AppError::FiguresOpen`] while the cap is
    /// not measured or does not fit, [`AppError::Pack`] when it cannot be printed.
    pub fn print(
        &self,
        job: JobId,
        what: &str,
        size: PageSize,
        today: Option<Date>,
    ) -> Result<PrintedPaper, AppError> {
        let look = self.look(job, today)?;
        let document = match what.split_once('/') {
            None if what == "trim_sheet" => self.trim(&look, size)?,
            None if what == "tag" => self.tag_document(&look, size)?,
            Some(("to_sign", address)) => self.document_to_sign(&look, &address.parse()?, size)?,
            Some(("loading_list", visit)) => self.load(&look, visit, size)?,
            _ => {
                return Err(AppError::NotOneOf {
                    value: what.to_owned(),
                    what: "a paper; write trim_sheet, tag, loading_list/ and a visit, or to_sign/ and an address"
                        .to_owned(),
                });
            }
        };
        let printed = paper::print(&document).map_err(|why| AppError::Pack(why.to_string()))?;
        Ok(PrintedPaper {
            pdf: printed.pdf,
            pages: printed.pages,
        })
    }

    fn trim(&self, look: &Look, size: PageSize) -> Result<Document, AppError> {
        let words = self.words();
        let cap = look.figures.iter().find(|figures| figures.reckoning == "cap_fit");
        let drawing = cap.and_then(|cap| pictures::full_size(cap, words));
        let Some(drawing) = drawing else {
            let lacking = cap.map_or_else(|| "plan.cap_kit".to_owned(), why_not);
            return Err(AppError::FiguresOpen(lacking));
        };
        let (job, business) = self.whose_sheet(look)?;
        Ok(trim_sheet(drawing, words, size, sheet_of(&job, &business, look)))
    }

    fn load(&self, look: &Look, visit: &str, size: PageSize) -> Result<Document, AppError> {
        let screen = look.screen(&format!("visit/{visit}"), self.words())?;
        let list = screen.blocks.into_iter().find_map(|block| match block {
            Block::List { id, items } if id == "load" => Some(items),
            _ => None,
        });
        let items = list.ok_or_else(|| AppError::NotOneOf {
            value: visit.to_owned(),
            what: "a visit to which something is taken".to_owned(),
        })?;
        let is_loaded = |figures: &&Figures| {
            look.guide.loads.iter().any(|load| {
                let of = matches!(&load.of, LoadOf::Figures { figures: id, at } if *id == figures.id && at == "/parts");
                of && load.visit == visit
            })
        };
        let behind: Vec<&Figures> = look.figures.iter().filter(is_loaded).collect();
        let (job, business) = self.whose_sheet(look)?;
        let of = sheet_of(&job, &business, look);
        Ok(loading_sheet(visit, &items, &behind, self.words(), size, of))
    }

    /// The job's and the business's names.
    pub(crate) fn whose_sheet(&self, look: &Look) -> Result<(String, String), AppError> {
        let opened = look.job.opened.first();
        let job = opened.map(|opened| opened.body.label.clone()).unwrap_or_default();
        Ok((job, self.business()?.1))
    }
}

pub(crate) fn sheet_of<'s>(job: &'s str, business: &'s str, look: &Look) -> SheetOf<'s> {
    SheetOf {
        job,
        business,
        software: SOFTWARE,
        day: look.today.into(),
    }
}

/// What keeps figures from being used: what they wait for, or what they say.
fn why_not(figures: &Figures) -> String {
    match figures.first_stop() {
        Some(stop) => stop.to_owned(),
        None => figures.missing.join(", "),
    }
}
