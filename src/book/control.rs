//! What a person or the vehicle can change, the options that tell builds apart, and the bands within which a level switch operates.

use super::{ControlId, PartId, SheetId};
use crate::quantity::{Amount, Band};
use crate::source::Span;

/// Something that a person or the vehicle can change.
#[derive(Debug, Clone)]
pub struct Control {
    pub id: String,
    /// What a page calls it; the id when the author gave none.
    pub name: String,
    pub sheet: SheetId,
    pub range: ControlRange,
    pub span: Span,
}

/// The settings of a control; the first position, or the low end, is at rest.
#[derive(Debug, Clone)]
pub enum ControlRange {
    Positions(Vec<String>),
    Level(Band<Amount>),
}

/// Where a control stands.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
pub enum Setting {
    /// The index of a position.
    Position(u16),
    /// A level, in the base unit of the control's dimension.
    Level(f64),
}

/// How far a control can be moved: a range without its words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Travel {
    /// So many positions.
    Positions(u16),
    /// In the base unit of the control's dimension.
    Level(Band<f64>),
}

impl Travel {
    /// Where the control stands when nobody has touched it.
    pub fn rest(self) -> Setting {
        match self {
            Travel::Positions(_) => Setting::Position(0),
            Travel::Level(band) => Setting::Level(band.low),
        }
    }
}

impl ControlRange {
    /// The same without words.
    pub fn travel(&self) -> Travel {
        match self {
            ControlRange::Positions(names) => Travel::Positions(names.len() as u16),
            ControlRange::Level(band) => Travel::Level(band.map(|amount| amount.value)),
        }
    }
}

impl Control {
    /// Where the control stands when nobody has touched it.
    pub fn rest(&self) -> Setting {
        self.range.travel().rest()
    }

    /// A setting as a page prints it: the position's name or the level with its unit.
    pub fn print(&self, setting: Setting) -> String {
        match (&self.range, setting) {
            (ControlRange::Positions(names), Setting::Position(at)) => names[at as usize].clone(),
            (ControlRange::Level(band), Setting::Level(value)) => {
                crate::quantity::print(value, band.low.unit)
            }
            _ => unreachable!("a setting is of its control's kind: `read` resolves both together"),
        }
    }
}

/// A group of options of which every vehicle has exactly one choice.
#[derive(Debug, Clone)]
pub struct OptionGroup {
    pub id: String,
    pub name: String,
    pub choices: Vec<String>,
    pub span: Span,
}

/// One way the vehicle is built: a choice for each option group, in the groups' order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Build {
    pub choices: Vec<u16>,
}

/// A band within which a switch operates: a proof must hold with the switch set to either end.
#[derive(Debug, Clone)]
pub struct WorkingBand {
    pub control: ControlId,
    /// The part whose condition has the band.
    pub part: PartId,
    /// The thresholds in the base unit of the control's dimension.
    pub threshold: Band<f64>,
    /// Where the switch returns, when that is elsewhere.
    pub until: Option<Band<f64>>,
    pub span: Span,
}
