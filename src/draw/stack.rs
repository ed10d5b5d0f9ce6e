//! Turns some of a composition's columns into what is to be placed on a sheet, and what has to stand above what.

use super::cell::Cell;
use super::collect::{Piece, Tip};
use super::composition::Composition;
use super::contract::Member;
use super::place::{Lying, Stack, Standing, Unit};
use super::puzzle::grounded;

/// What a sheet's title takes at its top.
pub(super) const HEADER: f64 = 30.0;

impl Composition<'_> {
    /// What is to be placed on a sheet, and the number of each cell in it, by column and place in the column. Ground
    /// symbols have none: they stand in a row of their own below everything.
    pub(super) fn stack(
        &self,
        start: usize,
        end: usize,
        bars: &[usize],
        bar_cells: &[Cell],
        ranges: &[(usize, usize)],
    ) -> (Stack, Vec<Vec<Option<usize>>>) {
        let lying = bar_cells.iter().zip(ranges);
        let lying = lying.map(|(cell, &(first, last))| Lying { first, last, up: cell.up, down: cell.down });
        let mut stack = Stack {
            cells: Vec::new(),
            bars: lying.collect(),
            before: Vec::new(),
            columns: end - start,
            top: HEADER,
        };
        let local = |bar: usize| {
            Unit::Bar(bars.iter().position(|&other| other == bar).expect("the bar is on the sheet"))
        };
        let mut index = Vec::new();
        // The outermost units of each column.
        let mut outer: Vec<Option<(Unit, Unit)>> = Vec::new();
        for column in start..end {
            let mut numbers = Vec::new();
            let mut held = self.cells[column].iter();
            let mut outermost: Option<(Unit, Unit)> = None;
            let mut last: Option<Unit> = None;
            for &path in &self.columns[column] {
                let ends = &self.net.paths[path];
                last = ends.top.map(local).or(last);
                for held in held.by_ref().take(ends.members.len()) {
                    if grounded(self.circuit, held.member) {
                        numbers.push(None);
                        continue;
                    }
                    let number = stack.cells.len();
                    stack.cells.push(Standing::new(
                        column - start,
                        &held.cell,
                        self.row(held.member),
                        self.low(held.member),
                    ));
                    numbers.push(Some(number));
                    let unit = Unit::Cell(number);
                    stack.before.extend(last.map(|last| (last, unit)));
                    last = Some(unit);
                    outermost = Some((outermost.map_or(unit, |(first, _)| first), unit));
                }
                if let Some(bottom) = ends.bottom.map(local) {
                    stack.before.extend(last.map(|last| (last, bottom)));
                    last = Some(bottom);
                }
            }
            index.push(numbers);
            outer.push(outermost);
        }
        self.bars_in_order(start, bars, ranges, &outer, &mut stack);
        (stack, index)
    }

    /// Bars over the same columns keep their order, and what hangs from one bar alone stays clear of the others.
    fn bars_in_order(
        &self,
        start: usize,
        bars: &[usize],
        ranges: &[(usize, usize)],
        outer: &[Option<(Unit, Unit)>],
        stack: &mut Stack,
    ) {
        for (one, &(first, last)) in ranges.iter().enumerate() {
            for (two, &(other_first, other_last)) in ranges.iter().enumerate() {
                if self.level[bars[one]] < self.level[bars[two]] && first <= other_last && other_first <= last
                {
                    stack.before.push((Unit::Bar(one), Unit::Bar(two)));
                }
            }
            for (column, outermost) in outer.iter().enumerate().take(last).skip(first + 1) {
                let paths = &self.columns[start + column];
                let ends = |path: &usize| &self.net.paths[*path];
                if self.joined[bars[one]].contains(&(start + column)) {
                    continue;
                }
                let Some((highest, lowest)) = *outermost else {
                    continue;
                };
                let level = self.level[bars[one]];
                let mut own = paths.iter().flat_map(|path| [ends(path).top, ends(path).bottom]).flatten();
                let grounded =
                    self.cells[start + column].last().is_some_and(|held| grounded(self.circuit, held.member));
                match own.next() {
                    None if grounded => {}
                    None => stack.before.push((lowest, Unit::Bar(one))),
                    Some(bar) if level < self.level[bar] => stack.before.push((Unit::Bar(one), highest)),
                    Some(bar) => {
                        let bottom = own.next_back().unwrap_or(bar);
                        if !grounded && level > self.level[bottom] {
                            stack.before.push((lowest, Unit::Bar(one)));
                        }
                    }
                }
            }
        }
    }

    /// A flag from which a conductor of the ground side comes down.
    fn low(&self, member: Member) -> bool {
        let Member::Edge { edge, .. } = member else {
            return false;
        };
        let held = &self.circuit.edges[edge];
        match (&held.piece, held.tips[0]) {
            (Piece::Flag { up: true, .. }, Tip::Point(point)) => self.circuit.ranks[point] >= 0.5,
            _ => false,
        }
    }
}
