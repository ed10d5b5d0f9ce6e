//! `goodground prove`: reads and proves a book and prints what was found.

use super::arguments::{Format, Prove};
use super::folder::{self, Folder};
use super::progress::Bar;
use super::say::{is_colored, say, width};
use super::stamp::stamp;
use super::{Failure, Outcome, watch};
use crate::book::Book;
use crate::draft::best_possible;
use crate::finding::{Finding, Severity};
use crate::proof::Memory;
use crate::proof::edition::{Difference, differences};
use crate::proof::tables::{self, Tables, tables};
use crate::proof::{Fleet, Proof};
use crate::report::{self, Counts, Fewest, Look, Report};
use std::path::Path;

/// A proved book with everything that a page or a report is made of.
pub struct Proved {
    pub folder: Folder,
    pub book: Book,
    pub proof: Proof,
    pub findings: Vec<Finding>,
    /// Findings that are not told, since they may only follow from those that are.
    pub held_back: usize,
    pub stamp: String,
}

impl Proved {
    /// Whether the book may be published as proved.
    pub fn has_error(&self) -> bool {
        self.findings.iter().any(|finding| finding.code.severity() == Severity::Error)
    }
}

/// Runs the command, once or at every change.
pub fn run(arguments: &Prove) -> Result<Outcome, Failure> {
    let mut memory = Memory::default();
    let once = || {
        let proved = prove(&arguments.common.book, arguments.pairs, &mut memory)?;
        let since = arguments.since.as_deref();
        let since = since.map(|before| compare(&proved, before)).transpose()?;
        let fewest = arguments.fewest.then(|| fewest(&proved));
        let extra = Extra { since: since.as_deref(), fewest: fewest.as_deref() };
        print(&proved, arguments.common.format, extra)?;
        Ok(if proved.has_error() { Outcome::Findings } else { Outcome::Clean })
    };
    watch::run(arguments.watch, &arguments.common.book, once)
}

/// Reads and proves the book in a folder, with two faults at once where `pairs` asks for it; what an earlier run proved and
/// nothing has touched since is not proved again.
pub fn prove(place: &Path, pairs: bool, memory: &mut Memory) -> Result<Proved, Failure> {
    let folder = folder::read(place)?;
    let images: Vec<String> = folder.images.keys().cloned().collect();
    let (book, mut findings) = crate::read::read(&folder.sources, &images);
    let bar = Bar::new();
    let mut proof = crate::proof::prove_again(&book, memory, &bar);
    if pairs {
        proof.pairs = Some(crate::proof::pairs::prove(&book, &proof.faults, &mut memory.pairs, &bar));
    }
    bar.finish();
    findings.extend(crate::check::check(&book, &proof));
    let held_back = findings.held_back();
    let findings = findings.sorted();
    let stamp = stamp(&folder, &proof, &findings);
    Ok(Proved { folder, book, proof, findings, held_back, stamp })
}

/// What is printed when it was asked for.
#[derive(Clone, Copy, Default)]
pub struct Extra<'a> {
    /// What changed since an earlier proof.
    since: Option<&'a [Difference]>,
    /// How few tests each procedure could do with.
    fewest: Option<&'a [Fewest]>,
}

/// Prints the findings, what was proved, and what else was asked for.
pub fn print(proved: &Proved, format: Format, extra: Extra) -> Result<(), Failure> {
    let counts = Counts::of(&proved.findings, proved.held_back);
    let sources = &proved.folder.sources;
    match format {
        Format::Text => {
            let look = Look { color: is_colored(), width: width() };
            say(report::findings(&proved.findings, sources, look))?;
            say(format_args!("{}\n", report::proved(&proved.proof)))?;
            say(format_args!("{}\n", report::summary(counts, &proved.stamp, look.width)))?;
            let pairs = proved.proof.pairs.as_ref().map(|pairs| tables::pairs(&proved.book, pairs));
            say(pairs.map(|pairs| report::pairs(&pairs, look.width)).unwrap_or_default())?;
            say(extra.fewest.map(report::fewest).unwrap_or_default())?;
            say(extra.since.map(report::differences).unwrap_or_default())
        }
        Format::Json => {
            let tables = tables(&proved.book, &proved.proof);
            let report = Report {
                findings: report::records(&proved.findings, sources),
                counts,
                metrics: &proved.proof.metrics,
                stamp: &proved.stamp,
                tables: &tables,
                since: extra.since,
                fewest: extra.fewest,
            };
            let text = serde_json::to_string_pretty(&report).expect("plain data has a JSON form");
            say(format_args!("{text}\n"))
        }
    }
}

/// How few tests each procedure could do with.
fn fewest(proved: &Proved) -> Vec<Fewest> {
    let book = &proved.book;
    let fleet = Fleet::of(book);
    let found = best_possible(book, &fleet, &proved.proof.faults);
    let rows = found.into_iter().map(|best| Fewest {
        procedure: format!("{}#{}", book.page(best.procedure.page).path, book.section(best.procedure).anchor),
        vehicles: best.vehicles,
        tests: best.tests,
        fewest: best.best,
        exact: best.exact,
    });
    rows.collect()
}

/// What changed since an earlier proof.
fn compare(proved: &Proved, before: &Path) -> Result<Vec<Difference>, Failure> {
    #[derive(serde::Deserialize)]
    struct Earlier {
        tables: Tables,
    }
    let text = std::fs::read_to_string(before)
        .map_err(|error| Failure(format!("cannot read {}: {error}", before.display())))?;
    let earlier: Earlier = serde_json::from_str(&text)
        .map_err(|error| Failure(format!("{} is no proof in JSON: {error}", before.display())))?;
    Ok(differences(&earlier.tables, &tables(&proved.book, &proved.proof)))
}
