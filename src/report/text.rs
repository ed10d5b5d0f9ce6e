//! Turns findings into text for a terminal: the author's line with what is wrong underlined, and what helps below it.

use super::json::{Counts, severity_word};
use crate::finding::{Finding, Label, Severity};
use crate::source::{Sources, Span};
use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

/// How the text is set.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    /// Whether to color it by terminal codes.
    pub color: bool,
    /// Columns to fit into.
    pub width: usize,
}

impl Default for Look {
    fn default() -> Look {
        Look { color: false, width: 80 }
    }
}

/// All findings, one below the other with an empty line after each.
pub fn findings(list: &[Finding], sources: &Sources, look: Look) -> String {
    let renderer = if look.color { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.decor_style(DecorStyle::Ascii).term_width(look.width - MARK);
    let mut text = String::new();
    for finding in list {
        text.push_str(&one(finding, sources, &renderer, look.width));
        text.push_str("\n\n");
    }
    text
}

/// The closing line: `2 errors, 1 warning`.
pub fn summary(counts: Counts) -> String {
    let several = |count: usize, word: &str| match count {
        1 => format!("1 {word}"),
        _ => format!("{count} {word}s"),
    };
    match (counts.errors, counts.warnings) {
        (0, 0) => "no findings".to_string(),
        (errors, 0) => several(errors, "error"),
        (0, warnings) => several(warnings, "warning"),
        (errors, warnings) => format!("{}, {}", several(errors, "error"), several(warnings, "warning")),
    }
}

fn one(finding: &Finding, sources: &Sources, renderer: &Renderer, width: usize) -> String {
    let level = match finding.code.severity() {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let word = severity_word(finding.code.severity());
    let indent = word.len() + finding.code.name().len() + 4;
    let headline = wrap(&finding.headline, width, indent);
    let mut group = level.primary_title(headline).id(finding.code.name()).elements(
        files(finding)
            .into_iter()
            .map(|file| {
                let text = sources.text(file);
                let primary = (finding.span.file == file).then_some(finding.span);
                let labels: Vec<&Label> =
                    finding.labels.iter().filter(|label| label.span.file == file).collect();
                // The lines from the first to the last that is shown: a file of a thousand findings is cut a thousand times.
                let spans = || primary.into_iter().chain(labels.iter().map(|label| label.span));
                let lines = lines(&text.content, spans());
                let inside =
                    |range: std::ops::Range<usize>| range.start - lines.start..range.end - lines.start;
                let primary = primary
                    .map(|span| AnnotationKind::Primary.span(inside(visible(span, &text.content, width))));
                let labels = labels.iter().map(|label| {
                    let room = width - label.text.len().min(width);
                    AnnotationKind::Context
                        .span(inside(visible(label.span, &text.content, room)))
                        .label(label.text.as_str())
                });
                Snippet::source(text.content[lines.clone()].replace('\t', TAB))
                    .line_start(text.position(lines.start).line)
                    .path(text.path.as_str())
                    .annotations(primary.into_iter().chain(labels))
            })
            .collect::<Vec<_>>(),
    );
    for hint in &finding.hints {
        group = group.element(Level::HELP.message(wrap(hint, width, HINT)));
    }
    let report: &[Group] = &[group];
    renderer.render(report)
}

/// Columns that the mark of an error behind the last letter of a cut line takes.
const MARK: usize = 2;

/// Columns before the text of a hint.
const HINT: usize = 12;

/// Columns that line numbers and the marks of a cut line take.
const MARGIN: usize = 24;

/// What a tab is shown as: of one width, so that a line is cut where the columns end.
const TAB: &str = " ";

/// The file of the finding, then those of its labels, each once.
fn files(finding: &Finding) -> Vec<crate::source::FileId> {
    let mut files = vec![finding.span.file];
    for label in &finding.labels {
        if !files.contains(&label.span.file) {
            files.push(label.span.file);
        }
    }
    files
}

/// The bytes of all lines from the first to the last of some places.
fn lines(text: &str, spans: impl Iterator<Item = Span> + Clone) -> std::ops::Range<usize> {
    let start = spans.clone().map(|span| span.range().start).min().unwrap_or(0);
    let end = spans.map(|span| span.range().end).max().unwrap_or(0);
    let start = text[..start].rfind('\n').map_or(0, |at| at + 1);
    start..text[end..].find('\n').map_or(text.len(), |at| end + at)
}

/// A span cut to its first line and to what fits beside the line numbers; an empty one covers one letter.
fn visible(span: Span, text: &str, width: usize) -> std::ops::Range<usize> {
    let range = span.range();
    let line = text[range.clone()].lines().next().unwrap_or_default();
    let room = width.saturating_sub(MARGIN).max(20);
    let length = line.char_indices().nth(room).map_or(line.len(), |(end, _)| end);
    match text[range.start..].chars().next() {
        Some(letter) if length == 0 && letter != '\n' => range.start..range.start + letter.len_utf8(),
        _ => range.start..range.start + length,
    }
}

/// Breaks a text at spaces so that its first line fits after `indent` columns and the others too.
fn wrap(text: &str, width: usize, indent: usize) -> String {
    let room = width.saturating_sub(indent).max(20);
    let mut lines: Vec<String> = Vec::new();
    for word in text.split([' ', '\t']) {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Code;

    #[test]
    fn the_summary_counts_in_words() {
        let counts = |errors, warnings| Counts { errors, warnings };
        assert_eq!(summary(counts(0, 0)), "no findings");
        assert_eq!(summary(counts(1, 0)), "1 error");
        assert_eq!(summary(counts(2, 1)), "2 errors, 1 warning");
        assert_eq!(summary(counts(0, 3)), "3 warnings");
    }

    #[test]
    fn a_finding_shows_its_line_its_other_place_and_its_hint() {
        let mut sources = Sources::default();
        let file = sources.add("circuits/a.toml", "[parts.K4]\n[parts.F7]\n[parts.K4]\n");
        let finding = Finding::new(Code::DuplicateId, Span::new(file, 29..31), "`K4` is defined twice")
            .label(Span::new(file, 7..9), "first defined here")
            .hint("an id stands for one thing in the whole book, whatever sheet it stands on, so that no statement is in doubt");
        let expected = "\
error[duplicate-id]: `K4` is defined twice
 --> circuits/a.toml:3:8
  |
1 | [parts.K4]
  |        -- first defined here
2 | [parts.F7]
3 | [parts.K4]
  |        ^^
  |
  = help: an id stands for one thing in the whole book, whatever sheet it
          stands on, so that no statement is in doubt

";
        assert_eq!(findings(&[finding], &sources, Look::default()), expected);
    }

    #[test]
    fn long_lines_are_broken_at_spaces() {
        assert_eq!(wrap("one two three four five six", 30, 10), "one two three four\nfive six");
    }
}
