//! Turns books into drafted pages, reads those back with the book, and proves that nothing of them is wrong.

use goodground::book::{Book, Item, Place, Suspect, Target};
use goodground::draft;
use goodground::proof::metrics::Metrics;
use goodground::proof::trouble::{End, target};
use goodground::proof::{self, Proof, Silent};
use goodground::source::Sources;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Output};

/// The book that `goodground new` writes.
const STARTER: &str = "src/command/starter";

/// A book of circuits only, with a relay, a motor, a gauge, a float switch with a working band, and an option.
const PUMP: &str = "tests/draft_books/pump";

/// A folder's files in memory, without the pages that a test drafts itself.
fn files(folder: &str, without: &[&str]) -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut found = Vec::new();
    for under in ["circuits", "content"] {
        for entry in walkdir::WalkDir::new(root.join(under)).sort_by_file_name() {
            let entry = entry.unwrap();
            let path = entry.path().strip_prefix(&root).unwrap().to_str().unwrap().to_string();
            let text = [".toml", ".md", ".csv"].iter().any(|ending| path.ends_with(ending));
            if text && !without.contains(&path.as_str()) {
                found.push((path, std::fs::read_to_string(entry.path()).unwrap()));
            }
        }
    }
    found
}

fn sources(files: &[(String, String)]) -> Sources {
    let mut sources = Sources::default();
    for (path, text) in files {
        sources.add(path.clone(), text.clone());
    }
    sources
}

/// The book as far as it can be read; pages that are still to be drafted are missing links.
fn read(files: &[(String, String)]) -> Book {
    goodground::read::read(&sources(files), &[]).0
}

/// A proved book with its findings, each as `file: code: headline`.
fn prove(files: &[(String, String)]) -> (Book, Proof, Vec<String>) {
    let sources = sources(files);
    let (book, mut findings) = goodground::read::read(&sources, &[]);
    let proof = proof::prove(&book, &Silent);
    findings.extend(goodground::check::check(&book, &proof));
    let lines = findings.sorted().into_iter().map(|finding| {
        let path = &sources.text(finding.span.file).path;
        format!("{path}: {}: {}", finding.code.name(), finding.headline)
    });
    let lines = lines.collect();
    (book, proof, lines)
}

/// Drafts both pages of a sheet into a book, first the checkout, then the troubleshooting for it.
fn draft_both(files: &mut Vec<(String, String)>, sheet: &str) -> (draft::Checkout, draft::Troubleshooting) {
    let book = read(files);
    let fleet = proof::Fleet::of(&book);
    let checkout = draft::checkout(&book, &fleet, book.find_sheet(sheet).unwrap());
    files.push((format!("content/{sheet}-checkout.md"), checkout.text.clone()));
    let book = read(files);
    let fleet = proof::Fleet::of(&book);
    let trouble = draft::troubleshooting(&book, &fleet, book.find_sheet(sheet).unwrap()).unwrap();
    files.push((format!("content/{sheet}-trouble.md"), trouble.text.clone()));
    (checkout, trouble)
}

#[test]
fn the_starter_book_proves_clean() {
    let (book, proof, lines) = prove(&files(STARTER, &[]));
    assert_eq!(lines, Vec::<String>::new());
    assert!(proof.statements.len() >= 12 && book.faults.len() > 50);
    assert!(
        proof.metrics.fraction_detected > 0.95 && proof.metrics.fraction_isolated[0] > 0.9,
        "{:?}",
        proof.metrics
    );
}

#[test]
fn drafted_pages_of_the_starter_prove_clean() {
    let mut files = files(STARTER, &["content/reversing-checkout.md", "content/reversing-trouble.md"]);
    let (checkout, trouble) = draft_both(&mut files, "reversing");
    let (book, proof, lines) = prove(&files);
    assert_eq!(lines, Vec::<String>::new());
    assert_eq!((checkout.steps, checkout.faults, trouble.procedures), (3, 61, 3));
    let unshown: Vec<&str> = checkout.unshown.iter().map(|&fault| book.fault(fault).name.as_str()).collect();
    assert_eq!(unshown, ["BAT weak"]);
    assert_eq!(proof.metrics.detected, 60);
    // What goes back to rest goes first, and a lead comes off before the next hand.
    assert!(checkout.text.contains("- Set: lever forward, key run\n"), "{}", checkout.text);
    assert!(trouble.text.contains("- Do: remove test light\n- Do: open X1\n"), "{}", trouble.text);
    // Shorts on wires that end in one splice are one to any hand: a verdict names them together.
    assert!(
        proof.metrics.fraction_isolated[0] > 0.93 && proof.metrics.fraction_isolated[2] == 1.0,
        "{:?}",
        proof.metrics
    );
}

/// Nothing is wrong with the drafted pages, and they show all that can go wrong.
#[test]
fn drafted_pages_of_a_pump_prove_clean() {
    let mut files = files(PUMP, &[]);
    let (checkout, trouble) = draft_both(&mut files, "pump");
    let (_, proof, lines) = prove(&files);
    assert_eq!(lines, Vec::<String>::new());
    assert_eq!((checkout.faults, checkout.unshown.len()), (proof.metrics.faults, 0));
    assert!(
        proof.metrics.faults > 110 && proof.metrics.detected == proof.metrics.faults,
        "{:?}",
        proof.metrics
    );
    assert!(proof.metrics.fraction_isolated[1] > 0.8, "{:?}", proof.metrics);
    for text in [&checkout.text, &trouble.text] {
        assert!(text.find("> **WARNING**").is_some_and(|at| at < text.find("- ").unwrap()), "{text}");
    }
    assert!(checkout.text.contains("- Expect: M1 running, B1 sounding, P1 "), "{}", checkout.text);
    assert!(checkout.text.contains("#t4b)"), "the buzzer is an option and has a procedure of its own");
}

#[test]
fn the_fewest_tests_possible_are_never_more_than_the_pages() {
    let (book, proof, _) = prove(&files(STARTER, &[]));
    let fleet = proof::Fleet::of(&book);
    let best = draft::best_possible(&book, &fleet, &proof.faults);
    let counts: Vec<usize> = best.iter().map(|best| best.vehicles).collect();
    assert_eq!((best.len(), counts.iter().sum::<usize>()), (3, proof.metrics.detected));
    for procedure in &best[..2] {
        assert_eq!(
            (procedure.tests, procedure.best),
            (1.0, 1.0),
            "one look tells the only suspect from no fault"
        );
    }
    let last = &best[2];
    assert!(last.best > 4.0 && last.best < last.tests, "{last:?}");
}

/// Runs the program itself.
fn goodground(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_goodground")).args(arguments).output().unwrap()
}

#[test]
fn a_new_book_proves_clean_and_its_pages_can_be_drafted_again() {
    let place = tempfile::tempdir().unwrap();
    let book = place.path().join("my book");
    let book = book.to_str().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let made = goodground(&["new", book]);
    assert_eq!((made.status.code(), text(&made.stderr)), (Some(0), String::new()));
    assert!(text(&made.stdout).contains("goodground prove"), "it says what to do next");
    let proved = goodground(&["prove", "--book", book, "--format", "json"]);
    assert_eq!(proved.status.code(), Some(0), "{}", text(&proved.stdout));
    let report: serde_json::Value = serde_json::from_slice(&proved.stdout).unwrap();
    assert_eq!(report["findings"], serde_json::json!([]));

    let again = goodground(&["new", book]);
    assert_eq!(again.status.code(), Some(2));
    assert!(text(&again.stderr).contains("is not empty"), "{}", text(&again.stderr));

    for what in ["checkout", "troubleshooting"] {
        let drafted = goodground(&["draft", what, "reversing", "--book", book]);
        assert_eq!(drafted.status.code(), Some(0), "{}", text(&drafted.stderr));
        let page = text(&drafted.stdout);
        assert!(page.starts_with("+++\ntitle = ") && page.contains(&format!("kind = \"{what}\"")), "{page}");
        let name = if what == "checkout" { "checkout" } else { "trouble" };
        std::fs::write(place.path().join(format!("my book/content/reversing-{name}.md")), page).unwrap();
    }
    assert_eq!(goodground(&["prove", "--book", book]).status.code(), Some(0));
    let unknown = goodground(&["draft", "checkout", "reverse", "--book", book]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(text(&unknown.stderr).contains("the book has reversing"), "{}", text(&unknown.stderr));
}

/// The demo's circuits with drafted pages only. Other sheets have none, so that faults which only those show stay unshown;
/// but nothing is found at a line of a drafted page.
#[test]
fn drafted_pages_of_demo_sheets_are_right() {
    let sheets = ["heater-blower", "cooling-fans"];
    let mut files = files(".", &[]);
    files.retain(|(path, _)| !path.ends_with(".md"));
    let manual = files.iter_mut().find(|(path, _)| path == "content/manual.toml").unwrap();
    let (before, after) = manual.1.split_once("pages = [").unwrap();
    manual.1 = format!("{before}{}", after.split_once("]\n").unwrap().1);
    for sheet in sheets {
        let (checkout, trouble) = draft_both(&mut files, sheet);
        let shown = 1.0 - checkout.unshown.len() as f64 / checkout.faults as f64;
        assert!(shown > 0.9 && checkout.steps >= 5, "{sheet}: {shown} in {} steps", checkout.steps);
        assert_eq!(trouble.procedures, checkout.steps, "{sheet}");
    }
    let (book, proof, lines) = prove(&files);
    let wrong: Vec<&String> = lines.iter().filter(|line| line.starts_with("content/")).collect();
    assert_eq!(wrong, Vec::<&String>::new());
    assert!(likeliest_first(&book, &proof) > 5);
    let Metrics { detected, fraction_isolated, mean_tests, .. } = proof.metrics;
    assert!(detected > 300 && fraction_isolated[2] > 0.7 && mean_tests < 6.0, "{:?}", proof.metrics);
}

/// Holds that each verdict names first what fails most often of all that comes to it. Returns how many had a choice.
fn likeliest_first(book: &Book, proof: &Proof) -> usize {
    let mut weights: BTreeMap<(Place, usize), BTreeMap<Item, f64>> = BTreeMap::new();
    for showing in &proof.faults {
        let walk = showing.shown.as_ref().and_then(|shown| shown.walk.as_ref());
        if let Some(End::At { place, outcome }) = walk.map(|walk| walk.end.clone()) {
            let fault = book.fault(showing.fault);
            *weights.entry((place, outcome)).or_default().entry(fault.item).or_default() +=
                fault.share(showing.build);
        }
    }
    let mut told = 0;
    for (&(place, outcome), weights) in &weights {
        let Target::Verdict { blames, .. } = target(book, place, outcome) else { continue };
        let named: Vec<f64> = blames
            .iter()
            .filter_map(|suspect| match suspect {
                Suspect::Item(item) => weights.get(item).copied(),
                _ => None,
            })
            .collect();
        let falls = named.windows(2).all(|pair| pair[0] >= pair[1] - 1e-9);
        assert!(falls, "{}: {named:?}", book.section(place).title);
        told += usize::from(named.windows(2).any(|pair| pair[0] > pair[1] + 1e-9));
    }
    told
}
