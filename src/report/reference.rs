//! Turns a page of the reference into lines for a terminal: an excerpt stands indented under the name of its file, and what is
//! wrong in it is pointed at; text is filled to the width.

use super::text::wrap;

/// Columns of a line.
const WIDTH: usize = 80;

/// A page's text for a terminal.
pub fn reference(page: &str) -> String {
    let mut text = String::new();
    let mut piece = Piece::default();
    let mut excerpt = false;
    for line in page.lines() {
        if let Some(head) = line.strip_prefix("```") {
            piece.end(&mut text);
            if !excerpt {
                text.push_str(&format!("  in {}:\n\n", head.split(' ').next_back().unwrap_or_default()));
            }
            excerpt = !excerpt;
        } else if excerpt {
            let line = line.replace("# here", "<--").replace("<!-- here -->", "<--");
            text.push_str(format!("    {line}").trim_end());
            text.push('\n');
        } else if line.is_empty() || line.starts_with("    ") || line.starts_with('#') {
            piece.end(&mut text);
            match line.strip_prefix("## ") {
                Some(heading) => text.push_str(&format!("{heading}:\n")),
                None => text.push_str(&format!("{line}\n")),
            }
        } else {
            let inner = line.trim_start();
            let bullet = bullet(inner);
            if bullet > 0 {
                piece.end(&mut text);
                let indent = line.len() - inner.len();
                piece.first = format!("{}{}", " ".repeat(indent), &inner[..bullet]);
            }
            if !piece.text.is_empty() {
                piece.text.push(' ');
            }
            piece.text.push_str(inner[bullet..].trim());
        }
    }
    piece.end(&mut text);
    text
}

/// Letters of what stands in backticks and is not torn apart.
const WHOLE: usize = 40;

/// A space in what is not torn apart, while lines are broken.
const JOINED: &str = "\u{a0}";

/// A text in which what stands in backticks is one word, if it is short.
fn joined(text: &str) -> String {
    let pieces = text.split('`').enumerate().map(|(at, piece)| {
        let whole = at % 2 == 1 && piece.chars().count() <= WHOLE;
        if whole { piece.replace(' ', JOINED) } else { piece.to_string() }
    });
    pieces.collect::<Vec<_>>().join("`")
}

/// The length of the bullet or the number that an item begins with.
fn bullet(line: &str) -> usize {
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    match line {
        _ if line.starts_with("- ") => 2,
        _ if digits > 0 && line[digits..].starts_with(". ") => digits + 2,
        _ => 0,
    }
}

/// A paragraph or an item of a list while its lines are collected.
#[derive(Default)]
struct Piece {
    /// What its first line begins with; the others are indented as far.
    first: String,
    text: String,
}

impl Piece {
    fn end(&mut self, text: &mut String) {
        let piece = std::mem::take(self);
        if piece.text.is_empty() {
            return;
        }
        let indent = piece.first.chars().count();
        for (at, line) in wrap(&joined(&piece.text), WIDTH - indent).iter().enumerate() {
            let first = if at == 0 { piece.first.clone() } else { " ".repeat(indent) };
            text.push_str(&format!("{first}{}\n", line.replace(JOINED, " ")));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_excerpt_stands_under_its_file() {
        let page = "A slip.\n\n```md content/a.md\n- Expect: H9 lti <!-- here -->\n```\n\nRepair: mend it.\n";
        let text = "A slip.\n\n  in content/a.md:\n\n    - Expect: H9 lti <--\n\nRepair: mend it.\n";
        assert_eq!(reference(page), text);
    }

    #[test]
    fn text_is_filled_and_items_hang() {
        let long = "word ".repeat(20);
        let page = format!("## Keys\n\n- {long}\n  and more\n");
        let lines: Vec<String> = reference(&page).lines().map(str::to_string).collect();
        assert_eq!(lines[0], "Keys:");
        assert_eq!(lines[2], format!("- {}", "word ".repeat(15).trim_end()));
        assert_eq!(lines[3], format!("  {}and more", "word ".repeat(5)));
    }
}
