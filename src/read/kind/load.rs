//! Turns loads that a person hears, feels or sees move into resistances with a face.

use super::maker::{ENDS, Maker, ends};
use crate::book::{Action, Face};
use crate::finding::Code;
use crate::quantity::{Amount, Dimension, Ohm, Volt};
use crate::read::key::{Key, Takes};
use crate::read::table::{amount, text_of};
use crate::source::Placed;

/// Voltage at which a gauge's movement is rated; its reading follows its current, not this.
const GAUGE_VOLTS: f64 = 12.0;

const RATING: Key = Key::must(
    "rating",
    Takes::Rating(Dimension::Power),
    r#""12 V 45 W""#,
    "The voltage it is made for, and what it takes at it.",
);

/// What a load has that is rated in volts and watts.
pub const LOAD: &[Key] = &[ENDS, RATING];

/// What a motor has.
pub const MOTOR: &[Key] = &[
    ENDS,
    RATING,
    Key::may(
        "reversible",
        Takes::Flag,
        "it turns one way, whichever way it is fed",
        "true",
        "Whether it turns the other way when it is fed backwards.",
    ),
];

/// What a starter motor has.
pub const STARTER: &[Key] = &[ends("30-31", "DIN 72552"), RATING];

/// What a gauge has.
pub const GAUGE: &[Key] = &[
    ENDS,
    Key::must(
        "resistance",
        Takes::Quantity(Dimension::Resistance),
        r#""65 ohm""#,
        "Resistance of its movement.",
    ),
    Key::must(
        "scale",
        Takes::Each("a current", "20 mA", &Takes::Text),
        r#"{ "20 mA" = "40 degC", "90 mA" = "120 degC" }"#,
        "What it reads at some currents, two or more, in any unit.",
    ),
];

/// A motor: one that may turn either way is `reversible`.
pub fn motor(maker: &mut Maker) {
    let reversible = maker.table.flag("reversible", maker.log);
    load(maker, Face::Motor { reversible });
}

/// A load that is rated in volts and watts, from which the running resistance follows: volts squared over watts.
pub fn load(maker: &mut Maker, face: Face) {
    let pins = maker.pins();
    let Some((volts, watts)) = maker.rating(maker.table, "rating") else {
        return;
    };
    let name = match face {
        Face::Motor { .. } | Face::Starter => "winding",
        Face::Valve => "coil",
        _ => maker.part.kind.word(),
    };
    let action = Action::Load { ohms: Ohm(volts * volts / watts), rated: Volt(volts), face };
    maker.element(name, pins, action);
}

/// A pointer that follows its current: `scale` gives its reading at some currents.
pub fn gauge(maker: &mut Maker) {
    let pins = maker.pins();
    let resistance = maker.needed("resistance");
    let before = maker.log.count();
    let mut scale: Vec<(f64, Amount)> = Vec::new();
    if let Some(table) = maker.table.table("scale", maker.log) {
        for (key, value) in table.entries() {
            let at = amount(&key, Dimension::Current, maker.log);
            let reading =
                text_of(&value, "a reading", maker.log).and_then(|text| reading(maker, &text, &scale));
            if let (Some(at), Some(reading)) = (at, reading) {
                maker.fact(&format!("reads at {}", at.value), reading.to_string());
                scale.push((at.value.value, reading));
            }
        }
    }
    scale.sort_by(|a, b| a.0.total_cmp(&b.0));
    if scale.len() < 2 {
        if maker.log.count() == before {
            maker.table.missing("scale", maker.log);
        }
        return;
    }
    let Some(resistance) = resistance else { return };
    let action =
        Action::Load { ohms: Ohm(resistance), rated: Volt(GAUGE_VOLTS), face: Face::Gauge { scale } };
    maker.element("movement", pins, action);
}

/// A reading in any unit, the same dimension as those before it.
fn reading(maker: &Maker, text: &Placed<String>, before: &[(f64, Amount)]) -> Option<Amount> {
    let dimension = match (before.first(), Amount::parse(text)) {
        (Some((_, first)), _) => first.unit.dimension,
        (None, Ok(found)) => found.unit.dimension,
        (None, Err(problem)) => {
            maker.log.error(Code::WrongUnit, text.span, format!("a gauge's reading: {problem}"));
            return None;
        }
    };
    amount(text, dimension, maker.log).map(|found| found.value)
}
