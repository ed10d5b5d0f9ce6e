//! Turns books into runs of the program itself: what it ends with, what it writes, and what it says of one state.

use crate::shelf::{Shelf, pages, program, revise};
use serde_json::Value;
use std::path::Path;
use std::process::{Output, Stdio};

/// Runs the program on a book and gives all that it says.
fn run(words: &[&str], book: &Path) -> Output {
    let mut command = program();
    command.args(words).arg("--book").arg(book).stdout(Stdio::piped()).stderr(Stdio::piped());
    command.output().expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("the program prints UTF-8")
}

const CHECKOUT: &str = "content/reversing-checkout.md";

/// The book of `shelf` with a result that its circuit does not give.
fn wrong(shelf: &Shelf) -> std::path::PathBuf {
    let book = shelf.book("wrong");
    revise(&book, CHECKOUT, |text| text.replace("- Expect: E1 lit, E2 lit", "- Expect: E1 lit, E2 dark"));
    book
}

#[test]
fn a_book_with_an_error_is_not_published_and_says_so_by_its_exit_code() {
    let shelf = Shelf::new();
    let book = wrong(&shelf);
    for words in [["prove"], ["publish"]] {
        assert_eq!(run(&words, &book).status.code(), Some(1), "{words:?}");
    }
    assert!(text(&run(&["publish"], &book).stderr).contains("nothing is written while there are errors"));
    assert!(!book.join("book-out/index.html").exists(), "nothing is written");
    assert_eq!(run(&["publish", "--draft"], &book).status.code(), Some(1));
    assert!(book.join("book-out/index.html").exists(), "a draft is written");
}

#[test]
fn a_book_with_warnings_only_is_published_with_the_images_of_its_author() {
    let shelf = Shelf::new();
    let book = shelf.book("warned");
    // A control that nothing answers to is worth a warning, no more.
    revise(&book, "circuits/reversing.toml", |text| {
        text.replace(
            "[controls]\n",
            "[controls]\nhorn = { positions = [\"up\", \"pressed\"], name = \"Horn\" }\n",
        )
    });
    std::fs::create_dir_all(book.join("content/pictures")).expect("the folder can be written");
    let picture = b"\x89PNG\r\n\x1a\n and so on";
    std::fs::write(book.join("content/pictures/lamp.png"), picture).expect("the folder can be written");
    let proved = run(&["prove", "--format", "json"], &book);
    let report: Value = serde_json::from_slice(&proved.stdout).expect("one JSON object");
    assert_eq!(report["counts"]["errors"], 0, "{report}");
    assert!(report["counts"]["warnings"].as_u64() > Some(0), "{}", report["counts"]);
    let published = run(&["publish"], &book);
    assert_eq!(published.status.code(), Some(0), "{}", text(&published.stderr));
    let written = pages(&book.join("book-out"));
    assert_eq!(written.get(Path::new("pictures/lamp.png")).map(Vec::as_slice), Some(&picture[..]));
}

#[test]
fn a_file_with_windows_line_ends_has_its_findings_at_the_same_places() {
    let shelf = Shelf::new();
    let book = wrong(&shelf);
    let found = |book: &Path| {
        let proved = run(&["prove", "--format", "json"], book);
        let report: Value = serde_json::from_slice(&proved.stdout).expect("one JSON object");
        report["findings"].as_array().expect("a list").clone()
    };
    let before = found(&book);
    assert!(
        before.iter().any(|finding| finding["code"] == "wrong-result" && finding["file"] == CHECKOUT),
        "{before:?}"
    );
    revise(&book, CHECKOUT, |text| format!("\u{feff}{}", text.replace('\n', "\r\n")));
    assert_eq!(found(&book), before);
}

#[test]
fn why_answers_for_the_build_that_the_state_names_with_the_reason_asked_for() {
    let boat = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/planted/boat");
    let ask = |words: &[&str]| {
        let answer = run(words, &boat);
        assert_eq!(answer.status.code(), Some(0), "{}", text(&answer.stderr));
        text(&answer.stdout)
    };
    let lamp = ask(&["why", "main on, test pressed"]);
    assert!(lamp.contains("H1") && !lamp.contains("B1"), "{lamp}");
    let buzzer = ask(&["why", "alarm buzzer, main on, test pressed"]);
    assert!(buzzer.contains("B1") && !buzzer.contains("H1"), "{buzzer}");
    assert!(
        buzzer.lines().any(|line| line.trim_start().starts_with("B1") && line.ends_with("sounding")),
        "{buzzer}"
    );

    let asked = ask(&["why", "main off, test pressed", "--part", "H1"]);
    let reason = asked.lines().skip_while(|line| !line.trim_start().starts_with("H1")).nth(1);
    assert!(reason.is_some_and(|reason| reason.contains("S1")), "the open switch is the reason: {asked}");
}

#[test]
fn a_drafts_note_counts_what_it_shows_and_names_the_rest() {
    let shelf = Shelf::new();
    let book = shelf.book("drafted");
    let drafted = run(&["draft", "checkout", "reversing"], &book);
    let note = text(&drafted.stderr);
    assert!(note.contains("show 60 of 61 faults") && note.contains("none shows BAT weak"), "{note}");
}

#[test]
fn the_closing_lines_count_what_is_shown_and_what_is_accepted() {
    let shelf = Shelf::new();
    let said = text(&run(&["prove"], &shelf.book("counted")).stdout);
    assert!(said.contains("60 of 61 faults shown, 1 accepted"), "{said}");
    assert!(said.contains("no findings"), "{said}");
}

#[test]
fn a_part_of_which_only_the_kind_is_written_is_told_and_ends_nothing() {
    let shelf = Shelf::new();
    for kind in ["relay", "timer", "contactor", "solenoid", "latching-relay"] {
        let book = shelf.book(kind);
        revise(&book, "circuits/reversing.toml", |text| format!("{text}\n[parts.K9]\nkind = \"{kind}\"\n"));
        let ended = run(&["prove"], &book);
        assert_eq!(ended.status.code(), Some(1), "{kind}: {}", text(&ended.stderr));
        assert!(text(&ended.stdout).contains("missing-key"), "{kind}");
    }
}

#[test]
fn why_tells_each_load_that_does_not_do_what_it_is_for() {
    let shelf = Shelf::new();
    let book = shelf.book("book");
    let ask = |state: &str| text(&run(&["why", state], &book).stdout);
    let amiss = |said: &str| -> Vec<String> {
        let lines = said.lines().filter(|line| line.contains("meant to work now"));
        lines.map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
    };
    assert_eq!(amiss(&ask("")), Vec::<String>::new());
    assert_eq!(amiss(&ask("key run, lever reverse")), Vec::<String>::new());
    let lost = ask("key run, lever reverse, with G2 lost");
    assert_eq!(amiss(&lost), ["E1 dark; it is meant to work now"]);
    assert!(lost.contains("open on the ground side at G2"), "{lost}");
    let stuck = ask("key run, with S2 1-2 stuck closed");
    assert_eq!(amiss(&stuck), ["E1 lit; it is not meant to work now", "E2 lit; it is not meant to work now"]);
}

#[test]
fn why_takes_a_wire_a_switch_a_plug_or_a_terminal_and_any_supply() {
    let shelf = Shelf::new();
    let book = shelf.book("book");
    let ask = |name: &str, supply: &str| {
        let answer = run(&["why", "key run, lever reverse", "--part", name, "--supply", supply], &book);
        (answer.status.code(), format!("{}{}", text(&answer.stdout), text(&answer.stderr)))
    };
    // Two lamps of 21 W at 12 V; a bulb's current goes with the 0.55th power of its volts (from memory, as in `tests/sneak.rs`), and wires and
    // contacts take less than a tenth.
    let amps = |said: &str| {
        let (before, _) = said.split_once(" A").expect("a current");
        let number = before.rsplit([' ', '(']).next().expect("a number");
        number.parse::<f64>().expect("a number")
    };
    let (code, wire) = ask("W1", "13.5 V");
    let told = wire.lines().find(|line| line.trim().starts_with("W1 ")).expect("the wire's line");
    assert!(code == Some(0) && told.contains(" from ") && told.contains(" to "), "{wire}");
    let full = amps(told);
    assert!((full / (2.0 * 21.0 / 12.0 * (13.5f64 / 12.0).powf(0.55)) - 1.0).abs() < 0.1, "{told}");
    let (_, low) = ask("W1", "6.75");
    let less = amps(low.lines().find(|line| line.trim().starts_with("W1 ")).expect("the wire's line"));
    assert!((less / full - 0.5f64.powf(0.55)).abs() < 0.1, "{low}");
    for (name, told) in [("S1", "closed, "), ("F1", "whole, "), ("F1:2", "13."), ("E1", "lit")] {
        let (code, said) = ask(name, "13.5");
        assert!(code == Some(0) && said.contains(told), "{name}: {said}");
    }
    for (name, supply) in [("Q9", "12"), ("W1", "500"), ("W1", "12 A"), ("W1", "much"), ("W1", "-3")] {
        assert_eq!(ask(name, supply).0, Some(2), "{name} at {supply}");
    }
}

#[test]
fn why_says_that_it_answers_for_what_could_be_read() {
    let shelf = Shelf::new();
    let book = shelf.book("half");
    let whole = run(&["why", ""], &book);
    assert_eq!((whole.status.code(), text(&whole.stderr).as_str()), (Some(0), ""));
    revise(&book, "circuits/reversing.toml", |text| format!("{text}\n[parts.K9]\nkind = \"relya\"\n"));
    let half = run(&["why", ""], &book);
    assert_eq!(half.status.code(), Some(1));
    assert!(
        text(&half.stderr).contains("not all of circuits/reversing.toml could be read"),
        "{}",
        text(&half.stderr)
    );
    assert_eq!(half.stdout, whole.stdout);
}

#[test]
fn suspects_are_told_with_the_next_test_until_one_is_left() {
    let shelf = Shelf::new();
    let book = shelf.book("book");
    let ask = |saw: &[&str]| {
        let saw = saw.iter().flat_map(|saw| ["--saw", saw]);
        let words: Vec<&str> = ["suspects", "reversing"].into_iter().chain(saw).collect();
        let answer = run(&words, &book);
        (answer.status.code(), format!("{}{}", text(&answer.stdout), text(&answer.stderr)))
    };
    let (code, begun) = ask(&[]);
    assert!(code == Some(0) && begun.starts_with("Nothing was seen yet.\nNext: step 1, "), "{begun}");
    let (code, half) = ask(&["step 3: E1 dark, E2 lit"]);
    assert!(code == Some(0) && half.contains("items give all that was seen"), "{half}");
    let next = half.lines().find_map(|line| line.trim().strip_prefix("--saw \"")?.split_once('"'));
    let (next, _) = next.expect("a sighting to go on with");
    let (code, more) = ask(&["step 3: E1 dark, E2 lit", next]);
    assert!(code == Some(0) && more.len() < half.len(), "{more}");
    // What contradicts itself fits nothing, and it is said which one stands in the way.
    let (code, none) = ask(&["step 3: E1 dark, E2 lit", "step 3: E1 lit"]);
    assert_eq!(code, Some(1));
    assert!(
        none.starts_with("No single fault") && none.contains("Some would without: step 3: E1 lit"),
        "{none}"
    );
    // What cannot be read is said with its place.
    for (bad, told) in [
        ("step 9 good", "there is no step 9"),
        ("E1 dark", "begins with the number of a step"),
        ("step 1 great", "does not say what was seen"),
        ("step 1; unplug E1 good", "does not say what was seen"),
        ("step 1: E7 dark", "There is no part `E7`"),
        ("step 1:", "nothing is expected"),
    ] {
        let (code, said) = ask(&[bad]);
        assert!(code == Some(2) && said.to_lowercase().contains(&told.to_lowercase()), "{bad}: {said}");
    }
}
