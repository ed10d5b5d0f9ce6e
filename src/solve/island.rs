//! Turns conductances into islands: sets of nodes that conduct to each other.

use petgraph::unionfind::UnionFind;

/// An element below this conductance, in siemens, doesn't join its two nodes as far as islands are concerned.
///
/// It lies at half the conductance of a 10 MΩ voltmeter, so that a conductor with a meter to the chassis isn't
/// floating (the meter pulls it to 0 V, and that is what it reads), and above the leakage of blocked junctions, so
/// that a conductor held by nothing else is. Every stated voltage exists mathematically even then; it just means nothing.
pub const FLOATING_BELOW: f64 = 5e-8;

/// Labels each of `nodes` nodes with the least node of its island, given the joined pairs. Cost: near-linear in both.
pub fn islands(nodes: usize, joined: impl Iterator<Item = (u32, u32)>) -> Vec<u32> {
    let mut sets = UnionFind::<u32>::new(nodes);
    for (a, b) in joined {
        sets.union(a, b);
    }
    let mut least = vec![u32::MAX; nodes];
    (0..nodes as u32)
        .map(|node| {
            let label = &mut least[sets.find_mut(node) as usize];
            *label = node.min(*label);
            *label
        })
        .collect()
}
