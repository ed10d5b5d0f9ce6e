//! Turns `K4:86`, `X12:3 chassis`, `battery +`, `W41 at K4:86` and `ground` into places where a lead can be put.

use super::Reader;
use crate::book::{ConnectorId, End, Kind, PartId, Point, TerminalId, WireId};
use crate::finding::{Code, Finding};
use crate::read::form::Form;
use crate::read::log::{list, suggestion};
use crate::read::phrase::{Phrase, Word};
use crate::source::Placed;

/// Where a lead can be put.
pub const POINTS: &[Form] = &[
    Form::new("PART:TERMINAL", "K4:86", "A terminal of a part; unplugged, the side of the harness."),
    Form::new("PART:TERMINAL part", "K4:86 part", "Unplugged, the side of the part."),
    Form::new("PART", "G1", "The one terminal of a splice or a ground point."),
    Form::new("CONNECTOR:CAVITY HARNESS", "X1:1 lift", "A cavity of a plug, from the side of one harness."),
    Form::new("WIRE at END", "W1 at F1:1", "The end of a wire, whether it is connected or not."),
    Form::new("battery +", "battery +", "The battery's positive post; `battery -` the negative one."),
    Form::new("ground", "ground", "Clean metal of the body."),
];

/// Takes one point; the phrase must hold nothing else.
pub fn point(reader: &Reader, mut phrase: Phrase) -> Option<Point> {
    let found = take(reader, &mut phrase)?;
    if !phrase.is_done() {
        let here = phrase.here();
        let word = phrase.peek().unwrap_or_default();
        reader.bad(
            here,
            format!("`{word}` does not belong to the point"),
            "a point is such as `K4:86`, `X12:3 chassis` or `ground`",
        );
        return None;
    }
    Some(found)
}

fn take(reader: &Reader, phrase: &mut Phrase) -> Option<Point> {
    let Some(word) = phrase.next() else {
        reader.bad(
            phrase.here(),
            "a point is missing",
            "a point is such as `K4:86`, `X12:3 chassis` or `ground`",
        );
        return None;
    };
    match word.text {
        "ground" => return Some(Point::Ground),
        "battery" if phrase.accept("+") => return Some(Point::BatteryPlus),
        "battery" if phrase.accept("-") => return Some(Point::BatteryMinus),
        _ => {}
    }
    let (name, marking) = match word.text.split_once(':') {
        Some((name, marking)) => (name, Some(marking)),
        None => (word.text, None),
    };
    if let Some(&part) = reader.index.parts.get(name) {
        let terminal = terminal(reader, word, part, marking)?;
        let on_part = phrase.accept("part");
        return Some(Point::Terminal { part, terminal, on_part });
    }
    if let Some(&connector) = reader.index.connectors.get(name) {
        return cavity(reader, word, connector, marking.unwrap_or_default(), phrase);
    }
    if let Some(&wire) = reader.index.wires.get(name) {
        let end = wire_end(reader, wire, "at", phrase)?;
        return Some(Point::WireEnd { wire, end });
    }
    let known =
        reader.index.parts.keys().chain(reader.index.connectors.keys()).chain(reader.index.wires.keys());
    let known = known.map(String::as_str).chain(["ground", "battery"]);
    let span = word.span.within(0..name.len());
    reader.unknown(Code::UnknownPart, span, "part, connector or wire", name, known);
    None
}

/// A cavity from the side that the next word names, or from the first one.
fn cavity(
    reader: &Reader,
    word: Word,
    connector: ConnectorId,
    marking: &str,
    phrase: &mut Phrase,
) -> Option<Point> {
    let found = reader.book.connector(connector);
    let Some(cavity) = found.cavities.iter().position(|known| known == marking) else {
        let names: Vec<&str> = found.cavities.iter().map(String::as_str).collect();
        let headline = format!("no wire reaches a cavity `{marking}` of `{}`", found.id);
        let span = word.span.within((found.id.len() + 1).min(word.text.len() - 1)..word.text.len());
        let finding = Finding::new(Code::UnknownCavity, span, headline);
        reader.log.push(finding.hint(format!("it has {}", list(&names))));
        return None;
    };
    let sides = found.joins.map(|harness| reader.book.harnesses[harness.index()].id.as_str());
    let side = match phrase.peek() {
        None | Some("to") => 0,
        Some(harness) => {
            let Some(side) = sides.iter().position(|known| *known == harness) else {
                let headline = format!("`{}` has no side `{harness}`", found.id);
                let finding = Finding::new(Code::UnknownHarness, phrase.here(), headline);
                let hint = suggestion(harness, sides).unwrap_or_else(|| format!("it joins {}", list(&sides)));
                reader.log.push(finding.hint(hint));
                return None;
            };
            phrase.next();
            side
        }
    };
    Some(Point::Cavity { connector, cavity: cavity as u16, side: side as u8 })
}

fn terminal(reader: &Reader, word: Word, part: PartId, marking: Option<&str>) -> Option<TerminalId> {
    let text = Placed::new(word.text.to_string(), word.span);
    crate::read::end::terminal(&text, marking, part, reader.book, reader.index, reader.log)
}

/// Takes `at K4:86` and says which end of the wire that is.
pub fn wire_end(reader: &Reader, wire: WireId, by: &str, phrase: &mut Phrase) -> Option<u8> {
    let found = reader.book.wire(wire);
    let names = found.ends.map(|end| reader.book.end_name(end));
    let names = [names[0].as_str(), names[1].as_str()];
    if !phrase.accept(by) {
        let headline = format!("say at which end of `{}`", found.id);
        reader.bad(phrase.here(), headline, format!("{by} {} or {by} {}", names[0], names[1]));
        return None;
    }
    let Some(word) = phrase.next() else {
        reader.bad(phrase.here(), "the end of the wire is missing", format!("{} or {}", names[0], names[1]));
        return None;
    };
    let end =
        names.iter().position(|name| *name == word.text).or_else(|| bare_end(reader, found.ends, word.text));
    if end.is_none() {
        let headline = format!("`{}` does not end at `{}`", found.id, word.text);
        let finding = Finding::new(Code::UnknownTerminal, word.span, headline);
        reader.log.push(finding.hint(format!("it ends at {}", list(&names))));
    }
    Some(end? as u8)
}

/// An end named by its splice or ground point with any marking, or by its part alone when only one end is on it.
fn bare_end(reader: &Reader, ends: [End; 2], text: &str) -> Option<usize> {
    let name = text.split(':').next().unwrap_or_default();
    let part = *reader.index.parts.get(name)?;
    let junction = matches!(reader.book.part(part).kind, Kind::Splice | Kind::Ground);
    if !junction && text.contains(':') {
        return None;
    }
    let on_part: Vec<usize> =
        (0..2).filter(|&at| matches!(ends[at], End::Terminal { part: found, .. } if found == part)).collect();
    (on_part.len() == 1).then(|| on_part[0])
}
