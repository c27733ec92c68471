//! The job's tag: printing it, and telling whose a tag in a photo is.

use std::collections::BTreeMap;

use wythe_job::{Job, JobId, TagRead, Trust};
use wythe_media::grade::TagInFrame;
use wythe_media::tag::TagModules;
use wythe_pack::claim::tag_sheet;
use wythe_pack::paper::{Document, PageSize};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::look::Look;
use crate::printing::sheet_of;

impl<L: Log> App<L> {
    /// The text of the job's tag, signed by this device. Any phone of the business takes it for the job's.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], [`AppError::KeyClosed`].
    pub fn tag_text(&self, job: JobId) -> Result<String, AppError> {
        Ok(self.keeper()?.tag(job))
    }

    /// The job's tag in three sizes, to be printed and cut out.
    pub(crate) fn tag_document(&self, look: &Look, size: PageSize) -> Result<Document, AppError> {
        let text = self.tag_text(look.id)?;
        let code = TagModules::of(text.as_bytes())
            .ok_or_else(|| AppError::Pack("the tag is too long for a code".to_owned()))?;
        let rows: Vec<&[bool]> = code.rows().collect();
        let (label, business) = self.whose_sheet(look)?;
        let name = format!("{label} · {}", look.id.short());
        Ok(tag_sheet(
            &rows,
            self.words(),
            size,
            sheet_of(&name, &business, look),
        ))
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
