//! The symbols of windings that move contacts: plain, latching, delayed, and with their suppression.

use super::{Stroke::*, Symbol};

pub(super) const ALL: &[&Symbol] =
    &[&COIL, &SET_COIL, &RESET_COIL, &DELAY_COIL, &COIL_DIODE_DOWN, &COIL_DIODE_UP, &COIL_RESISTOR];

pub(super) static COIL: Symbol = Symbol {
    name: "relay coil",
    up: 22.0,
    down: 22.0,
    left: 13.0,
    right: 13.0,
    strokes: &[Line("M0 -22V-8M0 8V22"), Hollow("M-13 -8H13V8H-13Z")],
};

pub(super) static SET_COIL: Symbol = Symbol {
    name: "coil that sets a latching relay",
    up: 22.0,
    down: 22.0,
    left: 13.0,
    right: 13.0,
    strokes: &[Line("M0 -22V-8M0 8V22"), Hollow("M-13 -8H13V8H-13Z"), Letter(0.0, 4.0, 11.0, "S")],
};

pub(super) static RESET_COIL: Symbol = Symbol {
    name: "coil that resets a latching relay",
    up: 22.0,
    down: 22.0,
    left: 13.0,
    right: 13.0,
    strokes: &[Line("M0 -22V-8M0 8V22"), Hollow("M-13 -8H13V8H-13Z"), Letter(0.0, 4.0, 11.0, "R")],
};

/// A coil that acts after a delay: a crossed compartment beside it.
pub(super) static DELAY_COIL: Symbol = Symbol {
    name: "delay relay coil",
    up: 22.0,
    down: 22.0,
    left: 21.0,
    right: 13.0,
    strokes: &[
        Line("M0 -22V-8M0 8V22"),
        Hollow("M-21 -8H13V8H-21Z"),
        Line("M-13 -8V8M-21 -8L-13 8M-13 -8L-21 8"),
    ],
};

/// The diode conducts downwards.
pub(super) static COIL_DIODE_DOWN: Symbol = Symbol {
    name: "relay coil with diode",
    up: 22.0,
    down: 22.0,
    left: 10.0,
    right: 22.0,
    strokes: &[
        Line("M0 -22V-8M0 8V22M0 -13H17V13H0M12 4H22"),
        Hollow("M-10 -8H7V8H-10Z"),
        Solid("M12 -4H22L17 4Z"),
    ],
};

/// The diode conducts upwards: its cathode is on the supply side.
pub(super) static COIL_DIODE_UP: Symbol = Symbol {
    name: "relay coil with diode",
    up: 22.0,
    down: 22.0,
    left: 10.0,
    right: 22.0,
    strokes: &[
        Line("M0 -22V-8M0 8V22M0 -13H17V13H0M12 -4H22"),
        Hollow("M-10 -8H7V8H-10Z"),
        Solid("M12 4H22L17 -4Z"),
    ],
};

pub(super) static COIL_RESISTOR: Symbol = Symbol {
    name: "relay coil with resistor",
    up: 22.0,
    down: 22.0,
    left: 10.0,
    right: 20.0,
    strokes: &[Line("M0 -22V-8M0 8V22M0 -13H17V13H0"), Hollow("M-10 -8H7V8H-10Z"), Hollow("M14 -7H20V7H14Z")],
};
