//! Turns the ways in which a network has no acceptable operating point into names; it doesn't word them for a reader.

use super::network::{ElementId, NodeId};

/// The largest current, in amperes, that an accepted operating point may carry in any element.
///
/// A starter battery that is shorted at its posts gives a few thousand amperes and no vehicle source gives more
/// than ten thousand, so that ten times this can only mean two sources that hold different voltages against
/// each other with next to nothing in between.
pub const LARGEST_AMPS: f64 = 1e5;

/// The largest Kirchhoff residual of an accepted operating point, as a part of its largest element current.
///
/// The residual at a node is the sum of all currents out of it. The limit is the project's own promise;
/// the arithmetic allows several decades less, and the solver aims lower.
pub const RESIDUAL_LIMIT: f64 = 1e-9;

/// Why there is no operating point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Trouble {
    /// Stiff sources fight: this element would carry `amps`, more than [`LARGEST_AMPS`]. `None` for an attachment.
    Contradictory { element: Option<ElementId>, amps: f64 },
    /// The diodes and filaments didn't settle within the stated number of iterations.
    NoConvergence { iterations: u32 },
    /// The residual of Kirchhoff's current law stayed above [`RESIDUAL_LIMIT`].
    Residual { residual: f64 },
    /// The arithmetic overflowed at this node: conductances that no real part has.
    Singular { node: NodeId },
}
