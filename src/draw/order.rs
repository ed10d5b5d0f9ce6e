//! Turns columns and bars into an order of both, left to right and top to bottom, with few crossings and short bars.
//!
//! Every column is a vertical line and every bar a horizontal one from its first column to its last, so that the only
//! crossings are of a column with a bar to which it is not joined. A column is *sifted*: tried at every place and left at
//! the best, at a cost per place that depends on the column's own bars alone. Bars are sifted likewise within what their
//! paths demand. When nothing improves any more, seeded kicks look further, within a fixed budget of steps, so that the
//! result is the same every time.

use super::puzzle::{Order, Puzzle};
use super::sift::{Random, Search};

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
mod tests {
    use super::super::puzzle::tests::puzzle;

    #[test]
    fn a_drawing_that_can_be_plane_is_plane() {
        // Two bridges side by side under one feed.
        let columns = [(0, 3), (1, 3), (0, 1), (2, 5), (0, 2), (4, 5), (0, 4), (0, 3), (0, 5)];
        let puzzle = puzzle(&columns, 6);
        let order = puzzle.solve();
        assert_eq!(puzzle.crossings(&order), 0);
    }
}
