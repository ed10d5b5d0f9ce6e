//! Turns the state that a question describes into what is seen and read in it.

use crate::bench::{Bench, Reading};
use crate::book::{
    Act, Book, BuildId, ControlId, End, Instrument, PartId, Point, Setting, Setup, SheetId, Subject,
};
use crate::proof::live::Live;
use crate::proof::reasons::Way;
use crate::quantity::{Amount, rounded};

/// A state of the vehicle as a reader can set it up: from rest, one control after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    pub build: BuildId,
    /// The controls that are off rest.
    pub settings: Vec<(ControlId, Setting)>,
    /// A part that is taken out or bridged before.
    pub part: Option<(PartId, Way)>,
    /// An instrument that is put in place at last.
    pub probe: Option<(Instrument, Point, Point)>,
}

/// One thing that a scene has otherwise: where a wrong answer comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Variation {
    Moved(ControlId, Setting),
    Part(PartId, Way),
    /// The part that the scene lacks or has bridged is as it should be.
    InPlace(PartId),
    /// The first lead is at this point.
    Lead(Point),
}

impl Scene {
    /// The hands that set it up, as a claim would state them.
    pub fn setup(&self) -> Vec<Setup> {
        let part = self.part.map(|(part, way)| match way {
            Way::TakenOut => Setup::Without(part),
            Way::Bridged => Setup::Bridged(part),
        });
        let set = self.settings.iter();
        let set = set.map(|&(control, to)| Setup::Act(Act::Set { control, to }));
        let probe =
            self.probe.map(|(instrument, from, to)| Setup::Act(Act::Connect { instrument, from, to }));
        part.into_iter().chain(set).chain(probe).collect()
    }

    /// The scene with one thing otherwise.
    pub fn varied(&self, book: &Book, variation: Variation) -> Scene {
        let mut scene = self.clone();
        match variation {
            Variation::Moved(control, to) => {
                // A control that stands elsewhere keeps its turn, so that the two states differ in nothing else.
                match scene.settings.iter_mut().find(|(other, _)| *other == control) {
                    Some(setting) => setting.1 = to,
                    None => scene.settings.push((control, to)),
                }
                scene.settings.retain(|(control, to)| book.control(*control).rest() != *to);
            }
            Variation::Part(part, way) => scene.part = Some((part, way)),
            Variation::InPlace(_) => scene.part = None,
            Variation::Lead(from) => {
                scene.probe = scene.probe.map(|(instrument, _, to)| (instrument, from, to));
            }
        }
        scene
    }
}

/// What subjects do, as it is written down; none when one of them does nothing that has a name.
pub fn plain(mut bench: Bench, subjects: &[Subject]) -> Option<Vec<Reading>> {
    let readings = bench.observe(subjects, 0.0).ok()?;
    let plain =
        |reading: &Reading| !matches!(reading, Reading::Unsteady(_) | Reading::Chattering | Reading::Nothing);
    readings.iter().all(plain).then(|| readings.into_iter().map(written).collect())
}

/// The states that have one control of the sheet at another place.
pub fn neighbors(scene: &Scene, live: &Live, book: &Book) -> Vec<Variation> {
    let controls = live.controls.iter().zip(&live.choices);
    controls
        .flat_map(|(&control, choices)| {
            let now = scene.settings.iter().find(|(other, _)| *other == control);
            let now = now.map_or(book.control(control).rest(), |(_, to)| *to);
            let others = choices.iter().filter(move |&&to| to != now);
            others.map(move |&to| Variation::Moved(control, to))
        })
        .collect()
}

/// Whether a reader tells two readings apart for certain: a needle's width does not make an answer wrong.
pub fn told_apart(a: &Reading, b: &Reading) -> bool {
    match (a, b) {
        (Reading::Number(a), Reading::Number(b)) => {
            let (a, b) = (a.value, b.value);
            a.is_infinite() != b.is_infinite() || (a - b).abs() > 0.15 * a.abs().max(b.abs()).max(LEAST)
        }
        (Reading::Flashing { per_minute: a }, Reading::Flashing { per_minute: b }) => {
            (a - b).abs() > 0.2 * a.max(*b)
        }
        (
            Reading::Then { first, seconds, last },
            Reading::Then { first: other, seconds: time, last: end },
        ) => (first, last) != (other, end) || (seconds - time).abs() > 0.2 * seconds.max(*time),
        (
            Reading::Pulses { on, seconds, every },
            Reading::Pulses { on: other, seconds: time, every: period },
        ) => {
            let apart = |a: f64, b: f64| (a - b).abs() > 0.2 * a.max(b);
            on != other || apart(*seconds, *time) || apart(*every, *period)
        }
        (a, b) => a != b,
    }
}

/// Numbers nearer to nothing than a sixth of this are nothing: three quarters of a volt on a meter.
const LEAST: f64 = 5.0;

/// Below this, in its own unit, a meter or a pointer is written down as showing nothing.
const NOTHING: f64 = 0.05;

/// A reading as it is written down: three digits of a number.
fn written(reading: Reading) -> Reading {
    match reading {
        Reading::Number(amount) if amount.value.is_finite() => {
            let number = amount.unit.from_base(amount.value);
            let number = if number.abs() < NOTHING { 0.0 } else { number };
            Reading::Number(Amount { value: amount.unit.to_base(rounded(number)), unit: amount.unit })
        }
        other => other,
    }
}

/// The terminals of a sheet's own parts that a wire of the build reaches, on the harness side.
pub fn points(book: &Book, sheet: SheetId, build: BuildId) -> Vec<Point> {
    let mut found = Vec::new();
    for wire in book.wires.iter().filter(|wire| wire.fitted[build.index()]) {
        for end in wire.ends {
            let End::Terminal { part, .. } = end else {
                continue;
            };
            let point = Point::from(end);
            if book.part(part).sheet == sheet && !found.contains(&point) {
                found.push(point);
            }
        }
    }
    found.sort();
    found
}
