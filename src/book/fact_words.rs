//! Turns a thing of the book into its facts, each with the word of its field: what a table says of it, for a sentence.

use super::{Book, Item, Wire};
use crate::quantity::{Dimension, Unit, print};

/// What a field may speak of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Thing<'t> {
    Item(Item),
    /// A part's terminal or a connector's cavity: `K4:86`, `X2:5`.
    Pin(Item, &'t str),
}

impl Book {
    /// The facts that a sentence may ask for, in the words of the tables. This is the declaration of all fields.
    pub fn facts_of(&self, thing: Thing) -> Vec<(String, String)> {
        let pair = |word: &str, text: String| (word.to_string(), text);
        match thing {
            Thing::Item(Item::Wire(wire)) => {
                let wire = self.wire(wire);
                let [from, to] = wire.ends.map(|end| self.end_name(end));
                vec![
                    pair("color", wire.color.to_string()),
                    pair("size", wire.size.to_string()),
                    pair("length", wire.length_text()),
                    pair("from", from),
                    pair("to", to),
                    pair("harness", self.harnesses[wire.harness.index()].name.clone()),
                ]
            }
            Thing::Item(Item::Part(part)) => {
                let part = self.part(part);
                let mut facts = vec![pair("name", lower(&part.name))];
                facts.extend(part.place.clone().map(|place| pair("place", place)));
                let given = part.facts.iter();
                facts.extend(given.map(|(label, text)| (label.replace(' ', "-"), text.clone())));
                facts
            }
            Thing::Item(Item::Connector(connector)) => {
                let connector = self.connector(connector);
                let mut facts = vec![pair("name", lower(&connector.name))];
                facts.extend(connector.place.clone().map(|place| pair("place", place)));
                facts
            }
            Thing::Pin(item, pin) => {
                let name = format!("{}:{pin}", self.item_name(item));
                let on = |wire: &&Wire| wire.ends.iter().any(|end| self.end_name(*end) == name);
                let wires: Vec<&str> = self.wires.iter().filter(on).map(|wire| wire.id.as_str()).collect();
                match wires.is_empty() {
                    true => Vec::new(),
                    false => vec![pair("wire", wires.join(", "))],
                }
            }
        }
    }

    /// The markings of a part's terminals or a connector's cavities.
    pub fn pins(&self, item: Item) -> Vec<&str> {
        match item {
            Item::Part(part) => {
                self.part(part).terminals.iter().map(|terminal| terminal.name.as_str()).collect()
            }
            Item::Connector(connector) => {
                self.connector(connector).cavities.iter().map(String::as_str).collect()
            }
            Item::Wire(_) => Vec::new(),
        }
    }
}

impl Wire {
    /// The length with its unit, as a wire list prints it.
    pub fn length_text(&self) -> String {
        print(self.length.0, Unit::base(Dimension::Length))
    }
}

/// A name inside a sentence; one that begins like an abbreviation stays as it is.
pub fn lower(name: &str) -> String {
    let mut letters = name.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().chain([second]).chain(letters).collect()
        }
        _ => name.to_string(),
    }
}
