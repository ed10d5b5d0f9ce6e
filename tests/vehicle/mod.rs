//! Builds vehicle-like circuits of a wanted size from a seed: feeds, fuses, relays, shared splices and grounds, cross ties.

use goodground::book::*;
use goodground::page::Words;
use goodground::quantity::{Amount, Ampere, Band, Dimension, Meter, Ohm, Volt, Watt};
use goodground::source::{FileId, Span};
use std::sync::LazyLock;

/// Says things of a book in English, as its pages do.
pub fn english(book: &Book) -> Say<'_> {
    static WORDS: LazyLock<Words> = LazyLock::new(|| Words::shipped("en"));
    Say { book, words: &*WORDS }
}

/// Numbers from a seed (Marsaglia's xorshift).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Random {
        Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) % limit as u64) as usize
    }

    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    pub fn pick<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

fn span() -> Span {
    Span::new(FileId(0), 0..0)
}

/// A book with one sheet in the middle of being built.
pub struct Builder {
    pub book: Book,
    pub random: Random,
    sheet: SheetId,
}

const COLORS_USED: [&str; 8] = ["RD", "BK/YE", "GN/WH", "BN", "BU", "GY/RD", "VT", "WH/BK"];
const NAMES: [&str; 8] =
    ["Main", "Left front", "Rear", "Lift platform", "Instrument", "Cab", "Auxiliary", "Right rear step-well"];

impl Builder {
    pub fn new(seed: u64) -> Builder {
        let supply = Band { low: Volt(11.5), high: Volt(14.4) };
        let sheet = |id: &str, title: &str| Sheet {
            id: id.to_string(),
            title: title.to_string(),
            file: FileId(0),
            hints: DrawingHints::default(),
            span: span(),
        };
        let harness = |id: &str| Harness { id: id.to_string(), name: format!("{id} harness"), span: span() };
        let control = |id: &str, positions: &[&str]| Control {
            id: id.to_string(),
            name: id.to_string(),
            sheet: SheetId(0),
            range: ControlRange::Positions(positions.iter().map(|text| text.to_string()).collect()),
            span: span(),
        };
        Builder {
            book: Book {
                manual: Manual {
                    title: "Generated".to_string(),
                    vehicle: "Generated".to_string(),
                    edition: "1".to_string(),
                    language: "en".to_string(),
                    paper: Paper::A4,
                    supply,
                    temperature: 25.0,
                    study: Study::default(),
                    file: None,
                },
                options: vec![OptionGroup {
                    id: "cab".to_string(),
                    name: "Cab".to_string(),
                    choices: vec!["low".to_string(), "high".to_string()],
                    span: span(),
                }],
                builds: vec![Build { choices: vec![0] }, Build { choices: vec![1] }],
                sheets: vec![sheet("generated", "Generated circuit"), sheet("other", "The other sheet")],
                controls: vec![
                    control("key", &["off", "run", "start"]),
                    control("door", &["closed", "open"]),
                    control("brake", &["off", "on"]),
                ],
                bands: Vec::new(),
                memories: 0,
                unread: Default::default(),
                parts: Vec::new(),
                wires: Vec::new(),
                neighbors: Vec::new(),
                connectors: Vec::new(),
                harnesses: vec![harness("cab"), harness("chassis")],
                intents: Vec::new(),
                faults: Vec::new(),
                accepted: Vec::new(),
                pages: Vec::new(),
                claims: Vec::new(),
                figures: Vec::new(),
                images: Vec::new(),
            },
            random: Random::new(seed),
            sheet: SheetId(0),
        }
    }

    /// The id letter of a kind with the next free number.
    fn id(&mut self, letter: &str) -> String {
        format!("{letter}{}", self.book.parts.len() + 1)
    }

    pub fn part(
        &mut self,
        kind: Kind,
        letter: &str,
        terminals: &[&str],
        elements: Vec<(&str, usize, usize, Action)>,
    ) -> PartId {
        let id = self.id(letter);
        let name = format!("{} {}", self.random.pick::<&str>(&NAMES), kind.name());
        let optional = self.random.chance(4) && kind != Kind::Ground && kind != Kind::Splice;
        let only = Condition::Option { group: 0, any: vec![1] };
        let coils = elements.iter().filter(|element| matches!(element.3, Action::Coil { .. })).count();
        self.book.parts.push(Part {
            id,
            name,
            kind,
            place: (kind == Kind::Ground).then(|| "left frame rail, behind the battery tray".to_string()),
            sheet: self.sheet,
            only: if optional { only } else { Condition::Always },
            fitted: vec![!optional, true],
            terminals: terminals.iter().map(|name| Terminal { name: name.to_string() }).collect(),
            elements: elements
                .into_iter()
                .map(|(name, a, b, action)| Element {
                    name: name.to_string(),
                    a: TerminalId(a as u16),
                    b: TerminalId(b as u16),
                    action,
                })
                .collect(),
            states: (0..coils.min(1)).map(|_| RelayState { latching: false, drop_out: 0.2 }).collect(),
            facts: vec![("rating".to_string(), "12 V 21 W".to_string())],
            sealed: false,
            fails: Vec::new(),
            span: span(),
        });
        PartId(self.book.parts.len() as u32 - 1)
    }

    pub fn wire(&mut self, from: End, to: End) {
        let fits = |book: &Book, end: End, build: usize| match end {
            End::Terminal { part, .. } => book.part(part).fitted[build],
            End::Cavity { .. } => true,
        };
        let fitted: Vec<bool> =
            (0..2).map(|build| fits(&self.book, from, build) && fits(&self.book, to, build)).collect();
        if !fitted.contains(&true) {
            return;
        }
        let color = Color::parse(self.random.pick::<&str>(&COLORS_USED)).unwrap();
        let size = *self.random.pick(&[0.75, 1.5, 2.5, 16.0]);
        let id = format!("W{}", 100 + self.book.wires.len());
        self.book.wires.push(Wire {
            id,
            ends: [from, to],
            color,
            size: Amount::parse(&format!("{size} mm2")).unwrap(),
            length: Meter(1.0),
            harness: HarnessId(0),
            sheet: self.sheet,
            only: Condition::Always,
            fitted,
            span: span(),
        });
    }

    pub fn at(&self, part: PartId, terminal: &str) -> End {
        let terminal = self.book.part(part).terminal(terminal).expect("the part has the terminal");
        End::Terminal { part, terminal }
    }

    fn position(&mut self) -> Condition {
        let control = self.random.below(3) as u32;
        Condition::Position { control: ControlId(control), any: vec![self.random.below(2) as u16] }
    }

    fn contact(&mut self) -> Action {
        Action::Contact { when: self.position(), closed: Ohm(0.005) }
    }

    pub fn splice(&mut self) -> End {
        let part = self.part(Kind::Splice, "SP", &[""], vec![]);
        End::Terminal { part, terminal: TerminalId(0) }
    }

    pub fn ground(&mut self) -> End {
        let part = self.part(Kind::Ground, "G", &[""], vec![]);
        End::Terminal { part, terminal: TerminalId(0) }
    }

    /// A wire, perhaps by way of a connector.
    pub fn join(&mut self, from: End, to: End) {
        if !self.random.chance(35) {
            self.wire(from, to);
            return;
        }
        if self.book.connectors.is_empty() || self.random.chance(15) {
            let id = format!("X{}", self.book.connectors.len() + 1);
            self.book.connectors.push(Connector {
                id,
                name: "Step-well connector".to_string(),
                place: None,
                sheet: self.sheet,
                joins: [HarnessId(0), HarnessId(1)],
                cavities: Vec::new(),
                span: span(),
            });
        }
        let index = self.random.below(self.book.connectors.len());
        let cavities = &mut self.book.connectors[index].cavities;
        cavities.push((cavities.len() + 1).to_string());
        let cavity = cavities.len() as u16 - 1;
        let side = self.random.below(2) as u8;
        let end = |side| End::Cavity { connector: ConnectorId(index as u32), cavity, side };
        self.wire(from, end(side));
        self.wire(end(1 - side), to);
    }

    /// A load with two terminals.
    fn load(&mut self) -> PartId {
        let load = |face: Face| Action::Load { ohms: Ohm(2.4), rated: Volt(12.0), face };
        let filament = || Action::Filament { volts: Volt(12.0), watts: Watt(21.0) };
        let scale = vec![(0.02, Amount::base(40.0, Dimension::Temperature))];
        let (kind, letter, action) = match self.random.below(10) {
            0..=2 => (Kind::Lamp, "E", filament()),
            3 => (Kind::Motor, "M", load(Face::Motor { reversible: false })),
            4 => (Kind::Buzzer, "B", load(Face::Sounder)),
            5 => (Kind::Heater, "R", load(Face::Heater)),
            6 => (Kind::Valve, "Y", load(Face::Valve)),
            7 => (Kind::Gauge, "P", load(Face::Gauge { scale })),
            8 => {
                let led = Action::Led { drop: Volt(2.0), amps: Ampere(0.02), resistor: Ohm(500.0) };
                (Kind::Led, "P", led)
            }
            _ => {
                let fixed = Action::Resistor { ohms: Resistance::Fixed(Ohm(4.7)) };
                (Kind::Resistor, "R", fixed)
            }
        };
        self.part(kind, letter, &["1", "2"], vec![("load", 0, 1, action)])
    }

    fn switch(&mut self) -> PartId {
        let contact = self.contact();
        self.part(Kind::Switch, "S", &["1", "2"], vec![("1-2", 0, 1, contact)])
    }

    fn fuse(&mut self) -> PartId {
        let link = Action::Link { rating: Ampere(10.0), cold: Ohm(0.008), protection: Protection::Fuse };
        self.part(Kind::Fuse, "F", &["1", "2"], vec![("fuse", 0, 1, link)])
    }

    fn relay(&mut self) -> PartId {
        let coil = || Action::Coil { ohms: Ohm(85.0), state: 0, effect: Effect::Hold, per_ampere: 10.0 };
        let make = Action::Contact { when: Condition::Energized(0), closed: Ohm(0.005) };
        let rest =
            Action::Contact { when: Condition::Not(Box::new(Condition::Energized(0))), closed: Ohm(0.005) };
        let terminals = ["86", "85", "30", "87", "87a"];
        let mut elements = vec![("coil", 0, 1, coil()), ("30-87", 2, 3, make)];
        if self.random.chance(40) {
            elements.push(("30-87a", 2, 4, rest));
        }
        if self.random.chance(30) {
            elements.push(("diode", 1, 0, Action::Diode { breakdown: None }));
        }
        let wired = if elements.iter().any(|element| element.0 == "30-87a") { 5 } else { 4 };
        self.part(Kind::Relay, "K", &terminals[..wired], elements)
    }

    fn module(&mut self) -> PartId {
        let above = |terminal: u16| Condition::TerminalAbove {
            terminal: TerminalId(terminal),
            against: None,
            volts: Band { low: 5.0, high: 6.0 },
        };
        let output = |terminal| Action::Contact { when: above(terminal), closed: Ohm(0.05) };
        let input = || Action::Resistor { ohms: Resistance::Fixed(Ohm(10_000.0)) };
        self.part(
            Kind::Module,
            "A",
            &["15", "31", "IN1", "IN2", "OUT1", "OUT2"],
            vec![
                ("supply", 0, 1, input()),
                ("IN1", 2, 1, input()),
                ("IN2", 3, 1, input()),
                ("OUT1", 0, 4, output(2)),
                ("OUT2", 0, 5, output(3)),
            ],
        )
    }
}

/// A vehicle-like circuit of about `size` parts.
pub fn vehicle(seed: u64, size: usize) -> Book {
    let mut builder = Builder::new(seed);
    let source = Action::Source { emf: Supply::Vehicle { share: 1.0 }, internal: Ohm(0.01) };
    // Now and then the supply is on another sheet.
    if builder.random.chance(40) {
        builder.sheet = SheetId(1);
    }
    let battery = builder.part(Kind::Battery, "BAT", &["-", "+"], vec![("cell", 0, 1, source)]);
    builder.book.parts[0].fitted = vec![true, true];
    builder.book.parts[0].only = Condition::Always;
    let main = builder.splice();
    let body = builder.ground();
    let (plus, minus) = (builder.at(battery, "+"), builder.at(battery, "-"));
    builder.wire(plus, main);
    builder.wire(minus, body);
    builder.sheet = SheetId(0);
    let mut feeds = vec![main];
    let mut grounds = vec![builder.ground()];
    let mut middles: Vec<End> = Vec::new();
    while builder.book.parts.len() < size {
        step(&mut builder, &mut feeds, &mut grounds, &mut middles);
    }
    builder.book
}

/// One more branch, feed, tie or shared point.
fn step(builder: &mut Builder, feeds: &mut Vec<End>, grounds: &mut Vec<End>, middles: &mut Vec<End>) {
    let feed = *builder.random.pick(feeds);
    let ground = *builder.random.pick(grounds);
    match builder.random.below(12) {
        0 => {
            let fuse = builder.fuse();
            let (top, bottom) = (builder.at(fuse, "1"), builder.at(fuse, "2"));
            builder.join(feed, top);
            feeds.push(bottom);
        }
        1 => {
            let switch = builder.switch();
            let (top, bottom) = (builder.at(switch, "1"), builder.at(switch, "2"));
            builder.join(feed, top);
            let splice = builder.splice();
            builder.wire(bottom, splice);
            feeds.push(splice);
        }
        2 | 3 => {
            let relay = builder.relay();
            let [coil, low, common, make] = ["86", "85", "30", "87"].map(|name| builder.at(relay, name));
            builder.join(feed, coil);
            builder.join(low, ground);
            let other = *builder.random.pick(feeds);
            builder.join(other, common);
            feeds.push(make);
            if builder.book.part(relay).terminals.len() == 5 && builder.random.chance(60) {
                let rest = builder.at(relay, "87a");
                feeds.push(rest);
            }
        }
        4 if grounds.len() < 5 => {
            let new = builder.ground();
            if builder.random.chance(50) {
                let splice = builder.splice();
                builder.join(splice, new);
                grounds.push(splice);
            }
            grounds.push(new);
        }
        5 if middles.len() > 1 => {
            // A diode between two branches.
            let (a, b) = (*builder.random.pick(middles), *builder.random.pick(middles));
            if a != b {
                let action = Action::Diode { breakdown: None };
                let diode = builder.part(Kind::Diode, "D", &["A", "K"], vec![("diode", 0, 1, action)]);
                let (anode, cathode) = (builder.at(diode, "A"), builder.at(diode, "K"));
                builder.join(a, anode);
                builder.join(cathode, b);
            }
        }
        6 if builder.random.chance(40) => {
            let module = builder.module();
            let wired = ["15", "31", "IN1", "IN2"].map(|name| builder.at(module, name));
            builder.join(feed, wired[0]);
            builder.join(wired[1], ground);
            let one = *builder.random.pick(feeds);
            builder.join(one, wired[2]);
            if builder.random.chance(70) {
                let two = *builder.random.pick(feeds);
                builder.join(two, wired[3]);
            }
            for name in ["OUT1", "OUT2"] {
                let output = builder.at(module, name);
                feeds.push(output);
            }
        }
        7 => {
            // Two filaments over one ground.
            let filament = || Action::Filament { volts: Volt(12.0), watts: Watt(55.0) };
            let elements = vec![("low", 0, 2, filament()), ("high", 1, 2, filament())];
            let lamp = builder.part(Kind::Lamp, "E", &["56b", "56a", "31"], elements);
            let [low, high, ground_end] = ["56b", "56a", "31"].map(|name| builder.at(lamp, name));
            let other = *builder.random.pick(feeds);
            builder.join(feed, low);
            builder.join(other, high);
            builder.join(ground_end, ground);
        }
        _ => branch(builder, feed, ground, middles),
    }
}

/// Switches and a load in a row, the load high or low, sometimes several loads behind one splice.
fn branch(builder: &mut Builder, feed: End, ground: End, middles: &mut Vec<End>) {
    let mut at = feed;
    if builder.random.chance(50) {
        let switch = builder.switch();
        let (top, bottom) = (builder.at(switch, "1"), builder.at(switch, "2"));
        builder.join(at, top);
        at = bottom;
    }
    let loads = if builder.random.chance(25) { 2 + builder.random.below(2) } else { 1 };
    if loads > 1 || builder.random.chance(30) {
        let splice = builder.splice();
        builder.join(at, splice);
        middles.push(splice);
        at = splice;
    }
    for _ in 0..loads {
        let load = builder.load();
        let (top, bottom) = (builder.at(load, "1"), builder.at(load, "2"));
        builder.join(at, top);
        if builder.random.chance(20) {
            let switch = builder.switch();
            let (one, two) = (builder.at(switch, "1"), builder.at(switch, "2"));
            builder.join(bottom, one);
            builder.join(two, ground);
        } else {
            builder.join(bottom, ground);
        }
    }
}
