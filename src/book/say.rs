//! Turns hands, points, setups, expected results and suspects into words: those of a step line, which reads back as the same
//! thing, or those of a language. Nothing is escaped or linked.

use super::{
    Act, Book, Color, ControlId, Expect, Face, FaultId, HarnessId, HarnessWay, Instrument, Item, Kind, Look,
    Mode, PartId, Point, Setting, Setup, Strength, Subject, Suspect, WireId, state_words,
};
use crate::quantity::{Amount, Band, Dimension, Unit, number, print};

/// The phrases that things are said in.
pub trait Vocabulary: Sync {
    /// The phrase of a key, with `{names}` to fill in.
    fn text(&self, key: &str) -> String;

    /// The phrase of a key that not every vocabulary has.
    fn find(&self, key: &str) -> Option<String>;

    /// Whether things are called by what a reader knows them by, or by their ids alone, as an author writes them.
    fn names(&self) -> Names;

    /// The phrase of a key with its `{names}` filled in.
    fn fill(&self, key: &str, values: &[(&str, &str)]) -> String {
        let value = |wanted: &str| values.iter().find(|(name, _)| *name == wanted);
        filled(&self.text(key), |wanted| value(wanted).map(|(_, value)| value.to_string()))
    }
}

/// A text with each `{name}` that has a value filled in. What a value says is never filled in again, so that no order matters.
pub fn filled(text: &str, value: impl Fn(&str) -> Option<String>) -> String {
    let mut filled = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        filled.push_str(&rest[..open]);
        rest = &rest[open..];
        let named = rest.find('}').and_then(|close| Some((value(&rest[1..close])?, close + 1)));
        match named {
            Some((value, end)) => {
                filled.push_str(&value);
                rest = &rest[end..];
            }
            None => {
                filled.push('{');
                rest = &rest[1..];
            }
        }
    }
    filled + rest
}

/// What things are called.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Names {
    Ids,
    Full,
}

/// The words of a step line.
struct StepLine;

/// Phrases of a step line that are not their key's own last word.
const STEP_LINE: &[(&str, &str)] = &[
    ("act.set", "{control} {setting}"),
    ("act.pull", "pull {part}"),
    ("act.unplug", "unplug {part}"),
    ("act.fit", "fit {part}"),
    ("act.plug", "plug {part}"),
    ("act.open", "open {connector}"),
    ("act.close", "close {connector}"),
    ("act.disconnect", "disconnect {wire} at {end}"),
    ("act.reconnect", "reconnect {wire} at {end}"),
    ("act.connect", "{tool} {from} to {to}"),
    ("act.measure", "{tool} in {wire}"),
    ("act.remove", "remove {tool}"),
    ("act.substitute", "substitute {item}"),
    ("act.reset", "reset {part}"),
    ("act.wait", "wait {time}"),
    ("point.on-part", "{terminal} part"),
    ("point.cavity", "{cavity} {harness}"),
    ("point.wire-end", "{wire} at {end}"),
    ("point.battery-plus", "battery +"),
    ("point.battery-minus", "battery -"),
    ("point.toward", "{wire} toward {end}"),
    ("look.flashing-at", "flashing {rate}"),
    ("look.then", "{first} for {time} then {last}"),
    ("look.pulses", "{on} for {time} every {every}"),
    ("look.above", "above {value}"),
    ("look.below", "below {value}"),
    ("setup.without", "without {part}"),
    ("setup.bridged", "bridged {part}"),
    ("setup.fault", "with {fault}"),
    ("setup.build", "{group} {choices}"),
    ("setup.or", "|"),
    ("blame.open", "{harness} open"),
    ("blame.short", "{harness} short"),
    ("blame.any", "{harness}"),
    ("fault.open", "{what} open"),
    ("fault.shorted", "{what} shorted"),
    ("fault.high-resistance", "{what} high resistance"),
    ("fault.stuck-closed", "{what} stuck closed"),
    ("fault.stuck-released", "{what} stuck released"),
    ("fault.stuck-energized", "{what} stuck energized"),
    ("fault.seized", "{what} seized"),
    ("fault.reversed", "{what} reversed"),
    ("fault.weak", "{what} weak"),
    ("fault.pin-open", "{what} pin open"),
    ("fault.lost", "{what} lost"),
    ("fault.shorted-to-ground", "{what} shorted to ground"),
    ("fault.shorted-to", "{what} shorted to {other}"),
    ("fault.not-mated", "{what} not mated"),
    ("condition.and", "{one} and {other}"),
    ("condition.or", "{one} or {other}"),
    ("condition.not", "not {what}"),
    ("condition.above", "{what} above {value}"),
    ("condition.below", "{what} below {value}"),
    ("condition.until-above", "{what} until above {value}"),
    ("condition.until-below", "{what} until below {value}"),
    ("condition.for", "{what} for {time}"),
    ("condition.lasting", "{what} lasting {time}"),
    ("condition.at-most", "{what} at most {time}"),
    ("condition.blinking", "{what} blinking {rate} per min"),
    ("condition.blinking-on", "{what} blinking {rate} per min on {share} %"),
];

impl Vocabulary for StepLine {
    fn text(&self, key: &str) -> String {
        let phrase = STEP_LINE.iter().find(|(known, _)| *known == key).map(|(_, phrase)| phrase.to_string());
        phrase.unwrap_or_else(|| key.rsplit('.').next().unwrap_or(key).replace('-', " "))
    }

    /// Names are as the author or the part's kind gave them.
    fn find(&self, _: &str) -> Option<String> {
        None
    }

    fn names(&self) -> Names {
        Names::Ids
    }
}

impl Book {
    /// Says things in the words of a step line.
    pub fn step_line(&self) -> Say<'_> {
        Say { book: self, words: &StepLine }
    }

    /// The words for off, weak and full of a subject; those of a relay have no weak.
    pub fn looks(&self, subject: Subject) -> [&'static str; 3] {
        match subject {
            Subject::Face { part, element } => {
                self.part(part).elements[element].face().unwrap_or(Face::Lamp).words()
            }
            Subject::Relay { part, state } => {
                let [out, within] = state_words(self.part(part).states[state].latching);
                [out, within, within]
            }
            Subject::Instrument(_) => Face::Lamp.words(),
        }
    }
}

/// Says things of a book in one vocabulary.
#[derive(Clone, Copy)]
pub struct Say<'a> {
    pub book: &'a Book,
    pub words: &'a dyn Vocabulary,
}

impl Say<'_> {
    fn full(&self) -> bool {
        self.words.names() == Names::Full
    }

    /// A thing's id, and beside it what else a reader knows it by.
    fn called(&self, id: &str, beside: &str) -> String {
        if self.full() && id != beside { format!("{id} {beside}") } else { id.to_string() }
    }

    /// A part: `K4`, `K4 Lift enable relay`.
    pub fn part(&self, part: PartId) -> String {
        let part = self.book.part(part);
        self.called(&part.id, &part.name)
    }

    /// A wire: `W41`, `W41 GN/WH`.
    pub fn wire(&self, wire: WireId) -> String {
        let wire = self.book.wire(wire);
        self.called(&wire.id, &wire.color.to_string())
    }

    /// A color in words: `green with white stripe`.
    pub fn color(&self, color: &Color) -> String {
        let name = |letters: &str| self.words.text(&format!("color.{letters}"));
        match color.stripe {
            Some(stripe) => {
                let values = [("base", &*name(color.base.letters)), ("stripe", &*name(stripe.letters))];
                self.words.fill("color.striped", &values)
            }
            None => name(color.base.letters),
        }
    }

    /// An item.
    pub fn item(&self, item: Item) -> String {
        match item {
            Item::Part(part) => self.part(part),
            Item::Wire(wire) => self.wire(wire),
            Item::Connector(connector) => {
                let connector = self.book.connector(connector);
                match self.words.names() {
                    Names::Ids => connector.id.clone(),
                    Names::Full => format!("{} {}", connector.id, connector.name),
                }
            }
        }
    }

    fn harness(&self, harness: HarnessId) -> &str {
        let harness = &self.book.harnesses[harness.index()];
        if self.full() { &harness.name } else { &harness.id }
    }

    /// A control with where it stands: `brake on`, `Park brake: on`.
    pub fn setting(&self, control: ControlId, to: Setting) -> String {
        let control = self.book.control(control);
        let name = if self.full() { &control.name } else { &control.id };
        self.words.fill("act.set", &[("control", name), ("setting", &control.print(to))])
    }

    /// What a technician does: `unplug K4`, `test light K4:86 to ground`, `door open`.
    pub fn act(&self, act: &Act) -> String {
        let part = |key: &str, part: PartId| self.words.fill(key, &[("part", &self.part(part))]);
        let connector = |key: &str, connector| {
            self.words.fill(key, &[("connector", &self.item(Item::Connector(connector)))])
        };
        let is_fuse = |part: PartId| matches!(self.book.part(part).kind, Kind::Fuse | Kind::FusibleLink);
        match *act {
            Act::Set { control, to } => self.setting(control, to),
            Act::Unplug(of) if is_fuse(of) => part("act.pull", of),
            Act::Unplug(of) => part("act.unplug", of),
            Act::Plug(of) if is_fuse(of) => part("act.fit", of),
            Act::Plug(of) => part("act.plug", of),
            Act::OpenConnector(of) => connector("act.open", of),
            Act::CloseConnector(of) => connector("act.close", of),
            Act::Disconnect { wire, end } => self.wire_end("act.disconnect", wire, end),
            Act::Reconnect { wire, end } => self.wire_end("act.reconnect", wire, end),
            Act::Connect { instrument, from, to } => {
                let (from, to) = (self.point(from), self.point(to));
                let values = [("tool", &*self.instrument(instrument)), ("from", &*from), ("to", &*to)];
                self.words.fill("act.connect", &values)
            }
            Act::Measure { instrument, wire, toward } => {
                let values = [("tool", &*self.instrument(instrument)), ("wire", &*self.around(wire, toward))];
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

    /// Where a clamp or an ammeter is, and the end toward which it counts current as positive.
    pub fn around(&self, wire: WireId, toward: Option<u8>) -> String {
        match toward {
            Some(end) => self.wire_end("point.toward", wire, end),
            None => self.wire(wire),
        }
    }

    /// A place for a lead: `K4:86`, `X12:3 chassis`, `battery +`, `ground`.
    pub fn point(&self, point: Point) -> String {
        match point {
            Point::Terminal { part, terminal, on_part } => {
                let name = self.book.part(part).terminal_name(terminal);
                if on_part { self.words.fill("point.on-part", &[("terminal", &name)]) } else { name }
            }
            Point::Cavity { connector, cavity, side } => {
                let connector = self.book.connector(connector);
                let harness = self.harness(connector.joins[side as usize]);
                let cavity = format!("{}:{}", connector.id, connector.cavities[cavity as usize]);
                self.words.fill("point.cavity", &[("cavity", &cavity), ("harness", harness)])
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

    /// What a setup of a claim or a figure consists of: `without D1`, `key run`.
    pub fn setup(&self, setup: &[Setup]) -> Vec<String> {
        let part = |key: &str, part: PartId| self.words.fill(key, &[("part", &self.part(part))]);
        let say = |setup: &Setup| match setup {
            Setup::Act(act) => self.act(act),
            Setup::Without(of) => part("setup.without", *of),
            Setup::Bridged(of) => part("setup.bridged", *of),
            Setup::Fault(fault) => self.words.fill("setup.fault", &[("fault", &self.fault(*fault))]),
            Setup::Build { group, any } => {
                let group = &self.book.options[*group];
                let name = if self.full() { &group.name } else { &group.id };
                let choices: Vec<&str> = any.iter().map(|&at| group.choices[at as usize].as_str()).collect();
                let choices = choices.join(&self.words.text("setup.or"));
                self.words.fill("setup.build", &[("group", name), ("choices", &choices)])
            }
        };
        setup.iter().map(say).collect()
    }

    /// An element of a part: those that its kind gave it have names in each language.
    pub fn element(&self, name: &str) -> String {
        self.words.find(&format!("element.{}", name.replace(' ', "-"))).unwrap_or_else(|| name.to_string())
    }

    /// A fact's label, as the author's key has it: `rating`.
    pub fn fact(&self, label: &str) -> String {
        let find = |label: &str| self.words.find(&format!("fact.{}", label.replace(' ', "-")));
        // A label may begin with the name of one of several windings, or end with a terminal or a point of a curve.
        let of_winding = || {
            let (of, rest) = label.split_once(' ')?;
            Some(format!("{} {}", self.element(of), find(rest)?))
        };
        let at = || {
            let blanks = label.rmatch_indices(' ').map(|(blank, _)| label.split_at(blank));
            blanks.filter_map(|(what, at)| Some(format!("{}{at}", find(what)?))).next()
        };
        find(label).or_else(of_winding).or_else(at).unwrap_or_else(|| label.to_string())
    }

    /// A fault: `W41 open`.
    pub fn fault(&self, fault: FaultId) -> String {
        let fault = self.book.fault(fault);
        let element = fault.what.strip_prefix(self.book.item_name(fault.item));
        let what = match element.and_then(|rest| rest.strip_prefix(' ')) {
            Some(element) => format!("{} {}", self.book.item_name(fault.item), self.element(element)),
            None => fault.what.clone(),
        };
        self.mode(&what, &fault.mode)
    }

    /// What fails with how it does.
    pub(super) fn mode(&self, what: &str, mode: &Mode) -> String {
        let key = match mode {
            Mode::ElementOpen(_) | Mode::WireOpen | Mode::CavityOpen(_) => "open",
            Mode::ElementShorted(_) => "shorted",
            Mode::ElementHigh(..) | Mode::WireHigh(_) => "high-resistance",
            Mode::ContactStuck(_) => "stuck-closed",
            Mode::StuckOut(_) => "stuck-released",
            Mode::StuckIn(_) => "stuck-energized",
            Mode::Seized(_) => "seized",
            Mode::Reversed(_) => "reversed",
            Mode::Weak(..) => "weak",
            Mode::PinOpen(_) => "pin-open",
            Mode::GroundLost => "lost",
            Mode::WireToGround => "shorted-to-ground",
            Mode::WireToWire(_) => "shorted-to",
            Mode::NotMated => "not-mated",
        };
        let other = match mode {
            Mode::WireToWire(other) => &self.book.wire(*other).id,
            _ => "",
        };
        self.words.fill(&format!("fault.{key}"), &[("what", what), ("other", other)])
    }

    /// A suspect as a verdict names it.
    pub fn suspect(&self, suspect: &Suspect) -> String {
        match suspect {
            Suspect::Item(item) => self.item(*item),
            Suspect::Fault(fault) => self.fault(*fault),
            Suspect::Harness { harness, way } => {
                let key = match way {
                    HarnessWay::Open => "blame.open",
                    HarnessWay::Short => "blame.short",
                    HarnessWay::Any => "blame.any",
                };
                self.words.fill(key, &[("harness", self.harness(*harness))])
            }
        }
    }

    /// What is looked at: `H9`, `H1.low`, `test light`.
    pub fn subject(&self, subject: Subject) -> String {
        match subject {
            Subject::Face { part, element } => self.face(part, element),
            Subject::Relay { part, .. } => self.part(part),
            Subject::Instrument(instrument) => self.instrument(instrument),
        }
    }

    /// A part, with its element where the part has several that show something.
    pub fn face(&self, part: PartId, element: usize) -> String {
        let (held, name) = (self.book.part(part), self.part(part));
        match (held.faces().count() > 1, self.words.names()) {
            (false, _) => name,
            (true, Names::Ids) => format!("{name}.{}", held.elements[element].name),
            (true, Names::Full) => format!("{name} ({})", self.element(&held.elements[element].name)),
        }
    }

    /// An expected result: `H9 lit`.
    pub fn expect(&self, subject: Subject, look: &Look) -> String {
        format!("{} {}", self.subject(subject), self.look(Some(subject), look))
    }

    /// Expected results, one by one.
    pub fn expects(&self, expects: &[Expect]) -> Vec<String> {
        expects.iter().map(|expect| self.expect(expect.subject, &expect.look)).collect()
    }

    /// What something is said to look like: `lit`, `flashing 80..100 per min`, `above 11 V`.
    pub fn look(&self, subject: Option<Subject>, look: &Look) -> String {
        let strength = |strength| self.strength(subject, strength);
        match look {
            Look::Is(is) => strength(*is),
            Look::Backwards => self.words.text("look.backwards"),
            Look::Clicks => self.words.text("look.clicks"),
            Look::Flashing(None) => self.words.text("look.flashing"),
            Look::Flashing(Some(band)) => {
                let rate = self.rate(self.band(*band, Dimension::Rate));
                self.words.fill("look.flashing-at", &[("rate", &rate)])
            }
            Look::Then { first, backwards, seconds, last } => {
                let time = self.band(*seconds, Dimension::Time);
                let word = |of: Strength| match *backwards && of != Strength::Off {
                    true => self.words.text("look.backwards"),
                    false => strength(of),
                };
                let values = [("first", &*word(*first)), ("time", &*time), ("last", &*word(*last))];
                self.words.fill("look.then", &values)
            }
            Look::Pulses { on, seconds, every } => {
                let [time, every] = [seconds, every].map(|band| self.band(*band, Dimension::Time));
                let values = [("on", &*strength(*on)), ("time", &*time), ("every", &*every)];
                self.words.fill("look.pulses", &values)
            }
            Look::Chattering => self.words.text("look.chattering"),
            Look::Reads(band) => self.reads(*band),
        }
    }

    /// A printed rate with its unit, the only one that is a word, in the language.
    pub fn rate(&self, printed: String) -> String {
        printed.replace(Unit::base(Dimension::Rate).symbol, &self.words.text("unit.per-min"))
    }

    fn band(&self, band: Band<f64>, dimension: Dimension) -> String {
        let unit = Unit::base(dimension);
        self.reads(band.map(|value| Amount { value, unit }))
    }

    /// A band of amounts; one with an open end is above or below the other.
    fn reads(&self, band: Band<Amount>) -> String {
        let full = self.full();
        if full && band.is_point() {
            return band.low.to_string();
        }
        if band.high.value.is_infinite() {
            return self.words.fill("look.above", &[("value", &band.low.to_string())]);
        }
        if band.low.value.is_infinite() || full && band.low.value == 0.0 {
            return self.words.fill("look.below", &[("value", &band.high.to_string())]);
        }
        if !full {
            let unit = band.low.unit;
            let [low, high] = [band.low, band.high].map(|end| number(unit.from_base(end.value)));
            return format!("{low}..{high} {}", unit.symbol);
        }
        let written = band.to_string();
        match written.split_once("..") {
            Some((low, high)) => self.words.fill("look.between", &[("low", low), ("high", high)]),
            None => written,
        }
    }

    /// A strength in the word of what shows it.
    pub fn strength(&self, subject: Option<Subject>, strength: Strength) -> String {
        let words = subject.map_or(Face::Lamp.words(), |subject| self.book.looks(subject));
        self.words.text(&format!("look.{}", words[strength as usize].replace(' ', "-")))
    }
}
