//! Turns `unplug K4`, `test light K4:30 to ground`, `wait 8 s` into a technician's hands.

use super::{Reader, Text, point, suspect};
use crate::book::{Act, Instrument, Kind, PartId};
use crate::finding::{Code, Finding};
use crate::quantity::Dimension;
use crate::read::circuit::{find_part, find_wire};
use crate::read::log::{list, suggestion};
use crate::read::phrase::{Phrase, pieces};

/// The verbs of a hand, beside the names of instruments.
const VERBS: &[&str] = &[
    "unplug",
    "plug",
    "pull",
    "fit",
    "open",
    "close",
    "disconnect",
    "reconnect",
    "remove",
    "substitute",
    "wait",
    "reset",
];

/// Every word with which a hand can begin.
pub fn verbs() -> impl Iterator<Item = &'static str> {
    VERBS.iter().copied().chain(Instrument::ALL.iter().map(|instrument| instrument.word()))
}

/// Whether a text begins like a hand.
pub fn begins(text: &str) -> bool {
    verbs().any(|verb| text == verb || text.strip_prefix(verb).is_some_and(|rest| rest.starts_with(' ')))
}

/// Several hands, divided by commas.
pub fn acts(reader: &Reader, text: Text) -> Vec<Act> {
    if text.value.trim().is_empty() {
        reader.empty(text, "nothing is done here", "a hand is expected, such as `unplug K4`");
    }
    pieces(text.value, text.span).into_iter().filter_map(|piece| act(reader, piece)).collect()
}

/// One hand.
pub fn act(reader: &Reader, text: Text) -> Option<Act> {
    let mut phrase = Phrase::new(text.value, text.span);
    if let Some(instrument) = instrument(&mut phrase) {
        return connect(reader, instrument, phrase);
    }
    let word = phrase.next()?;
    let name = |phrase: &mut Phrase| phrase.rest();
    match word.text {
        "unplug" | "plug" => {
            let name = name(&mut phrase);
            let part = find_part(&name.value, name.span, reader.index, reader.log)?;
            Some(match word.text {
                "unplug" => Act::Unplug(part),
                _ => Act::Plug(part),
            })
        }
        "pull" | "fit" => {
            let name = name(&mut phrase);
            let part = find_part(&name.value, name.span, reader.index, reader.log)?;
            kind(reader, part, &[Kind::Fuse, Kind::FusibleLink], &name, word.text)?;
            Some(match word.text {
                "pull" => Act::Unplug(part),
                _ => Act::Plug(part),
            })
        }
        "reset" => {
            let name = name(&mut phrase);
            let part = find_part(&name.value, name.span, reader.index, reader.log)?;
            kind(reader, part, &[Kind::Breaker], &name, word.text)?;
            Some(Act::ResetBreaker(part))
        }
        "open" | "close" => {
            let name = name(&mut phrase);
            let Some(&connector) = reader.index.connectors.get(&name.value) else {
                let known = reader.index.connectors.keys().map(String::as_str);
                reader.unknown(Code::UnknownConnector, name.span, "connector", &name, known);
                return None;
            };
            Some(match word.text {
                "open" => Act::OpenConnector(connector),
                _ => Act::CloseConnector(connector),
            })
        }
        "disconnect" | "reconnect" => {
            let Some(name) = phrase.next() else {
                reader.bad(phrase.here(), "a wire is missing", "for example `disconnect W41 at K4:86`");
                return None;
            };
            let wire = find_wire(name.text, name.span, reader.index, reader.log)?;
            let end = point::wire_end(reader, wire, &mut phrase)?;
            done(reader, &mut phrase)?;
            Some(match word.text {
                "disconnect" => Act::Disconnect { wire, end },
                _ => Act::Reconnect { wire, end },
            })
        }
        "remove" => match instrument(&mut phrase) {
            Some(instrument) => {
                done(reader, &mut phrase)?;
                Some(Act::Remove(instrument))
            }
            None => {
                let rest = phrase.rest();
                let words: Vec<&str> = Instrument::ALL.iter().map(|instrument| instrument.word()).collect();
                let hint = suggestion(&rest.value, words.iter().copied());
                let hint =
                    hint.unwrap_or_else(|| format!("instruments are {}; a part is unplugged", list(&words)));
                reader.bad(rest.span, format!("`{}` is no instrument", rest.value), hint);
                None
            }
        },
        "substitute" => {
            let name = name(&mut phrase);
            let item = suspect::item(reader, &name.value);
            if item.is_none() {
                suspect::unknown(reader, &name.value, name.span);
            }
            Some(Act::Substitute(item?))
        }
        "wait" => {
            let time = phrase.band(Dimension::Time, reader.log)?;
            done(reader, &mut phrase)?;
            if !time.is_point() {
                reader.bad(time.span, "a wait is one time", "for example `wait 8 s`");
                return None;
            }
            Some(Act::Wait(time.low.value))
        }
        other => {
            if reader.index.controls.contains_key(other) {
                let hint = format!("write `Set: {}`", text.value);
                reader.bad(text.span, "this is set by a control", hint);
                return None;
            }
            let known: Vec<&str> = verbs().collect();
            let hint = suggestion(other, known.iter().copied());
            let hint = hint.unwrap_or_else(|| format!("hands are {}", list(&known)));
            reader.bad(word.span, format!("`{other}` is not something a hand does"), hint);
            None
        }
    }
}

/// Takes the name of an instrument, the longest that fits.
pub fn instrument(phrase: &mut Phrase) -> Option<Instrument> {
    let mut by_length = Instrument::ALL.to_vec();
    by_length.sort_by_key(|instrument| std::cmp::Reverse(instrument.word().len()));
    by_length.into_iter().find(|instrument| phrase.accept(instrument.word()))
}

/// `A to B`, or `in W41` for an ammeter and `around W41` for a clamp.
fn connect(reader: &Reader, instrument: Instrument, mut phrase: Phrase) -> Option<Act> {
    if matches!(instrument, Instrument::Ammeter | Instrument::Clamp) {
        if !(phrase.accept("in") || phrase.accept("around") || phrase.accept("on")) {
            let headline = format!("say in which wire the {} is", instrument.word());
            reader.bad(phrase.here(), headline, "for example `ammeter in W41` or `clamp around W41`");
            return None;
        }
        let name = phrase.rest();
        let wire = find_wire(&name.value, name.span, reader.index, reader.log)?;
        return Some(Act::Measure { instrument, wire });
    }
    let Some(from) = phrase.until("to") else {
        let headline = format!("a {} has two leads", instrument.word());
        let hint = format!("for example `{} K4:30 to ground`", instrument.word());
        reader.bad(phrase.span, headline, hint);
        return None;
    };
    let from = point::point(reader, from);
    let to = point::point(reader, phrase);
    let (from, to) = (from?, to?);
    Some(Act::Connect { instrument, from, to })
}

fn done(reader: &Reader, phrase: &mut Phrase) -> Option<()> {
    if phrase.is_done() {
        return Some(());
    }
    let rest = phrase.rest();
    reader.bad(rest.span, format!("`{}` is too much here", rest.value), "hands are divided by commas");
    None
}

/// Reports a part that a hand of this sort cannot take.
fn kind(
    reader: &Reader,
    part: PartId,
    kinds: &[Kind],
    name: &crate::source::Placed<String>,
    verb: &str,
) -> Option<()> {
    let found = reader.book.part(part).kind;
    if kinds.contains(&found) {
        return Some(());
    }
    let headline = format!("`{}` is a {}, which nobody can {verb}", name.value, found.name());
    let hint = match verb {
        "reset" => "a breaker is reset".to_string(),
        _ => format!("`{}` is for fuses; write `{}`", verb, if verb == "pull" { "unplug" } else { "plug" }),
    };
    reader.log.push(Finding::new(Code::BadStatement, name.span, headline).hint(hint));
    None
}
