//! Turns a label's words into lines of a known width, without a font at hand.

/// Advance widths of the printable ASCII characters, in thousandths of the type size: the regular face of the common
/// grotesque sans family, whose metrics the usual substitutes share.
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
    500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469,
    556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
    278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];

/// For a character outside the table, such as an arrow or an accented capital.
const OTHER: u16 = 1000;

/// Substituted fonts differ by a few percent, and bold is wider: a label's box is kept this much wider than the table says.
const ALLOWANCE: f64 = 1.06;
const BOLD: f64 = 1.07;

/// The share of the type size that a text reaches above and below its baseline.
pub(super) const ASCENT: f64 = 0.76;
pub(super) const DESCENT: f64 = 0.22;

/// The width of a text in the units of `size`.
pub(super) fn width(text: &str, size: f64, bold: bool) -> f64 {
    let thousandths: u32 = text
        .chars()
        .map(|c| match c {
            ' '..='~' => u32::from(WIDTHS[c as usize - ' ' as usize]),
            '²' | '·' | '°' => 400,
            'à'..='ÿ' => 580,
            _ => u32::from(OTHER),
        })
        .sum();
    f64::from(thousandths) / 1000.0 * size * ALLOWANCE * if bold { BOLD } else { 1.0 }
}

/// Breaks a text at spaces (and after hyphens and slashes where a word is too long) into lines no wider than `limit`
/// where its words allow.
pub(super) fn wrap(text: &str, size: f64, limit: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width(line, size, false) + width(word, size, false) + size * 0.3 <= limit => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.extend(pieces(word, size, limit)),
        }
    }
    lines
}

/// A long word in pieces that end on its own hyphens, slashes and bars.
fn pieces(word: &str, size: f64, limit: f64) -> Vec<String> {
    let mut lines = vec![String::new()];
    for piece in word.split_inclusive(['-', '/', '|']) {
        let line = lines.last_mut().expect("there is always a line");
        if !line.is_empty() && width(line, size, false) + width(piece, size, false) > limit {
            lines.push(piece.to_string());
        } else {
            line.push_str(piece);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_stay_within_the_limit_where_words_allow() {
        let lines = wrap("Ready-lamp steering diode", 9.0, 60.0);
        assert_eq!(lines, ["Ready-lamp", "steering diode"]);
        assert!(lines.iter().all(|line| width(line, 9.0, false) <= 60.0));
        assert_eq!(wrap("extraordinarily-long/word", 9.0, 40.0).len(), 3);
    }

    /// 556 thousandths for a digit and 722 for a capital C: the published metrics of the face (from memory).
    #[test]
    fn widths_follow_the_table() {
        assert!((width("0C", 10.0, false) - 12.78 * ALLOWANCE).abs() < 1e-9);
    }
}
