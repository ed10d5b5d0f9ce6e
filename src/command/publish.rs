//! `goodground publish`: proves a book and writes it as HTML.

use super::arguments::Publish;
use super::output::{self, Place};
use super::prove::{Extra, Proved, print, prove};
use super::say::tell;
use super::{Failure, Outcome, watch};
use crate::page::{Output, Request, pages};
use crate::proof::Memory;
use crate::proof::illustrate::illustrate;
use crate::study::{lab, quiz};

/// Runs the command, once or at every change.
pub fn run(arguments: &Publish) -> Result<Outcome, Failure> {
    let mut memory = Memory::default();
    watch::run(arguments.watch, &arguments.common.book, || publish(arguments, &mut memory))
}

fn publish(arguments: &Publish, memory: &mut Memory) -> Result<Outcome, Failure> {
    let book = &arguments.common.book;
    let out = arguments.out.clone().unwrap_or_else(|| book.join("book-out"));
    // Said before the proof, which takes its time.
    let place = Place::of(&out, book)?;
    let mut proved = prove(book, arguments.pairs, memory)?;
    let outputs = make(&mut proved, arguments.draft);
    print(&proved, arguments.common.format, Extra::default())?;
    let failed = proved.has_error();
    if failed && !arguments.draft {
        tell(
            "goodground: nothing is written while there are errors; --draft writes a book marked as unproven",
        );
        return Ok(Outcome::Findings);
    }
    output::write(&place, &outputs)?;
    tell(format_args!("  {} files in {}", outputs.len(), out.display()));
    Ok(if failed { Outcome::Findings } else { Outcome::Clean })
}

/// Makes every file of the book; what is wrong with its templates and texts joins the findings.
fn make(proved: &mut Proved, draft: bool) -> Vec<Output> {
    if proved.has_error() && !draft {
        return Vec::new();
    }
    let illustrations = illustrate(&proved.book);
    let questions =
        quiz::ask(&proved.book, &proved.proof, &illustrations.live, quiz::seed(&proved.book), quiz::EACH);
    let labs = lab::labs(&proved.book, &proved.proof, &illustrations.live);
    let request = Request {
        book: &proved.book,
        sources: &proved.folder.sources,
        proof: &proved.proof,
        illustrations: &illustrations,
        questions: &questions,
        labs: &labs,
        stamp: &proved.stamp,
        findings: &proved.findings,
        draft,
    };
    let (mut outputs, findings) = pages(&request);
    proved.findings.extend(findings.sorted());
    let images = proved.folder.images.iter();
    outputs.extend(images.map(|(path, bytes)| Output { path: path.clone(), bytes: bytes.clone() }));
    outputs
}
