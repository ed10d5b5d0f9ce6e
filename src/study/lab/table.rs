//! Turns a vehicle on the bench into what a person sees and what light and voltmeter show at every point.

use crate::bench::{Bench, Done, Frame, Reading, Rig, Seen, Upset};
use crate::book::{Act, Fault, Instrument, Point, Subject};
use indexmap::IndexSet;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// What is seen and read in a state.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// One for each of the lab's faces.
    pub faces: Vec<Reading>,
    /// The level at each of the lab's points, none where it is not there; once for a vehicle at rest, and for one in which
    /// something goes on by itself as often as these levels change. Empty where they change more often than [`PHASES`].
    pub volts: Vec<Levels>,
    /// For each point the light to ground and to battery plus; none where the point is not there, and [`Reading::Nothing`]
    /// where the light would leave the vehicle in another state than it found it in.
    pub lights: Vec<Option<[Reading; 2]>>,
}

/// The levels at a lab's points at one moment.
pub type Levels = Vec<Option<Level>>;

/// What a voltmeter can tell of a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Level {
    /// Against the body, or where the point floats against something else of its own circuit.
    pub tenths: i32,
    /// Points of one circuit have the same number, 0 with the body: a meter between them shows the difference.
    pub near: u16,
    /// Points that anything at all conducts between have the same number, 0 with the body. A meter between others shows
    /// 0 V; between those that only a leak joins, what it shows depends on the meter.
    pub far: u16,
}

impl View {
    /// Equal for equal views, and quickly compared.
    pub fn bits(&self) -> Vec<u64> {
        let faces = self.faces.iter().flat_map(reading_bits);
        let volts = self.volts.iter().flatten().map(|level| {
            level.map_or(u64::MAX, |it| {
                u64::from(it.tenths as u32) << 32 | u64::from(it.near) << 16 | u64::from(it.far)
            })
        });
        let lights = self.lights.iter().flat_map(|pair| match pair {
            Some([ground, plus]) => reading_bits(ground).into_iter().chain(reading_bits(plus)).collect(),
            None => vec![u64::MAX],
        });
        faces.chain(volts).chain(lights).collect()
    }
}

pub fn reading_bits(reading: &Reading) -> Vec<u64> {
    let seen = |seen: &Seen| 2 * seen.strength as u64 + u64::from(seen.backwards);
    match reading {
        Reading::Steady(now) => vec![0, seen(now)],
        Reading::Flashing { per_minute } => vec![1, per_minute.to_bits()],
        Reading::Then { first, seconds, last } => vec![2, seen(first), seconds.to_bits(), seen(last)],
        Reading::Pulses { on, seconds, every } => vec![6, seen(on), seconds.to_bits(), every.to_bits()],
        Reading::Chattering => vec![7],
        Reading::Unsteady(now) => vec![3, seen(now)],
        Reading::Number(amount) => vec![4, amount.value.to_bits()],
        Reading::Nothing => vec![5],
    }
}

/// How often a point's voltage may change for a meter to be followed by eye.
const PHASES: usize = 4;

/// Below these volts without load no test light glows to be seen: a twelfth of its rating gives no light that an eye sees.
const NO_LIGHT: f64 = 0.4;

/// A dark light.
const DARK: Reading = Reading::Steady(Seen::NOTHING);

/// Seconds for which a person looks on where a fuse is heating up.
pub const PATIENCE: f64 = 60.0;

/// Conductance in siemens above which a circuit feeds a voltmeter's 10 Mohm without its voltage giving way.
const FEEDS_A_METER: f64 = 1e-4;

/// Lets a person look at the faces, and says what they do; time passes.
pub fn look(bench: &mut Bench, faces: &[Subject]) -> Result<Vec<Reading>, Upset> {
    let needs = if bench.is_heating() { PATIENCE } else { 0.0 };
    Ok(bench.observe(faces, needs)?.into_iter().map(Reading::rounded).collect())
}

/// The levels at every point, phase by phase.
pub fn volts(phases: &[Bench], points: &[Point]) -> Vec<Levels> {
    let mut found: Vec<Levels> = Vec::new();
    for bench in phases {
        let volts = levels(bench, points);
        if !found.contains(&volts) {
            found.push(volts);
        }
    }
    if found.len() > PHASES {
        found.clear();
    }
    found
}

fn levels(bench: &Bench, points: &[Point]) -> Levels {
    let labels = bench.point().joined_by(FEEDS_A_METER);
    let body = bench.node(Point::Ground);
    let mut near: IndexSet<u32> = body.iter().map(|body| labels[body.0 as usize]).collect();
    let mut far: IndexSet<u32> = body.iter().map(|body| bench.point().island(*body).0).collect();
    let number = |set: &mut IndexSet<u32>, label: u32| set.insert_full(label).0 as u16;
    let mut level = |point: &Point| {
        let node = bench.node(*point)?;
        Some(Level {
            tenths: (bench.point().volts(node) * 10.0).round() as i32,
            near: number(&mut near, labels[node.0 as usize]),
            far: number(&mut far, bench.point().island(node).0),
        })
    };
    points.iter().map(&mut level).collect()
}

/// The test light at points of one state of the healthy vehicle, each tried once when it is first asked for: what it shows,
/// and every state that the vehicle passes through meanwhile.
pub struct Tried<'a, 'r> {
    phases: &'a [Bench<'r>],
    points: &'a [Point],
    volts: &'a [Levels],
    /// By point and end.
    lights: RefCell<BTreeMap<(usize, usize), Trial>>,
}

impl<'a, 'r> Tried<'a, 'r> {
    pub fn new(phases: &'a [Bench<'r>], points: &'a [Point], volts: &'a [Levels]) -> Tried<'a, 'r> {
        Tried { phases, points, volts, lights: RefCell::default() }
    }

    /// What it shows at a point of the vehicle with a fault, unless the fault makes a difference: to the point's own volts,
    /// or to any of the states.
    fn unless(&self, at: usize, to: usize, case: &Case) -> Option<Reading> {
        let volts = |phases: &[Levels]| phases.iter().map(|volts| volts[at]).collect::<Vec<_>>();
        if volts(self.volts) != volts(case.volts) {
            return None;
        }
        let mut lights = self.lights.borrow_mut();
        let (reading, frames) =
            lights.entry((at, to)).or_insert_with(|| light(self.phases, self.points[at], ENDS[to], true));
        let touched = |frame: &Frame| frame.is_touched_by(case.rig, case.fault);
        (!frames.iter().any(touched)).then_some(*reading)
    }
}

/// What a light showed, and the states that the vehicle passed through.
type Trial = (Reading, Vec<Frame>);

/// Where the other lead of a test light is put.
const ENDS: [Point; 2] = [Point::Ground, Point::BatteryPlus];

/// A vehicle that differs from the healthy one in the same state by a fault alone.
pub struct Case<'a> {
    pub rig: &'a Rig,
    pub fault: &'a Fault,
    pub volts: &'a [Levels],
}

/// The test light at every point: points that are joined are tried once, and not at all where a healthy vehicle's light
/// has been `tried` and the fault makes no difference to it.
pub fn lights(
    phases: &[Bench],
    points: &[Point],
    joints: &[usize],
    tried: Option<(&Tried, Case)>,
) -> Vec<Option<[Reading; 2]>> {
    let groups: Vec<Vec<u32>> = phases.iter().map(|phase| phase.joined(joints)).collect();
    let mut known: BTreeMap<Vec<u32>, [Reading; 2]> = BTreeMap::new();
    let shine = |(at, point): (usize, &Point)| {
        let node = phases[0].node(*point)?;
        let group = groups.iter().map(|groups| groups[node.0 as usize]).collect();
        let found = known.entry(group).or_insert_with(|| {
            [0, 1].map(|to| {
                tried
                    .as_ref()
                    .and_then(|(tried, case)| tried.unless(at, to, case))
                    .unwrap_or_else(|| light(phases, *point, ENDS[to], false).0)
            })
        });
        Some(*found)
    };
    points.iter().enumerate().map(shine).collect()
}

/// What a test light shows between two points, and the states that the vehicle passes through where these are kept.
fn light(phases: &[Bench], from: Point, to: Point, kept: bool) -> Trial {
    let across = |bench: &Bench| {
        let (a, b) = (bench.node(from)?, bench.node(to)?);
        let point = bench.point();
        (point.island(a) == point.island(b)).then(|| point.volts_between(a, b))
    };
    let dark = |bench: &Bench| across(bench).is_none_or(|volts| volts.abs() < NO_LIGHT);
    if phases.iter().all(dark) {
        // Without a voltage the light changes nothing: the states are the vehicle's own.
        let frames = phases.iter().filter(|_| kept).map(Bench::frame);
        return (DARK, frames.collect());
    }
    let instrument = Instrument::TestLight;
    let mut bench = phases[0].clone();
    if kept {
        bench.open_album();
    }
    let shown = match bench.act(&Act::Connect { instrument, from, to }) {
        Ok(Done::Yes) => bench.observe(&[Subject::Instrument(instrument)], 0.0),
        // Both leads are on one conductor.
        Ok(Done::Impossible(_)) => Ok(vec![DARK]),
        Err(upset) => Err(upset),
    };
    let frames = bench.close_album();
    let as_before = |bench: &Bench| phases.iter().any(|phase| bench.rests_as(phase));
    let lasting = !as_before(&bench) && (bench.act(&Act::Remove(instrument)).is_err() || !as_before(&bench));
    match shown {
        Ok(readings) if !lasting => (readings[0], frames),
        _ => (Reading::Nothing, frames),
    }
}
