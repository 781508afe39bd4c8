//! The words of the sheet in each language, out of plain text catalogues.
//!
//! A catalogue is a file of Project Fluent's syntax in `report/assets/words`, built
//! into the program. A message has an id in small letters with hyphens. It may
//! hold variables (`{ $motor }`) and choose by a count's plural form (the rules
//! are Unicode CLDR's). Line breaks inside a message are only for those who read
//! the catalogue: they become spaces.
//!
//! Tests hold that all catalogues define the same ids with the same variables,
//! and that code and catalogues name the same ids. Should one be missing all the
//! same, its id is printed where the words would stand.

mod numbers;
#[cfg(test)]
mod tests;

use crate::settings::site::Language;
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
pub(super) use numbers::Numbers;
use std::borrow::Cow;
use std::fmt;
use std::sync::{Arc, OnceLock};
use unic_langid::LanguageIdentifier;

/// All words in one language. A copy is cheap.
#[derive(Clone)]
pub(crate) struct Words {
    language: Language,
    bundle: Arc<FluentBundle<FluentResource>>,
}

/// What a variable of a message stands for.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    /// Printed as it is.
    Text(String),
    /// Printed with the language's separators; chooses the plural form.
    Count(u64),
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<&String> for Value {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}

impl From<u64> for Value {
    fn from(count: u64) -> Self {
        Self::Count(count)
    }
}

impl From<u32> for Value {
    fn from(count: u32) -> Self {
        Self::Count(count.into())
    }
}

impl From<u16> for Value {
    fn from(count: u16) -> Self {
        Self::Count(count.into())
    }
}

impl From<u8> for Value {
    fn from(count: u8) -> Self {
        Self::Count(count.into())
    }
}

impl From<usize> for Value {
    fn from(count: usize) -> Self {
        Self::Count(count as u64)
    }
}

impl Words {
    /// The catalogue of a language, read once: a screen asks for it at every picture.
    pub(crate) fn new(language: Language) -> Self {
        static ENGLISH: OnceLock<Words> = OnceLock::new();
        static SPANISH: OnceLock<Words> = OnceLock::new();
        static GERMAN: OnceLock<Words> = OnceLock::new();
        let read = match language {
            Language::English => &ENGLISH,
            Language::Spanish => &SPANISH,
            Language::German => &GERMAN,
        };
        read.get_or_init(|| Self::read(language)).clone()
    }

    fn read(language: Language) -> Self {
        // The tags are written in the program: none of them fails.
        let tag = language.tag().parse::<LanguageIdentifier>().unwrap_or_default();
        let mut bundle = FluentBundle::new_concurrent(vec![tag]);
        // Marks of direction around variables would stand in the PDF's text.
        bundle.set_use_isolating(false);
        bundle.set_transform(Some(one_line));
        bundle.set_formatter(Some(match language {
            Language::English => |value, _| count(value, Numbers::of(Language::English)),
            Language::Spanish => |value, _| count(value, Numbers::of(Language::Spanish)),
            Language::German => |value, _| count(value, Numbers::of(Language::German)),
        }));
        let resource = match FluentResource::try_new(catalogue(language).to_owned()) {
            // What cannot be read is left out; a test holds that all can.
            Ok(resource) | Err((resource, _)) => resource,
        };
        bundle.add_resource_overriding(resource);
        Self { language, bundle: Arc::new(bundle) }
    }

    /// The language.
    pub(crate) fn language(&self) -> Language {
        self.language
    }

    /// How the language writes numbers.
    pub(super) fn numbers(&self) -> Numbers {
        Numbers::of(self.language)
    }

    /// A number that was written with a point, as the language writes it.
    pub(crate) fn decimal(&self, text: String) -> String {
        self.numbers().localized(text)
    }

    /// The message with this id.
    pub(crate) fn say(&self, id: &str) -> String {
        self.with(id, &[])
    }

    /// The message with this id and its variables.
    pub(crate) fn with(&self, id: &str, values: &[(&'static str, Value)]) -> String {
        let Some(pattern) = self.bundle.get_message(id).and_then(|m| m.value()) else {
            return format!("[{id}]");
        };
        let mut args = FluentArgs::with_capacity(values.len());
        for (name, value) in values {
            let value = match value {
                Value::Text(text) => FluentValue::from(text.as_str()),
                Value::Count(count) => FluentValue::from(*count),
            };
            args.set(*name, value);
        }
        // A variable without a value is printed with its name.
        self.bundle.format_pattern(pattern, Some(&args), &mut Vec::new()).into_owned()
    }
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Words").field("language", &self.language).finish_non_exhaustive()
    }
}

fn catalogue(language: Language) -> &'static str {
    match language {
        Language::English => include_str!("../../../assets/words/en.ftl"),
        Language::Spanish => include_str!("../../../assets/words/es.ftl"),
        Language::German => include_str!("../../../assets/words/de.ftl"),
    }
}

/// Line breaks are not part of the words.
fn one_line(text: &str) -> Cow<'_, str> {
    if text.contains('\n') { text.replace('\n', " ").into() } else { text.into() }
}

/// A count as the language writes it.
fn count(value: &FluentValue, numbers: Numbers) -> Option<String> {
    match value {
        FluentValue::Number(number) => Some(numbers.grouped(number.value as u64)),
        _ => None,
    }
}
