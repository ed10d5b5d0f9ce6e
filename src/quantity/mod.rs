//! Turns `"0.75 mm2"` and `"8..10 V"` into typed quantities and bands, and back: the only number printer.

mod amount;
mod band;
mod print;
mod unit;

pub use amount::{Amount, BadQuantity};
pub use band::Band;
pub use print::{number, percent, print, rounded, tenths};
pub use unit::{Dimension, Unit};

/// Declares typed quantities: a number in the unit of the name. None is ever added to another.
macro_rules! typed {
    ($($name:ident),+) => {
        $(
            #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
            pub struct $name(pub f64);
        )+
    };
}

typed!(Volt, Ampere, Ohm, Watt, Meter);
