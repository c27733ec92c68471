//! Takes in a file without keeping it, and says as JSON what is known of it: `describe photo|paper FILE`.

use std::{
    io::{self, Write},
    path::PathBuf,
};

use wythe_media::{MemorySink, intake_paper_file, intake_photo_file};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut words = std::env::args().skip(1);
    let kind = words.next().ok_or("say photo or paper")?;
    let path = PathBuf::from(words.next().ok_or("say a file")?);
    let mut sink = MemorySink::default();
    let mut known = match kind.as_str() {
        "photo" => serde_json::to_value(intake_photo_file(&path, &mut sink)?)?,
        "paper" => serde_json::to_value(intake_paper_file(&path, &mut sink)?)?,
        _ => return Err("say photo or paper".into()),
    };
    if let Some(preview) = known.get_mut("preview").and_then(|p| p.as_object_mut()) {
        preview.remove("jpeg");
    }
    writeln!(io::stdout(), "{}", serde_json::to_string_pretty(&known)?)?;
    Ok(())
}
