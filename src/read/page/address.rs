//! Turns a written link into its words and its address, each with its place.

use crate::source::Placed;

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
