//! Turns findings into text for a terminal: the place, one sentence, the author's line, and what helps in columns below.

use super::json::{ALSO, Counts};
use crate::finding::{Finding, Severity};
use crate::source::{Sources, Span};
use console::{Style, measure_text_width};
use std::collections::BTreeMap;

/// How the text is set.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    /// Whether to color it by terminal codes.
    pub color: bool,
    /// Columns to fit into.
    pub width: usize,
}

/// All findings, one below the other with an empty line after each; many that say the same are told once.
pub fn findings(list: &[Finding], sources: &Sources, look: Look) -> String {
    let told = Told { sources, look };
    alike(list, sources).iter().map(|group| told.group(group)).collect()
}

/// The closing line: `2 errors, 1 warning; 63 more follow from what is wrong; proof stamp 3f…`.
pub fn summary(counts: Counts, stamp: &str, width: usize) -> String {
    let several = |count: usize, word: &str| match count {
        0 => None,
        1 => Some(format!("1 {word}")),
        _ => Some(format!("{count} {word}s")),
    };
    let found = [several(counts.errors, "error"), several(counts.warnings, "warning")];
    let found: Vec<String> = found.into_iter().flatten().collect();
    let found = if found.is_empty() { "no findings".to_string() } else { found.join(", ") };
    let more = match counts.held_back {
        0 => String::new(),
        1 => "; 1 more may follow from what is wrong above".to_string(),
        held => format!("; {held} more may follow from what is wrong above"),
    };
    wrap(&format!("{found}{more}; proof stamp {stamp}"), width).join("\n")
}

/// From how many on findings that say the same are told as one.
const MANY: usize = 3;

/// The findings, those together that say the same of several names in one file.
fn alike<'a>(list: &'a [Finding], sources: &Sources) -> Vec<Vec<&'a Finding>> {
    // Only what a reader sees at a glance to be of one sort: names in code marks, and nothing to look up elsewhere.
    let sort = |finding: &'a Finding| {
        let simple = finding.labels.is_empty() && sources.slice(finding.span).lines().count() <= 1;
        let names: Vec<&str> = finding.headline.split('`').step_by(2).collect();
        let remarks: Vec<_> = finding.remarks.iter().map(|told| (told.about, told.text.as_str())).collect();
        simple.then_some((finding.code, finding.span.file, names, remarks))
    };
    let mut counts = BTreeMap::new();
    for finding in list {
        *counts.entry(sort(finding)).or_insert(0) += 1;
    }
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    let mut begun = BTreeMap::new();
    for finding in list {
        let sort = sort(finding);
        if sort.is_none() || counts[&sort] < MANY {
            groups.push(vec![finding]);
            continue;
        }
        let at = *begun.entry(sort).or_insert(groups.len());
        match groups.get_mut(at) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups
}

/// Columns before a row's text: two, the longest word, and a gap.
const COLUMN: usize = 11;

/// What findings are told with.
struct Told<'a> {
    sources: &'a Sources,
    look: Look,
}

impl Told<'_> {
    /// Findings that say the same: the first, and where the others are.
    fn group(&self, group: &[&Finding]) -> String {
        let first = group[0];
        let file = self.sources.text(first.span.file);
        let position = file.position(first.span.start as usize);
        let severity = first.code.severity();
        let place = format!("{}:{}:{}", file.path, position.line, position.column);
        let weight = format!("{}, {}", severity.word(), first.code.name());
        let strong = self.style().bold();
        let colored = match severity {
            Severity::Error => strong.clone().red(),
            Severity::Warning => strong.clone().yellow(),
        };
        let gap = self.look.width.saturating_sub(measure_text_width(&place) + measure_text_width(&weight));
        // A narrow terminal has no room for both.
        let gap = if gap < 2 { "\n".to_string() } else { " ".repeat(gap) };
        let mut text = format!("{}{gap}{}\n", strong.apply_to(place), colored.apply_to(weight));
        for line in wrap(&sentence(&first.headline), self.look.width) {
            text.push_str(&format!("{line}\n"));
        }
        self.row(
            &mut text,
            &format!("line {}", position.line),
            &self.excerpt(first.span, self.room(), &colored),
        );
        for label in &first.labels {
            let place = self.sources.text(label.span.file);
            let line = place.position(label.span.start as usize).line;
            let place = match label.span.file == first.span.file {
                true => format!("line {line}"),
                false => format!("{}:{line}", place.path),
            };
            self.row(&mut text, ALSO, &format!("{}, {place}:", label.text));
            self.row(&mut text, "", &self.excerpt(label.span, self.room(), &strong));
        }
        if group.len() > 1 {
            let others = group[1..].iter().map(|finding| {
                let line = file.position(finding.span.start as usize).line;
                match finding.headline.split('`').nth(1) {
                    Some(name) => format!("`{name}` line {line}"),
                    None => format!("line {line}"),
                }
            });
            let others: Vec<String> = others.collect();
            let told = format!("{} more like it: {}", others.len(), others.join(", "));
            self.row(&mut text, ALSO, &told);
        }
        let mut before = "";
        for remark in &first.remarks {
            let word = remark.about.word();
            self.row(&mut text, if word == before { "" } else { word }, &remark.text);
            before = word;
        }
        text.push('\n');
        text
    }

    /// One row: a word in its column, and the text beside it.
    fn row(&self, text: &mut String, word: &str, told: &str) {
        for (number, line) in wrap(told, self.room()).iter().enumerate() {
            let word = if number == 0 { word } else { "" };
            // A line number of many digits moves its own row alone.
            let pad = " ".repeat((COLUMN - 2).saturating_sub(word.len()).max(1));
            text.push_str(format!("  {}{pad}{line}", self.style().dim().apply_to(word)).trim_end());
            text.push('\n');
        }
    }

    /// Columns for the text of a row.
    fn room(&self) -> usize {
        self.look.width - COLUMN
    }

    fn style(&self) -> Style {
        Style::new().force_styling(self.look.color)
    }

    /// The author's line, with what is wrong between marks or in color, and cut where the columns end.
    fn excerpt(&self, span: Span, room: usize, style: &Style) -> String {
        let text = &self.sources.text(span.file).content;
        let range = span.range();
        let start = text[..range.start].rfind('\n').map_or(0, |at| at + 1);
        let end = text[range.start..].find('\n').map_or(text.len(), |at| range.start + at);
        let stop = range.end.min(end);
        let [before, marked, after] =
            [&text[start..range.start], &text[range.start..stop], &text[stop..end]].map(shown);
        // What is wrong first, then what stands before it, then what follows.
        let room = room.saturating_sub(MARKS);
        let marked = cut(&marked, room);
        let room = room - measure_text_width(&marked);
        let before =
            cut_front(before.trim_start(), room.saturating_sub(TAIL.min(measure_text_width(&after))));
        let after = cut(after.trim_end(), room - measure_text_width(&before).min(room));
        match self.look.color {
            true => format!("{before}{}{after}", style.apply_to(marked).underlined()),
            false => format!("{before}»{marked}«{after}"),
        }
    }
}

/// Columns of the two marks.
const MARKS: usize = 2;

/// Columns that are kept for what follows the marked words, so that they are not seen alone.
const TAIL: usize = 12;

/// A text as a terminal can show it: a tab is one column wide, and nothing else moves the cursor.
fn shown(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}

/// A text cut at its end to so many columns.
fn cut(text: &str, room: usize) -> String {
    console::truncate_str(text, room, "…").into_owned()
}

/// A text cut at its beginning to so many columns.
fn cut_front(text: &str, room: usize) -> String {
    if measure_text_width(text) <= room {
        return text.to_string();
    }
    let mut kept: Vec<char> = Vec::new();
    let mut columns = 1;
    for letter in text.chars().rev() {
        columns += measure_text_width(letter.encode_utf8(&mut [0; 4]));
        if columns > room {
            break;
        }
        kept.push(letter);
    }
    std::iter::once('…').chain(kept.into_iter().rev()).take(room).collect()
}

/// A headline as a sentence: it begins with a capital, unless with a name, and ends with a point.
fn sentence(headline: &str) -> String {
    let mut letters = headline.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    let text = format!("{first}{}", letters.as_str());
    if text.ends_with(['.', '?', '!']) { text } else { format!("{text}.") }
}

/// Breaks a text at spaces into lines of a width; a longer word stands in a line alone.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split([' ', '\n', '\t']) {
        match lines.last_mut() {
            Some(line) if measure_text_width(line) + 1 + measure_text_width(word) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{About, Code};

    const PLAIN: Look = Look { color: false, width: 80 };

    #[test]
    fn the_summary_counts_in_words() {
        let counts = |errors, warnings, held_back| summary(Counts { errors, warnings, held_back }, "3f", 80);
        assert_eq!(counts(0, 0, 0), "no findings; proof stamp 3f");
        assert_eq!(counts(1, 0, 0), "1 error; proof stamp 3f");
        assert_eq!(counts(2, 1, 0), "2 errors, 1 warning; proof stamp 3f");
        assert_eq!(counts(0, 3, 1), "3 warnings; 1 more may follow from what is wrong above; proof stamp 3f");
    }

    fn doubled() -> (Sources, Finding) {
        let mut sources = Sources::default();
        let file = sources.add("circuits/a.toml", "[parts.K4]\n[parts.F7]\n[parts.K4]\n");
        let finding = Finding::new(Code::DuplicateId, Span::new(file, 29..31), "`K4` is defined twice")
            .label(Span::new(file, 7..9), "first defined here")
            .remark(About::Why, "an id stands for one thing in the whole book, whatever sheet it stands on")
            .remark(About::Why, "so no statement is in doubt")
            .hint("give one of them another id");
        (sources, finding)
    }

    #[test]
    fn a_finding_shows_its_line_its_other_place_and_what_helps() {
        let (sources, finding) = doubled();
        let expected = "\
circuits/a.toml:3:8                                          error, duplicate-id
`K4` is defined twice.
  line 3   [parts.»K4«]
  also     first defined here, line 1:
           [parts.»K4«]
  why      an id stands for one thing in the whole book, whatever sheet it
           stands on
           so no statement is in doubt
  mend     give one of them another id

";
        assert_eq!(findings(&[finding], &sources, PLAIN), expected);
    }

    #[test]
    fn a_narrow_terminal_gets_the_same_in_more_lines_and_colors_take_the_place_of_marks() {
        let (sources, finding) = doubled();
        let narrow = findings(std::slice::from_ref(&finding), &sources, Look { color: false, width: 30 });
        assert!(narrow.starts_with("circuits/a.toml:3:8\nerror, duplicate-id\n`K4` is"), "{narrow}");
        assert!(narrow.lines().all(|line| measure_text_width(line) <= 30), "{narrow}");
        let colored = findings(&[finding], &sources, Look { color: true, width: 80 });
        let plain = console::strip_ansi_codes(&colored).replace("[parts.K4]", "[parts.»K4«]");
        assert!(colored.contains('\u{1b}') && plain.contains("  line 3   [parts.»K4«]"), "{colored}");
    }

    #[test]
    fn what_is_said_of_many_names_is_said_once() {
        let mut sources = Sources::default();
        let file = sources.add("circuits/a.csv", "W1\nW2\nW3\nW4\n");
        let missing = |number: u8| {
            let at = usize::from(number - 1) * 3;
            let headline = format!("`W{number}` has no color");
            Finding::new(Code::MissingKey, Span::new(file, at..at + 2), headline).hint("write it")
        };
        let list: Vec<Finding> = (1..=4).map(missing).collect();
        let text = findings(&list, &sources, PLAIN);
        assert_eq!(text.matches("has no color").count(), 1, "{text}");
        assert!(text.contains("3 more like it: `W2` line 2, `W3` line 3, `W4` line 4"), "{text}");
        assert_eq!(findings(&list[..2], &sources, PLAIN).matches("has no color").count(), 2);
    }

    #[test]
    fn a_long_line_is_cut_around_what_is_wrong() {
        let mut sources = Sources::default();
        let line = format!("{}WRONG{}", "a".repeat(200), "b".repeat(200));
        let file = sources.add("content/a.md", line);
        let finding = Finding::new(Code::BadPage, Span::new(file, 200..205), "wrong");
        let text = findings(&[finding], &sources, PLAIN);
        let shown = text.lines().nth(2).unwrap();
        assert!(shown.contains("aa»WRONG«bb") && measure_text_width(shown) <= 80, "{shown}");
        assert!(shown.contains("…a") && shown.ends_with("b…"), "{shown}");
    }

    #[test]
    fn long_lines_are_broken_at_spaces() {
        assert_eq!(wrap("one two three four five six", 18), ["one two three four", "five six"]);
    }
}
