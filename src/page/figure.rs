//! Turns an author's figure into HTML: a sheet's drawing, at rest or in a state, or one of the generated tables.

use super::address::{self, Root};
use super::drawing;
use super::escape::escape;
use super::kit::Kit;
use super::table;
use crate::book::{FigureId, Setup, Shows};
use crate::draw::Use;

/// A figure of a page at `root`.
pub fn html(kit: &Kit, id: FigureId, root: Root) -> String {
    let figure = &kit.book.figures[id.index()];
    match &figure.shows {
        Shows::List { sheet, list } => {
            let mut view = table::of(kit, *list, Some(*sheet), root);
            if !figure.caption.is_empty() {
                view.caption = figure.caption.clone();
            }
            view.html(kit)
        }
        Shows::Drawing { sheet, setup } => {
            let evidence = kit.illustrations.figures[id.index()].first();
            let state = evidence.map(drawing::state);
            let svg = kit.drawings.svg(kit.say(), *sheet, state.as_ref(), Use::Still);
            let told = told(kit, setup);
            format!(
                r#"<figure class="drawing-figure"><div class="scroll paper" tabindex="0">{svg}</div><figcaption>{}{told} {}</figcaption></figure>"#,
                escape(&figure.caption),
                root.anchor(&address::circuit(kit.book, *sheet), &kit.words.text("figure.live")),
            )
        }
    }
}

/// The state that a drawing shows, in words.
fn told(kit: &Kit, setup: &[Setup]) -> String {
    if setup.is_empty() {
        return String::new();
    }
    let words = kit.say().setup(setup).join(", ");
    format!(r#" <span class="state-words">({})</span>"#, escape(&words))
}
