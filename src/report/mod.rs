//! Turns findings, tables and the reference into terminal text and JSON; it decides nothing and prints nothing.

mod json;
mod proved;
mod reference;
mod text;

pub use json::{Counts, Fewest, Record, Report, records};
pub use proved::{differences, fewest, pairs, proved};
pub use reference::reference;
pub use text::{Look, findings, summary, wrap};
