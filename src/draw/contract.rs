//! Turns a sheet's graph into current paths between bars: chains of points where just two things meet become one path.

use super::collect::{Circuit, Piece, Tip};
use std::cmp::Ordering;

/// A net drawn as a horizontal bar: a point where three or more things meet.
pub(super) struct Bar {
    pub point: usize,
}

/// One vertical run: what stands on it from top to bottom.
pub(super) struct Path {
    /// The bar that it hangs from, as an index.
    pub top: Option<usize>,
    pub bottom: Option<usize>,
    pub members: Vec<Member>,
}

/// Something that stands on a path.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Member {
    /// An edge of the circuit; its first tip is at the top unless `flipped`.
    Edge { edge: usize, flipped: bool },
    /// A point without a symbol of its own: a splice between two wires, or a free end.
    Joint(usize),
}

/// The contracted graph. Bars are in the order of their ranks, so that every path runs from a lower to a higher index.
pub(super) struct Net {
    pub bars: Vec<Bar>,
    pub paths: Vec<Path>,
}

/// A chain as it is walked: the edges with their direction, and its two ends.
struct Chain {
    ends: [Option<usize>; 2],
    /// Edge, and whether it is walked from its first tip to its second.
    edges: Vec<(usize, bool)>,
}

/// Contracts a circuit.
pub(super) fn contract(circuit: &Circuit) -> Net {
    let mut at: Vec<Vec<(usize, usize)>> = vec![Vec::new(); circuit.points.len()];
    for (index, edge) in circuit.edges.iter().enumerate() {
        for (side, tip) in edge.tips.iter().enumerate() {
            if let Tip::Point(point) = *tip {
                at[point].push((index, side));
            }
        }
    }
    let mut stops: Vec<bool> = at.iter().map(|edges| edges.len() != 2).collect();
    let chains = loop {
        let chains = walk(circuit, &at, &stops);
        let further = further_stops(circuit, &chains);
        if further.is_empty() {
            break chains;
        }
        further.into_iter().for_each(|point| stops[point] = true);
    };
    let mut points: Vec<usize> =
        (0..at.len()).filter(|&point| stops[point] && at[point].len() >= 2).collect();
    points.sort_by(|&a, &b| higher(circuit, a, b));
    let paths = chains.iter().map(|chain| path(circuit, chain, &points)).collect();
    let bars = points.into_iter().map(|point| Bar { point }).collect();
    Net { bars, paths }
}

/// The order of two points from the top down.
fn higher(circuit: &Circuit, a: usize, b: usize) -> Ordering {
    circuit.ranks[a].total_cmp(&circuit.ranks[b]).then(a.cmp(&b))
}

/// The points inside chains at which there has to be a bar too.
fn further_stops(circuit: &Circuit, chains: &[Chain]) -> Vec<usize> {
    let rank = &circuit.ranks;
    let mut found = Vec::new();
    // A chain that returns to its own start would be a loop in one column: it gets a bar at its far point.
    for chain in chains {
        if let [Some(a), Some(b)] = chain.ends
            && a == b
        {
            let distance = |point: usize| (rank[point] - rank[a]).abs();
            found.extend(
                inner_points(circuit, chain)
                    .max_by(|&x, &y| distance(x).total_cmp(&distance(y)).then(x.cmp(&y))),
            );
        }
    }
    // Where wires from elsewhere meet two that both lead up, or both down, there is a bar.
    for chain in chains {
        let heights = heights(circuit, chain);
        found.extend(inner_points(circuit, chain).filter(|point| {
            let own = rank[*point];
            circuit.asides.contains_key(point)
                && (heights.iter().all(|&end| end > own) || heights.iter().all(|&end| end < own))
        }));
    }
    // A ring of points without any bar gets one at its highest point.
    let ring = unwalked(circuit, chains).flat_map(|edge| circuit.edges[edge].tips);
    let points = ring.filter_map(|tip| match tip {
        Tip::Point(point) => Some(point),
        _ => None,
    });
    found.extend(points.min_by(|&x, &y| higher(circuit, x, y)));
    found
}

/// A chain as a path between bars at some points, its upper end first.
fn path(circuit: &Circuit, chain: &Chain, points: &[usize]) -> Path {
    let down = heights(circuit, chain);
    let upright = down[0].total_cmp(&down[1]).then(chain.ends[0].cmp(&chain.ends[1])).is_le();
    let (mut edges, mut ends) = (chain.edges.clone(), chain.ends);
    if !upright {
        edges.reverse();
        edges.iter_mut().for_each(|(_, forward)| *forward = !*forward);
        ends.reverse();
    }
    let [top, bottom] = ends.map(|end| end.and_then(|point| points.iter().position(|&bar| bar == point)));
    let mut members = members(circuit, &edges);
    if let (None, Some(point)) = (top, ends[0]) {
        members.insert(0, Member::Joint(point));
    }
    if let (None, Some(point)) = (bottom, ends[1]) {
        members.push(Member::Joint(point));
    }
    Path { top, bottom, members }
}

/// Walks every chain once: from the stops, then from the free tips.
fn walk(circuit: &Circuit, at: &[Vec<(usize, usize)>], stops: &[bool]) -> Vec<Chain> {
    let mut used = vec![false; circuit.edges.len()];
    let mut chains = Vec::new();
    let from_stops = (0..at.len())
        .filter(|&point| stops[point])
        .flat_map(|point| at[point].iter().map(move |&(edge, side)| (Some(point), edge, side)));
    let free = circuit.edges.iter().enumerate().flat_map(|(index, edge)| {
        let tips = edge.tips.iter().enumerate();
        tips.filter(|(_, tip)| !matches!(tip, Tip::Point(_))).map(move |(side, _)| (None, index, side))
    });
    for (start, first, side) in from_stops.chain(free) {
        if used[first] {
            continue;
        }
        let (mut edge, mut side) = (first, side);
        let mut edges = Vec::new();
        let end = loop {
            used[edge] = true;
            edges.push((edge, side == 0));
            let Tip::Point(point) = circuit.edges[edge].tips[1 - side] else {
                break None;
            };
            if stops[point] {
                break Some(point);
            }
            let next = at[point].iter().find(|&&(other, _)| !used[other]);
            match next {
                Some(&(other, other_side)) => (edge, side) = (other, other_side),
                None => break Some(point),
            }
        };
        chains.push(Chain { ends: [start, end], edges });
    }
    chains
}

/// The edges that no chain has.
fn unwalked<'a>(circuit: &'a Circuit, chains: &[Chain]) -> impl Iterator<Item = usize> + 'a {
    let mut used = vec![false; circuit.edges.len()];
    for chain in chains {
        for &(edge, _) in &chain.edges {
            used[edge] = true;
        }
    }
    (0..circuit.edges.len()).filter(move |&edge| !used[edge])
}

/// The points between the edges of a chain.
fn inner_points<'a>(circuit: &'a Circuit, chain: &'a Chain) -> impl Iterator<Item = usize> + 'a {
    let inner = &chain.edges[..chain.edges.len() - 1];
    inner.iter().filter_map(|&(edge, forward)| match circuit.edges[edge].tips[usize::from(forward)] {
        Tip::Point(point) => Some(point),
        _ => None,
    })
}

/// How far down each end of a chain belongs.
fn heights(circuit: &Circuit, chain: &Chain) -> [f64; 2] {
    let outermost = [chain.edges[0].0, chain.edges[chain.edges.len() - 1].0];
    [0, 1].map(|side| match chain.ends[side] {
        Some(point) => circuit.ranks[point],
        None => circuit.edges[outermost[side]].free,
    })
}

/// The chain as members, with a joint wherever two wires meet or others go on elsewhere.
fn members(circuit: &Circuit, edges: &[(usize, bool)]) -> Vec<Member> {
    let mut members = Vec::new();
    for (index, &(edge, forward)) in edges.iter().enumerate() {
        if let Some(&(before, before_forward)) = index.checked_sub(1).map(|index| &edges[index])
            && let Tip::Point(point) = circuit.edges[before].tips[usize::from(before_forward)]
        {
            let wire = |edge: usize| matches!(circuit.edges[edge].piece, Piece::Wire(_));
            if wire(before) && wire(edge) || circuit.asides.contains_key(&point) {
                members.push(Member::Joint(point));
            }
        }
        members.push(Member::Edge { edge, flipped: !forward });
    }
    members
}
