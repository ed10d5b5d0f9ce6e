//! Turns a control module, a box with inputs, outputs and rules, into resistors and contacts.

use super::maker::{CONTACT, Maker};
use crate::book::{Action, Condition, Resistance, TerminalId};
use crate::finding::{Code, Finding};
use crate::quantity::{Band, Dimension, Ohm};
use crate::read::condition::States;
use crate::read::key::{Key, Takes};
use crate::read::log::suggestion;
use crate::read::table::{quantity_of, text_of};
use crate::source::Placed;

/// Supply voltage at which a module begins and ceases to work, in volts (common practice, no source).
const WORKS: Band<f64> = Band { low: 6.0, high: 7.0 };

/// What a control module has.
pub const MODULE: &[Key] = &[
    Key::must(
        "terminals",
        Takes::Texts,
        r#"["15", "31", "IN1", "OUT1"]"#,
        "Every terminal, as it is marked.",
    ),
    Key::may(
        "ground",
        Takes::Text,
        "each input says where its load goes `to`",
        r#""31""#,
        "The terminal that inputs and supply are measured against.",
    ),
    Key::may(
        "supply",
        Takes::Text,
        "its outputs work whether it is fed or not",
        r#""15""#,
        "The terminal that feeds the module itself: no output works below 6 to 7 V there (common practice, no source).",
    ),
    Key::may(
        "draws",
        Takes::Quantity(Dimension::Resistance),
        "it takes no current of its own",
        r#""470 ohm""#,
        "What lies between supply and ground.",
    ),
    Key::may(
        "inputs",
        Takes::Each(
            "a terminal",
            "IN1",
            &Takes::Any(&[Takes::Quantity(Dimension::Resistance), Takes::Table(INPUT)]),
        ),
        "it has none",
        r#"{ IN1 = "10 kohm" }"#,
        "What lies between an input and ground.",
    ),
    CONTACT,
    Key::may(
        "outputs",
        Takes::Each("a terminal", "OUT1", &Takes::Table(OUTPUT)),
        "it has none",
        r#"{ OUT1 = { from = "15", when = "IN1 above 5..6 V" } }"#,
        "What feeds an output, and when.",
    ),
];

const INPUT: &[Key] = &[
    Key::must(
        "ohms",
        Takes::Quantity(Dimension::Resistance),
        r#""10 kohm""#,
        "What lies between it and `to`.",
    ),
    Key::may("to", Takes::Text, "the module's ground", r#""15""#, "The terminal that its load goes to."),
];

const OUTPUT: &[Key] = &[
    Key::must("from", Takes::Text, r#""15""#, "The terminal that it is connected with."),
    Key::must(
        "when",
        Takes::Condition,
        r#""IN1 above 5..6 V""#,
        "When it is; `above` and `below` measure a terminal against ground.",
    ),
];

/// `terminals` lists them all; `inputs` give their load, `outputs` what feeds them and when; with `supply` no output works
/// unless the module is fed.
pub fn module(maker: &mut Maker) {
    let names = maker.table.texts("terminals", maker.log);
    if names.is_empty() {
        maker.table.missing("terminals", maker.log);
    }
    for name in &names {
        maker.terminal(name);
    }
    let ground = named(maker, "ground");
    let supply = named(maker, "supply");
    let draws = maker.given("draws");
    if let (Some(draws), Some(supply), Some(ground)) = (draws, supply, ground) {
        maker.element("supply", (supply, ground), fixed(draws));
    }
    inputs(maker, ground);
    outputs(maker, ground, supply);
}

fn fixed(ohms: f64) -> Action {
    Action::Resistor { ohms: Resistance::Fixed(Ohm(ohms)) }
}

/// The terminal under a key, if the key is there.
fn named(maker: &Maker, key: &'static str) -> Option<TerminalId> {
    let name = maker.table.text(key, maker.log)?;
    existing(maker, &name)
}

/// A terminal that `terminals` must list.
fn existing(maker: &Maker, name: &Placed<String>) -> Option<TerminalId> {
    let found = maker.part.terminal(name);
    if found.is_none() {
        let known = maker.part.terminals.iter().map(|terminal| terminal.name.as_str());
        let headline = format!("`{}` has no terminal `{}`", maker.part.id, name.value);
        let finding = Finding::new(Code::UnknownTerminal, name.span, headline);
        maker.log.push(finding.hint_if(suggestion(name, known)));
    }
    found
}

fn inputs(maker: &mut Maker, ground: Option<TerminalId>) {
    let Some(inputs) = maker.table.table("inputs", maker.log) else {
        return;
    };
    for (name, value) in inputs.entries() {
        let Some(terminal) = existing(maker, &name) else {
            continue;
        };
        let (load, to) = if value.is_table() {
            let what = format!("the input `{}`", name.value);
            let Some(table) = inputs.inside(&value, name.span, what, maker.log) else {
                continue;
            };
            let load = table.needed_quantity("ohms", maker.log);
            let to = table.text("to", maker.log).and_then(|to| existing(maker, &to));
            table.close(maker.log);
            (load, to.or(ground))
        } else {
            let what = format!("the input `{}`", name.value);
            (quantity_of(&value, Dimension::Resistance, &what, maker.log), ground)
        };
        let Some(to) = to else {
            maker.table.missing("ground", maker.log);
            continue;
        };
        if let Some(load) = load {
            maker.fact(&format!("input {}", name.value), load.to_string());
            if let Some(ohms) = maker.positive(&load) {
                maker.element(&name, (terminal, to), fixed(ohms));
            }
        }
    }
}

fn outputs(maker: &mut Maker, ground: Option<TerminalId>, supply: Option<TerminalId>) {
    let closed = maker.closed();
    let Some(outputs) = maker.table.table("outputs", maker.log) else {
        return;
    };
    for (name, value) in outputs.entries() {
        let what = format!("the output `{}`", name.value);
        let Some(terminal) = existing(maker, &name) else {
            continue;
        };
        let Some(table) = outputs.inside(&value, name.span, what, maker.log) else {
            continue;
        };
        let from = table.needed_text("from", maker.log).and_then(|from| existing(maker, &from));
        let when = table.get("when").and_then(|value| text_of(&value, "`when`", maker.log));
        if table.get("when").is_none() {
            table.missing("when", maker.log);
        }
        table.close(maker.log);
        let when = when.and_then(|text| {
            maker.fact(&format!("output {}", name.value), text.value.clone());
            maker.condition(&text, States::None, ground)
        });
        let (Some(from), Some(when)) = (from, when) else {
            continue;
        };
        if from == terminal {
            let headline = format!("the output `{}` cannot be fed from itself", name.value);
            maker.log.error(Code::UnknownTerminal, name.span, headline);
            continue;
        }
        let when = match supply {
            Some(supply) => Condition::And(vec![
                Condition::TerminalAbove { terminal: supply, against: ground, volts: WORKS },
                when,
            ]),
            None => when,
        };
        maker.element(&name, (from, terminal), Action::Contact { when, closed });
    }
}
