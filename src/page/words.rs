//! Turns the book's language into the texts of its pages; a text that the language lacks is a finding.

use crate::book::{Book, Names, Vocabulary, filled};
use crate::finding::{Code, Finding, Findings};
use crate::source::{FileId, Sources, Span};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Mutex;

/// The strings files that the tool brings with it, by language.
const BUILT_IN: &[(&str, &str)] = &[
    ("en", include_str!("../../templates/strings/en.toml")),
    ("es", include_str!("../../templates/strings/es.toml")),
];

/// The texts of one language by their keys, `section.key`.
pub struct Words {
    language: String,
    texts: BTreeMap<String, String>,
    /// Texts to fall back on where the language lacks one.
    english: BTreeMap<String, String>,
    missing: Mutex<BTreeSet<String>>,
    /// What a finding about a missing text points at.
    span: Span,
}

impl Words {
    /// The texts of the book's language: the tool's own, and over them those of the author's file
    /// `templates/strings/LANGUAGE.toml`.
    pub fn of(book: &Book, sources: &Sources, findings: &mut Findings) -> Words {
        let language = &book.manual.language;
        let mut words = Words::shipped(language);
        let own = sources.find(&format!("templates/strings/{language}.toml"));
        if let Some(file) = own {
            match flatten(&sources.text(file).content) {
                Ok(more) => words.texts.extend(more),
                Err(error) => {
                    let at = error.span().unwrap_or(0..0);
                    findings.push(Finding::new(
                        Code::BadToml,
                        Span::new(file, at),
                        error.message().to_string(),
                    ));
                }
            }
        }
        words.span = Span::new(own.or(book.manual.file).unwrap_or(FileId(0)), 0..0);
        words
    }

    /// The tool's own texts of a language, without a book.
    pub fn shipped(language: &str) -> Words {
        Words {
            language: language.to_string(),
            texts: built_in(language),
            english: built_in("en"),
            missing: Mutex::new(BTreeSet::new()),
            span: Span::new(FileId(0), 0..0),
        }
    }

    /// The language's tag, such as `en`.
    pub fn language(&self) -> &str {
        &self.language
    }

    /// Whether there is a text for a key in the language or in English; asking is no finding.
    pub fn knows(&self, key: &str) -> bool {
        self.texts.contains_key(key) || self.english.contains_key(key)
    }

    /// The text of a key. One that the language lacks is noted, and the English one stands in its place.
    pub fn text(&self, key: &str) -> String {
        if let Some(text) = self.texts.get(key) {
            return text.clone();
        }
        self.missing.lock().expect("noting a key cannot fail half way").insert(key.to_string());
        self.english.get(key).cloned().unwrap_or_else(|| key.to_string())
    }

    /// The text of a key with its `{names}` filled in.
    pub fn fill(&self, key: &str, values: &[(&str, &str)]) -> String {
        Vocabulary::fill(self, key, values)
    }

    /// The text of a key with each `{name}` filled in that there is a value for.
    pub fn fill_by(&self, key: &str, value: impl Fn(&str) -> Option<String>) -> String {
        filled(&self.text(key), value)
    }

    /// The keys below a section of the strings file, such as the terms of the glossary, in order.
    pub fn section(&self, section: &str) -> Vec<String> {
        let prefix = format!("{section}.");
        let keys: BTreeSet<&String> = self.texts.keys().chain(self.english.keys()).collect();
        let below = keys.into_iter().filter_map(|key| key.strip_prefix(&prefix));
        below.map(str::to_string).collect()
    }

    /// A finding for each text that was asked for and is not there.
    pub fn missing(&self) -> Findings {
        let missing = self.missing.lock().expect("noting a key cannot fail half way");
        let mut findings = Findings::default();
        for key in missing.iter() {
            let finding = Finding::new(
                Code::MissingText,
                self.span,
                format!("the language `{}` has no text for `{key}`", self.language),
            );
            findings.push(finding.hint(format!(
                "write it in templates/strings/{}.toml; the English text is `{}`",
                self.language,
                self.english.get(key).map_or("", String::as_str)
            )));
        }
        findings
    }
}

impl Vocabulary for Words {
    fn text(&self, key: &str) -> String {
        Words::text(self, key)
    }

    fn find(&self, key: &str) -> Option<String> {
        self.knows(key).then(|| Words::text(self, key))
    }

    fn names(&self) -> Names {
        Names::Full
    }
}

fn built_in(language: &str) -> BTreeMap<String, String> {
    let file = BUILT_IN.iter().find(|(tag, _)| *tag == language);
    file.map_or_else(BTreeMap::new, |(_, content)| {
        flatten(content).expect("the tool's own strings files are sound: a test reads them")
    })
}

/// A strings file's tables as `section.key` and text.
fn flatten(content: &str) -> Result<BTreeMap<String, String>, toml::de::Error> {
    let sections: BTreeMap<String, BTreeMap<String, String>> = toml::from_str(content)?;
    let texts = sections.into_iter().flat_map(|(section, texts)| {
        let with_section = move |(key, text): (String, String)| (format!("{section}.{key}"), text);
        texts.into_iter().map(with_section)
    });
    Ok(texts.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_value_says_is_not_filled_in_again() {
        let value = |name: &str| match name {
            "a" => Some("{b}".to_string()),
            "b" => Some("{a}".to_string()),
            _ => None,
        };
        assert_eq!(filled("{a}, {b}, {c} {", value), "{b}, {a}, {c} {");
    }

    #[test]
    fn the_shipped_languages_have_the_same_keys_and_placeholders() {
        let english = built_in("en");
        let placeholders = |text: &str| {
            let mut names: Vec<String> = text
                .split('{')
                .skip(1)
                .filter_map(|rest| Some(rest.split_once('}')?.0.to_string()))
                .collect();
            names.sort();
            names
        };
        for (language, _) in BUILT_IN {
            let texts = built_in(language);
            assert_eq!(texts.keys().collect::<Vec<_>>(), english.keys().collect::<Vec<_>>(), "{language}");
            for (key, text) in &texts {
                assert_eq!(placeholders(text), placeholders(&english[key]), "{language}: {key}");
            }
        }
    }
}
