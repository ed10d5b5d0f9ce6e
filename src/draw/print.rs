//! Turns numbers, colors and short texts into the pieces of SVG that every drawing is made of.

use super::scene::Style;
use super::text;
use crate::book::Color;
use svg::node::element::Text;

/// The one printer of coordinates: a tenth of a unit is finer than any printer resolves.
pub(super) fn number(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    format!("{}", rounded + 0.0)
}

/// A wire's color as a mark around a point: the base, and its stripe down the middle.
pub(super) fn swatch(x: f64, y: f64, color: &Color) -> String {
    let mark = |class: &str, width: f64, hex: &str| {
        let [left, top, width] = [x - width / 2.0, y - 5.0, width].map(number);
        format!(
            r#"<rect class="{class}" x="{left}" y="{top}" width="{width}" height="10" style="fill:{hex}"/>"#
        )
    };
    let base = mark("swatch", 6.0, color.base.hex);
    let stripe = color.stripe.map(|stripe| mark("swatch-stripe", 2.0, stripe.hex));
    base + &stripe.unwrap_or_default()
}

/// A path as text: there are thousands of them in a drawing, and nothing in them to escape.
pub(super) fn path(class: &str, data: &str) -> String {
    format!(r#"<path class="{class}" d="{data}"/>"#)
}

/// A note.
pub(super) fn words(words: &str, x: f64, y: f64) -> Text {
    Text::new(words).set("class", "note").set("x", number(x)).set("y", number(y))
}

/// How wide a note is.
pub(super) fn words_width(words: &str) -> f64 {
    text::width(words, Style::Note.size(), false)
}
