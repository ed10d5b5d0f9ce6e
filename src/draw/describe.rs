//! Turns a scene and a state into words: what a drawing shows, path by path, for those who cannot see it.

use super::scene::{Scene, Shown, Stacked};
use super::state::{Mark, State};
use crate::book::{Action, Say, Strength};

/// The drawing in sentences, one for each current path, and in a state what each path does.
pub fn describe(say: Say, scene: &Scene, state: Option<&State>) -> String {
    let fill = |key: &str, values: &[(&str, &str)]| say.words.fill(&format!("described.{key}"), values);
    let paths = scene.columns.len().to_string();
    let mut sentences = vec![fill("drawing", &[("title", &scene.title), ("paths", &paths)])];
    for column in &scene.columns {
        let words: Vec<String> =
            column.stack.iter().filter_map(|&stacked| words(say, scene, state, stacked)).collect();
        if !words.is_empty() {
            sentences
                .push(fill("path", &[("number", &column.number.to_string()), ("what", &words.join(", "))]));
        }
    }
    if let Some(state) = state {
        for &fault in &state.faults {
            sentences.push(fill("fault", &[("item", say.book.item_name(fault))]));
        }
        for (instrument, from, to) in &state.probes {
            let (tool, from, to) = (say.instrument(*instrument), say.point(*from), say.point(*to));
            sentences.push(fill("probe", &[("tool", &tool), ("from", &from), ("to", &to)]));
        }
    }
    sentences.join(" ")
}

fn words(say: Say, scene: &Scene, state: Option<&State>, stacked: Stacked) -> Option<String> {
    let fill = |key: &str, values: &[(&str, &str)]| say.words.fill(&format!("described.{key}"), values);
    match stacked {
        Stacked::Bar(bar) => {
            let joined: Vec<String> = scene
                .columns
                .iter()
                .filter(|column| column.stack.contains(&stacked))
                .map(|column| column.number.to_string())
                .collect();
            let name = say.book.end_name(scene.bars[bar].end);
            Some(fill("bar", &[("name", &name), ("paths", &joined.join(", "))]))
        }
        Stacked::Wire(run) => {
            let id = scene.wires[run].wire;
            let wire = say.wire(id);
            let flow = state.and_then(|state| state.wires.get(&id));
            Some(match flow {
                Some(flow) => {
                    let flow = say.words.text(&format!("described.flow-{}", flow.class()));
                    fill("wire-flow", &[("wire", &wire), ("flow", &flow)])
                }
                None => fill("wire", &[("wire", &wire)]),
            })
        }
        Stacked::Symbol(symbol) => symbol_words(say, &scene.symbols[symbol].shows, state),
    }
}

fn symbol_words(say: Say, shows: &Shown, state: Option<&State>) -> Option<String> {
    let fill = |key: &str, values: &[(&str, &str)]| Some(say.words.fill(&format!("described.{key}"), values));
    let book = say.book;
    match shows {
        Shown::Element { part, elements } => {
            let element = &book.part(*part).elements[elements[0]];
            let name = say.part(*part);
            let mut words = match &element.action {
                Action::Contact { when, .. } => {
                    let when = say.condition(when, Some(*part));
                    fill(
                        "contact",
                        &[("contact", &say.element(&element.name)), ("part", &name), ("when", &when)],
                    )?
                }
                Action::Coil { .. } => fill("coil", &[("part", &name)])?,
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
            Some(words)
        }
        Shown::Cavity { connector, cavity } => {
            let held = book.connector(*connector);
            let cavity = &*held.cavities[usize::from(*cavity)];
            fill("cavity", &[("connector", &held.id), ("cavity", cavity)])
        }
        Shown::Ground(part) => fill("ground", &[("part", &say.part(*part))]),
        Shown::Joint(end) => fill("joint", &[("end", &book.end_name(*end))]),
        Shown::Flag { end, anchored: true, .. } => fill("elsewhere", &[("end", &book.end_name(*end))]),
        Shown::Flag { wires, .. } => {
            let ids: Vec<&str> = wires.iter().map(|&wire| book.wire(wire).id.as_str()).collect();
            fill("onward", &[("wires", &ids.join(", "))])
        }
        Shown::Blind { part, terminal } => Some(book.part(*part).terminal_name(*terminal)),
        Shown::OpenEnd(end) => fill("not-wired", &[("end", &book.end_name(*end))]),
    }
}
