//! Turns things of a book into the words of the English texts: written down here apart from the program's own wording.

use goodground::bench::{Carrier, Reading, Seen, Stop, Why};
use goodground::book::*;
use goodground::quantity::{Amount, Band, Dimension, Unit, print};
use std::collections::BTreeMap;
use std::sync::LazyLock;

static TEXTS: LazyLock<BTreeMap<String, BTreeMap<String, String>>> =
    LazyLock::new(|| toml::from_str(include_str!("../../templates/strings/en.toml")).expect("the texts"));

/// A text by its key.
pub fn text(key: &str) -> &'static str {
    let (section, name) = key.split_once('.').expect("a key has a section");
    &TEXTS[section][name]
}

/// The same with what its braces name.
pub fn fill(key: &str, values: &[(&str, &str)]) -> String {
    let mut filled = text(key).to_string();
    for (name, value) in values {
        let hole = format!("{{{name}}}");
        assert!(filled.contains(&hole), "{key} has {hole}");
        filled = filled.replace(&hole, value);
    }
    assert!(!filled.contains('{'), "{key} is full: {filled}");
    filled
}

/// A text by its key, if there is one.
pub fn known(key: &str) -> Option<&'static str> {
    let (section, name) = key.split_once('.').expect("a key has a section");
    Some(TEXTS.get(section)?.get(name)?)
}

/// All texts of a section with their keys.
pub fn section(name: &str) -> &'static BTreeMap<String, String> {
    &TEXTS[name]
}

pub fn part(book: &Book, id: PartId) -> String {
    let Part { id, name, .. } = book.part(id);
    if id == name { id.clone() } else { format!("{id} {name}") }
}

pub fn wire(book: &Book, id: WireId) -> String {
    let Wire { id, color, .. } = book.wire(id);
    match color.stripe {
        Some(stripe) => format!("{id} {}/{}", color.base.letters, stripe.letters),
        None => format!("{id} {}", color.base.letters),
    }
}

pub fn item(book: &Book, item: Item) -> String {
    match item {
        Item::Part(id) => part(book, id),
        Item::Wire(id) => wire(book, id),
        Item::Connector(id) => format!("{} {}", book.connector(id).id, book.connector(id).name),
    }
}

pub fn suspect(book: &Book, suspect: &Suspect) -> String {
    match suspect {
        Suspect::Item(id) => item(book, *id),
        Suspect::Fault(fault) => book.fault(*fault).name.clone(),
        Suspect::Harness { harness, way } => {
            let name = &book.harnesses[harness.index()].name;
            let key = match way {
                HarnessWay::Open => "blame.open",
                HarnessWay::Short => "blame.short",
                HarnessWay::Any => "blame.any",
            };
            fill(key, &[("harness", name)])
        }
    }
}

pub fn setting(book: &Book, control: ControlId, to: Setting) -> String {
    format!("{}: {}", book.control(control).name, book.control(control).print(to))
}

/// The controls that are not at rest.
pub fn settings(book: &Book, settings: &[Setting]) -> Vec<String> {
    let moved = book.controls.iter().zip(settings).enumerate();
    let moved = moved.filter(|(_, (control, to))| control.rest() != **to);
    moved.map(|(at, (_, to))| setting(book, ControlId(at as u32), *to)).collect()
}

pub fn tool(instrument: Instrument) -> &'static str {
    text(match instrument {
        Instrument::TestLight => "tool.test-light",
        Instrument::ContinuityLight => "tool.continuity-light",
        Instrument::Voltmeter => "tool.voltmeter",
        Instrument::AnalogVoltmeter => "tool.analog-voltmeter",
        Instrument::Ohmmeter => "tool.ohmmeter",
        Instrument::Ammeter => "tool.ammeter",
        Instrument::Clamp => "tool.clamp",
        Instrument::Jumper => "tool.jumper",
        Instrument::FusedJumper => "tool.fused-jumper",
    })
}

pub fn end(book: &Book, end: End) -> String {
    match end {
        End::Terminal { part, terminal } => {
            let Part { id, terminals, .. } = book.part(part);
            match terminals.len() {
                1 => id.clone(),
                _ => format!("{id}:{}", terminals[terminal.index()].name),
            }
        }
        End::Cavity { connector, cavity, .. } => {
            let Connector { id, cavities, .. } = book.connector(connector);
            format!("{id}:{}", cavities[usize::from(cavity)])
        }
    }
}

pub fn point(book: &Book, point: Point) -> String {
    match point {
        Point::Terminal { part, terminal, on_part } => {
            let name = end(book, End::Terminal { part, terminal });
            if on_part { fill("point.on-part", &[("terminal", &name)]) } else { name }
        }
        Point::Cavity { connector, cavity, side } => {
            let name = end(book, End::Cavity { connector, cavity, side });
            let harness = book.connector(connector).joins[usize::from(side)];
            let harness = &book.harnesses[harness.index()].name;
            fill("point.cavity", &[("cavity", &name), ("harness", harness)])
        }
        Point::WireEnd { wire: id, end: at } => {
            let off = end(book, book.wire(id).ends[usize::from(at)]);
            fill("point.wire-end", &[("wire", &wire(book, id)), ("end", &off)])
        }
        Point::BatteryPlus => text("point.battery-plus").to_string(),
        Point::BatteryMinus => text("point.battery-minus").to_string(),
        Point::Ground => text("point.ground").to_string(),
    }
}

pub fn act(book: &Book, act: &Act) -> String {
    let is_fuse = |of: PartId| matches!(book.part(of).kind, Kind::Fuse | Kind::FusibleLink);
    let of_part = |key: &str, of: PartId| fill(key, &[("part", &part(book, of))]);
    let of_plug = |key: &str, of: ConnectorId| fill(key, &[("connector", &item(book, Item::Connector(of)))]);
    let of_wire = |key: &str, of: WireId, at: u8| {
        let off = end(book, book.wire(of).ends[usize::from(at)]);
        fill(key, &[("wire", &wire(book, of)), ("end", &off)])
    };
    match *act {
        Act::Set { control, to } => setting(book, control, to),
        Act::Unplug(of) => of_part(if is_fuse(of) { "act.pull" } else { "act.unplug" }, of),
        Act::Plug(of) => of_part(if is_fuse(of) { "act.fit" } else { "act.plug" }, of),
        Act::OpenConnector(of) => of_plug("act.open", of),
        Act::CloseConnector(of) => of_plug("act.close", of),
        Act::Disconnect { wire, end } => of_wire("act.disconnect", wire, end),
        Act::Reconnect { wire, end } => of_wire("act.reconnect", wire, end),
        Act::Connect { instrument, from, to } => {
            let (from, to) = (point(book, from), point(book, to));
            fill("act.connect", &[("tool", tool(instrument)), ("from", &from), ("to", &to)])
        }
        Act::Measure { instrument, wire, toward } => {
            fill("act.measure", &[("tool", tool(instrument)), ("wire", &around(book, wire, toward))])
        }
        Act::Remove(instrument) => fill("act.remove", &[("tool", tool(instrument))]),
        Act::Substitute(of) => fill("act.substitute", &[("item", &item(book, of))]),
        Act::ResetBreaker(of) => of_part("act.reset", of),
        Act::Wait(seconds) => fill("act.wait", &[("time", &base(seconds, Dimension::Time))]),
    }
}

/// Where a clamp is, and which way it counts.
pub fn around(book: &Book, id: WireId, toward: Option<u8>) -> String {
    let Some(at) = toward else { return wire(book, id) };
    let toward = end(book, book.wire(id).ends[usize::from(at)]);
    fill("point.toward", &[("wire", &wire(book, id)), ("end", &toward)])
}

pub fn setup(book: &Book, setup: &[Setup]) -> Vec<String> {
    let one = |setup: &Setup| match setup {
        Setup::Act(of) => act(book, of),
        Setup::Without(of) => fill("setup.without", &[("part", &part(book, *of))]),
        Setup::Bridged(of) => fill("setup.bridged", &[("part", &part(book, *of))]),
        Setup::Fault(of) => fill("setup.fault", &[("fault", &book.fault(*of).name)]),
        Setup::Build { group, any } => {
            let group = &book.options[*group];
            let any: Vec<&str> = any.iter().map(|&at| &*group.choices[usize::from(at)]).collect();
            format!("{}: {}", group.name, any.join(", "))
        }
    };
    setup.iter().map(one).collect()
}

pub fn subject(book: &Book, subject: Subject) -> String {
    match subject {
        Subject::Face { part: of, element } if book.part(of).faces().count() > 1 => {
            format!("{} ({})", part(book, of), book.part(of).elements[element].name)
        }
        Subject::Face { part: of, .. } | Subject::Relay { part: of, .. } => part(book, of),
        Subject::Instrument(of) => tool(of).to_string(),
    }
}

/// The word of off, weak or full for what shows it.
pub fn strength(book: &Book, subject: Option<Subject>, strength: Strength) -> &'static str {
    let [off, weak, full] = match subject {
        Some(Subject::Face { part, element }) => {
            book.part(part).elements[element].face().unwrap_or(Face::Lamp).words()
        }
        Some(Subject::Relay { part, state }) => match book.part(part).states[state].latching {
            true => ["reset", "set", "set"],
            false => ["released", "energized", "energized"],
        },
        _ => Face::Lamp.words(),
    };
    let word = match strength {
        Strength::Off => off,
        Strength::Weak => weak,
        Strength::Full => full,
    };
    text(&format!("look.{}", word.replace(' ', "-")))
}

pub fn look(book: &Book, of: Option<Subject>, look: &Look) -> String {
    match look {
        Look::Is(is) => strength(book, of, *is).to_string(),
        Look::Backwards => text("look.backwards").to_string(),
        Look::Clicks => text("look.clicks").to_string(),
        Look::Flashing(None) => text("look.flashing").to_string(),
        Look::Flashing(Some(rate)) => {
            fill("look.flashing-at", &[("rate", &band(amounts(*rate, Dimension::Rate)))])
        }
        Look::Then { first, backwards, seconds, last } => {
            let time = band(amounts(*seconds, Dimension::Time));
            let word = |of_: Strength| match *backwards && of_ != Strength::Off {
                true => text("look.backwards"),
                false => strength(book, of, of_),
            };
            fill("look.then", &[("first", word(*first)), ("time", &time), ("last", word(*last))])
        }
        Look::Pulses { on, seconds, every } => {
            let [time, every] = [seconds, every].map(|time| band(amounts(*time, Dimension::Time)));
            fill("look.pulses", &[("on", strength(book, of, *on)), ("time", &time), ("every", &every)])
        }
        Look::Chattering => text("look.chattering").to_string(),
        Look::Reads(reads) => band(*reads),
    }
}

fn amounts(band: Band<f64>, dimension: Dimension) -> Band<Amount> {
    band.map(|value| Amount::base(value, dimension))
}

fn band(band: Band<Amount>) -> String {
    let (low, high) = (band.low.to_string(), band.high.to_string());
    if low == high {
        return low;
    }
    if band.high.value.is_infinite() {
        return fill("look.above", &[("value", &low)]);
    }
    if band.low.value == 0.0 || band.low.value.is_infinite() {
        return fill("look.below", &[("value", &high)]);
    }
    // The unit stands once, behind the second number.
    let number = low.split_whitespace().next().unwrap_or_default();
    fill("look.between", &[("low", number), ("high", &high)])
}

/// A number in its dimension's base unit.
pub fn base(value: f64, dimension: Dimension) -> String {
    print(value, Unit::base(dimension))
}

pub fn expect(book: &Book, expect: &Expect) -> String {
    format!("{} {}", subject(book, expect.subject), look(book, Some(expect.subject), &expect.look))
}

pub fn reading(book: &Book, of: Subject, reading: &Reading) -> String {
    let seen = |seen: Seen| match seen.backwards {
        true => text("look.backwards"),
        false => strength(book, Some(of), seen.strength),
    };
    match *reading {
        Reading::Steady(steady) => seen(steady).to_string(),
        Reading::Flashing { per_minute } => {
            fill("look.flashing-at", &[("rate", &base(per_minute, Dimension::Rate))])
        }
        Reading::Then { first, seconds, last } => {
            let time = base(seconds, Dimension::Time);
            fill("look.then", &[("first", seen(first)), ("time", &time), ("last", seen(last))])
        }
        Reading::Pulses { on, seconds, every } => {
            let [time, every] = [seconds, every].map(|time| base(time, Dimension::Time));
            fill("look.pulses", &[("on", seen(on)), ("time", &time), ("every", &every)])
        }
        Reading::Chattering => text("look.chattering").to_string(),
        Reading::Unsteady(last) => fill("look.unsteady", &[("last", seen(last))]),
        Reading::Number(amount) if amount.value.is_infinite() => text("look.open-circuit").to_string(),
        Reading::Number(amount) => amount.to_string(),
        Reading::Nothing => text("look.not-fitted").to_string(),
    }
}

/// What current flows through, one after the other; a terminal's own pin goes without saying.
pub fn carriers(book: &Book, carriers: impl Iterator<Item = Carrier>) -> Vec<String> {
    let name = |carrier: Carrier| match carrier {
        Carrier::Element { part, element } => {
            let Part { id, elements, .. } = book.part(part);
            match elements.len() {
                1 => Some(id.clone()),
                _ => Some(format!("{id} ({})", elements[element].name)),
            }
        }
        Carrier::Wire { wire, .. } | Carrier::ShortToGround(wire) => Some(book.wire(wire).id.clone()),
        Carrier::Cavity { connector, cavity } => Some(end(book, End::Cavity { connector, cavity, side: 0 })),
        Carrier::Bond(part) => Some(book.part(part).id.clone()),
        Carrier::Pin { .. } => None,
    };
    let mut names: Vec<String> = carriers.filter_map(name).collect();
    names.dedup();
    names
}

pub fn why(book: &Book, why: &Why) -> String {
    match why {
        Why::Path(hops) => carriers(book, hops.iter().map(|hop| hop.carrier)).join(" → "),
        Why::Gap { feed, within, ground } => {
            // A part that is taken out is open at its pins.
            let place = |place: Carrier| match place {
                Carrier::Pin { part, terminal } => vec![end(book, End::Terminal { part, terminal })],
                other => carriers(book, [other].into_iter()),
            };
            let mut told = Vec::new();
            for (open, no_way, stops) in [
                ("why.feed", "why.no-feed", feed.clone()),
                ("why.within", "", within.iter().copied().collect()),
                ("why.ground", "why.no-ground", ground.clone()),
            ] {
                let mut places = Vec::new();
                let mut others = Vec::new();
                for stop in stops {
                    match stop {
                        Stop::Open(carrier) => places.extend(place(carrier)),
                        Stop::Blocks(carrier) => {
                            others.push(fill("why.blocks", &[("diode", &place(carrier).concat())]))
                        }
                        Stop::NoWay { part, terminal } => {
                            let terminal = end(book, End::Terminal { part, terminal });
                            others.push(fill(no_way, &[("terminal", &terminal)]));
                        }
                    }
                }
                places.dedup();
                if !places.is_empty() {
                    told.push(fill(open, &[("open", &places.join(", "))]));
                }
                told.extend(others);
            }
            if told.is_empty() { text("why.none").to_string() } else { told.join("; ") }
        }
    }
}

/// The builds that have something: none when all do; by one choice where this tells them from the others.
pub fn only(book: &Book, fitted: &[bool]) -> Option<String> {
    if !fitted.contains(&false) {
        return None;
    }
    for (group, options) in book.options.iter().enumerate() {
        for (choice, name) in options.choices.iter().enumerate() {
            let has = book.builds.iter().map(|build| usize::from(build.choices[group]) == choice);
            if has.eq(fitted.iter().copied()) {
                return Some(format!("{}: {name}", options.name));
            }
        }
    }
    let having = (0..fitted.len()).filter(|&build| fitted[build]);
    let names: Vec<String> = having.map(|build| book.build_name(BuildId(build as u32))).collect();
    Some(names.join("; "))
}

/// The mark of these builds behind what only they have.
pub fn only_mark(book: &Book, fitted: &[bool]) -> Option<String> {
    only(book, fitted).map(|builds| fill("build.only", &[("builds", &builds)]))
}

/// The same for a script: the builds' numbers.
pub fn fit(fitted: &[bool]) -> Option<String> {
    let having = (0..fitted.len()).filter(|&build| fitted[build]);
    let numbers: Vec<String> = having.map(|build| build.to_string()).collect();
    (numbers.len() < fitted.len()).then(|| numbers.join(" "))
}

/// A color by its letters' names.
pub fn color(color: &Color) -> String {
    let base = text(&format!("color.{}", color.base.letters));
    match color.stripe {
        None => base.to_string(),
        Some(stripe) => {
            let stripe = text(&format!("color.{}", stripe.letters));
            fill("color.striped", &[("base", base), ("stripe", stripe)])
        }
    }
}
