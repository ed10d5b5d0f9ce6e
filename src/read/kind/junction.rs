//! Turns splices and ground points into parts of one terminal.

use super::maker::Maker;
use crate::book::Kind;

/// The one terminal of a splice joins all its wires; that of a ground point is bonded to the body (31, DIN 72552).
pub fn junction(maker: &mut Maker) {
    let name = if maker.part.kind == Kind::Ground { "31" } else { "1" };
    maker.terminal(name);
    if maker.part.kind == Kind::Splice {
        maker.part.sealed = maker.table.flag("sealed", maker.log);
    }
}
