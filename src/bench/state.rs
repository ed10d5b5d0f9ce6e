//! One vehicle on the bench: where everything stands, what is planted in it, and what time it is.

use super::gate::Timer;
use super::instrument::Tool;
use super::reading::Seen;
use super::rig::Rig;
use super::{Corner, Frame, Hop};
use crate::book::{
    ConnectorId, Fault, Instrument, Item, Mode, PartId, Point as Spot, Setting, Subject, WireId,
};
use crate::solve::{Attachment, Point, Solver, Trouble};
use std::collections::BTreeSet;

/// A state in which the vehicle cannot come to rest or cannot be solved.
#[derive(Debug, Clone, PartialEq)]
pub enum Upset {
    /// These parts' relays or contacts change for ever without time passing.
    Chatter(Vec<PartId>),
    /// Where these parts come to rest depends on which of them is faster.
    Race(Vec<PartId>),
    /// The solver has no operating point.
    Trouble(Trouble),
}

/// One vehicle under test. A clone goes its own way from there.
#[derive(Debug, Clone)]
pub struct Bench<'r> {
    pub(super) rig: &'r Rig,
    pub(super) solver: Solver,
    pub(super) corner: Corner,
    pub(super) settings: Vec<Setting>,
    pub(super) memories: Vec<bool>,
    pub(super) timers: Vec<Timer>,
    /// Relay states that are in.
    pub(super) states: Vec<bool>,
    /// Contacts that are made.
    pub(super) made: Vec<bool>,
    pub(super) links: Vec<LinkState>,
    pub(super) flashers: Vec<FlasherState>,
    pub(super) charges: Vec<f64>,
    /// Simulated seconds since the vehicle was put on the bench.
    pub(super) now: f64,
    /// The moment up to which faults have been there and nobody has touched anything.
    pub(super) untouched: f64,
    /// What is out of the ordinary.
    pub(super) planted: Vec<Fault>,
    pub(super) forced_contacts: Vec<(usize, bool)>,
    /// Contacts whose resistance has grown, with their ohms when made.
    pub(super) contact_ohms: Vec<(usize, f64)>,
    /// Flashers whose contact is welded.
    pub(super) stuck_flashers: Vec<usize>,
    pub(super) forced_states: Vec<(usize, bool)>,
    /// What faults have joined, by fault.
    pub(super) shorts: Vec<(Item, Mode, Attachment)>,
    pub(super) weak: f64,
    pub(super) unplugged: Vec<PartId>,
    pub(super) open_connectors: Vec<ConnectorId>,
    pub(super) loose_ends: Vec<(WireId, u8)>,
    pub(super) tools: Vec<Tool>,
    /// Sources that give current.
    pub(super) giving: Vec<bool>,
    /// What is watched while time passes, and what each showed from which moment on.
    pub(super) record: Vec<(f64, Subject, Seen)>,
    pub(super) watched: Vec<Subject>,
    /// Relays that changed since the last hand.
    pub(super) clicked: Vec<usize>,
    /// Every state at rest, while an album is open.
    pub(super) album: Option<Vec<Frame>>,
    /// Conductances changed since the last solution.
    pub(super) dirty: bool,
    /// What does not come to rest where a fault makes a relay chatter: see [`Bench::chatters`].
    pub(super) shaken: BTreeSet<Subject>,
    /// The protective links that have opened by themselves, and the way of the current that opened each.
    pub(super) blows: Vec<(PartId, Vec<Hop>)>,
}

/// A protective link: how much of its opening time it has used up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LinkState {
    pub open: bool,
    /// 0 when fresh, 1 when it opens.
    pub used: f64,
    /// When it opened.
    pub since: f64,
    pub share: f64,
}

impl LinkState {
    /// Whole, and without any load yet.
    pub fn fresh(since: f64) -> LinkState {
        LinkState { open: false, used: 0.0, since, share: 0.0 }
    }
}

/// A flasher unit: which half of its period it is in, and when that ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FlasherState {
    pub made: bool,
    /// The end of this half; none while it rests without load.
    pub until: Option<f64>,
    pub per_minute: f64,
}

impl<'r> Bench<'r> {
    /// A healthy vehicle at rest: every control at its first position, everything plugged in.
    pub fn new(rig: &'r Rig, corner: Corner) -> Result<Bench<'r>, Upset> {
        let mut bench = Bench {
            solver: rig.solver.clone(),
            settings: rig.vehicle.controls.iter().map(|control| control.rest()).collect(),
            memories: vec![false; rig.numbering.memories],
            timers: vec![Timer::REST; rig.numbering.timers],
            states: vec![false; rig.relays.len()],
            made: vec![false; rig.contacts.len()],
            links: vec![LinkState::fresh(0.0); rig.links.len()],
            flashers: rig
                .flashers
                .iter()
                .map(|unit| FlasherState { made: true, until: None, per_minute: unit.per_minute })
                .collect(),
            charges: vec![0.0; rig.stores.len()],
            now: 0.0,
            untouched: 0.0,
            planted: Vec::new(),
            forced_contacts: Vec::new(),
            contact_ohms: Vec::new(),
            stuck_flashers: Vec::new(),
            forced_states: Vec::new(),
            shorts: Vec::new(),
            weak: 1.0,
            unplugged: Vec::new(),
            open_connectors: Vec::new(),
            loose_ends: Vec::new(),
            tools: Vec::new(),
            giving: vec![false; rig.sources.len()],
            record: Vec::new(),
            watched: Vec::new(),
            clicked: Vec::new(),
            album: None,
            dirty: true,
            shaken: BTreeSet::new(),
            blows: Vec::new(),
            rig,
            corner,
        };
        for source in 0..rig.sources.len() {
            bench.supply(source);
        }
        for follower in 0..rig.followers.len() {
            bench.follow(follower);
        }
        for contact in 0..rig.contacts.len() {
            bench.judge(contact);
        }
        bench.settle()?;
        // Whoever comes to the vehicle did not see it being put there: no clock has begun. What is then off may let something
        // else go, and that has been off for ever too.
        for _ in 0..=rig.numbering.timers {
            let clocks = bench.timers.clone();
            rig.contacts.iter().for_each(|contact| contact.gate.rest(&mut bench.timers));
            if clocks == bench.timers {
                break;
            }
            for contact in 0..rig.contacts.len() {
                bench.judge(contact);
            }
            bench.settle()?;
        }
        // Capacitors have had all the time that they need.
        if !rig.stores.is_empty() {
            for (charge, store) in bench.charges.iter_mut().zip(&rig.stores) {
                let (a, b) = rig.ends[store.id.0 as usize];
                if bench.solver.point().island(a) == bench.solver.point().island(b) {
                    *charge = bench.solver.point().volts_between(a, b);
                }
            }
            bench.hold_charges();
            bench.settle()?;
        }
        bench.clicked.clear();
        Ok(bench)
    }

    /// The wired-up build that this vehicle is one of.
    pub fn rig(&self) -> &'r Rig {
        self.rig
    }

    /// The corner at which it is judged.
    pub fn corner(&self) -> &Corner {
        &self.corner
    }

    /// The operating point it rests at.
    pub fn point(&self) -> &Point {
        self.solver.point()
    }

    /// Amperes through an element of the rig, from its first end to its second.
    pub fn amps(&self, element: usize) -> f64 {
        self.point().amps(crate::solve::ElementId(element as u32))
    }

    /// Where each control stands.
    pub fn settings(&self) -> &[Setting] {
        &self.settings
    }

    /// Simulated seconds since the vehicle was put on the bench.
    pub fn now(&self) -> f64 {
        self.now
    }

    /// Whether a relay state of the rig is in.
    pub fn energized(&self, state: usize) -> bool {
        self.states[state]
    }

    /// Whether a relay was heard since the last time anyone listened.
    pub fn clicked(&self, subject: Subject) -> bool {
        match subject {
            Subject::Relay { part, state } => {
                self.rig.relay(part, state).is_some_and(|relay| self.clicked.contains(&relay))
            }
            _ => false,
        }
    }

    /// Whether a contact of the rig is made.
    pub fn made(&self, contact: usize) -> bool {
        self.made[contact]
    }

    /// Whether a protective link of the rig has opened.
    pub fn blown(&self, link: usize) -> bool {
        self.links[link].open
    }

    /// The parts whose protective link has opened.
    pub fn blown_links(&self) -> Vec<PartId> {
        let links = self.links.iter().zip(&self.rig.links);
        links.filter(|(state, _)| state.open).map(|(_, link)| link.part).collect()
    }

    /// The instruments in place, a clamp around a wire too.
    pub fn instruments(&self) -> Vec<Instrument> {
        self.tools.iter().map(|tool| tool.instrument).collect()
    }

    /// The instruments in place and where their leads are.
    pub fn probes(&self) -> Vec<(Instrument, Spot, Spot)> {
        let leads = self.tools.iter().filter_map(|tool| Some((tool.instrument, tool.leads?)));
        leads.map(|(instrument, (from, to))| (instrument, from, to)).collect()
    }

    /// Everything that the vehicle remembers of what came before: relays that hold, switches with hysteresis, what times count
    /// from, fuses that have opened.
    pub fn memory(&self) -> impl Iterator<Item = bool> {
        let clocks = self.timers.iter().map(|timer| timer.inner);
        let links = self.links.iter().map(|link| link.open);
        self.states.iter().copied().chain(self.memories.iter().copied()).chain(clocks).chain(links)
    }

    /// The loads, relays and instruments that change for ever without time passing: those of a chattering relay that a fault
    /// has made. In a vehicle without a fault that is an [`Upset::Chatter`].
    pub fn chatters(&self) -> impl Iterator<Item = Subject> {
        self.shaken.iter().copied()
    }

    /// Whether something can still happen by itself: a timer, a flasher, a fuse on its way.
    pub fn is_lively(&self) -> bool {
        self.next_event().is_some()
    }
}
