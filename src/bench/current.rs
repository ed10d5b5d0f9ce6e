//! Turns an operating point into which conductors carry a current that something in the vehicle works by, or could: what is
//! no more than a trickle beside that, like the millivolts of a shared ground joint in another lamp, is told apart from it.

use super::instrument::{TEST_LIGHT_VOLTS, TEST_LIGHT_WATTS};
use super::rig::Carrier;
use super::state::Bench;
use crate::book::{Action, Instrument};
use crate::solve::NodeId;
use std::collections::BTreeMap;

/// The least current that is ever told as one, in amperes: less than the least lamp, more than any voltmeter takes.
pub const LEAST: f64 = 5e-4;

/// The share of what a load takes at its full voltage that it has to get, and of what it gets that a conductor has to carry: a
/// limit of this project's, below the least at which any load is seen to do anything but a motor that stands still.
const SHARE: f64 = 0.02;

/// A current that is told whatever it flows through, in amperes: a short takes it, and no load at all.
const ALWAYS: f64 = 1.0;

/// A source takes current as a load does when another charges it, in amperes (a limit of this project's).
const CHARGES: f64 = 1.0;

impl Bench<'_> {
    /// By element of the network, instruments and faults' joints after the rig's own: whether it carries a current that
    /// counts. One counts where a load gets at least a fiftieth of what it takes: all the way to the load and back from it
    /// where at least a fiftieth of what the load gets goes along.
    pub fn carrying(&self) -> Vec<bool> {
        let stream = Stream::of(self);
        let mut carrying: Vec<bool> = stream.amps.iter().map(|amps| amps.abs() >= ALWAYS).collect();
        for element in 0..stream.amps.len() {
            let amps = stream.amps[element].abs();
            if amps >= LEAST && self.takes(element).is_some_and(|takes| amps >= SHARE * takes) {
                carrying[element] = true;
                stream.follow(element, &mut carrying);
            }
        }
        carrying
    }

    /// Amperes that an element takes at its full voltage; none for what only lets current through.
    fn takes(&self, element: usize) -> Option<f64> {
        let Some(&carrier) = self.rig.carriers.get(element) else {
            return self.tool_takes(element);
        };
        let Carrier::Element { part, element: own } = carrier else {
            return None;
        };
        let supply = self.corner.supply;
        match &self.rig.vehicle.part(part).elements[own].action {
            Action::Contact { .. } | Action::Link { .. } | Action::Flasher { .. } | Action::Diode { .. } => {
                None
            }
            Action::Source { .. } => (self.amps(element) < 0.0).then_some(CHARGES),
            Action::Capacitor { .. } => Some(0.0),
            Action::Resistor { .. } => {
                let (a, b) = self.rig.ends[element];
                let volts = self.point().volts_between(a, b);
                Some((supply * self.amps(element) / volts).abs())
            }
            Action::Coil { ohms, .. } => Some(supply / ohms.0),
            Action::Load { rated, ohms, .. } => Some(rated.0 / ohms.0),
            Action::Filament { volts, watts } => Some(watts.0 / volts.0),
            Action::Led { amps, .. } => Some(amps.0),
        }
    }

    /// The same of an instrument that is a load or has a cell of its own.
    fn tool_takes(&self, element: usize) -> Option<f64> {
        let here = |tool: &&super::instrument::Tool| {
            tool.attachment.is_some_and(|attachment| self.point().number(attachment).0 as usize == element)
        };
        match self.tools.iter().find(here)?.instrument {
            Instrument::TestLight => Some(TEST_LIGHT_WATTS / TEST_LIGHT_VOLTS),
            Instrument::ContinuityLight | Instrument::Ohmmeter => Some(0.0),
            _ => None,
        }
    }
}

/// The currents of an operating point as a stream, from the sources that drive it and back to them.
struct Stream<'p> {
    ends: &'p [(NodeId, NodeId)],
    amps: Vec<f64>,
    /// The elements at each node that carry anything.
    around: Vec<Vec<usize>>,
    /// The place of each node in an order in which every current runs to a later place, but through a source.
    place: Vec<usize>,
    sources: Vec<bool>,
}

impl<'p> Stream<'p> {
    fn of(bench: &'p Bench) -> Stream<'p> {
        let ends = bench.point().ends();
        let amps = bench.point().flows();
        let mut sources = vec![false; ends.len()];
        for source in &bench.rig.sources {
            sources[source.id.0 as usize] = true;
        }
        let nodes = ends.iter().map(|(a, b)| a.0.max(b.0) as usize + 1).max().unwrap_or(0);
        let mut around = vec![Vec::new(); nodes];
        for (element, (a, b)) in ends.iter().enumerate() {
            // What is left out is a fiftieth of the least current that counts.
            if amps[element].abs() >= LEAST * SHARE {
                around[a.0 as usize].push(element);
                around[b.0 as usize].push(element);
            }
        }
        let mut stream = Stream { ends, amps, around, place: vec![usize::MAX; nodes], sources };
        stream.sort();
        stream
    }

    /// The elements by which current leaves a node, or comes to it.
    fn ways(&self, node: usize, away: bool) -> impl Iterator<Item = usize> {
        let leaves =
            move |element: usize| (self.amps[element] > 0.0) == (self.ends[element].0.0 as usize == node);
        self.around[node].iter().copied().filter(move |&element| leaves(element) == away)
    }

    fn far(&self, element: usize, node: usize) -> usize {
        let (a, b) = self.ends[element];
        if a.0 as usize == node { b.0 as usize } else { a.0 as usize }
    }

    /// Puts every node after those from which current comes to it.
    fn sort(&mut self) {
        let through = |element: &usize| !self.sources[*element];
        let nodes = 0..self.around.len();
        let mut open: Vec<usize> =
            nodes.clone().map(|node| self.ways(node, false).filter(through).count()).collect();
        let mut ready: Vec<usize> = nodes.filter(|&node| open[node] == 0).collect();
        let mut order = Vec::new();
        while let Some(node) = ready.pop() {
            order.push(node);
            for element in self.ways(node, true).filter(through) {
                let far = self.far(element, node);
                open[far] -= 1;
                if open[far] == 0 {
                    ready.push(far);
                }
            }
        }
        for (place, node) in order.into_iter().enumerate() {
            self.place[node] = place;
        }
    }

    /// Marks what the current of a load comes through and goes through. Where ways part, it goes along each by the share of
    /// all current there that takes it.
    fn follow(&self, load: usize, carrying: &mut [bool]) {
        let (a, b) = self.ends[load];
        let (enter, leave) = if self.amps[load] > 0.0 { (a, b) } else { (b, a) };
        let whole = self.amps[load].abs();
        for (start, away) in [(enter, false), (leave, true)] {
            let turn = |node: u32| {
                let place = self.place[node as usize];
                (if away { place } else { usize::MAX - place }, node)
            };
            // Nodes yet to be left, the next first, with how much of the load's current is there.
            let mut waiting = BTreeMap::from([(turn(start.0), whole)]);
            while let Some(((_, node), part)) = waiting.pop_first() {
                let node = node as usize;
                let all: f64 = self.ways(node, away).map(|element| self.amps[element].abs()).sum();
                for element in self.ways(node, away) {
                    let amps = self.amps[element].abs();
                    let along = part * amps / all;
                    if along < SHARE * whole || amps < LEAST {
                        continue;
                    }
                    carrying[element] = true;
                    if !self.sources[element] {
                        *waiting.entry(turn(self.far(element, node) as u32)).or_insert(0.0) += along;
                    }
                }
            }
        }
    }
}
