//! Turns every pair of faults of whole books into a vehicle of its own, and holds what the proof says of pairs against its walk.

use crate::book::{folder, judge};
use goodground::bench::Bench;
use goodground::book::{Book, FaultId, PageId, Target};
use goodground::proof::corners::middle;
use goodground::proof::memory::Store;
use goodground::proof::pairs::{self, How};
use goodground::proof::script::Script;
use goodground::proof::trouble::{End, leads_to, names, target, walk};
use goodground::proof::{Fleet, Rig, Silent, steps};
use std::collections::BTreeSet;

/// Where a vehicle with some faults ends: walked from the first step on, with nothing left out. None when the checkout passes.
fn end(rig: &Rig, script: &Script, faults: &[FaultId]) -> Option<Option<End>> {
    let mut bench = Bench::new(rig, middle(rig)).expect("a healthy vehicle comes to rest");
    for fault in faults {
        if bench.plant(rig.vehicle.fault(*fault)).is_err() {
            return Some(None);
        }
    }
    for (_, step) in script.steps() {
        let looked = steps::set(&mut bench, step.acts)
            .and_then(|()| steps::look(&mut bench, &step.expects, &step.branches));
        let Ok(outcome) = looked else { return Some(None) };
        if !outcome.passes() {
            let procedure = leads_to(step, &outcome);
            let walk = procedure.map(|procedure| walk(&mut bench, script, procedure, None, &mut Vec::new()));
            return Some(walk.map(|walk| walk.end));
        }
    }
    None
}

/// Whether an end names a fault.
fn is_named(book: &Book, end: &Option<Option<End>>, fault: FaultId) -> bool {
    let Some(Some(End::At { place, outcome })) = end else { return false };
    matches!(target(book, *place, *outcome), Target::Verdict { blames, .. } if names(book, blames, book.fault(fault)))
}

fn how(book: &Book, end: &Option<Option<End>>, pair: [FaultId; 2]) -> Option<How> {
    match end {
        None => Some(How::Hidden),
        Some(Some(End::At { place, outcome })) => match target(book, *place, *outcome) {
            Target::Verdict { .. } => {
                (!pair.iter().any(|fault| is_named(book, end, *fault))).then_some(How::GoodPart)
            }
            _ => Some(How::Round),
        },
        Some(_) => Some(How::Nowhere),
    }
}

/// Walks every pair of a book; how many there are, and how many go wrong.
fn hold(path: &str) -> [usize; 2] {
    let judged = judge(&folder(path));
    let book = &judged.book;
    let told = pairs::prove(book, &judged.proof.faults, &mut Store::default(), &Silent);
    let told_wrong: BTreeSet<(u32, PageId, [FaultId; 2], How)> =
        told.astray.iter().map(|pair| (pair.build.0, pair.page, pair.faults, pair.how)).collect();
    assert_eq!(told_wrong.len(), told.astray.len(), "each pair is told once");
    let fleet = Fleet::of(book);
    let (mut count, mut wrong) = (0, BTreeSet::new());
    for rig in &*fleet {
        for page in steps::checkouts(book) {
            let script = Script::whole(book, page);
            let about = book.page(page).sheet;
            let own = (0..book.faults.len() as u32).map(FaultId).filter(|id| {
                let fault = book.fault(*id);
                fault.is_in(rig.build) && about.is_none_or(|about| book.item_sheet(fault.item) == about)
            });
            let found: Vec<FaultId> =
                own.filter(|fault| is_named(book, &end(rig, &script, &[*fault]), *fault)).collect();
            for (at, &one) in found.iter().enumerate() {
                for &other in &found[at + 1..] {
                    if book.fault(one).item == book.fault(other).item {
                        continue;
                    }
                    count += 1;
                    let pair = [one, other];
                    let how = how(book, &end(rig, &script, &pair), pair);
                    wrong.extend(how.map(|how| (rig.build.0, page, pair, how)));
                }
            }
        }
    }
    assert_eq!([told.all, told.judged], [count; 2], "{path}");
    let name = |(_, _, pair, how): &(u32, PageId, [FaultId; 2], How)| {
        format!("{} with {}: {how:?}", book.fault(pair[0]).name, book.fault(pair[1]).name)
    };
    let missed: Vec<String> = wrong.difference(&told_wrong).map(name).collect();
    let invented: Vec<String> = told_wrong.difference(&wrong).map(name).collect();
    assert!(missed.is_empty() && invented.is_empty(), "{path}: missed {missed:?}, invented {invented:?}");
    assert!((told.share() - (1.0 - wrong.len() as f64 / count as f64)).abs() < 1e-12);
    [count, wrong.len()]
}

#[test]
fn what_is_told_of_pairs_is_what_becomes_of_a_vehicle_with_both_faults() {
    let [blade, boat] = ["tests/planted/blade", "tests/planted/boat"].map(hold);
    println!("{blade:?} {boat:?}");
    assert!(blade[0] > 500 && boat[0] > 1_000, "{blade:?} {boat:?}");
    assert!(blade[1] + boat[1] > 0, "some pair goes wrong, or this holds nothing");
}
