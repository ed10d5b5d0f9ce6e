//! Turns conductances into a factored nodal matrix, again only along the paths that changed, and solves with it.
//!
//! Column `k` of the factor holds what node `k` is joined to once all nodes before it are eliminated: a star of
//! conductances to later nodes and to the reference. Eliminating `k` turns the star into a mesh:
//!
//! `d(k) = g(k, ref) + sum over i of g(k, i)`, then `g(i, j) += g(k, i) * g(k, j) / d(k)` for all pairs, the reference included.
//!
//! With `L(i, k) = -g(k, i) / d(k)` and `D = diag(d)` this is the factorization `L D Lᵀ` of the nodal matrix, but
//! without a subtraction anywhere, so that each number keeps nearly full relative precision (Alfa, Xue and Ye, "Accurate
//! computation of the smallest eigenvalue of a diagonally dominant M-matrix", Mathematics of Computation 71, 2002).

use super::order::Order;

/// The factor's numbers. Its pattern is the [`Order`]'s.
#[derive(Debug)]
pub(super) struct Factor {
    /// Conductance of each entry, in siemens.
    pub(super) mesh: Vec<f64>,
    /// That conductance's part of all its column's.
    pub(super) share: Vec<f64>,
    /// Conductance from each node to the reference, in siemens.
    pub(super) ground: Vec<f64>,
    /// 1 / d of each node, in ohms; 0 where d is 0, at the datum of a floating island, which holds it at 0 V.
    pub(super) inverse: Vec<f64>,
    /// Columns to compute again, one bit each.
    pub(super) stale: Vec<u64>,
    /// Sums for the column being computed, by row; all zero between columns.
    pub(super) sums: Vec<f64>,
}

impl Factor {
    /// A factor of which every column has yet to be computed.
    pub fn new(order: &Order) -> Factor {
        let size = order.size();
        let mut stale = vec![u64::MAX; size / 64 + 1];
        stale[size / 64] = (1 << (size % 64)) - 1;
        Factor {
            mesh: vec![0.0; order.pattern.row.len()],
            share: vec![0.0; order.pattern.row.len()],
            ground: vec![0.0; size],
            inverse: vec![0.0; size],
            stale,
            sums: vec![0.0; size + 1],
        }
    }

    /// Notes that a conductance changed whose near position is `k`. The reference has no column.
    pub fn mark(&mut self, k: usize) {
        if k < self.inverse.len() {
            self.stale[k / 64] |= 1 << (k % 64);
        }
    }

    /// Computes the marked columns again and, as long as they change, the columns that they enter.
    ///
    /// A column is summed from its elements and from the columns before it, never corrected by a difference, so
    /// that opening a contact is as exact as closing it.
    /// Cost: for each such column, the entries of the columns that reach it. Nothing is allocated.
    /// Returns the position where the arithmetic overflowed, if it did.
    pub fn refresh(&mut self, order: &Order, siemens: &[f64]) -> Result<(), usize> {
        for word in 0..self.stale.len() {
            while self.stale[word] != 0 {
                let bit = self.stale[word].trailing_zeros();
                self.stale[word] &= !(1 << bit);
                let k = word * 64 + bit as usize;
                let changed = self.eliminate(order, siemens, k);
                if !self.inverse[k].is_finite() {
                    // It is still to be computed, once the value that spoiled it has changed.
                    self.mark(k);
                    return Err(k);
                }
                if changed {
                    // Not the parent alone: with an open contact between, a column may pass its change by.
                    for &row in order.pattern.rows(k) {
                        self.stale[row as usize / 64] |= 1 << (row % 64);
                    }
                }
            }
        }
        Ok(())
    }

    /// Computes column `k`; whether that changed it.
    fn eliminate(&mut self, order: &Order, siemens: &[f64], k: usize) -> bool {
        let (reference, pattern) = (order.size(), &order.pattern);
        for slot in order.slots(k) {
            self.sums[order.far[slot] as usize] += siemens[slot];
        }
        let mut ground = self.sums[reference];
        for &(earlier, entry) in pattern.crossing(k) {
            let (earlier, entry) = (earlier as usize, entry as usize);
            let share = self.share[entry];
            ground += share * self.ground[earlier];
            let tail = entry + 1..pattern.entries(earlier).end;
            for (&row, &mesh) in pattern.row[tail.clone()].iter().zip(&self.mesh[tail]) {
                self.sums[row as usize] += share * mesh;
            }
        }
        let (mut total, mut changed) = (ground, ground != self.ground[k]);
        for (&row, mesh) in pattern.rows(k).iter().zip(&mut self.mesh[pattern.entries(k)]) {
            let sum = &mut self.sums[row as usize];
            total += *sum;
            changed |= *mesh != *sum;
            *mesh = *sum;
            *sum = 0.0;
        }
        self.sums[reference] = 0.0;
        self.sums[k] = 0.0;
        self.ground[k] = ground;
        self.inverse[k] = match total {
            0.0 => 0.0,
            _ if total.is_finite() => 1.0 / total,
            _ => f64::NAN,
        };
        for entry in pattern.entries(k) {
            self.share[entry] = self.mesh[entry] * self.inverse[k];
        }
        changed
    }

    /// Turns currents into the nodes, by position, into the voltages that they make; the datum of a floating
    /// island gets 0 V. `x` has one entry more than there are columns, for the reference; it ends as 0.
    ///
    /// Cost: two passes over the factor's entries.
    pub fn solve(&self, order: &Order, x: &mut [f64]) {
        let size = order.size();
        let pattern = &order.pattern;
        for k in 0..size {
            // A change in a few places reaches only those on their way to the root.
            let amps = x[k];
            if amps != 0.0 {
                for (&row, &share) in pattern.rows(k).iter().zip(&self.share[pattern.entries(k)]) {
                    x[row as usize] += share * amps;
                }
            }
        }
        for (x, inverse) in x.iter_mut().zip(&self.inverse) {
            *x *= inverse;
        }
        x[size] = 0.0;
        let entries = pattern.row.iter().zip(&pattern.col).zip(&self.share);
        for ((&row, &col), &share) in entries.rev() {
            x[col as usize] += share * x[row as usize];
        }
    }
}
