//! Goodground turns circuits (TOML) and procedures (Markdown) into findings or a service manual.
//!
//! ```text
//!  files ─ command ─> source ─> read ─> Book ─┬─> bench (on solve) ─> proof ─> check ─> findings ─> report
//!                                             │                         ├─> study ─┐
//!                                             └─> draw ─────────────────┴──────────┴─> page ─> book-out
//! ```
//!
//! The `mod` lines below are in reading order, and that order is the law of imports: a room may import only
//! rooms above it. `tests/tidy.rs` holds the law, together with the narrower limits that DEVELOPERS.md states.

pub mod source;
pub mod quantity;
pub mod finding;
pub mod book;
pub mod read;
pub mod solve;
pub mod bench;
pub mod proof;
pub mod study;
pub mod check;
pub mod draft;
pub mod draw;
pub mod about;
pub mod page;
pub mod report;
pub mod command;

/// A book is made of millions of short texts, on every core at once: the system's allocator took a quarter of the time.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;
