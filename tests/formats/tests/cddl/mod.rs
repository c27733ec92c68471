//! As much of CDDL (RFC 8610) as `facts.cddl` uses: rules, choices, arrays with `?`, `*`, `+`, ranges,
//! whole numbers, `.size`, `.regexp`, and of the prelude bstr, tstr, uint, float, bool, null, any.
//! Names of members are for the reader only, as they are in arrays (section 3.4).

use std::collections::BTreeMap;

use ciborium::Value;

#[derive(Debug, Clone)]
enum Type {
    Name(String),
    Range(i128, i128),
    Sized(u64),
    Like(regex::Regex),
    Array(Vec<(Times, Type)>),
    Choice(Vec<Type>),
}

#[derive(Debug, Clone, Copy)]
enum Times {
    Once,
    Maybe,
    Any,
    Some,
}

/// The rules of a CDDL text.
pub struct Cddl(BTreeMap<String, Type>);

impl Cddl {
    pub fn parse(text: &str) -> Self {
        let words = words(text);
        let mut rest = words.as_slice();
        let mut rules = BTreeMap::new();
        while let [name, equals, after @ ..] = rest {
            assert_eq!(equals, "=", "after {name}");
            let (found, after) = choice(after);
            assert!(rules.insert(name.clone(), found).is_none(), "{name} twice");
            rest = after;
        }
        assert!(rest.is_empty(), "{rest:?}");
        Self(rules)
    }

    pub fn rules(&self) -> impl Iterator<Item = &String> {
        self.0.keys()
    }

    /// Whether bytes are an item of the named rule.
    pub fn fits(&self, rule: &str, bytes: &[u8]) -> bool {
        let value: Value = ciborium::from_reader(bytes).unwrap();
        self.is(&value, &self.0[rule])
    }

    fn is(&self, value: &Value, of: &Type) -> bool {
        match of {
            Type::Choice(types) => types.iter().any(|one| self.is(value, one)),
            Type::Range(least, most) => value
                .as_integer()
                .is_some_and(|n| (*least..=*most).contains(&i128::from(n))),
            Type::Sized(size) => value
                .as_bytes()
                .is_some_and(|bytes| u64::try_from(bytes.len()) == Ok(*size)),
            Type::Like(form) => value.as_text().is_some_and(|text| form.is_match(text)),
            Type::Array(entries) => value
                .as_array()
                .is_some_and(|items| self.is_group(items, entries)),
            Type::Name(name) => match (name.as_str(), self.0.get(name)) {
                (_, Some(rule)) => self.is(value, rule),
                ("bstr", _) => value.is_bytes(),
                ("tstr", _) => value.is_text(),
                ("uint", _) => value.as_integer().is_some_and(|n| i128::from(n) >= 0),
                ("float", _) => value.is_float(),
                ("bool", _) => value.is_bool(),
                ("null", _) => value.is_null(),
                ("any", _) => true,
                (name, None) => panic!("no rule {name}"),
            },
        }
    }

    /// Entries take as many items as they can, and never give one back (section 3.2).
    fn is_group(&self, items: &[Value], entries: &[(Times, Type)]) -> bool {
        let mut rest = items;
        for (times, of) in entries {
            let (least, most) = match times {
                Times::Once => (1, 1),
                Times::Maybe => (0, 1),
                Times::Any => (0, usize::MAX),
                Times::Some => (1, usize::MAX),
            };
            let fitting = rest.iter().take(most).take_while(|item| self.is(item, of));
            let count = fitting.count();
            if count < least {
                return false;
            }
            rest = &rest[count..];
        }
        rest.is_empty()
    }
}

fn words(text: &str) -> Vec<String> {
    let form =
        regex::Regex::new(r#""[^"]*"|;[^\n]*|\.\.|\.?[A-Za-z_][A-Za-z0-9_-]*:?|-?[0-9]+|[=/\[\],?*+]"#)
            .unwrap();
    let mut words = Vec::new();
    let mut last = 0;
    for found in form.find_iter(text) {
        let between = text.get(last..found.start()).unwrap();
        assert!(between.trim().is_empty(), "{between:?} is not read");
        last = found.end();
        // Comments, names of members and commas say nothing to a validator.
        let word = found.as_str();
        if !word.starts_with(';') && !word.ends_with(':') && word != "," {
            words.push(word.to_owned());
        }
    }
    words
}

fn choice(words: &[String]) -> (Type, &[String]) {
    let (first, mut rest) = one(words);
    let mut types = vec![first];
    while let [slash, after @ ..] = rest
        && slash == "/"
    {
        let (next, after) = one(after);
        types.push(next);
        rest = after;
    }
    match types.len() {
        1 => (types.remove(0), rest),
        _ => (Type::Choice(types), rest),
    }
}

fn one(words: &[String]) -> (Type, &[String]) {
    match words {
        [open, after @ ..] if open == "[" => group(after),
        [least, dots, most, after @ ..] if dots == ".." => {
            (Type::Range(least.parse().unwrap(), most.parse().unwrap()), after)
        }
        [_, control, size, after @ ..] if control == ".size" => (Type::Sized(size.parse().unwrap()), after),
        [_, control, form, after @ ..] if control == ".regexp" => {
            let form = format!("^(?:{})$", form.trim_matches('"'));
            (Type::Like(regex::Regex::new(&form).unwrap()), after)
        }
        [word, after @ ..] => match word.parse() {
            Ok(number) => (Type::Range(number, number), after),
            Err(_) => (Type::Name(word.clone()), after),
        },
        [] => panic!("the text ends too early"),
    }
}

fn group(mut words: &[String]) -> (Type, &[String]) {
    let mut entries = Vec::new();
    loop {
        let (times, rest) = match words {
            [close, after @ ..] if close == "]" => return (Type::Array(entries), after),
            [sign, after @ ..] if sign == "?" => (Times::Maybe, after),
            [sign, after @ ..] if sign == "*" => (Times::Any, after),
            [sign, after @ ..] if sign == "+" => (Times::Some, after),
            _ => (Times::Once, words),
        };
        let (of, rest) = choice(rest);
        entries.push((times, of));
        words = rest;
    }
}
