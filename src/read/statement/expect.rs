//! Turns `H9 lit`, `voltmeter above 11 V`, `B3 sounding for 4..8 s then quiet` into expected results.

use super::{Reader, Text, act};
use crate::book::{Expect, Face, Instrument, Look, Strength, Subject, state_words};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, Band, Dimension};
use crate::read::circuit::face;
use crate::read::form::Form;
use crate::read::log::{list, suggestion};
use crate::read::near::nearest;
use crate::read::phrase::{Phrase, pieces};

/// What can be said of the words in which each kind of part shows what it does.
pub const LOOKS: &[Form] = &[
    Form::new("PART WORD", "H1 lit", "It shows this, and goes on showing it."),
    Form::new("PART.FILAMENT WORD", "H2.low lit", "One filament of several."),
    Form::new("INSTRUMENT WORD", "test light dim", "A light that is put on."),
    Form::new("METER above QUANTITY", "voltmeter above 11 V", "A meter reads more, or `below` less."),
    Form::new("METER QUANTITY..QUANTITY", "voltmeter 10..12.5 V", "It reads between the two."),
    Form::new("GAUGE reads QUANTITY..QUANTITY", "P1 reads 80..100 degC", "A gauge shows this."),
    Form::new(
        "PART flashing RATE..RATE",
        "H1 flashing 60..120 per min",
        "On and off, at any rate or at one in this band.",
    ),
    Form::new(
        "PART WORD for TIME then WORD",
        "H1 lit for 4..8 s then dark",
        "It shows the first for so long from the last hand on, then the second.",
    ),
    Form::new(
        "PART WORD for TIME every TIME",
        "H1 lit for 1..2 s every 4..6 s",
        "It shows this for the first time in each of the second, over and over.",
    ),
    Form::new("MOTOR backwards", "M1 backwards", "A reversible motor turns the other way."),
    Form::new("RELAY energized", "K4 energized", "A relay that can be seen or felt is in, or `released`."),
    Form::new("RELAY clicks", "K4 clicks", "It is heard to change over at the last hand."),
    Form::new(
        "PART chattering",
        "K4 chattering",
        "With a fault: it pulls in and lets go many times a second.",
    ),
];

/// Several results, divided by commas.
pub fn expects(reader: &Reader, text: Text) -> Vec<Expect> {
    if text.value.trim().is_empty() {
        reader.empty(text, "nothing is expected here", "a result is such as `H9 lit` or `M4 stopped`");
    }
    pieces(text.value, text.span)
        .into_iter()
        .filter_map(|piece| {
            let mut phrase = Phrase::new(piece.value, piece.span);
            let subject = subject(reader, &mut phrase)?;
            let (subject, look) = look(reader, subject, phrase)?;
            Some(Expect {
                subject,
                look,
                span: piece.span,
                text: piece.value.split_whitespace().collect::<Vec<_>>().join(" "),
            })
        })
        .collect()
}

/// Takes what is read: an instrument, a part, or an element of a part with several faces.
pub fn subject(reader: &Reader, phrase: &mut Phrase) -> Option<Subject> {
    if let Some(instrument) = act::instrument(phrase) {
        return Some(Subject::Instrument(instrument));
    }
    let word = phrase.next()?;
    let id = word.text.split('.').next().unwrap_or_default();
    let Some(&part) = reader.index.parts.get(id) else {
        let instruments = Instrument::ALL.iter().map(|instrument| instrument.word());
        let two = format!("{} {}", word.text, phrase.peek().unwrap_or_default());
        if let Some(near) = nearest(&two, instruments) {
            let span = word.span.to(phrase.here());
            reader.bad(span, format!("`{two}` is no instrument"), format!("did you mean `{near}`?"));
            return None;
        }
        let known = reader.index.parts.keys().map(String::as_str);
        let known = known.chain(Instrument::ALL.iter().map(|instrument| instrument.word()));
        reader.unknown(Code::UnknownPart, word.span.within(0..id.len()), "part", id, known);
        return None;
    };
    let found = reader.book.part(part);
    if found.faces().next().is_none() && !found.states.is_empty() && id == word.text {
        return Some(Subject::Relay { part, state: 0 });
    }
    let (part, element) = face(word.text, word.span, reader.book, reader.index, reader.log)?;
    Some(Subject::Face { part, element })
}

/// One reading of a subject that is known: a branch of a `Read:` line.
pub fn one_look(reader: &Reader, subject: Subject, text: Text) -> Option<Look> {
    look(reader, subject, Phrase::new(text.value, text.span)).map(|(_, look)| look)
}

/// What a subject is said to show, which fills the rest of the phrase.
fn look(reader: &Reader, subject: Subject, mut phrase: Phrase) -> Option<(Subject, Look)> {
    let look = match subject {
        Subject::Instrument(instrument) => match scale(instrument) {
            Some(dimension) => Look::Reads(range(reader, &mut phrase, dimension)?),
            None => shown(reader, &Face::Lamp, instrument.word(), &mut phrase)?,
        },
        Subject::Face { part, element } => {
            let found = reader.book.part(part);
            let face = found.elements[element].face().expect("a subject with a face has one");
            match &face {
                Face::Gauge { scale } => {
                    phrase.accept("reads");
                    let dimension = scale[0].1.unit.dimension;
                    Look::Reads(range(reader, &mut phrase, dimension)?)
                }
                face => shown(reader, face, &format!("a {}", found.kind.name()), &mut phrase)?,
            }
        }
        Subject::Relay { part, state } => {
            let latching = reader.book.part(part).states[state].latching;
            moved(reader, state_words(latching), &mut phrase)?
        }
    };
    if !phrase.is_done() {
        let rest = phrase.rest();
        reader.bad(rest.span, format!("`{}` is too much here", rest.value), "results are divided by commas");
        return None;
    }
    Some((subject, look))
}

/// What a meter measures; a light shows like a lamp.
fn scale(instrument: Instrument) -> Option<Dimension> {
    match instrument {
        Instrument::TestLight | Instrument::ContinuityLight => None,
        Instrument::Voltmeter | Instrument::AnalogVoltmeter => Some(Dimension::Potential),
        Instrument::Ohmmeter => Some(Dimension::Resistance),
        Instrument::Ammeter | Instrument::Clamp => Some(Dimension::Current),
        Instrument::Jumper | Instrument::FusedJumper => None,
    }
}

/// `above 11 V`, `below 0.5 ohm`, `11..13 V`.
fn range(reader: &Reader, phrase: &mut Phrase, dimension: Dimension) -> Option<Band<Amount>> {
    let infinite = |value: f64, like: Amount| Amount { value, unit: like.unit };
    if phrase.accept("above") {
        let band = phrase.band(dimension, reader.log)?;
        return Some(Band { low: band.low, high: infinite(f64::INFINITY, band.low) });
    }
    if phrase.accept("below") {
        let band = phrase.band(dimension, reader.log)?;
        return Some(Band { low: infinite(f64::NEG_INFINITY, band.high), high: band.high });
    }
    if !phrase.at_number() {
        let word = phrase.peek().unwrap_or_default();
        let example = dimension.example();
        let hint = match nearest(word, ["above", "below"]) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it reads {}: `above {example}`, `below {example}` or a band", dimension.name()),
        };
        reader.bad(phrase.here(), format!("`{word}` is not a reading"), hint);
        return None;
    }
    let band = phrase.band(dimension, reader.log)?;
    if band.is_point() {
        let finding = Finding::new(Code::BadStatement, band.span, "no meter shows exactly one value");
        let example = dimension.example();
        reader.log.push(finding.hint(format!("a band is expected, `above {example}` or `below {example}`")));
        return None;
    }
    Some(band.value)
}

/// The words of a face, with flashing and a time.
fn shown(reader: &Reader, face: &Face, what: &str, phrase: &mut Phrase) -> Option<Look> {
    let words = face.words();
    let Some(word) = phrase.next() else {
        reader.bad(phrase.here(), format!("what {what} shows is missing"), format!("it is {}", list(&words)));
        return None;
    };
    let strengths = [Strength::Off, Strength::Weak, Strength::Full];
    if let Some(at) = words.iter().position(|known| *known == word.text) {
        return match phrase.accept("for") {
            true => lasting(reader, (strengths[at], false), &words, phrase),
            false => Some(Look::Is(strengths[at])),
        };
    }
    match word.text {
        "backwards" if matches!(face, Face::Motor { .. }) => match phrase.accept("for") {
            true => lasting(reader, (Strength::Full, true), &words, phrase),
            false => Some(Look::Backwards),
        },
        "chattering" => Some(Look::Chattering),
        "flashing" if !matches!(face, Face::Motor { .. } | Face::Starter) => {
            let rate = match phrase.at_number() {
                true => Some(phrase.band(Dimension::Rate, reader.log)?.value.map(|amount| amount.value)),
                false => None,
            };
            Some(Look::Flashing(rate))
        }
        other => {
            let known: Vec<&str> = words.iter().copied().chain(["flashing"]).collect();
            let hint =
                suggestion(other, known.iter().copied()).unwrap_or_else(|| format!("it is {}", list(&words)));
            reader.bad(word.span, format!("{what} is never `{other}`"), hint);
            None
        }
    }
}

/// What comes after `sounding for`: `4..8 s then quiet`, `1 s every 4..6 s`.
fn lasting(
    reader: &Reader,
    (first, backwards): (Strength, bool),
    words: &[&str],
    phrase: &mut Phrase,
) -> Option<Look> {
    let seconds = phrase.band(Dimension::Time, reader.log)?.value.map(|amount| amount.value);
    if phrase.accept("every") && !backwards {
        let every = phrase.band(Dimension::Time, reader.log)?.value.map(|amount| amount.value);
        return Some(Look::Pulses { on: first, seconds, every });
    }
    let others = [Strength::Off, Strength::Weak, Strength::Full].into_iter().zip(words);
    let others: Vec<(Strength, &&str)> = others.filter(|(strength, _)| *strength != first).collect();
    let last = others.iter().find(|(_, word)| phrase.accept(&format!("then {word}")));
    let Some(&(last, _)) = last else {
        let headline = "what comes after this time is missing";
        let known: Vec<String> = others.iter().map(|(_, word)| format!("then {word}")).collect();
        let known: Vec<&str> = known.iter().map(String::as_str).collect();
        reader.bad(phrase.here(), headline, format!("it is followed by {} or by `every 5 s`", list(&known)));
        return None;
    };
    Some(Look::Then { first, backwards, seconds, last })
}

/// Whether a relay is in, or has been heard to change over.
fn moved(reader: &Reader, words: [&str; 2], phrase: &mut Phrase) -> Option<Look> {
    let Some(word) = phrase.next() else {
        reader.bad(
            phrase.here(),
            "what the relay does is missing",
            format!("it is {}, or it `clicks`", list(&words)),
        );
        return None;
    };
    match word.text {
        "clicks" => Some(Look::Clicks),
        "chattering" => Some(Look::Chattering),
        other if other == words[0] => Some(Look::Is(Strength::Off)),
        other if other == words[1] => Some(Look::Is(Strength::Full)),
        other => {
            let known = words.into_iter().chain(["clicks", "chattering"]);
            let hint =
                suggestion(other, known).unwrap_or_else(|| format!("it is {}, or it `clicks`", list(&words)));
            reader.bad(word.span, format!("a relay is never `{other}`"), hint);
            None
        }
    }
}
