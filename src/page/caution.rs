//! Turns a hazard into a message with its signal word after ANSI Z535.6, the author's own and the standing ones.
//!
//! DANGER, WARNING and CAUTION speak of injury and carry the alert symbol; NOTICE speaks of property and carries none
//! (ANSI Z535.4-2007, 4.14, which Z535.6 shares for manuals). Each message names the hazard, what it does, and how to avoid
//! it, and stands before the step it is about.

use super::escape::escape;
use super::kit::Kit;
use crate::book::{Act, Action, Book, Face, Instrument, Kind, Page, Role, Subject};
use serde::Serialize;

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Signal {
    Danger,
    Warning,
    Caution,
    Notice,
    /// No hazard: a remark set apart.
    Note,
}

impl Signal {
    fn class(self) -> &'static str {
        match self {
            Signal::Danger => "danger",
            Signal::Warning => "warning",
            Signal::Caution => "caution",
            Signal::Notice => "notice",
            Signal::Note => "note",
        }
    }

    /// Whether people can be hurt.
    fn injures(self) -> bool {
        self < Signal::Notice
    }
}

/// The safety alert symbol: an exclamation mark in a triangle.
const ALERT: &str = r#"<svg class="alert-symbol" viewBox="0 0 24 22" aria-hidden="true" focusable="false"><path d="M12 1 23 21H1Z"/><path class="mark" d="M12 8v7M12 17.4v1.4"/></svg>"#;

/// The beginning of a message's HTML, up to its words.
pub fn open(kit: &Kit, signal: Signal) -> String {
    let class = signal.class();
    let word = escape(&kit.words.text(&format!("signal.{class}")));
    let symbol = if signal.injures() { ALERT } else { "" };
    format!(
        r#"<div class="caution {class}" role="note"><p class="signal">{symbol}<strong>{word}</strong></p>"#
    )
}

/// The end of a message's HTML.
pub const CLOSE: &str = "</div>";

/// A standing message, as HTML.
#[derive(Debug, Clone, Serialize)]
pub struct Standing {
    pub html: String,
}

/// The standing messages that the work of some sections asks for: live work always, the rest where it comes up.
pub fn standing<'r>(kit: &Kit, page: &Page, roles: impl Iterator<Item = &'r Role>) -> Vec<Standing> {
    let book = kit.book;
    let (mut acts, mut subjects): (Vec<&Act>, Vec<Subject>) = (Vec::new(), Vec::new());
    for role in roles {
        match role {
            Role::Step(step) => {
                acts.extend(&step.acts);
                subjects.extend(step.expects.iter().map(|expect| expect.subject));
            }
            Role::Test(test) => {
                acts.extend(&test.acts);
                subjects.extend(test.reads);
                subjects.extend(test.expects.iter().map(|expect| expect.subject));
            }
            Role::Text | Role::Procedure | Role::Question(_) => {}
        }
    }
    let face = |subject: &Subject| match subject {
        Subject::Face { part, element } => book.part(*part).elements[*element].face(),
        _ => None,
    };
    let faces: Vec<Face> = subjects.iter().filter_map(face).collect();
    let on_sheet = |wanted: &dyn Fn(&crate::book::Part) -> bool| {
        book.parts.iter().any(|part| Some(part.sheet) == page.sheet && wanted(part))
    };
    let moves = faces.iter().any(|face| matches!(face, Face::Motor { .. } | Face::Valve | Face::Starter));
    let mut found = vec![(Signal::Warning, "live")];
    if moves {
        found.push((Signal::Warning, "motion"));
    }
    if faces.iter().any(|face| matches!(face, Face::Valve)) || on_sheet(&|part| part.kind == Kind::Valve) {
        found.push((Signal::Warning, "stored"));
    }
    if faces.iter().any(|face| matches!(face, Face::Starter)) {
        found.push((Signal::Caution, "crank"));
    }
    if faces.iter().any(|face| matches!(face, Face::Heater)) || hot(book, &subjects) {
        found.push((Signal::Caution, "hot"));
    }
    let uses = |tools: &[Instrument]| {
        acts.iter().any(|act| match act {
            Act::Connect { instrument, .. } | Act::Measure { instrument, .. } => tools.contains(instrument),
            _ => false,
        })
    };
    if uses(&[Instrument::Ohmmeter, Instrument::ContinuityLight]) {
        found.push((Signal::Notice, "ohmmeter"));
    }
    if uses(&[Instrument::Jumper, Instrument::FusedJumper]) {
        found.push((Signal::Notice, "jumper"));
    }
    let pulls_fuse = |act: &&Act| matches!(act, Act::Unplug(part) if matches!(book.part(*part).kind, Kind::Fuse | Kind::FusibleLink));
    if acts.iter().any(pulls_fuse) {
        found.push((Signal::Notice, "fuse"));
    }
    if on_sheet(&|part| part.kind == Kind::Module) && acts.iter().any(|act| matches!(act, Act::Unplug(_))) {
        found.push((Signal::Notice, "module"));
    }
    let html = |(signal, key): (Signal, &str)| Standing {
        html: format!(
            "{}<p>{}</p>{CLOSE}",
            open(kit, signal),
            escape(&kit.words.text(&format!("caution.{key}")))
        ),
    };
    found.into_iter().map(html).collect()
}

/// Whether a lamp hot enough to burn is lit: 15 W and more (common practice, no source).
fn hot(book: &Book, subjects: &[Subject]) -> bool {
    subjects.iter().any(|subject| match subject {
        Subject::Face { part, element } => match &book.part(*part).elements[*element].action {
            Action::Filament { watts, .. } => watts.0 >= 15.0,
            _ => false,
        },
        _ => false,
    })
}
