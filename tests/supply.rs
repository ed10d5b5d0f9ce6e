//! Turns what cargo knows of the program's crates into whether each may be linked in, and into the notices that a release carries.
//!
//! `REWRITE_NOTICES=1 cargo test --test all supply::` writes the notices anew.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

/// SPDX ids that a program under the MIT license may link to; each asks for its text in a release at most.
const ALLOWED: &[&str] = &[
    "MIT",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

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

/// Whether an expression can be met with what is allowed.
fn is_allowed(expression: &str) -> bool {
    let Ok(expression) = spdx::Expression::parse_mode(expression, spdx::ParseMode::LAX) else { return false };
    expression.evaluate(|asked| match &asked.license {
        spdx::LicenseItem::Spdx { id, .. } => ALLOWED.contains(&id.name),
        spdx::LicenseItem::Other { .. } => false,
    })
}

#[test]
fn every_crate_may_be_used_and_comes_from_the_public_registry() {
    let (packages, _) = crates();
    assert!(packages.len() > 80, "{}", packages.len());
    for package in &packages {
        let license = package["license"].as_str().unwrap_or_default();
        assert!(is_allowed(license), "{}: {license:?}", name(package));
        let source = package["source"].as_str().unwrap_or_default();
        assert!(source.starts_with("registry+"), "{}: {source}", name(package));
    }
    println!("{} crates", packages.len());
}

#[test]
fn what_is_not_allowed_is_told() {
    assert!(
        is_allowed("MIT OR GPL-3.0")
            && is_allowed("(MIT OR Apache-2.0) AND Unicode-3.0")
            && is_allowed("MIT/Apache-2.0")
    );
    for license in ["GPL-3.0", "MIT AND GPL-3.0-only", "LicenseRef-own", ""] {
        assert!(!is_allowed(license), "{license}");
    }
}

/// The texts that a crate comes with: that of the MIT license alone where it is offered.
fn texts(package: &Value) -> Vec<String> {
    let folder = Path::new(package["manifest_path"].as_str().expect("a path"))
        .parent()
        .expect("a folder")
        .to_path_buf();
    let mut files: Vec<std::path::PathBuf> = std::fs::read_dir(folder)
        .expect("the crate's folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy().to_uppercase();
            path.is_file()
                && ["LICENSE", "LICENCE", "COPYING", "NOTICE", "UNLICENSE"]
                    .iter()
                    .any(|word| name.starts_with(word))
        })
        .collect();
    files.sort();
    if let Some(mit) = files.iter().find(|path| path.to_string_lossy().to_uppercase().contains("MIT")) {
        files = vec![mit.clone()];
    }
    let read = |path: &std::path::PathBuf| {
        let text = std::fs::read(path).expect("a license is read");
        let text = String::from_utf8_lossy(&text).replace("\r\n", "\n");
        text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n").trim().to_string()
    };
    files.iter().map(read).collect()
}

/// What a release has to say of others' work: each crate with its license, then each text once, with the crates that have it.
fn notices() -> String {
    let (packages, linked) = crates();
    let mut own: Vec<&Value> =
        packages.iter().filter(|package| linked.contains(package["id"].as_str().expect("an id"))).collect();
    own.sort_by_key(|package| name(package));
    let mut text = String::from("Goodground is linked from these crates, each under its license:\n\n");
    let mut by_text: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for package in own {
        let license = package["license"].as_str().expect("a license");
        writeln!(text, "  {}: {license}", name(package)).expect("a string");
        for license in texts(package) {
            by_text.entry(license).or_default().push(name(package));
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
