//! Turns folders with sources that cannot be read, and with none at all, into what a run says of them.

use crate::shelf::{Shelf, program};
use std::path::Path;
use std::process::Command;

/// What `prove` says: the codes of its findings with their headlines, one a line, and its exit code.
fn prove(mut command: Command, book: &Path) -> (String, Option<i32>) {
    let ended =
        command.args(["prove", "--format", "json", "--book"]).arg(book).stdout(std::process::Stdio::piped());
    let ended = ended.stderr(std::process::Stdio::piped()).output().expect("the program runs");
    let Ok(report) = serde_json::from_slice::<serde_json::Value>(&ended.stdout) else {
        return (String::from_utf8_lossy(&ended.stderr).to_string(), ended.status.code());
    };
    let findings = report["findings"].as_array().expect("a list");
    let lines = findings.iter().map(|finding| {
        let text = |key: &str| finding[key].as_str().expect("a text").to_string();
        format!("{} {}", text("code"), text("headline"))
    });
    (lines.collect::<Vec<_>>().join("\n"), ended.status.code())
}

#[test]
fn a_page_that_cannot_be_read_is_said() {
    let shelf = Shelf::new();
    let book = shelf.book("First");
    assert_eq!(prove(program(), &book), (String::new(), Some(0)), "the book is right");
    std::fs::write(book.join("content/notes.txt"), "no source").expect("the folder can be written");
    std::fs::write(book.join("content/NOTES.MD"), "+++\n").expect("the folder can be written");
    std::fs::write(book.join("content/latin.md"), [0x2b, 0xe4]).expect("the folder can be written");
    let (said, code) = prove(program(), &book);
    let expected = "unread-source `content/NOTES.MD` was not read: its name ends in capital letters; write the ending in small ones\n\
                    unread-source `content/latin.md` was not read: it is not UTF-8 text";
    assert_eq!((said.as_str(), code), (expected, Some(1)));
}

#[test]
#[cfg(target_os = "linux")]
fn a_link_a_strange_name_and_a_closed_folder_are_said() {
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::os::unix::process::CommandExt;
    let shelf = Shelf::new();
    let book = shelf.book("First");
    let closed = book.join("content/closed");
    std::fs::create_dir(&closed).expect("the folder can be written");
    symlink("reversing.md", book.join("content/again.md")).expect("a link");
    symlink("closed", book.join("content/linked")).expect("a link");
    symlink("nowhere", book.join("content/ignored.txt")).expect("a link");
    let strange = std::ffi::OsStr::from_bytes(b"circuits/\xff.toml");
    std::fs::write(book.join(strange), "").expect("the folder can be written");
    let open = std::fs::Permissions::from_mode(0o755);
    std::fs::set_permissions(&closed, std::fs::Permissions::from_mode(0o000)).expect("it is ours");
    std::fs::set_permissions(shelf.path(""), open.clone()).expect("it is ours");
    // Root may read everything: the program runs as nobody then, from where nobody can reach it.
    let copy = shelf.path("goodground");
    std::fs::copy(env!("CARGO_BIN_EXE_goodground"), &copy).expect("the program can be copied");
    let mut command = Command::new(&copy);
    if std::fs::read_dir(&closed).is_ok() {
        command.uid(65534);
    }
    let (said, code) = prove(command, &book);
    std::fs::set_permissions(&closed, open).expect("it is ours");
    for expected in [
        "`content/again.md` was not read: it is a link; put the file itself there",
        "`content/linked` was not read: it is a link; put the file itself there",
        "`circuits/\u{fffd}.toml` was not read: its name is not UTF-8",
        "`content/closed` was not read: the system says: ",
    ] {
        assert!(said.contains(expected), "{expected}\n{said}");
    }
    assert!(!said.contains("ignored"), "{said}");
    assert_eq!(code, Some(1));
}

#[test]
fn a_book_without_circuits_or_pages_is_said() {
    let shelf = Shelf::new();
    let book = shelf.book("First");
    for page in ["reversing.md", "reversing-checkout.md", "reversing-trouble.md"] {
        std::fs::remove_file(book.join("content").join(page)).expect("it was made");
    }
    let (said, _) = prove(program(), &book);
    let no_page = "unread-source `content/` was not read: there is no page in it, no file that ends in .md";
    assert!(said.contains(no_page), "{said}");
    std::fs::remove_file(book.join("circuits/reversing.toml")).expect("it was made");
    std::fs::remove_file(book.join("content/manual.toml")).expect("it was made");
    let (said, code) = prove(program(), &book);
    let no_circuit =
        "unread-source `circuits/` was not read: there is no circuit in it, no file that ends in .toml";
    assert!(said.contains(no_circuit) && said.contains(no_page), "{said}");
    assert_eq!(code, Some(1));
}
