//! Finds a verdict that blames a good part, and a fault that ends without one.

use super::describe;
use crate::book::{Book, FaultId, Place, Role, Target};
use crate::finding::{About, Code, Finding, Findings};
use crate::proof::Proof;
use crate::proof::tables::trail;
use crate::proof::trouble::{End, Walk, names, target};
use std::collections::BTreeMap;

/// Wrong verdicts by the outcome that they end at, and walks that end without a verdict.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    let mut wrong: BTreeMap<(Place, usize), Vec<(FaultId, &Walk)>> = BTreeMap::new();
    let mut acquitted: BTreeMap<(Place, usize), Vec<(FaultId, &Walk)>> = BTreeMap::new();
    for showing in &proof.faults {
        let Some(walk) = showing.shown.as_ref().and_then(|shown| shown.walk.as_ref()) else {
            continue;
        };
        let End::At { place, outcome } = walk.end else {
            continue;
        };
        match target(book, place, outcome) {
            Target::Verdict { blames, .. } if names(book, blames, book.fault(showing.fault)) => {}
            Target::Verdict { .. } => wrong.entry((place, outcome)).or_default().push((showing.fault, walk)),
            _ => acquitted.entry((place, outcome)).or_default().push((showing.fault, walk)),
        }
    }
    for ((place, outcome), walks) in wrong {
        findings.push(finding(book, proof, Code::WrongVerdict, place, outcome, &walks));
    }
    for ((place, outcome), walks) in acquitted {
        findings.push(finding(book, proof, Code::NoVerdict, place, outcome, &walks));
    }
    healthy(book, proof, findings);
}

fn finding(
    book: &Book,
    proof: &Proof,
    code: Code,
    place: Place,
    outcome: usize,
    walks: &[(FaultId, &Walk)],
) -> Finding {
    let Role::Test(test) = &book.section(place).role else { unreachable!("a walk ends at a test") };
    let mut faults: Vec<String> = Vec::new();
    for (fault, _) in walks {
        let name = &book.fault(*fault).name;
        if !faults.contains(name) {
            faults.push(name.clone());
        }
    }
    let headline = match code {
        Code::WrongVerdict => format!("this verdict is wrong for {}", describe::some(&faults)),
        _ => format!("this says all is well, in spite of {}", describe::some(&faults)),
    };
    let mut finding = Finding::new(code, test.outcomes[outcome].span, headline).naming(&faults);
    let (fault, walk) = walks[0];
    finding = finding.remark(About::Seen, format!("{}: {}", book.fault(fault).name, trail(book, walk)));
    let alike: Vec<String> = proof
        .traffic
        .iter()
        .find(|traffic| (traffic.place, traffic.outcome) == (place, outcome))
        .into_iter()
        .flat_map(|traffic| &traffic.passing.faults)
        .map(|fault| book.fault(*fault).name.clone())
        .filter(|name| !faults.contains(name))
        .collect();
    if !alike.is_empty() {
        finding =
            finding.remark(About::Why, format!("the same readings belong to {}", describe::some(&alike)));
    }
    let apart = proof
        .apart
        .iter()
        .find(|apart| apart.fault == fault && (apart.place, apart.outcome) == (place, outcome));
    if let Some(apart) = apart {
        let act = book.step_line().act(&apart.test);
        let other = &book.fault(apart.other).name;
        finding = finding.hint(format!(
            "to tell it from {other}: `{act}` gives {} here, {} there",
            apart.reads, apart.other_reads
        ));
    }
    finding
}

/// A healthy vehicle that is blamed.
fn healthy(book: &Book, proof: &Proof, findings: &mut Findings) {
    let mut seen: Vec<(Place, usize)> = Vec::new();
    for healthy in &proof.healthy {
        let End::At { place, outcome } = healthy.walk.end else {
            continue;
        };
        let blames = matches!(target(book, place, outcome), Target::Verdict { .. });
        if !blames || seen.contains(&(place, outcome)) {
            continue;
        }
        seen.push((place, outcome));
        let Role::Test(test) = &book.section(place).role else { unreachable!("a walk ends at a test") };
        findings.push(
            Finding::new(Code::WrongVerdict, test.outcomes[outcome].span, "this verdict blames a healthy vehicle")
                .remark(About::Step, &book.section(healthy.from).title)
                .remark(About::Seen, format!("the healthy vehicle: {}", trail(book, &healthy.walk)))
                .hint("end this way with a `good:` link, or begin the procedure with a test that the healthy vehicle passes"),
        );
    }
}
