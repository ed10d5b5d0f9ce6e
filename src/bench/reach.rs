//! Turns a build into which controls can reach which loads: through conductors, contacts and coils, but not through what is
//! tied to the supply or the body whatever the controls do.

use super::gate::Gate;
use super::rig::{Carrier, Rig};
use crate::book::{Action, ControlId, PartId};
use crate::solve::NodeId;
use std::collections::BTreeSet;

/// What bears on a load.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reach {
    pub controls: BTreeSet<ControlId>,
    /// The parts on the way.
    pub parts: BTreeSet<PartId>,
}

impl Rig<'_> {
    /// The nodes tied to the supply or the body by wires, fuses and joints alone: their voltage follows no control.
    pub fn tied(&self) -> Vec<bool> {
        let mut tied = vec![false; self.around.len()];
        let mut queue = vec![NodeId::REFERENCE];
        queue.extend(self.battery.into_iter().flat_map(|(plus, minus)| [plus, minus]));
        while let Some(node) = queue.pop() {
            if std::mem::replace(&mut tied[node.0 as usize], true) {
                continue;
            }
            for &element in &self.around[node.0 as usize] {
                let passive = match self.carriers[element] {
                    Carrier::Element { part, element } => {
                        matches!(self.book.part(part).elements[element].action, Action::Link { .. })
                    }
                    Carrier::ShortToGround(_) => false,
                    _ => true,
                };
                if passive {
                    let (a, b) = self.ends[element];
                    queue.push(if a == node { b } else { a });
                }
            }
        }
        tied
    }

    /// All that bears on a part's element.
    pub fn reach(&self, tied: &[bool], part: PartId, element: usize) -> Option<Reach> {
        let (a, b) = self.ends[self.element(part, element)?.0 as usize];
        let mut reach = Reach {
            controls: BTreeSet::new(),
            parts: BTreeSet::from([part]),
        };
        let mut seen = vec![false; self.around.len()];
        let mut queue = vec![a, b];
        while let Some(node) = queue.pop() {
            if std::mem::replace(&mut seen[node.0 as usize], true) || tied[node.0 as usize] {
                continue;
            }
            for &element in &self.around[node.0 as usize] {
                if matches!(self.carriers[element], Carrier::ShortToGround(_)) {
                    continue;
                }
                let (a, b) = self.ends[element];
                queue.push(if a == node { b } else { a });
                let Carrier::Element { part, element } = self.carriers[element] else {
                    continue;
                };
                reach.parts.insert(part);
                self.follow_gates(part, element, &mut reach.controls, &mut queue);
            }
        }
        Some(reach)
    }

    /// Takes in what moves an element: the controls its condition reads, and the nodes of the coils and thresholds in it.
    fn follow_gates(
        &self,
        part: PartId,
        element: usize,
        controls: &mut BTreeSet<ControlId>,
        queue: &mut Vec<NodeId>,
    ) {
        let contact = self
            .contacts
            .iter()
            .filter(|contact| contact.part == part && contact.element == element);
        let source = self
            .sources
            .iter()
            .filter(|source| source.part == part && source.element == element);
        let gates = contact
            .map(|contact| &contact.gate)
            .chain(source.filter_map(|source| source.gate.as_ref()));
        for gate in gates {
            gate.walk(&mut |gate| match gate {
                Gate::Position { control, .. } | Gate::Level { control, .. } => {
                    controls.insert(*control);
                }
                Gate::State(state) => {
                    for &(coil, _, _) in &self.relays[*state].coils {
                        let (a, b) = self.ends[coil.0 as usize];
                        queue.extend([a, b]);
                    }
                }
                Gate::Volts { plus, minus, .. } => queue.extend([*plus, *minus]),
                _ => {}
            });
        }
        let follower = self
            .followers
            .iter()
            .find(|follower| follower.part == part && follower.element == element);
        if let Some(follower) = follower {
            controls.insert(ControlId(follower.control as u32));
        }
    }
}
