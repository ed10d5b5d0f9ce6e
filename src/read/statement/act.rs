//! Turns `unplug K4`, `test light K4:30 to ground`, `wait 8 s` into a technician's hands.

use super::{Reader, Text, point, suspect};
use crate::book::{Act, ConnectorId, Instrument, Kind, PartId, WireId};
use crate::finding::{Code, Finding};
use crate::quantity::Dimension;
use crate::read::circuit::{find_part, find_wire};
use crate::read::form::Form;
use crate::read::limit;
use crate::read::log::{list, suggestion};
use crate::read::phrase::{Phrase, pieces};
use crate::source::{Placed, Span};

/// What a hand does without an instrument; each begins with a verb of its own.
pub const HANDS: &[Form] = &[
    Form::new("unplug PART", "unplug K4", "Takes a part out of its socket, or its plug off."),
    Form::new("plug PART", "plug K4", "Puts it back."),
    Form::new("pull FUSE", "pull F1", "Takes a fuse or a fusible link out."),
    Form::new("fit FUSE", "fit F1", "Puts it back."),
    Form::new("open CONNECTOR", "open X1", "Opens a plug between two harnesses."),
    Form::new("close CONNECTOR", "close X1", "Closes it."),
    Form::new("disconnect WIRE at END", "disconnect W1 at F1:1", "Takes one end of a wire off."),
    Form::new("reconnect WIRE at END", "reconnect W1 at F1:1", "Puts it back."),
    Form::new(
        "substitute THING",
        "substitute K4",
        "Puts a part, or a wire, in its place that is known to be good.",
    ),
    Form::new("reset BREAKER", "reset Q1", "Closes a breaker that has opened."),
    Form::new("wait TIME", "wait 8 s", "Lets time pass."),
    Form::new("remove INSTRUMENT", "remove test light", "Takes an instrument away."),
];

/// How instruments are put on.
pub const INSTRUMENTS: &[Form] = &[
    Form::new(
        "test light POINT to POINT",
        "test light K4:30 to ground",
        "A lamp between two points; it lights where the one feeds the other.",
    ),
    Form::new(
        "continuity light POINT to POINT",
        "continuity light W1 at F1:1 to W1 at BAT:+",
        "A lamp with a cell of its own, for what is dead: on a live circuit it is a finding.",
    ),
    Form::new("voltmeter POINT to POINT", "voltmeter H1:1 to H1:2", "The first lead is the positive one."),
    Form::new(
        "analog voltmeter POINT to POINT",
        "analog voltmeter H1:1 to ground",
        "One with a pointer, which draws some current.",
    ),
    Form::new(
        "ohmmeter POINT to POINT",
        "ohmmeter K4:86 to K4:85",
        "For what is dead, as the continuity light.",
    ),
    Form::new(
        "ammeter in WIRE",
        "ammeter in W1 toward F1:1",
        "In place of a wire; with `toward` and an end it has a sign.",
    ),
    Form::new(
        "clamp around WIRE",
        "clamp around W1 toward F1:1",
        "Around a wire; its sign as the ammeter's.",
    ),
    Form::new("jumper POINT to POINT", "jumper K4:30 to K4:87", "A bare wire between two points."),
    Form::new(
        "fused jumper POINT to POINT",
        "fused jumper K4:30 to K4:87",
        "The same with a fuse, which opens before a wire is harmed.",
    ),
];

/// Every word with which a hand can begin.
pub fn verbs() -> impl Iterator<Item = &'static str> {
    let verbs = HANDS.iter().filter_map(|hand| hand.form.split(' ').next());
    verbs.chain(Instrument::ALL.iter().map(|instrument| instrument.word()))
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
    match word.text {
        "unplug" => Some(Act::Unplug(part(reader, phrase)?.0)),
        "plug" => Some(Act::Plug(part(reader, phrase)?.0)),
        "pull" => Some(Act::Unplug(part_of(reader, phrase, &[Kind::Fuse, Kind::FusibleLink], word.text)?)),
        "fit" => Some(Act::Plug(part_of(reader, phrase, &[Kind::Fuse, Kind::FusibleLink], word.text)?)),
        "reset" => Some(Act::ResetBreaker(part_of(reader, phrase, &[Kind::Breaker], word.text)?)),
        "open" => Some(Act::OpenConnector(connector(reader, phrase)?)),
        "close" => Some(Act::CloseConnector(connector(reader, phrase)?)),
        "disconnect" => wire_end(reader, phrase).map(|(wire, end)| Act::Disconnect { wire, end }),
        "reconnect" => wire_end(reader, phrase).map(|(wire, end)| Act::Reconnect { wire, end }),
        "remove" => remove(reader, phrase),
        "substitute" => {
            let name = phrase.rest();
            let item = suspect::item(reader, &name.value);
            if item.is_none() {
                suspect::unknown(reader, &name.value, name.span);
            }
            Some(Act::Substitute(item?))
        }
        "wait" => wait(reader, phrase),
        other => {
            unknown(reader, other, word.span, text);
            None
        }
    }
}

/// The part that the rest of a hand names.
fn part(reader: &Reader, mut phrase: Phrase) -> Option<(PartId, Placed<String>)> {
    let name = phrase.rest();
    Some((find_part(&name.value, name.span, reader.index, reader.log)?, name))
}

/// A part of a kind that this verb can take.
fn part_of(reader: &Reader, phrase: Phrase, kinds: &[Kind], verb: &str) -> Option<PartId> {
    let (part, name) = part(reader, phrase)?;
    let found = reader.book.part(part).kind;
    if kinds.contains(&found) {
        return Some(part);
    }
    let headline = format!("`{}` is a {}, which nobody can {verb}", name.value, found.name());
    let hint = match verb {
        "reset" => "a breaker is reset".to_string(),
        _ => format!("`{}` is for fuses; write `{}`", verb, if verb == "pull" { "unplug" } else { "plug" }),
    };
    reader.log.push(Finding::new(Code::BadStatement, name.span, headline).hint(hint));
    None
}

fn connector(reader: &Reader, mut phrase: Phrase) -> Option<ConnectorId> {
    let name = phrase.rest();
    let found = reader.index.connectors.get(&name.value).copied();
    if found.is_none() {
        let known = reader.index.connectors.keys().map(String::as_str);
        reader.unknown(Code::UnknownConnector, name.span, "connector", &name, known);
    }
    found
}

fn wire_end(reader: &Reader, mut phrase: Phrase) -> Option<(WireId, u8)> {
    let Some(name) = phrase.next() else {
        reader.bad(phrase.here(), "a wire is missing", "for example `disconnect W41 at K4:86`");
        return None;
    };
    let wire = find_wire(name.text, name.span, reader.index, reader.log)?;
    let end = point::wire_end(reader, wire, "at", &mut phrase)?;
    done(reader, &mut phrase)?;
    Some((wire, end))
}

fn remove(reader: &Reader, mut phrase: Phrase) -> Option<Act> {
    if let Some(instrument) = instrument(&mut phrase) {
        done(reader, &mut phrase)?;
        return Some(Act::Remove(instrument));
    }
    let rest = phrase.rest();
    let words: Vec<&str> = Instrument::ALL.iter().map(|instrument| instrument.word()).collect();
    let hint = suggestion(&rest.value, words.iter().copied());
    let hint = hint.unwrap_or_else(|| format!("instruments are {}; a part is unplugged", list(&words)));
    reader.bad(rest.span, format!("`{}` is no instrument", rest.value), hint);
    None
}

fn wait(reader: &Reader, mut phrase: Phrase) -> Option<Act> {
    let time = phrase.band(Dimension::Time, reader.log)?;
    done(reader, &mut phrase)?;
    if !time.is_point() {
        reader.bad(time.span, "a wait is one time", "for example `wait 8 s`");
        return None;
    }
    if time.low.value > limit::WAIT {
        let most = format!("{} s", limit::WAIT);
        limit::exceed(reader.log, time.span, "nobody waits so long", most);
        return None;
    }
    Some(Act::Wait(time.low.value))
}

/// Reports a word that begins no hand.
fn unknown(reader: &Reader, word: &str, span: Span, text: Text) {
    if reader.index.controls.contains_key(word) {
        let hint = format!("write `Set: {}`", text.value);
        reader.bad(text.span, "this is set by a control", hint);
        return;
    }
    let known: Vec<&str> = verbs().collect();
    let hint = suggestion(word, known.iter().copied());
    let hint = hint.unwrap_or_else(|| format!("hands are {}", list(&known)));
    reader.bad(span, format!("`{word}` is not something a hand does"), hint);
}

/// Takes the name of an instrument, the longest that fits.
pub fn instrument(phrase: &mut Phrase) -> Option<Instrument> {
    let mut by_length = Instrument::ALL.to_vec();
    by_length.sort_by_key(|instrument| std::cmp::Reverse(instrument.word().len()));
    by_length.into_iter().find(|instrument| phrase.accept(instrument.word()))
}

/// `A to B`, or `in W41` for an ammeter and `around W41 toward K4:86` for a clamp.
fn connect(reader: &Reader, instrument: Instrument, mut phrase: Phrase) -> Option<Act> {
    if matches!(instrument, Instrument::Ammeter | Instrument::Clamp) {
        if !(phrase.accept("in") || phrase.accept("around") || phrase.accept("on")) {
            let headline = format!("say in which wire the {} is", instrument.word());
            reader.bad(phrase.here(), headline, "for example `ammeter in W41` or `clamp around W41`");
            return None;
        }
        let Some(name) = phrase.next() else {
            reader.bad(phrase.here(), "a wire is missing", "for example `clamp around W41`");
            return None;
        };
        let wire = find_wire(name.text, name.span, reader.index, reader.log)?;
        let toward =
            if phrase.is_done() { None } else { Some(point::wire_end(reader, wire, "toward", &mut phrase)?) };
        done(reader, &mut phrase)?;
        return Some(Act::Measure { instrument, wire, toward });
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
