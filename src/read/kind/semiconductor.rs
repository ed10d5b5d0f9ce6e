//! Turns diodes and zener diodes into junctions.

use super::maker::Maker;
use crate::book::{Action, Kind};
use crate::quantity::{Dimension, Volt};

/// Anode `A`, cathode `K`.
pub fn diode(maker: &mut Maker) {
    let pins = maker.pins(("A", "K"));
    let breakdown = match maker.part.kind {
        Kind::Zener => match maker.needed("breakdown", Dimension::Potential) {
            Some(volts) => Some(Volt(volts)),
            None => return,
        },
        _ => None,
    };
    maker.element("junction", pins, Action::Diode { breakdown });
}
