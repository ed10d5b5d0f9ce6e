//! Holds which currents are told as currents: without all others a vehicle does the same, and each of these is part of what a load
//! gets.

use goodground::bench::{Bench, Rig, Upset};
use goodground::book::*;
use goodground::proof::corners::middle;
use goodground::proof::evidence::Evidence;
use std::collections::BTreeMap;

/// How everything that can be seen is, and which relays are in.
type Looks = (BTreeMap<(PartId, usize), Strength>, BTreeMap<(PartId, usize), bool>);

fn looks(evidence: &Evidence) -> Looks {
    let seen = evidence.seen.iter().map(|(face, seen)| (*face, seen.strength));
    (seen.collect(), evidence.energized.clone())
}

/// The vehicle with every control somewhere.
fn random_state<'r>(
    book: &Book,
    rig: &'r Rig,
    random: &mut crate::vehicle::Random,
) -> Result<Bench<'r>, Upset> {
    let mut bench = Bench::new(rig, middle(rig))?;
    let mut settings = Vec::new();
    for (index, control) in book.controls.iter().enumerate() {
        if let ControlRange::Positions(positions) = &control.range {
            let to = Setting::Position(random.below(positions.len()) as u16);
            settings.push((ControlId(index as u32), to));
        }
    }
    bench.set_all(&settings)?;
    Ok(bench)
}

/// Wires with a trickle in them can all be taken away.
#[test]
fn without_the_currents_that_are_not_told_everything_looks_the_same() {
    let (mut states, mut trickles) = (0, 0);
    for seed in 1..=60u64 {
        let book = crate::vehicle::vehicle(seed, 30 + seed as usize);
        let vehicle = Vehicle::of(&book);
        let rig = Rig::new(&vehicle, BuildId(0));
        let mut random = crate::vehicle::Random::new(seed);
        for _ in 0..6 {
            let Ok(bench) = random_state(&book, &rig, &mut random) else { continue };
            let evidence = Evidence::of(&bench);
            let mut cut = bench.clone();
            let mut taken = 0;
            for (wire, flow) in &evidence.wires {
                if !flow.carries && flow.amps.abs() > 1e-6 {
                    cut.act(&Act::Disconnect { wire: *wire, end: 0 }).unwrap();
                    taken += 1;
                }
            }
            states += 1;
            trickles += taken;
            assert_eq!(looks(&evidence), looks(&Evidence::of(&cut)), "vehicle {seed}: {taken} wires less");
        }
    }
    assert!(states > 200 && trickles > 100, "{states} states, {trickles} trickles");
}

/// A lamp that gets less than a fiftieth of what it takes is shown without a current, and so is a wire that leads to nothing
/// else: the turn signals of one side push some milliamperes through those of the other by way of a shared ground point.
#[test]
fn a_lamp_carries_a_current_where_it_gets_a_fiftieth_of_its_own() {
    let (mut starved, mut fed) = (0, 0);
    let demo = &crate::printed::books()[0].book;
    let generated: Vec<Book> = (1..=20).map(|seed| crate::vehicle::vehicle(seed, 60)).collect();
    for book in [*demo].into_iter().chain(&generated) {
        let vehicle = Vehicle::of(book);
        let rig = Rig::new(&vehicle, BuildId(0));
        let mut random = crate::vehicle::Random::new(7);
        for _ in 0..40 {
            let Ok(bench) = random_state(book, &rig, &mut random) else { continue };
            let evidence = Evidence::of(&bench);
            for (&(part, element), flow) in &evidence.elements {
                let held = &book.part(part).elements[element];
                let Action::Filament { volts, watts } = &held.action else { continue };
                let share = flow.amps.abs() / (watts.0 / volts.0);
                if flow.amps.abs() < 5e-4 || (0.019..0.021).contains(&share) {
                    continue;
                }
                // In a generated vehicle a lamp may be in series with a load that takes less than it.
                if !std::ptr::eq(book, *demo) && share < 0.02 {
                    continue;
                }
                assert_eq!(flow.carries, share > 0.02, "{}: {share}", book.part(part).id);
                for terminal in [held.a, held.b] {
                    let end = End::Terminal { part, terminal };
                    let here = book.wires.iter().enumerate().filter(|(_, wire)| wire.ends.contains(&end));
                    let here: Vec<WireId> = here.map(|(index, _)| WireId(index as u32)).collect();
                    let alone = book
                        .part(part)
                        .elements
                        .iter()
                        .filter(|other| [other.a, other.b].contains(&terminal));
                    if let ([wire], 1) = (&here[..], alone.count())
                        && let Some(wire) = evidence.wires.get(wire)
                    {
                        assert_eq!(wire.carries, flow.carries, "{}: {wire:?}", book.part(part).id);
                    }
                }
                *(if flow.carries { &mut fed } else { &mut starved }) += 1;
            }
        }
    }
    assert!(starved > 20 && fed > 200, "{starved} get too little, {fed} get enough");
}
