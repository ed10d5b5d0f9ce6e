//! Turns a book into its vehicle: everything electrical, by numbers, without a name, a place, a color or a span.
//!
//! The bench is wired up from it and nothing else of the book, so that what decides a proof is all in here.

use super::{
    Book, Build, BuildId, ConnectorId, ControlId, Element, End, Fault, FaultId, Item, Kind, PartId,
    RelayState, SheetId, Travel, WireId,
};
use crate::quantity::{Amount, Band};
use std::sync::Arc;

/// The vehicle in all its builds. Everything keeps the number that it has in the book.
#[derive(Debug, Clone, PartialEq)]
pub struct Vehicle {
    /// Volts over which everything is proved.
    pub supply: Band<f64>,
    /// Conductor temperature in degrees Celsius.
    pub temperature: f64,
    pub builds: Vec<Build>,
    pub controls: Vec<Travel>,
    pub bands: Vec<Thresholds>,
    pub parts: Vec<Device>,
    pub wires: Vec<Conductor>,
    pub connectors: Vec<Coupling>,
    pub faults: Vec<Fault>,
}

/// What a working band is to the circuit; in the base unit of its control's dimension.
#[derive(Debug, Clone, PartialEq)]
pub struct Thresholds {
    pub control: ControlId,
    pub operates: Band<f64>,
    /// When that is elsewhere.
    pub returns: Option<Band<f64>>,
}

impl Thresholds {
    /// Whether it is the switch, and not the level, that decides what it does there.
    pub fn straddles(&self, level: f64) -> bool {
        self.operates.holds(level) || self.returns.is_some_and(|returns| returns.holds(level))
    }
}

/// What a part is to the circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Device {
    pub kind: Kind,
    pub sheet: SheetId,
    /// Whether each build has it.
    pub fitted: Vec<bool>,
    /// How many it has.
    pub terminals: usize,
    pub elements: Vec<Element>,
    pub states: Vec<RelayState>,
}

/// What a wire is to the circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Conductor {
    pub ends: [End; 2],
    pub size: Amount,
    /// Meters.
    pub length: f64,
    pub sheet: SheetId,
    /// Whether each build has it.
    pub fitted: Vec<bool>,
}

/// What a connector is to the circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Coupling {
    /// How many wires reach.
    pub cavities: usize,
    pub sheet: SheetId,
}

impl Vehicle {
    /// The vehicle of a book.
    pub fn of(book: &Book) -> Arc<Vehicle> {
        let parts = book.parts.iter().map(|part| Device {
            kind: part.kind,
            sheet: part.sheet,
            fitted: part.fitted.clone(),
            terminals: part.terminals.len(),
            elements: part.elements.clone(),
            states: part.states.clone(),
        });
        let wires = book.wires.iter().map(|wire| Conductor {
            ends: wire.ends,
            size: wire.size,
            length: wire.length.0,
            sheet: wire.sheet,
            fitted: wire.fitted.clone(),
        });
        let connectors = book
            .connectors
            .iter()
            .map(|connector| Coupling { cavities: connector.cavities.len(), sheet: connector.sheet });
        let bands = book.bands.iter().map(|band| Thresholds {
            control: band.control,
            operates: band.threshold,
            returns: band.until,
        });
        Arc::new(Vehicle {
            supply: book.manual.supply.map(|supply| supply.0),
            temperature: book.manual.temperature,
            builds: book.builds.clone(),
            controls: book.controls.iter().map(|control| control.range.travel()).collect(),
            bands: bands.collect(),
            parts: parts.collect(),
            wires: wires.collect(),
            connectors: connectors.collect(),
            faults: book.faults.clone(),
        })
    }

    /// A part by its number.
    pub fn part(&self, id: PartId) -> &Device {
        &self.parts[id.index()]
    }

    /// A wire by its number.
    pub fn wire(&self, id: WireId) -> &Conductor {
        &self.wires[id.index()]
    }

    /// A control by its number.
    pub fn control(&self, id: ControlId) -> Travel {
        self.controls[id.index()]
    }

    /// A fault by its number.
    pub fn fault(&self, id: FaultId) -> &Fault {
        &self.faults[id.index()]
    }

    /// The faults that a build can have, with their numbers.
    pub fn faults_of(&self, build: BuildId) -> impl Iterator<Item = (FaultId, &Fault)> {
        let faults = self.faults.iter().enumerate();
        let fitted = faults.filter(move |(_, fault)| fault.is_in(build));
        fitted.map(|(index, fault)| (FaultId(index as u32), fault))
    }

    /// The sheet that defines an item.
    pub fn item_sheet(&self, item: Item) -> SheetId {
        match item {
            Item::Part(part) => self.part(part).sheet,
            Item::Wire(wire) => self.wire(wire).sheet,
            Item::Connector(ConnectorId(number)) => self.connectors[number as usize].sheet,
        }
    }
}
