//! Turns findings into terminal text and JSON; it decides nothing and prints nothing.

mod json;
mod proved;
mod text;

pub use json::{Counts, Fewest, Record, Report, records};
pub use proved::{differences, fewest, pairs, proved};
pub use text::{Look, findings, summary};
