//! Turns the fields of an author's text, `{W207.color}`, into what the book says.

use super::told::Told;
use crate::book::{Book, Ids, Item, Thing};
use crate::finding::{Code, Finding};
use crate::read::log::{list, suggestion};
use crate::source::Placed;

/// Fills the fields of a text, and says what is wrong with them; those stay as they were written. One that is escaped, `\{`, is none; `escaped` says that a backslash stands before the text,
/// which Markdown has taken.
pub fn fill(text: &Placed<&str>, escaped: bool, book: &Book, names: &Ids) -> (Told, Vec<Finding>) {
    let start = text.span.start as usize;
    let (mut filled, mut findings) = (Told::new(text.span.file), Vec::new());
    let mut at = 0;
    while at < text.value.len() {
        let rest = &text.value[at..];
        let open = rest.find('{').unwrap_or(rest.len());
        let mut plain = &rest[..open];
        let literal = match plain.strip_suffix('\\') {
            Some(before) => {
                plain = before;
                true
            }
            None => escaped && at + open == 0,
        };
        filled.push(plain, start + at..start + at + plain.len());
        if open == rest.len() {
            break;
        }
        at += open;
        let Some(length) = inner(&text.value[at..]).filter(|_| !literal) else {
            filled.push("{", start + at..start + at + 1);
            at += 1;
            continue;
        };
        let whole = at..at + length + 2;
        let written = &text.value[at + 1..at + 1 + length];
        let from = start + whole.start..start + whole.end;
        match value(&Placed::new(written, text.span.within(at + 1..at + 1 + length)), book, names) {
            Ok(value) => {
                let value = if opens_a_sentence(&filled.text) { capital(&value) } else { value };
                filled.push(&value, from);
            }
            Err(finding) => {
                findings.push(finding);
                filled.push(&text.value[whole.clone()], from);
            }
        }
        at = whole.end;
    }
    (filled, findings)
}

/// The length of what stands in the braces that a text begins with, when it is a field: it begins with a letter or a digit.
pub fn inner(text: &str) -> Option<usize> {
    let inside = text.strip_prefix('{')?;
    let length = inside.find(['{', '}', '\n'])?;
    let begins = inside.starts_with(|c: char| c.is_alphanumeric());
    (inside[length..].starts_with('}') && begins).then_some(length)
}

/// A field that opens a sentence begins with a capital letter, as its name does in a table.
fn opens_a_sentence(before: &str) -> bool {
    let before = before.trim_end();
    before.is_empty() || before.ends_with(['.', '?', '!'])
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// What a field stands for: an id, a pin, or a fact of one.
fn value(written: &Placed<&str>, book: &Book, names: &Ids) -> Result<String, Finding> {
    if thing(written, book, names).is_ok() {
        return Ok(written.value.to_string());
    }
    let Some((of, word)) = written.value.rsplit_once('.') else {
        return Err(thing(written, book, names).expect_err("it was none above"));
    };
    let thing = thing(&Placed::new(of, written.span.within(0..of.len())), book, names)?;
    let facts = book.facts_of(thing);
    if let Some((_, text)) = facts.iter().find(|(known, _)| known == word) {
        return Ok(text.clone());
    }
    let known: Vec<&str> = facts.iter().map(|(word, _)| word.as_str()).collect();
    let span = written.span.within(of.len() + 1..written.value.len());
    let hint = suggestion(word, known.iter().copied()).unwrap_or_else(|| match known.is_empty() {
        true => format!("nothing is told of `{of}`"),
        false => format!("of `{of}` there are {}", list(&known)),
    });
    Err(Finding::new(Code::UnknownField, span, format!("`{of}` has no `{word}`")).hint(hint))
}

/// The thing of the book that a field names.
fn thing<'t>(written: &Placed<&'t str>, book: &Book, names: &Ids) -> Result<Thing<'t>, Finding> {
    if let Some(item) = names.find(written.value) {
        return Ok(Thing::Item(item));
    }
    let unknown = |name: &str| {
        let span = written.span.within(0..name.len());
        let headline = format!("there is no part, wire or connector `{name}`");
        Finding::new(Code::UnknownField, span, headline).hint_if(suggestion(name, names.ids()))
    };
    let Some((name, pin)) = written.value.split_once(':') else {
        let name = written.value.split('.').next().unwrap_or_default();
        return Err(unknown(name));
    };
    let item = names.find(name).ok_or_else(|| unknown(name))?;
    let pins = book.pins(item);
    if pins.contains(&pin) {
        return Ok(Thing::Pin(item, pin));
    }
    let span = written.span.within(name.len() + 1..written.value.len());
    let what = if matches!(item, Item::Connector(_)) { "cavity" } else { "terminal" };
    let finding = Finding::new(Code::UnknownField, span, format!("`{name}` has no {what} `{pin}`"));
    Err(finding.hint_if(suggestion(pin, pins)))
}
