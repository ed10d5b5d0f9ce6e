//! Turns a checkout and its faults into what a student finds who works on such a vehicle: every state that was computed, what is
//! seen in it and what instruments show, as plain data. What was not computed is not there, and nothing stands in for it.
//!
//! ```text
//! checkout ─> walk of the healthy vehicle ─┬─> shared nodes
//! each fault, planted ─────────────────────┴─> its own nodes from where it first matters, on through its procedure, and
//!                                              what leads and lights find in shared ones that it does not matter in yet
//! ```

mod broken;
mod explore;
mod graph;
mod healthy;
mod plan;
mod stand;
mod table;

pub use explore::labs;
pub use graph::{Edge, Lab, Looks, Node, Planted, sets};
pub use table::{Level, Levels, PATIENCE, View};
