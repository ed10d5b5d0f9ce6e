//! A question with its choices, what each of them says, and why it is right or wrong: plain data, no wording.

use super::scene::{Scene, Variation};
use crate::bench::{Carrier, Reading, Why};
use crate::book::{
    Act, ConnectorId, FaultId, Instrument, PageId, PartId, Place, SheetId, Subject, TerminalId, WireId,
};

/// The kinds of question, in the order in which they are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sort {
    Load,
    Path,
    Contact,
    Meter,
    TestLight,
    Symptom,
    Step,
    Apart,
    Removed,
    Wire,
    Cavity,
    Technicians,
}

impl Sort {
    /// Every kind.
    pub const ALL: &[Sort] = &[
        Sort::Load,
        Sort::Path,
        Sort::Contact,
        Sort::Meter,
        Sort::TestLight,
        Sort::Symptom,
        Sort::Step,
        Sort::Apart,
        Sort::Removed,
        Sort::Wire,
        Sort::Cavity,
        Sort::Technicians,
    ];
}

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub enum Ask {
    /// What these do in the scene.
    Loads(Vec<Subject>),
    /// The way of the current through this element.
    Path { part: PartId, element: usize },
    /// The one open place that keeps this element from working.
    Contact { part: PartId, element: usize },
    /// What the scene's instrument shows.
    Meter(Instrument),
    /// Which fault makes just these results of a step fail, everything before it passing.
    Symptom { step: Place, fails: Vec<usize> },
    /// Which step of a checkout shows a fault first.
    Step { fault: FaultId, page: PageId },
    /// Which test tells two faults apart that both fail at a step.
    Apart { faults: [FaultId; 2], step: Place },
    /// Color and size of the wire at a terminal.
    Wire { part: PartId, terminal: TerminalId },
    /// The cavity of a connector in which a wire ends.
    Cavity { wire: WireId, connector: ConnectorId },
    /// Which of two technicians is right: each says of the scene, or of the scene with one thing otherwise, what something does.
    Technicians([Said; 2]),
}

/// A technician's word.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    pub of: Option<Variation>,
    pub subject: Subject,
    pub reading: Reading,
}

/// What a choice says.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    Readings(Vec<(Subject, Reading)>),
    Path(Vec<Carrier>),
    Contact(Carrier),
    Fault(FaultId),
    Step(Place),
    Test(Act),
    /// The color and size of this wire.
    Wire(WireId),
    Cavity(u16),
    /// Whether each technician is right.
    Technicians([bool; 2]),
}

/// Why a choice is right or wrong.
#[derive(Debug, Clone, PartialEq)]
pub enum Because {
    /// It was computed: why each of the subjects asked about does what it does.
    Computed(Vec<(Subject, Why)>),
    /// It would be so if one thing were otherwise.
    Otherwise(Variation),
    /// No current flows there in this state.
    Idle(Carrier),
    /// The place is closed in this state.
    Closed(Carrier),
    /// The fault shows first here, with these results, or not at all.
    Shows(Option<(Place, Vec<usize>)>),
    /// The step passes with the fault in the vehicle.
    Passes,
    /// An earlier step shows the fault already.
    Later,
    /// The test reads these with the two faults.
    Reads([Reading; 2]),
    /// That is this wire.
    Wire(WireId),
    /// What is really so of each technician's subject.
    Really([Reading; 2]),
    /// Nothing near the state gives it.
    Nowhere,
}

/// One choice of a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    pub answer: Answer,
    pub because: Because,
}

/// A question with its choices, the right one first.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Made of what is asked, so that it stays the same from edition to edition: `Q-3fa2c1`.
    pub id: String,
    pub sheet: SheetId,
    pub sort: Sort,
    pub scene: Option<Scene>,
    pub ask: Ask,
    pub choices: Vec<Choice>,
    /// How many facts must be combined.
    pub facts: usize,
    /// Where in the book it is explained, beside the sheet's drawing.
    pub place: Option<Place>,
}

impl Question {
    /// 1 to 3, by the number of facts.
    pub fn level(&self) -> u8 {
        match self.facts {
            0..=3 => 1,
            4..=6 => 2,
            _ => 3,
        }
    }
}

/// What a maker of questions gives: everything but id, sheet and sort.
pub struct Made {
    pub scene: Option<Scene>,
    pub ask: Ask,
    pub choices: Vec<Choice>,
    pub facts: usize,
    pub place: Option<Place>,
}

/// The most wrong choices that a question has, and the least.
pub const WRONG: usize = 3;
pub const LEAST_WRONG: usize = 2;
