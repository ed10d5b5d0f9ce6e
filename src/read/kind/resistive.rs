//! Turns resistors, stepped resistors, senders and capacitors into passive elements.

use super::maker::{CONTACT, ENDS, Maker, PINS};
use crate::book::{Action, ControlRange, Resistance};
use crate::finding::{Code, Finding};
use crate::quantity::{Dimension, Ohm};
use crate::read::condition::States;
use crate::read::key::{Key, Takes};
use crate::read::table::{Table, amount, quantity_of};

/// What a resistor and a shunt have.
pub const RESISTOR: &[Key] = &[
    ENDS,
    Key::must("resistance", Takes::Quantity(Dimension::Resistance), r#""680 ohm""#, "Its resistance."),
];

/// What a stepped resistor has.
pub const STEPPED: &[Key] = &[
    Key::must(
        "steps",
        Takes::Each("two terminals", "1-2", &Takes::Quantity(Dimension::Resistance)),
        r#"{ "1-2" = "1.2 ohm", "2-3" = "0.6 ohm" }"#,
        "The resistors of the row: two terminals joined by a hyphen each, and the resistance between them.",
    ),
    CONTACT,
    Key::may(
        "cut-out",
        Takes::Table(CUT_OUT),
        "it has none",
        r#"{ pins = "3-4", when = "resistor above 140..160 degC" }"#,
        "A thermal cut-out of its own.",
    ),
];

const CUT_OUT: &[Key] = &[
    PINS,
    Key::must(
        "when",
        Takes::Condition,
        r#""resistor above 140..160 degC""#,
        "When it is open, by a control that stands for its temperature.",
    ),
];

/// What a thermistor and a sender have.
pub const SENDER: &[Key] = &[
    ENDS,
    Key::must(
        "follows",
        Takes::Text,
        r#""coolant""#,
        "The control with a range that moves it: a temperature, a level, an angle.",
    ),
    Key::must(
        "points",
        Takes::Each("a level of that control", "20 degC", &Takes::Quantity(Dimension::Resistance)),
        r#"{ "20 degC" = "2.5 kohm", "90 degC" = "240 ohm" }"#,
        "Its resistance at some levels; straight lines between them, and the ends held beyond.",
    ),
];

/// What a capacitor has.
pub const CAPACITOR: &[Key] = &[
    ENDS,
    Key::must(
        "capacitance",
        Takes::Quantity(Dimension::Capacitance),
        r#""470 uF""#,
        "Its capacitance; 10 farads at most.",
    ),
];

/// Terminals 1 and 2 and a `resistance`.
pub fn resistor(maker: &mut Maker) {
    let pins = maker.pins();
    if let Some(ohms) = maker.needed("resistance") {
        let ohms = Resistance::Fixed(Ohm(ohms));
        maker.element("resistor", pins, Action::Resistor { ohms });
    }
}

/// A row of resistors under `steps`, and a thermal `cut-out`.
pub fn stepped(maker: &mut Maker) {
    match maker.table.table("steps", maker.log) {
        Some(steps) => {
            for (name, value) in steps.entries() {
                let pair = maker.pair(&name);
                let ohms = quantity_of(
                    &value,
                    Dimension::Resistance,
                    &format!("the step `{}`", name.value),
                    maker.log,
                );
                let ohms = ohms.and_then(|amount| {
                    maker.fact(&format!("step {}", name.value), amount.to_string());
                    maker.positive(&amount)
                });
                if let (Some(pair), Some(ohms)) = (pair, ohms) {
                    let ohms = Resistance::Fixed(Ohm(ohms));
                    maker.element(&name, pair, Action::Resistor { ohms });
                }
            }
        }
        None => maker.table.missing("steps", maker.log),
    }
    let closed = maker.closed();
    if let Some(table) = maker.table.table("cut-out", maker.log) {
        let pins = maker.pins_of(&table);
        let opens = table.needed_text("when", maker.log);
        table.close(maker.log);
        let opens = opens.and_then(|text| {
            maker.fact("cut-out opens", text.value.clone());
            maker.condition(&text, States::None, None)
        });
        if let (Some(pins), Some(opens)) = (pins, opens) {
            let when = crate::book::Condition::Not(Box::new(opens));
            maker.element("cut-out", pins, Action::Contact { when, closed });
        }
    }
}

/// A resistance that follows a control: `points` gives ohms at some of its levels.
pub fn sender(maker: &mut Maker) {
    let pins = maker.pins();
    let written = maker.table.table("points", maker.log);
    let follows = maker.table.needed_text("follows", maker.log);
    if written.is_none() {
        maker.table.missing("points", maker.log);
    }
    let (Some(written), Some(follows)) = (written, follows) else {
        return;
    };
    let Some(&control) = maker.index.controls.get(&follows.value) else {
        if !maker.index.is_lost(&follows) {
            let known = maker.index.controls.keys().map(String::as_str);
            maker.log.unknown(Code::UnknownControl, follows.span, "control", &follows, known);
        }
        return;
    };
    maker.fact("follows", follows.value.clone());
    let ControlRange::Level(range) = maker.control(control).range.clone() else {
        let headline = format!("`{}` has positions, and a sender follows a level", follows.value);
        maker.log.error(Code::WrongType, follows.span, headline);
        return;
    };
    let points = points(maker, &written, range.low.unit.dimension);
    if !points.is_empty() {
        let ohms = Resistance::Follows { control, points };
        maker.element("resistor", pins, Action::Resistor { ohms });
    }
}

/// Ohms at levels of a dimension, by rising level.
fn points(maker: &mut Maker, table: &Table, dimension: Dimension) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    for (key, value) in table.entries() {
        let level = amount(&key, dimension, maker.log);
        let ohms = quantity_of(&value, Dimension::Resistance, "a sender's resistance", maker.log)
            .and_then(|found| Some((maker.positive(&found)?, found)));
        if let (Some(level), Some((ohms, written))) = (level, ohms) {
            maker.fact(&format!("at {}", level.value), written.to_string());
            points.push((level.value.value, ohms));
        }
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points
}

/// Terminals 1 and 2 and a `capacitance`.
pub fn capacitor(maker: &mut Maker) {
    let pins = maker.pins();
    if let Some(farads) = maker.needed("capacitance") {
        if farads > 10.0 {
            let place = maker.table.key_span("capacitance").unwrap_or(maker.table.place());
            let finding = Finding::new(Code::OutOfRange, place, "no vehicle carries such a capacitor");
            maker.log.push(finding.hint("microfarads are written `uF`"));
        }
        maker.element("capacitor", pins, Action::Capacitor { farads });
    }
}
