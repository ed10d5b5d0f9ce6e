//! Turns two editions of a book, proved by the program itself, into what it says changed between them.

use serde_json::{Value, json};
use std::path::Path;
use std::process::{Command, Output};

/// Runs `goodground prove` in a folder.
fn prove(folder: &Path, more: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_goodground"));
    command.arg("prove").arg("--book").arg(folder).args(more);
    command.output().expect("the program runs")
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("the program prints UTF-8")
}

/// A step more, a blame less, and a fault that no longer shows where it did.
fn revise(folder: &Path, file: &str, from: &str, to: &str) {
    crate::shelf::revise(folder, file, |before| {
        assert_eq!(before.matches(from).count(), 1, "{from:?}");
        before.replacen(from, to, 1)
    });
}

#[test]
fn the_program_says_which_steps_faults_and_verdicts_changed_since_an_edition() {
    let place = tempfile::tempdir().expect("a folder");
    for (path, text) in crate::book::folder("tests/planted/blade") {
        let path = place.path().join(path);
        std::fs::create_dir_all(path.parent().expect("it is in a folder")).expect("the folder can be made");
        std::fs::write(path, text).expect("the folder can be written");
    }
    let first = prove(place.path(), &["--format", "json"]);
    assert_eq!(first.status.code(), Some(0), "{}", text(&first));
    let earlier = place.path().join("first.json");
    std::fs::write(&earlier, &first.stdout).expect("the folder can be written");
    let since = ["--since", earlier.to_str().expect("a plain path")];

    let same = prove(place.path(), &since);
    assert!(text(&same).ends_with("no step, fault or verdict changed\n"), "{}", text(&same));

    // The lamp test with the latch open no longer watches the pump, so that a shorted diode passes.
    let checkout = "content/blade-checkout.md";
    revise(
        place.path(),
        checkout,
        "- Expect: H1 lit, M1 stopped\n- If M1 running: [Procedure 7](blade-trouble.md#t7)\n",
        "- Expect: H1 lit\n",
    );
    revise(place.path(), "content/blade-trouble.md", "[Replace the ready lamp H1.]", "[Fit a new bulb.]");
    let changed = prove(place.path(), &since);
    assert_eq!(changed.status.code(), Some(1));
    let said = text(&changed);
    let says =
        |start: &str, also: &str| said.lines().any(|line| line.starts_with(start) && line.contains(also));
    assert!(says("step blade-checkout.md#c6: ", "is: H1 lit"), "{said}");
    assert!(says("fault D1 shorted in ", "is: not shown"), "{said}");
    assert!(says("verdict H1 open in ", "is: Fit a new bulb."), "{said}");

    let object = prove(place.path(), &[&since[..], &["--format", "json"]].concat());
    let object: Value = serde_json::from_slice(&object.stdout).expect("one JSON object and nothing else");
    let list = object["since"].as_array().expect("a list of what changed");
    let whats: Vec<&Value> = list.iter().map(|difference| &difference["what"]).collect();
    for what in ["step", "fault", "verdict"] {
        assert!(whats.contains(&&json!(what)), "{list:?}");
    }
    assert_eq!(list.len(), said.lines().rev().take_while(|line| !line.contains("proof stamp")).count());
}

#[test]
fn a_file_that_is_no_proof_is_said_to_be_none() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let failed = prove(
        &root.join("tests/planted/blade"),
        &["--since", root.join("Cargo.toml").to_str().expect("a plain path")],
    );
    assert_eq!(failed.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&failed.stderr).contains("is no proof in JSON"));
}
