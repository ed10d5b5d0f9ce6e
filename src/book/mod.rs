//! The resolved model as plain data: the vehicle, its faults, and the pages that speak of them; it parses nothing.

mod catalogue;
mod condition;
mod condition_words;
mod control;
mod fact_words;
mod fault;
mod id;
mod kind;
mod names;
mod page;
mod part;
mod say;
mod sealed;
mod sighting;
mod signal;
mod statement;
mod vehicle;
mod wire;
mod wire_column;

pub use catalogue::{catalogue, mode_word};
pub use condition::{Condition, Level, Timing};
pub use control::{Build, Control, ControlRange, OptionGroup, Setting, Travel, WorkingBand};
pub use fact_words::{Thing, lower};
pub use fault::{Fault, Mode};
pub use id::{
    BandId, BuildId, ClaimId, ConnectorId, ControlId, FaultId, FigureId, HarnessId, PageId, PartId, SheetId,
    TerminalId, WireId,
};
pub use kind::Kind;
pub use names::Ids;
pub use page::{
    Outcome, Page, PageKind, Place, Prose, Question, QuestionChoice, Role, Section, Step, StepBranch, Target,
    Test,
};
pub use part::{
    Action, BulbOut, Effect, Element, Face, Part, Protection, RelayState, Resistance, Supply, Terminal,
    state_words,
};
pub use say::{Names, Say, Vocabulary, filled};
pub use sighting::{Saw, Sighting};
pub use signal::{Signal, before_message, first_bold, signal};
pub use statement::{
    Act, Claim, Expect, Figure, HarnessWay, Instrument, Item, List, Look, Point, Setup, Shows, Strength,
    Subject, Suspect,
};
pub use vehicle::{Conductor, Coupling, Device, Thresholds, Vehicle};
pub use wire::{COLORS, Color, ColorName, Connector, End, Harness, Wire};
pub use wire_column::{Presence, WireColumn, WireHeader};

use crate::quantity::{Band, Volt};
use crate::source::{FileId, Span};
use std::collections::BTreeSet;

/// A whole book: one vehicle in all its builds, and the pages.
#[derive(Debug, Clone)]
pub struct Book {
    pub manual: Manual,
    pub options: Vec<OptionGroup>,
    /// Every combination of options that the manual allows; one build without choices when there are no options.
    pub builds: Vec<Build>,
    pub sheets: Vec<Sheet>,
    pub controls: Vec<Control>,
    pub bands: Vec<WorkingBand>,
    /// How many level switches with hysteresis there are: the numbers in [`Level::memory`] run below this.
    pub memories: usize,
    pub parts: Vec<Part>,
    pub wires: Vec<Wire>,
    /// Wires that lie side by side, so that one may chafe through to the other.
    pub neighbors: Vec<[WireId; 2]>,
    pub connectors: Vec<Connector>,
    pub harnesses: Vec<Harness>,
    pub intents: Vec<Intent>,
    pub faults: Vec<Fault>,
    pub accepted: Vec<Accepted>,
    /// In reading order.
    pub pages: Vec<Page>,
    pub claims: Vec<Claim>,
    pub figures: Vec<Figure>,
    /// Paths of the author's images, relative to `content/`.
    pub images: Vec<String>,
    /// The files of which something could not be read, so that the book lacks it and whatever hangs on it.
    pub unread: BTreeSet<FileId>,
}

/// What `manual.toml` says of the book as a whole.
#[derive(Debug, Clone)]
pub struct Manual {
    pub title: String,
    /// The vehicle's name.
    pub vehicle: String,
    pub edition: String,
    /// `en` or `es`, or a language for which the book's own strings file has texts.
    pub language: String,
    pub paper: Paper,
    /// The supply over which everything is proved.
    pub supply: Band<Volt>,
    /// Conductor temperature in degrees Celsius at which everything is proved.
    pub temperature: f64,
    pub study: Study,
    pub file: Option<FileId>,
}

/// How the study pack is made.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Study {
    /// What questions and the numbers of faults are drawn with; the tool's own, which anybody has, when the author gives none.
    pub seed: Option<String>,
    /// Whether the student's folder holds nothing that judges a verdict: the instructor's reader does it.
    pub exam: bool,
}

/// The sheet size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub enum Paper {
    A4,
    Letter,
}

/// One circuit file.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// The file's stem: `lift-power`.
    pub id: String,
    pub title: String,
    pub file: FileId,
    /// What the author asks of its drawing; never needed.
    pub hints: DrawingHints,
    pub span: Span,
}

/// An author's wishes for a drawing.
#[derive(Debug, Clone, Default)]
pub struct DrawingHints {
    /// Parts whose current paths should stand in this order, left to right.
    pub order: Vec<PartId>,
    /// Parts whose paths should stand side by side.
    pub together: Vec<Vec<PartId>>,
    /// Parts of other sheets that this drawing should show as well.
    pub include: Vec<PartId>,
}

/// What a load is for.
#[derive(Debug, Clone)]
pub struct Intent {
    pub part: PartId,
    /// The element with the face, for parts that have several.
    pub element: usize,
    /// What it should do, the first case that holds; nothing where none does.
    pub cases: Vec<Case>,
    pub span: Span,
}

/// One thing that a load is for.
#[derive(Debug, Clone)]
pub struct Case {
    pub when: Condition,
    /// What it may look like then; steadily at full strength when the author does not say.
    pub shows: Vec<Look>,
}

impl Case {
    /// What a load does that an author says no more of.
    pub const PLAIN: Look = Look::Is(Strength::Full);
}

/// A fault that the author knows no step shows.
#[derive(Debug, Clone)]
pub struct Accepted {
    pub fault: FaultId,
    pub reason: String,
    pub span: Span,
}

impl Book {
    /// A part by its number.
    pub fn part(&self, id: PartId) -> &Part {
        &self.parts[id.index()]
    }

    /// A wire by its number.
    pub fn wire(&self, id: WireId) -> &Wire {
        &self.wires[id.index()]
    }

    /// A connector by its number.
    pub fn connector(&self, id: ConnectorId) -> &Connector {
        &self.connectors[id.index()]
    }

    /// A control by its number.
    pub fn control(&self, id: ControlId) -> &Control {
        &self.controls[id.index()]
    }

    /// A page by its number.
    pub fn page(&self, id: PageId) -> &Page {
        &self.pages[id.index()]
    }

    /// The section that a place names.
    pub fn section(&self, place: Place) -> &Section {
        &self.pages[place.page.index()].sections[place.section as usize]
    }

    /// A fault by its number.
    pub fn fault(&self, id: FaultId) -> &Fault {
        &self.faults[id.index()]
    }

    /// The part with this id.
    pub fn find_part(&self, id: &str) -> Option<PartId> {
        self.parts.iter().position(|part| part.id == id).map(|index| PartId(index as u32))
    }

    /// The wire with this id.
    pub fn find_wire(&self, id: &str) -> Option<WireId> {
        self.wires.iter().position(|wire| wire.id == id).map(|index| WireId(index as u32))
    }

    /// The sheet with this id.
    pub fn find_sheet(&self, id: &str) -> Option<SheetId> {
        self.sheets.iter().position(|sheet| sheet.id == id).map(|index| SheetId(index as u32))
    }

    /// The id of an item, as the author wrote it.
    pub fn item_name(&self, item: Item) -> &str {
        match item {
            Item::Part(part) => &self.part(part).id,
            Item::Wire(wire) => &self.wire(wire).id,
            Item::Connector(connector) => &self.connector(connector).id,
        }
    }

    /// The sheet that defines an item.
    pub fn item_sheet(&self, item: Item) -> SheetId {
        match item {
            Item::Part(part) => self.part(part).sheet,
            Item::Wire(wire) => self.wire(wire).sheet,
            Item::Connector(connector) => self.connector(connector).sheet,
        }
    }

    /// Which builds have an item; a connector is in all.
    pub fn item_fitted(&self, item: Item) -> Option<&[bool]> {
        match item {
            Item::Part(part) => Some(&self.part(part).fitted),
            Item::Wire(wire) => Some(&self.wire(wire).fitted),
            Item::Connector(_) => None,
        }
    }

    /// A wire's end as it is written in a list: `K4:86`, `X12:3`.
    pub fn end_name(&self, end: End) -> String {
        match end {
            End::Terminal { part, terminal } => self.part(part).terminal_name(terminal),
            End::Cavity { connector, cavity, .. } => {
                let connector = self.connector(connector);
                format!("{}:{}", connector.id, connector.cavities[cavity as usize])
            }
        }
    }

    /// A build's name: its choices, `manual gearbox, high cab`; empty for a vehicle without options.
    pub fn build_name(&self, build: BuildId) -> String {
        let choices = &self.builds[build.index()].choices;
        let words = self
            .options
            .iter()
            .zip(choices)
            .map(|(group, &choice)| format!("{} {}", group.name, group.choices[choice as usize]));
        words.collect::<Vec<_>>().join(", ")
    }
}
