//! Carrying facts and photos by file.

use serde_json::{Value as Json, json};

use crate::args::{CarryArgs, CarryCommand};
use crate::platform::open_begun;
use crate::trouble::Trouble;
use crate::typed::answer;

/// Writes everything out, or takes in what was carried.
pub fn run(args: &CarryArgs, json: bool) -> Result<String, Trouble> {
    let mut phone = open_begun(&args.store.store, json)?;
    match &args.command {
        CarryCommand::Out { file } => {
            let facts = phone.carry_out(file)?;
            Ok(answer(
                json,
                &json!({"facts": facts}),
                &format!("{facts} entries carried out.\n"),
            ))
        }
        CarryCommand::In { file } => {
            let carried = phone.carry_in(file)?;
            let aside: Vec<Json> = carried
                .set_aside
                .iter()
                .map(|(id, why)| json!({"fact": id, "why": why}))
                .collect();
            let value = json!({
                "new_facts": carried.new_facts,
                "known_facts": carried.known_facts,
                "new_originals": carried.new_originals,
                "set_aside": aside,
            });
            let mut text = format!(
                "{} new entries, {} known, {} new photos and papers.\n",
                carried.new_facts, carried.known_facts, carried.new_originals
            );
            for (id, why) in &carried.set_aside {
                text.push_str(&format!("Set aside: {} ({why}).\n", id.short()));
            }
            Ok(answer(json, &value, &text))
        }
    }
}
