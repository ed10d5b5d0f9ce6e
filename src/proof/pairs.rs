//! Beyond the obligations: two faults at once, walked through a checkout, repaired as the verdict says, and begun again.
//!
//! Each of the two, alone, is found. So a pair ends well as soon as the first walk's verdict names one of them: what is left is
//! that other fault alone. And where one of the two makes no difference to any state that the other's walk passes through,
//! the pair's walk is that other's, and need not be walked.

use super::coverage::{Showing, Shown, Station, first_touched, healthy_route, show};
use super::fleet::Fleet;
use super::memory::{Piece, Store};
use super::progress::{Progress, Tally};
use super::script::Script;
use super::steps;
use super::trouble::{End, names, target};
use crate::bench::Frame;
use crate::book::{Book, BuildId, Fault, FaultId, PageId, Target};
use rayon::prelude::*;

/// So many pairs of a book are judged; of more than that an even sample.
pub const MOST: usize = 250_000;

/// What came of all pairs of faults of a system that can be there together, each of which is found alone.
#[derive(Debug, Clone, Default)]
pub struct Pairs {
    /// How many there are, over all builds.
    pub all: usize,
    /// How many of them were judged.
    pub judged: usize,
    /// Those that do not end well.
    pub astray: Vec<Astray>,
}

/// A pair that does not end in a working vehicle, though each of its faults would alone.
#[derive(Debug, Clone)]
pub struct Astray {
    pub build: BuildId,
    pub page: PageId,
    pub faults: [FaultId; 2],
    pub how: How,
    /// Where the pair first shows, and the walk from there; none when the checkout passes.
    pub shown: Option<Shown>,
}

/// How a pair goes wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// The verdict has a good part replaced.
    GoodPart,
    /// It ends with nothing to repair, and begins again.
    Round,
    /// No test, no branch or no procedure is left, or the vehicle does not come to rest.
    Nowhere,
    /// The checkout passes.
    Hidden,
}

impl How {
    /// Every way, with its words.
    pub const ALL: &[(How, &str)] = &[
        (How::GoodPart, "have a good part replaced"),
        (How::Round, "end with nothing to repair"),
        (How::Nowhere, "end nowhere"),
        (How::Hidden, "pass the checkout"),
    ];
}

impl Pairs {
    /// The share of those that were judged that end well, 1 where there are none.
    pub fn share(&self) -> f64 {
        if self.judged == 0 { 1.0 } else { 1.0 - self.astray.len() as f64 / self.judged as f64 }
    }
}

/// The pairs of faults of a checkout's own system, in a build.
#[derive(Debug)]
pub struct Twos<'b> {
    pub fleet: &'b Fleet,
    pub build: BuildId,
    pub script: Script<'b>,
    /// The faults that are found alone.
    pub found: Vec<FaultId>,
    /// One pair in so many is judged.
    pub every: usize,
}

/// What the walks of a system's pairs gave.
#[derive(Debug, Clone, Default)]
pub struct Doubles {
    judged: usize,
    /// The pairs whose walk ends otherwise than that of either fault.
    otherwise: Vec<([FaultId; 2], Option<Shown>)>,
}

/// A fault alone: where it first makes a difference, how it shows, and the states that its walk passes through.
struct Single<'v> {
    id: FaultId,
    fault: &'v Fault,
    first: usize,
    shown: Option<Shown>,
    frames: Vec<Frame>,
}

impl Piece for Twos<'_> {
    type Gives = Doubles;
    const STAGE: &'static str = "pairs";

    fn work(&self) -> usize {
        self.found.len()
    }

    fn prove(&self, tally: &Tally) -> Doubles {
        let whole = &self.fleet[self.build.index()];
        let vehicle = &whole.vehicle;
        let faults: Vec<(FaultId, &Fault)> = self.found.iter().map(|&id| (id, vehicle.fault(id))).collect();
        let field = self.script.field.clone().faults(faults.iter().map(|(_, fault)| *fault));
        let rig = field.awake(whole);
        let Ok(route) = healthy_route(&rig, &self.script, &mut Vec::new()) else {
            return Doubles::default();
        };
        let walk = |faults: &[&Fault], route: &[Station], kept: bool| {
            show(route, &self.script, faults, None, &mut Vec::new(), kept)
        };
        let singles: Vec<Single> = faults
            .par_iter()
            .filter_map(|&(id, fault)| {
                let first = first_touched(&route, &rig, fault)?;
                let (shown, frames) = walk(&[fault], &route[first..], true);
                Some(Single { id, fault, first, shown, frames })
            })
            .collect();
        let end = |shown: &Option<Shown>| {
            shown.as_ref().and_then(|shown| shown.walk.as_ref()).map(|walk| walk.end.clone())
        };
        // Up to where a fault first makes a difference its walk is the healthy vehicle's, whose states are not kept again.
        let leaves_alone = |one: &Single, other: &Single| {
            one.first >= other.first && !other.frames.iter().any(|frame| frame.is_touched_by(&rig, one.fault))
        };
        let rows: Vec<Doubles> = (0..singles.len())
            .into_par_iter()
            .map(|at| {
                let mut row = Doubles::default();
                let one = &singles[at];
                for (other, number) in singles[at + 1..].iter().zip(1 + at * singles.len()..) {
                    if one.fault.item == other.fault.item || number % self.every != 0 {
                        continue;
                    }
                    row.judged += 1;
                    if leaves_alone(one, other) || leaves_alone(other, one) {
                        continue;
                    }
                    let (shown, _) =
                        walk(&[one.fault, other.fault], &route[one.first.min(other.first)..], false);
                    if end(&shown) != end(&one.shown) && end(&shown) != end(&other.shown) {
                        row.otherwise.push(([one.id, other.id], shown));
                    }
                }
                tally.tick(1);
                row
            })
            .collect();
        let mut all = Doubles::default();
        for row in rows {
            all.judged += row.judged;
            all.otherwise.extend(row.otherwise);
        }
        all
    }
}

/// Judges the pairs of a book of which `faults` says what is found alone.
pub fn prove(book: &Book, faults: &[Showing], memory: &mut Store<Doubles>, progress: &dyn Progress) -> Pairs {
    let fleet = Fleet::of(book);
    let mut twos: Vec<Twos> = Vec::new();
    for rig in &*fleet {
        for page in steps::checkouts(book) {
            let about = book.page(page).sheet;
            let own = faults.iter().filter(|showing| {
                (showing.build, showing.page) == (rig.build, page)
                    && about.is_none_or(|about| book.item_sheet(book.fault(showing.fault).item) == about)
                    && is_found(book, showing)
            });
            let found: Vec<FaultId> = own.map(|showing| showing.fault).collect();
            let script = Script::whole(book, page);
            twos.push(Twos { fleet: &fleet, build: rig.build, script, found, every: 1 });
        }
    }
    let count = |two: &Twos| {
        let items: Vec<_> = two.found.iter().map(|fault| book.fault(*fault).item).collect();
        let pairs = (0..items.len()).flat_map(|at| items[at + 1..].iter().map(move |other| (at, other)));
        pairs.filter(|(at, other)| items[*at] != **other).count()
    };
    let all: usize = twos.iter().map(count).sum();
    let every = all.div_ceil(MOST).max(1);
    twos.iter_mut().for_each(|two| two.every = every);
    let doubles = memory.provide(&twos, progress);
    let mut pairs = Pairs { all, ..Pairs::default() };
    for (two, doubles) in twos.iter().zip(doubles) {
        pairs.judged += doubles.judged;
        for (faults, shown) in doubles.otherwise {
            if let Some(how) = goes_wrong(book, faults, shown.as_ref()) {
                let page = two.script.page;
                pairs.astray.push(Astray { build: two.build, page, faults, how, shown });
            }
        }
    }
    pairs
}

/// Whether a fault alone is shown, and ends at a verdict that names it.
fn is_found(book: &Book, showing: &Showing) -> bool {
    let walk = showing.shown.as_ref().and_then(|shown| shown.walk.as_ref());
    walk.is_some_and(|walk| match walk.end {
        End::At { place, outcome } => match target(book, place, outcome) {
            Target::Verdict { blames, .. } => names(book, blames, book.fault(showing.fault)),
            _ => false,
        },
        _ => false,
    })
}

/// How a pair goes wrong; none when its first verdict names one of the two.
fn goes_wrong(book: &Book, faults: [FaultId; 2], shown: Option<&Shown>) -> Option<How> {
    let Some(shown) = shown else { return Some(How::Hidden) };
    match shown.walk.as_ref().map(|walk| &walk.end) {
        Some(&End::At { place, outcome }) => match target(book, place, outcome) {
            Target::Verdict { blames, .. } => {
                let mut named = faults.iter().map(|fault| names(book, blames, book.fault(*fault)));
                (!named.any(|named| named)).then_some(How::GoodPart)
            }
            _ => Some(How::Round),
        },
        _ => Some(How::Nowhere),
    }
}
