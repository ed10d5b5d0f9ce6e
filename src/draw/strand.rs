//! Turns current paths into columns: a path that ends on a bar goes on straight below it where it can.

use super::contract::Net;

/// Paths that stand above one another in one column, top first; each ends on the bar from which the next hangs.
pub(super) struct Column {
    pub paths: Vec<usize>,
}

/// Joins paths at bars, the ones with the most on them first, so that a column reads from supply to ground.
pub(super) fn columns(net: &Net) -> Vec<Column> {
    let mut below: Vec<Option<usize>> = vec![None; net.paths.len()];
    let mut headed = vec![false; net.paths.len()];
    let reach = reaches(net);
    for bar in 0..net.bars.len() {
        let sorted = |mut paths: Vec<usize>| {
            paths.sort_by_key(|&path| (std::cmp::Reverse(reach[path]), path));
            paths
        };
        let uppers =
            sorted((0..net.paths.len()).filter(|&path| net.paths[path].bottom == Some(bar)).collect());
        let lowers = sorted((0..net.paths.len()).filter(|&path| net.paths[path].top == Some(bar)).collect());
        for (&upper, &lower) in uppers.iter().zip(&lowers) {
            below[upper] = Some(lower);
            headed[lower] = true;
        }
    }
    (0..net.paths.len())
        .filter(|&path| !headed[path])
        .map(|path| Column { paths: std::iter::successors(Some(path), |&path| below[path]).collect() })
        .collect()
}

/// How many members lie on the longest way down from each path's top.
fn reaches(net: &Net) -> Vec<usize> {
    let mut from_bar = vec![0; net.bars.len()];
    let mut reach = vec![0; net.paths.len()];
    for bar in (0..net.bars.len()).rev() {
        for (path, held) in net.paths.iter().enumerate() {
            if held.top == Some(bar) {
                reach[path] = held.members.len() + held.bottom.map_or(0, |bottom| from_bar[bottom]);
                from_bar[bar] = from_bar[bar].max(reach[path]);
            }
        }
    }
    for (path, held) in net.paths.iter().enumerate() {
        if held.top.is_none() {
            reach[path] = held.members.len();
        }
    }
    reach
}
