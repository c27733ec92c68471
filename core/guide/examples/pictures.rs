//! Draws the figures of a sample: `cargo run -p wythe-guide --example pictures -- flue SAMPLE.json FOLDER`.

#![expect(clippy::disallowed_methods, reason = "an example reads and writes files")]

use std::error::Error;

use wythe_drawing::{Fit, Lay, Theme, to_svg};
use wythe_guide::figures::Figures;
use wythe_guide::{Language, Words, pictures};

fn main() -> Result<(), Box<dyn Error>> {
    let mut words = std::env::args().skip(1);
    let (name, file, folder) = words
        .next()
        .zip(words.next())
        .zip(words.next())
        .map(|((name, file), folder)| (name, file, folder))
        .ok_or("give a reckoning, a file with its input, and a folder")?;
    let input: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(file)?)?;
    let result = wythe_trade::reckon(&name, &input.to_string());
    let figures = Figures {
        id: name.clone(),
        reckoning: name.clone(),
        input,
        result: Some(result),
        ..Figures::default()
    };
    for (drawing, number) in pictures::pictures(&figures, &Words::of(Language::En))
        .iter()
        .zip(1..)
    {
        let svg = to_svg(
            drawing,
            Theme::Paper,
            &Lay::new(Fit::Into {
                width: 490.0,
                height: 260.0,
            }),
        )?;
        std::fs::write(format!("{folder}/{name}-{number}.svg"), svg)?;
    }
    Ok(())
}
