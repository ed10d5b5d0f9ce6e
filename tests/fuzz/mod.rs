//! Turns the demo's files into spoiled ones, and holds the reader to it that nothing an author can type brings it down.

use goodground::read;
use goodground::report::{self, Look};
use goodground::source::Sources;
use proptest::prelude::*;
use std::sync::LazyLock;

/// The demo's files with their paths.
static FILES: LazyLock<Vec<(String, String)>> =
    LazyLock::new(|| crate::book::folder("").into_iter().collect());

/// What an author's finger slips to.
const SLIPS: &[&str] = &[
    "",
    " ",
    "\"",
    "'",
    "[",
    "]",
    "(",
    ")",
    "<",
    ">",
    "=",
    ",",
    ";",
    ":",
    "|",
    "#",
    "{",
    "}",
    "\n",
    "\n\n",
    "- ",
    "é",
    "ü:",
    "::",
    "..",
    "0",
    "-1",
    "1e999",
    "and",
    "not",
    "claim:",
    "](",
    "](<claim:",
    "+++\n",
    "```\n",
    "> ",
    "`",
    "\\",
    "\t",
    "\u{0}",
];

/// Replaces up to so many bytes at a place, widened to whole characters.
fn slip(text: &mut String, at: usize, length: usize, instead: &str) {
    let mut start = at.min(text.len());
    let mut end = (start + length).min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    while !text.is_char_boundary(end) {
        end += 1;
    }
    text.replace_range(start..end, instead);
}

/// Reads files and looks at every finding: each place is in its file, and each is told within 80 columns.
fn read_and_tell(files: &[(String, String)]) -> Result<usize, TestCaseError> {
    let mut sources = Sources::default();
    for (path, text) in files {
        sources.add(path, text.clone());
    }
    let (_, findings) = read::read(&sources, &[]);
    let findings = findings.sorted();
    for finding in &findings {
        for span in [finding.span].into_iter().chain(finding.labels.iter().map(|label| label.span)) {
            let text = &sources.text(span.file).content;
            prop_assert!(text.get(span.range()).is_some(), "{finding:?} is not in its file");
        }
        let shown =
            report::findings(std::slice::from_ref(finding), &sources, Look { color: false, width: 80 });
        // What has no space in it can't be broken, and a label stands behind what it is about.
        let label = |line: &str| line.contains("--- ");
        let fits = |line: &str| line.chars().count() <= 80 || label(line) || !line.trim().contains(' ');
        prop_assert!(shown.lines().all(fits), "too wide:\n{shown}");
    }
    Ok(findings.len())
}

#[test]
fn the_demo_itself_is_read_without_a_word() {
    assert!(FILES.len() > 20);
    assert_eq!(read_and_tell(&FILES).expect("the demo is sound"), 0);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn slips_leave_the_reader_standing(
        slips in prop::collection::vec(
            (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0usize..24, prop::sample::select(SLIPS)),
            1..4,
        ),
    ) {
        let mut files = FILES.clone();
        for (file, at, length, instead) in slips {
            let file = file.index(files.len());
            let text = &mut files[file].1;
            let at = at.index(text.len() + 1);
            slip(text, at, length, instead);
        }
        read_and_tell(&files)?;
    }

    #[test]
    fn a_file_that_ends_anywhere_or_is_noise_leaves_the_reader_standing(
        file in any::<prop::sample::Index>(),
        at in any::<prop::sample::Index>(),
        noise in "[ -~\n\té€]{0,200}",
    ) {
        let mut files = FILES.clone();
        let file = file.index(files.len());
        let text = &mut files[file].1;
        let at = at.index(text.len() + 1);
        let rest = text.len() - at;
        slip(text, at, rest, &noise);
        read_and_tell(&files)?;
    }
}
