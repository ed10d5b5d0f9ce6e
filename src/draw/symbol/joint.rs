//! The symbols at the ends and joints of conductors: grounds, connector pins, splices, flags to other sheets.

use super::{Stroke::*, Symbol};

pub(super) const ALL: &[&Symbol] =
    &[&GROUND, &CAVITY, &DOT, &DOT_ASIDE, &OPEN_END, &FLAG_UP, &FLAG_DOWN, &BLIND];

pub(crate) static GROUND: Symbol = Symbol {
    name: "ground point",
    up: 10.0,
    down: 10.0,
    left: 10.0,
    right: 10.0,
    strokes: &[Line("M0 -10V0M-10 0H10M-6.5 5H6.5M-3 10H3")],
};

/// A socket over a pin.
pub(crate) static CAVITY: Symbol = Symbol {
    name: "connector cavity",
    up: 16.0,
    down: 16.0,
    left: 6.0,
    right: 6.0,
    strokes: &[Line("M0 -16V-6M-6 0A6 6 0 0 1 6 0M0 8V16"), Solid("M-2 -2H2V9H-2Z")],
};

pub(crate) static DOT: Symbol = Symbol {
    name: "splice",
    up: 3.0,
    down: 3.0,
    left: 3.0,
    right: 3.0,
    strokes: &[Solid("M-3 0A3 3 0 0 1 3 0A3 3 0 0 1 -3 0Z")],
};

/// A joint from which wires go on elsewhere.
pub(crate) static DOT_ASIDE: Symbol = Symbol {
    name: "joint with wires to another sheet",
    up: 3.0,
    down: 3.0,
    left: 3.0,
    right: 13.0,
    strokes: &[Solid("M-3 0A3 3 0 0 1 3 0A3 3 0 0 1 -3 0Z"), Line("M0 0H13M9.5 -2.5L13 0L9.5 2.5")],
};

pub(crate) static OPEN_END: Symbol = Symbol {
    name: "free terminal",
    up: 3.0,
    down: 3.0,
    left: 3.0,
    right: 3.0,
    strokes: &[Hollow("M-3 0A3 3 0 0 1 3 0A3 3 0 0 1 -3 0Z")],
};

/// A conductor that comes from another sheet.
pub(crate) static FLAG_UP: Symbol = Symbol {
    name: "from another sheet",
    up: 10.0,
    down: 10.0,
    left: 6.0,
    right: 6.0,
    strokes: &[Line("M0 0V10"), Hollow("M-6 -10H6L0 0Z")],
};

/// A conductor that goes on to another sheet.
pub(crate) static FLAG_DOWN: Symbol = Symbol {
    name: "to another sheet",
    up: 10.0,
    down: 10.0,
    left: 6.0,
    right: 6.0,
    strokes: &[Line("M0 -10V0"), Hollow("M-6 0H6L0 10Z")],
};

/// A terminal behind which the book tells of nothing.
pub(crate) static BLIND: Symbol = Symbol {
    name: "terminal of a part",
    up: 12.0,
    down: 10.0,
    left: 10.0,
    right: 10.0,
    strokes: &[Line("M0 -12V-4"), Line("M-10 10V-4H10V10")],
};
