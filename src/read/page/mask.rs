//! Turns a page's text into one of the same length in which the addresses of this book's own kind are plain words.
//!
//! A claim's address holds spaces, `=>` and line breaks, which an address in Markdown cannot. Masking them lets the
//! Markdown parser see a link; the real address is read from the author's text at the same bytes.

use super::field::inner;

/// Addresses that may hold more than a Markdown address.
const OWN: &[&str] = &["claim:", "draw:", "table:", "blame:", "good:", "fault:", "wrong:"];

/// Replaces white space and angle brackets within own addresses by letters. An address ends at `)`, or at `>)` when it
/// began with `<`; one that is not closed before the next empty line is left as it is.
pub fn mask(text: &str) -> String {
    let mut masked = text.as_bytes().to_vec();
    for (at, opening) in text.match_indices("](") {
        let start = at + opening.len();
        let angled = text[start..].starts_with('<');
        let inner = start + angled as usize;
        let scheme = text[inner..].trim_start();
        if !OWN.iter().any(|own| scheme.starts_with(own)) {
            continue;
        }
        let close = if angled { ">)" } else { ")" };
        let paragraph = text[inner..].find("\n\n").map_or(text.len(), |end| inner + end);
        let Some(length) = text[inner..paragraph].find(close) else {
            continue;
        };
        for byte in &mut masked[inner..inner + length] {
            if byte.is_ascii_whitespace() || matches!(byte, b'<' | b'>' | b'\\') {
                *byte = b'x';
            }
        }
    }
    fields(text, &mut masked);
    String::from_utf8(masked).expect("only ASCII bytes are replaced, by ASCII bytes")
}

/// A field is one word, whatever its id holds, also at the end of a heading.
fn fields(text: &str, masked: &mut [u8]) {
    for (at, _) in text.match_indices('{') {
        let escaped = text[..at].ends_with('\\');
        if let Some(length) = inner(&text[at..]).filter(|_| !escaped) {
            for byte in &mut masked[at..at + length + 2] {
                if byte.is_ascii() && !byte.is_ascii_alphanumeric() {
                    *byte = b'x';
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::mask;

    #[test]
    fn own_addresses_become_words_of_the_same_length() {
        let text = "See [it](<claim: a b => c d>) and [that](blame:K4, W41) but [not](this one).";
        let masked = mask(text);
        assert_eq!(masked.len(), text.len());
        assert_eq!(masked, "See [it](<claim:xaxbx=xxcxd>) and [that](blame:K4,xW41) but [not](this one).");
    }

    #[test]
    fn an_open_address_is_left_alone() {
        let text = "[it](claim: a => b\n\nnext)";
        assert_eq!(mask(text), text);
    }
}
