//! The symbols of what a person sees, hears or feels work: lamps, motors, sounders, heaters, valves, gauges.

use super::{Stroke::*, Symbol};

pub(super) const ALL: &[&Symbol] = &[&LAMP, &MOTOR, &STARTER, &BUZZER, &HORN, &HEATER, &VALVE, &GAUGE];

pub(super) static LAMP: Symbol = Symbol {
    name: "lamp",
    up: 22.0,
    down: 22.0,
    left: 15.0,
    right: 15.0,
    strokes: &[
        Line("M0 -22V-10M0 10V22"),
        Hollow("M-10 0A10 10 0 0 1 10 0A10 10 0 0 1 -10 0Z"),
        Line("M-7 -7L7 7M7 -7L-7 7"),
        Active("M-11 -11L-8.5 -8.5M11 -11L8.5 -8.5M-11 11L-8.5 8.5M11 11L8.5 8.5M-15 0H-12M12 0H15"),
    ],
};

pub(super) static MOTOR: Symbol = Symbol {
    name: "motor",
    up: 24.0,
    down: 24.0,
    left: 16.0,
    right: 16.0,
    strokes: &[
        Line("M0 -24V-12M0 12V24"),
        Hollow("M-12 0A12 12 0 0 1 12 0A12 12 0 0 1 -12 0Z"),
        Letter(0.0, 5.0, 14.0, "M"),
        Active("M-15.5 4A16 16 0 0 1 -10 -12.5M-13.5 -13H-9.5V-9M15.5 -4A16 16 0 0 1 10 12.5M13.5 13H9.5V9"),
    ],
};

/// A motor with its brushes shown.
pub(super) static STARTER: Symbol = Symbol {
    name: "starter motor",
    up: 26.0,
    down: 26.0,
    left: 16.0,
    right: 16.0,
    strokes: &[
        Line("M0 -26V-15M0 15V26"),
        Hollow("M-12 0A12 12 0 0 1 12 0A12 12 0 0 1 -12 0Z"),
        Solid("M-4 -15H4V-11.5H-4ZM-4 11.5H4V15H-4Z"),
        Letter(0.0, 5.0, 14.0, "M"),
        Active("M-15.5 4A16 16 0 0 1 -10 -12.5M-13.5 -13H-9.5V-9M15.5 -4A16 16 0 0 1 10 12.5M13.5 13H9.5V9"),
    ],
};

pub(super) static BUZZER: Symbol = Symbol {
    name: "buzzer",
    up: 22.0,
    down: 22.0,
    left: 15.0,
    right: 4.0,
    strokes: &[
        Line("M0 -22V-10M0 10V22"),
        Hollow("M4 -10V10H0A10 10 0 0 1 0 -10Z"),
        Active("M-12.5 -6A14 14 0 0 0 -12.5 6M-11 -10L-8.5 -8M-11 10L-8.5 8"),
    ],
};

pub(super) static HORN: Symbol = Symbol {
    name: "horn",
    up: 22.0,
    down: 22.0,
    left: 15.0,
    right: 5.0,
    strokes: &[
        Line("M0 -22V-8M0 8V22"),
        Hollow("M-5 -8H5V8H-5Z"),
        Hollow("M-5 -4L-11 -10V10L-5 4Z"),
        Active("M-13 -5A12 12 0 0 0 -13 5M-15 -8A16 16 0 0 0 -15 8"),
    ],
};

pub(super) static HEATER: Symbol = Symbol {
    name: "heating element",
    up: 22.0,
    down: 22.0,
    left: 13.0,
    right: 13.0,
    strokes: &[
        Line("M0 -22V-12M0 12V22"),
        Hollow("M-6 -12H6V12H-6Z"),
        Line("M-6 -6H6M-6 0H6M-6 6H6"),
        Active("M-10 -9C-13 -5 -7 -3 -10 2M10 -9C7 -5 13 -3 10 2"),
    ],
};

/// An actuating coil with the valve that it moves.
pub(super) static VALVE: Symbol = Symbol {
    name: "solenoid valve",
    up: 22.0,
    down: 22.0,
    left: 12.0,
    right: 26.0,
    strokes: &[
        Line("M0 -22V-8M0 8V22M12 0H15"),
        Hollow("M-12 -8H12V8H-12Z"),
        Line("M-12 8L12 -8"),
        Hollow("M15 -5L26 5V-5L15 5Z"),
        Active("M-9 -12H9M-9 12H9"),
    ],
};

pub(super) static GAUGE: Symbol = Symbol {
    name: "gauge",
    up: 22.0,
    down: 22.0,
    left: 14.0,
    right: 14.0,
    strokes: &[
        Line("M0 -22V-11M0 11V22"),
        Hollow("M-11 0A11 11 0 0 1 11 0A11 11 0 0 1 -11 0Z"),
        Line("M-5 6L5 -6"),
        Solid("M6.5 -7.8L5.6 -2.8L1.9 -5.9Z"),
        Active("M-14 0A14 14 0 0 1 0 -14"),
    ],
};
