//! Turns pen strokes into the set of symbols, each a few lines of one table.

use super::{Stroke::*, Symbol};

/// Declares symbols: what each is, in words; the distances from its origin to the top, the bottom, the left and the right of its
/// box; and its strokes. A symbol with a direction is drawn as its element counts: anode, or a source's minus, at the top.
macro_rules! symbols {
    ($($(#[$about:meta])* $name:ident: $words:literal
        [$up:literal, $down:literal, $left:literal, $right:literal] $($stroke:expr),+;)+) => {
        $($(#[$about])* pub(in crate::draw) static $name: Symbol = Symbol {
            name: $words,
            up: $up as f64,
            down: $down as f64,
            left: $left as f64,
            right: $right as f64,
            strokes: &[$($stroke),+],
        };)+

        pub(super) const ALL: &[&Symbol] = &[$(&$name),+];
    };
}

symbols! {
    // Contacts: make and break contacts as drawn at rest, and the flasher.

    /// Open at rest.
    MAKE: "make contact" [22, 22, 10, 2] Line("M0 -22V-8M0 10V22"), Open("M0 10L-9 -9"), Made("M0 10L-1 -8");
    /// Made at rest: the blade touches a stop beside the line.
    BREAK: "break contact" [22, 22, 14, 2]
        Line("M0 -22V-8H-9M0 10V22"), Made("M0 10L-9 -12"), Open("M0 10L-13 -4");
    /// A switched output of a module, open at rest.
    MODULE_MAKE: "module output, open at rest" [20, 20, 32, 12]
        Hollow("M-32 -20H12V20H-32Z"), Line("M0 -20V-8M0 10V20"), Open("M0 10L-9 -9"), Made("M0 10L-1 -8");
    /// A switched output of a module, made at rest.
    MODULE_BREAK: "module output, made at rest" [20, 20, 32, 12]
        Hollow("M-32 -20H12V20H-32Z"), Line("M0 -20V-8H-9M0 10V20"), Made("M0 10L-9 -12"),
        Open("M0 10L-13 -4");
    FLASHER: "flasher unit" [22, 22, 13, 13]
        Line("M0 -22V-10M0 10V22M-9 4H-6V-4H-2V4H2V-4H6V4H9"), Line("M-13 -10H13V10H-13Z");

    // What stands at the ends and joints of conductors: grounds, connector pins, splices, flags to other sheets.

    GROUND: "ground point" [10, 10, 10, 10] Line("M0 -10V0M-10 0H10M-6.5 5H6.5M-3 10H3");
    /// A socket over a pin.
    CAVITY: "connector cavity" [16, 16, 6, 6]
        Line("M0 -16V-6M-6 0A6 6 0 0 1 6 0M0 8V16"), Solid("M-2 -2H2V9H-2Z");
    DOT: "splice" [3, 3, 3, 3] Solid("M-3 0A3 3 0 0 1 3 0A3 3 0 0 1 -3 0Z");
    /// A joint from which wires go on elsewhere.
    DOT_ASIDE: "joint with wires to another sheet" [3, 3, 3, 13]
        Solid("M-3 0A3 3 0 0 1 3 0A3 3 0 0 1 -3 0Z"), Line("M0 0H13M9.5 -2.5L13 0L9.5 2.5");
    OPEN_END: "free terminal" [3, 3, 3, 3] Hollow("M-3 0A3 3 0 0 1 3 0A3 3 0 0 1 -3 0Z");
    /// A conductor that comes from another sheet.
    FLAG_UP: "from another sheet" [10, 10, 6, 6] Line("M0 0V10"), Hollow("M-6 -10H6L0 0Z");
    /// A conductor that goes on to another sheet.
    FLAG_DOWN: "to another sheet" [10, 10, 6, 6] Line("M0 -10V0"), Hollow("M-6 0H6L0 10Z");
    /// A terminal behind which the book tells of nothing.
    BLIND: "terminal of a part" [12, 10, 10, 10] Line("M0 -12V-4"), Line("M-10 10V-4H10V10");

    // What a person sees, hears or feels work: lamps, motors, sounders, heaters, valves, gauges.

    LAMP: "lamp" [22, 22, 15, 15]
        Line("M0 -22V-10M0 10V22"), Hollow("M-10 0A10 10 0 0 1 10 0A10 10 0 0 1 -10 0Z"),
        Line("M-7 -7L7 7M7 -7L-7 7"),
        Active("M-11 -11L-8.5 -8.5M11 -11L8.5 -8.5M-11 11L-8.5 8.5M11 11L8.5 8.5M-15 0H-12M12 0H15");
    MOTOR: "motor" [24, 24, 16, 16]
        Line("M0 -24V-12M0 12V24"), Hollow("M-12 0A12 12 0 0 1 12 0A12 12 0 0 1 -12 0Z"),
        Letter(0.0, 5.0, 14.0, "M"),
        Active("M-15.5 4A16 16 0 0 1 -10 -12.5M-13.5 -13H-9.5V-9M15.5 -4A16 16 0 0 1 10 12.5M13.5 13H9.5V9");
    /// A motor with its brushes shown.
    STARTER: "starter motor" [26, 26, 16, 16]
        Line("M0 -26V-15M0 15V26"), Hollow("M-12 0A12 12 0 0 1 12 0A12 12 0 0 1 -12 0Z"),
        Solid("M-4 -15H4V-11.5H-4ZM-4 11.5H4V15H-4Z"), Letter(0.0, 5.0, 14.0, "M"),
        Active("M-15.5 4A16 16 0 0 1 -10 -12.5M-13.5 -13H-9.5V-9M15.5 -4A16 16 0 0 1 10 12.5M13.5 13H9.5V9");
    BUZZER: "buzzer" [22, 22, 15, 4]
        Line("M0 -22V-10M0 10V22"), Hollow("M4 -10V10H0A10 10 0 0 1 0 -10Z"),
        Active("M-12.5 -6A14 14 0 0 0 -12.5 6M-11 -10L-8.5 -8M-11 10L-8.5 8");
    HORN: "horn" [22, 22, 15, 5]
        Line("M0 -22V-8M0 8V22"), Hollow("M-5 -8H5V8H-5Z"), Hollow("M-5 -4L-11 -10V10L-5 4Z"),
        Active("M-13 -5A12 12 0 0 0 -13 5M-15 -8A16 16 0 0 0 -15 8");
    HEATER: "heating element" [22, 22, 13, 13]
        Line("M0 -22V-12M0 12V22"), Hollow("M-6 -12H6V12H-6Z"), Line("M-6 -6H6M-6 0H6M-6 6H6"),
        Active("M-10 -9C-13 -5 -7 -3 -10 2M10 -9C7 -5 13 -3 10 2");
    /// An actuating coil with the valve that it moves.
    VALVE: "solenoid valve" [22, 22, 12, 26]
        Line("M0 -22V-8M0 8V22M12 0H15"), Hollow("M-12 -8H12V8H-12Z"), Line("M-12 8L12 -8"),
        Hollow("M15 -5L26 5V-5L15 5Z"), Active("M-9 -12H9M-9 12H9");
    GAUGE: "gauge" [22, 22, 14, 14]
        Line("M0 -22V-11M0 11V22"), Hollow("M-11 0A11 11 0 0 1 11 0A11 11 0 0 1 -11 0Z"), Line("M-5 6L5 -6"),
        Solid("M6.5 -7.8L5.6 -2.8L1.9 -5.9Z"), Active("M-14 0A14 14 0 0 1 0 -14");

    // What opens above its rating: fuses, fusible links and circuit breakers.

    FUSE: "fuse" [22, 22, 5, 5] Hollow("M-5 -12H5V12H-5Z"), Line("M0 -22V22");
    /// A fuse that is a length of wire.
    FUSIBLE_LINK: "fusible link" [22, 22, 7, 7]
        Hollow("M-7 -12H7V12H-7Z"), Line("M0 -22V-12C-8 -8 -8 -4 0 0C8 4 8 8 0 12V22");
    /// A contact with the mark of a circuit breaker and of a thermal release.
    BREAKER: "circuit breaker" [22, 22, 14, 4]
        Line("M0 -22V-8M0 10V22M0 10L-2 -8M-4 -12L4 -4M4 -12L-4 -4"),
        Line("M-1.5 1H-7M-14 -5H-7V-2M-14 7H-7V4M-7 -2H-11V4H-7");

    // Resistors: fixed, measuring, following a temperature or a position, and inside a module.

    RESISTOR: "resistor" [22, 22, 5, 5] Line("M0 -22V-12M0 12V22"), Hollow("M-5 -12H5V12H-5Z");
    /// With separate terminals for current and voltage.
    SHUNT: "shunt" [22, 22, 5, 9] Line("M0 -22V-12M0 12V22M0 -15H9M0 15H9"), Hollow("M-5 -12H5V12H-5Z");
    THERMISTOR: "thermistor" [22, 22, 13, 10]
        Line("M0 -22V-12M0 12V22"), Hollow("M-5 -12H5V12H-5Z"), Line("M-13 10H-8L10 -10"),
        Letter(-9.0, -2.0, 8.0, "t");
    VARIABLE_RESISTOR: "variable resistor" [22, 22, 11, 11]
        Line("M0 -22V-12M0 12V22"), Hollow("M-5 -12H5V12H-5Z"), Line("M-11 11L8 -8"),
        Solid("M11 -11L8.7 -4.7L4.7 -8.7Z");
    /// An input or the supply of a module.
    MODULE_INPUT: "module input" [20, 20, 32, 12]
        Hollow("M-32 -20H12V20H-32Z"), Line("M0 -20V-10M0 10V20M-4 -10H4V10H-4Z");

    // Diodes and of the capacitor; anode at the top.

    DIODE: "diode" [22, 22, 8, 8] Line("M0 -22V22M-8 7H8"), Hollow("M-8 -7H8L0 7Z"), Line("M0 -7V7");
    ZENER: "zener diode" [22, 22, 8, 8] Line("M0 -22V22M-8 3V7H8"), Hollow("M-8 -7H8L0 7Z"), Line("M0 -7V7");
    LED: "light-emitting diode" [22, 22, 18, 13]
        Line("M0 -22V22M-8 7H8"), Hollow("M-8 -7H8L0 7Z"), Line("M0 -7V7M-9 -1L-14 -5M-9 5L-14 1"),
        Solid("M-17 -7.5L-12.5 -6.5L-15 -3.5ZM-17 -1.5L-12.5 -0.5L-15 2.5Z"),
        Active("M9 -5L12 -8M10 0H13M9 5L12 8");
    CAPACITOR: "capacitor" [22, 22, 10, 10] Line("M0 -22V-3M-10 -3H10M-10 3H10M0 3V22");

    // What drives current: battery and alternator; minus at the top, as an element counts.

    /// Cells; the long plate is plus.
    BATTERY: "battery" [24, 24, 12, 12]
        Line("M0 -24V-9M-12 -4H12M-12 9H12M0 9V24"), Solid("M-6 -10H6V-8H-6ZM-6 3H6V5H-6Z");
    ALTERNATOR: "alternator" [26, 26, 14, 14]
        Line("M0 -26V-14M0 14V26"), Hollow("M-14 0A14 14 0 0 1 14 0A14 14 0 0 1 -14 0Z"),
        Letter(0.0, 4.5, 13.0, "G");

    // Windings that move contacts: plain, latching, delayed, and with their suppression.

    COIL: "relay coil" [22, 22, 13, 13] Line("M0 -22V-8M0 8V22"), Hollow("M-13 -8H13V8H-13Z");
    SET_COIL: "coil that sets a latching relay" [22, 22, 13, 13]
        Line("M0 -22V-8M0 8V22"), Hollow("M-13 -8H13V8H-13Z"), Letter(0.0, 4.0, 11.0, "S");
    RESET_COIL: "coil that resets a latching relay" [22, 22, 13, 13]
        Line("M0 -22V-8M0 8V22"), Hollow("M-13 -8H13V8H-13Z"), Letter(0.0, 4.0, 11.0, "R");
    /// A coil that acts after a delay: a crossed compartment beside it.
    DELAY_COIL: "delay relay coil" [22, 22, 21, 13]
        Line("M0 -22V-8M0 8V22"), Hollow("M-21 -8H13V8H-21Z"), Line("M-13 -8V8M-21 -8L-13 8M-13 -8L-21 8");
    /// The diode conducts downwards.
    COIL_DIODE_DOWN: "relay coil with diode" [22, 22, 10, 22]
        Line("M0 -22V-8M0 8V22M0 -13H17V13H0M12 4H22"), Hollow("M-10 -8H7V8H-10Z"), Solid("M12 -4H22L17 4Z");
    /// The diode conducts upwards: its cathode is on the supply side.
    COIL_DIODE_UP: "relay coil with diode" [22, 22, 10, 22]
        Line("M0 -22V-8M0 8V22M0 -13H17V13H0M12 -4H22"), Hollow("M-10 -8H7V8H-10Z"), Solid("M12 4H22L17 -4Z");
    COIL_RESISTOR: "relay coil with resistor" [22, 22, 10, 20]
        Line("M0 -22V-8M0 8V22M0 -13H17V13H0"), Hollow("M-10 -8H7V8H-10Z"), Hollow("M14 -7H20V7H14Z");
}
