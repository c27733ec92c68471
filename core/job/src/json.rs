//! JSON in one way only, for files that are hashed and signed: members in order of their names, one
//! space of indentation, numbers as ECMAScript writes them, a line feed at the end.

use serde_json::Value;

use crate::limits::MAX_WHOLE;

/// Writes a value in the one way. Whole numbers above 2^53 and numbers that are not finite have no
/// place in these files; what makes the values keeps them out.
#[must_use]
pub fn to_text(value: &Value) -> String {
    let mut text = String::new();
    write(value, 0, &mut text);
    text.push('\n');
    text
}

/// Reads a text that must be written in the one way; `None` when it is not JSON or not so written.
#[must_use]
pub fn from_text(text: &str) -> Option<Value> {
    let value: Value = serde_json::from_str(text).ok()?;
    (is_in_range(&value) && to_text(&value) == text).then_some(value)
}

/// Whether all whole numbers are within 2^53 - 1 either way.
fn is_in_range(value: &Value) -> bool {
    match value {
        Value::Array(items) => items.iter().all(is_in_range),
        Value::Object(members) => members.values().all(is_in_range),
        Value::Number(number) if !number.is_f64() => {
            let size = number.as_i64().map(i64::unsigned_abs).or_else(|| number.as_u64());
            size.is_some_and(|size| size <= MAX_WHOLE)
        }
        _ => true,
    }
}

fn write(value: &Value, depth: usize, text: &mut String) {
    match value {
        Value::Array(items) if !items.is_empty() => {
            for (index, item) in items.iter().enumerate() {
                text.push_str(if index == 0 { "[" } else { "," });
                line(depth + 1, text);
                write(item, depth + 1, text);
            }
            line(depth, text);
            text.push(']');
        }
        Value::Object(members) if !members.is_empty() => {
            let mut names: Vec<&String> = members.keys().collect();
            names.sort_unstable();
            for (index, name) in names.into_iter().enumerate() {
                text.push_str(if index == 0 { "{" } else { "," });
                line(depth + 1, text);
                quoted(name, text);
                text.push_str(": ");
                write(members.get(name).unwrap_or(&Value::Null), depth + 1, text);
            }
            line(depth, text);
            text.push('}');
        }
        Value::Array(_) => text.push_str("[]"),
        Value::Object(_) => text.push_str("{}"),
        Value::String(words) => quoted(words, text),
        Value::Number(number) => match number.as_f64() {
            Some(float) if number.is_f64() => text.push_str(&number_text(float)),
            _ => text.push_str(&number.to_string()),
        },
        Value::Bool(true) => text.push_str("true"),
        Value::Bool(false) => text.push_str("false"),
        Value::Null => text.push_str("null"),
    }
}

fn line(depth: usize, text: &mut String) {
    text.push('\n');
    text.extend(std::iter::repeat_n(' ', depth));
}

fn quoted(words: &str, text: &mut String) {
    text.push('"');
    for letter in words.chars() {
        match letter {
            '"' => text.push_str("\\\""),
            '\\' => text.push_str("\\\\"),
            '\u{8}' => text.push_str("\\b"),
            '\t' => text.push_str("\\t"),
            '\n' => text.push_str("\\n"),
            '\u{c}' => text.push_str("\\f"),
            '\r' => text.push_str("\\r"),
            '\0'..='\u{1f}' => text.push_str(&format!("\\u{:04x}", u32::from(letter))),
            _ => text.push(letter),
        }
    }
    text.push('"');
}

/// A finite number as ECMAScript writes it (ECMA-262, Number::toString).
#[must_use]
pub fn number_text(number: f64) -> String {
    if number == 0.0 {
        return "0".into();
    }
    // Shortest digits that read back as the same number: d.ddde±n.
    let form = format!("{:e}", number.abs());
    let (digits, exponent) = form.split_once('e').unwrap_or((&form, "0"));
    let digits = digits.replace('.', "");
    let point = exponent.parse::<i32>().unwrap_or_default() + 1;
    let count = i32::try_from(digits.len()).unwrap_or(i32::MAX);
    let zeros = |n: i32| "0".repeat(usize::try_from(n).unwrap_or_default());
    let cut = |at: i32| digits.split_at_checked(usize::try_from(at).unwrap_or_default());
    let sign = if number < 0.0 { "-" } else { "" };
    if count <= point && point <= 21 {
        format!("{sign}{digits}{}", zeros(point - count))
    } else if 0 < point && point <= 21 {
        let (whole, rest) = cut(point).unwrap_or((&digits, ""));
        format!("{sign}{whole}.{rest}")
    } else if -6 < point && point <= 0 {
        format!("{sign}0.{}{digits}", zeros(-point))
    } else {
        let (first, rest) = cut(1).unwrap_or((&digits, ""));
        let dot = if rest.is_empty() { "" } else { "." };
        format!("{sign}{first}{dot}{rest}e{:+}", point - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_ecmascript_writes_them() {
        // RFC 8785, appendix B, and ECMA-262.
        for (number, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (2.0, "2"),
            (-2.5, "-2.5"),
            (5e-324, "5e-324"),
            (1.797_693_134_862_315_7e308, "1.7976931348623157e+308"),
            (9_007_199_254_740_992.0, "9007199254740992"),
            (295_147_905_179_352_830_000.0, "295147905179352830000"),
            (1e21, "1e+21"),
            (9.999_999_999_999_997e22, "9.999999999999997e+22"),
            (1e-6, "0.000001"),
            (1e-7, "1e-7"),
            (9.999_999_999_999_997e-7, "9.999999999999997e-7"),
            (333_333_333.333_333_3, "333333333.3333333"),
            (0.288_925, "0.288925"),
        ] {
            assert_eq!(number_text(number), text);
        }
    }

    #[test]
    fn a_text_not_written_in_the_one_way_is_refused() {
        let value = serde_json::json!({"b": [1, {}], "a": "x\u{1}\n°"});
        let text = "{\n \"a\": \"x\\u0001\\n°\",\n \"b\": [\n  1,\n  {}\n ]\n}\n";
        assert_eq!(to_text(&value), text);
        assert_eq!(from_text(text), Some(value));
        for other in [
            "{\"a\":1}\n",
            "{}",
            "{} \n",
            "{}\n\n",
            "1.0\n",
            "1e2\n",
            "\"\\u00b0\"\n",
            "\"\\/\"\n",
            "{\n \"a\": 1,\n \"a\": 1\n}\n",
            "{\n \"b\": 1,\n \"a\": 1\n}\n",
            "-0\n",
            "\u{feff}1\n",
            "9007199254740992\n",
        ] {
            assert_eq!(from_text(other), None, "{other}");
        }
    }
}
