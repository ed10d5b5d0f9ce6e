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

use crate::book::{Face, Kind};
pub use maker::Maker;

/// Fills the part according to its kind. What is wrong gets its finding, and the part keeps what could be read.
pub fn read(maker: &mut Maker) {
    match maker.part.kind {
        Kind::Battery => supply::battery(maker),
        Kind::Alternator => supply::alternator(maker),
        Kind::Fuse | Kind::FusibleLink | Kind::Breaker => protection::link(maker),
        Kind::Switch => switching::switch(maker),
        Kind::Relay | Kind::Contactor | Kind::Timer => switching::relay(maker),
        Kind::LatchingRelay => switching::latching_relay(maker),
        Kind::Solenoid => switching::solenoid(maker),
        Kind::Flasher => switching::flasher(maker),
        Kind::Lamp => light::lamp(maker),
        Kind::Led => light::led(maker),
        Kind::Buzzer | Kind::Horn => load::load(maker, Face::Sounder),
        Kind::Motor => load::motor(maker),
        Kind::Starter => load::load(maker, Face::Starter),
        Kind::Heater => load::load(maker, Face::Heater),
        Kind::Valve => load::load(maker, Face::Valve),
        Kind::Gauge => load::gauge(maker),
        Kind::Resistor | Kind::Shunt => resistive::resistor(maker),
        Kind::SteppedResistor => resistive::stepped(maker),
        Kind::Thermistor | Kind::Sender => resistive::sender(maker),
        Kind::Capacitor => resistive::capacitor(maker),
        Kind::Diode | Kind::Zener => semiconductor::diode(maker),
        Kind::Module => module::module(maker),
        Kind::Splice | Kind::Ground => junction::junction(maker),
    }
}
