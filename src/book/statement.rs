//! What an author states about the vehicle: hands, readings, expected results, claims and figures, resolved.

use super::{
    ConnectorId, ControlId, End, FaultId, HarnessId, PageId, PartId, Setting, SheetId, TerminalId, WireId,
};
use crate::quantity::{Amount, Band};
use crate::source::Span;
use serde::{Deserialize, Serialize};

/// Something a technician does.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    Set {
        control: ControlId,
        to: Setting,
    },
    /// Parts are unplugged and plugged in again; fuses are pulled and fitted, which is the same to the circuit.
    Unplug(PartId),
    Plug(PartId),
    OpenConnector(ConnectorId),
    CloseConnector(ConnectorId),
    /// Takes one end of a wire off what it ends on.
    Disconnect {
        wire: WireId,
        end: u8,
    },
    Reconnect {
        wire: WireId,
        end: u8,
    },
    Connect {
        instrument: Instrument,
        from: Point,
        to: Point,
    },
    /// An ammeter put into a cut or unplugged wire, or a clamp around it. What flows toward an end that is named counts as
    /// positive; where none is, the reading has no sign.
    Measure {
        instrument: Instrument,
        wire: WireId,
        toward: Option<u8>,
    },
    Remove(Instrument),
    /// Puts a known good part in the place of one.
    Substitute(Item),
    ResetBreaker(PartId),
    /// Seconds.
    Wait(f64),
}

impl Act {
    /// What the hand touches.
    pub fn items(&self) -> Vec<Item> {
        match *self {
            Act::Unplug(part) | Act::Plug(part) | Act::ResetBreaker(part) => vec![Item::Part(part)],
            Act::OpenConnector(connector) | Act::CloseConnector(connector) => {
                vec![Item::Connector(connector)]
            }
            Act::Disconnect { wire, .. } | Act::Reconnect { wire, .. } | Act::Measure { wire, .. } => {
                vec![Item::Wire(wire)]
            }
            Act::Connect { from, to, .. } => [from, to].into_iter().filter_map(Point::item).collect(),
            Act::Substitute(item) => vec![item],
            Act::Set { .. } | Act::Remove(_) | Act::Wait(_) => Vec::new(),
        }
    }
}

/// What a technician measures or bridges with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Instrument {
    TestLight,
    ContinuityLight,
    Voltmeter,
    AnalogVoltmeter,
    Ohmmeter,
    Ammeter,
    Clamp,
    Jumper,
    FusedJumper,
}

impl Instrument {
    /// Whether it brings a cell of its own, so that it must not be put on a live circuit.
    pub fn has_cell(self) -> bool {
        matches!(self, Instrument::Ohmmeter | Instrument::ContinuityLight)
    }

    /// Every instrument, in the order of the tools list.
    pub const ALL: &[Instrument] = &[
        Instrument::TestLight,
        Instrument::ContinuityLight,
        Instrument::Voltmeter,
        Instrument::AnalogVoltmeter,
        Instrument::Ohmmeter,
        Instrument::Ammeter,
        Instrument::Clamp,
        Instrument::Jumper,
        Instrument::FusedJumper,
    ];

    /// The words of a step line.
    pub fn word(self) -> &'static str {
        match self {
            Instrument::TestLight => "test light",
            Instrument::ContinuityLight => "continuity light",
            Instrument::Voltmeter => "voltmeter",
            Instrument::AnalogVoltmeter => "analog voltmeter",
            Instrument::Ohmmeter => "ohmmeter",
            Instrument::Ammeter => "ammeter",
            Instrument::Clamp => "clamp",
            Instrument::Jumper => "jumper",
            Instrument::FusedJumper => "fused jumper",
        }
    }
}

/// A place where a lead can be put.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Point {
    /// A part's terminal; when the part is unplugged, the harness side unless `on_part`.
    Terminal {
        part: PartId,
        terminal: TerminalId,
        on_part: bool,
    },
    /// A connector's cavity, seen from one side.
    Cavity {
        connector: ConnectorId,
        cavity: u16,
        side: u8,
    },
    /// A wire's end, taken off its terminal.
    WireEnd {
        wire: WireId,
        end: u8,
    },
    BatteryPlus,
    BatteryMinus,
    /// Clean metal of the body.
    Ground,
}

impl Point {
    /// What a lead is put on there.
    pub fn item(self) -> Option<Item> {
        match self {
            Point::Terminal { part, .. } => Some(Item::Part(part)),
            Point::Cavity { connector, .. } => Some(Item::Connector(connector)),
            Point::WireEnd { wire, .. } => Some(Item::Wire(wire)),
            Point::BatteryPlus | Point::BatteryMinus | Point::Ground => None,
        }
    }
}

impl From<End> for Point {
    /// Where a wire's end is joined: on the harness side of a part's terminal.
    fn from(end: End) -> Point {
        match end {
            End::Terminal { part, terminal } => Point::Terminal { part, terminal, on_part: false },
            End::Cavity { connector, cavity, side } => Point::Cavity { connector, cavity, side },
        }
    }
}

/// A replaceable item: what a verdict blames.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Item {
    Part(PartId),
    Wire(WireId),
    Connector(ConnectorId),
}

impl From<PartId> for Item {
    fn from(part: PartId) -> Item {
        Item::Part(part)
    }
}

impl From<WireId> for Item {
    fn from(wire: WireId) -> Item {
        Item::Wire(wire)
    }
}

impl From<ConnectorId> for Item {
    fn from(connector: ConnectorId) -> Item {
        Item::Connector(connector)
    }
}

/// What a verdict names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspect {
    Item(Item),
    /// An item that failed in this way only: `blame:W207 open`.
    Fault(FaultId),
    /// Any wire of a harness, failed in this way: `blame:lift short`.
    Harness {
        harness: HarnessId,
        way: HarnessWay,
    },
}

/// How a wire of a harness failed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HarnessWay {
    Open,
    Short,
    Any,
}

/// What is read: an indicator (a part, and where it has several faces, which element) or an instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    Face {
        part: PartId,
        element: usize,
    },
    /// Whether a relay state is in; `K4 energized`.
    Relay {
        part: PartId,
        state: usize,
    },
    Instrument(Instrument),
}

impl Subject {
    /// The part that is looked at; an instrument is none of the vehicle's.
    pub fn part(self) -> Option<PartId> {
        match self {
            Subject::Face { part, .. } | Subject::Relay { part, .. } => Some(part),
            Subject::Instrument(_) => None,
        }
    }

    /// The same as an item.
    pub fn item(self) -> Option<Item> {
        self.part().map(Item::Part)
    }
}

/// How strongly a face shows: lit, dim, dark; sounding, faint, quiet; running, slow, stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Strength {
    Off,
    Weak,
    Full,
}

/// What a reading is said to be.
#[derive(Debug, Clone, PartialEq)]
pub enum Look {
    Is(Strength),
    /// A motor that turns against its usual sense.
    Backwards,
    /// A relay heard to change over since the last hand.
    Clicks,
    /// On and off at a rate per minute in this band; any rate when none is given.
    Flashing(Option<Band<f64>>),
    /// So strong for a time in this band (seconds), then otherwise. `backwards` is how a motor turns while it does.
    Then {
        first: Strength,
        backwards: bool,
        seconds: Band<f64>,
        last: Strength,
    },
    /// So strong for a time, again and again: seconds of each, and from one to the next.
    Pulses {
        on: Strength,
        seconds: Band<f64>,
        every: Band<f64>,
    },
    /// A relay that pulls in and drops out without end, or what it switches.
    Chattering,
    /// A number in a band; an open end is infinite.
    Reads(Band<Amount>),
}

/// One expected result.
#[derive(Debug, Clone)]
pub struct Expect {
    pub subject: Subject,
    pub look: Look,
    pub span: Span,
    /// As the author wrote it: `H9 lit`.
    pub text: String,
}

/// A statement in running prose that is proved like a step.
#[derive(Debug, Clone)]
pub struct Claim {
    pub page: PageId,
    /// The author's words.
    pub words: String,
    pub setup: Vec<Setup>,
    pub expects: Vec<Expect>,
    /// It must be false wherever it is judged: a wrong choice of a question.
    pub refuted: bool,
    pub span: Span,
}

/// What is set up before a claim is judged.
#[derive(Debug, Clone, PartialEq)]
pub enum Setup {
    Act(Act),
    /// The part is taken out of the vehicle: each of its elements is open.
    Without(PartId),
    /// The part's terminals are joined.
    Bridged(PartId),
    Fault(FaultId),
    /// Only builds with one of these choices.
    Build {
        group: usize,
        any: Vec<u16>,
    },
}

/// A generated figure or table in a page.
#[derive(Debug, Clone)]
pub struct Figure {
    pub page: PageId,
    pub caption: String,
    pub shows: Shows,
    pub span: Span,
}

/// What a figure shows.
#[derive(Debug, Clone)]
pub enum Shows {
    /// A sheet's drawing, in a state when there is a setup.
    Drawing {
        sheet: SheetId,
        setup: Vec<Setup>,
    },
    List {
        sheet: SheetId,
        list: List,
    },
}

/// The generated lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum List {
    Steps,
    Faults,
    Wires,
    Parts,
    Connectors,
    Grounds,
    Fuses,
    Reasons,
    Colors,
}

impl List {
    /// Those that an author may place on a page, each for one sheet.
    pub const PLACED: &[List] = &[
        List::Steps,
        List::Faults,
        List::Wires,
        List::Parts,
        List::Connectors,
        List::Grounds,
        List::Fuses,
        List::Reasons,
    ];

    /// Those of the whole book, each on a page of its own.
    pub const OF_BOOK: &[List] =
        &[List::Parts, List::Wires, List::Connectors, List::Grounds, List::Fuses, List::Colors];

    /// The word that an author writes; the lists' pages and texts are named by it as well.
    pub fn word(self) -> &'static str {
        match self {
            List::Steps => "steps",
            List::Faults => "faults",
            List::Wires => "wires",
            List::Parts => "parts",
            List::Connectors => "connectors",
            List::Grounds => "grounds",
            List::Fuses => "fuses",
            List::Reasons => "reasons",
            List::Colors => "colors",
        }
    }
}
