//! The symbols of what opens above its rating: fuses, fusible links and circuit breakers.

use super::{Stroke::*, Symbol};

pub(super) const ALL: &[&Symbol] = &[&FUSE, &FUSIBLE_LINK, &BREAKER];

pub(super) static FUSE: Symbol = Symbol {
    name: "fuse",
    up: 22.0,
    down: 22.0,
    left: 5.0,
    right: 5.0,
    strokes: &[Hollow("M-5 -12H5V12H-5Z"), Line("M0 -22V22")],
};

/// A fuse that is a length of wire.
pub(super) static FUSIBLE_LINK: Symbol = Symbol {
    name: "fusible link",
    up: 22.0,
    down: 22.0,
    left: 7.0,
    right: 7.0,
    strokes: &[Hollow("M-7 -12H7V12H-7Z"), Line("M0 -22V-12C-8 -8 -8 -4 0 0C8 4 8 8 0 12V22")],
};

/// A contact with the mark of a circuit breaker and of a thermal release.
pub(super) static BREAKER: Symbol = Symbol {
    name: "circuit breaker",
    up: 22.0,
    down: 22.0,
    left: 14.0,
    right: 4.0,
    strokes: &[
        Line("M0 -22V-8M0 10V22M0 10L-2 -8M-4 -12L4 -4M4 -12L-4 -4"),
        Line("M-1.5 1H-7M-14 -5H-7V-2M-14 7H-7V4M-7 -2H-11V4H-7"),
    ],
};
