//! The symbols of diodes and of the capacitor; anode at the top.

use super::{Stroke::*, Symbol};

pub(super) const ALL: &[&Symbol] = &[&DIODE, &ZENER, &LED, &CAPACITOR];

pub(super) static DIODE: Symbol = Symbol {
    name: "diode",
    up: 22.0,
    down: 22.0,
    left: 8.0,
    right: 8.0,
    strokes: &[Line("M0 -22V22M-8 7H8"), Hollow("M-8 -7H8L0 7Z"), Line("M0 -7V7")],
};

pub(super) static ZENER: Symbol = Symbol {
    name: "zener diode",
    up: 22.0,
    down: 22.0,
    left: 8.0,
    right: 8.0,
    strokes: &[Line("M0 -22V22M-8 3V7H8"), Hollow("M-8 -7H8L0 7Z"), Line("M0 -7V7")],
};

pub(super) static LED: Symbol = Symbol {
    name: "light-emitting diode",
    up: 22.0,
    down: 22.0,
    left: 18.0,
    right: 13.0,
    strokes: &[
        Line("M0 -22V22M-8 7H8"),
        Hollow("M-8 -7H8L0 7Z"),
        Line("M0 -7V7M-9 -1L-14 -5M-9 5L-14 1"),
        Solid("M-17 -7.5L-12.5 -6.5L-15 -3.5ZM-17 -1.5L-12.5 -0.5L-15 2.5Z"),
        Active("M9 -5L12 -8M10 0H13M9 5L12 8"),
    ],
};

pub(super) static CAPACITOR: Symbol = Symbol {
    name: "capacitor",
    up: 22.0,
    down: 22.0,
    left: 10.0,
    right: 10.0,
    strokes: &[Line("M0 -22V-3M-10 -3H10M-10 3H10M0 3V22")],
};
