//! Turns cells in their columns into heights: what stands in rows, and how far down each thing and each bar lies.
//!
//! Things that belong in a row (fuses, loads, the pins of a connector, ganged contacts) become one unit with a cell in each
//! of its columns, as long as that makes no circle and the drawing not much taller. Units and bars are then let down one
//! after another, each as high as what is already in its columns allows: so nothing can ever lie over anything else.

use super::cell::Cell;
use std::collections::BTreeMap;

/// What is to be placed on one sheet.
pub(super) struct Stack {
    /// The cells in the columns of the sheet.
    pub cells: Vec<Standing>,
    pub bars: Vec<Lying>,
    /// Pairs of which the first must be placed before the second.
    pub before: Vec<(Unit, Unit)>,
    pub columns: usize,
    /// Where the first things may begin.
    pub top: f64,
}

/// A cell in its column.
pub(super) struct Standing {
    pub column: usize,
    pub up: f64,
    pub down: f64,
    /// The row in which it would like to stand.
    pub row: Option<RowKind>,
    /// It hangs as low as it can: a flag from which a conductor comes down to ground.
    pub low: bool,
}

/// A bar over its columns.
pub(super) struct Lying {
    pub first: usize,
    pub last: usize,
    pub up: f64,
    pub down: f64,
}

/// One thing to place.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Unit {
    Cell(usize),
    Bar(usize),
}

/// What stands in rows, in the order in which rows are formed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum RowKind {
    Connector(u32),
    /// Contacts of one part.
    Gang(u32),
    Protection,
    Load,
}

/// Where everything lies.
pub(super) struct Heights {
    pub cells: Vec<f64>,
    pub bars: Vec<f64>,
    /// The row of each cell: cells with the same number stand at the same height.
    pub rows: Vec<usize>,
    /// The lowest height that each column uses.
    pub used: Vec<f64>,
}

/// How much taller rows may make a drawing: as a share, and in any case.
const TALLER: f64 = 1.2;
const TALLER_ANYWAY: f64 = 60.0;

pub(super) fn place(stack: &Stack) -> Heights {
    let mut rows = Rows::new(stack);
    rows.form();
    let mut heights = rows.let_down();
    sink(stack, &mut heights);
    heights
}

/// Lets down what hangs low onto what is next below it.
fn sink(stack: &Stack, heights: &mut Heights) {
    let floor = heights.used.iter().copied().fold(stack.top, f64::max);
    for (index, cell) in stack.cells.iter().enumerate().filter(|(_, cell)| cell.low) {
        let cells = stack.cells.iter().zip(&heights.cells);
        let tops = cells
            .filter(|(other, _)| other.column == cell.column)
            .map(|(other, height)| (*height, height - other.up));
        let bars = stack.bars.iter().zip(&heights.bars);
        let over = bars.filter(|(bar, _)| (bar.first..=bar.last).contains(&cell.column));
        let own = heights.cells[index];
        let next = tops
            .chain(over.map(|(bar, height)| (*height, height - bar.up)))
            .filter(|&(height, _)| height > own)
            .map(|(_, top)| top)
            .fold(floor, f64::min);
        heights.cells[index] = (next - cell.down).floor();
    }
}

/// The units as rows are being formed: a graph over representatives.
struct Rows<'a> {
    stack: &'a Stack,
    /// The representative of each node; nodes are cells, then bars.
    of: Vec<usize>,
    edges: Vec<(usize, usize)>,
}

/// What the longest ways through the graph are.
struct Ways {
    /// The length of the longest way to each node.
    heads: Vec<f64>,
    total: f64,
}

impl Rows<'_> {
    fn new(stack: &Stack) -> Rows<'_> {
        let node = |unit| match unit {
            Unit::Cell(cell) => cell,
            Unit::Bar(bar) => stack.cells.len() + bar,
        };
        Rows {
            stack,
            of: (0..stack.cells.len() + stack.bars.len()).collect(),
            edges: stack.before.iter().map(|&(a, b)| (node(a), node(b))).collect(),
        }
    }

    fn size(&self, node: usize) -> (f64, f64) {
        match self.stack.cells.get(node) {
            Some(cell) => (cell.up, cell.down),
            None => {
                let bar = &self.stack.bars[node - self.stack.cells.len()];
                (bar.up, bar.down)
            }
        }
    }

    /// The longest ways, or none when the graph has a circle.
    fn ways(&self) -> Option<Ways> {
        let count = self.of.len();
        let (mut up, mut down) = (vec![0.0f64; count], vec![0.0f64; count]);
        for node in 0..count {
            let size = self.size(node);
            let of = self.of[node];
            up[of] = up[of].max(size.0);
            down[of] = down[of].max(size.1);
        }
        let mut after = vec![Vec::new(); count];
        let mut open = vec![0; count];
        for &(a, b) in &self.edges {
            let (a, b) = (self.of[a], self.of[b]);
            if a == b {
                return None;
            }
            after[a].push(b);
            open[b] += 1;
        }
        let mut heads = up.clone();
        let mut ready: Vec<usize> =
            (0..count).filter(|&node| self.of[node] == node && open[node] == 0).collect();
        let (mut done, mut total) = (0, 0.0f64);
        while let Some(node) = ready.pop() {
            done += 1;
            total = total.max(heads[node] + down[node]);
            for &next in &after[node] {
                heads[next] = heads[next].max(heads[node] + down[node] + up[next]);
                open[next] -= 1;
                if open[next] == 0 {
                    ready.push(next);
                }
            }
        }
        let representatives = (0..count).filter(|&node| self.of[node] == node).count();
        (done == representatives).then_some(Ways { heads, total })
    }

    /// Merges cells into rows, greedily: the cells of a row from the top down, each into the first row that takes it.
    fn form(&mut self) {
        let Some(start) = self.ways() else { return };
        let limit = (start.total * TALLER).max(start.total + TALLER_ANYWAY);
        let mut wanted: BTreeMap<RowKind, Vec<usize>> = BTreeMap::new();
        for (index, cell) in self.stack.cells.iter().enumerate() {
            if let Some(row) = cell.row {
                wanted.entry(row).or_default().push(index);
            }
        }
        for mut cells in wanted.into_values() {
            cells.sort_by(|&a, &b| start.heads[a].total_cmp(&start.heads[b]).then(a.cmp(&b)));
            let mut rows: Vec<usize> = Vec::new();
            for cell in cells {
                if !rows.iter().any(|&row| self.merge(cell, row, limit)) {
                    rows.push(cell);
                }
            }
        }
    }

    /// Puts a cell into a row when it can stand there.
    fn merge(&mut self, cell: usize, row: usize, limit: f64) -> bool {
        let (from, to) = (self.of[cell], self.of[row]);
        if from == to {
            return true;
        }
        let before = self.of.clone();
        for of in self.of.iter_mut().filter(|of| **of == from) {
            *of = to;
        }
        if self.ways().is_some_and(|ways| ways.total <= limit) {
            return true;
        }
        self.of = before;
        false
    }

    /// Lets everything down, highest first, onto what already lies in its columns.
    fn let_down(&self) -> Heights {
        let stack = self.stack;
        let cells = stack.cells.len();
        let heads = match self.ways() {
            Some(ways) => ways.heads,
            None => vec![0.0; self.of.len()],
        };
        let mut members = vec![Vec::new(); self.of.len()];
        for node in 0..self.of.len() {
            members[self.of[node]].push(node);
        }
        let mut open = vec![0; self.of.len()];
        let mut after = vec![Vec::new(); self.of.len()];
        for &(a, b) in &self.edges {
            after[self.of[a]].push(self.of[b]);
            open[self.of[b]] += 1;
        }
        let mut ready: Vec<usize> =
            (0..self.of.len()).filter(|&node| self.of[node] == node && open[node] == 0).collect();
        let mut used = vec![stack.top; stack.columns];
        let mut heights = vec![0.0; self.of.len()];
        while let Some(at) = (0..ready.len()).min_by(|&a, &b| {
            let (a, b) = (ready[a], ready[b]);
            heads[a].total_cmp(&heads[b]).then(a.cmp(&b))
        }) {
            let unit = ready.swap_remove(at);
            let reach = |node: usize| match stack.cells.get(node) {
                Some(cell) => (cell.column, cell.column),
                None => (stack.bars[node - cells].first, stack.bars[node - cells].last),
            };
            let needed = members[unit].iter().map(|&node| {
                let (first, last) = reach(node);
                let deepest = used[first..=last].iter().copied().fold(stack.top, f64::max);
                deepest + self.size(node).0
            });
            let height = needed.fold(0.0, f64::max).round();
            for &node in &members[unit] {
                heights[node] = height;
                let (first, last) = reach(node);
                used[first..=last].fill(height + self.size(node).1);
            }
            for &next in &after[unit] {
                open[next] -= 1;
                if open[next] == 0 {
                    ready.push(next);
                }
            }
        }
        Heights { bars: heights.split_off(cells), cells: heights, rows: self.of[..cells].to_vec(), used }
    }
}

impl Standing {
    pub(super) fn new(column: usize, cell: &Cell, row: Option<RowKind>, low: bool) -> Standing {
        Standing { column, up: cell.up, down: cell.down, row, low }
    }
}
