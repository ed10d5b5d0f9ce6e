//! Proves the demo book, changes one line of it, and holds what is proved again to what depends on that line.

use goodground::book::Book;
use goodground::proof::tables::tables;
use goodground::proof::{Memory, Proof, Silent, prove, prove_again, steps};
use goodground::source::Sources;
use std::collections::BTreeSet;

/// The demo book's files with one text replaced by another in one of them, which must have it.
fn demo(change: Option<(&str, &str, &str)>) -> Book {
    let mut sources = Sources::default();
    for (path, mut text) in crate::book::folder("") {
        if let Some((_, old, new)) = change.filter(|(file, _, _)| *file == path) {
            assert!(text.contains(old), "{path} has no {old:?}");
            text = text.replacen(old, new, 1);
        }
        sources.add(path, text);
    }
    goodground::read::read(&sources, &[]).0
}

/// The demo proved, and what was proved again after a change.
struct Demo {
    memory: Memory,
    book: Book,
    proof: Proof,
}

/// What of a proof had to be computed: results and walks by their pages, claims by their number, and whether the loads were.
#[derive(Debug, Default, PartialEq)]
struct Touched {
    results: BTreeSet<String>,
    walks: BTreeSet<String>,
    claims: Vec<usize>,
    loads: bool,
}

impl Demo {
    fn new() -> Demo {
        let (mut memory, book) = (Memory::default(), demo(None));
        let proof = prove_again(&book, &mut memory, &Silent);
        Demo { memory, book, proof }
    }

    /// Changes the demo as it was at first; what is proved of that is compared with the demo unchanged.
    fn change(&mut self, file: &str, old: &str, new: &str) -> (Book, Proof, Touched) {
        prove_again(&self.book, &mut self.memory, &Silent);
        let changed = demo(Some((file, old, new)));
        let proof = prove_again(&changed, &mut self.memory, &Silent);
        let touched = self.touched(&changed);
        (changed, proof, touched)
    }

    fn touched(&self, book: &Book) -> Touched {
        let pages = steps::checkouts(book);
        let path = |at: &usize| book.page(pages[at % pages.len()]).path.clone();
        Touched {
            results: self.memory.checkouts.computed.iter().map(path).collect(),
            walks: self.memory.rounds.computed.iter().map(path).collect(),
            claims: self.memory.claims.computed.clone(),
            loads: !self.memory.loads.computed.is_empty(),
        }
    }
}

fn pages(paths: &[&str]) -> BTreeSet<String> {
    paths.iter().map(ToString::to_string).collect()
}

#[test]
fn a_line_touches_only_what_depends_on_it() {
    let mut demo = Demo::new();
    let all = demo.touched(&demo.book);
    assert!(all.results.len() > 5 && all.claims.len() > 50 && all.loads, "{all:?}");
    let (heater, trouble) = ("heater-checkout.md", "heater-trouble.md");
    let page = |name: &str| format!("content/{name}");

    prove_again(&demo.book, &mut demo.memory, &Silent);
    assert_eq!(demo.touched(&demo.book), Touched::default(), "the same book is not proved again");

    let sheet = "circuits/power-and-grounds.toml";
    let words = [
        (page(heater), "title = \"", "title = \"The "),
        (page(heater), "The blower must stand still.", "The blower stands.\n\nIt must stand still."),
        (page(trouble), ": [Replace", ": [Please replace"),
        (page("heater.md"), "Terminal 75 is dead", "As was said, terminal 75 is dead"),
        (sheet.to_string(), "name = \"", "name = \"The "),
        (sheet.to_string(), "place = \"", "place = \"The "),
        ("circuits/heater-blower.toml".to_string(), "\"BN\"", "\"VT\""),
        (sheet.to_string(), "[parts.", "# A comment.\n[parts."),
    ];
    for (file, old, new) in words {
        let (.., touched) = demo.change(&file, old, new);
        assert_eq!(touched, Touched::default(), "{new:?} in {file}");
    }

    let (.., touched) = demo.change(&page(heater), "- Expect: M3 stopped", "- Expect: M3 running");
    let own = Touched { results: pages(&[heater]), walks: pages(&[heater]), ..Touched::default() };
    assert_eq!(touched, own, "a step touches its page");

    let (.., touched) = demo.change(&page(trouble), "- Read: M3", "- Read: P1");
    let led = Touched { walks: pages(&[heater]), ..Touched::default() };
    assert_eq!(touched, led, "a test touches the walks of the pages whose steps lead to it");
}

#[test]
fn what_a_line_decides_is_proved_again() {
    let mut demo = Demo::new();
    let page = "content/heater.md";
    let at = demo.book.claims.iter().position(|claim| demo.book.page(claim.page).path == "heater.md");
    let (.., touched) = demo.change(page, "(<claim:", "(<wrong:");
    assert_eq!(touched, Touched { claims: vec![at.expect("a claim")], ..Touched::default() });

    // What a checkout's sheet is decides which faults that it passes are told of, and which other checkouts pass tell of none.
    let (file, line) = ("content/starting-checkout.md", "circuit = \"starting\"\n");
    let (changed, proof, touched) = demo.change(file, line, "");
    assert_eq!(touched.walks.len(), steps::checkouts(&changed).len());
    let fresh = prove(&changed, &Silent);
    assert_eq!(proof.faults, fresh.faults);
    assert_ne!(proof.faults.len(), demo.proof.faults.len());

    let battery = ("circuits/power-and-grounds.toml", "internal = \"", "internal = \"1");
    let (changed, proof, touched) = demo.change(battery.0, battery.1, battery.2);
    assert!(touched.loads, "the battery's resistance touches every load");
    assert_eq!(touched.results.len(), steps::checkouts(&changed).len());
    assert_eq!(tables(&changed, &proof), tables(&changed, &prove(&changed, &Silent)));
}
