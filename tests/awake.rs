//! Holds what is left of a vehicle when its sleeping part is taken away against the whole vehicle: the same hands, the same
//! faults, the same readings. No source: both are this program's, one with all conductors in it.

use goodground::bench::{Bench, Rig};
use goodground::book::{
    Act, Book, BuildId, ControlId, Fault, Instrument, Item, Point, Setting, SheetId, Vehicle,
};
use goodground::proof::corners::{middle, regions};
use goodground::proof::evidence::Evidence;
use goodground::proof::field::Field;
use goodground::proof::scope::Scope;
use goodground::read;
use goodground::source::Sources;

/// Numbers drawn in a fixed order (Knuth's MMIX multiplier).
struct Draw(u64);

impl Draw {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % count
    }

    fn pick<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        (!list.is_empty()).then(|| &list[self.below(list.len())])
    }
}

/// Volts and amperes that differ by less are the same: a thousandth of what a shop meter shows.
const SAME: f64 = 1e-6;

/// How far two vehicles are apart in what a sheet shows, in volts or amperes; what floats has no voltage of its own.
fn apart(scope: &Scope, one: &Bench, other: &Bench) -> f64 {
    let [one, other] = [one, other].map(|bench| scope.cut(Evidence::of(bench)));
    assert_eq!(one.made, other.made);
    assert_eq!(one.seen, other.seen);
    assert_eq!(one.energized, other.energized);
    assert_eq!(one.wires.keys().collect::<Vec<_>>(), other.wires.keys().collect::<Vec<_>>());
    assert_eq!(one.terminals.keys().collect::<Vec<_>>(), other.terminals.keys().collect::<Vec<_>>());
    let pairs = one.wires.values().zip(other.wires.values());
    let pairs = pairs.chain(one.terminals.values().zip(other.terminals.values()));
    let all = pairs.chain(one.elements.values().zip(other.elements.values()));
    all.map(|(a, b)| {
        assert_eq!((a.volts.is_some(), a.grounded), (b.volts.is_some(), b.grounded));
        let volts = a.volts.unwrap_or(0.0) - b.volts.unwrap_or(0.0);
        volts.abs().max((a.amps - b.amps).abs())
    })
    .fold(0.0, f64::max)
}

/// Something that hands may do within a sheet.
fn act(book: &Book, draw: &mut Draw, controls: &[(ControlId, Vec<Setting>)], scope: &Scope) -> Act {
    let parts: Vec<_> = scope.parts.iter().copied().collect();
    let wires: Vec<_> = scope.wires.iter().copied().collect();
    let point = |draw: &mut Draw| match draw.pick(&wires) {
        Some(&wire) if draw.below(4) > 0 => Point::from(book.wire(wire).ends[draw.below(2)]),
        _ => [Point::Ground, Point::BatteryPlus, Point::BatteryMinus][draw.below(3)],
    };
    match draw.below(8) {
        0 => Act::Unplug(parts[draw.below(parts.len())]),
        1 => Act::Plug(parts[draw.below(parts.len())]),
        2 | 3 => Act::Connect {
            instrument: [Instrument::TestLight, Instrument::Voltmeter, Instrument::Jumper][draw.below(3)],
            from: point(draw),
            to: point(draw),
        },
        _ => match draw.pick(controls) {
            Some((control, settings)) => {
                Act::Set { control: *control, to: settings[draw.below(settings.len())] }
            }
            None => Act::Wait(1.0),
        },
    }
}

/// Walks pairs of vehicles, one whole and one without what sleeps; how many states were compared, and the share of the
/// network's elements that was awake in the mean.
fn compare(book: &Book, walks: usize) -> (usize, f64) {
    let mut draw = Draw(7);
    let (mut states, mut shares) = (0, Vec::new());
    for sheet in (0..book.sheets.len() as u32).map(SheetId) {
        let scope = Scope::of(book, sheet);
        for build in (0..book.builds.len() as u32).map(BuildId) {
            let whole = Rig::new(&Vehicle::of(book), build);
            let all: Vec<ControlId> = (0..book.controls.len() as u32).map(ControlId).collect();
            let worked: Vec<ControlId> = (0..4).filter_map(|_| draw.pick(&all).copied()).collect();
            let read = scope.parts.iter().flat_map(|&part| &book.part(part).elements);
            let read = read.filter_map(|element| match &element.action {
                goodground::book::Action::Contact { when, .. } => Some(when.controls()),
                _ => None,
            });
            let worked: Vec<ControlId> = worked.into_iter().chain(read.flatten()).collect();
            let controls: Vec<(ControlId, Vec<Setting>)> =
                worked.iter().map(|&control| (control, regions(&whole, control.index()))).collect();
            let faults: Vec<&Fault> = book.faults.iter().filter(|fault| fault.is_in(build)).collect();
            let at_home = |fault: &&&Fault| match fault.item {
                Item::Part(part) => scope.parts.contains(&part),
                Item::Wire(wire) => scope.wires.contains(&wire),
                Item::Connector(connector) => scope.connectors.contains(&connector),
            };
            let own: Vec<&Fault> = faults.iter().filter(at_home).copied().collect();
            for _ in 0..walks {
                // One in four is at fault elsewhere in the vehicle.
                let fault = if draw.below(4) == 0 { draw.pick(&faults) } else { draw.pick(&own) };
                let fault = fault.copied();
                let awake =
                    Field::of_scope(&scope).worked(worked.iter().copied()).faults(fault).awake(&whole);
                shares.push(awake.ends.len() as f64 / whole.ends.len() as f64);
                let [mut one, mut other] = [&whole, &awake]
                    .map(|rig| Bench::new(rig, middle(rig)).expect("the healthy vehicle comes to rest"));
                if let Some(fault) = fault {
                    let planted = (one.plant(fault), other.plant(fault));
                    assert_eq!(planted.0.is_ok(), planted.1.is_ok(), "{}", fault.name);
                    if planted.0.is_err() {
                        continue;
                    }
                }
                for _ in 0..6 {
                    let far = apart(&scope, &one, &other);
                    let name = fault.map_or("nothing", |fault| &fault.name);
                    assert!(far < SAME, "{far} apart with {name} on sheet {}", book.sheets[sheet.index()].id);
                    states += 1;
                    let act = act(book, &mut draw, &controls, &scope);
                    let done = (one.act(&act), other.act(&act));
                    assert_eq!(done.0.is_ok(), done.1.is_ok(), "{act:?} with {name}");
                    if done.0.is_err() {
                        break;
                    }
                }
            }
        }
    }
    (states, shares.iter().sum::<f64>() / shares.len() as f64)
}

#[test]
fn the_demo_is_the_same_without_what_sleeps() {
    let mut sources = Sources::default();
    for (path, text) in crate::book::folder("") {
        sources.add(path, text);
    }
    let (book, _) = read::read(&sources, &[]);
    let (states, share) = compare(&book, 60);
    println!("{states} states, {share:.2} awake");
    assert!(states > 5000, "{states}");
    assert!(share < 0.9, "{share}");
}

/// Of twelve functions on one feed a sheet's own is awake, and what its fault reaches.
#[test]
fn of_a_large_vehicle_most_sleeps() {
    let (book, _) = read::read(&crate::large::book(12), &[]);
    let (states, share) = compare(&book, 24);
    println!("{states} states, {share:.2} awake");
    assert!(states > 5000, "{states}");
    assert!(share < 0.4, "{share}");
}
