//! Turns files in memory into ids, byte spans and line tables, and values into values that remember their place.
//!
//! It reads nothing from disk: `command` hands the texts in.

mod placed;
mod span;
mod text;

pub use placed::Placed;
pub use span::{FileId, Span};
pub use text::{Position, Sources, Text};
