//! Turns the names of a verdict into replaceable items, faults of them, and harnesses.

use super::{Reader, Text};
use crate::book::{HarnessWay, Item, Suspect};
use crate::finding::Code;
use crate::read::phrase::{Phrase, pieces};
use crate::source::{Placed, Span};

/// `K4`, `W41`, `W41 open`, `X12`, `lift short`, several by comma.
pub fn suspects(reader: &Reader, text: Text) -> Vec<Suspect> {
    let mut found = Vec::new();
    for piece in pieces(text.value, text.span) {
        found.extend(suspect(reader, Phrase::new(piece.value, piece.span)));
    }
    if text.value.trim().is_empty() {
        reader.empty(text, "a verdict must name what is bad", "for example `blame:K4` or `blame:W41, X12`");
    }
    found
}

fn suspect(reader: &Reader, mut phrase: Phrase) -> Option<Suspect> {
    let word = phrase.next()?;
    let found = match item(reader, word.text) {
        Some(item) if phrase.is_done() => Suspect::Item(item),
        Some(_) => {
            let rest = phrase.rest();
            let name = Placed::new(format!("{} {}", word.text, rest.value), word.span.to(rest.span));
            Suspect::Fault(reader.fault(&name)?)
        }
        None => match reader.index.harnesses.get(word.text) {
            Some(&harness) => {
                let way = if phrase.accept("open") {
                    HarnessWay::Open
                } else if phrase.accept("short") || phrase.accept("shorted") {
                    HarnessWay::Short
                } else {
                    HarnessWay::Any
                };
                Suspect::Harness { harness, way }
            }
            None => {
                unknown(reader, word.text, word.span);
                return None;
            }
        },
    };
    if !phrase.is_done() {
        let rest = phrase.rest();
        let headline = format!("`{}` does not belong to the name", rest.value);
        reader.bad(rest.span, headline, "names are divided by commas; a harness may be `open` or `short`");
        return None;
    }
    Some(found)
}

/// A part, wire or connector by its id.
pub fn item(reader: &Reader, name: &str) -> Option<Item> {
    let index = reader.index;
    let part = index.parts.get(name).map(|&part| Item::Part(part));
    let wire = || index.wires.get(name).map(|&wire| Item::Wire(wire));
    let connector = || index.connectors.get(name).map(|&connector| Item::Connector(connector));
    part.or_else(wire).or_else(connector)
}

/// Reports a name that is no item and no harness.
pub fn unknown(reader: &Reader, name: &str, span: Span) {
    let index = reader.index;
    let known = index.parts.keys().chain(index.wires.keys()).chain(index.connectors.keys());
    let known = known.chain(index.harnesses.keys()).map(String::as_str);
    reader.unknown(Code::UnknownPart, span, "part, wire, connector or harness", name, known);
}
