//! The symbols of contacts: make and break contacts as drawn at rest, and the flasher.

use super::{Stroke::*, Symbol};

pub(super) const ALL: &[&Symbol] = &[&MAKE, &BREAK, &BOXED_MAKE, &BOXED_BREAK, &FLASHER];

/// Open at rest.
pub(super) static MAKE: Symbol = Symbol {
    name: "make contact",
    up: 22.0,
    down: 22.0,
    left: 10.0,
    right: 2.0,
    strokes: &[Line("M0 -22V-8M0 10V22"), Open("M0 10L-9 -9"), Made("M0 10L-1 -8")],
};

/// Made at rest: the blade touches a stop beside the line.
pub(super) static BREAK: Symbol = Symbol {
    name: "break contact",
    up: 22.0,
    down: 22.0,
    left: 14.0,
    right: 2.0,
    strokes: &[Line("M0 -22V-8H-9M0 10V22"), Made("M0 10L-9 -12"), Open("M0 10L-13 -4")],
};

/// A switched output of a module, open at rest.
pub(super) static BOXED_MAKE: Symbol = Symbol {
    name: "module output, open at rest",
    up: 20.0,
    down: 20.0,
    left: 32.0,
    right: 12.0,
    strokes: &[
        Hollow("M-32 -20H12V20H-32Z"),
        Line("M0 -20V-8M0 10V20"),
        Open("M0 10L-9 -9"),
        Made("M0 10L-1 -8"),
    ],
};

/// A switched output of a module, made at rest.
pub(super) static BOXED_BREAK: Symbol = Symbol {
    name: "module output, made at rest",
    up: 20.0,
    down: 20.0,
    left: 32.0,
    right: 12.0,
    strokes: &[
        Hollow("M-32 -20H12V20H-32Z"),
        Line("M0 -20V-8H-9M0 10V20"),
        Made("M0 10L-9 -12"),
        Open("M0 10L-13 -4"),
    ],
};

pub(super) static FLASHER: Symbol = Symbol {
    name: "flasher unit",
    up: 22.0,
    down: 22.0,
    left: 13.0,
    right: 13.0,
    strokes: &[Line("M0 -22V-10M0 10V22M-9 4H-6V-4H-2V4H2V-4H6V4H9"), Line("M-13 -10H13V10H-13Z")],
};
