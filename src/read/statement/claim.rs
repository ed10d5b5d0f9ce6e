//! Turns the address of a claim into what is set up and what is expected.

use super::{Reader, Text};
use crate::book::{Expect, Setup};
use crate::source::Placed;

/// `key run, door open => H9 lit`.
pub fn claim(reader: &Reader, text: Text) -> Option<(Vec<Setup>, Vec<Expect>)> {
    let Some(arrow) = text.value.find("=>") else {
        reader.bad(
            text.span,
            "a claim says what follows from what",
            "for example `claim: key run => H9 lit`",
        );
        return None;
    };
    let before = reader.log.count();
    let left = Placed::new(&text.value[..arrow], text.span.within(0..arrow));
    let right = Placed::new(&text.value[arrow + 2..], text.span.within(arrow + 2..text.value.len()));
    let setup = reader.setups(left);
    let expects = reader.expects(right);
    (reader.log.count() == before).then_some((setup, expects))
}
