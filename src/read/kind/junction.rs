//! Turns splices and ground points into parts of one terminal.

use super::maker::Maker;
use crate::book::Kind;
use crate::read::key::{Key, Takes};

/// What a splice has.
pub const SPLICE: &[Key] = &[Key::may(
    "sealed",
    Takes::Flag,
    "a technician can probe it",
    "true",
    "Whether it is closed with heat-shrink sleeve, so that no probe reaches it.",
)];

/// The one terminal of a splice joins all its wires; that of a ground point is bonded to the body (31, DIN 72552).
pub fn junction(maker: &mut Maker) {
    let name = if maker.part.kind == Kind::Ground { "31" } else { "1" };
    maker.terminal(name);
    if maker.part.kind == Kind::Splice {
        maker.part.sealed = maker.table.flag("sealed", maker.log);
    }
}
