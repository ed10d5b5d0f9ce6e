//! Turns suspects and possible tests into the best next test, a tree, a checkout, as source text.

mod bound;
pub mod sequence;
