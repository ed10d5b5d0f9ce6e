//! Turns findings into terminal text and JSON; it decides nothing and prints nothing.

mod json;
mod text;

pub use json::{Counts, Entry, entries};
pub use text::{Look, findings, summary};
