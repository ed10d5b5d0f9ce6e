//! Proves the demo book, changes one line of it, and holds what is proved again to what depends on that line.

use goodground::book::Book;
use goodground::proof::memory::{Memory, Piece};
use goodground::proof::tables::tables;
use goodground::proof::{Silent, prove, prove_again};
use goodground::source::Sources;

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

#[test]
fn a_line_touches_only_what_depends_on_it() {
    let mut memory = Memory::default();
    let book = demo(None);
    let first = prove_again(&book, &mut memory, &Silent);
    let all = memory.computed.len();
    assert!(all > 50, "{all} pieces");

    prove_again(&demo(None), &mut memory, &Silent);
    assert_eq!(memory.computed, [], "the same book is not proved again");

    let page = book.pages.iter().position(|page| page.path == "heater-checkout.md").expect("a checkout page");
    let title = format!("title = \"{}", book.pages[page].title);
    let renamed = demo(Some(("content/heater-checkout.md", &title, &format!("{title} again"))));
    let again = prove_again(&renamed, &mut memory, &Silent);
    let touched = |piece: &Piece| match piece {
        Piece::Checkout(at) | Piece::Faults(_, at) => at.index() == page,
        Piece::Claim(_) | Piece::Loads => false,
    };
    assert!(memory.computed.iter().all(touched), "{:?}", memory.computed);
    assert!(memory.computed.len() <= 1 + book.builds.len());
    assert_eq!(tables(&renamed, &again).metrics, tables(&book, &first).metrics);

    let wire = &book.wires[0];
    let file = format!("circuits/{}.toml", book.sheets[wire.sheet.index()].id);
    let (old, new) = (format!("\"{}\",", wire.id), format!("\"{}\" ,", wire.id));
    let moved = demo(Some((&file, &old, &new)));
    prove_again(&moved, &mut memory, &Silent);
    let circuits = |piece: &Piece| !touched(piece);
    assert!(!memory.computed.iter().any(circuits), "a blank touches nothing: {:?}", memory.computed);
}

#[test]
fn what_is_remembered_is_what_would_be_found() {
    let mut memory = Memory::default();
    prove_again(&demo(None), &mut memory, &Silent);
    let old = "internal = \"";
    let changed = demo(Some(("circuits/power-and-grounds.toml", old, "internal = \"1")));
    let again = prove_again(&changed, &mut memory, &Silent);
    assert!(memory.computed.contains(&Piece::Loads), "the battery's resistance touches every load");
    assert_eq!(tables(&changed, &again), tables(&changed, &prove(&changed, &Silent)));
}
