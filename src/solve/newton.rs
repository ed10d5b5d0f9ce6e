//! Turns a network out of balance into an operating point by Newton's method, warm from the last one.

use super::network::ElementId;
use super::point::{across, sum};
use super::solver::Solver;
use super::trouble::{LARGEST_AMPS, RESIDUAL_LIMIT, Trouble};

/// The solver goes on until the residual is below this part of the largest current: two decades under the promise,
/// three above what rounding leaves.
const RESIDUAL_AIM: f64 = 1e-11;

/// No current that the last solution of the linear network had to balance may exceed this, in amperes.
///
/// A solution loses about 1e-16 of the currents that it balances, which where all hangs on the 1e-7 S of a voltmeter
/// makes 1e-9 V for each ampere of them. A solution of greater currents (those from nothing are conductance times electromotive force) is
/// refined by one of what is left.
const LAST_FORCE: f64 = 100.0;

/// Iterations after which it is given up.
const MOST_ITERATIONS: u32 = 400;

/// Halvings of a step, at most: what is left of 1000 V is a picovolt.
const MOST_HALVINGS: i32 = 50;

/// A step that moves no node by more than this, in volts, needs no check: on the scale of a junction's slope of 25 mV every
/// law is all but straight that far, and so little of the function's descent is lost in rounding.
const SURE_STEP: f64 = 1e-3;

/// Currents, in amperes, below this are nothing: no residual is counted in parts of less.
///
/// In a vehicle in which nothing flows any more, rounding leaves some 1e-26 A out of balance.
const NO_AMPS: f64 = 1e-12;

impl Solver {
    /// Iterates until the point balances, checking steps after so many. `step` holds what the changes brought out of balance.
    pub(super) fn iterate(&mut self, unchecked: u32) -> Result<(), Trouble> {
        if !self.warm {
            self.balance();
        }
        if self.warm && !self.upset {
            // No change touched a current, so the voltages stay; but what was nothing beside a current that is gone may count now.
            let (worst, most) = (largest(&self.step[..self.point.order.size()]), self.most_amps());
            self.point.residual = worst / most.max(NO_AMPS);
            if self.point.residual <= RESIDUAL_AIM {
                self.point.iterations = 0;
                return Ok(());
            }
        }
        let mut residual = f64::INFINITY;
        let mut settled = false;
        for iteration in 0..MOST_ITERATIONS {
            let force = largest(&self.step[..self.point.order.size()]);
            let checked = iteration >= unchecked;
            if iteration == unchecked {
                self.follow(checked);
                self.balance();
            }
            self.advance(checked)?;
            settled = self.follow(checked);
            let rough = force > LAST_FORCE;
            if settled || rough || checked {
                let (worst, most) = self.balance();
                residual = worst / most.max(NO_AMPS);
                if settled && !rough && residual <= RESIDUAL_AIM {
                    self.point.residual = residual;
                    self.point.iterations = iteration + 1;
                    return self.certify();
                }
            }
        }
        if settled && residual > RESIDUAL_LIMIT {
            return Err(Trouble::Residual { residual });
        }
        Err(Trouble::NoConvergence { iterations: MOST_ITERATIONS })
    }

    /// Solves the linear network for the currents in `step` and adds the result to the voltages.
    fn advance(&mut self, checked: bool) -> Result<(), Trouble> {
        let point = &mut self.point;
        let order = &*point.order;
        let overflow = |at: usize| Trouble::Singular { node: order.node[at] };
        self.factor.refresh(order, &point.siemens).map_err(overflow)?;
        self.factor.solve(order, &mut self.step);
        if checked && largest(&self.step) > SURE_STEP {
            self.shorten();
        }
        let point = &mut self.point;
        let order = &*point.order;
        if !finite(&self.step) {
            let at = self.step.iter().position(|volts| !volts.is_finite()).unwrap_or(0);
            return Err(Trouble::Singular { node: order.node[at] });
        }
        for ((volts, rest), &step) in point.volts.iter_mut().zip(&self.step) {
            let (total, lost) = sum(*volts, step);
            *volts = total;
            *rest += lost;
        }
        Ok(())
    }

    /// Shortens the step until it descends.
    ///
    /// The current of every element rises with its voltage, so the operating point is the one minimum of a convex function of
    /// the voltages, the sum of all elements' co-contents (Millar, "Some general theorems for non-linear systems possessing
    /// resistance", Philosophical Magazine 42, 1951). Its slope along the step is the sum of each element's current
    /// times its part of the step. Newton's step goes down at first; halved until the slope at its end is well under that at
    /// its start, it leads to the minimum from anywhere.
    fn shorten(&mut self) {
        let order = &self.point.order;
        let slope = |part: f64| -> f64 {
            let ends = |slot: usize| (order.near[slot] as usize, order.far[slot] as usize);
            let rise = |slot: usize| self.step[ends(slot).0] - self.step[ends(slot).1];
            let volts =
                |slot: usize| across(&self.point.volts, ends(slot).0, ends(slot).1, part * rise(slot));
            let line =
                |slot: usize| self.point.siemens[slot] * (volts(slot) + self.emf[slot]) + self.source[slot];
            let lines: f64 = (0..order.link.len()).map(|slot| line(slot) * rise(slot)).sum();
            let seated = self.seats.iter().filter(|seat| !self.point.open[seat.element as usize]);
            let bends = seated.map(|seat| {
                let slot = seat.slot as usize;
                (seat.sign * seat.device.amps(seat.sign * volts(slot)) - line(slot)) * rise(slot)
            });
            lines + bends.sum::<f64>()
        };
        let enough = -0.5 * slope(0.0);
        let part =
            (0..MOST_HALVINGS).map(|halvings| 0.5_f64.powi(halvings)).find(|&part| slope(part) <= enough);
        let part = part.unwrap_or(0.0);
        self.step.iter_mut().for_each(|step| *step *= part);
    }

    /// Moves every device's tangent to its present voltage and leaves in `step` what that brought out of balance;
    /// whether all had settled.
    fn follow(&mut self, all_the_way: bool) -> bool {
        let mut settled = true;
        self.step.fill(0.0);
        for seat in &mut self.seats {
            let (near, far, slot) = (seat.near as usize, seat.far as usize, seat.slot as usize);
            if self.point.open[seat.element as usize] {
                continue;
            }
            let volts = seat.sign * across(&self.point.volts, near, far, 0.0);
            let moved = if all_the_way { seat.device.jump(volts) } else { seat.device.follow(volts) };
            settled &= moved.settled;
            if moved.excess != 0.0 || moved.turned {
                self.emf[slot] = -seat.sign * seat.device.tangent.volts;
                self.source[slot] = seat.sign * seat.device.tangent.amps;
                self.step[near] -= seat.sign * moved.excess;
                self.step[far] += seat.sign * moved.excess;
            }
            if moved.turned {
                self.point.siemens[slot] = seat.device.tangent.siemens;
                self.factor.mark(near);
            }
        }
        settled
    }

    /// Computes every link's current and leaves in `step` what each position is short of. Returns the worst
    /// imbalance and the largest current, in amperes.
    fn balance(&mut self) -> (f64, f64) {
        let point = &mut self.point;
        let order = point.order.clone();
        self.step.fill(0.0);
        let ends = order.near.iter().zip(&order.far);
        let laws = point.siemens.iter().zip(self.emf.iter().zip(&self.source));
        for (((&near, &far), (&siemens, (&emf, &source))), amps) in ends.zip(laws).zip(&mut point.amps) {
            let (near, far) = (near as usize, far as usize);
            *amps = siemens * across(&point.volts, near, far, emf) + source;
            self.step[near] -= *amps;
            self.step[far] += *amps;
        }
        (largest(&self.step[..order.size()]), self.most_amps())
    }

    /// The largest current of any link but loops, in amperes: one that comes back to its node has no part in the balance of any.
    fn most_amps(&self) -> f64 {
        largest(&self.point.amps[..self.point.order.loops().start])
    }

    /// Refuses a current that no part can carry.
    fn certify(&self) -> Result<(), Trouble> {
        let most = largest(&self.point.amps);
        if most <= LARGEST_AMPS {
            return Ok(());
        }
        let order = &self.point.order;
        let slot = self.point.amps.iter().position(|amps| amps.abs() == most).unwrap_or(0);
        let link = &order.chains.links[order.link[slot] as usize];
        let element = order.chains.elements(link).next().map(|(element, _)| element as u32);
        Err(Trouble::Contradictory {
            element: element.filter(|&id| id < self.point.own).map(ElementId),
            amps: most,
        })
    }
}

/// Values taken side by side, so that none waits for the one before it.
const LANES: usize = 8;

/// The largest magnitude.
fn largest(values: &[f64]) -> f64 {
    let mut most = [0.0_f64; LANES];
    let chunks = values.chunks_exact(LANES);
    for (most, value) in most.iter_mut().zip(chunks.remainder()) {
        *most = value.abs();
    }
    for chunk in chunks {
        for (most, value) in most.iter_mut().zip(chunk) {
            *most = if value.abs() > *most { value.abs() } else { *most };
        }
    }
    most.into_iter().fold(0.0, f64::max)
}

/// Whether no value is infinite or not a number.
fn finite(values: &[f64]) -> bool {
    let mut spoiled = [0.0; LANES];
    let chunks = values.chunks_exact(LANES);
    for (spoiled, value) in spoiled.iter_mut().zip(chunks.remainder()) {
        *spoiled = value * 0.0;
    }
    for chunk in chunks {
        for (spoiled, value) in spoiled.iter_mut().zip(chunk) {
            *spoiled += value * 0.0;
        }
    }
    spoiled == [0.0; LANES]
}
