//! Turns lamps and light-emitting diodes into filaments and junctions that a person sees.

use super::maker::{ENDS, Maker, PINS};
use crate::book::Action;
use crate::finding::{Code, Finding};
use crate::quantity::{Ampere, Dimension, Ohm, Volt, Watt};
use crate::read::key::{Key, Takes};
use crate::read::table::Table;

const RATING: Key = Key::must(
    "rating",
    Takes::Rating(Dimension::Power),
    r#""12 V 5 W""#,
    "The voltage it is made for, and what it takes at it; a filament takes up to ten times that while it is cold.",
);

/// What a lamp has.
pub const LAMP: &[Key] = &[
    ENDS,
    RATING,
    Key::instead(
        "filaments",
        "rating",
        Takes::Each("a filament's name", "low", &Takes::Table(&[PINS, RATING])),
        r#"{ low = { pins = "56b-31", rating = "12 V 55 W" }, high = { pins = "56a-31", rating = "12 V 60 W" } }"#,
        "Several filaments in one bulb, each under a name of yours: pages then say `H1.low`.",
    ),
];

/// What a light-emitting diode has.
pub const LED: &[Key] = &[
    ENDS,
    Key::usually(
        "drop",
        Takes::Quantity(Dimension::Potential),
        ("2 V", "a red one; common practice, no source"),
        r#""2.1 V""#,
        "Its own voltage when it is lit.",
    ),
    Key::may(
        "rating",
        Takes::Rating(Dimension::Current),
        "it is rated at 12 V",
        r#""12 V 20 mA""#,
        "The voltage it is made for, with its resistor, and the current that flows at it.",
    ),
    Key::may(
        "resistor",
        Takes::Quantity(Dimension::Resistance),
        "it follows from the rating",
        r#""470 ohm""#,
        "The resistor in series with it.",
    ),
    Key::usually(
        "current",
        Takes::Quantity(Dimension::Current),
        ("20 mA", "common practice, no source"),
        r#""15 mA""#,
        "The current at which it is fully lit, where no rating says so.",
    ),
];

/// One filament between 1 and 2, or several by name, each with its pins and rating.
pub fn lamp(maker: &mut Maker) {
    let Some(filaments) = maker.table.table("filaments", maker.log) else {
        let pins = maker.pins();
        if let Some(action) = filament(maker, None) {
            maker.element("filament", pins, action);
        }
        return;
    };
    for (name, value) in filaments.entries() {
        let what = format!("the filament `{}`", name.value);
        let Some(table) = filaments.inside(&value, name.span, what, maker.log) else {
            continue;
        };
        let pins = maker.pins_of(&table);
        let action = filament(maker, Some((&table, &name.value)));
        table.close(maker.log);
        if let (Some(pins), Some(action)) = (pins, action) {
            maker.element(&name, pins, action);
        }
    }
}

fn filament(maker: &mut Maker, of: Option<(&Table, &str)>) -> Option<Action> {
    let (volts, watts) = match of {
        Some((table, name)) => maker.rating(table, &format!("{name} rating"))?,
        None => maker.rating(maker.table, "rating")?,
    };
    Some(Action::Filament { volts: Volt(volts), watts: Watt(watts) })
}

/// `rating` gives the voltage at which the current flows, from which the series resistor follows unless
/// `resistor` is given.
pub fn led(maker: &mut Maker) {
    let pins = maker.pins();
    let drop = maker.usual("drop");
    let rating = match maker.table.get("rating") {
        Some(_) => maker.rating(maker.table, "rating"),
        None => None,
    };
    let resistor = maker.given("resistor");
    let current = maker.usual("current");
    let amps = rating.map_or(current, |(_, amps)| amps);
    let supply = rating.map_or(12.0, |(volts, _)| volts);
    if supply <= drop {
        let place = maker.table.key_span("rating").unwrap_or(maker.table.place());
        let finding =
            Finding::new(Code::OutOfRange, place, "the rated voltage does not exceed the diode's own drop");
        maker.log.push(finding);
        return;
    }
    let action = Action::Led {
        drop: Volt(drop),
        amps: Ampere(amps),
        resistor: Ohm(resistor.unwrap_or((supply - drop) / amps)),
    };
    maker.element("diode", pins, action);
}
