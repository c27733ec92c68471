//! `wythe reckon`: one JSON object in, one JSON object out.

use std::fs;
use std::io::Read;

use crate::args::ReckonArgs;
use crate::trouble::Trouble;

/// Inputs longer than this are none.
const MAX_INPUT_BYTES: u64 = 16 * 1024 * 1024;

pub fn run(args: &ReckonArgs) -> Result<String, Trouble> {
    if args.list {
        let lines = wythe_trade::list().map(|entry| format!("{:<18} {}\n", entry.name, entry.purpose));
        return Ok(lines.collect());
    }
    if let Some(name) = &args.schema {
        let schema = wythe_trade::schema(name).map_err(|refusal| refused(&refusal))?;
        return Ok(pretty(&schema));
    }
    let Some(name) = &args.name else {
        return Err(Trouble::Usage(
            "Name a reckoning, or list them with --list.".to_owned(),
        ));
    };
    let text = match &args.file {
        Some(path) => {
            let name = path.display().to_string();
            let length = fs::metadata(path)
                .map_err(|why| Trouble::file(&name, &why))?
                .len();
            if length > MAX_INPUT_BYTES {
                return Err(Trouble::File {
                    what: name,
                    why: "longer than any input".to_owned(),
                });
            }
            fs::read(path).map_err(|why| Trouble::file(&name, &why))?
        }
        None => {
            let mut bytes = Vec::new();
            let mut input = std::io::stdin().lock().take(MAX_INPUT_BYTES);
            input
                .read_to_end(&mut bytes)
                .map_err(|why| Trouble::file("standard input", &why))?;
            bytes
        }
    };
    let text = String::from_utf8_lossy(&text);
    let answer = wythe_trade::reckon(name, &text).map_err(|refusal| refused(&refusal))?;
    Ok(pretty(&answer))
}

fn refused(refusal: &wythe_trade::form::Refusal) -> Trouble {
    Trouble::Reckoning(serde_json::json!({ "error": refusal }).to_string())
}

fn pretty(value: &serde_json::Value) -> String {
    let mut text = serde_json::to_string_pretty(value).unwrap_or_default();
    text.push('\n');
    text
}
