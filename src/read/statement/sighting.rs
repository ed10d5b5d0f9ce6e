//! Turns `step 3; unplug K4: H9 dark` into what was seen on a broken vehicle.

use super::{Reader, Text};
use crate::book::{Saw, Sighting};
use crate::read::form::Form;
use crate::source::Placed;

/// What somebody may have seen.
pub const SIGHTINGS: &[Form] = &[
    Form::new("step NUMBER good", "step 1 good", "All that the step expects came."),
    Form::new("step NUMBER failed", "step 1 failed", "Something of what the step expects did not come."),
    Form::new("step NUMBER: RESULTS", "step 1: H1 dark", "This was seen (`about results`)."),
    Form::new(
        "step NUMBER; HANDS: RESULTS",
        "step 1; unplug K4: H1 dark",
        "This was seen after more was done by hand (`about hands`).",
    ),
];

/// One sighting.
pub fn sighting(reader: &Reader, text: Text) -> Option<Sighting> {
    let part = |from: usize, to: usize| -> Text {
        let piece = &text.value[from..to];
        let start = from + (piece.len() - piece.trim_start().len());
        let trimmed = piece.trim();
        Placed::new(trimmed, text.span.within(start..start + trimmed.len()))
    };
    // A point has a colon too, `K4:86`, but no space behind it.
    let colon = text.value.rfind(": ").or_else(|| text.value.ends_with(':').then(|| text.value.len() - 1));
    let end = colon.unwrap_or(text.value.len());
    let shows = colon.map(|at| part(at + 1, text.value.len()));
    let cut = text.value[..end].find(';').unwrap_or(end);
    let (at, hands) = (part(0, cut), part((cut + 1).min(end), end));
    let mut words = at.value.split_whitespace();
    let step = (words.next() == Some("step")).then(|| words.next()).flatten();
    let Some(step) = step.and_then(|number| number.trim_end_matches(['.', ',']).parse().ok()) else {
        reader.bad(at.span, "a sighting begins with the number of a step", "such as `step 3: H9 dark`");
        return None;
    };
    let word = words.next();
    let acts = if hands.value.is_empty() { Vec::new() } else { reader.acts(hands) };
    let saw = match (word, shows) {
        (None, Some(shows)) if !matches!(shows.value, "good" | "failed") => {
            let shows = reader.expects(shows);
            (!shows.is_empty()).then_some(Saw::Shows(shows))?
        }
        (word, shows) => match (word.or(shows.map(|shows| shows.value)), words.next(), acts.is_empty()) {
            (Some("good"), None, true) => Saw::Good,
            (Some("failed"), None, true) => Saw::Failed,
            _ => {
                let hint = "`step 3 good`, `step 3 failed`, or a colon and results as in `step 3: H9 dark`";
                reader.bad(text.span, "this does not say what was seen", hint);
                return None;
            }
        },
    };
    Some(Sighting { step, acts, saw })
}
