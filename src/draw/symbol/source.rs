//! The symbols of what drives current: battery and alternator; minus at the top, as an element counts.

use super::{Stroke::*, Symbol};

pub(super) const ALL: &[&Symbol] = &[&BATTERY, &ALTERNATOR];

/// Cells; the long plate is plus.
pub(super) static BATTERY: Symbol = Symbol {
    name: "battery",
    up: 24.0,
    down: 24.0,
    left: 12.0,
    right: 12.0,
    strokes: &[Line("M0 -24V-9M-12 -4H12M-12 9H12M0 9V24"), Solid("M-6 -10H6V-8H-6ZM-6 3H6V5H-6Z")],
};

pub(super) static ALTERNATOR: Symbol = Symbol {
    name: "alternator",
    up: 26.0,
    down: 26.0,
    left: 14.0,
    right: 14.0,
    strokes: &[
        Line("M0 -26V-14M0 14V26"),
        Hollow("M-14 0A14 14 0 0 1 14 0A14 14 0 0 1 -14 0Z"),
        Letter(0.0, 4.5, 13.0, "G"),
    ],
};
