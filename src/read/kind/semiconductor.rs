//! Turns diodes and zener diodes into junctions.

use super::maker::{Maker, ends};
use crate::book::{Action, Kind};
use crate::quantity::{Dimension, Volt};
use crate::read::key::{Key, Takes};

const JUNCTION: Key = ends("A-K", "anode and cathode");

/// What a diode has.
pub const DIODE: &[Key] = &[JUNCTION];

/// What a zener diode has.
pub const ZENER: &[Key] = &[
    JUNCTION,
    Key::must(
        "breakdown",
        Takes::Quantity(Dimension::Potential),
        r#""18 V""#,
        "The voltage in reverse from which it conducts.",
    ),
];

/// Anode `A`, cathode `K`.
pub fn diode(maker: &mut Maker) {
    let pins = maker.pins();
    let breakdown = match maker.part.kind {
        Kind::Zener => match maker.needed("breakdown") {
            Some(volts) => Some(Volt(volts)),
            None => return,
        },
        _ => None,
    };
    maker.element("junction", pins, Action::Diode { breakdown });
}
