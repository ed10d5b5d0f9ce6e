//! Turns what was proved, and the bench, into what a class works with: questions with computed answers and labs with planted
//! faults. Plain data, no wording, and no obligation of its own: a book is proved before anything is asked of it.

pub mod lab;
pub mod quiz;
