//! Turns a scene and a state into words: what a drawing shows, path by path, for those who cannot see it.

use super::scene::{Scene, Shown, Stacked};
use super::state::{Mark, State};
use crate::book::{Action, Say, Strength};

/// The drawing in sentences, one for each current path, and in a state what each path does.
pub fn describe(say: Say, scene: &Scene, state: Option<&State>) -> String {
    let paths = scene.columns.len().to_string();
    let mut sentences = vec![fill(say, "drawing", &[("title", &scene.title), ("paths", &paths)])];
    for column in &scene.columns {
        let words: Vec<String> =
            column.stack.iter().map(|&stacked| words(say, scene, state, stacked)).collect();
        if !words.is_empty() {
            sentences.push(fill(
                say,
                "path",
                &[("number", &column.number.to_string()), ("what", &words.join(", "))],
            ));
        }
    }
    if let Some(state) = state {
        for &fault in &state.faults {
            sentences.push(fill(say, "fault", &[("item", say.book.item_name(fault))]));
        }
        for (instrument, from, to) in &state.probes {
            let (tool, from, to) = (say.instrument(*instrument), say.point(*from), say.point(*to));
            sentences.push(fill(say, "probe", &[("tool", &tool), ("from", &from), ("to", &to)]));
        }
    }
    sentences.join(" ")
}

/// A phrase of the section `described`.
fn fill(say: Say, key: &str, values: &[(&str, &str)]) -> String {
    say.words.fill(&format!("described.{key}"), values)
}

fn words(say: Say, scene: &Scene, state: Option<&State>, stacked: Stacked) -> String {
    match stacked {
        Stacked::Bar(bar) => {
            let joined: Vec<String> = scene
                .columns
                .iter()
                .filter(|column| column.stack.contains(&stacked))
                .map(|column| column.number.to_string())
                .collect();
            let name = say.book.end_name(scene.bars[bar].end);
            fill(say, "bar", &[("name", &name), ("paths", &joined.join(", "))])
        }
        Stacked::Wire(run) => {
            let id = scene.wires[run].wire;
            let wire = say.wire(id);
            let flow = state.and_then(|state| state.wire(id));
            match flow {
                Some(flow) => {
                    let flow = say.words.text(&format!("described.flow-{}", flow.class()));
                    fill(say, "wire-flow", &[("wire", &wire), ("flow", &flow)])
                }
                None => fill(say, "wire", &[("wire", &wire)]),
            }
        }
        Stacked::Symbol(symbol) => symbol_words(say, &scene.symbols[symbol].shows, state),
    }
}

fn symbol_words(say: Say, shows: &Shown, state: Option<&State>) -> String {
    let book = say.book;
    match shows {
        Shown::Element { part, elements } => {
            let element = &book.part(*part).elements[elements[0]];
            let name = say.part(*part);
            let mut words = match &element.action {
                Action::Contact { when, .. } => {
                    let when = say.condition(when, Some(*part));
                    fill(
                        say,
                        "contact",
                        &[("contact", &say.element(&element.name)), ("part", &name), ("when", &when)],
                    )
                }
                Action::Coil { .. } => fill(say, "coil", &[("part", &name)]),
                _ => name,
            };
            if let Some(state) = state {
                let key = (*part, elements[0]);
                let mark = state.elements.get(&key).map(|mark| match mark {
                    Mark::Made => "made",
                    Mark::Open => "open",
                    Mark::Carrying => "flow-carrying",
                    Mark::AtFault => "at-fault",
                });
                let face = state.faces.get(&key).map(|face| match face {
                    Strength::Full => "working",
                    Strength::Weak => "working-weakly",
                    Strength::Off => "off",
                });
                for word in [mark, face].into_iter().flatten() {
                    words.push_str(&format!(", {}", say.words.text(&format!("described.{word}"))));
                }
            }
            words
        }
        Shown::Cavity { connector, cavity } => {
            let held = book.connector(*connector);
            let cavity = &*held.cavities[usize::from(*cavity)];
            fill(say, "cavity", &[("connector", &held.id), ("cavity", cavity)])
        }
        Shown::Ground(part) => fill(say, "ground", &[("part", &say.part(*part))]),
        Shown::Joint(end) => fill(say, "joint", &[("end", &book.end_name(*end))]),
        Shown::Flag { end, anchored: true, .. } => fill(say, "elsewhere", &[("end", &book.end_name(*end))]),
        Shown::Flag { wires, .. } => {
            let ids: Vec<&str> = wires.iter().map(|&wire| book.wire(wire).id.as_str()).collect();
            fill(say, "onward", &[("wires", &ids.join(", "))])
        }
        Shown::Blind { part, terminal } => book.part(*part).terminal_name(*terminal),
        Shown::OpenEnd(end) => fill(say, "not-wired", &[("end", &book.end_name(*end))]),
    }
}
