//! Turns elements into links: a device, or a chain of branches in series through nodes that join nothing else.
//!
//! One current flows through all of a chain, so Kirchhoff's current law holds at its inner nodes by construction, and their
//! voltages follow from its ends when somebody asks. A vehicle is mostly chains: fuse, wire, switch, wire, connector, load.

use super::network::{Element, Network, NodeId};

/// In place of an index: there is none.
pub(super) const NONE: u32 = u32::MAX;

/// A device or a chain, between two nodes that stay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Link {
    pub from: NodeId,
    pub to: NodeId,
    /// Its elements are `run[start..end]`.
    pub start: u32,
    pub end: u32,
}

/// The links of a network. Attached elements count on after the network's own.
#[derive(Clone, Debug)]
pub(super) struct Chains {
    pub links: Vec<Link>,
    /// The elements of all links, each link's together and in order from its first node to its last.
    run: Vec<u32>,
    /// Each element's link, or [`NONE`].
    link: Vec<u32>,
    /// Each element's nodes.
    ends: Vec<(NodeId, NodeId)>,
    /// 1 for each element that points along its link, else -1.
    forward: Vec<f64>,
    /// For a node inside a chain, the link and where in `run` the element before the node is; else [`NONE`].
    seat: Vec<(u32, u32)>,
}

impl Chains {
    /// Finds the longest chains. A node is inside one if it isn't the reference and exactly two branches end there.
    ///
    /// Cost: linear in nodes and elements.
    pub fn new(network: &Network) -> Chains {
        let elements = network.elements();
        let ends: Vec<_> = elements.iter().map(Element::ends).collect();
        let mut touching = vec![Vec::new(); network.nodes()];
        for (id, &(a, b)) in ends.iter().enumerate() {
            touching[a.0 as usize].push(id as u32);
            touching[b.0 as usize].push(id as u32);
        }
        let branch = |&id: &u32| matches!(elements[id as usize], Element::Branch { .. });
        let mut inner: Vec<bool> = touching
            .iter()
            .map(|ids| matches!(ids[..], [one, two] if one != two) && ids.iter().all(branch))
            .collect();
        inner[NodeId::REFERENCE.0 as usize] = false;
        let mut chains = Chains {
            links: Vec::new(),
            run: Vec::with_capacity(elements.len()),
            link: vec![NONE; elements.len()],
            forward: vec![1.0; elements.len()],
            seat: vec![(NONE, 0); network.nodes()],
            ends,
        };
        for node in 0..network.nodes() {
            if !inner[node] {
                chains.walk_from(node, &touching, &inner);
            }
        }
        for id in 0..elements.len() {
            // What is left are rings that touch nothing else; one node of each has to stay.
            if chains.link[id] == NONE {
                let node = chains.ends[id].0.0 as usize;
                inner[node] = false;
                chains.walk_from(node, &touching, &inner);
            }
        }
        chains
    }

    /// Makes a link of each way out of a node that stays.
    fn walk_from(&mut self, node: usize, touching: &[Vec<u32>], inner: &[bool]) {
        for &first in &touching[node] {
            if self.link[first as usize] != NONE {
                continue;
            }
            let (index, start, from) = (self.links.len() as u32, self.run.len() as u32, NodeId(node as u32));
            let (mut element, mut at) = (first, from);
            loop {
                let (a, b) = self.ends[element as usize];
                self.link[element as usize] = index;
                self.forward[element as usize] = if at == a { 1.0 } else { -1.0 };
                at = if at == a { b } else { a };
                self.run.push(element);
                if !inner[at.0 as usize] {
                    break;
                }
                self.seat[at.0 as usize] = (index, self.run.len() as u32 - 1);
                let both = &touching[at.0 as usize];
                element = if both[0] == element { both[1] } else { both[0] };
            }
            self.links.push(Link { from, to: at, start, end: self.run.len() as u32 });
        }
    }

    /// Adds an element as a link of its own, cutting the chains that its nodes are inside of. `None` only takes the next id.
    pub fn attach(&mut self, element: Option<&Element>) {
        let id = self.ends.len() as u32;
        let (from, to) = element.map_or((NodeId::REFERENCE, NodeId::REFERENCE), Element::ends);
        self.ends.push((from, to));
        self.forward.push(1.0);
        self.link.push(NONE);
        if element.is_some() {
            self.cut(from);
            self.cut(to);
            self.link[id as usize] = self.links.len() as u32;
            self.run.push(id);
            let end = self.run.len() as u32;
            self.links.push(Link { from, to, start: end - 1, end });
        }
    }

    /// Makes two links of the chain that a node is inside of; the node stays then.
    fn cut(&mut self, node: NodeId) {
        let (index, at) = std::mem::replace(&mut self.seat[node.0 as usize], (NONE, 0));
        if index == NONE {
            return;
        }
        let second = self.links.len() as u32;
        let link = &mut self.links[index as usize];
        let rest = Link { from: node, to: link.to, start: at + 1, end: link.end };
        *link = Link { to: node, end: at + 1, ..*link };
        self.links.push(rest);
        for place in rest.start..rest.end {
            let element = self.run[place as usize] as usize;
            self.link[element] = second;
            if place + 1 < rest.end {
                let (a, b) = self.ends[element];
                let after = if self.forward[element] > 0.0 { b } else { a };
                self.seat[after.0 as usize].0 = second;
            }
        }
    }

    /// The elements of a link in order, each with 1 if it points along the link, else -1.
    pub fn elements(&self, link: &Link) -> impl DoubleEndedIterator<Item = (usize, f64)> + '_ {
        self.run[link.start as usize..link.end as usize]
            .iter()
            .map(|&element| (element as usize, self.forward[element as usize]))
    }

    /// The link of an element, and 1 if the element points along it, else -1; `None` if it isn't attached any more.
    pub fn link_of(&self, element: usize) -> Option<(usize, f64)> {
        match self.link.get(element) {
            None | Some(&NONE) => None,
            Some(&link) => Some((link as usize, self.forward[element])),
        }
    }

    /// For a node inside a chain, its link and how many of the link's elements come before the node.
    pub fn inside(&self, node: NodeId) -> Option<(usize, usize)> {
        let (link, at) = self.seat[node.0 as usize];
        (link != NONE).then(|| (link as usize, (at + 1 - self.links[link as usize].start) as usize))
    }

    /// How many nodes the network has.
    pub fn nodes(&self) -> usize {
        self.seat.len()
    }

    /// The nodes of every element.
    pub fn ends(&self) -> &[(NodeId, NodeId)] {
        &self.ends
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn branch(a: u32, b: u32) -> Element {
        Element::Branch { a: NodeId(a), b: NodeId(b), conductance: 1.0, emf: 0.0 }
    }

    #[test]
    fn a_run_of_branches_is_one_link_and_a_cut_makes_two() {
        let mut network = Network::new(5);
        for element in [branch(0, 1), branch(2, 1), branch(2, 3), branch(3, 4), branch(4, 0)] {
            network.add(element);
        }
        let mut chains = Chains::new(&network);
        assert_eq!(chains.links.len(), 1);
        let order: Vec<_> = chains.elements(&chains.links[0]).collect();
        assert_eq!(order, [(0, 1.0), (1, -1.0), (2, 1.0), (3, 1.0), (4, 1.0)]);
        assert_eq!(chains.inside(NodeId(3)), Some((0, 3)));

        chains.attach(Some(&branch(2, 0)));
        assert_eq!(chains.links.len(), 3);
        assert_eq!(chains.inside(NodeId(2)), None);
        assert_eq!(chains.inside(NodeId(1)), Some((0, 1)));
        assert_eq!(chains.inside(NodeId(4)), Some((1, 2)));
        assert_eq!(chains.link_of(3), Some((1, 1.0)));
        assert_eq!(chains.link_of(5), Some((2, 1.0)));
    }

    #[test]
    fn a_ring_that_touches_nothing_keeps_one_node() {
        let mut network = Network::new(4);
        for element in [branch(1, 2), branch(2, 3), branch(3, 1)] {
            network.add(element);
        }
        let chains = Chains::new(&network);
        assert_eq!(chains.links.len(), 1);
        assert_eq!((chains.links[0].from, chains.links[0].to), (NodeId(1), NodeId(1)));
    }
}
