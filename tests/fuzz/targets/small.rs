//! Turns a fuzzer's bytes into a file of a small book, and the book into what the program says of it.

use goodground::check;
use goodground::proof::{Silent, prove};
use goodground::read;
use goodground::report::{self, Look};
use goodground::source::Sources;

/// A sheet with a bit of everything; `@` is where a target puts its own.
pub const SHEET: &str = r#"title = "Sheet"
[controls]
key = ["off", "run", "start"]
level = "0..100 mm"
[parts.BAT]
kind = "battery"
[parts.F1]
kind = "fuse"
rating = "10 A"
[parts.S1]
kind = "switch"
makes = { "1-2" = "key run" }
[parts.K1]
kind = "relay"
coil = { pins = "86-85", resistance = "85 ohm", pulls-in = "8 V", drops-out = "2 V" }
makes = { "30-87" = "energized" }
[parts.E1]
kind = "lamp"
rating = "12 V 5 W"
@
"#;

/// Wires of that sheet.
pub const WIRES: &str = r#"id,from,to,color,mm2,m,only
W1,BAT:+,F1:1,RD,2.5,1,
W2,F1:2,S1:1,RD,1,1,
W3,S1:2,K1:86,YE,1,1,
W4,K1:85,BAT:-,BN,1,1,
W5,F1:2,K1:30,RD,1,1,
W6,K1:87,E1:1,YE,1,1,
W7,E1:2,BAT:-,BN,1,1,
"#;

pub const PAGE: &str = r#"+++
title = "Checkout"
kind = "checkout"
circuit = "sheet"
+++

## Step 1: Lamp {#c1}

- Set: key run
- Expect: E1 lit
"#;

pub const MANUAL: &str = "title = \"Manual\"\nvehicle = \"Vehicle\"\nedition = \"1\"\n\n[options.cab]\nchoices = [\"low\", \"high\"]\n";

/// Reads a book and tells all that is wrong with it, in text and for programs; proves it where `proved`.
pub fn tell(files: &[(&str, &str)], proved: bool) {
    let mut sources = Sources::default();
    for (path, text) in files {
        sources.add(*path, *text);
    }
    let (book, mut findings) = read::read(&sources, &[]);
    if proved {
        let proof = prove(&book, &Silent);
        findings.extend(check::check(&book, &proof));
    }
    let findings = findings.sorted();
    for width in [80, 40] {
        let _ = report::findings(&findings, &sources, Look { color: false, width }).to_string();
    }
    let _ = report::records(&findings, &sources);
}

/// The book of this sheet, with these wires on it and this page about it.
pub fn book<'t>(sheet: &'t str, wires: &'t str, page: &'t str) -> [(&'t str, &'t str); 4] {
    [
        ("content/manual.toml", MANUAL),
        ("circuits/sheet.toml", sheet),
        ("circuits/sheet.csv", wires),
        ("content/check.md", page),
    ]
}

/// The sheet with a target's own lines, and its wire list.
pub fn sheet(own: &str) -> String {
    SHEET.replace('@', own) + "[harness.main]\nwires = \"sheet.csv\"\n"
}
