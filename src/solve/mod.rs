//! Turns nodes, conductances, sources, diodes and filaments into a certified operating point; it knows no part, name or file.
//!
//! ```text
//!  Network ─> Chains ─> Order ─> Pattern ─> Factor ─┐
//!  (what is   (what is   (who is  (who meets (sums    ├─> Solver::solve ─> Point   (volts, amps, islands, residual)
//!   joined)    in series) first)   whom)      only)   │               └──> Trouble (why there is none)
//!  Device (a diode's or a filament's tangent) ────────┘
//! ```
//!
//! The nodal matrix of a network of conductances is a symmetric, diagonally dominant M-matrix. It is factored
//! here as a *star-mesh elimination*: off-diagonal conductances and each node's conductance to the reference are
//! carried instead of the diagonal, so that the whole factorization adds, multiplies and divides positive
//! numbers and never subtracts. Two things follow. Every number in the factor is right to nearly full relative
//! precision however far the conductances lie apart, from a 1 mΩ wire to a 10 MΩ meter (this is the
//! elimination of Grassmann, Taksar and Heyman, "Regenerative analysis and steady state distributions for
//! Markov chains", Operations Research 33(5), 1985). And the pivot of an island that no conductance
//! joins to the reference is exactly zero, so floating conductors are decided by connectivity, never by a
//! tolerance on a small pivot.
//!
//! All quantities are plain `f64` in SI units: volts, amperes, siemens, ohms.

mod attach;
mod chain;
mod copy;
mod device;
mod diode;
mod factor;
mod filament;
mod island;
mod network;
mod newton;
mod order;
mod pattern;
mod point;
mod solver;
mod trouble;

pub use diode::LEAKAGE;
pub use island::{FLOATING_BELOW, islands};
pub use network::{Attachment, Element, ElementId, Network, NodeId};
pub use point::Point;
pub use solver::Solver;
pub use trouble::{LARGEST_AMPS, RESIDUAL_LIMIT, Trouble};
