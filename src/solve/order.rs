//! Turns a network into an order of elimination and the pattern of its factor; it handles no numbers.
//!
//! The pattern is that of the *superset*: every element counts, open contacts too, so that no change of a switch
//! or fault ever changes it. It is found once and shared by all clones of a solver.

use super::network::{Network, NodeId};
use super::pattern::Pattern;
use sprs::TriMatI;

/// An order of elimination, the elements sorted by it, and the pattern of the factor.
///
/// *Position* means place in the order; the reference has the last position, [`Order::size`]. *Slot* means an
/// element's index when elements are sorted by their earlier position, the *near* one; the other is the *far* one.
#[derive(Debug)]
pub(super) struct Order {
    /// The position of each node.
    pub place: Vec<u32>,
    /// The node at each position.
    pub node: Vec<NodeId>,
    /// The slot of each element.
    pub slot: Vec<u32>,
    /// The element in each slot.
    pub element: Vec<u32>,
    /// The slots whose near position is `k` are `near[k]..near[k + 1]`.
    pub near: Vec<u32>,
    /// The far position of each slot.
    pub far: Vec<u32>,
    /// 1 if the element's first node is the near one, else -1.
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
        let size = network.nodes() - 1;
        let mut place = minimum_degree(network);
        place.insert(0, size as u32);
        let mut node = vec![NodeId::REFERENCE; size + 1];
        for (id, &position) in place.iter().enumerate() {
            node[position as usize] = NodeId(id as u32);
        }

        let ends: Vec<(u32, u32)> = network
            .elements()
            .iter()
            .map(|element| {
                let (a, b) = element.ends();
                (place[a.0 as usize], place[b.0 as usize])
            })
            .collect();
        let mut element: Vec<u32> = (0..ends.len() as u32).collect();
        element.sort_by_key(|&e| {
            let (a, b) = ends[e as usize];
            (a.min(b), a.max(b))
        });
        let mut slot = vec![0; ends.len()];
        let mut near = vec![0; size + 2];
        let mut far = Vec::with_capacity(ends.len());
        let mut sign = Vec::with_capacity(ends.len());
        for (s, &e) in element.iter().enumerate() {
            let (a, b) = ends[e as usize];
            slot[e as usize] = s as u32;
            near[a.min(b) as usize + 1] += 1;
            far.push(a.max(b));
            sign.push(if a <= b { 1.0 } else { -1.0 });
        }
        accumulate(&mut near);

        let pattern = Pattern::new(size, &near, &far);
        Order {
            place,
            node,
            slot,
            element,
            near,
            far,
            sign,
            pattern,
        }
    }

    /// How many nodes are eliminated: all but the reference.
    pub fn size(&self) -> usize {
        self.node.len() - 1
    }

    /// The slots whose near position is `k`.
    pub fn slots(&self, k: usize) -> std::ops::Range<usize> {
        self.near[k] as usize..self.near[k + 1] as usize
    }
}

/// The position of every node but the reference.
fn minimum_degree(network: &Network) -> Vec<u32> {
    let size = network.nodes() - 1;
    let mut joined = TriMatI::<f32, i32>::new((size, size));
    for i in 0..size {
        joined.add_triplet(i, i, 1.0);
    }
    for element in network.elements() {
        let (a, b) = element.ends();
        if a != b && a != NodeId::REFERENCE && b != NodeId::REFERENCE {
            let (i, j) = (a.0 as usize - 1, b.0 as usize - 1);
            joined.add_triplet(i, j, 1.0);
            joined.add_triplet(j, i, 1.0);
        }
    }
    let joined = joined.to_csc::<i32>();
    let starts = joined.indptr().to_proper().to_vec();
    let (_, inverse, _) = amd::order(size as i32, &starts, joined.indices(), &amd::Control::default())
        .expect("a pattern assembled by column is valid");
    inverse.into_iter().map(|position| position as u32).collect()
}

/// Turns counts, each one place late, into starts.
pub(super) fn accumulate(counts: &mut [u32]) {
    for k in 1..counts.len() {
        counts[k] += counts[k - 1];
    }
}
