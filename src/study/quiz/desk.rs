//! What a sheet's questions are drawn from: the proof, its live states, and vehicles set up as scenes describe them.

use super::scene::{Scene, plain};
use crate::bench::{Bench, Reading, Upset};
use crate::book::{Act, Book, SheetId, Subject};
use crate::proof::Proof;
use crate::proof::coverage::Showing;
use crate::proof::live::Live;
use crate::proof::statements::prepare;
use std::cell::RefCell;

/// What questions are drawn from.
pub struct Desk<'a> {
    pub book: &'a Book,
    pub proof: &'a Proof,
    /// A healthy vehicle at rest of each build.
    pub rests: &'a [Bench<'a>],
    /// The faults of a build through a checkout of the sheet, for each.
    pub routes: Vec<&'a [Showing]>,
    pub live: &'a Live,
    pub sheet: SheetId,
    /// Vehicles as scenes set them up.
    pub set_up: RefCell<Vec<(Scene, Result<Bench<'a>, Upset>)>>,
}

/// So many vehicles are kept as they were set up; a vehicle of a hundred sheets takes half a megabyte.
const KEPT: usize = 64;

impl<'a> Desk<'a> {
    /// The vehicle of a scene. Many scenes differ in their probe only, or come again as another's neighbor.
    pub fn bench(&self, scene: &Scene) -> Result<Bench<'a>, Upset> {
        let bare = Scene { probe: None, ..scene.clone() };
        let mut kept = self.set_up.borrow_mut();
        let at = match kept.iter().position(|(other, _)| *other == bare) {
            Some(at) => at,
            None => {
                let rest = self.rests[bare.build.index()].clone();
                let bench = prepare(rest, &bare.setup());
                if kept.len() == KEPT {
                    kept.clear();
                }
                kept.push((bare, bench));
                kept.len() - 1
            }
        };
        let mut bench = kept[at].1.clone()?;
        if let Some((instrument, from, to)) = scene.probe {
            bench.act(&Act::Connect { instrument, from, to })?;
        }
        Ok(bench)
    }

    /// The same at rest for good; none when something in it still changes by itself, such as a flasher.
    pub fn still(&self, scene: &Scene) -> Option<Bench<'a>> {
        self.bench(scene).ok().filter(|bench| !bench.is_lively())
    }

    /// What subjects do in it; none when the vehicle does not come to rest, or one of them does nothing that has a name.
    pub fn look(&self, scene: &Scene, subjects: &[Subject]) -> Option<Vec<Reading>> {
        plain(self.bench(scene).ok()?, subjects)
    }
}
