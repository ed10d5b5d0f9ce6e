//! Turns pages, drawings and faults into what of a vehicle they can bring to life, so that nothing else has to be solved.

use super::scope::Scope;
use crate::bench::Rig;
use crate::book::{Act, ControlId, Fault, Item, Role};
use std::collections::BTreeSet;

/// The controls that are worked and the items that are touched, looked at or at fault; the rest of the vehicle may sleep.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Field {
    pub worked: BTreeSet<ControlId>,
    pub touched: BTreeSet<Item>,
}

impl Field {
    /// What steps and tests name.
    pub fn of_roles(roles: &[&Role]) -> Field {
        let worked = roles.iter().flat_map(|role| role.acts()).filter_map(|act| match act {
            Act::Set { control, .. } => Some(*control),
            _ => None,
        });
        Field { worked: worked.collect(), touched: roles.iter().flat_map(|role| role.items()).collect() }
    }

    /// What a drawing shows.
    pub fn of_scope(scope: &Scope) -> Field {
        let parts = scope.parts.iter().map(|&part| Item::Part(part));
        let wires = scope.wires.iter().map(|&wire| Item::Wire(wire));
        let connectors = scope.connectors.iter().map(|&connector| Item::Connector(connector));
        Field { worked: BTreeSet::new(), touched: parts.chain(wires).chain(connectors).collect() }
    }

    /// Both together.
    pub fn and(mut self, other: Field) -> Field {
        self.worked.extend(other.worked);
        self.touched.extend(other.touched);
        self
    }

    /// With these controls worked too.
    pub fn worked(mut self, controls: impl IntoIterator<Item = ControlId>) -> Field {
        self.worked.extend(controls);
        self
    }

    /// With any one of these faults in it.
    pub fn faults<'f>(mut self, faults: impl IntoIterator<Item = &'f Fault>) -> Field {
        self.touched.extend(faults.into_iter().flat_map(Fault::items));
        self
    }

    /// A build without what sleeps meanwhile.
    pub fn awake(&self, rig: &Rig) -> Rig {
        rig.awake(&self.worked, &self.touched)
    }
}
