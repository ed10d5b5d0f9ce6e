//! What somebody saw on a broken vehicle, to be held against what each fault would show.

use super::{Act, Expect};

/// What was seen after a step of a checkout, all steps before it done in their order.
#[derive(Debug, Clone)]
pub struct Sighting {
    /// The number of the step, counted from one.
    pub step: usize,
    /// What was done after the step, by hand.
    pub acts: Vec<Act>,
    pub saw: Saw,
}

/// What was seen.
#[derive(Debug, Clone)]
pub enum Saw {
    /// All that the step expects.
    Good,
    /// Something else than the step expects.
    Failed,
    /// These results, whether the step expects them or not.
    Shows(Vec<Expect>),
}
