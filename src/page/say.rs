//! Turns hands, points, readings and conditions into words of the book's language: plain text, nothing escaped or linked.

use super::words::Words;
use crate::book::{
    Act, Book, ControlId, Expect, Face, Instrument, Item, Kind, Look, PartId, Point, Setting, Setup,
    Strength, Subject, WireId,
};
use crate::proof::{Carrier, Reading, Seen, Why};
use crate::quantity::{Amount, Band, Dimension, Unit, print};

/// Says things of a book in its language.
#[derive(Clone, Copy)]
pub struct Say<'a> {
    pub book: &'a Book,
    pub words: &'a Words,
}

impl Say<'_> {
    /// A part by its id and name: `K4 Lift enable relay`.
    pub fn part(&self, part: PartId) -> String {
        let part = self.book.part(part);
        if part.name == part.id { part.id.clone() } else { format!("{} {}", part.id, part.name) }
    }

    /// An item by its id and name, a wire by its id and color letters.
    pub fn item(&self, item: Item) -> String {
        match item {
            Item::Part(part) => self.part(part),
            Item::Wire(wire) => self.wire(wire),
            Item::Connector(connector) => {
                let connector = self.book.connector(connector);
                format!("{} {}", connector.id, connector.name)
            }
        }
    }

    /// A wire by its id and color letters.
    pub fn wire(&self, wire: WireId) -> String {
        let wire = self.book.wire(wire);
        format!("{} {}", wire.id, wire.color)
    }

    /// A control with where it stands: `Park brake: on`.
    pub fn setting(&self, control: ControlId, to: Setting) -> String {
        let control = self.book.control(control);
        format!("{}: {}", control.name, control.print(to))
    }

    /// What a technician does.
    pub fn act(&self, act: &Act) -> String {
        let part = |key: &str, part: PartId| self.words.fill(key, &[("part", &self.part(part))]);
        let is_fuse = |part: PartId| matches!(self.book.part(part).kind, Kind::Fuse | Kind::FusibleLink);
        match *act {
            Act::Set { control, to } => self.setting(control, to),
            Act::Unplug(of) if is_fuse(of) => part("act.pull", of),
            Act::Unplug(of) => part("act.unplug", of),
            Act::Plug(of) if is_fuse(of) => part("act.fit", of),
            Act::Plug(of) => part("act.plug", of),
            Act::OpenConnector(connector) => {
                self.words.fill("act.open", &[("connector", &self.item(Item::Connector(connector)))])
            }
            Act::CloseConnector(connector) => {
                self.words.fill("act.close", &[("connector", &self.item(Item::Connector(connector)))])
            }
            Act::Disconnect { wire, end } => self.wire_end("act.disconnect", wire, end),
            Act::Reconnect { wire, end } => self.wire_end("act.reconnect", wire, end),
            Act::Connect { instrument, from, to } => {
                let (from, to) = (self.point(from), self.point(to));
                let values = [("tool", &*self.instrument(instrument)), ("from", &*from), ("to", &*to)];
                self.words.fill("act.connect", &values)
            }
            Act::Measure { instrument, wire } => {
                let values = [("tool", &*self.instrument(instrument)), ("wire", &*self.wire(wire))];
                self.words.fill("act.measure", &values)
            }
            Act::Remove(instrument) => {
                self.words.fill("act.remove", &[("tool", &self.instrument(instrument))])
            }
            Act::Substitute(item) => self.words.fill("act.substitute", &[("item", &self.item(item))]),
            Act::ResetBreaker(of) => part("act.reset", of),
            Act::Wait(seconds) => {
                let time = print(seconds, Unit::base(Dimension::Time));
                self.words.fill("act.wait", &[("time", &time)])
            }
        }
    }

    fn wire_end(&self, key: &str, wire: WireId, end: u8) -> String {
        let at = self.book.end_name(self.book.wire(wire).ends[end as usize]);
        self.words.fill(key, &[("wire", &self.wire(wire)), ("end", &at)])
    }

    /// A place for a lead.
    pub fn point(&self, point: Point) -> String {
        match point {
            Point::Terminal { part, terminal, on_part } => {
                let name = self.book.part(part).terminal_name(terminal);
                if on_part { self.words.fill("point.on-part", &[("terminal", &name)]) } else { name }
            }
            Point::Cavity { connector, cavity, side } => {
                let connector = self.book.connector(connector);
                let harness = &self.book.harnesses[connector.joins[side as usize].index()];
                let cavity = format!("{}:{}", connector.id, connector.cavities[cavity as usize]);
                self.words.fill("point.cavity", &[("cavity", &cavity), ("harness", &harness.name)])
            }
            Point::WireEnd { wire, end } => self.wire_end("point.wire-end", wire, end),
            Point::BatteryPlus => self.words.text("point.battery-plus"),
            Point::BatteryMinus => self.words.text("point.battery-minus"),
            Point::Ground => self.words.text("point.ground"),
        }
    }

    /// An instrument.
    pub fn instrument(&self, instrument: Instrument) -> String {
        self.words.text(&format!("tool.{}", instrument.word().replace(' ', "-")))
    }

    /// What is looked at: a part, with its element where it has several that show something.
    pub fn subject(&self, subject: Subject) -> String {
        match subject {
            Subject::Face { part, element } => {
                let held = self.book.part(part);
                if held.faces().count() > 1 {
                    format!("{} ({})", self.part(part), held.elements[element].name)
                } else {
                    self.part(part)
                }
            }
            Subject::Relay { part, .. } => self.part(part),
            Subject::Instrument(instrument) => self.instrument(instrument),
        }
    }

    /// An expected result: subject and look.
    pub fn expect(&self, expect: &Expect) -> String {
        format!("{} {}", self.subject(expect.subject), self.look(Some(expect.subject), &expect.look))
    }

    /// What something is said to look like.
    pub fn look(&self, subject: Option<Subject>, look: &Look) -> String {
        let strength = |strength| self.strength(subject, strength);
        match look {
            Look::Is(is) => strength(*is),
            Look::Backwards => self.words.text("look.backwards"),
            Look::Clicks => self.words.text("look.clicks"),
            Look::Flashing(None) => self.words.text("look.flashing"),
            Look::Flashing(Some(band)) => {
                let rate = self.band(*band, Dimension::Rate);
                self.words.fill("look.flashing-at", &[("rate", &rate)])
            }
            Look::Then { first, seconds } => {
                let time = self.band(*seconds, Dimension::Time);
                let values =
                    [("first", &*strength(*first)), ("time", &*time), ("last", &*strength(Strength::Off))];
                self.words.fill("look.then", &values)
            }
            Look::Reads(band) => self.reads(*band),
        }
    }

    fn band(&self, band: Band<f64>, dimension: Dimension) -> String {
        let unit = Unit::base(dimension);
        self.reads(band.map(|value| Amount { value, unit }))
    }

    fn reads(&self, band: Band<Amount>) -> String {
        if band.is_point() {
            return band.low.to_string();
        }
        if band.high.value.is_infinite() {
            return self.words.fill("look.above", &[("value", &band.low.to_string())]);
        }
        if band.low.value.is_infinite() || band.low.value == 0.0 {
            return self.words.fill("look.below", &[("value", &band.high.to_string())]);
        }
        let written = band.to_string();
        match written.split_once("..") {
            Some((low, high)) => self.words.fill("look.between", &[("low", low), ("high", high)]),
            None => written,
        }
    }

    /// A strength in the word of what shows it.
    pub fn strength(&self, subject: Option<Subject>, strength: Strength) -> String {
        let word = match subject {
            Some(Subject::Face { part, element }) => {
                let face = self.book.part(part).elements[element].face();
                crate::proof::strength_word(&face.unwrap_or(Face::Lamp), strength)
            }
            Some(Subject::Relay { part, state }) => {
                let latching = self.book.part(part).states[state].latching;
                match (latching, strength) {
                    (true, Strength::Off) => "reset",
                    (true, _) => "set",
                    (false, Strength::Off) => "released",
                    (false, _) => "energized",
                }
            }
            _ => crate::proof::strength_word(&Face::Lamp, strength),
        };
        self.words.text(&format!("look.{}", word.replace(' ', "-")))
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
                let rate = print(per_minute, Unit::base(Dimension::Rate));
                self.words.fill("look.flashing-at", &[("rate", &rate)])
            }
            Reading::Then { first, seconds, last } => {
                let time = print(seconds, Unit::base(Dimension::Time));
                let strength = |strength| self.strength(Some(subject), strength);
                let values = [("first", &*strength(first)), ("time", &*time), ("last", &*strength(last))];
                self.words.fill("look.then", &values)
            }
            Reading::Unsteady(last) => self.words.fill("look.unsteady", &[("last", &seen(last))]),
            Reading::Number(amount) if amount.value.is_infinite() => self.words.text("look.open-circuit"),
            Reading::Number(amount) => amount.to_string(),
            Reading::Nothing => self.words.text("look.not-fitted"),
        }
    }

    /// What a claim or a figure sets up before it looks.
    pub fn setup(&self, setup: &[Setup]) -> Vec<String> {
        let part = |key: &str, part: PartId| self.words.fill(key, &[("part", &self.part(part))]);
        let say = |setup: &Setup| match setup {
            Setup::Act(act) => self.act(act),
            Setup::Without(of) => part("setup.without", *of),
            Setup::Bridged(of) => part("setup.bridged", *of),
            Setup::Fault(fault) => {
                self.words.fill("setup.fault", &[("fault", &self.book.fault(*fault).name)])
            }
            Setup::Build { group, any } => {
                let group = &self.book.options[*group];
                let choices: Vec<&str> = any.iter().map(|&at| group.choices[at as usize].as_str()).collect();
                format!("{}: {}", group.name, choices.join(", "))
            }
        };
        setup.iter().map(say).collect()
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
                    format!("{} ({})", held.id, held.elements[element].name)
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
            Why::Gap { feed, ground } => {
                let open: Vec<String> = [("why.feed", feed), ("why.ground", ground)]
                    .into_iter()
                    .filter(|(_, open)| !open.is_empty())
                    .map(|(key, open)| {
                        let open =
                            joined(open.iter().filter_map(|place| self.open_place(*place)).collect(), ", ");
                        self.words.fill(key, &[("open", &open)])
                    })
                    .collect();
                match open.is_empty() {
                    true => self.words.text("why.none"),
                    false => open.join("; "),
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
