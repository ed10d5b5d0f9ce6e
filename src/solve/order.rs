//! Turns links into an order of elimination and the pattern of its factor; it handles no numbers.
//!
//! The pattern is that of the *superset*: every element counts, open contacts too, so that no change of a switch or fault
//! ever changes it. It is found once and shared by all clones of a solver.

use super::chain::{Chains, Link, NONE};
use super::network::{Element, Network, NodeId};
use super::pattern::{Pattern, accumulate};

/// An order of elimination, the links sorted by it, and the pattern of the factor.
///
/// *Position* means place in the order; the reference has the last position, [`Order::size`]. *Slot* means a link's index
/// when links are sorted by their earlier position, the *near* one; the other is the *far* one.
#[derive(Debug)]
pub(super) struct Order {
    pub chains: Chains,
    /// The position of each node, [`NONE`] inside a chain.
    pub place: Vec<u32>,
    /// The node at each position.
    pub node: Vec<NodeId>,
    /// The slot of each link.
    pub slot: Vec<u32>,
    /// The link in each slot.
    pub link: Vec<u32>,
    /// The slots whose near position is `k` are `starts[k]..starts[k + 1]`.
    starts: Vec<u32>,
    /// The near position of each slot.
    pub near: Vec<u32>,
    /// The far position of each slot.
    pub far: Vec<u32>,
    /// 1 for each slot whose link's first node is the near one, else -1.
    pub sign: Vec<f64>,
    /// Where the factor has entries.
    pub pattern: Pattern,
}

impl Order {
    /// Orders by approximate minimum degree (Amestoy, Davis and Duff, "Algorithm 837: AMD", ACM Transactions on
    /// Mathematical Software 30(3), 2004).
    ///
    /// Cost: near-linear in nodes and elements for a network that is almost a tree, as a vehicle is.
    pub fn new(network: &Network) -> Order {
        let chains = Chains::new(network);
        let nodes = minimum_degree(&chains, network.nodes());
        Order::with(chains, nodes)
    }

    /// The same with elements attached. The order stays; nodes that were inside a chain until now come last.
    ///
    /// Cost: linear in links and entries, some microseconds for a vehicle.
    pub fn attached(&self, elements: &[Option<Element>]) -> Order {
        let mut chains = self.chains.clone();
        let mut nodes = self.node[..self.size()].to_vec();
        for element in elements {
            chains.attach(element.as_ref());
            if let Some((a, b)) = element.as_ref().map(Element::ends) {
                let inside = |node: NodeId| self.place[node.0 as usize] == NONE;
                for node in [a, b] {
                    if inside(node) && !nodes[self.size()..].contains(&node) {
                        nodes.push(node);
                    }
                }
            }
        }
        Order::with(chains, nodes)
    }

    /// The order in which the given nodes are eliminated as they come.
    fn with(chains: Chains, mut node: Vec<NodeId>) -> Order {
        let size = node.len();
        node.push(NodeId::REFERENCE);
        let mut place = vec![NONE; chains.nodes()];
        for (position, id) in node.iter().enumerate() {
            place[id.0 as usize] = position as u32;
        }

        let ends = |link: &Link| match (place[link.from.0 as usize], place[link.to.0 as usize]) {
            // A loop carries what its source drives, wherever it hangs; at the reference it is in nobody's way.
            (a, b) if a == b => (size as u32, size as u32),
            ends => ends,
        };
        let mut starts = vec![0; size + 2];
        for link in &chains.links {
            let (a, b) = ends(link);
            starts[a.min(b) as usize + 1] += 1;
        }
        accumulate(&mut starts);
        let count = chains.links.len();
        let (mut slot, mut link, mut near, mut far) =
            (vec![0; count], vec![0; count], vec![0; count], vec![0; count]);
        let (mut sign, mut next) = (vec![1.0; count], starts.clone());
        for (index, (a, b)) in chains.links.iter().map(ends).enumerate() {
            let at = &mut next[a.min(b) as usize];
            let s = *at as usize;
            *at += 1;
            slot[index] = s as u32;
            link[s] = index as u32;
            near[s] = a.min(b);
            far[s] = a.max(b);
            sign[s] = if a <= b { 1.0 } else { -1.0 };
        }

        let pattern = Pattern::new(size, &near, &far);
        Order { chains, place, node, slot, link, starts, near, far, sign, pattern }
    }

    /// How many nodes are eliminated: all that stay, but the reference.
    pub fn size(&self) -> usize {
        self.node.len() - 1
    }

    /// The slots whose near position is `k`.
    pub fn slots(&self, k: usize) -> std::ops::Range<usize> {
        self.starts[k] as usize..self.starts[k + 1] as usize
    }

    /// The slots of links that are loops: after all others.
    pub fn loops(&self) -> std::ops::Range<usize> {
        self.slots(self.size())
    }

    /// The slot of an element's link, and 1 if the element points from its near node to its far one, else -1;
    /// `None` if it isn't attached any more.
    pub fn slot_of(&self, element: usize) -> Option<(usize, f64)> {
        self.chains.link_of(element).map(|(link, forward)| {
            let slot = self.slot[link] as usize;
            (slot, forward * self.sign[slot])
        })
    }
}

/// The nodes that stay, but the reference, in order of elimination.
fn minimum_degree(chains: &Chains, nodes: usize) -> Vec<NodeId> {
    let stay: Vec<NodeId> =
        (1..nodes as u32).map(NodeId).filter(|&node| chains.inside(node).is_none()).collect();
    let mut index = vec![NONE; nodes];
    for (at, node) in stay.iter().enumerate() {
        index[node.0 as usize] = at as u32;
    }
    let mut joined: Vec<(u32, u32)> = (0..stay.len() as u32).map(|at| (at, at)).collect();
    for link in &chains.links {
        let (i, j) = (index[link.from.0 as usize], index[link.to.0 as usize]);
        if i != NONE && j != NONE {
            joined.extend([(i, j), (j, i)]);
        }
    }
    joined.sort_unstable();
    joined.dedup();
    let starts: Vec<i32> =
        (0..=stay.len() as u32).map(|column| joined.partition_point(|&(at, _)| at < column) as i32).collect();
    let rows: Vec<i32> = joined.iter().map(|&(_, row)| row as i32).collect();
    let (order, _, _) = amd::order(stay.len() as i32, &starts, &rows, &amd::Control::default())
        .expect("a pattern sorted by column is valid");
    order.into_iter().map(|at| stay[at as usize]).collect()
}
