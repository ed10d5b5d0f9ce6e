//! Turns batteries and alternators into sources.

use super::maker::Maker;
use crate::book::{Action, Condition, Resistance, Supply};
use crate::quantity::{Dimension, Ohm, Volt};
use crate::read::condition::States;
use crate::read::key::{Key, Takes};

/// What a battery has.
pub const BATTERY: &[Key] = &[
    Key::may(
        "voltage",
        Takes::Quantity(Dimension::Potential),
        "the parts list names none; what the battery gives is said in `manual.toml`, under `[proof]`",
        r#""12 V""#,
        "Its nominal voltage, for the parts list.",
    ),
    Key::usually(
        "internal",
        Takes::Quantity(Dimension::Resistance),
        ("10 mohm", "common practice, no source: a 12 V battery that gives 300 A at 9 V or more"),
        r#""5 mohm""#,
        "Its internal resistance.",
    ),
    Key::usually(
        "charge",
        Takes::Quantity(Dimension::Share),
        ("100 %", "the book is proved with a charged battery"),
        r#""60 %""#,
        "Its state of charge.",
    ),
];

/// What an alternator has.
pub const ALTERNATOR: &[Key] = &[
    Key::must(
        "voltage",
        Takes::Quantity(Dimension::Potential),
        r#""14.2 V""#,
        "The voltage that its regulator holds.",
    ),
    Key::must("when", Takes::Condition, r#""engine running""#, "When it is driven."),
    Key::usually(
        "internal",
        Takes::Quantity(Dimension::Resistance),
        ("30 mohm", "common practice, no source"),
        r#""20 mohm""#,
        "Its output resistance, with its regulator.",
    ),
    Key::may(
        "field",
        Takes::Text,
        "it gives current whenever it is driven",
        r#""D+""#,
        "The terminal that has to be fed before it gives anything, as through a charge lamp.",
    ),
];

/// Resistance of an alternator's field winding and its regulator together, in ohms (common practice, no source: a 3 W charge
/// lamp in series leaves between one and two volts at D+).
const FIELD: f64 = 8.0;

/// Volts of a resting 12 V lead-acid battery by state of charge in per cent (common practice, no source).
const CHARGE: &[(f64, f64)] = &[(0.0, 11.89), (25.0, 12.06), (50.0, 12.24), (75.0, 12.45), (100.0, 12.65)];

/// The resting voltage at a state of charge: straight lines between the rows, ends held.
fn open_circuit(percent: f64) -> f64 {
    let above = CHARGE.iter().position(|&(charge, _)| charge >= percent).unwrap_or(CHARGE.len() - 1).max(1);
    let ((x0, y0), (x1, y1)) = (CHARGE[above - 1], CHARGE[above]);
    let along = ((percent - x0) / (x1 - x0)).clamp(0.0, 1.0);
    y0 + along * (y1 - y0)
}

/// Terminals `-` and `+`. The electromotive force is the supply that the manual is proved over.
pub fn battery(maker: &mut Maker) {
    let minus = maker.terminal("-");
    let plus = maker.terminal("+");
    maker.given("voltage");
    let internal = maker.usual("internal");
    let charge = maker.usual("charge");
    let source = Action::Source {
        emf: Supply::Vehicle { share: open_circuit(charge) / open_circuit(100.0) },
        internal: Ohm(internal),
    };
    maker.element("cells", (minus, plus), source);
}

/// Terminals `31`, `B+`, `D+` and `DF` (DIN 72552). The field winding lies between `D+` and `31`; with `field = "D+"` the
/// machine gives nothing until that terminal is fed.
pub fn alternator(maker: &mut Maker) {
    let body = maker.terminal("31");
    let output = maker.terminal("B+");
    let exciter = maker.terminal("D+");
    maker.terminal("DF");
    let volts = Volt(maker.needed("voltage").unwrap_or(14.2));
    let internal = Ohm(maker.usual("internal"));
    let field = maker.table.text("field", maker.log).map(|name| maker.terminal(&name));
    let when = match maker.table.needed_text("when", maker.log) {
        Some(text) => maker.condition(&text, States::None, None).unwrap_or(Condition::Never),
        None => Condition::Never,
    };
    let regulated = |volts| Supply::Regulated { volts, when: when.clone(), field };
    let (main, small) = (regulated(volts), regulated(volts));
    maker.element("output", (body, output), Action::Source { emf: main, internal });
    let winding = Ohm(FIELD);
    // The exciter diodes give D+ the output's voltage once the machine runs: the charge lamp then has no voltage across it.
    maker.element("exciter", (body, exciter), Action::Source { emf: small, internal });
    maker.element("field", (exciter, body), Action::Resistor { ohms: Resistance::Fixed(winding) });
}

#[cfg(test)]
mod tests {
    use super::open_circuit;

    #[test]
    fn a_half_charged_battery_rests_lower() {
        assert_eq!(open_circuit(100.0), 12.65);
        assert!((open_circuit(50.0) - 12.24).abs() < 1e-9);
        assert!((open_circuit(60.0) - 12.324).abs() < 1e-9);
        assert_eq!(open_circuit(0.0), 11.89);
    }
}
