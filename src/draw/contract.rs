//! Turns a sheet's graph into current paths between bars: chains of points where just two things meet become one path.

use super::collect::{Circuit, Link, Tip};

/// A net drawn as a horizontal bar: a point where three or more things meet.
pub(super) struct Bar {
    pub point: usize,
}

/// One vertical run: what stands on it from top to bottom.
pub(super) struct Path {
    /// The bar that it hangs from, as an index.
    pub top: Option<usize>,
    pub bottom: Option<usize>,
    pub items: Vec<Item>,
}

/// Something that stands on a path.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Item {
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
    let rank = &circuit.ranks;
    let mut at: Vec<Vec<(usize, usize)>> = vec![Vec::new(); circuit.points.len()];
    for (index, edge) in circuit.edges.iter().enumerate() {
        for (side, tip) in edge.tips.iter().enumerate() {
            if let Tip::Point(point) = *tip {
                at[point].push((index, side));
            }
        }
    }
    let mut stops: Vec<bool> = at.iter().map(|edges| edges.len() != 2).collect();
    let below = |a: usize, b: usize| rank[a].total_cmp(&rank[b]).then(a.cmp(&b));
    let chains = loop {
        let chains = walk(circuit, &at, &stops);
        // A chain that returns to its own start would be a loop in one column: it gets a bar at its far point.
        let mut promoted = false;
        for chain in &chains {
            if let [Some(a), Some(b)] = chain.ends
                && a == b
                && let Some(far) = inner_points(circuit, chain).max_by(|&x, &y| {
                    let distance = |point: usize| (rank[point] - rank[a]).abs();
                    distance(x).total_cmp(&distance(y)).then(x.cmp(&y))
                })
            {
                stops[far] = true;
                promoted = true;
            }
        }
        // Where wires from elsewhere meet two that both lead up, or both down, there is a bar.
        for chain in &chains {
            let heights = heights(circuit, chain);
            for point in inner_points(circuit, chain).filter(|point| circuit.asides.contains_key(point)) {
                let own = rank[point];
                if heights.iter().all(|&end| end > own) || heights.iter().all(|&end| end < own) {
                    stops[point] = true;
                    promoted = true;
                }
            }
        }
        // A ring of points without any bar gets one at its highest point.
        let ring = unwalked(circuit, &chains).flat_map(|edge| circuit.edges[edge].tips);
        let points = ring.filter_map(|tip| match tip {
            Tip::Point(point) => Some(point),
            _ => None,
        });
        if let Some(high) = points.min_by(|&x, &y| below(x, y)) {
            stops[high] = true;
            promoted = true;
        }
        if !promoted {
            break chains;
        }
    };
    let mut points: Vec<usize> =
        (0..at.len()).filter(|&point| stops[point] && at[point].len() >= 2).collect();
    points.sort_by(|&a, &b| below(a, b));
    let bar_of = |end: Option<usize>| end.and_then(|point| points.iter().position(|&bar| bar == point));
    let paths = chains
        .iter()
        .map(|chain| {
            let down = heights(circuit, chain);
            let upright = down[0].total_cmp(&down[1]).then(chain.ends[0].cmp(&chain.ends[1])).is_le();
            let mut edges = chain.edges.clone();
            let mut ends = chain.ends;
            if !upright {
                edges.reverse();
                edges.iter_mut().for_each(|(_, forward)| *forward = !*forward);
                ends.reverse();
            }
            let bars = ends.map(bar_of);
            let mut items = items(circuit, &edges);
            if let (None, Some(point)) = (bars[0], ends[0]) {
                items.insert(0, Item::Joint(point));
            }
            if let (None, Some(point)) = (bars[1], ends[1]) {
                items.push(Item::Joint(point));
            }
            Path { top: bars[0], bottom: bars[1], items }
        })
        .collect();
    let bars = points.into_iter().map(|point| Bar { point }).collect();
    Net { bars, paths }
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

/// The chain as items, with a joint wherever two wires meet or others go on elsewhere.
fn items(circuit: &Circuit, edges: &[(usize, bool)]) -> Vec<Item> {
    let mut items = Vec::new();
    for (index, &(edge, forward)) in edges.iter().enumerate() {
        if let Some(&(before, before_forward)) = index.checked_sub(1).map(|index| &edges[index])
            && let Tip::Point(point) = circuit.edges[before].tips[usize::from(before_forward)]
        {
            let wire = |edge: usize| matches!(circuit.edges[edge].link, Link::Wire(_));
            if wire(before) && wire(edge) || circuit.asides.contains_key(&point) {
                items.push(Item::Joint(point));
            }
        }
        items.push(Item::Edge { edge, flipped: !forward });
    }
    items
}
