//! Reckons line by line: each line of standard input is `{"name": NAME, "input": {...}}`, each line of standard
//! output the answer, or `{"error": {...}}`. For comparing many inputs from a script.

use std::io::{BufRead, Write, stdin, stdout};

use serde_json::{Value, json};

fn main() -> std::io::Result<()> {
    let mut out = stdout().lock();
    for line in stdin().lock().lines() {
        let line = line?;
        if !line.trim().is_empty() {
            writeln!(out, "{}", one(&line))?;
        }
    }
    Ok(())
}

fn one(line: &str) -> Value {
    let asked: Value = match serde_json::from_str(line) {
        Ok(asked) => asked,
        Err(trouble) => return json!({ "error": { "code": "not_json", "message": trouble.to_string() } }),
    };
    let name = asked.get("name").and_then(Value::as_str).unwrap_or_default();
    let input = asked.get("input").map_or_else(String::new, Value::to_string);
    wythe_trade::reckon(name, &input).unwrap_or_else(|refusal| json!({ "error": refusal }))
}
