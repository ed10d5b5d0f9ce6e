//! Turns suspects and possible tests into the best next test, a tree, a checkout, as source text.
//!
//! ```text
//!  sheet ─> survey (what each state shows) ─> checkout (a page)
//!
//!  checkout + showings ─> lineup (who may be guilty) ─> candidate (what hands could do) ─> trial (what it would show)
//!                                                                                            │
//!                                         tree (a troubleshooting page) <─ sequence (what first) ─> best (how few)
//!                                                                              │
//!                                      what was seen ─> suspects (what fits) ──┘
//! ```

mod best;
mod bound;
mod candidate;
mod checkout;
mod lineup;
mod neighborhood;
pub mod sequence;
pub mod suspects;
mod survey;
mod tree;
mod trial;
mod verdict;
mod wording;

pub use best::{Best, best_possible};
pub use checkout::{Checkout, checkout};
pub use tree::{Troubleshooting, troubleshooting};
pub use wording::title;
