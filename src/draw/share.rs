//! Turns columns that never stand side by side into one: a feed above, and what hangs lower, or a ground point, below.

use super::collect::{Circuit, Piece};
use super::contract::{Member, Net};
use super::puzzle::grounded;

/// Joins neighbors of which one ends on a bar above the bar from which the other hangs. Nothing changes its side of
/// anything, so that no crossing is added.
pub(super) fn share(net: &Net, level: &[usize], mut columns: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let over = |upper: &[usize], lower: &[usize]| {
        let end = upper.last().and_then(|&path| net.paths[path].bottom);
        let start = lower.first().and_then(|&path| net.paths[path].top);
        matches!((end, start), (Some(end), Some(start)) if level[end] <= level[start])
    };
    let mut at = 0;
    while at + 1 < columns.len() {
        let (left, right) = (&columns[at], &columns[at + 1]);
        let joined = if over(left, right) {
            [left.as_slice(), right].concat()
        } else if over(right, left) {
            [right.as_slice(), left].concat()
        } else {
            at += 1;
            continue;
        };
        columns[at] = joined;
        columns.remove(at + 1);
        // The column to the left may now take this one.
        at = at.saturating_sub(1);
    }
    columns
}

/// Puts ground points to which only other drawings' wires come below columns that end high, where no bar passes between.
pub(super) fn tuck(
    circuit: &Circuit,
    net: &Net,
    level: &[usize],
    mut columns: Vec<Vec<usize>>,
) -> Vec<Vec<usize>> {
    let lone = |paths: &[usize]| match paths {
        [path] => matches!(net.paths[*path].members.as_slice(), [Member::Edge { edge, .. }, last]
            if matches!(circuit.edges[*edge].piece, Piece::Flag { .. }) && grounded(circuit, *last)),
        _ => false,
    };
    let mut at = 0;
    while at < columns.len() {
        if !lone(&columns[at]) {
            at += 1;
            continue;
        }
        let host = (0..columns.len())
            .find(|&column| column != at && open_below(circuit, net, level, &columns, column));
        match host {
            Some(host) => {
                let paths = columns[at].clone();
                columns[host].extend(paths);
                columns.remove(at);
            }
            None => at += 1,
        }
    }
    columns
}

/// Whether nothing of the drawing is below a column's end.
fn open_below(circuit: &Circuit, net: &Net, level: &[usize], columns: &[Vec<usize>], column: usize) -> bool {
    let paths = || columns[column].iter().map(|&path| &net.paths[path]);
    let Some(last) = paths().next_back() else {
        return false;
    };
    if last.bottom.is_some() || last.members.last().is_some_and(|&member| grounded(circuit, member)) {
        return false;
    }
    let Some(end) = paths().flat_map(|path| [path.top, path.bottom]).flatten().map(|bar| level[bar]).max()
    else {
        return false;
    };
    let joins = |paths: &Vec<usize>, bar: usize| {
        let ends = paths.iter().flat_map(|&path| [net.paths[path].top, net.paths[path].bottom]);
        ends.flatten().any(|other| other == bar)
    };
    (0..net.bars.len()).filter(|&bar| level[bar] > end).all(|bar| {
        let joined: Vec<usize> = (0..columns.len()).filter(|&at| joins(&columns[at], bar)).collect();
        let within = joined.first().is_some_and(|&first| first < column)
            && joined.last().is_some_and(|&last| column < last);
        !within
    })
}
