//! Turns what cargo knows of the program's crates into the notices that a release carries. What may be linked in at all is held by
//! `cargo-deny` in `tests/run`.
//!
//! `REWRITE_NOTICES=1 cargo test --test all supply::` writes the notices anew.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Where the notices stand, which the program prints.
const NOTICES: &str = "src/command/notices.txt";

/// The crates of the program, and what of them it is linked from on any system.
fn crates() -> (Vec<Value>, BTreeSet<String>) {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_string());
    let output = Command::new(cargo)
        .args(["metadata", "--locked", "--format-version", "1"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let known: Value = serde_json::from_slice(&output.stdout).expect("cargo writes JSON");
    let text = |value: &Value| value.as_str().expect("a text").to_string();
    let list = |value: &Value| value.as_array().expect("a list").clone();
    let root = text(&known["resolve"]["root"]);
    let nodes: BTreeMap<String, Value> =
        list(&known["resolve"]["nodes"]).into_iter().map(|node| (text(&node["id"]), node)).collect();
    let (mut linked, mut open) = (BTreeSet::new(), vec![root.clone()]);
    while let Some(id) = open.pop() {
        for dependency in list(&nodes[&id]["deps"]) {
            let normal = list(&dependency["dep_kinds"]).iter().any(|kind| kind["kind"].is_null());
            let id = text(&dependency["pkg"]);
            if normal && linked.insert(id.clone()) {
                open.push(id);
            }
        }
    }
    let packages = list(&known["packages"]).into_iter().filter(|package| package["id"] != root.as_str());
    (packages.collect(), linked)
}

fn name(package: &Value) -> String {
    format!(
        "{} {}",
        package["name"].as_str().expect("a name"),
        package["version"].as_str().expect("a version")
    )
}

/// Folders within folders of a crate in which others' work may lie with its license.
const DEEP: usize = 4;

/// The texts that a crate comes with, and those of others' work in it. Where its license is a choice with MIT, that text alone of
/// its own.
fn texts(package: &Value) -> Vec<String> {
    let manifest = Path::new(package["manifest_path"].as_str().expect("a path"));
    let folder = manifest.parent().expect("a manifest stands in a folder");
    let license = package["license"].as_str().expect("a license");
    let named = |path: &Path| path.file_name().unwrap_or_default().to_string_lossy().to_uppercase();
    let words = ["LICENSE", "LICENCE", "COPYING", "NOTICE", "UNLICENSE"];
    let walk = walkdir::WalkDir::new(folder).max_depth(DEEP).sort_by_file_name();
    let mut files: Vec<PathBuf> = walk
        .into_iter()
        .filter_map(|entry| Some(entry.ok()?.into_path()))
        .filter(|path| path.is_file() && words.iter().any(|word| named(path).starts_with(word)))
        .collect();
    let own = |path: &PathBuf| path.parent() == Some(folder);
    if !license.contains("AND") && files.iter().any(|path| own(path) && named(path).contains("MIT")) {
        files.retain(|path| !own(path) || named(path).contains("MIT"));
    }
    let read = |path: &PathBuf| {
        let text = std::fs::read(path).expect("a license is read");
        let text = String::from_utf8_lossy(&text).replace("\r\n", "\n");
        text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n").trim().to_string()
    };
    let mut texts: Vec<String> = files.iter().map(read).collect();
    if texts.is_empty() {
        assert!(license.contains("MIT"), "{} has no license text", name(package));
        let authors = package["authors"].as_array().into_iter().flatten().filter_map(Value::as_str);
        let authors = authors.collect::<Vec<_>>().join(", ");
        texts.push(MIT.replace("{authors}", if authors.is_empty() { "its authors" } else { &authors }));
    }
    texts
}

/// The MIT license, as SPDX lists it, for a crate that names it and brings no text.
const MIT: &str = "MIT License

Copyright (c) {authors}

Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated documentation
files (the \"Software\"), to deal in the Software without restriction, including without limitation the rights to use, copy,
modify, merge, publish, distribute, sublicense, and/or sell copies of the Software, and to permit persons to whom the Software
is furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all copies or substantial portions of the Software.

THE SOFTWARE IS PROVIDED \"AS IS\", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES
OF MERCHANTABILITY, FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE AUTHORS OR COPYRIGHT HOLDERS BE
LIABLE FOR ANY CLAIM, DAMAGES OR OTHER LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM, OUT OF OR
IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE SOFTWARE.";

/// What a release has to say of others' work: each crate with its license, then each text once, with the crates that have it.
fn notices() -> String {
    let (packages, linked) = crates();
    let mut own: Vec<&Value> =
        packages.iter().filter(|package| linked.contains(package["id"].as_str().expect("an id"))).collect();
    own.sort_by_key(|package| name(package));
    let mut text = String::from(
        "Goodground is linked from Rust's standard library (MIT OR Apache-2.0) and these crates, each under its license:\n\n",
    );
    let mut by_text: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for package in own {
        let license = package["license"].as_str().expect("a license");
        writeln!(text, "  {}: {license}", name(package)).expect("a string");
        for license in texts(package) {
            let names = by_text.entry(license).or_default();
            names.push(name(package));
            names.dedup();
        }
    }
    let mut order: Vec<(&String, &Vec<String>)> = by_text.iter().collect();
    order.sort_by_key(|(_, names)| names.first().cloned());
    for (license, names) in order {
        write!(text, "\n--\n\n{}:\n\n{license}\n", names.join(", ")).expect("a string");
    }
    text
}

#[test]
fn the_program_carries_the_notices_of_all_that_it_is_linked_from() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(NOTICES);
    let wanted = notices();
    if std::env::var_os("REWRITE_NOTICES").is_some() {
        std::fs::write(&path, &wanted).expect("the notices are written");
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == wanted, "{NOTICES} is not what Cargo.lock asks for: REWRITE_NOTICES=1 writes it anew");
    let mut program = crate::shelf::program();
    let told =
        program.args(["about", "--notices"]).stdout(Stdio::piped()).output().expect("the program runs");
    assert!(String::from_utf8_lossy(&told.stdout) == wanted, "the program prints what is kept");
}
