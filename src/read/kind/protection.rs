//! Turns fuses, fusible links and breakers into links that open above their rating.

use super::maker::{ENDS, Maker};
use crate::book::{Action, Kind, Protection};
use crate::finding::{Code, Finding};
use crate::quantity::{Ampere, Dimension, Ohm};
use crate::read::key::{Key, Takes};

const RATING: Key = Key::must(
    "rating",
    Takes::Quantity(Dimension::Current),
    r#""10 A""#,
    "The current that it carries for good.",
);

const COLD_RESISTANCE: Key = Key::may(
    "resistance",
    Takes::Quantity(Dimension::Resistance),
    "that of a blade fuse of this rating",
    r#""7.7 mohm""#,
    "Its cold resistance.",
);

/// What a fuse and a fusible link have.
pub const LINK: &[Key] = &[ENDS, RATING, COLD_RESISTANCE];

/// What a breaker has.
pub const BREAKER: &[Key] = &[
    ENDS,
    RATING,
    COLD_RESISTANCE,
    Key::must(
        "resets",
        Takes::Word(|| RESETS.iter().map(|(word, _)| *word).collect()),
        r#""by hand""#,
        "How it closes again once it has opened.",
    ),
];

const RESETS: [(&str, Protection); 2] =
    [("by hand", Protection::ManualReset), ("itself", Protection::SelfResetting)];

/// Cold resistance of blade fuses of the ATO size in milliohms by rating in amperes: maker's datasheet for 1, 2, 4, 10
/// and 40 A; the others from memory.
const COLD: &[(f64, f64)] = &[
    (1.0, 123.0),
    (2.0, 53.5),
    (4.0, 22.8),
    (5.0, 17.85),
    (7.5, 10.91),
    (10.0, 7.70),
    (15.0, 4.80),
    (20.0, 3.38),
    (25.0, 2.52),
    (30.0, 1.97),
    (40.0, 1.44),
];

/// Cold resistance in milliohms at any rating: straight lines between the table's rows on logarithmic axes, carried on
/// with the slope of the last two rows beyond its ends.
pub fn cold_milliohms(rating: f64) -> f64 {
    let above = COLD.iter().position(|&(amperes, _)| amperes >= rating).unwrap_or(COLD.len() - 1).max(1);
    let ((x0, y0), (x1, y1)) = (COLD[above - 1], COLD[above]);
    let slope = (y1 / y0).ln() / (x1 / x0).ln();
    y0 * (rating / x0).powf(slope)
}

/// A link between two terminals; a breaker also says what `resets` it.
pub fn link(maker: &mut Maker) {
    let pins = maker.pins();
    let protection = match maker.part.kind {
        Kind::Fuse => Protection::Fuse,
        Kind::FusibleLink => Protection::FusibleLink,
        _ => resetting(maker),
    };
    let cold = maker.given("resistance").map(|ohms| ohms * 1e3);
    let Some(rating) = maker.needed("rating") else {
        return;
    };
    let action = Action::Link {
        rating: Ampere(rating),
        cold: Ohm(cold.unwrap_or_else(|| cold_milliohms(rating)) * 1e-3),
        protection,
    };
    maker.element("link", pins, action);
}

fn resetting(maker: &mut Maker) -> Protection {
    let Some(resets) = maker.table.needed_text("resets", maker.log) else {
        return Protection::ManualReset;
    };
    maker.fact("resets", resets.value.clone());
    let Some((_, found)) = RESETS.iter().find(|(word, _)| *word == resets.value) else {
        let headline = format!("a breaker does not reset `{}`", resets.value);
        let finding = Finding::new(Code::WrongType, resets.span, headline);
        maker.log.push(finding.hint("it resets `itself` or `by hand`"));
        return Protection::ManualReset;
    };
    *found
}

#[cfg(test)]
mod tests {
    use super::cold_milliohms;

    /// The table's own rows come back, and between them the value lies between its neighbors.
    #[test]
    fn cold_resistance_follows_the_datasheet() {
        assert!((cold_milliohms(10.0) - 7.70).abs() < 1e-9);
        assert!((cold_milliohms(40.0) - 1.44).abs() < 1e-9);
        assert!((2.0..123.0).contains(&cold_milliohms(3.0)));
        assert!(cold_milliohms(3.0) < 53.5 && cold_milliohms(3.0) > 22.8);
        assert!(cold_milliohms(125.0) < 1.44 && cold_milliohms(125.0) > 0.2);
        assert!(cold_milliohms(0.5) > 123.0);
    }
}
