//! Turns an order of columns and bars into a better one, a column or a bar at a time.
//!
//! A column is *sifted*: tried at every place and left at the best. It moves by swaps of neighbors, and a swap is judged by
//! the two columns' own bars alone: only where one of them is a bar's first or last column does anything change. Bars are
//! sifted likewise within what their paths demand.

use super::puzzle::{Order, Puzzle};

const CROSSING: i64 = 1000;
const LENGTH: i64 = 8;
const WISH: i64 = 3000;

/// An order under improvement, with what makes a swap of neighbors cheap to judge.
#[derive(Clone)]
pub(super) struct Search<'a> {
    puzzle: &'a Puzzle,
    /// Column at each place.
    pub order: Vec<usize>,
    place: Vec<usize>,
    /// Bars from top to bottom, and each bar's level in that list.
    pub levels: Vec<usize>,
    level: Vec<usize>,
    /// First and last place of each span: the bars, then the ties.
    pub low: Vec<usize>,
    pub high: Vec<usize>,
    /// The spans of each column, and the same as a table: column by column, whether it belongs to each span.
    spans: Vec<Vec<usize>>,
    belongs: Vec<bool>,
    /// The author's order, by column.
    wish: Vec<Option<usize>>,
    pub cost: i64,
    pub spent: usize,
}

impl<'a> Search<'a> {
    pub(super) fn new(puzzle: &'a Puzzle, columns: Vec<usize>) -> Search<'a> {
        let bars = (0..puzzle.bars.len()).collect();
        Search::at(puzzle, Order { columns, bars })
    }

    pub(super) fn at(puzzle: &'a Puzzle, order: Order) -> Search<'a> {
        let mut search = Search {
            puzzle,
            place: inverse(&order.columns),
            level: inverse(&order.bars),
            order: order.columns,
            levels: order.bars,
            low: Vec::new(),
            high: Vec::new(),
            spans: vec![Vec::new(); puzzle.columns.len()],
            belongs: vec![false; puzzle.columns.len() * (puzzle.bars.len() + puzzle.ties.len())],
            wish: vec![None; puzzle.columns.len()],
            cost: 0,
            spent: 0,
        };
        for (at, &column) in puzzle.wished.iter().enumerate() {
            search.wish[column] = Some(at);
        }
        for span in 0..puzzle.bars.len() + puzzle.ties.len() {
            for &column in search.members(span) {
                search.spans[column].push(span);
                let at = search.cell(column, span);
                search.belongs[at] = true;
            }
        }
        search.measure();
        search
    }

    fn cell(&self, column: usize, span: usize) -> usize {
        column * (self.puzzle.bars.len() + self.puzzle.ties.len()) + span
    }

    fn holds(&self, column: usize, span: usize) -> bool {
        self.belongs[self.cell(column, span)]
    }

    fn members(&self, span: usize) -> &'a [usize] {
        let bars = self.puzzle.bars.len();
        if span < bars { &self.puzzle.bars[span] } else { &self.puzzle.ties[span - bars].0 }
    }

    fn weight(&self, span: usize) -> i64 {
        let bars = self.puzzle.bars.len();
        if span < bars { LENGTH } else { self.puzzle.ties[span - bars].1 }
    }

    /// Whether a column crosses a bar when it stands within the bar's reach.
    pub(super) fn crosses(&self, column: usize, bar: usize) -> bool {
        let extent = &self.puzzle.columns[column];
        !extent.short
            && extent.from.is_none_or(|from| self.level[from] < self.level[bar])
            && extent.to.is_none_or(|to| self.level[bar] < self.level[to])
            && !self.holds(column, bar)
    }

    /// What it costs that a column stands strictly within a span.
    fn within(&self, column: usize, span: usize) -> i64 {
        let crossing = span < self.puzzle.bars.len() && self.crosses(column, span);
        self.weight(span) + if crossing { CROSSING } else { 0 }
    }

    /// Everything from the start: after a kick or a change of levels.
    fn measure(&mut self) {
        let spans = self.puzzle.bars.len() + self.puzzle.ties.len();
        let places = |search: &Self, span| {
            let mut places: Vec<usize> =
                search.members(span).iter().map(|&column| search.place[column]).collect();
            places.sort_unstable();
            (places.first().copied().unwrap_or(0), places.last().copied().unwrap_or(0))
        };
        (self.low, self.high) = (0..spans).map(|span| places(self, span)).unzip();
        let mut cost = 0;
        for span in 0..spans {
            for at in self.low[span] + 1..self.high[span] {
                let column = self.order[at];
                cost += if self.holds(column, span) { self.weight(span) } else { self.within(column, span) };
            }
        }
        for (at, &column) in self.order.iter().enumerate() {
            cost += self.puzzle.left[column] * at as i64;
            let before = self.order[..at].iter().filter_map(|&other| self.wish[other]);
            if let Some(own) = self.wish[column] {
                cost += WISH * before.filter(|&other| other > own).count() as i64;
            }
        }
        self.cost = cost;
    }

    /// Swaps the columns at `at` and `at + 1`.
    fn swap(&mut self, at: usize) {
        self.spent += 1;
        let (p, q) = (self.order[at], self.order[at + 1]);
        let mut change = self.puzzle.left[p] - self.puzzle.left[q];
        if let (Some(a), Some(b)) = (self.wish[p], self.wish[q]) {
            change += if a < b { WISH } else { -WISH };
        }
        for index in 0..self.spans[p].len() {
            let span = self.spans[p][index];
            if self.holds(q, span) {
                continue;
            }
            if self.low[span] == self.high[span] {
                self.low[span] = at + 1;
                self.high[span] = at + 1;
            } else if self.low[span] == at {
                change -= self.within(q, span);
                self.low[span] = at + 1;
            } else if self.high[span] == at {
                change += self.within(q, span);
                self.high[span] = at + 1;
            }
        }
        for index in 0..self.spans[q].len() {
            let span = self.spans[q][index];
            if self.holds(p, span) {
                continue;
            }
            if self.low[span] == self.high[span] {
                self.low[span] = at;
                self.high[span] = at;
            } else if self.high[span] == at + 1 {
                change -= self.within(p, span);
                self.high[span] = at;
            } else if self.low[span] == at + 1 {
                change += self.within(p, span);
                self.low[span] = at;
            }
        }
        self.order.swap(at, at + 1);
        self.place[p] = at + 1;
        self.place[q] = at;
        self.cost += change;
    }

    /// Moves the column at `from` to `to` by swaps.
    fn carry(&mut self, from: usize, to: usize) {
        for at in from..to {
            self.swap(at);
        }
        for at in (to..from).rev() {
            self.swap(at);
        }
    }

    /// Tries a column at every place and leaves it at the best.
    fn sift(&mut self, column: usize) {
        let start = self.place[column];
        let (mut best, mut best_cost) = (start, self.cost);
        let last = self.order.len() - 1;
        let mut look = |search: &Self, at: usize| {
            if search.cost < best_cost {
                (best, best_cost) = (at, search.cost);
            }
        };
        // To the nearer end first, then to the other, then back to the best place.
        let ends = if start * 2 < last { [0, last] } else { [last, 0] };
        for end in ends {
            while self.place[column] != end {
                let at = self.place[column];
                let next = if end > at { at + 1 } else { at - 1 };
                self.swap(at.min(next));
                look(self, next);
            }
        }
        self.carry(self.place[column], best);
    }

    /// Tries a bar at every level that its paths allow and leaves it at the best.
    fn sift_bar(&mut self, bar: usize) {
        let start = self.level[bar];
        let (mut best, mut change, mut least) = (start, 0, 0);
        let mut at = start;
        while at > 0 && self.swappable(at - 1) {
            change += self.swap_levels(at - 1);
            at -= 1;
            if change < least {
                (best, least) = (at, change);
            }
        }
        while at + 1 < self.levels.len() && (at < start || self.swappable(at)) {
            change += self.swap_levels(at);
            at += 1;
            if change < least {
                (best, least) = (at, change);
            }
        }
        while at > best {
            change += self.swap_levels(at - 1);
            at -= 1;
        }
        self.cost += change;
    }

    fn swappable(&self, at: usize) -> bool {
        !self.puzzle.above.contains(&(self.levels[at], self.levels[at + 1]))
    }

    /// Swaps the bars at two neighboring levels; the change of the cost.
    fn swap_levels(&mut self, at: usize) -> i64 {
        self.spent += 1;
        let pair = [self.levels[at], self.levels[at + 1]];
        let crossings = |search: &Self| -> i64 {
            let count = |bar: usize, other: usize| {
                let columns = search.members(other).iter();
                let inside = columns.filter(|&&column| {
                    (search.low[bar] + 1..search.high[bar]).contains(&search.place[column])
                        && search.crosses(column, bar)
                });
                inside.count() as i64
            };
            count(pair[0], pair[1]) + count(pair[1], pair[0])
        };
        let before = crossings(self);
        self.levels.swap(at, at + 1);
        self.level[pair[0]] = at + 1;
        self.level[pair[1]] = at;
        CROSSING * (crossings(self) - before)
    }

    /// Sifts everything until nothing improves.
    pub(super) fn improve(&mut self) {
        loop {
            let before = self.cost;
            for column in 0..self.order.len() {
                self.sift(column);
            }
            for bar in 0..self.levels.len() {
                self.sift_bar(bar);
            }
            if self.cost >= before {
                break;
            }
        }
    }

    /// Turns round or moves a random run of columns.
    pub(super) fn kick(&mut self, random: &mut Random) {
        let count = self.order.len();
        let from = random.below(count - 1);
        let to = from + 2 + random.below((count - from - 1).min(8));
        let to = to.min(count);
        if random.below(2) == 0 {
            self.order[from..to].reverse();
        } else {
            let run: Vec<usize> = self.order.drain(from..to).collect();
            let at = random.below(self.order.len() + 1);
            self.order.splice(at..at, run);
        }
        self.place = inverse(&self.order);
        self.measure();
    }
}

fn inverse(order: &[usize]) -> Vec<usize> {
    let mut places = vec![0; order.len()];
    for (at, &value) in order.iter().enumerate() {
        places[value] = at;
    }
    places
}

/// Numbers from a fixed seed (Marsaglia's xorshift): the same drawing every time.
pub(super) struct Random(pub u64);

impl Random {
    fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % limit as u64) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::super::puzzle::tests::puzzle;
    use super::*;

    #[test]
    fn swaps_keep_the_cost_exact() {
        let columns = [(0, 3), (1, 3), (0, 1), (2, 5), (0, 2), (4, 5), (0, 4), (1, 4), (2, 3)];
        let mut puzzle = puzzle(&columns, 6);
        puzzle.ties.push((vec![0, 4, 8], 3));
        puzzle.left[3] = 2;
        puzzle.wished = vec![7, 2, 5];
        let mut search = Search::new(&puzzle, (0..columns.len()).collect());
        let mut random = Random(7);
        for _ in 0..400 {
            search.swap(random.below(columns.len() - 1));
            let kept = search.cost;
            search.measure();
            assert_eq!(kept, search.cost);
            search.sift_bar(random.below(6));
            let kept = search.cost;
            search.measure();
            assert_eq!(kept, search.cost);
        }
    }
}
