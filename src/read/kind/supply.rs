//! Turns batteries and alternators into sources.

use crate::book::{Action, Condition, Resistance, Supply};
use crate::quantity::{Dimension, Ohm, Volt};
use crate::read::condition::States;
use crate::read::part::Maker;
use uom::si::{electric_potential::volt, electrical_resistance::ohm};

/// Internal resistance of a healthy starter battery in ohms (common practice, no source: a 12 V battery that gives
/// 300 A at 9 V or more).
const BATTERY: f64 = 0.010;

/// Output resistance of an alternator with its regulator, in ohms (common practice, no source).
const ALTERNATOR: f64 = 0.030;

/// Resistance of an alternator's field winding in ohms (common practice, no source: about 3 A at 12 V).
const FIELD: f64 = 4.0;

/// Terminals `-` and `+`. The electromotive force is the supply that the manual is proved over.
pub fn battery(maker: &mut Maker) {
    let minus = maker.terminal("-");
    let plus = maker.terminal("+");
    maker.given("voltage", Dimension::Potential);
    let internal = maker.given("internal", Dimension::Resistance).unwrap_or(BATTERY);
    let source = Action::Source {
        emf: Supply::Vehicle,
        internal: Ohm::new::<ohm>(internal),
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
    let volts = Volt::new::<volt>(maker.needed("voltage", Dimension::Potential).unwrap_or(14.2));
    let internal = Ohm::new::<ohm>(
        maker
            .given("internal", Dimension::Resistance)
            .unwrap_or(ALTERNATOR),
    );
    let field = maker
        .table
        .text("field", maker.log)
        .map(|name| maker.terminal(&name));
    let when = match maker
        .table
        .needed_text("when", "when = \"engine running\"", maker.log)
    {
        Some(text) => maker
            .condition(&text, States::None, None)
            .unwrap_or(Condition::Never),
        None => Condition::Never,
    };
    let regulated = |volts| Supply::Regulated {
        volts,
        when: when.clone(),
        field,
    };
    let (main, small) = (regulated(volts), regulated(volts));
    maker.element("output", (body, output), Action::Source { emf: main, internal });
    let winding = Ohm::new::<ohm>(FIELD);
    // The exciter diodes give D+ the output's voltage once the machine runs: the charge lamp then has no voltage across it.
    maker.element(
        "exciter",
        (body, exciter),
        Action::Source { emf: small, internal },
    );
    maker.element(
        "field",
        (exciter, body),
        Action::Resistor {
            ohms: Resistance::Fixed(winding),
        },
    );
}
