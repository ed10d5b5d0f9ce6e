//! Turns a kind of part and what an element of it does into a graphical symbol after IEC 60617, on a grid of 5 units.
//!
//! Every symbol stands on a vertical line through its origin: its pins are straight above and below. It is drawn with the
//! element's first terminal at the top; a symbol with a direction is turned over where the element stands the other way.

mod set;

pub(super) use set::{BLIND, CAVITY, DOT, DOT_ASIDE, FLAG_DOWN, FLAG_UP, GROUND, OPEN_END};

use crate::book::{Action, Effect, Face, Kind, Part, Resistance};

/// A symbol: its strokes around the origin and the box that they fill.
#[derive(Debug, PartialEq)]
pub struct Symbol {
    /// What it shows, in words.
    pub name: &'static str,
    /// Distances from the origin to the pins, which are also the ends of the box.
    pub up: f64,
    pub down: f64,
    /// Distances from the origin to the sides of the box.
    pub left: f64,
    pub right: f64,
    pub strokes: &'static [Stroke],
}

/// One stroke of a symbol, as path data or a letter.
#[derive(Debug, PartialEq)]
pub enum Stroke {
    Line(&'static str),
    /// Filled with the line's color.
    Solid(&'static str),
    /// Filled with the paper's color.
    Hollow(&'static str),
    /// Drawn while the contact is open.
    Open(&'static str),
    /// Drawn while the contact is made.
    Made(&'static str),
    /// Drawn while a lamp lights, a motor turns, a sounder sounds.
    Active(&'static str),
    /// A letter centered at a point, with its size.
    Letter(f64, f64, f64, &'static str),
}

/// The symbol of an element; `suppressed` is the element drawn beside a coil, and `made` how a contact is drawn.
pub(super) fn symbol(part: &Part, element: usize, suppressed: Option<usize>, made: bool) -> &'static Symbol {
    let boxed = matches!(part.kind, Kind::Module);
    let main = &part.elements[element];
    match &main.action {
        Action::Source { .. } if part.kind == Kind::Alternator => &set::ALTERNATOR,
        Action::Source { .. } => &set::BATTERY,
        Action::Contact { .. } => match (boxed, made) {
            (true, true) => &set::MODULE_BREAK,
            (true, false) => &set::MODULE_MAKE,
            (false, true) => &set::BREAK,
            (false, false) => &set::MAKE,
        },
        Action::Link { .. } => match part.kind {
            Kind::FusibleLink => &set::FUSIBLE_LINK,
            Kind::Breaker => &set::BREAKER,
            _ => &set::FUSE,
        },
        Action::Resistor { .. } if boxed => &set::MODULE_INPUT,
        Action::Resistor { ohms } => match (part.kind, ohms) {
            (Kind::Thermistor, _) => &set::THERMISTOR,
            (Kind::Shunt, _) => &set::SHUNT,
            (_, Resistance::Follows { .. }) => &set::VARIABLE_RESISTOR,
            _ => &set::RESISTOR,
        },
        Action::Coil { effect, .. } => {
            let beside = suppressed.map(|index| &part.elements[index]);
            match (beside.map(|element| (&element.action, element.a == main.a)), effect) {
                (Some((Action::Diode { .. }, true)), _) => &set::COIL_DIODE_DOWN,
                (Some((Action::Diode { .. }, false)), _) => &set::COIL_DIODE_UP,
                (Some(_), _) => &set::COIL_RESISTOR,
                (None, Effect::Set) => &set::SET_COIL,
                (None, Effect::Reset) => &set::RESET_COIL,
                (None, Effect::Hold) if part.kind == Kind::Timer => &set::DELAY_COIL,
                (None, Effect::Hold) => &set::COIL,
            }
        }
        Action::Filament { .. } => &set::LAMP,
        Action::Led { .. } => &set::LED,
        Action::Diode { breakdown: None } => &set::DIODE,
        Action::Diode { breakdown: Some(_) } => &set::ZENER,
        Action::Load { face, .. } => match face {
            Face::Lamp => &set::LAMP,
            Face::Sounder if part.kind == Kind::Horn => &set::HORN,
            Face::Sounder => &set::BUZZER,
            Face::Motor { .. } => &set::MOTOR,
            Face::Starter => &set::STARTER,
            Face::Heater => &set::HEATER,
            Face::Valve => &set::VALVE,
            Face::Gauge { .. } => &set::GAUGE,
        },
        Action::Flasher { .. } => &set::FLASHER,
        Action::Capacitor { .. } => &set::CAPACITOR,
    }
}

/// Every symbol of the set, for tests and for the page that explains them.
pub fn all() -> impl Iterator<Item = &'static Symbol> {
    set::ALL.iter().copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::Kind;
    use std::collections::BTreeSet;

    /// The box around path data of the commands that symbols use; an arc counts with its end points and its radius is
    /// given by the box of the whole.
    fn extent(data: &str) -> [f64; 4] {
        let mut tokens = Vec::new();
        for c in data.chars() {
            if c.is_ascii_alphabetic() {
                tokens.push(format!(" {c} "));
            } else {
                tokens.push(c.to_string());
            }
        }
        let text = tokens.concat();
        let mut words = text.split_whitespace().peekable();
        let (mut x, mut y, mut start) = (0.0, 0.0, (0.0, 0.0));
        let mut frame = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        let mut command = "";
        while let Some(&word) = words.peek() {
            if word.chars().all(|c| c.is_ascii_alphabetic()) {
                command = word;
                words.next();
                if command == "Z" {
                    (x, y) = start;
                    continue;
                }
            }
            let mut next = || words.next().unwrap().parse::<f64>().unwrap();
            match command {
                "M" => {
                    (x, y) = (next(), next());
                    start = (x, y);
                }
                "L" => (x, y) = (next(), next()),
                "H" => x = next(),
                "V" => y = next(),
                "C" => {
                    for _ in 0..4 {
                        next();
                    }
                    (x, y) = (next(), next());
                }
                "A" => {
                    for _ in 0..5 {
                        next();
                    }
                    (x, y) = (next(), next());
                }
                other => panic!("symbols do not use {other}"),
            }
            frame = [frame[0].min(x), frame[1].min(y), frame[2].max(x), frame[3].max(y)];
        }
        frame
    }

    #[test]
    fn every_stroke_lies_in_its_symbols_box() {
        for symbol in all() {
            for stroke in symbol.strokes {
                let data = match stroke {
                    Stroke::Letter(x, y, size, _) => {
                        assert!(x.abs() + size * 0.45 <= symbol.left.max(symbol.right), "{}", symbol.name);
                        assert!(*y <= symbol.down && y - size * 0.72 >= -symbol.up, "{}", symbol.name);
                        continue;
                    }
                    Stroke::Line(data)
                    | Stroke::Solid(data)
                    | Stroke::Hollow(data)
                    | Stroke::Open(data)
                    | Stroke::Made(data)
                    | Stroke::Active(data) => data,
                };
                let [left, top, right, bottom] = extent(data);
                let inside = left >= -symbol.left
                    && right <= symbol.right
                    && top >= -symbol.up
                    && bottom <= symbol.down;
                assert!(inside, "{}: {data}", symbol.name);
            }
        }
    }

    #[test]
    fn symbols_have_names_of_their_own_for_every_kind() {
        let names: BTreeSet<&str> = all().map(|symbol| symbol.name).collect();
        assert!(names.len() + 2 >= all().count(), "two coils with a diode share a name, nothing else does");
        assert!(names.len() >= Kind::ALL.len() - 4, "relays of all kinds share coil and contacts");
    }
}
