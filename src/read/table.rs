//! Turns a parsed TOML table into checked values with their places, by the keys that are declared for it, and reports all others.

use super::key::{Key, Need, Takes};
use super::log::{Log, list, suggestion};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, BadQuantity, Band, Dimension, Unit};
use crate::source::{FileId, Placed, Span};
use std::cell::RefCell;
use std::collections::BTreeSet;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value as the TOML parser gives it.
pub type Value<'a> = Placed<&'a DeValue<'a>>;

/// Where a TOML text stands in its file: front matter does not begin at the file's first byte.
#[derive(Debug, Clone, Copy)]
pub struct Origin {
    pub file: FileId,
    pub offset: usize,
}

impl Origin {
    fn span(self, range: std::ops::Range<usize>) -> Span {
        Span::new(self.file, range.start + self.offset..range.end + self.offset)
    }
}

/// Parses a TOML text and reports every error of it; what could be parsed is returned all the same.
pub fn parse<'a>(text: &'a str, origin: Origin, log: &Log) -> Spanned<DeTable<'a>> {
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        log.push(Finding::new(
            Code::BadToml,
            origin.span(span),
            format!("this is not TOML: {}", error.message().trim()),
        ));
    }
    table
}

/// A table that is being read by its declared keys. `close` reports what stands in it and was not read.
pub struct Table<'a> {
    entries: &'a DeTable<'a>,
    origin: Origin,
    /// What it is in a sentence: `the relay K4`.
    what: String,
    /// Where a missing key is reported: the table's name or header.
    place: Span,
    takes: Takes,
    /// Keys beyond those: of a part, those of its kind.
    own: &'static [Key],
    asked: RefCell<BTreeSet<&'static str>>,
}

impl<'a> Table<'a> {
    /// The whole of a parsed text, which may have these keys.
    pub fn root(
        document: &'a Spanned<DeTable<'a>>,
        origin: Origin,
        what: impl Into<String>,
        keys: &'static [Key],
    ) -> Table<'a> {
        Table {
            entries: document.get_ref(),
            origin,
            what: what.into(),
            place: Span::new(origin.file, origin.offset..origin.offset),
            takes: Takes::Table(keys),
            own: &[],
            asked: RefCell::default(),
        }
    }

    /// A value under a name of the author's that must be a table.
    pub fn inside(
        &self,
        value: &Value<'a>,
        place: Span,
        what: impl Into<String>,
        log: &Log,
    ) -> Option<Table<'a>> {
        self.under(Takes::Table(self.takes.inner()), value, place, what.into(), log)
    }

    fn under(
        &self,
        takes: Takes,
        value: &Value<'a>,
        place: Span,
        what: String,
        log: &Log,
    ) -> Option<Table<'a>> {
        let Some(entries) = value.as_table() else {
            wrong_type(value, "a table", &what, log);
            return None;
        };
        let asked = RefCell::default();
        Some(Table { entries, origin: self.origin, what, place, takes, own: &[], asked })
    }

    /// Adds keys that it may have.
    pub fn also(&mut self, keys: &'static [Key]) {
        self.own = keys;
    }

    fn keys(&self) -> impl Iterator<Item = &'static Key> {
        self.takes.keys().iter().chain(self.own)
    }

    /// The declaration of a key.
    ///
    /// # Panics
    /// When there is none: what is read is declared.
    pub fn key(&self, name: &str) -> &'static Key {
        let declared = self.keys().find(|key| key.name == name);
        declared.unwrap_or_else(|| panic!("{} is read for `{name}`, which is not declared", self.what))
    }

    /// Where the table stands, for findings about it as a whole.
    pub fn place(&self) -> Span {
        self.place
    }

    /// The value of a key, if it is there.
    pub fn get(&self, key: &'static str) -> Option<Value<'a>> {
        self.asked.borrow_mut().insert(self.key(key).name);
        let value = self.entries.get(key)?;
        Some(Placed::new(value.get_ref(), self.origin.span(value.span())))
    }

    /// The span of a key that is there.
    pub fn key_span(&self, key: &str) -> Option<Span> {
        let (key, _) = self.entries.get_key_value(key)?;
        Some(self.origin.span(key.span()))
    }

    /// Reports that a key is missing.
    pub fn missing(&self, key: &str, log: &Log) {
        let headline = format!("{} needs `{key}`", self.what);
        let example = self.key(key).written();
        log.push(
            Finding::new(Code::MissingKey, self.place, headline).hint(format!("for example `{example}`")),
        );
    }

    /// A text.
    pub fn text(&self, key: &'static str, log: &Log) -> Option<Placed<String>> {
        let value = self.get(key)?;
        text_of(&value, &format!("`{key}`"), log)
    }

    /// A text that must be there.
    pub fn needed_text(&self, key: &'static str, log: &Log) -> Option<Placed<String>> {
        if self.get(key).is_none() {
            self.missing(key, log);
        }
        self.text(key, log)
    }

    /// One quantity, in base units.
    pub fn quantity(&self, key: &'static str, log: &Log) -> Option<Placed<Amount>> {
        let value = self.get(key)?;
        quantity_of(&value, self.key(key).takes.dimension(), &format!("`{key}`"), log)
    }

    /// One quantity that must be there.
    pub fn needed_quantity(&self, key: &'static str, log: &Log) -> Option<Placed<Amount>> {
        if self.get(key).is_none() {
            self.missing(key, log);
        }
        self.quantity(key, log)
    }

    /// A band of quantities, or a single one.
    pub fn band(&self, key: &'static str, log: &Log) -> Option<Placed<Band<Amount>>> {
        let text = self.text(key, log)?;
        band_of(&text, self.key(key).takes.dimension(), log)
    }

    /// Yes or no; no when it is not there.
    pub fn flag(&self, key: &'static str, log: &Log) -> bool {
        let Some(value) = self.get(key) else { return false };
        value.as_bool().unwrap_or_else(|| {
            wrong_type(&value, "true or false", &format!("`{key}`"), log);
            false
        })
    }

    /// A list of texts; empty when it is not there.
    pub fn texts(&self, key: &'static str, log: &Log) -> Vec<Placed<String>> {
        self.list(key, log)
            .iter()
            .filter_map(|value| text_of(value, &format!("an entry of `{key}`"), log))
            .collect()
    }

    /// A list of any values; empty when it is not there.
    pub fn list(&self, key: &'static str, log: &Log) -> Vec<Value<'a>> {
        self.get(key).map(|value| self.items(&value, &format!("`{key}`"), log)).unwrap_or_default()
    }

    /// The items of a value that must be a list.
    pub fn items(&self, value: &Value<'a>, what: &str, log: &Log) -> Vec<Value<'a>> {
        let Some(array) = value.as_array() else {
            wrong_type(value, "a list", what, log);
            return Vec::new();
        };
        array.iter().map(|item| Placed::new(item.get_ref(), self.origin.span(item.span()))).collect()
    }

    /// A table under a key.
    pub fn table(&self, key: &'static str, log: &Log) -> Option<Table<'a>> {
        let value = self.get(key)?;
        let place = self.key_span(key).expect("a value has its key");
        self.under(self.key(key).takes, &value, place, format!("`{key}` of {}", self.what), log)
    }

    /// Every key with its value, in the order in which they are written; all of them count as asked for.
    pub fn entries(&self) -> Vec<(Placed<String>, Value<'a>)> {
        let mut entries: Vec<_> = self
            .entries
            .iter()
            .map(|(key, value)| {
                let written = key.span();
                // A key in quotation marks: its place is what stands between them, and with escapes in it the first mark.
                let inner = match written.len() - key.get_ref().len().min(written.len()) {
                    0 => written,
                    2 => written.start + 1..written.end - 1,
                    _ => written.start..written.start + 1,
                };
                (
                    Placed::new(key.get_ref().to_string(), self.origin.span(inner)),
                    Placed::new(value.get_ref(), self.origin.span(value.span())),
                )
            })
            .collect();
        entries.sort_by_key(|(key, _)| key.span);
        entries
    }

    /// Reports every key that is not declared, or that has no place beside the others.
    pub fn close(&self, log: &Log) {
        for (key, _) in self.entries() {
            if self.asked.borrow().contains(key.as_str()) {
                continue;
            }
            let known: Vec<&str> = self.keys().map(|key| key.name).collect();
            let (headline, hint) = if known.contains(&key.as_str()) {
                let instead =
                    self.keys().find(|other| matches!(other.need, Need::Instead(it) if it == key.value));
                let hint = instead.map(|other| format!("`{}` stands in its place", other.name));
                (format!("{} has no use for `{}`", self.what, key.value), hint)
            } else {
                let hint = suggestion(&key, known.iter().copied());
                let hint = hint.unwrap_or_else(|| format!("it has the keys {}", list(&known)));
                (format!("{} has no key `{}`", self.what, key.value), Some(hint))
            };
            log.push(Finding::new(Code::UnknownKey, key.span, headline).hint_if(hint));
        }
    }
}

/// A text; its span covers what stands between the quotation marks, so that a part of it can be pointed at.
pub fn text_of(value: &Value, what: &str, log: &Log) -> Option<Placed<String>> {
    let Some(text) = value.as_str() else {
        wrong_type(value, "a text in quotation marks", what, log);
        return None;
    };
    Some(Placed::new(text.to_string(), written(value.span, text, log)))
}

/// Where a text stands between its quotation marks. Of one that is written with escapes it is the first mark only: its parts
/// stand elsewhere than in the text.
pub fn written(quoted: Span, text: &str, log: &Log) -> Span {
    match log.sources.slice(quoted).find(text) {
        _ if text.is_empty() => quoted,
        Some(start) => quoted.within(start..start + text.len()),
        None => quoted.within(0..1),
    }
}

/// A quantity of a dimension.
pub fn quantity_of(value: &Value, dimension: Dimension, what: &str, log: &Log) -> Option<Placed<Amount>> {
    if value.is_integer() || value.is_float() {
        let number = log.sources.slice(value.span);
        let unit = Unit::base(dimension).symbol;
        log.push(
            Finding::new(Code::WrongUnit, value.span, format!("{what} is a quantity and needs a unit"))
                .hint(format!("write `\"{number} {unit}\"` if that is meant")),
        );
        return None;
    }
    let text = text_of(value, what, log)?;
    amount(&text, dimension, log)
}

/// A text that must be one quantity of a dimension.
pub fn amount(text: &Placed<String>, dimension: Dimension, log: &Log) -> Option<Placed<Amount>> {
    let band = band_of(text, dimension, log)?;
    if !band.is_point() {
        bad_quantity(text, &BadQuantity::NotSingle, dimension, log);
        return None;
    }
    Some(Placed::new(band.low, text.span))
}

/// A text that must be a band of a dimension or one quantity of it.
pub fn band_of(text: &Placed<String>, dimension: Dimension, log: &Log) -> Option<Placed<Band<Amount>>> {
    let read = Amount::parse_band(text).and_then(|band| band.low.measure(dimension).map(|_| band));
    match read {
        Ok(band) => Some(Placed::new(band, text.span)),
        Err(problem) => {
            bad_quantity(text, &problem, dimension, log);
            None
        }
    }
}

/// Reports why a text is no quantity of a dimension.
pub fn bad_quantity(text: &Placed<String>, problem: &BadQuantity, dimension: Dimension, log: &Log) {
    let span = match problem {
        BadQuantity::UnknownUnit(unit) | BadQuantity::NoNumber(unit) => part_of(text, unit),
        _ => text.span,
    };
    let near = match problem {
        BadQuantity::UnknownUnit(unit) => super::near::nearest(unit, Unit::symbols()),
        _ => None,
    };
    let hint = match near {
        Some(unit) => format!("did you mean `{unit}`?"),
        None => format!("{} is expected, for example `{}`", dimension.name(), dimension.example()),
    };
    log.push(Finding::new(Code::WrongUnit, span, problem.to_string()).hint(hint));
}

/// The span of `piece` within a placed text, or of the whole text.
pub fn part_of(text: &Placed<String>, piece: &str) -> Span {
    match text.value.find(piece) {
        Some(start) if !piece.is_empty() => text.span.within(start..start + piece.len()),
        _ => text.span,
    }
}

fn wrong_type(value: &Value, expected: &str, what: &str, log: &Log) {
    let found = match value.value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    };
    log.error(Code::WrongType, value.span, format!("{what} must be {expected}, but this is {found}"));
}
