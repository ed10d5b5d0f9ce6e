//! Finds a step that blows a fuse, overloads a wire or an instrument, puts an ohmmeter on a live circuit, moves a machine
//! unasked, or asks for what hands cannot do.

use super::describe;
use crate::book::{Book, PartId, Place, Role};
use crate::finding::{About, Code, Finding, Findings};
use crate::proof::hands::{Harmed, What};
use crate::proof::{HarmKind, Proof};
use crate::quantity::number;
use std::collections::BTreeMap;

/// One finding for each thing that a step harms.
pub fn check(book: &Book, proof: &Proof, findings: &mut Findings) {
    let mut seen: BTreeMap<(Place, Option<usize>, Thing), (&Harmed, usize)> = BTreeMap::new();
    for harmed in &proof.harms {
        let (worst, times) =
            seen.entry((harmed.place, harmed.act, thing(harmed.what))).or_insert((harmed, 0));
        *times += 1;
        if weight(harmed) > weight(worst) {
            *worst = harmed;
        }
    }
    for (harmed, times) in seen.into_values() {
        let (code, headline) = words(book, harmed.what);
        let section = book.section(harmed.place);
        let acts = match &section.role {
            Role::Test(test) => &test.acts,
            Role::Step(step) => &step.acts,
            _ => continue,
        };
        let fault = match harmed.fault {
            Some(fault) => book.fault(fault).name.clone(),
            None => "the healthy vehicle".to_string(),
        };
        let by = match harmed.act {
            Some(act) => format!("{fault}, by `{}`", book.step_line().act(&acts[act])),
            None => format!("{fault}, with everything at rest, before the first step"),
        };
        let finding = Finding::new(code, section.span, headline).remark(About::Seen, by);
        findings.push(if times > 1 {
            finding.remark(About::Seen, format!("{times} vehicles with this or another fault"))
        } else {
            finding
        });
    }
}

/// What takes harm or moves, whatever the measure.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Thing {
    Harmed(HarmKind),
    Moved(PartId, usize),
    Undone(&'static str),
}

fn thing(what: What) -> Thing {
    match what {
        What::Harm(harm) => Thing::Harmed(harm.kind),
        What::Motion { part, element } => Thing::Moved(part, element),
        What::Impossible(reason) => Thing::Undone(reason),
    }
}

/// What is told of several vehicles that the same thing happens to: of the healthy one, and else of the one that it is worst for.
fn weight(harmed: &Harmed) -> (bool, f64) {
    let measure = match harmed.what {
        What::Harm(harm) => harm.measure,
        What::Motion { .. } | What::Impossible(_) => 0.0,
    };
    (harmed.fault.is_none(), measure)
}

fn words(book: &Book, what: What) -> (Code, String) {
    match what {
        What::Harm(harm) => {
            let (measure, limit) = (harm.measure, harm.limit);
            match harm.kind {
                HarmKind::Fuse(part) => {
                    let id = &book.part(part).id;
                    (
                        Code::BlownFuse,
                        format!(
                            "this blows {id}: {} through {}",
                            describe::amps(measure),
                            describe::amps(limit)
                        ),
                    )
                }
                HarmKind::Wire(wire) => {
                    let id = &book.wire(wire).id;
                    (
                        Code::OverloadedWire,
                        format!(
                            "this overloads {id}: {}, it bears {}",
                            describe::amps(measure),
                            describe::amps(limit)
                        ),
                    )
                }
                HarmKind::Tool(tool) => (
                    Code::OverloadedTool,
                    format!("this overloads the {}: {}", tool.word(), describe::amps(measure)),
                ),
                HarmKind::Live(tool) => {
                    let volts = number(measure);
                    (
                        Code::LiveOhmmeter,
                        format!("this puts the {} on a live circuit: {volts} V", tool.word()),
                    )
                }
            }
        }
        What::Motion { part, element } => {
            let name = book.step_line().face(part, element);
            (Code::UnaskedMotion, format!("this sets {name} ({}) in motion unasked", book.part(part).name))
        }
        What::Impossible(reason) => (Code::ImpossibleAct, format!("this cannot be done: {reason}")),
    }
}
