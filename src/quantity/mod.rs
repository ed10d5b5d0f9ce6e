//! Turns `"0.75 mm2"` and `"8..10 V"` into typed quantities and bands, and back: the only number printer.

mod amount;
mod band;
mod print;
mod unit;

pub use amount::{Amount, BadQuantity};
pub use band::Band;
pub use print::{number, percent, print, rounded, tenths};
pub use unit::{Dimension, Unit};

/// The typed quantities of the model, each in the SI unit of its name.
pub use uom::si::f64::{
    Area, ElectricCurrent as Ampere, ElectricPotential as Volt, ElectricalResistance as Ohm, Length as Meter,
    Power as Watt, Time as Second,
};
