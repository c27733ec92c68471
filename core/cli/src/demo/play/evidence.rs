//! Photos, papers and signatures of a scenario.

use wythe_app::job::Address;
use wythe_app::media::grade::HowAdded;
use wythe_app::media::made::{MadePhoto, make};
use wythe_app::pack::paper::PageSize;
use wythe_app::{PhotoOptions, Signing};

use super::super::props::{offset_text, plain, scribble, wall_clock, write};
use super::super::scenario::Act;
use super::Stage;
use crate::packs;
use crate::trouble::Trouble;
use crate::typed::{at_address, position, stroke_points};

impl Stage<'_> {
    pub(super) fn sign(&mut self, act: &Act, address: &Address) -> Result<(), Trouble> {
        let (job, out) = (self.job, self.out.join("papers"));
        let name = act.name.clone().unwrap_or_default();
        let how = act.act.clone().unwrap_or_else(|| "signed".to_owned());
        let on_paper = how == "on_paper";
        let phone = self.phone(act)?;
        if on_paper {
            // The printed page stands for the photo of it.
            let page = out.join(format!("{}.pdf", plain(&address.to_string())));
            let printed = phone.print(job, &format!("to_sign/{address}"), PageSize::Letter, None)?;
            write(&page, &printed.pdf)?;
            phone.add_signed_page(job, address, &page)?;
        }
        let shown = phone.to_sign(&phone.look(job, None)?, address)?.shown;
        let drawn = scribble(&name);
        let strokes = drawn.iter().filter(|_| !on_paper);
        let signing = Signing {
            shown,
            act: how,
            strokes: strokes.map(|stroke| stroke_points(stroke)).collect(),
            name,
            position: None,
            copy_given: Some(true),
        };
        phone.sign_off(job, address, signing)?;
        Ok(())
    }

    pub(super) fn photo(&mut self, act: &Act, address: &str) -> Result<(), Trouble> {
        let Some(scene) = &act.scene else {
            return Err(Trouble::Usage("a photo needs its scene".to_owned()));
        };
        self.pictures += 1;
        let job = self.job;
        let now = self.clock.true_time();
        let mut made: MadePhoto = scene.clone();
        if made.seed == 0 {
            made.seed = self.scenario.head.seed;
        }
        if made.view == 0 {
            made.view = self.pictures;
        }
        if made.taken_at.is_none() {
            made.taken_at = wall_clock(now);
            made.offset = Some(offset_text(now.offset_min));
        }
        if made.position.is_none() {
            made.position = Some(self.here);
        }
        let wants_tag = {
            let guide = self.phone(act)?.guide();
            guide.ask(&at_address(address)?.ask).is_some_and(|ask| ask.tag)
        };
        if act.tag.unwrap_or(wants_tag) && made.tag.is_none() {
            made.tag = Some(self.printed_tag(act)?);
        }
        let file = self
            .out
            .join("photos")
            .join(format!("{:02}-{}.jpg", self.pictures, plain(address)));
        let bytes = make(&made).map_err(|why| Trouble::Usage(format!("the photo cannot be drawn: {why}")))?;
        write(&file, &bytes)?;
        let options = PhotoOptions {
            added: HowAdded::JustTaken,
            preview: None,
            best_i_can: act.best.clone(),
            phone_position: Some(position(&self.scenario.head.job.place)?),
        };
        self.phone(act)?
            .add_photo(job, &at_address(address)?, &file, &options)?;
        Ok(())
    }

    /// The tag of the job as it was printed once; the first who needs it prints it.
    fn printed_tag(&mut self, act: &Act) -> Result<String, Trouble> {
        if let Some(tag) = &self.tag {
            return Ok(tag.clone());
        }
        let (job, out) = (self.job, self.out.join("job-tag.pdf"));
        let phone = self.phone(act)?;
        let tag = phone.tag_text(job)?;
        write(&out, &phone.print(job, "tag", PageSize::Letter, None)?.pdf)?;
        self.tell_under("   ", &format!("The job's tag is printed: {}", out.display()));
        self.tag = Some(tag.clone());
        Ok(tag)
    }

    pub(super) fn paper(&mut self, act: &Act, address: &str) -> Result<(), Trouble> {
        self.pictures += 1;
        let job = self.job;
        let title = act.title.clone().unwrap_or_default();
        let file = self
            .out
            .join("papers")
            .join(format!("{:02}-{}.pdf", self.pictures, plain(address)));
        let bytes = packs::plain_paper(&title, &act.lines, self.clock.true_time())?;
        write(&file, &bytes)?;
        self.phone(act)?.add_paper(job, &at_address(address)?, &file)?;
        Ok(())
    }
}
