//! Turns a proof into questions with computed answers: plain data, no wording. Every answer comes from the vehicle on the bench,
//! every wrong choice from a vehicle that differs in one thing, so that it can be said why it is wrong.
//!
//! ```text
//! Proof, live states ─> Lot draws a state, a fault, a part ─> Scene on the bench ─> the answer
//!                                                    └ varied in one thing ─> the wrong choices
//! ```

mod apart;
mod ask;
mod desk;
mod loads;
mod lot;
mod meter;
mod path;
mod question;
mod scene;
mod showing;
mod technicians;
mod wiring;

pub use ask::{EACH, ask, seed};
pub use lot::{Lot, hash};
pub use question::{Answer, Ask, Because, Choice, Question, Said, Sort};
pub use scene::{Scene, Variation, told_apart};
