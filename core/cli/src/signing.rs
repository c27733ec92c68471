//! What a signer is shown, and signing.

use wythe_app::Signing;
use wythe_app::job::{Digest, FactId};

use crate::job_args::JobCommand;
use crate::phone::Phone;
use crate::trouble::Trouble;
use crate::typed::{answer, at_address, position, read_text, strokes};

pub fn words(phone: &Phone, command: &JobCommand, json: bool) -> Result<String, Trouble> {
    let JobCommand::Words { job, address } = command else {
        return Err(Trouble::Usage("That shows nothing.".to_owned()));
    };
    let look = phone.look(phone.find_job(job)?, None)?;
    let address = at_address(address)?;
    let to_sign = phone.to_sign(&look, &address)?;
    let text = format!(
        "{}\n\n{}\n\nShown: {}\n",
        to_sign.words, to_sign.summary, to_sign.shown
    );
    Ok(answer(
        json,
        &serde_json::to_value(&to_sign).unwrap_or_default(),
        &text,
    ))
}

pub fn sign(phone: &mut Phone, command: &JobCommand) -> Result<FactId, Trouble> {
    let JobCommand::Sign {
        job,
        address,
        name,
        shown,
        strokes: drawn,
        act,
        page,
        place,
        copy_given,
    } = command
    else {
        return Err(Trouble::Usage("That signs nothing.".to_owned()));
    };
    let job = phone.find_job(job)?;
    let address = at_address(address)?;
    if let Some(page) = page {
        phone.add_signed_page(job, &address, page)?;
    }
    let shown = match shown {
        None => phone.to_sign(&phone.look(job, None)?, &address)?.shown,
        Some(text) => Digest::from_hex(text)
            .ok_or_else(|| Trouble::Usage("What was shown has 64 hexadecimal digits.".to_owned()))?,
    };
    let read = |path: &std::path::PathBuf| {
        strokes(&read_text(path)?).map_err(|why| Trouble::File {
            what: path.display().to_string(),
            why: format!("no list of strokes: {why}"),
        })
    };
    let signing = Signing {
        shown,
        act: act.clone(),
        name: name.clone(),
        strokes: drawn.as_ref().map(read).transpose()?.unwrap_or_default(),
        position: place.as_deref().map(position).transpose()?,
        copy_given: Some(*copy_given),
    };
    Ok(phone.sign_off(job, &address, signing)?)
}
