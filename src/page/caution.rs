//! Turns a hazard into a message with its signal word after ANSI Z535.6, the author's own and the standing ones.
//!
//! DANGER, WARNING and CAUTION speak of injury and carry the alert symbol; NOTICE speaks of property and carries none
//! (ANSI Z535.4-2007, 4.14, which Z535.6 shares for manuals). Each message names the hazard, what it does, and how to avoid
//! it, and stands before the step it is about.

use super::escape::escape;
use super::kit::Kit;
use crate::book::{Act, Action, Book, Face, Instrument, Kind, Page, PartId, Role, SheetId, Signal, Subject};
use serde::Serialize;

/// The safety alert symbol: an exclamation mark in a triangle.
const ALERT: &str = r#"<svg class="alert-symbol" viewBox="0 0 24 22" aria-hidden="true" focusable="false"><path d="M12 1 23 21H1Z"/><path class="mark" d="M12 8v7M12 17.4v1.4"/></svg>"#;

/// The beginning of a message's HTML, up to its words.
pub fn open(kit: &Kit, signal: Signal) -> String {
    let class = signal.word();
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

/// What some sections have a technician do and look at.
struct Work<'r> {
    book: &'r Book,
    sheet: Option<SheetId>,
    acts: Vec<&'r Act>,
    subjects: Vec<Subject>,
}

impl<'r> Work<'r> {
    fn of(book: &'r Book, sheet: Option<SheetId>, roles: impl Iterator<Item = &'r Role>) -> Work<'r> {
        let mut work = Work { book, sheet, acts: Vec::new(), subjects: Vec::new() };
        for role in roles {
            let expects = match role {
                Role::Step(step) => &step.expects,
                Role::Test(test) => {
                    work.subjects.extend(test.reads);
                    &test.expects
                }
                Role::Text | Role::Procedure | Role::Question(_) => continue,
            };
            work.acts.extend(role.acts());
            work.subjects.extend(expects.iter().map(|expect| expect.subject));
        }
        work
    }

    fn looks_at(&self, wanted: fn(&Face) -> bool) -> bool {
        let face = |subject: &Subject| match subject {
            Subject::Face { part, element } => self.book.part(*part).elements[*element].face(),
            _ => None,
        };
        self.subjects.iter().filter_map(face).any(|face| wanted(&face))
    }

    fn is_about(&self, kind: Kind) -> bool {
        self.book.parts.iter().any(|part| Some(part.sheet) == self.sheet && part.kind == kind)
    }

    fn uses(&self, tools: &[Instrument]) -> bool {
        self.acts.iter().any(|act| match act {
            Act::Connect { instrument, .. } | Act::Measure { instrument, .. } => tools.contains(instrument),
            _ => false,
        })
    }

    fn unplugs(&self, wanted: fn(Kind) -> bool) -> bool {
        let kind = |part: PartId| self.book.part(part).kind;
        self.acts.iter().any(|act| matches!(act, Act::Unplug(part) if wanted(kind(*part))))
    }
}

/// A standing message: its signal, the key of its words, and the work that asks for it.
type Asked = (Signal, &'static str, fn(&Work) -> bool);

const STANDING: &[Asked] = &[
    (Signal::Warning, "live", |_| true),
    (Signal::Warning, "motion", |work| {
        work.looks_at(|face| matches!(face, Face::Motor { .. } | Face::Valve | Face::Starter))
    }),
    (Signal::Warning, "stored", |work| {
        work.looks_at(|face| matches!(face, Face::Valve)) || work.is_about(Kind::Valve)
    }),
    (Signal::Caution, "crank", |work| work.looks_at(|face| matches!(face, Face::Starter))),
    (Signal::Caution, "hot", |work| {
        work.looks_at(|face| matches!(face, Face::Heater)) || hot(work.book, &work.subjects)
    }),
    (Signal::Notice, "ohmmeter", |work| work.uses(&[Instrument::Ohmmeter, Instrument::ContinuityLight])),
    (Signal::Notice, "jumper", |work| work.uses(&[Instrument::Jumper, Instrument::FusedJumper])),
    (Signal::Notice, "fuse", |work| work.unplugs(|kind| matches!(kind, Kind::Fuse | Kind::FusibleLink))),
    (Signal::Notice, "module", |work| work.is_about(Kind::Module) && work.unplugs(|_| true)),
];

/// The standing messages that the work of some sections asks for: live work always, the rest where it comes up.
pub fn standing<'r>(kit: &Kit<'r>, page: &Page, roles: impl Iterator<Item = &'r Role>) -> Vec<Standing> {
    let work = Work::of(kit.book, page.sheet, roles);
    let html = |&(signal, key, _): &Asked| Standing {
        html: format!(
            "{}<p>{}</p>{CLOSE}",
            open(kit, signal),
            escape(&kit.words.text(&format!("caution.{key}")))
        ),
    };
    STANDING.iter().filter(|(_, _, asks)| asks(&work)).map(html).collect()
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
