//! Turns a written link into its words and its address, each with its place.

use crate::read::form::Form;
use crate::source::Placed;

/// The addresses that a link may have beside those of pages. One with spaces stands in angle brackets.
pub const LINKS: &[Form] = &[
    Form::new(
        "PAGE.md#ANCHOR",
        "[Procedure 2](trouble.md#t2)",
        "A page, or a heading that ends in `{#t2}`; `#t2` alone is one of the same page.",
    ),
    Form::new(
        "blame:THINGS",
        "[Replace the lamp.](blame:H1)",
        "A verdict: the parts, wires and connectors that are bad, of which the reader makes one after the other good.",
    ),
    Form::new("blame:FAULT", "[Repair wire W1.](<blame:W1 open>)", "A verdict that names one way to fail."),
    Form::new("good:", "[All is well now.](good:)", "A verdict: nothing is wrong, or no more."),
    Form::new(
        "claim:SETUPS => RESULTS",
        "[The lamp lights](<claim: key run => H1 lit>)",
        "A sentence that is proved where it stands (`about claims`).",
    ),
    Form::new(
        "wrong:SETUPS => RESULTS",
        "[The lamp stays dark.](<wrong: key run => H1 dark>)",
        "Of a study page: a choice that must not hold.",
    ),
    Form::new(
        "part:PART",
        "[the relay](part:K4)",
        "A part's card; `wire:` and `connector:` likewise, `sheet:` a circuit.",
    ),
    Form::new(
        "fault:FAULT",
        "[an open wire](<fault:W1 open>)",
        "Where the book tells which steps show this fault.",
    ),
    Form::new(
        "draw:SHEET; SETUPS",
        "![The lamp is lit](<draw: example; key run>)",
        "An image: the circuit in this state, with its currents.",
    ),
    Form::new(
        "table:SHEET/LIST",
        "![All wires](table:example/wires)",
        "An image: a list of the sheet; steps, faults, wires, parts, connectors, grounds, fuses, reasons or colors.",
    ),
];

/// A link found in a line.
pub struct WrittenLink<'a> {
    pub before: Placed<&'a str>,
    pub words: Placed<&'a str>,
    pub address: Placed<&'a str>,
}

/// The first `[words](address)` of a text; the address may stand in angle brackets.
pub fn first_link<'a>(text: &Placed<&'a str>) -> Option<WrittenLink<'a>> {
    let middle = text.value.find("](")?;
    let open = text.value[..middle].rfind('[')?;
    let address = address_at(text.value, middle + 2)?;
    let piece =
        |range: std::ops::Range<usize>| Placed::new(&text.value[range.clone()], text.span.within(range));
    Some(WrittenLink { before: piece(0..open), words: piece(open + 1..middle), address: piece(address) })
}

/// The address of a link or image, whose whole text is given.
pub fn address_of<'a>(link: &Placed<&'a str>) -> Option<Placed<&'a str>> {
    let middle = link.value.rfind("](")?;
    let address = address_at(link.value, middle + 2)?;
    Some(Placed::new(&link.value[address.clone()], link.span.within(address)))
}

/// The range of an address that begins here, trimmed.
fn address_at(text: &str, start: usize) -> Option<std::ops::Range<usize>> {
    let angled = text[start..].starts_with('<');
    let (close, skip) = if angled { (">)", 1) } else { (")", 0) };
    let start = start + skip;
    let length = text[start..].find(close)?;
    let inner = &text[start..start + length];
    let from = start + (inner.len() - inner.trim_start().len());
    let to = from + inner.trim().len();
    Some(from..to)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{FileId, Span};

    #[test]
    fn words_and_address_are_found() {
        let text = "lit: go to [4.2](<#t4 2>), then";
        let placed = Placed::new(text, Span::new(FileId(0), 0..text.len()));
        let link = first_link(&placed).unwrap();
        assert_eq!(link.before.value, "lit: go to ");
        assert_eq!(link.words.value, "4.2");
        assert_eq!(link.address.value, "#t4 2");
        assert_eq!(&text[link.address.span.range()], "#t4 2");
    }
}
