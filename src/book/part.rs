//! A part: its kind, its terminals, and the electrical elements between them, whatever the author called it.

use super::{Condition, Kind, SheetId, TerminalId};
use crate::quantity::{Amount, Ampere, Ohm, Volt, Watt};
use crate::source::Span;

/// One replaceable part of the vehicle.
#[derive(Debug, Clone)]
pub struct Part {
    pub id: String,
    pub name: String,
    pub kind: Kind,
    /// Where it is in the vehicle, when the author says.
    pub place: Option<String>,
    pub sheet: SheetId,
    /// The builds that have it, as the author wrote the condition.
    pub only: Condition,
    /// Whether each build has it, in the book's order of builds.
    pub fitted: Vec<bool>,
    pub terminals: Vec<Terminal>,
    pub elements: Vec<Element>,
    /// What its coils move.
    pub states: Vec<RelayState>,
    /// What the author gave, as label and text, for the parts table: `("rating", "10 A")`.
    pub facts: Vec<(String, String)>,
    /// A splice that no technician opens: it is replaced with the wires crimped into it.
    pub sealed: bool,
    /// Failure modes whose share the author overrides, by the mode's name.
    pub fails: Vec<(String, f64)>,
    /// The span of its id.
    pub span: Span,
}

/// A terminal by its marking, such as `86`.
#[derive(Debug, Clone, PartialEq)]
pub struct Terminal {
    pub name: String,
}

/// Something electrical between two terminals of a part. Current counts from `a` to `b`.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// Unique in the part: `coil`, `30-87`, `low filament`.
    pub name: String,
    pub a: TerminalId,
    pub b: TerminalId,
    pub action: Action,
}

/// What an element does.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// A supply whose plus is `b`.
    Source {
        emf: Supply,
        internal: Ohm,
    },
    /// Made while its condition holds.
    Contact {
        when: Condition,
        closed: Ohm,
    },
    /// A fuse, fusible link or breaker.
    Link {
        rating: Ampere,
        cold: Ohm,
        protection: Protection,
    },
    Resistor {
        ohms: Resistance,
    },
    /// A winding that moves a relay state of the part; see [`RelayState`].
    Coil {
        ohms: Ohm,
        state: usize,
        effect: Effect,
        per_ampere: f64,
    },
    /// A tungsten lamp: `watts` at `volts`.
    Filament {
        volts: Volt,
        watts: Watt,
    },
    /// A light-emitting diode with its resistor; anode `a`.
    Led {
        drop: Volt,
        amps: Ampere,
        resistor: Ohm,
    },
    /// A junction; anode `a`. A zener also conducts backwards at its breakdown voltage.
    Diode {
        breakdown: Option<Volt>,
    },
    /// A load that shows what it does: motor, heater, buzzer, horn, solenoid valve, gauge.
    Load {
        ohms: Ohm,
        rated: Volt,
        face: Face,
    },
    /// Makes and breaks its contact while current flows through it.
    Flasher {
        closed: Ohm,
        per_minute: f64,
        share: f64,
        bulb_out: Option<BulbOut>,
    },
    /// Charged and discharged over simulated time.
    Capacitor {
        farads: f64,
    },
}

/// Where a source's electromotive force comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Supply {
    /// The vehicle's supply: anywhere in the band that the manual proves over. `share` of it is what a
    /// battery at its state of charge still gives.
    Vehicle { share: f64 },
    /// A fixed electromotive force.
    Fixed(Volt),
    /// An alternator: the regulated voltage while the condition holds and its field is fed, otherwise nothing and no path.
    Regulated { volts: Volt, when: Condition, field: Option<TerminalId> },
}

/// How a protective link behaves above its rating.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Protection {
    /// Blade fuse (ISO 8820-3 limits).
    Fuse,
    /// Slow: a length of thin wire.
    FusibleLink,
    /// Opens and closes by itself when it has cooled.
    SelfResetting,
    /// Opens and stays open until a hand resets it.
    ManualReset,
}

/// A resistance that may follow a control.
#[derive(Debug, Clone, PartialEq)]
pub enum Resistance {
    Fixed(Ohm),
    /// A sender or thermistor: ohms at levels of a control (base unit), straight lines between, ends held.
    Follows {
        control: super::ControlId,
        points: Vec<(f64, f64)>,
    },
}

/// What a winding does to its relay state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effect {
    Hold,
    Set,
    Reset,
}

/// Something that windings move. The excitation is the signed sum of ampere × `per_ampere` over its `Hold` windings (so
/// that opposed windings cancel): in at 1 and above, out below `drop_out`. A latching state goes in when its `Set`
/// windings reach 1, out when its `Reset` windings do, and otherwise stays.
#[derive(Debug, Clone, PartialEq)]
pub struct RelayState {
    pub latching: bool,
    pub drop_out: f64,
}

/// The words for a relay state that is out and one that is in.
pub fn state_words(latching: bool) -> [&'static str; 2] {
    if latching { ["reset", "set"] } else { ["released", "energized"] }
}

/// What a person sees or hears of a load, and in which words.
#[derive(Debug, Clone, PartialEq)]
pub enum Face {
    Lamp,
    Sounder,
    Motor {
        reversible: bool,
    },
    Starter,
    Heater,
    Valve,
    /// A pointer: its reading at currents in amperes, straight lines between.
    Gauge {
        scale: Vec<(f64, Amount)>,
    },
}

/// A flasher's change when a lamp is out: below this current it runs at this rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BulbOut {
    pub below: f64,
    pub per_minute: f64,
}

impl Face {
    /// The words for off, weak and full.
    pub fn words(&self) -> [&'static str; 3] {
        match self {
            Face::Lamp => ["dark", "dim", "lit"],
            Face::Sounder => ["quiet", "faint", "sounding"],
            Face::Motor { .. } => ["stopped", "slow", "running"],
            Face::Starter => ["stopped", "slow", "cranks"],
            Face::Heater => ["cold", "warm", "hot"],
            Face::Valve => ["released", "weak", "pulled"],
            Face::Gauge { .. } => ["at rest", "low", "up"],
        }
    }
}

impl Part {
    /// The terminal with this marking.
    pub fn terminal(&self, name: &str) -> Option<TerminalId> {
        self.terminals.iter().position(|terminal| terminal.name == name).map(|index| TerminalId(index as u16))
    }

    /// A terminal as it is written in a wire list: `K4:86`, or the part's id alone when it has one terminal.
    pub fn terminal_name(&self, terminal: TerminalId) -> String {
        if self.terminals.len() == 1 {
            return self.id.clone();
        }
        format!("{}:{}", self.id, self.terminals[terminal.index()].name)
    }

    /// The element that a person watches, with its face: the first of a two-filament lamp unless `terminal` names another.
    pub fn faces(&self) -> impl Iterator<Item = (usize, Face)> + '_ {
        self.elements.iter().enumerate().filter_map(|(index, element)| Some((index, element.face()?)))
    }
}

impl Element {
    /// What a person sees of it, if anything.
    pub fn face(&self) -> Option<Face> {
        match &self.action {
            Action::Filament { .. } | Action::Led { .. } => Some(Face::Lamp),
            Action::Load { face, .. } => Some(face.clone()),
            _ => None,
        }
    }
}
