//! Turns `key run, without D1, with W41 open` into settings and changes of the vehicle.

use super::{Reader, Text, act};
use crate::book::{Act, ControlId, ControlRange, Setting, Setup};
use crate::finding::{Code, Finding};
use crate::read::circuit::find_part;
use crate::read::form::Form;
use crate::read::log::{list, suggestion};
use crate::read::phrase::{Phrase, pieces};

/// What a claim and a figure may set up, beside what `Set:` and `Do:` do.
pub const SETUPS: &[Form] = &[
    Form::new("CONTROL POSITION", "key run", "A control is put there."),
    Form::new("CONTROL QUANTITY", "coolant 95 degC", "A control with a range is put there."),
    Form::new("HAND", "unplug K4", "A technician's hand (`about hands`)."),
    Form::new("without PART", "without D1", "As if the part were not there."),
    Form::new("bridged PART", "bridged D1", "As if a wire lay across it."),
    Form::new("with FAULT", "with W1 open", "With a fault, by its name."),
];

/// Settings of controls alone, divided by commas.
pub fn settings(reader: &Reader, text: Text) -> Vec<Act> {
    if text.value.trim().is_empty() {
        reader.empty(
            text,
            "nothing is set here",
            "a control and its position are expected, such as `key run`",
        );
    }
    let mut acts = Vec::new();
    for piece in pieces(text.value, text.span) {
        let mut phrase = Phrase::new(piece.value, piece.span);
        let Some(word) = phrase.next() else { continue };
        match reader.index.controls.get(word.text) {
            Some(&control) => acts.extend(setting(reader, control, phrase)),
            None if act::begins(word.text) => {
                let hint = format!("write `Do: {}`", piece.value);
                reader.bad(piece.span, "this is done by hand, and not set by a control", hint);
            }
            None => {
                let known = reader.index.controls.keys().map(String::as_str);
                reader.unknown(Code::UnknownControl, word.span, "control", word.text, known);
            }
        }
    }
    acts
}

/// The position or level of a control, which fills the rest of the phrase.
fn setting(reader: &Reader, control: ControlId, mut phrase: Phrase) -> Option<Act> {
    let found = reader.book.control(control);
    let to = match &found.range {
        ControlRange::Positions(positions) => {
            let names: Vec<&str> = positions.iter().map(String::as_str).collect();
            let Some(word) = phrase.next() else {
                let headline = format!("`{}` needs a position", found.id);
                reader.bad(phrase.here(), headline, format!("it has {}", list(&names)));
                return None;
            };
            let Some(at) = positions.iter().position(|name| name == word.text) else {
                let headline = format!("`{}` has no position `{}`", found.id, word.text);
                let hint = suggestion(word.text, names.iter().copied());
                let hint = hint.unwrap_or_else(|| format!("it has {}", list(&names)));
                reader.log.push(Finding::new(Code::UnknownPosition, word.span, headline).hint(hint));
                return None;
            };
            Setting::Position(at as u16)
        }
        ControlRange::Level(range) => {
            let level = phrase.band(range.low.unit.dimension, reader.log)?;
            if !level.is_point() {
                reader.bad(level.span, "a control is set to one value", "a band belongs to a condition");
                return None;
            }
            if !range.holds(level.low) {
                let headline = format!("`{}` lies in {range}", found.id);
                reader.log.error(Code::OutOfRange, level.span, headline);
                return None;
            }
            Setting::Level(level.low.value)
        }
    };
    if !phrase.is_done() {
        let rest = phrase.rest();
        reader.bad(rest.span, format!("`{}` is too much here", rest.value), "settings are divided by commas");
        return None;
    }
    Some(Act::Set { control, to })
}

/// Everything that a claim or a figure may set up, divided by commas or semicolons.
pub fn setups(reader: &Reader, text: Text) -> Vec<Setup> {
    pieces(text.value, text.span).into_iter().filter_map(|piece| setup(reader, piece)).collect()
}

fn setup(reader: &Reader, piece: Text) -> Option<Setup> {
    let mut phrase = Phrase::new(piece.value, piece.span);
    let word = phrase.next()?;
    match word.text {
        "without" | "bridged" => {
            let name = phrase.rest();
            let part = find_part(&name.value, name.span, reader.index, reader.log)?;
            return Some(match word.text {
                "without" => Setup::Without(part),
                _ => Setup::Bridged(part),
            });
        }
        "with" => return reader.fault(&phrase.rest()).map(Setup::Fault),
        _ => {}
    }
    // A hand that begins with the name of an instrument goes before a control of the same first word.
    if act::begins(piece.value) {
        return act::act(reader, piece).map(Setup::Act);
    }
    if let Some(&group) = reader.index.options.get(word.text) {
        return build(reader, group, phrase);
    }
    if let Some(&control) = reader.index.controls.get(word.text) {
        return setting(reader, control, phrase).map(Setup::Act);
    }
    let settings = reader.index.controls.keys().chain(reader.index.options.keys()).map(String::as_str);
    let mut known: Vec<&str> = settings.collect();
    for verb in ["without", "bridged", "with"].into_iter().chain(act::verbs()) {
        known.push(verb);
    }
    reader.unknown(Code::UnknownControl, word.span, "control", word.text, known);
    None
}

/// `gearbox manual|automatic`: only builds with one of these choices.
fn build(reader: &Reader, group: usize, mut phrase: Phrase) -> Option<Setup> {
    let options = &reader.book.options[group];
    let names: Vec<&str> = options.choices.iter().map(String::as_str).collect();
    let mut any = Vec::new();
    loop {
        let Some(word) = phrase.next() else {
            reader.bad(
                phrase.here(),
                format!("`{}` needs a choice", options.id),
                format!("it has {}", list(&names)),
            );
            return None;
        };
        match names.iter().position(|name| *name == word.text) {
            Some(at) => any.push(at as u16),
            None => {
                let headline = format!("`{}` has no choice `{}`", options.id, word.text);
                let hint = suggestion(word.text, names.iter().copied());
                reader.log.push(Finding::new(Code::UnknownOption, word.span, headline).hint_if(hint));
                return None;
            }
        }
        if !phrase.accept("|") {
            break;
        }
    }
    if !phrase.is_done() {
        let rest = phrase.rest();
        reader.bad(rest.span, format!("`{}` is too much here", rest.value), "settings are divided by commas");
        return None;
    }
    Some(Setup::Build { group, any })
}
