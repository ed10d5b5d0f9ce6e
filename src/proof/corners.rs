//! Turns what a walk sets into the corners that it must hold at: both ends of the supply, of each working band that the
//! settings fall into, and of the time bands.

use crate::bench::{Corner, Rig};
use crate::book::{Act, Setting, Travel, Vehicle};

/// Above this many bands at once the corners are all low, all high, and each band alone at its high end.
const ALL_CORNERS_OF: usize = 6;

/// The middle of everything: where faults are judged and evidence is drawn.
pub fn middle(rig: &Rig) -> Corner {
    let Vehicle { supply, bands, .. } = &*rig.vehicle;
    Corner { supply: (supply.low + supply.high) / 2.0, high: vec![false; bands.len()], slow: false }
}

/// The corners for a walk through `acts` from rest.
pub fn corners<'a>(rig: &Rig, acts: impl Iterator<Item = &'a Act>) -> Vec<Corner> {
    let Vehicle { supply, controls, bands, .. } = &*rig.vehicle;
    let mut levels: Vec<(usize, f64)> = Vec::new();
    for (index, control) in controls.iter().enumerate() {
        if let Travel::Level(band) = control {
            levels.push((index, band.low));
        }
    }
    for act in acts {
        if let Act::Set { control, to: Setting::Level(level) } = act {
            levels.push((control.index(), *level));
        }
    }
    let straddled: Vec<usize> = (0..bands.len())
        .filter(|&band| {
            levels.iter().any(|&(control, level)| {
                control == bands[band].control.index() && bands[band].straddles(level)
            })
        })
        .collect();
    let supplies = if supply.is_point() { vec![supply.low] } else { vec![supply.low, supply.high] };
    let times: &[bool] = if rig.has_time_bands() { &[false, true] } else { &[false] };
    let mut corners = Vec::new();
    for &supply in &supplies {
        for &slow in times {
            for ends in choices(straddled.len()) {
                let mut high = vec![false; bands.len()];
                for (&band, end) in straddled.iter().zip(ends) {
                    high[band] = end;
                }
                corners.push(Corner { supply, high, slow });
            }
        }
    }
    corners
}

/// All choices of ends for so many bands, or the sample when there are too many.
fn choices(count: usize) -> Vec<Vec<bool>> {
    if count <= ALL_CORNERS_OF {
        return (0..1usize << count).map(|bits| (0..count).map(|at| bits >> at & 1 == 1).collect()).collect();
    }
    let mut sample = vec![vec![false; count], vec![true; count]];
    for alone in 0..count {
        sample.push((0..count).map(|at| at == alone).collect());
    }
    sample
}

/// The levels that tell a control's regions apart: its ends, and the middle between neighboring thresholds, so that none
/// lies inside a working band.
pub fn regions(rig: &Rig, control: usize) -> Vec<Setting> {
    divided(rig, control, &[])
}

/// The same with bands beside the vehicle's own.
pub fn divided(rig: &Rig, control: usize, beside: &[(f64, f64)]) -> Vec<Setting> {
    let range = match rig.vehicle.controls[control] {
        Travel::Positions(count) => return (0..count).map(Setting::Position).collect(),
        Travel::Level(range) => range,
    };
    let mut edges: Vec<(f64, f64)> = rig.thresholds(control);
    edges.extend(beside);
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut levels = Vec::new();
    let mut from = range.low;
    for (low, high) in edges {
        if low > from {
            levels.push(if levels.is_empty() { range.low } else { (from + low) / 2.0 });
        }
        from = from.max(high);
    }
    if from < range.high || levels.is_empty() {
        levels.push(if levels.is_empty() { range.low } else { (from + range.high) / 2.0 });
    }
    levels.into_iter().map(Setting::Level).collect()
}
