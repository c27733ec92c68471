use std::fmt;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource};
use unic_langid::LanguageIdentifier;
use wythe_units::DecimalSign;

/// A language that people read Wythe in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Language {
    /// English.
    #[default]
    En,
    /// Spanish.
    Es,
    /// French.
    Fr,
}

impl Language {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::En, Self::Es, Self::Fr];

    /// The BCP 47 tag.
    #[must_use]
    pub fn tag(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::Es => "es",
            Self::Fr => "fr",
        }
    }

    /// The language of a tag, by its first part.
    #[must_use]
    pub fn from_tag(tag: &str) -> Option<Self> {
        let first = tag.split(['-', '_']).next()?.to_lowercase();
        Self::ALL.into_iter().find(|language| language.tag() == first)
    }

    /// The sign between whole and decimal figures.
    #[must_use]
    pub fn sign(self) -> DecimalSign {
        match self {
            Self::En => DecimalSign::Point,
            Self::Es | Self::Fr => DecimalSign::Comma,
        }
    }

    fn sources(self) -> &'static [&'static str] {
        match self {
            Self::En => EN,
            Self::Es => ES,
            Self::Fr => FR,
        }
    }
}

macro_rules! messages {
    ($language:literal) => {
        &[
            include_str!(concat!("../messages/", $language, "/app.ftl")),
            include_str!(concat!("../messages/", $language, "/asks.ftl")),
            include_str!(concat!("../messages/", $language, "/stops.ftl")),
            include_str!(concat!("../messages/", $language, "/figures.ftl")),
            include_str!(concat!("../messages/", $language, "/programmes.ftl")),
            include_str!(concat!("../messages/", $language, "/claim.ftl")),
            include_str!(concat!("../messages/", $language, "/pictures.ftl")),
            include_str!(concat!("../messages/", $language, "/errors.ftl")),
            include_str!(concat!("../messages/", $language, "/photos.ftl")),
            include_str!(concat!("../messages/", $language, "/phone.ftl")),
            include_str!(concat!("../messages/", $language, "/life.ftl")),
            include_str!(concat!("../messages/", $language, "/findings.ftl")),
        ]
    };
}

const EN: &[&str] = messages!("en");
const ES: &[&str] = messages!("es");
const FR: &[&str] = messages!("fr");

/// A part of a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Part {
    /// Words.
    Text(String),
    /// The place of an argument, by its name.
    Place(String),
}

/// The messages of one language (Project Fluent).
pub struct Words {
    language: Language,
    bundle: FluentBundle<FluentResource>,
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Words")
            .field("language", &self.language)
            .finish_non_exhaustive()
    }
}

impl Words {
    /// The messages of a language. A test shows that every file of every language is read whole.
    #[must_use]
    pub fn of(language: Language) -> Self {
        let id: LanguageIdentifier = language.tag().parse().unwrap_or_default();
        let mut bundle = FluentBundle::new_concurrent(vec![id]);
        // Marks around inserted text would end up in PDFs and on terminals.
        bundle.set_use_isolating(false);
        for source in language.sources() {
            let resource = match FluentResource::try_new((*source).to_owned()) {
                Ok(resource) | Err((resource, _)) => resource,
            };
            bundle.add_resource_overriding(resource);
        }
        Self { language, bundle }
    }

    /// Which language.
    #[must_use]
    pub fn language(&self) -> Language {
        self.language
    }

    /// A message without arguments.
    #[must_use]
    pub fn get(&self, id: &str) -> String {
        self.with(id, &[])
    }

    /// A message with arguments, by name.
    #[must_use]
    pub fn with(&self, id: &str, arguments: &[(&str, &str)]) -> String {
        self.find(id, arguments).unwrap_or_else(|| format!("[{id}]"))
    }

    /// A message, or nothing where the language has none of that id.
    #[must_use]
    pub fn find(&self, id: &str, arguments: &[(&str, &str)]) -> Option<String> {
        let id = id.replace('.', "-");
        let pattern = self.bundle.get_message(&id)?.value()?;
        Some(self.format(pattern, arguments))
    }

    /// A message's attribute, such as the help of an ask.
    #[must_use]
    pub fn attribute(&self, id: &str, attribute: &str) -> Option<String> {
        let id = id.replace('.', "-");
        let pattern = self.bundle.get_message(&id)?.get_attribute(attribute)?.value();
        Some(self.format(pattern, &[]))
    }

    /// The parts of a message that has nothing in it but words and placeables for arguments.
    pub(crate) fn parts(&self, id: &str) -> Option<Vec<Part>> {
        use fluent_syntax::ast::{Expression, InlineExpression, PatternElement};
        let pattern = self.bundle.get_message(id)?.value()?;
        let part = |element: &PatternElement<&str>| match element {
            PatternElement::TextElement { value } => Some(Part::Text((*value).to_owned())),
            PatternElement::Placeable {
                expression: Expression::Inline(InlineExpression::VariableReference { id }),
            } => Some(Part::Place(id.name.to_owned())),
            PatternElement::Placeable { .. } => None,
        };
        pattern.elements.iter().map(part).collect()
    }

    /// A date as the language writes it.
    #[must_use]
    pub fn date(&self, date: crate::calendar::Date) -> String {
        use chrono::Datelike as _;
        let month = self.get(&format!("month-{}", date.month()));
        let (day, year) = (date.day().to_string(), date.year().to_string());
        let arguments = [("day", day.as_str()), ("month", &month), ("year", &year)];
        self.with("date", &arguments)
    }

    fn format(&self, pattern: &fluent_syntax::ast::Pattern<&str>, arguments: &[(&str, &str)]) -> String {
        let mut args = FluentArgs::new();
        for (name, value) in arguments {
            // Whole numbers choose plural forms; what begins with a zero is a name and keeps it.
            let is_name = value.len() > 1 && value.starts_with('0');
            match value.parse::<i32>() {
                Ok(number) if !is_name => args.set(*name, number),
                _ => args.set(*name, *value),
            }
        }
        let mut wrong = Vec::new();
        self.bundle
            .format_pattern(pattern, Some(&args), &mut wrong)
            .into_owned()
    }

    /// The ids of all messages of a language, and the faults of its files, for the test that every
    /// language is complete.
    #[must_use]
    pub fn ids(language: Language) -> (Vec<String>, Vec<String>) {
        let (mut ids, mut faults) = (Vec::new(), Vec::new());
        for source in language.sources() {
            match fluent_syntax::parser::parse(*source) {
                Ok(resource) => ids.extend(messages_of(&resource)),
                Err((resource, wrong)) => {
                    ids.extend(messages_of(&resource));
                    faults.extend(wrong.iter().map(ToString::to_string));
                }
            }
        }
        ids.sort();
        (ids, faults)
    }
}

fn messages_of(resource: &fluent_syntax::ast::Resource<&str>) -> Vec<String> {
    let mut ids = Vec::new();
    for entry in &resource.body {
        if let fluent_syntax::ast::Entry::Message(message) = entry {
            ids.push(message.id.name.to_owned());
            for attribute in &message.attributes {
                ids.push(format!("{}.{}", message.id.name, attribute.id.name));
            }
        }
    }
    ids
}
