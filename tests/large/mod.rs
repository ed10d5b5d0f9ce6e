//! Turns one function's sheet, checkout and troubleshooting page into a book of as many functions as wanted, on one feed.

use goodground::source::Sources;

/// What every function has, with its number for `@`.
const EACH: [(&str, &str); 3] = [
    ("circuits/s@.toml", include_str!("sheet.toml")),
    ("content/c@.md", include_str!("checkout.md")),
    ("content/t@.md", include_str!("trouble.md")),
];

/// A book of so many sheets in four builds: one with the supply, the others with a function each of about fifty faults.
pub fn book(sheets: usize) -> Sources {
    let mut sources = Sources::default();
    sources.add("content/manual.toml", include_str!("manual.toml"));
    sources.add("circuits/power.toml", include_str!("power.toml"));
    // A short of any of the wires from the bus looks the same from every function.
    let feeds: Vec<String> = (1..sheets).map(|number| format!("W{number}1")).collect();
    let feeds = feeds.join(", ");
    for number in 1..sheets {
        for (path, text) in EACH {
            let filled = |text: &str| text.replace("FEEDS", &feeds).replace('@', &number.to_string());
            sources.add(filled(path), filled(text));
        }
    }
    sources
}
