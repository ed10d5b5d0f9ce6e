//! Turns neighboring columns that never stand side by side into one: a feed above, and what hangs from a lower bar below.

use super::contract::Net;

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
