//! Turns readings, paths and builds into words of the book's language: plain text, nothing escaped or linked.

use crate::book::{ControlId, Item, Kind, Place, Say, Setting, Subject, Suspect, Target, lower};
use crate::proof::{Carrier, Reading, Seen, Stop, Why};
use crate::quantity::{Dimension, Unit, print};

impl Say<'_> {
    /// A verdict's sentence: the author's words, or one made of what is blamed.
    pub fn verdict(&self, words: &str, blames: &[Suspect]) -> String {
        match blames {
            _ if !words.is_empty() => words.to_string(),
            [Suspect::Item(item)] => self.repair(*item),
            [Suspect::Fault(fault)] => self.repair(self.book.fault(*fault).item),
            _ => {
                let list: Vec<String> = blames.iter().map(|suspect| self.suspect(suspect)).collect();
                self.words.fill("verdict.several", &[("list", &list.join(", "))])
            }
        }
    }

    /// A row's verdict: the author's words, or the book's for one without any.
    pub fn ending(&self, words: &str, unworded: Option<(Place, usize)>) -> String {
        let Some((place, outcome)) = unworded else {
            return words.to_string();
        };
        match crate::proof::trouble::target(self.book, place, outcome) {
            Target::Verdict { words, blames } => self.verdict(words, blames),
            _ => words.to_string(),
        }
    }

    /// What is done about one item.
    fn repair(&self, item: Item) -> String {
        let named = |id: &str, name: &str| match name == id {
            true => id.to_string(),
            false => format!("{} {id}", lower(name)),
        };
        match item {
            Item::Part(part) => {
                let part = self.book.part(part);
                let key = match part.kind {
                    Kind::Ground => return self.words.fill("verdict.ground", &[("ground", &part.id)]),
                    _ if part.name == part.id => "verdict.unnamed",
                    _ => "verdict.part",
                };
                self.words.fill(key, &[("part", &named(&part.id, &part.name))])
            }
            Item::Wire(wire) => {
                let wire = self.book.wire(wire);
                let [from, to] = wire.ends.map(|end| self.book.end_name(end));
                let color = wire.color.to_string();
                let values = [("wire", &*wire.id), ("color", &*color), ("from", &*from), ("to", &*to)];
                self.words.fill("verdict.wire", &values)
            }
            Item::Connector(connector) => {
                let connector = self.book.connector(connector);
                let key = match connector.name == connector.id {
                    true => "verdict.unnamed-connector",
                    false => "verdict.connector",
                };
                self.words.fill(key, &[("connector", &named(&connector.id, &connector.name))])
            }
        }
    }

    /// What something did while it was looked at.
    pub fn reading(&self, subject: Subject, reading: &Reading) -> String {
        let seen = |seen: Seen| {
            if seen.backwards {
                self.words.text("look.backwards")
            } else {
                self.strength(Some(subject), seen.strength)
            }
        };
        match *reading {
            Reading::Steady(steady) => seen(steady),
            Reading::Flashing { per_minute } => {
                let rate = self.rate(print(per_minute, Unit::base(Dimension::Rate)));
                self.words.fill("look.flashing-at", &[("rate", &rate)])
            }
            Reading::Then { first, seconds, last } => {
                let time = print(seconds, Unit::base(Dimension::Time));
                let values = [("first", &*seen(first)), ("time", &*time), ("last", &*seen(last))];
                self.words.fill("look.then", &values)
            }
            Reading::Pulses { on, seconds, every } => {
                let [time, every] = [seconds, every].map(|time| print(time, Unit::base(Dimension::Time)));
                let values = [("on", &*seen(on)), ("time", &*time), ("every", &*every)];
                self.words.fill("look.pulses", &values)
            }
            Reading::Chattering => self.words.text("look.chattering"),
            Reading::Unsteady(last) => self.words.fill("look.unsteady", &[("last", &seen(last))]),
            Reading::Number(amount) if amount.value.is_infinite() => self.words.text("look.open-circuit"),
            Reading::Number(amount) => amount.to_string(),
            Reading::Nothing => self.words.text("look.not-fitted"),
        }
    }

    /// The controls that are off rest.
    pub fn off_rest(&self, settings: &[Setting]) -> Vec<String> {
        let moved = self.book.controls.iter().enumerate().zip(settings);
        moved
            .filter(|((_, control), setting)| control.rest() != **setting)
            .map(|((index, _), setting)| self.setting(ControlId(index as u32), *setting))
            .collect()
    }

    /// A conductor on a path, as a wire list names it; none for what only repeats its neighbors, a terminal's own pin.
    pub fn carrier(&self, carrier: Carrier) -> Option<String> {
        match carrier {
            Carrier::Element { part, element } => {
                let held = self.book.part(part);
                Some(if held.elements.len() > 1 {
                    format!("{} ({})", held.id, self.element(&held.elements[element].name))
                } else {
                    held.id.clone()
                })
            }
            Carrier::Wire { wire, .. } => Some(self.book.wire(wire).id.clone()),
            Carrier::Cavity { connector, cavity } => {
                let connector = self.book.connector(connector);
                Some(format!("{}:{}", connector.id, connector.cavities[cavity as usize]))
            }
            Carrier::Bond(part) => Some(self.book.part(part).id.clone()),
            Carrier::ShortToGround(wire) => Some(self.book.wire(wire).id.clone()),
            Carrier::Pin { .. } => None,
        }
    }

    /// A place that is open: a pin too, where the part itself is taken out.
    fn open_place(&self, carrier: Carrier) -> Option<String> {
        match carrier {
            Carrier::Pin { part, terminal } => Some(self.book.part(part).terminal_name(terminal)),
            other => self.carrier(other),
        }
    }

    /// Why something does what it does: the path from the supply to the body, or what is open on the way.
    pub fn why(&self, why: &Why) -> String {
        let joined = |mut names: Vec<String>, by: &str| {
            names.dedup();
            names.join(by)
        };
        match why {
            Why::Path(hops) => {
                joined(hops.iter().filter_map(|hop| self.carrier(hop.carrier)).collect(), " → ")
            }
            Why::Gap { feed, within, ground } => {
                let open = |key: &str, stops: &[Stop]| {
                    let open = stops.iter().filter_map(|stop| match *stop {
                        Stop::Open(place) => self.open_place(place),
                        _ => None,
                    });
                    let open = joined(open.collect(), ", ");
                    (!open.is_empty()).then(|| self.words.fill(key, &[("open", &open)]))
                };
                let other = |stop: &Stop, no_way: &str| match *stop {
                    Stop::Open(_) => None,
                    Stop::Blocks(diode) => {
                        Some(self.words.fill("why.blocks", &[("diode", &self.open_place(diode)?)]))
                    }
                    Stop::NoWay { part, terminal } => {
                        let terminal = self.book.part(part).terminal_name(terminal);
                        Some(self.words.fill(no_way, &[("terminal", &terminal)]))
                    }
                };
                let sides = [
                    ("why.feed", "why.no-feed", feed.as_slice()),
                    ("why.within", "", within.as_slice()),
                    ("why.ground", "why.no-ground", ground.as_slice()),
                ];
                let told = sides.into_iter().flat_map(|(key, no_way, stops)| {
                    let others = stops.iter().filter_map(move |stop| other(stop, no_way));
                    open(key, stops).into_iter().chain(others)
                });
                let told: Vec<String> = told.collect();
                match told.is_empty() {
                    true => self.words.text("why.none"),
                    false => told.join("; "),
                }
            }
        }
    }

    /// The builds of a list by their names, or nothing when the list holds every build.
    pub fn only(&self, fitted: &[bool]) -> Option<String> {
        if fitted.iter().all(|&fits| fits) {
            return None;
        }
        // A choice that tells fitted from not fitted by itself says more than a list of builds.
        for (group, options) in self.book.options.iter().enumerate() {
            for choice in 0..options.choices.len() {
                let has = |build: usize| self.book.builds[build].choices[group] as usize == choice;
                if (0..fitted.len()).all(|build| fitted[build] == has(build)) {
                    return Some(format!("{}: {}", options.name, options.choices[choice]));
                }
            }
        }
        let names = fitted.iter().enumerate().filter(|(_, fits)| **fits);
        let names: Vec<String> =
            names.map(|(build, _)| self.book.build_name(crate::book::BuildId(build as u32))).collect();
        Some(names.join("; "))
    }

    /// Volts for a reader, or a dash where there is nothing to read.
    pub fn volts(&self, volts: Option<f64>) -> String {
        volts.map_or_else(|| "–".to_string(), |volts| quantity(volts, Dimension::Potential))
    }

    /// Amperes for a reader.
    pub fn amps(&self, amps: Option<f64>) -> String {
        amps.map_or_else(|| "–".to_string(), |amps| quantity(amps.abs(), Dimension::Current))
    }
}

/// Below a tenth of a milli nothing is read.
fn quantity(value: f64, dimension: Dimension) -> String {
    let value = if value.abs() < 1e-4 { 0.0 } else { value };
    print(value, Unit::base(dimension))
}
