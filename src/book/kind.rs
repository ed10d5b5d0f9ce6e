//! The kinds of part, each with the word an author writes, and its letter after IEC 81346-2.

macro_rules! kinds {
    ($($variant:ident = $word:literal, $name:literal;)*) => {
        /// A kind of part.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum Kind { $(#[doc = $name] $variant,)* }

        impl Kind {
            /// Every kind, in the order of the table.
            pub const ALL: &[Kind] = &[$(Kind::$variant,)*];

            /// The word of a circuit file.
            pub fn word(self) -> &'static str {
                match self { $(Kind::$variant => $word,)* }
            }

            /// The name in a sentence.
            pub fn name(self) -> &'static str {
                match self { $(Kind::$variant => $name,)* }
            }
        }
    };
}

kinds! {
    Battery = "battery", "battery";
    Alternator = "alternator", "alternator";
    Fuse = "fuse", "fuse";
    FusibleLink = "fusible-link", "fusible link";
    Breaker = "breaker", "circuit breaker";
    Switch = "switch", "switch";
    Relay = "relay", "relay";
    LatchingRelay = "latching-relay", "latching relay";
    Contactor = "contactor", "contactor";
    Solenoid = "solenoid", "solenoid switch";
    Valve = "valve", "solenoid valve";
    Lamp = "lamp", "lamp";
    Led = "led", "light-emitting diode";
    Buzzer = "buzzer", "buzzer";
    Horn = "horn", "horn";
    Motor = "motor", "motor";
    Starter = "starter", "starter motor";
    Heater = "heater", "heater";
    Resistor = "resistor", "resistor";
    SteppedResistor = "stepped-resistor", "stepped resistor";
    Shunt = "shunt", "shunt";
    Diode = "diode", "diode";
    Zener = "zener", "zener diode";
    Thermistor = "thermistor", "thermistor";
    Sender = "sender", "sender";
    Gauge = "gauge", "gauge";
    Flasher = "flasher", "flasher unit";
    Timer = "timer", "delay relay";
    Capacitor = "capacitor", "capacitor";
    Module = "module", "control module";
    Splice = "splice", "splice";
    Ground = "ground", "ground point";
}
