//! The style of a drawing, for the page that shows it: black on white, with properties that a page may set for a dark one.

/// Style rules for every `svg.drawing`. Colors are custom properties (`--draw-ink`, `--draw-paper`, `--draw-live`,
/// `--draw-carrying`, `--draw-ground`, `--draw-fault`, `--draw-faint`), so that a page sets them once for light, dark and print.
/// No state is told by color alone: each has a weight, a dash or a sign of its own.
pub const STYLE: &str = include_str!("drawing.css");
