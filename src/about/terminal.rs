//! Turns a page of the reference into lines for a terminal: an excerpt stands indented under the name of its file, and what is
//! wrong in it is pointed at; text is filled to the width.

/// Columns of a line.
const WIDTH: usize = 80;

/// A page's text for a terminal.
pub fn terminal(page: &str) -> String {
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
            piece.words.extend(words(&inner[bullet..]));
        }
    }
    piece.end(&mut text);
    text
}

/// Letters of what stands in backticks and is not torn apart.
const WHOLE: usize = 40;

/// The words of a line; what stands in backticks is one, if it is short.
fn words(line: &str) -> Vec<String> {
    const JOINED: &str = "\u{a0}";
    let pieces =
        line.split('`').enumerate().map(|(at, piece)| match at % 2 == 1 && piece.chars().count() <= WHOLE {
            true => piece.replace(' ', JOINED),
            false => piece.to_string(),
        });
    let line = pieces.collect::<Vec<_>>().join("`");
    line.split([' ', '\t']).filter(|word| !word.is_empty()).map(|word| word.replace(JOINED, " ")).collect()
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

/// A paragraph or an item of a list while its words are collected.
#[derive(Default)]
struct Piece {
    /// What its first line begins with; the others are indented as far.
    first: String,
    words: Vec<String>,
}

impl Piece {
    fn end(&mut self, text: &mut String) {
        let first = std::mem::take(&mut self.first);
        let words = std::mem::take(&mut self.words);
        if words.is_empty() {
            return;
        }
        let hang = " ".repeat(first.chars().count());
        let mut line = first;
        let mut begun = false;
        for word in words {
            if begun && line.chars().count() + 1 + word.chars().count() > WIDTH {
                text.push_str(&format!("{line}\n"));
                line = format!("{hang}{word}");
                continue;
            }
            if begun {
                line.push(' ');
            }
            line.push_str(&word);
            begun = true;
        }
        text.push_str(&format!("{line}\n"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_excerpt_stands_under_its_file() {
        let page = "A slip.\n\n```md content/a.md\n- Expect: H9 lti <!-- here -->\n```\n\nRepair: mend it.\n";
        let text = "A slip.\n\n  in content/a.md:\n\n    - Expect: H9 lti <--\n\nRepair: mend it.\n";
        assert_eq!(terminal(page), text);
    }

    #[test]
    fn text_is_filled_and_items_hang() {
        let long = "word ".repeat(20);
        let page = format!("## Keys\n\n- {long}\n  and more\n");
        let lines: Vec<String> = terminal(&page).lines().map(str::to_string).collect();
        assert_eq!(lines[0], "Keys:");
        assert_eq!(lines[2], format!("- {}", "word ".repeat(15).trim_end()));
        assert_eq!(lines[3], format!("  {}and more", "word ".repeat(5)));
    }
}
