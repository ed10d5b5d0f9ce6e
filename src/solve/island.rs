//! Turns conductances into islands: sets of nodes that conduct to each other.

/// An element below this conductance, in siemens, doesn't join its two nodes as far as islands are concerned.
///
/// It lies at half the conductance of a 10 MΩ voltmeter, so that a conductor with a meter to the chassis isn't
/// floating (the meter pulls it to 0 V, and that is what it reads), and above the leakage of blocked junctions, so
/// that a conductor held by nothing else is. Every stated voltage exists mathematically even then; it just means nothing.
pub const FLOATING_BELOW: f64 = 5e-8;

/// Labels each of `nodes` nodes with the least node of its island, given the joined pairs.
///
/// Disjoint sets with path halving, each joined under its least member. Cost: near-linear in nodes and pairs.
pub(super) fn islands(nodes: usize, joined: impl Iterator<Item = (u32, u32)>) -> Vec<u32> {
    let mut label: Vec<u32> = (0..nodes as u32).collect();
    for (a, b) in joined {
        let (a, b) = (least(&mut label, a), least(&mut label, b));
        label[a.max(b) as usize] = a.min(b);
    }
    for node in 0..nodes {
        // A label is never above its node, so those below are final by now.
        label[node] = label[label[node] as usize];
    }
    label
}

/// The least member of the node's set.
fn least(label: &mut [u32], mut node: u32) -> u32 {
    while label[node as usize] != node {
        let above = label[label[node as usize] as usize];
        label[node as usize] = above;
        node = above;
    }
    node
}
