//! Turns the demo's files into spoiled ones, and holds the reader to it that nothing an author can type brings it down.

use crate::vehicle::Random;
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

/// Seconds that nothing which an author can type takes longer than, and bytes that nothing needs more of.
const LONGEST: f64 = 10.0;
const MOST: u64 = 1 << 30;

/// Spoils a book in a few places.
fn spoiled(random: &mut Random, files: &[(String, String)]) -> Vec<(String, String)> {
    let mut files = files.to_vec();
    for _ in 0..1 + random.below(3) {
        let file = random.below(files.len());
        let text = &mut files[file].1;
        let (at, length) = (random.below(text.len() + 1), random.below(24));
        match random.below(4) {
            // A piece of the same book, where it does not belong.
            0 => {
                let from = random.below(text.len() + 1);
                let piece: String = text.chars().skip(from).take(1 + random.below(60)).collect();
                slip(text, at, length, &piece);
            }
            1 => {
                let number = ["0", "1e308", "-1", "1e-320", "999999"][random.below(5)];
                slip(text, at, random.below(3), number);
            }
            _ => slip(text, at, length, SLIPS[random.below(SLIPS.len())]),
        }
    }
    files
}

/// The most that this process has ever held, in bytes, where the system tells.
fn held() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<u64>().ok().map(|kib| kib * 1024)
}

/// `MUTANTS=100000` for so many through the reader, and a tenth of them through all of a proof.
#[test]
fn spoiled_books_are_told_in_time_and_room() {
    let asked = std::env::var("MUTANTS").map(|count| count.parse::<usize>().expect("MUTANTS is a number"));
    let count = asked.clone().unwrap_or(300);
    let small: Vec<Vec<(String, String)>> = ["tests/planted/blade", "src/command/starter"]
        .map(|path| crate::book::folder(path).into_iter().collect())
        .into();
    let large =
        crate::large::book(2).iter().map(|(_, text)| (text.path.clone(), text.content.clone())).collect();
    let read: Vec<&Vec<(String, String)>> = [&*FILES, &large].into_iter().chain(&small).collect();
    let mut random = Random::new(41);
    let mut longest = (0.0, Vec::new());
    let mut timed = |files: Vec<(String, String)>, prove: bool| {
        let begun = std::time::Instant::now();
        let told = read_and_tell(&files);
        assert!(told.is_ok(), "{told:?}");
        if prove {
            let mut sources = Sources::default();
            for (path, text) in &files {
                sources.add(path, text.clone());
            }
            let (book, _) = read::read(&sources, &[]);
            let proof = goodground::proof::prove(&book, &goodground::proof::Silent);
            let findings = goodground::check::check(&book, &proof).sorted();
            let _ = report::findings(&findings, &sources, Look { color: false, width: 80 }).to_string();
        }
        let seconds = begun.elapsed().as_secs_f64();
        if seconds > longest.0 {
            longest = (seconds, files);
        }
    };
    for at in 0..count {
        timed(spoiled(&mut random, read[at % read.len()]), false);
    }
    for at in 0..count / 10 {
        timed(spoiled(&mut random, &small[at % small.len()]), true);
    }
    println!("{count} read, {} proved, longest {:.2} s, {:?} bytes", count / 10, longest.0, held());
    // Beside other tests, time and room are not this one's own.
    if asked.is_ok() {
        assert!(longest.0 < LONGEST, "{:.1} s: {:?}", longest.0, longest.1);
        assert!(held().is_none_or(|held| held < MOST), "{:?}", held());
    }
}
