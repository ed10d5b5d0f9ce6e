//! Turns the keys of each kind of part into terminals, elements, states and facts: one file for each group of kinds.

mod junction;
mod light;
mod load;
mod maker;
mod module;
mod protection;
mod resistive;
mod semiconductor;
mod supply;
mod switching;

use super::key::Key;
use crate::book::{Face, Kind};
pub use maker::Maker;

/// What an author may write of a kind.
pub struct Entry {
    /// What it stands for and how it behaves, in Markdown.
    pub tells: &'static str,
    /// Its keys, beside those of every part.
    pub keys: &'static [Key],
    /// An id such as it has.
    pub id: &'static str,
    /// Keys that an example of it has, beside those that it needs.
    pub shown: &'static [&'static str],
    /// Fills the part. What is wrong gets its finding, and the part keeps what could be read.
    pub(super) read: fn(&mut Maker),
}

impl Entry {
    /// The keys that an example of it has.
    pub fn example(&self) -> impl Iterator<Item = &'static Key> {
        self.keys.iter().filter(|key| key.is_needed() || self.shown.contains(&key.name))
    }
}

/// The one declaration of a kind.
pub fn entry(kind: Kind) -> Entry {
    let of =
        |id, shown, read: fn(&mut Maker), keys: &'static [Key], tells| Entry { tells, keys, id, shown, read };
    match kind {
        Kind::Battery => of(
            "BAT",
            &["internal"],
            supply::battery,
            supply::BATTERY,
            "The source of the vehicle. Its voltage is the supply that the book is proved over, from the low end to the \
             high one (`about manual`, under `proof`); two batteries in a book have the same.",
        ),
        Kind::Alternator => of(
            "GEN",
            &["field"],
            supply::alternator,
            supply::ALTERNATOR,
            "A regulated source that gives current while it is driven. At `D+` it gives its own voltage once it runs, so \
             that a charge lamp between `D+` and the battery goes out.",
        ),
        Kind::Fuse => of(
            "F1",
            &[],
            protection::link,
            protection::LINK,
            "A blade fuse. It opens above its rating, the sooner the more it carries, and stays open until it is replaced.",
        ),
        Kind::FusibleLink => of(
            "F1",
            &[],
            protection::link,
            protection::LINK,
            "A length of thin wire that melts above its rating, more slowly than a fuse.",
        ),
        Kind::Breaker => of(
            "Q1",
            &[],
            protection::link,
            protection::BREAKER,
            "A circuit breaker: it opens above its rating, and closes again by itself or by hand.",
        ),
        Kind::Switch => of(
            "S1",
            &[],
            switching::switch,
            switching::SWITCH,
            "Contacts that a control moves, or a pressure, a temperature, a door: each pair of terminals is connected \
             under a condition of its own. One switch may have many contacts.",
        ),
        Kind::Relay => of(
            "K1",
            &[],
            switching::relay,
            switching::RELAY,
            "A coil that moves contacts. It pulls in when enough current flows through the coil, whichever way, and \
             falls back when too little does.",
        ),
        Kind::LatchingRelay => of(
            "K1",
            &[],
            switching::latching_relay,
            switching::LATCHING,
            "A relay with two windings that stays where it was put when nothing is energized. With both energized it is set.",
        ),
        Kind::Contactor => of("K1", &[], switching::relay, switching::RELAY, "A relay for large currents."),
        Kind::Solenoid => of(
            "K1",
            &[],
            switching::solenoid,
            switching::SOLENOID,
            "A starter's solenoid switch: the pull-in winding lies in series with the motor and carries nothing more once the \
             contact is made; the hold winding keeps it in. Fed backwards through the contact, the two cancel.",
        ),
        Kind::Valve => of(
            "Y1",
            &[],
            |maker| load::load(maker, Face::Valve),
            load::LOAD,
            "A valve that a coil moves: it is heard or felt to act.",
        ),
        Kind::Lamp => of(
            "H1",
            &[],
            light::lamp,
            light::LAMP,
            "A filament lamp. Cold it has a tenth of its hot resistance, and its light follows its voltage steeply: \
             below rated voltage it is `dim` long before it is dark.",
        ),
        Kind::Led => of(
            "H1",
            &["rating"],
            light::led,
            light::LED,
            "A light-emitting diode with its resistor, anode first. It is lit one way only.",
        ),
        Kind::Buzzer => {
            of("B1", &[], |maker| load::load(maker, Face::Sounder), load::LOAD, "A buzzer: it is heard.")
        }
        Kind::Horn => {
            of("B1", &[], |maker| load::load(maker, Face::Sounder), load::LOAD, "A horn: it is heard.")
        }
        Kind::Motor => of(
            "M1",
            &[],
            load::motor,
            load::MOTOR,
            "A motor under its usual load, as the resistance that its rating gives. Fed from its first pin to its second \
             it turns forwards.",
        ),
        Kind::Starter => of(
            "M1",
            &[],
            |maker| load::load(maker, Face::Starter),
            load::STARTER,
            "A starter motor: it is heard to crank.",
        ),
        Kind::Heater => of(
            "R1",
            &[],
            |maker| load::load(maker, Face::Heater),
            load::LOAD,
            "A heating element or a glow plug: it gets warm.",
        ),
        Kind::Resistor => of("R1", &[], resistive::resistor, resistive::RESISTOR, "A resistor."),
        Kind::SteppedResistor => of(
            "R1",
            &[],
            resistive::stepped,
            resistive::STEPPED,
            "A row of resistors in one housing, as of a blower's speeds, with a thermal cut-out that it may have.",
        ),
        Kind::Shunt => of(
            "R1",
            &[],
            resistive::resistor,
            resistive::RESISTOR,
            "A small resistance, across which a current is measured.",
        ),
        Kind::Diode => of(
            "D1",
            &[],
            semiconductor::diode,
            semiconductor::DIODE,
            "A rectifier diode: from anode to cathode it conducts at some 0.7 V, the other way not at all.",
        ),
        Kind::Zener => of(
            "D1",
            &[],
            semiconductor::diode,
            semiconductor::ZENER,
            "A diode that conducts in reverse from its breakdown voltage on.",
        ),
        Kind::Thermistor => {
            of("R1", &[], resistive::sender, resistive::SENDER, "A resistance that follows a temperature.")
        }
        Kind::Sender => of(
            "R1",
            &[],
            resistive::sender,
            resistive::SENDER,
            "A resistance that follows a level, a pressure, a temperature or an angle.",
        ),
        Kind::Gauge => {
            of("P1", &[], load::gauge, load::GAUGE, "A pointer that follows the current through it.")
        }
        Kind::Flasher => of(
            "K1",
            &[],
            switching::flasher,
            switching::FLASHER,
            "A flasher unit: while current is drawn through it, it makes and breaks at its rate.",
        ),
        Kind::Timer => of(
            "K1",
            &[],
            switching::relay,
            switching::TIMER,
            "A relay whose contacts have a time: they make late, let go late, or make for a while (`about conditions`).",
        ),
        Kind::Capacitor => of(
            "C1",
            &[],
            resistive::capacitor,
            resistive::CAPACITOR,
            "A capacitor: at rest it carries nothing, and it keeps its voltage for a while.",
        ),
        Kind::Module => of(
            "A1",
            &["ground", "supply", "inputs", "outputs"],
            module::module,
            module::MODULE,
            "A box whose inside nobody repairs: inputs with their loads, and outputs that are fed under conditions.",
        ),
        Kind::Splice => of(
            "SP1",
            &[],
            junction::junction,
            junction::SPLICE,
            "Where wires of a harness are joined: its one terminal may be written `S1` or `S1:1`.",
        ),
        Kind::Ground => of(
            "G1",
            &[],
            junction::junction,
            &[],
            "A point on the body to which ground wires are bolted: its one terminal may be written `G1` or `G1:31`. \
             All bodies of a vehicle are one.",
        ),
    }
}

/// Fills the part according to its kind.
pub fn read(maker: &mut Maker) {
    (entry(maker.part.kind).read)(maker);
}
