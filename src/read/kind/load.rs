//! Turns loads that a person hears, feels or sees move into resistances with a face.

use super::maker::Maker;
use crate::book::{Action, Face};
use crate::finding::Code;
use crate::quantity::{Amount, Dimension, Ohm, Volt};
use crate::read::table::{amount, text_of};
use crate::source::Placed;

/// Voltage at which a gauge's movement is rated; its reading follows its current, not this.
const GAUGE: f64 = 12.0;

/// A motor: one that may turn either way is `reversible`.
pub fn motor(maker: &mut Maker) {
    let reversible = maker.table.flag("reversible", maker.log);
    load(maker, Face::Motor { reversible });
}

/// A load that is rated in volts and watts: terminals 1 and 2 (a starter 30 and 31, DIN 72552) and a rating, from which the
/// running resistance follows: volts squared over watts.
pub fn load(maker: &mut Maker, face: Face) {
    let usual = if face == Face::Starter { ("30", "31") } else { ("1", "2") };
    let pins = maker.pins(usual);
    let Some((volts, watts)) = maker.rating(maker.table, Dimension::Power, "rating") else {
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
    let pins = maker.pins(("1", "2"));
    let resistance = maker.needed("resistance", Dimension::Resistance);
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
            let example = "scale = { \"20 mA\" = \"40 degC\", \"90 mA\" = \"120 degC\" }";
            maker.table.missing("scale", example, maker.log);
        }
        return;
    }
    let Some(resistance) = resistance else { return };
    let action = Action::Load { ohms: Ohm(resistance), rated: Volt(GAUGE), face: Face::Gauge { scale } };
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
