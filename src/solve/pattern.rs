//! Turns who is joined to whom, in order of elimination, into the places where the factor has entries.

use super::chain::NONE;

/// The entries of the factor, by column and by row. The reference's row isn't among them: every column has it.
#[derive(Debug)]
pub(super) struct Pattern {
    /// The entries of column `k` are `column[k]..column[k + 1]`.
    column: Vec<u32>,
    /// The row of each entry, ascending in a column.
    pub row: Vec<u32>,
    /// The column of each entry.
    pub col: Vec<u32>,
    /// The entries in row `k` are found by `across[k]..across[k + 1]`.
    across: Vec<u32>,
    /// Column and entry of the entries in a row.
    cross: Vec<(u32, u32)>,
}

impl Pattern {
    /// Finds the pattern row by row: row `i` has an entry in each column that is met on the way up the elimination
    /// tree from the nodes joined to `i` before it (Liu, "The role of elimination trees in sparse
    /// factorization", SIAM Journal on Matrix Analysis 11(1), 1990).
    ///
    /// Near and far positions of all links come as in [`Order`](super::order::Order). Cost: the number of entries found.
    pub fn new(size: usize, near: &[u32], far: &[u32]) -> Pattern {
        // Links by far node: who is joined to it before it.
        let mut starts = vec![0; size + 2];
        for &row in far {
            starts[row as usize + 1] += 1;
        }
        accumulate(&mut starts);
        let (mut below, mut next) = (vec![0; far.len()], starts.clone());
        for (&k, &row) in near.iter().zip(far) {
            below[next[row as usize] as usize] = k;
            next[row as usize] += 1;
        }
        let mut parent = vec![NONE; size];
        let mut seen = vec![NONE; size];
        let mut across = Vec::with_capacity(size + 1);
        let mut cross: Vec<(u32, u32)> = Vec::new();
        let mut column = vec![0; size + 1];
        across.push(0);
        for i in 0..size {
            seen[i] = i as u32;
            for &start in &below[starts[i] as usize..starts[i + 1] as usize] {
                let mut k = start as usize;
                while seen[k] != i as u32 {
                    seen[k] = i as u32;
                    if parent[k] == NONE {
                        parent[k] = i as u32;
                    }
                    cross.push((k as u32, 0));
                    column[k + 1] += 1;
                    k = parent[k] as usize;
                }
            }
            across.push(cross.len() as u32);
        }
        accumulate(&mut column);
        let mut next = column.clone();
        let mut row = vec![0; cross.len()];
        let mut col = vec![0; cross.len()];
        for i in 0..size {
            for (k, entry) in &mut cross[across[i] as usize..across[i + 1] as usize] {
                *entry = next[*k as usize];
                row[*entry as usize] = i as u32;
                col[*entry as usize] = *k;
                next[*k as usize] += 1;
            }
        }
        Pattern { column, row, col, across, cross }
    }

    /// The entries of column `k`.
    pub fn entries(&self, k: usize) -> std::ops::Range<usize> {
        self.column[k] as usize..self.column[k + 1] as usize
    }

    /// The rows of the entries of column `k`.
    pub fn rows(&self, k: usize) -> &[u32] {
        &self.row[self.entries(k)]
    }

    /// Column and entry of every entry in row `k`.
    pub fn crossing(&self, k: usize) -> &[(u32, u32)] {
        &self.cross[self.across[k] as usize..self.across[k + 1] as usize]
    }
}

/// Turns counts, each one place late, into starts.
pub(super) fn accumulate(counts: &mut [u32]) {
    for k in 1..counts.len() {
        counts[k] += counts[k - 1];
    }
}
