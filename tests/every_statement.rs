//! Turns every expected result and every claim of the demo book into its opposite, and holds that the proof fails just there.

use crate::book::{Files, folder};
use goodground::book::{Book, Expect, Face, Role, Subject};
use goodground::check;
use goodground::finding::{Code, Finding};
use goodground::proof::memory::Store;
use goodground::proof::statements::{Checkout, Claimed};
use goodground::proof::{Fleet, Proof, Silent, metrics};
use goodground::read;
use goodground::source::Sources;
use std::collections::{BTreeMap, BTreeSet};

/// A statement's place in its file and what turns it round.
struct Flip {
    file: String,
    range: std::ops::Range<usize>,
    code: Code,
    opposite: String,
}

/// A book with what the proof of its statements alone finds.
fn judge(files: &Files) -> (Sources, Book, Vec<Finding>) {
    let mut sources = Sources::default();
    for (path, text) in files {
        sources.add(path.as_str(), text.as_str());
    }
    let (book, found) = read::read(&sources, &[]);
    let reading: Vec<&Finding> = found.iter().filter(|finding| finding.code != Code::UnknownImage).collect();
    assert!(reading.is_empty(), "the book cannot be read: {reading:?}");
    let fleet = Fleet::of(&book);
    let results = Store::default().provide(&Checkout::all(&book, &fleet), &Silent);
    let claims = Store::default().provide(&Claimed::all(&book, &fleet), &Silent);
    let proof = Proof {
        statements: results.into_iter().chain(claims).flatten().collect(),
        intents: Vec::new(),
        judged: Vec::new(),
        reasons: Vec::new(),
        faults: Vec::new(),
        walks: 0,
        harms: Vec::new(),
        traffic: Vec::new(),
        healthy: Vec::new(),
        apart: Vec::new(),
        metrics: metrics::measure(&book, &[]),
        pairs: None,
    };
    let findings = check::check(&book, &proof).sorted();
    let wrong = |finding: &Finding| matches!(finding.code, Code::WrongResult | Code::FalseClaim);
    let findings = findings.into_iter().filter(wrong).collect();
    (sources, book, findings)
}

/// What a statement says when its looks are turned round.
fn opposite(book: &Book, expect: &Expect) -> String {
    let face = match expect.subject {
        Subject::Face { part, element } => book.part(part).elements[element].face(),
        _ => None,
    };
    let relay = matches!(expect.subject, Subject::Relay { .. });
    let text = expect.text.as_str();
    if let Some((before, upper)) = text.split_once("..") {
        let subject = before.rsplit_once(' ').expect("a subject stands before the band").0;
        return match subject.strip_suffix(" flashing") {
            Some(lamp) => format!("{lamp} flashing 1000..2000 per min"),
            None => {
                let (number, unit) = upper.split_once(' ').expect("a band has a unit");
                // Beyond the band, since a gauge that lies at its lowest mark lies on the edge of one.
                let beyond = 1.5 * number.parse::<f64>().expect("a band ends in a number");
                format!("{subject} above {beyond} {unit}")
            }
        };
    }
    for (from, to) in [(" above ", " below "), (" below ", " above ")] {
        if text.contains(from) {
            return text.replacen(from, to, 1);
        }
    }
    let (subject, word) = text.rsplit_once(' ').expect("a look stands after the subject");
    let word = match word {
        "lit" | "dim" | "flashing" => "dark",
        "dark" => "lit",
        "sounding" | "faint" => "quiet",
        "quiet" => "sounding",
        "stopped" if face == Some(Face::Starter) => "cranks",
        "running" | "slow" | "cranks" | "backwards" => "stopped",
        "stopped" => "running",
        "hot" | "warm" => "cold",
        "cold" => "hot",
        "pulled" | "weak" => "released",
        "released" if relay => "energized",
        "released" => "pulled",
        "energized" => "released",
        "set" => "reset",
        "reset" => "set",
        other => panic!("`{text}`: `{other}` has no opposite here"),
    };
    format!("{subject} {word}")
}

/// Every statement of a book, in the order of its files.
fn flips(sources: &Sources, book: &Book) -> Vec<Flip> {
    let steps = book.pages.iter().flat_map(|page| &page.sections);
    let steps = steps.filter_map(|section| match &section.role {
        Role::Step(step) => Some(&step.expects),
        _ => None,
    });
    let results = steps.flatten().map(|expect| (expect, Code::WrongResult));
    let claims = book.claims.iter().flat_map(|claim| &claim.expects);
    let claims = claims.map(|expect| (expect, Code::FalseClaim));
    results
        .chain(claims)
        .map(|(expect, code)| {
            assert_eq!(sources.slice(expect.span), expect.text);
            Flip {
                file: sources.text(expect.span.file).path.clone(),
                range: expect.span.range(),
                code,
                opposite: opposite(book, expect),
            }
        })
        .collect()
}

/// Statements of different pages are judged apart, so that one of each page is turned round at a time.
#[test]
fn every_statement_of_the_demo_fails_at_its_line_when_it_is_turned_round() {
    let files = folder(".");
    let (sources, book, findings) = judge(&files);
    assert_eq!(findings, Vec::new());
    let mut by_file: BTreeMap<String, Vec<Flip>> = BTreeMap::new();
    for flip in flips(&sources, &book) {
        by_file.entry(flip.file.clone()).or_default().push(flip);
    }
    let total: usize = by_file.values().map(Vec::len).sum();
    assert!(total > 100, "{total} statements");
    let rounds = by_file.values().map(Vec::len).max().expect("the demo has statements");
    for round in 0..rounds {
        let mut turned = files.clone();
        let mut expected = BTreeSet::new();
        for flip in by_file.values().filter_map(|flips| flips.get(round)) {
            let text = turned.get_mut(&flip.file).expect("a file of the book");
            text.replace_range(flip.range.clone(), &flip.opposite);
            let line = text[..flip.range.start].matches('\n').count() + 1;
            expected.insert((flip.file.clone(), line, flip.code, flip.opposite.clone()));
        }
        let (sources, _, findings) = judge(&turned);
        let found: BTreeSet<_> = findings
            .iter()
            .map(|finding| {
                let text = sources.text(finding.span.file);
                let line = text.position(finding.span.start as usize).line;
                (text.path.clone(), line, finding.code, sources.slice(finding.span).to_string())
            })
            .collect();
        assert_eq!(found, expected, "round {round}");
    }
}
