//! Turns runs that print to a pipe that closes, to a full disk and to a terminal into how they end and what they print.

use crate::shelf::{Shelf, program};
use std::process::Stdio;

/// Every command, with arguments that make it print more than a pipe holds or at least a line.
const COMMANDS: [&[&str]; 7] = [
    &["prove"],
    &["prove", "--format", "json"],
    &["publish"],
    &["why", "key run"],
    &["draft", "checkout", "reversing"],
    &["about"],
    &["about", "wrong-result"],
];

#[test]
fn a_reader_who_has_seen_enough_ends_nothing() {
    let shelf = Shelf::new();
    let book = shelf.book("First");
    for arguments in COMMANDS {
        let mut command = program();
        command.args(arguments).current_dir(&book).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut run = command.spawn().expect("the program runs");
        drop(run.stdout.take());
        let ended = run.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&ended.stderr).to_string();
        assert_eq!(ended.status.code(), Some(0), "{arguments:?}: {said}");
        assert!(!said.contains("panicked"), "{arguments:?}: {said}");
    }
    assert!(book.join("book-out/index.html").exists(), "the book was written all the same");
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_is_said_and_is_no_crash() {
    let shelf = Shelf::new();
    let book = shelf.book("First");
    let full = || std::fs::File::options().write(true).open("/dev/full").expect("Linux has it");
    for arguments in COMMANDS {
        let ended =
            program().args(arguments).current_dir(&book).stdout(full()).stderr(Stdio::piped()).output();
        let ended = ended.expect("the program runs");
        let said = String::from_utf8_lossy(&ended.stderr).to_string();
        assert_eq!(ended.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains("cannot print"), "{arguments:?}: {said}");
        let ended = program().args(arguments).current_dir(&book).stdout(full()).stderr(full()).status();
        assert_eq!(ended.expect("the program runs").code(), Some(2), "{arguments:?}");
    }
}

#[test]
#[cfg(target_os = "linux")]
fn colors_are_for_terminals_that_have_them_and_people_who_want_them() {
    let shelf = Shelf::new();
    let book = shelf.book("First");
    let sheet = book.join("circuits/reversing.toml");
    let text = std::fs::read_to_string(&sheet).expect("the sheet");
    std::fs::write(&sheet, format!("nonsense = 1\n{text}")).expect("the folder can be written");
    let printed = |term: &str, no_color: Option<&str>| {
        // `script` runs a command on a terminal of its own.
        let mut command = std::process::Command::new("script");
        command.args(["-qec", &format!("'{}' prove", env!("CARGO_BIN_EXE_goodground")), "/dev/null"]);
        command.current_dir(&book).env("TERM", term).env_remove("NO_COLOR").stdin(Stdio::null());
        if let Some(value) = no_color {
            command.env("NO_COLOR", value);
        }
        let printed = command.output().expect("`script` runs");
        let printed = String::from_utf8_lossy(&printed.stdout).to_string();
        assert!(printed.contains("unknown-key"), "{printed}");
        printed
    };
    let code = '\u{1b}';
    // The bar draws over its line with codes too, so what is asked for is the color of a finding.
    let red = "\u{1b}[31m\u{1b}[1merror";
    assert!(printed("xterm-256color", None).contains(red));
    assert!(printed("xterm-256color", Some("")).contains(red), "an empty variable says nothing");
    assert!(!printed("xterm-256color", Some("1")).contains(red));
    assert!(!printed("dumb", None).contains(code), "no code at all");
}
