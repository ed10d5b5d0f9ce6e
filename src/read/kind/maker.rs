//! Turns what a kind asks for, terminals, elements, ratings, contacts, into what it has added to a part in the making.

use crate::book::{
    Action, Book, Condition, Control, ControlId, Element, Part, PartId, RelayState, Terminal, TerminalId,
};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, BadQuantity, Dimension, Ohm};
use crate::read::condition::{self, Own, Speaker, States};
use crate::read::index::Index;
use crate::read::key::{Key, Takes};
use crate::read::log::Log;
use crate::read::phrase::Phrase;
use crate::read::table::{self, Table};
use crate::source::Placed;

/// The resistance of a part's closed contacts.
pub const CONTACT: Key = Key::usually(
    "contact",
    Takes::Quantity(Dimension::Resistance),
    (
        "5 mohm",
        "a mini power relay with terminals after ISO 7588-1 is specified at 1.5 typical and 20 at most (15 and 200 mV \
         at 10 A, maker's datasheet); a worn but good contact lies between",
    ),
    r#""3 mohm""#,
    "Resistance of a closed contact.",
);

/// The contacts of a part.
pub const MAKES: Key = Key::must(
    "makes",
    Takes::Each("two terminals", "30-87", &Takes::Condition),
    r#"{ "30-87" = "energized" }"#,
    "The contacts: two terminals joined by a hyphen each, and the condition under which they are connected.",
);

/// The terminals of a part with contacts.
pub const TERMINALS: Key = Key::may(
    "terminals",
    Takes::Texts,
    "the part has the terminals that its coils and contacts name",
    r#"["30", "85", "86", "87", "87a"]"#,
    "Every terminal. With it, a contact between others is an error, and one that nothing uses is printed all the same.",
);

/// Two terminals of a winding, a filament or a contact.
pub const PINS: Key = Key::must("pins", Takes::Pins, r#""86-85""#, "Its two terminals, joined by a hyphen.");

/// The two terminals of a part that has no more, where they are usually called `1` and `2`.
pub const ENDS: Key = ends("1-2", "");

/// The two terminals of a part that has no more, with what they are usually called, and after which standard.
pub const fn ends(usual: &'static str, source: &'static str) -> Key {
    Key::usually("pins", Takes::Pins, (usual, source), r#""A1-A2""#, "What its two terminals are called.")
}

/// A part in the making: its table, and what its kind has added so far.
pub struct Maker<'m, 't> {
    pub table: &'m Table<'t>,
    pub log: &'m Log<'m>,
    pub book: &'m mut Book,
    pub index: &'m Index,
    pub number: PartId,
    pub part: Part,
}

impl<'t> Maker<'_, 't> {
    /// The terminal with this marking, added if the part does not have it yet.
    pub fn terminal(&mut self, name: &str) -> TerminalId {
        self.part.terminal(name).unwrap_or_else(|| {
            self.part.terminals.push(Terminal { name: name.to_string() });
            TerminalId(self.part.terminals.len() as u16 - 1)
        })
    }

    /// Adds an element between two terminals.
    pub fn element(&mut self, name: &str, (a, b): (TerminalId, TerminalId), action: Action) {
        self.part.elements.push(Element { name: name.to_string(), a, b, action });
    }

    /// Adds a relay state, which windings move.
    pub fn state(&mut self, latching: bool, drop_out: f64) {
        self.part.states.push(RelayState { latching, drop_out });
    }

    /// Notes what the author gave, for the parts table.
    pub fn fact(&mut self, label: &str, text: impl Into<String>) {
        self.part.facts.push((label.to_string(), text.into()));
    }

    /// Two terminals written as `86-85`, added if need be.
    pub fn pair(&mut self, text: &Placed<String>) -> Option<(TerminalId, TerminalId)> {
        match text.split_once('-') {
            Some((a, b)) if !a.trim().is_empty() && !b.trim().is_empty() && a.trim() != b.trim() => {
                Some((self.terminal(a.trim()), self.terminal(b.trim())))
            }
            _ => {
                let finding = Finding::new(
                    Code::UnknownContact,
                    text.span,
                    format!("`{}` is not a pair of terminals", text.value),
                );
                self.log.push(
                    finding.hint("two different terminals joined by a hyphen are expected, such as `30-87`"),
                );
                None
            }
        }
    }

    /// The pair under `pins` of the part itself, or the kind's usual one.
    pub fn pins(&mut self) -> (TerminalId, TerminalId) {
        let given = self.table.text("pins", self.log).and_then(|pins| self.pair(&pins));
        given.unwrap_or_else(|| {
            let (a, b) = self.table.key("pins").usual().split_once('-').expect("two terminals are declared");
            (self.terminal(a), self.terminal(b))
        })
    }

    /// The pair under `pins` of an inner table, which must be there.
    pub fn pins_of(&mut self, table: &Table) -> Option<(TerminalId, TerminalId)> {
        let pins = table.needed_text("pins", self.log)?;
        self.pair(&pins)
    }

    /// A quantity of the part itself that must be there; it becomes a fact.
    pub fn needed(&mut self, key: &'static str) -> Option<f64> {
        let found = self.table.needed_quantity(key, self.log)?;
        self.fact(key, found.to_string());
        self.positive(&found)
    }

    /// A quantity of the part itself that need not be there.
    pub fn given(&mut self, key: &'static str) -> Option<f64> {
        let found = self.table.quantity(key, self.log)?;
        self.fact(key, found.to_string());
        self.positive(&found)
    }

    /// A quantity of the part itself, or the one that is declared to hold without it.
    pub fn usual(&mut self, key: &'static str) -> f64 {
        self.given(key).unwrap_or_else(|| {
            let usual = self.table.key(key).usual();
            Amount::parse(usual).expect("a quantity is declared").value
        })
    }

    /// A quantity of an inner table that must be there; it becomes a fact under `label`.
    pub fn needed_of(&mut self, table: &Table, key: &'static str, label: &str) -> Option<f64> {
        let found = table.needed_quantity(key, self.log)?;
        self.fact(label, found.to_string());
        self.positive(&found)
    }

    /// The value in base units when it is above zero: no part has a resistance, rating or current of nothing.
    pub fn positive(&self, amount: &Placed<Amount>) -> Option<f64> {
        if amount.value.value > 0.0 {
            return Some(amount.value.value);
        }
        self.log.error(Code::OutOfRange, amount.span, "this must be above zero");
        None
    }

    /// A rating such as `12 V 3 W`: volts and, in the dimension that is declared, the other quantity.
    pub fn rating(&mut self, table: &Table, label: &str) -> Option<(f64, f64)> {
        let other = table.key("rating").takes.dimension();
        let text = table.needed_text("rating", self.log)?;
        let mut phrase = Phrase::new(&text.value, text.span);
        let mut single = |dimension| {
            let band = phrase.band(dimension, self.log)?;
            if !band.is_point() {
                self.log.error(Code::WrongUnit, band.span, BadQuantity::NotSingle.to_string());
                return None;
            }
            Some(Placed::new(band.low, band.span))
        };
        let volts = single(Dimension::Potential)?;
        let second = single(other)?;
        if !phrase.is_done() {
            let rest = phrase.rest();
            let finding =
                Finding::new(Code::WrongUnit, rest.span, format!("`{}` is too much here", rest.value));
            self.log.push(finding.hint(format!("a rating is such as `12 V {}`", other.example())));
            return None;
        }
        self.fact(label, format!("{}, {}", volts.value, second.value));
        Some((self.positive(&volts)?, self.positive(&second)?))
    }

    /// The resistance of the part's closed contacts.
    pub fn closed(&mut self) -> Ohm {
        Ohm(self.usual("contact"))
    }

    /// A condition that this part says.
    pub fn condition(
        &mut self,
        text: &Placed<String>,
        states: States,
        against: Option<TerminalId>,
    ) -> Option<Condition> {
        let senses = match states {
            States::None => self.part.terminals.clone(),
            _ => Vec::new(),
        };
        let own = Own { part: self.number, states, senses: &senses, against };
        condition::read(text, Speaker::Part(own), self.book, self.index, self.log)
    }

    /// A control of the book.
    pub fn control(&self, id: ControlId) -> &Control {
        self.book.control(id)
    }

    /// The contacts under `makes`: a pair of terminals each, with the condition under which it is made.
    pub fn contacts(&mut self, states: States) {
        let closed = self.closed();
        let declared = self.table.texts("terminals", self.log);
        let Some(makes) = self.table.table("makes", self.log) else {
            self.table.missing("makes", self.log);
            return;
        };
        for name in &declared {
            self.terminal(name);
        }
        // All terminals come first: a wire to a contact whose condition is wrong does not dangle.
        let entries = makes.entries();
        let mut pairs: Vec<Option<(TerminalId, TerminalId)>> = Vec::new();
        for (pair, _) in &entries {
            pairs.push(self.declared_pair(pair, &declared));
        }
        for ((name, value), pair) in entries.iter().zip(pairs) {
            let Some(text) = table::text_of(value, &format!("the condition of `{}`", name.value), self.log)
            else {
                continue;
            };
            let when = self.condition(&text, states, None);
            if let (Some(when), Some(pair)) = (when, pair) {
                if self.part.elements.iter().any(|element| element.name == name.value) {
                    let headline = format!("the contact `{}` stands twice", name.value);
                    self.log.error(Code::DuplicateId, name.span, headline);
                }
                self.element(name, pair, Action::Contact { when, closed });
                self.fact(&format!("makes {}", name.value), text.value);
            }
        }
    }

    /// A contact pair; where the author lists the part's terminals, both must be among them.
    fn declared_pair(
        &mut self,
        pair: &Placed<String>,
        declared: &[Placed<String>],
    ) -> Option<(TerminalId, TerminalId)> {
        let stranger = pair
            .split('-')
            .find(|name| !declared.is_empty() && !declared.iter().any(|known| known.value == name.trim()));
        if let Some(name) = stranger {
            let headline =
                format!("`{}` has no contact `{}`: there is no terminal `{name}`", self.part.id, pair.value);
            let known = declared.iter().map(|known| known.value.as_str());
            let hint = crate::read::log::suggestion(name, known);
            self.log.push(Finding::new(Code::UnknownContact, pair.span, headline).hint_if(hint));
            return None;
        }
        self.pair(pair)
    }
}
