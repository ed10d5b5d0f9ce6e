//! Wires, connectors and harnesses: how the parts are joined.

use super::{Condition, ConnectorId, HarnessId, PartId, SheetId, TerminalId};
use crate::quantity::{Amount, Meter};
use crate::source::Span;

/// One wire of a harness.
#[derive(Debug, Clone)]
pub struct Wire {
    pub id: String,
    pub ends: [End; 2],
    /// IEC 60757 letters, base first, then the stripe: `GN/WH`.
    pub color: Color,
    /// Cross-section, kept with the unit it was written in (mm² or AWG).
    pub size: Amount,
    pub length: Meter,
    pub harness: HarnessId,
    pub sheet: SheetId,
    pub only: Condition,
    /// Whether each build has it: its own condition and both its ends.
    pub fitted: Vec<bool>,
    /// The span of its id in the list.
    pub span: Span,
}

/// What a wire ends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum End {
    Terminal {
        part: PartId,
        terminal: TerminalId,
    },
    /// A cavity of a connector, seen from one of the two harnesses that it joins (`side` 0 or 1).
    Cavity {
        connector: ConnectorId,
        cavity: u16,
        side: u8,
    },
}

/// A wire's colors by their letters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Color {
    pub base: &'static ColorName,
    pub stripe: Option<&'static ColorName>,
}

/// One color: its IEC 60757 letters, its English name, and how a screen shows it.
#[derive(Debug, PartialEq, Eq)]
pub struct ColorName {
    pub letters: &'static str,
    pub name: &'static str,
    pub hex: &'static str,
}

/// IEC 60757 letters. The screen values are this project's own choice.
pub const COLORS: &[ColorName] = &[
    ColorName { letters: "BK", name: "black", hex: "#1b1b1b" },
    ColorName { letters: "BN", name: "brown", hex: "#7a4a21" },
    ColorName { letters: "RD", name: "red", hex: "#c8201c" },
    ColorName { letters: "OG", name: "orange", hex: "#e8801a" },
    ColorName { letters: "YE", name: "yellow", hex: "#f0cf1f" },
    ColorName { letters: "GN", name: "green", hex: "#2a8a3a" },
    ColorName { letters: "BU", name: "blue", hex: "#2458b0" },
    ColorName { letters: "VT", name: "violet", hex: "#7a3fa0" },
    ColorName { letters: "GY", name: "gray", hex: "#8a8f94" },
    ColorName { letters: "WH", name: "white", hex: "#fbfbf7" },
    ColorName { letters: "PK", name: "pink", hex: "#ee9db4" },
    ColorName { letters: "GD", name: "gold", hex: "#c9a227" },
    ColorName { letters: "TQ", name: "turquoise", hex: "#2fb5b0" },
    ColorName { letters: "SR", name: "silver", hex: "#c3c7cb" },
];

impl Color {
    /// Reads `GN` or `GN/WH`.
    pub fn parse(text: &str) -> Option<Color> {
        let find = |letters: &str| COLORS.iter().find(|color| color.letters == letters);
        match text.split_once('/') {
            Some((base, stripe)) => Some(Color { base: find(base)?, stripe: Some(find(stripe)?) }),
            None => Some(Color { base: find(text)?, stripe: None }),
        }
    }
}

impl std::fmt::Display for Color {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        match self.stripe {
            Some(stripe) => write!(f, "{}/{}", self.base.letters, stripe.letters),
            None => f.write_str(self.base.letters),
        }
    }
}

/// A connector between two harnesses.
#[derive(Debug, Clone)]
pub struct Connector {
    pub id: String,
    pub name: String,
    pub place: Option<String>,
    pub sheet: SheetId,
    /// The harnesses of side 0 and side 1.
    pub joins: [HarnessId; 2],
    /// The cavities that wires reach, in order of their marking.
    pub cavities: Vec<String>,
    pub span: Span,
}

/// A bundle of wires that is replaced or repaired as one.
#[derive(Debug, Clone)]
pub struct Harness {
    pub id: String,
    pub name: String,
    pub span: Span,
}
