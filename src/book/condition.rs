//! The one condition language, resolved: what `makes`, `only`, `intent` and module rules say.

use super::{BandId, ControlId, TerminalId};
use crate::quantity::Band;

/// A truth about controls, options, a part's own state and voltages, and time.
#[derive(Debug, Clone, PartialEq)]
pub enum Condition {
    Always,
    Never,
    /// The control stands at one of these positions.
    Position {
        control: ControlId,
        any: Vec<u16>,
    },
    Level(Level),
    /// The vehicle has one of these choices of an option group.
    Option {
        group: usize,
        any: Vec<u16>,
    },
    /// The part's own relay state of this index (see [`super::RelayState`]) is in.
    Energized(usize),
    /// The part's own terminal carries more than a voltage against its reference; with hysteresis when the band is wide:
    /// it turns on at the high end and off at the low end.
    TerminalAbove {
        terminal: TerminalId,
        against: Option<TerminalId>,
        volts: Band<f64>,
    },
    Timed {
        inner: Box<Condition>,
        timing: Timing,
    },
    And(Vec<Condition>),
    Or(Vec<Condition>),
    Not(Box<Condition>),
}

/// A level switch: a control above or below a threshold that lies somewhere in a band, with its own return threshold
/// when it has hysteresis.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    pub control: ControlId,
    pub above: bool,
    /// Where it operates, in the base unit; the ends are equal when the author gave one value.
    pub threshold: Band<f64>,
    /// Where it returns, when that is elsewhere.
    pub until: Option<Band<f64>>,
    /// The working band to which this threshold belongs, when the band is wider than a point.
    pub band: Option<BandId>,
    /// Numbers the level switches with hysteresis of the book, each of which remembers its state.
    pub memory: Option<usize>,
}

/// How time shapes a condition. Bands are in seconds: a proof must hold at both ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Timing {
    /// True once the inner condition has been true this long without a break.
    For(Band<f64>),
    /// Stays true this long after the inner condition ends.
    Lasting(Band<f64>),
    /// True for at most this long after the inner condition begins.
    AtMost(Band<f64>),
    /// While the inner condition holds: on and off, per minute, with the share of the period that is on.
    Blinking { per_minute: f64, share: f64 },
}

impl Condition {
    /// Calls `visit` on this condition and everything in it.
    pub fn walk(&self, visit: &mut impl FnMut(&Condition)) {
        visit(self);
        match self {
            Condition::And(list) | Condition::Or(list) => list.iter().for_each(|inner| inner.walk(visit)),
            Condition::Not(inner) | Condition::Timed { inner, .. } => inner.walk(visit),
            _ => {}
        }
    }

    /// The controls that it reads, each once, in order.
    pub fn controls(&self) -> Vec<ControlId> {
        let mut found = Vec::new();
        self.walk(&mut |condition| match condition {
            Condition::Position { control, .. } => found.push(*control),
            Condition::Level(level) => found.push(level.control),
            _ => {}
        });
        found.sort();
        found.dedup();
        found
    }
}
