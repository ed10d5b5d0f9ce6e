//! Turns a set of controls into the states that a proof goes through: all of them where that can be, else all pairs and a sample.

use super::corners::regions;
use crate::bench::Rig;
use crate::book::{ControlId, Setting};

/// The states of some controls; the others stay at rest.
#[derive(Debug, Clone)]
pub struct States {
    pub controls: Vec<ControlId>,
    /// One setting for each control; those with fewest controls off rest come first.
    pub list: Vec<Vec<Setting>>,
    /// Whether the list holds every combination.
    pub complete: bool,
}

/// Up to so many states a set of controls is gone through whole.
pub const ALL: usize = 65_536;

/// How many further states are drawn when not all can be gone through.
const SAMPLE: usize = 8_192;

impl States {
    /// The states of `controls`, each at a setting for every region that the build's switches tell apart.
    pub fn of(rig: &Rig, controls: Vec<ControlId>) -> States {
        let choices: Vec<Vec<Setting>> = controls
            .iter()
            .map(|control| regions(rig.book, rig, control.index()))
            .collect();
        let count = choices
            .iter()
            .try_fold(1usize, |count, list| count.checked_mul(list.len()));
        let complete = count.is_some_and(|count| count <= ALL);
        let mut picks: Vec<Vec<usize>> = if complete {
            product(&choices, count.unwrap_or(0))
        } else {
            sample(&choices)
        };
        let off = |pick: &Vec<usize>| pick.iter().filter(|&&at| at != 0).count();
        picks.sort_by(|a, b| off(a).cmp(&off(b)).then_with(|| a.cmp(b)));
        picks.dedup();
        let list = picks
            .into_iter()
            .map(|pick| {
                pick.into_iter()
                    .enumerate()
                    .map(|(control, at)| choices[control][at])
                    .collect()
            })
            .collect();
        States {
            controls,
            list,
            complete,
        }
    }

    /// A state as settings of the controls.
    pub fn settings(&self, state: usize) -> Vec<(ControlId, Setting)> {
        self.controls
            .iter()
            .copied()
            .zip(self.list[state].iter().copied())
            .collect()
    }
}

fn product(choices: &[Vec<Setting>], count: usize) -> Vec<Vec<usize>> {
    let state = |mut number: usize| {
        let digits = choices.iter().map(|list| {
            let digit = number % list.len();
            number /= list.len();
            digit
        });
        digits.collect()
    };
    (0..count).map(state).collect()
}

/// Every pair of settings of every two controls with the others at rest, and a fixed pseudo-random draw
/// (the multiplier is that of Knuth's MMIX; the draw only has to be the same every time).
fn sample(choices: &[Vec<Setting>]) -> Vec<Vec<usize>> {
    let rest = vec![0; choices.len()];
    let mut picks = vec![rest.clone()];
    for (a, first) in choices.iter().enumerate() {
        for (b, second) in choices.iter().enumerate().skip(a + 1) {
            for x in 0..first.len() {
                for y in 0..second.len() {
                    let mut pick = rest.clone();
                    (pick[a], pick[b]) = (x, y);
                    picks.push(pick);
                }
            }
        }
    }
    let mut random = 1u64;
    for _ in 0..SAMPLE {
        let pick = choices.iter().map(|list| {
            random = random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (random >> 33) as usize % list.len()
        });
        picks.push(pick.collect());
    }
    picks
}
