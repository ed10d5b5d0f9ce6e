//! Turns a book into fingerprints of what each piece of its proof depends on, and keeps the pieces whose fingerprint stays.
//!
//! The electrics of all sheets are one thing: a change of a wire's length touches every piece. A change of a name, a place, a
//! color or a comment touches none, and a change of a page touches that page and those whose steps lead to it.

use super::coverage::Walked;
use super::intent::{Breach, Judged};
use super::reasons::Reason;
use super::statements::Statement;
use super::steps::led_to;
use super::trouble::Counter;
use crate::book::{Book, BuildId, ClaimId, PageId};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::fmt::{Debug, Write};
use std::hash::{DefaultHasher, Hasher};

/// A part of a proof that is computed in one go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Piece {
    /// The expected results of a checkout page.
    Checkout(PageId),
    Claim(ClaimId),
    /// Every load against its intent, and the reasons of the parts.
    Loads,
    /// The faults of a build in a checkout.
    Faults(BuildId, PageId),
}

/// What a piece gave.
#[derive(Debug, Clone)]
pub enum Kept {
    Statements(Vec<Statement>),
    Loads(Vec<Breach>, Vec<Judged>, Vec<Reason>),
    Faults(Walked, Counter),
}

/// The pieces of earlier proofs of the same book.
#[derive(Debug, Default)]
pub struct Memory {
    pieces: BTreeMap<Piece, (u64, Kept)>,
    /// The pieces that the last proof had to compute.
    pub computed: Vec<Piece>,
}

impl Memory {
    /// Gives the pieces in order: those with the same fingerprint as before from memory, the others computed, in parallel.
    pub fn provide(&mut self, wanted: &[(Piece, u64)], compute: impl Fn(Piece) -> Kept + Sync) -> Vec<Kept> {
        let missing: Vec<(Piece, u64)> = wanted
            .iter()
            .copied()
            .filter(|(piece, print)| self.pieces.get(piece).is_none_or(|(before, _)| before != print))
            .collect();
        let computed: Vec<Kept> = missing.par_iter().map(|(piece, _)| compute(*piece)).collect();
        for ((piece, print), kept) in missing.into_iter().zip(computed) {
            self.computed.push(piece);
            self.pieces.insert(piece, (print, kept));
        }
        wanted.iter().map(|(piece, _)| self.pieces[piece].1.clone()).collect()
    }
}

/// The fingerprint of everything electrical, of the builds and of the fault catalogue.
pub fn vehicle(book: &Book) -> u64 {
    let mut print = Print(DefaultHasher::new());
    let manual = &book.manual;
    print.take(&(manual.supply, manual.temperature, &book.builds, &book.neighbors, &book.faults));
    for control in &book.controls {
        print.take(&(&control.id, &control.range));
    }
    for part in &book.parts {
        print.take(&(
            &part.id,
            part.kind,
            part.sheet,
            &part.fitted,
            &part.terminals,
            &part.elements,
            &part.states,
        ));
    }
    for wire in &book.wires {
        print.take(&(&wire.id, wire.ends, wire.size, wire.length, wire.harness, &wire.fitted));
    }
    for connector in &book.connectors {
        print.take(&(&connector.id, connector.joins, &connector.cavities));
    }
    for band in &book.bands {
        print.take(&(band.control, band.part, band.threshold, band.until));
    }
    print.0.finish()
}

/// The fingerprint of a piece: of the vehicle and of what is stated about it.
pub fn fingerprint(book: &Book, vehicle: u64, piece: Piece) -> u64 {
    let mut print = Print(DefaultHasher::new());
    print.take(&(vehicle, piece));
    match piece {
        Piece::Checkout(page) => print.roles(book, page),
        Piece::Claim(claim) => {
            let claim = &book.claims[claim.index()];
            print.take(&claim.setup);
            for expect in &claim.expects {
                print.take(&(expect.subject, &expect.look));
            }
        }
        Piece::Loads => {
            for intent in &book.intents {
                print.take(&(intent.part, intent.element, &intent.when));
            }
        }
        Piece::Faults(_, page) => {
            for page in led_to(book, page) {
                print.roles(book, page);
            }
        }
    }
    print.0.finish()
}

/// Takes things in by the text that describes them: equal things have equal texts.
struct Print(DefaultHasher);

impl Print {
    fn take(&mut self, thing: &dyn Debug) {
        // Writing into a hash cannot fail.
        let _ = write!(self, "{thing:?};");
    }

    /// What a page's sections are to the proof; their places in the page count, since walks refer to them.
    fn roles(&mut self, book: &Book, page: PageId) {
        self.take(&page);
        for section in &book.page(page).sections {
            self.take(&section.role);
        }
    }
}

impl Write for Print {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0.write(text.as_bytes());
        Ok(())
    }
}
