//! `goodground publish`: proves a book and writes it as HTML.

use super::arguments::Publish;
use super::output::{self, CALL, Place, hash};
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
    // What is watched is being written: a page that is open shows it as it is, unproven.
    let draft = arguments.draft || arguments.watch;
    let mut outputs = make(&mut proved, draft, arguments.watch);
    if arguments.watch {
        outputs.push(call(&outputs));
    }
    print(&proved, arguments.common.format, Extra::default())?;
    let failed = proved.has_error();
    if failed && !draft {
        tell(
            "goodground: nothing is written while there are errors; --draft writes a book marked as unproven",
        );
        return Ok(Outcome::Findings);
    }
    output::write(&place, &outputs)?;
    let (files, out) = (outputs.len(), out.display());
    match arguments.watch {
        true => tell(format_args!("  a draft of {files} files in {out}; without --watch it is the book")),
        false => tell(format_args!("  {files} files in {out}")),
    }
    Ok(if failed { Outcome::Findings } else { Outcome::Clean })
}

/// What tells an open page that the book was written again: another hash than before.
fn call(outputs: &[Output]) -> Output {
    let all: String =
        outputs.iter().map(|output| format!("{} {}\n", output.path, hash(&output.bytes))).collect();
    let digits = hash(all.as_bytes());
    let script = format!("window.goodgroundWritten && window.goodgroundWritten(\"{digits}\");\n");
    Output { path: CALL.to_string(), bytes: script.into_bytes() }
}

/// Makes every file of the book; what is wrong with its templates and texts joins the findings.
fn make(proved: &mut Proved, draft: bool, watched: bool) -> Vec<Output> {
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
        watched,
    };
    let (mut outputs, findings) = pages(&request);
    proved.findings.extend(findings.sorted());
    let images = proved.folder.images.iter();
    outputs.extend(images.map(|(path, bytes)| Output { path: path.clone(), bytes: bytes.clone() }));
    outputs
}
