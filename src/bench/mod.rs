//! Turns a build of the vehicle, faults and a technician's hands into what is seen and read.
//!
//! ```text
//!  Book + build ─> wiring ─> Rig (made once) ─> Bench (a clone: settings, faults, tools, time)
//!                                        │ act: a hand moves ─> settle: solve, relays and fuses, until at rest
//!                                        │ watch: time passes
//!                                        └> read: what is seen; examine: what is harmed; why: the path or the gap
//! ```
//!
//! A rig without what sleeps while only some controls are worked is made by `awake`.

mod act;
mod ahead;
mod album;
mod awake;
mod blow;
mod conductor;
mod corner;
mod current;
mod curve;
mod element;
mod examine;
mod gate;
mod gear;
mod instrument;
mod joined;
mod look;
mod meter;
mod plant;
mod reach;
mod read;
mod reading;
mod rig;
mod settle;
mod shine;
mod state;
mod why;
mod wiring;
mod wish;

pub use act::Done;
pub use album::Frame;
pub use blow::opening_time;
pub use conductor::{
    CLASS_5, VEHICLE_CABLE, ampacity, cable_ohms_per_km, gauge_ohms_per_km, temperature_factor, wire_ohms,
};
pub use corner::Corner;
pub use examine::{Harm, HarmKind};
pub use reach::{Reach, Stand};
pub use reading::{BLINK, Reading, Seen, seconds_needed};
pub use rig::{Carrier, Rig};
pub use shine::light;
pub use state::{Bench, Upset};
pub use why::{CARRIES, Driver, Hop, Stands, Stop, Why};
pub use wish::Wishes;

pub use crate::solve::Trouble;
