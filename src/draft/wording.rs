//! Turns steps, tests and machines into the headings and cautions of a drafted page; the author will say it better.

use super::trial::Trial;
use crate::book::{Act, Book, Face, PartId, Point, Subject, lower};
use std::collections::BTreeSet;

/// A title without the number in front of it: `Step 3: Lamp test` is `Lamp test`.
pub fn title(heading: &str) -> &str {
    match heading.split_once(": ") {
        Some((before, after)) if before.ends_with(|c: char| c.is_ascii_digit()) => after,
        _ => heading,
    }
}

/// What a test asks.
pub fn question(book: &Book, trial: &Trial) -> String {
    let opened = trial.setup.iter().map(|act| match *act {
        Act::Unplug(part) => format!(", without {}", book.part(part).id),
        Act::OpenConnector(connector) => format!(", with {} open", book.connector(connector).id),
        _ => String::new(),
    });
    let opened: String = opened.collect();
    match (&trial.lead, trial.subject) {
        (Some(Act::Connect { from, to, .. }), Subject::Instrument(_)) => {
            let what = if *to == Point::BatteryPlus { "ground" } else { "feed" };
            format!("Is there {what} at {}{opened}?", book.step_line().point(*from))
        }
        (Some(Act::Connect { from, to, .. }), subject) => format!(
            "What does {} do with {} bridged to {}?",
            book.step_line().subject(subject),
            book.step_line().point(*from),
            book.step_line().point(*to)
        ),
        (_, subject) => format!("What does {} do{opened}?", book.step_line().subject(subject)),
    }
}

/// The caution before a test that lets machines move; nothing when none does.
pub fn announcement(book: &Book, moving: &BTreeSet<(PartId, usize)>) -> String {
    let parts: BTreeSet<PartId> = moving.iter().map(|(part, _)| *part).collect();
    if parts.is_empty() {
        return String::new();
    }
    format!("> **CAUTION** {} may move. Keep hands and clothing clear.\n\n", capital(&names(book, &parts)))
}

/// The warning at the head of a page on which machines move; nothing when none does.
pub fn warning(book: &Book, moving: &BTreeSet<PartId>, does: &str) -> String {
    if moving.is_empty() {
        return String::new();
    }
    format!(
        "> **WARNING** {} {does}. What moves can crush and cut: keep people, hands and clothing clear.\n\n",
        capital(&names(book, moving))
    )
}

/// Whether a face belongs to something that moves.
pub fn moves(face: &Face) -> bool {
    matches!(face, Face::Motor { .. } | Face::Starter | Face::Valve)
}

fn names(book: &Book, parts: &BTreeSet<PartId>) -> String {
    let names: Vec<String> = parts
        .iter()
        .map(|&part| format!("the {} {}", lower(&book.part(part).name), book.part(part).id))
        .collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A text with a capital letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
