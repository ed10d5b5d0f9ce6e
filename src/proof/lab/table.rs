//! Turns a vehicle on the bench into what a person sees and what light and voltmeter show at every point.

use crate::bench::{Bench, Reading, Upset};
use crate::book::{Act, Instrument, Point, Strength, Subject};
use std::collections::BTreeMap;

/// What is seen and read in a state.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// One for each of the lab's faces.
    pub faces: Vec<Reading>,
    /// For each of the lab's points tenths of a volt against the body; none where it floats or is not there.
    pub volts: Vec<Option<i32>>,
    /// What a test light shows from each point to ground and to battery plus; nothing where it was not computed.
    pub lights: Option<Lights>,
}

/// For each point the light to ground and to battery plus; none where the point is not there.
pub type Lights = Vec<Option<[Strength; 2]>>;

/// Below these volts without load no test light glows to be seen: a twelfth of its rating gives no light that an eye sees.
const NO_LIGHT: f64 = 0.4;

/// Lets a person look at the faces, and says what they do; time passes.
pub fn look(bench: &mut Bench, faces: &[Subject]) -> Result<Vec<Reading>, Upset> {
    bench.observe(faces, 0.0)
}

/// The volts at every point.
pub fn volts(bench: &Bench, points: &[Point]) -> Vec<Option<i32>> {
    let at = |point: &Point| {
        let node = bench.node(*point)?;
        let floating = bench.point().floating(node);
        (!floating).then(|| (bench.point().volts(node) * 10.0).round() as i32)
    };
    points.iter().map(at).collect()
}

/// The test light at every point: points that are joined are tried once.
pub fn lights(bench: &Bench, points: &[Point]) -> Lights {
    let groups = bench.joined();
    let mut known: BTreeMap<u32, [Strength; 2]> = BTreeMap::new();
    let plus = bench
        .node(Point::BatteryPlus)
        .map(|node| bench.point().volts(node));
    let shine = |point: Point| {
        let node = bench.node(point)?;
        let group = groups[node.0 as usize];
        if let Some(found) = known.get(&group) {
            return Some(*found);
        }
        let volts = bench.point().volts(node);
        let floating = bench.point().floating(node);
        let to_ground = if floating || volts.abs() < NO_LIGHT {
            Strength::Off
        } else {
            light(bench, point, Point::Ground)
        };
        let to_plus = if floating || plus.is_none_or(|plus| (plus - volts).abs() < NO_LIGHT) {
            Strength::Off
        } else {
            light(bench, point, Point::BatteryPlus)
        };
        known.insert(group, [to_ground, to_plus]);
        Some([to_ground, to_plus])
    };
    points.iter().copied().map(shine).collect()
}

/// What a test light shows between two points.
fn light(bench: &Bench, from: Point, to: Point) -> Strength {
    let instrument = Instrument::TestLight;
    let mut bench = bench.clone();
    match bench.act(&Act::Connect { instrument, from, to }) {
        Ok(_) => bench.see(Subject::Instrument(instrument)).strength,
        Err(_) => Strength::Off,
    }
}
