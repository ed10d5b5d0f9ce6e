//! Turns a vehicle into its rigs, one for each build, with the fingerprint of all that they are made of.

use super::memory::Print;
use crate::bench::Rig;
use crate::book::{Book, BuildId, Vehicle};
use rayon::prelude::*;
use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

/// The vehicle in each of its builds, by the build's number.
pub struct Fleet {
    pub vehicle: Arc<Vehicle>,
    rigs: Vec<Rig>,
    print: Print,
}

impl Fleet {
    /// Wires up the vehicle of a book.
    pub fn of(book: &Book) -> Fleet {
        let vehicle = Vehicle::of(book);
        let builds = (0..vehicle.builds.len() as u32).into_par_iter().map(BuildId);
        let rigs = builds.map(|build| Rig::new(&vehicle, build)).collect();
        Fleet { rigs, print: Print::of(&vehicle), vehicle }
    }
}

impl Deref for Fleet {
    type Target = [Rig];

    fn deref(&self) -> &[Rig] {
        &self.rigs
    }
}

/// The vehicle's fingerprint stands for it, so that its text is written once and not for every piece of a proof. The rigs follow
/// from the vehicle.
impl fmt::Debug for Fleet {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        self.print.fmt(f)
    }
}
