//! The topics of the reference: a text each, and the lists of what is declared for it.

use super::keys::{keys, list_of};
use super::{Group, Page};
use crate::book::{COLORS, Face, Presence, WireColumn, WireHeader};
use crate::quantity::Unit;
use crate::read::{
    CONDITIONS, FRONT, HANDS, INSTRUMENTS, LINES, LINKS, LOOKS, MANUAL, PART, POINTS, SETUPS, SHEET,
    SIGHTINGS, STUDY,
};

/// A topic: its name, what it is about, its text, and its lists.
pub struct Topic {
    pub name: &'static str,
    tells: &'static str,
    pub text: &'static str,
    /// Headings with what stands below them.
    lists: fn() -> Vec<(&'static str, String)>,
}

macro_rules! topics {
    ($($name:literal $tells:literal $lists:expr;)*) => {
        /// Every topic.
        pub const TOPICS: &[Topic] = &[$(Topic {
            name: $name,
            tells: $tells,
            text: include_str!(concat!("topics/", $name, ".md")),
            lists: $lists,
        }),*];
    };
}

topics! {
    "book" "The folder of a book, and how a first page is written." Vec::new;
    "manual" "What `content/manual.toml` says." || vec![("Keys", keys(MANUAL))];
    "sheet" "A circuit sheet: controls, parts, wires, what loads are for." || vec![("Keys", keys(SHEET))];
    "parts" "What every part has." || vec![("Keys", keys(PART))];
    "wires" "Wire lists, in a sheet or from a spreadsheet." || vec![("Columns", columns()), ("Colors", colors())];
    "conditions" "When a contact is made, a load works, a part is there." || vec![("Forms", list_of(CONDITIONS))];
    "front" "What stands before the text of a page." || vec![("Keys", keys(FRONT)), ("Keys of a study page", keys(STUDY))];
    "steps" "The steps of a checkout." || vec![("Lines", list_of(LINES))];
    "hands" "What a technician does, and where leads are put." || vec![
        ("Hands", list_of(HANDS)),
        ("Instruments", list_of(INSTRUMENTS)),
        ("Points", list_of(POINTS)),
    ];
    "results" "What is seen, heard and read." || vec![("Forms", list_of(LOOKS)), ("Words", words())];
    "verdicts" "Where a reading leads, and what is blamed." || vec![("Links", list_of(LINKS))];
    "claims" "Sentences and figures that are proved." || vec![("What is set up", list_of(SETUPS))];
    "fields" "What the text takes from the circuit." Vec::new;
    "cautions" "Signal words." Vec::new;
    "study" "Questions of an instructor's own." Vec::new;
    "faults" "How faults are named." Vec::new;
    "suspects" "From what was seen on a vehicle to the fault." || vec![("What was seen", list_of(SIGHTINGS))];
    "units" "Units of quantities." || vec![("Units", units())];
}

pub(super) fn page(topic: &Topic) -> Page {
    let mut text = topic.text.to_string();
    for (heading, list) in (topic.lists)() {
        text.push_str(&format!("\n## {heading}\n\n{list}"));
    }
    Page { name: topic.name, group: Group::Topic, tells: topic.tells.to_string(), text }
}

fn columns() -> String {
    let line = |headers: &[WireHeader]| {
        let column = headers[0].column;
        let words: Vec<String> = headers.iter().map(|header| format!("`{}`", header.word)).collect();
        let unit = if headers[0].unit.is_some() { ", a number in this unit" } else { "" };
        let presence = match column.presence() {
            Presence::Needed => "every wire has it",
            Presence::Usual => "may be left out at the end of a row",
            Presence::Named => "may be empty, in a list that names its columns",
            Presence::Never => "follows from where the list stands",
        };
        format!("- {}: {}{unit}; {presence}.\n", words.join(" or "), column.name())
    };
    let headers: Vec<WireHeader> = WireColumn::headers().collect();
    headers.chunk_by(|a, b| a.column == b.column).map(line).collect()
}

fn colors() -> String {
    let each: Vec<String> =
        COLORS.iter().map(|color| format!("`{}` {}", color.letters, color.name)).collect();
    format!("The letters of IEC 60757, base first, then the stripe, `GN/WH`: {}.\n", each.join(", "))
}

/// The words of each kind of face.
fn words() -> String {
    let faces = [
        ("lamps and lights", Face::Lamp),
        ("buzzers and horns", Face::Sounder),
        ("motors", Face::Motor { reversible: false }),
        ("starters", Face::Starter),
        ("heaters", Face::Heater),
        ("valves", Face::Valve),
    ];
    let line = |(of, face): (&str, Face)| {
        let words = face.words().map(|word| format!("`{word}`"));
        format!("- {of}: {}\n", words.join(", "))
    };
    faces.into_iter().map(line).collect()
}

fn units() -> String {
    let line = |units: &[Unit]| {
        let dimension = units[0].dimension;
        let symbols: Vec<String> = units.iter().map(|unit| format!("`{}`", unit.symbol)).collect();
        format!("- {}, such as `{}`: {}\n", dimension.name(), dimension.example(), symbols.join(", "))
    };
    Unit::all().chunk_by(|a, b| a.dimension == b.dimension).map(line).collect()
}
