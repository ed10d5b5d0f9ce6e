//! Turns columns and bars into an order of both, left to right and top to bottom, with few crossings and short bars.
//!
//! Every column is a vertical line and every bar a horizontal one from its first column to its last, so that the only
//! crossings are of a column with a bar to which it is not joined. A column is *sifted*: tried at every place and left at
//! the best, at a cost per place that depends on the column's own bars alone. Bars are sifted likewise within what their
//! paths demand. When nothing improves any more, seeded kicks look further, within a fixed budget of steps, so that the
//! result is the same every time.

use super::sift::{Random, Search};

/// The order problem of one drawing.
#[derive(Debug, Clone, Default)]
pub struct Puzzle {
    pub columns: Vec<Extent>,
    /// The columns of each bar.
    pub bars: Vec<Vec<usize>>,
    /// Pairs of bars of which the first must lie above the second.
    pub above: Vec<(usize, usize)>,
    /// Columns that should stand close together, with a weight: the contacts of a relay, the paths to a ground point.
    pub ties: Vec<(Vec<usize>, i64)>,
    /// Columns in the order that the author asks for.
    pub wished: Vec<usize>,
    /// How strongly each column is drawn to the left.
    pub left: Vec<i64>,
}

/// The bars between which a column passes others: from its first bar to its last, or beyond.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Extent {
    /// The bar below which crossings are possible; none for a column that begins at the very top.
    pub from: Option<usize>,
    /// The bar above which crossings are possible; none for a column that ends at the very bottom.
    pub to: Option<usize>,
    /// A short column without any bar: nothing ever crosses it.
    pub short: bool,
}

/// An answer: columns from left to right, bars from top to bottom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    pub columns: Vec<usize>,
    pub bars: Vec<usize>,
}

/// Adjacent swaps that a drawing may spend: a few milliseconds.
const BUDGET: usize = 60_000;

impl Puzzle {
    /// A good order, found in bounded time; the same for the same puzzle.
    pub fn solve(&self) -> Order {
        if self.columns.is_empty() {
            return Order { columns: Vec::new(), bars: (0..self.bars.len()).collect() };
        }
        let mut best = Search::new(self, self.gathered());
        best.improve();
        let mut spent = best.spent;
        if spent < BUDGET {
            let mut other = Search::new(self, (0..self.columns.len()).collect());
            other.improve();
            spent += other.spent;
            if other.cost < best.cost {
                best = other;
            }
        }
        let mut random = Random(0x9E37_79B9_7F4A_7C15);
        while spent < BUDGET && self.columns.len() > 2 {
            let mut trial = best.clone();
            trial.spent = 0;
            trial.kick(&mut random);
            trial.improve();
            spent += trial.spent + 1;
            if trial.cost <= best.cost {
                best = trial;
            }
        }
        Order { columns: best.order, bars: best.levels }
    }

    /// How many times a column crosses a bar in this order.
    pub fn crossings(&self, order: &Order) -> usize {
        let search = Search::at(self, order.clone());
        (0..self.bars.len())
            .map(|bar| {
                let inside = &order.columns[search.low[bar]..=search.high[bar]];
                inside.iter().filter(|&&column| search.crosses(column, bar)).count()
            })
            .sum()
    }

    /// Columns gathered around their bars: repeated means of means.
    fn gathered(&self) -> Vec<usize> {
        let count = self.columns.len();
        let mut place: Vec<f64> = (0..count).map(|column| column as f64).collect();
        let mut order: Vec<usize> = (0..count).collect();
        for _ in 0..12 {
            let centers: Vec<f64> = self
                .bars
                .iter()
                .map(|columns| mean(columns.iter().map(|&column| place[column])).unwrap_or(0.0))
                .collect();
            let mut next = place.clone();
            for (column, at) in next.iter_mut().enumerate() {
                let joined = (0..self.bars.len()).filter(|&bar| self.bars[bar].contains(&column));
                *at = mean(joined.map(|bar| centers[bar])).unwrap_or(*at);
            }
            order.sort_by(|&a, &b| next[a].total_cmp(&next[b]).then(a.cmp(&b)));
            for (at, &column) in order.iter().enumerate() {
                place[column] = at as f64;
            }
        }
        order
    }
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / f64::from(count))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// A small puzzle whose columns hang between bars as numbered.
    pub(in crate::draw) fn puzzle(columns: &[(usize, usize)], bars: usize) -> Puzzle {
        let mut puzzle = Puzzle {
            bars: vec![Vec::new(); bars],
            left: vec![0; columns.len()],
            above: columns.to_vec(),
            ..Puzzle::default()
        };
        for (column, &(from, to)) in columns.iter().enumerate() {
            puzzle.columns.push(Extent { from: Some(from), to: Some(to), short: false });
            puzzle.bars[from].push(column);
            puzzle.bars[to].push(column);
        }
        puzzle
    }

    #[test]
    fn a_drawing_that_can_be_plane_is_plane() {
        // Two bridges side by side under one feed.
        let columns = [(0, 3), (1, 3), (0, 1), (2, 5), (0, 2), (4, 5), (0, 4), (0, 3), (0, 5)];
        let puzzle = puzzle(&columns, 6);
        let order = puzzle.solve();
        assert_eq!(puzzle.crossings(&order), 0);
    }
}
