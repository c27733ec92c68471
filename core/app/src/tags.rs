//! The job's tag: printing it, and telling whose a tag in a photo is.

use std::collections::BTreeMap;

use wythe_guide::Date;
use wythe_job::{Job, JobId, TagRead, Trust};
use wythe_media::grade::TagInFrame;
use wythe_media::tag::TagModules;
use wythe_pack::claim::{SheetOf, tag_sheet};
use wythe_pack::paper::{self, PageSize};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::packing::SOFTWARE;

impl<L: Log> App<L> {
    /// The text of the job's tag, signed by this device. Any phone of the business takes it for the job's.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], [`AppError::KeyClosed`].
    pub fn tag_text(&self, job: JobId) -> Result<String, AppError> {
        Ok(self.keeper()?.tag(job))
    }

    /// The job's tag as a PDF in three sizes, to be printed and cut out.
    ///
    /// # Errors
    /// [`AppError::NoJob`], [`AppError::Store`], [`AppError::Pack`] when it cannot be printed.
    pub fn print_tag(&self, job: JobId, size: PageSize, today: Option<Date>) -> Result<Vec<u8>, AppError> {
        let look = self.look(job, today)?;
        let text = self.tag_text(job)?;
        let code = TagModules::of(text.as_bytes())
            .ok_or_else(|| AppError::Pack("the tag is too long for a code".to_owned()))?;
        let rows: Vec<&[bool]> = code.rows().collect();
        let label = look.job.opened.first().map(|opened| opened.body.label.as_str());
        let name = format!("{} · {}", label.unwrap_or_default(), job.short());
        let (_, business, _) = self.business()?;
        let of = SheetOf {
            job: &name,
            business: &business,
            software: SOFTWARE,
            day: look.today.into(),
        };
        let printed = paper::print(&tag_sheet(&rows, self.words(), size, of));
        Ok(printed.map_err(|why| AppError::Pack(why.to_string()))?.pdf)
    }

    /// What each text read in the job's photos is.
    pub(crate) fn tags_of(&self, job: JobId, folded: &Job) -> Result<BTreeMap<String, TagRead>, AppError> {
        let trust = self.trust()?;
        let texts = folded.photos.iter().flat_map(|photo| &photo.body.tags);
        Ok(texts
            .map(|text| (text.clone(), trust.read_tag(text, job)))
            .collect())
    }
}

/// What the tags of one photo amount to, the best first.
pub(crate) fn tag_in_frame(texts: &[String], job: JobId, trust: &Trust) -> TagInFrame {
    let read: Vec<TagRead> = texts.iter().map(|text| trust.read_tag(text, job)).collect();
    if read.contains(&TagRead::Own) {
        TagInFrame::Own
    } else if read.contains(&TagRead::OtherJob) {
        TagInFrame::OtherJob
    } else if read.contains(&TagRead::NotGenuine) {
        TagInFrame::NotGenuine
    } else {
        TagInFrame::Missing
    }
}
