//! Turns suspects, and tests with their costs and outcomes, into the cheapest order of testing; it knows nothing of vehicles.

mod split;

use super::bound::{entropy, huffman};
use split::{Class, Parts, Set, Split, classes, parts, pattern, splits};
use std::collections::{BTreeMap, BTreeSet};

/// Who may be guilty, and what can be tested.
#[derive(Debug, Clone, Default)]
pub struct Problem {
    /// How likely each suspect is, in any unit; zero for one that must be told apart and is not expected.
    pub weights: Vec<f64>,
    /// What a verdict on each suspect would say. Suspects with the same label need not be told apart.
    pub labels: Vec<usize>,
    pub tests: Vec<Test>,
}

/// One test.
#[derive(Debug, Clone)]
pub struct Test {
    /// In any unit; positive.
    pub cost: f64,
    /// What it shows under each suspect; none where it cannot or must not be done while that suspect may be guilty.
    pub outcomes: Vec<Option<u8>>,
}

/// What is made least.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// The mean cost, by the suspects' weights.
    Mean,
    /// The cost for the suspect that costs most.
    Worst,
}

/// A strategy: which test comes first, and what comes after each of its outcomes.
#[derive(Debug, Clone, PartialEq)]
pub enum Tree {
    /// No test can say more: these suspects are left.
    Verdict(Vec<usize>),
    Test {
        test: usize,
        branches: Vec<(u8, Tree)>,
    },
}

#[derive(Debug, Clone, Copy)]
struct Choice {
    /// Index into the splits; none where no test can shorten the list of labels.
    split: Option<usize>,
    /// Weight times the labels that a verdict names and that a test could have struck off, were it allowed.
    extra: f64,
    /// Not normalized: weight times cost for [`Aim::Mean`].
    value: f64,
}

impl Choice {
    /// Whether it names fewer labels than another, or as many at less cost.
    fn is_better(&self, other: &Choice) -> bool {
        let slack = SAME * (1.0 + other.extra.abs());
        if (self.extra - other.extra).abs() > slack {
            return self.extra < other.extra;
        }
        other.value.is_infinite() && self.value.is_finite() || self.value < other.value * (1.0 - SAME)
    }
}

/// Finds the cheapest strategy by dynamic programming over sets of suspects: the value of a set is the least over its
/// tests of the test's cost plus the value of what each outcome leaves (R. Bellman's principle; the AND/OR graph of
/// K. R. Pattipati and M. G. Alexandridis, IEEE Trans. SMC 20(4), 1990). A test whose cost plus an entropy bound on what
/// remains exceeds the best so far is not followed further, which loses nothing.
///
/// Assumes that an outcome depends on the suspect alone, not on what was tested before, and that one suspect is guilty.
/// A set is finished when no further test could make the list of labels shorter for any suspect in it. Where tests are
/// not allowed, a shorter list of labels goes before a lower cost.
///
/// Exact for up to 14 classes always, and for more while it looks at no more than [`SETS`] sets, as it does for suspects
/// in a row, where only intervals arise. Beyond that, each large set takes the test with the most information for its
/// cost and each set of up to [`EXACT`] classes is exact again; [`Planner::is_exact`] says so, and [`Planner::least`]
/// bounds from below what any strategy could cost, so that the loss can be stated for the case at hand.
///
/// Cost: sets × tests × classes.
#[derive(Debug, Clone)]
pub struct Planner {
    aim: Aim,
    classes: Vec<Class>,
    class_of: Vec<usize>,
    splits: Vec<Split>,
    best: BTreeMap<Set, Choice>,
    exact: bool,
}

/// Sets of up to this many classes are always solved exactly.
pub const EXACT: usize = 14;

/// As many sets as [`EXACT`] classes have.
pub const SETS: usize = 1 << EXACT;

/// Two strategies whose values differ by less than this share cost the same: rounding of sums of a few dozen terms.
const SAME: f64 = 1e-12;

impl Planner {
    /// Solves a problem.
    ///
    /// # Panics
    ///
    /// When a list of the problem has another length than its weights, or a cost is not positive.
    pub fn new(problem: &Problem, aim: Aim) -> Planner {
        let mut planner = Planner::unsolved(problem, aim);
        let (all, live) = (planner.all(), planner.live());
        planner.solve_exactly(&all, &live, SETS);
        planner.exact = planner.best.len() <= SETS;
        if !planner.exact {
            planner.best.clear();
            planner.look_ahead(&all, &live, EXACT);
        }
        planner
    }

    fn unsolved(problem: &Problem, aim: Aim) -> Planner {
        let count = problem.weights.len();
        assert_eq!(problem.labels.len(), count, "every suspect has a label");
        for test in &problem.tests {
            assert_eq!(test.outcomes.len(), count, "every test has an outcome for every suspect");
            assert!(test.cost > 0.0, "a test costs something");
        }
        let (classes, class_of) = classes(problem);
        let splits = splits(problem, &classes);
        Planner { aim, classes, class_of, splits, best: BTreeMap::new(), exact: true }
    }

    /// Whether no strategy is better than the one found.
    pub fn is_exact(&self) -> bool {
        self.exact
    }

    /// The cost of the strategy found.
    pub fn cost(&self) -> f64 {
        let all = self.all();
        self.best.get(&all).map_or(0.0, |choice| self.normal(&all, choice.value))
    }

    /// What any strategy costs at least: the cheapest test's cost times the mean word length of Huffman's code for the
    /// verdicts in as many letters as a test has outcomes (for [`Aim::Worst`], times the length of their shortest even
    /// code).
    pub fn least(&self) -> f64 {
        let (cheapest, letters) = self.cheapest();
        let masses = self.masses(&self.all());
        match self.aim {
            Aim::Mean => cheapest * huffman(&masses, letters),
            Aim::Worst => cheapest * even_length(masses.len(), letters),
        }
    }

    /// The test to do next while these suspects are left; none when no test could make the list of labels shorter.
    pub fn next(&mut self, suspects: &[usize]) -> Option<usize> {
        let mut set: Set = suspects.iter().map(|&suspect| self.class_of[suspect] as u16).collect();
        set.sort();
        set.dedup();
        if !self.best.contains_key(&set) {
            let live = self.live();
            if set.len() <= EXACT {
                self.solve_exactly(&set, &live, usize::MAX);
            } else {
                self.look_ahead(&set, &live, EXACT);
            }
        }
        self.best[&set].split.map(|split| self.splits[split].test)
    }

    /// The whole strategy.
    pub fn tree(&mut self) -> Tree {
        self.grow(&self.all())
    }

    fn grow(&mut self, set: &Set) -> Tree {
        let suspects: Vec<usize> =
            set.iter().flat_map(|&class| self.classes[class as usize].suspects.iter().copied()).collect();
        if self.next(&suspects).is_none() {
            return Tree::Verdict(suspects);
        }
        let split = self.best[set].split.expect("just found");
        let parts = parts(set, &self.splits[split].outcomes).expect("a split that was chosen is allowed");
        let test = self.splits[split].test;
        Tree::Test {
            test,
            branches: parts.into_iter().map(|(outcome, part)| (outcome, self.grow(&part))).collect(),
        }
    }

    fn all(&self) -> Set {
        (0..self.classes.len() as u16).collect()
    }

    fn weight(&self, set: &Set) -> f64 {
        set.iter().map(|&class| self.classes[class as usize].weight).sum()
    }

    fn normal(&self, set: &Set, value: f64) -> f64 {
        match self.aim {
            Aim::Mean if value > 0.0 => value / self.weight(set),
            _ => value,
        }
    }

    /// The weight of each different verdict that a set can end in.
    fn masses(&self, set: &Set) -> Vec<f64> {
        let mut masses: Vec<(usize, f64)> = Vec::new();
        for &class in set {
            let class = &self.classes[class as usize];
            match masses.iter_mut().find(|(verdict, _)| *verdict == class.verdict) {
                Some((_, mass)) => *mass += class.weight,
                None => masses.push((class.verdict, class.weight)),
            }
        }
        masses.into_iter().map(|(_, mass)| mass).collect()
    }

    fn cheapest(&self) -> (f64, usize) {
        let cheapest = self.splits.iter().map(|split| split.cost).fold(f64::INFINITY, f64::min);
        let letters = self
            .splits
            .iter()
            .map(|split| 1 + split.outcomes.iter().flatten().max().map_or(0, |&most| most as usize));
        (if cheapest.is_finite() { cheapest } else { 0.0 }, letters.max().unwrap_or(2).max(2))
    }

    /// A bound from below on a set's value that is quick to compute: entropy, or the length of an even code.
    fn bound(&self, set: &Set, (cheapest, letters): (f64, usize)) -> f64 {
        let masses = self.masses(set);
        match self.aim {
            Aim::Mean => cheapest * entropy(&masses) / (letters as f64).log2(),
            Aim::Worst => cheapest * even_length(masses.len(), letters),
        }
    }

    /// Whether no test could make the list of labels shorter for any class of the set.
    fn is_finished(&self, set: &Set) -> bool {
        set.windows(2)
            .all(|pair| self.classes[pair[0] as usize].verdict == self.classes[pair[1] as usize].verdict)
    }

    fn join(&self, set: &Set, cost: f64, values: impl Iterator<Item = f64>) -> f64 {
        match self.aim {
            Aim::Mean => cost * self.weight(set) + values.sum::<f64>(),
            Aim::Worst => cost + values.fold(0.0, f64::max),
        }
    }

    /// A test's worth when each outcome's part is treated as `choices` say.
    fn take(&self, set: &Set, split: usize, choices: &[Choice]) -> Choice {
        Choice {
            split: Some(split),
            extra: choices.iter().map(|choice| choice.extra).sum(),
            value: self.join(set, self.splits[split].cost, choices.iter().map(|choice| choice.value)),
        }
    }

    /// The worth of a verdict on the whole set.
    fn stop(&self, set: &Set) -> Choice {
        let classes = || set.iter().map(|&class| &self.classes[class as usize]);
        let labels: BTreeSet<usize> = classes().flat_map(|class| class.labels.iter().copied()).collect();
        let extra = classes().map(|class| class.weight * (labels.len() - class.labels.len()) as f64);
        Choice { split: None, extra: extra.sum(), value: 0.0 }
    }

    /// The different ways to split a set, each at its least cost, and the splits that can still be of use to its parts:
    /// those ways, and tests that some class of the set forbids.
    fn ways(&self, set: &Set, live: &[usize]) -> (Vec<(usize, Parts)>, Vec<usize>) {
        let mut known: BTreeSet<Vec<u8>> = BTreeSet::new();
        let (mut ways, mut still) = (Vec::new(), Vec::new());
        for &split in live {
            let Some(parts) = parts(set, &self.splits[split].outcomes) else {
                still.push(split);
                continue;
            };
            if parts.len() > 1 && known.insert(pattern(set, &self.splits[split].outcomes)) {
                still.push(split);
                ways.push((split, parts));
            }
        }
        (ways, still)
    }

    /// All splits, the cheapest first.
    fn live(&self) -> Vec<usize> {
        let mut live: Vec<usize> = (0..self.splits.len()).collect();
        live.sort_by(|&a, &b| self.splits[a].cost.total_cmp(&self.splits[b].cost));
        live
    }

    /// Solves a set with the splits that are of use to it. Gives up, with any result, once more than `limit` sets are known.
    fn solve_exactly(&mut self, set: &Set, live: &[usize], limit: usize) -> Choice {
        if let Some(choice) = self.best.get(set) {
            return *choice;
        }
        let mut best = Choice { split: None, extra: f64::INFINITY, value: f64::INFINITY };
        if !self.is_finished(set) && self.best.len() <= limit {
            let scale = self.cheapest();
            let (ways, live) = self.ways(set, live);
            let mut ways: Vec<(f64, usize, Parts)> = ways
                .into_iter()
                .map(|(split, parts)| {
                    let bounds = parts.iter().map(|(_, part)| self.bound(part, scale));
                    (self.join(set, self.splits[split].cost, bounds), split, parts)
                })
                .collect();
            ways.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            for (bound, split, parts) in ways {
                // The bound is on the cost of telling everything apart, so it says nothing while that is not reached.
                if best.extra <= SAME && bound >= best.value * (1.0 - SAME) {
                    break;
                }
                let choices: Vec<Choice> =
                    parts.iter().map(|(_, part)| self.solve_exactly(part, &live, limit)).collect();
                let choice = self.take(set, split, &choices);
                if choice.is_better(&best) {
                    best = choice;
                }
            }
        }
        if best.split.is_none() {
            best = self.stop(set);
        }
        self.best.insert(set.clone(), best);
        best
    }

    /// Takes the test with the most information for its cost; sets of up to `exact` classes are solved exactly.
    fn look_ahead(&mut self, set: &Set, live: &[usize], exact: usize) -> Choice {
        if set.len() <= exact {
            return self.solve_exactly(set, live, usize::MAX);
        }
        let (ways, live) = self.ways(set, live);
        let mut best = None;
        if !self.is_finished(set) {
            let whole = entropy(&self.masses(set));
            let mut most = f64::NEG_INFINITY;
            for (split, parts) in ways {
                let left: f64 = parts.iter().map(|(_, part)| entropy(&self.masses(part))).sum();
                let gain = (whole - left) / self.splits[split].cost;
                if gain > most + SAME * whole {
                    (most, best) = (gain, Some((split, parts)));
                }
            }
        }
        let choice = match best {
            None => self.stop(set),
            Some((split, parts)) => {
                let choices: Vec<Choice> =
                    parts.iter().map(|(_, part)| self.look_ahead(part, &live, exact)).collect();
                self.take(set, split, &choices)
            }
        };
        self.best.insert(set.clone(), choice);
        choice
    }
}

/// The length of words of equal length that so many words need.
fn even_length(words: usize, letters: usize) -> f64 {
    let mut length = 0;
    let mut room = 1;
    while room < words {
        room *= letters;
        length += 1;
    }
    length as f64
}

impl Tree {
    /// After how many tests a suspect has its verdict, and who is left then; none for one that the tree does not hold.
    pub fn verdict(&self, suspect: usize) -> Option<(usize, &[usize])> {
        match self {
            Tree::Verdict(left) => left.contains(&suspect).then_some((0, left)),
            Tree::Test { branches, .. } => {
                let (tests, left) = branches.iter().find_map(|(_, branch)| branch.verdict(suspect))?;
                Some((tests + 1, left))
            }
        }
    }
}

#[cfg(test)]
mod tests;
