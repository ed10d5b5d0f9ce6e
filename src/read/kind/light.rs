//! Turns lamps and light-emitting diodes into filaments and junctions that a person sees.

use super::maker::Maker;
use crate::book::Action;
use crate::finding::{Code, Finding};
use crate::quantity::{Ampere, Dimension, Ohm, Volt, Watt};

/// One filament between 1 and 2, or several by name, each with its pins and rating.
pub fn lamp(maker: &mut Maker) {
    let Some(filaments) = maker.table.table("filaments", maker.log) else {
        let pins = maker.pins(("1", "2"));
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
        let pins = maker.pins_of(&table, "pins = \"56b-31\"");
        let action = filament(maker, Some((&table, &name.value)));
        table.close(maker.log);
        if let (Some(pins), Some(action)) = (pins, action) {
            maker.element(&name, pins, action);
        }
    }
}

fn filament(maker: &mut Maker, of: Option<(&crate::read::table::Table, &str)>) -> Option<Action> {
    let (volts, watts) = match of {
        Some((table, name)) => maker.rating(table, Dimension::Power, &format!("{name} rating"))?,
        None => maker.rating(maker.table, Dimension::Power, "rating")?,
    };
    Some(Action::Filament { volts: Volt(volts), watts: Watt(watts) })
}

/// Anode 1, cathode 2. `rating` gives the voltage at which the current flows, from which the series resistor follows unless
/// `resistor` is given.
pub fn led(maker: &mut Maker) {
    let pins = maker.pins(("1", "2"));
    let drop = maker.given("drop", Dimension::Potential).unwrap_or(2.0);
    let rating = match maker.table.get("rating") {
        Some(_) => maker.rating(maker.table, Dimension::Current, "rating"),
        None => None,
    };
    let resistor = maker.given("resistor", Dimension::Resistance);
    let current = maker.given("current", Dimension::Current);
    let amps = rating.map(|(_, amps)| amps).or(current).unwrap_or(0.020);
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
