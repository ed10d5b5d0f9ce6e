//! The symbols of resistors: fixed, measuring, following a temperature or a position, and inside a module.

use super::{Stroke::*, Symbol};

pub(super) const ALL: &[&Symbol] = &[&FIXED, &SHUNT, &THERMISTOR, &VARIABLE, &BOXED];

pub(super) static FIXED: Symbol = Symbol {
    name: "resistor",
    up: 22.0,
    down: 22.0,
    left: 5.0,
    right: 5.0,
    strokes: &[Line("M0 -22V-12M0 12V22"), Hollow("M-5 -12H5V12H-5Z")],
};

/// With separate terminals for current and voltage.
pub(super) static SHUNT: Symbol = Symbol {
    name: "shunt",
    up: 22.0,
    down: 22.0,
    left: 5.0,
    right: 9.0,
    strokes: &[Line("M0 -22V-12M0 12V22M0 -15H9M0 15H9"), Hollow("M-5 -12H5V12H-5Z")],
};

pub(super) static THERMISTOR: Symbol = Symbol {
    name: "thermistor",
    up: 22.0,
    down: 22.0,
    left: 13.0,
    right: 10.0,
    strokes: &[
        Line("M0 -22V-12M0 12V22"),
        Hollow("M-5 -12H5V12H-5Z"),
        Line("M-13 10H-8L10 -10"),
        Letter(-9.0, -2.0, 8.0, "t"),
    ],
};

pub(super) static VARIABLE: Symbol = Symbol {
    name: "variable resistor",
    up: 22.0,
    down: 22.0,
    left: 11.0,
    right: 11.0,
    strokes: &[
        Line("M0 -22V-12M0 12V22"),
        Hollow("M-5 -12H5V12H-5Z"),
        Line("M-11 11L8 -8"),
        Solid("M11 -11L8.7 -4.7L4.7 -8.7Z"),
    ],
};

/// An input or the supply of a module.
pub(super) static BOXED: Symbol = Symbol {
    name: "module input",
    up: 20.0,
    down: 20.0,
    left: 32.0,
    right: 12.0,
    strokes: &[Hollow("M-32 -20H12V20H-32Z"), Line("M0 -20V-10M0 10V20M-4 -10H4V10H-4Z")],
};
