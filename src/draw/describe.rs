//! Turns a scene and a state into words: what a drawing shows, path by path, for those who cannot see it.

use super::scene::{Scene, Shown, Stacked};
use super::state::{Flow, Mark, State};
use crate::book::{Action, Book, Strength};

/// The drawing in sentences, one for each current path, and in a state what each path does.
pub fn describe(book: &Book, scene: &Scene, state: Option<&State>) -> String {
    let mut sentences = vec![format!(
        "Wiring diagram of {}: {} current paths, supply at the top, ground at the bottom.",
        scene.title,
        scene.columns.len()
    )];
    for column in &scene.columns {
        let words: Vec<String> =
            column.stack.iter().filter_map(|&stacked| words(book, scene, state, stacked)).collect();
        if !words.is_empty() {
            sentences.push(format!("Path {}: {}.", column.number, words.join(", ")));
        }
    }
    if let Some(state) = state {
        for &fault in &state.faults {
            sentences.push(format!("{} is at fault.", book.item_name(fault)));
        }
        for (instrument, from, to) in &state.probes {
            sentences.push(format!(
                "The {} is on {} and {}.",
                instrument.word(),
                book.step_line().point(*from),
                book.step_line().point(*to)
            ));
        }
    }
    sentences.join(" ")
}

fn words(book: &Book, scene: &Scene, state: Option<&State>, stacked: Stacked) -> Option<String> {
    match stacked {
        Stacked::Bar(bar) => {
            let joined: Vec<String> = scene
                .columns
                .iter()
                .filter(|column| column.stack.contains(&stacked))
                .map(|column| column.number.to_string())
                .collect();
            let name = book.end_name(scene.bars[bar].end);
            Some(format!("{name} (joins paths {})", joined.join(", ")))
        }
        Stacked::Wire(run) => {
            let id = scene.wires[run].wire;
            let wire = book.wire(id);
            let flow = state.and_then(|state| state.wires.get(&id));
            Some(match flow {
                Some(flow) => format!("wire {} {} ({})", wire.id, wire.color, flow_words(*flow)),
                None => format!("wire {} {}", wire.id, wire.color),
            })
        }
        Stacked::Symbol(symbol) => symbol_words(book, &scene.symbols[symbol].shows, state),
    }
}

fn flow_words(flow: Flow) -> &'static str {
    match flow {
        Flow::Dead => "dead",
        Flow::LiveFeed => "live",
        Flow::Carrying => "carrying current",
        Flow::GroundSide => "ground side",
        Flow::Floating => "floating",
    }
}

fn symbol_words(book: &Book, shows: &Shown, state: Option<&State>) -> Option<String> {
    match shows {
        Shown::Element { part, elements } => {
            let held = book.part(*part);
            let element = &held.elements[elements[0]];
            let mut words = match &element.action {
                Action::Contact { when, .. } => format!(
                    "contact {} of {} {} (made when {})",
                    element.name,
                    held.id,
                    held.name,
                    book.condition_text(when, Some(*part))
                ),
                Action::Coil { .. } => format!("coil of {} {}", held.id, held.name),
                _ => format!("{} {}", held.id, held.name),
            };
            if let Some(state) = state {
                let key = (*part, elements[0]);
                let mark = state.elements.get(&key).map(|mark| match mark {
                    Mark::Made => "made",
                    Mark::Open => "open",
                    Mark::Carrying => "carrying current",
                    Mark::AtFault => "at fault",
                });
                let face = state.faces.get(&key).map(|face| match face {
                    Strength::Full => "working",
                    Strength::Weak => "working weakly",
                    Strength::Off => "off",
                });
                for word in [mark, face].into_iter().flatten() {
                    words.push_str(&format!(", {word}"));
                }
            }
            Some(words)
        }
        Shown::Cavity { connector, cavity } => {
            let held = book.connector(*connector);
            Some(format!("connector {} cavity {}", held.id, held.cavities[usize::from(*cavity)]))
        }
        Shown::Ground(part) => {
            let held = book.part(*part);
            Some(format!("ground point {} {}", held.id, held.name))
        }
        Shown::Joint(end) => Some(format!("joint {}", book.end_name(*end))),
        Shown::Flag { end, wires, anchored } => {
            if *anchored {
                return Some(format!("{} on another drawing", book.end_name(*end)));
            }
            let ids: Vec<&str> = wires.iter().map(|&wire| book.wire(wire).id.as_str()).collect();
            Some(format!("on to other drawings by {}", ids.join(", ")))
        }
        Shown::Blind { part, terminal } => Some(book.part(*part).terminal_name(*terminal)),
        Shown::OpenEnd(end) => Some(format!("{} not wired", book.end_name(*end))),
    }
}
