//! Turns a sheet's controls into the states that its live drawing can show, each computed once and kept once.

use super::corners::{middle, regions};
use super::evidence::{Evidence, Flow};
use super::field::Field;
use super::scope::Scope;
use crate::bench::{Bench, Reading, Rig, Upset};
use crate::book::{
    Action, Book, ControlId, ControlRange, PartId, Resistance, Setting, SheetId, Subject, Supply,
};
use crate::quantity::number;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// States over all sheets and builds that a book's live drawings may take: so many that each sheet of a small book is
/// complete, so few that a large book is illustrated in seconds.
const BUDGET: usize = 40_000;

/// The most and the least states of one sheet in one build.
const MOST: usize = 2_048;
const LEAST: usize = 64;

/// What one sheet's drawing shows as its controls are worked.
#[derive(Debug, Clone)]
pub struct Live {
    pub sheet: SheetId,
    /// The controls that change anything on the sheet.
    pub controls: Vec<ControlId>,
    /// For each control the settings that tell its regions apart, rest first.
    pub choices: Vec<Vec<Setting>>,
    /// Whether every combination of choices was computed; otherwise only those with fewest controls off rest.
    pub complete: bool,
    /// For each build, by the combination's number: the first control's choice counts least. The values are indices
    /// into `states`.
    pub builds: Vec<BTreeMap<u64, u32>>,
    pub states: Vec<LiveState>,
}

/// One distinct state of a sheet.
#[derive(Debug, Clone)]
pub struct LiveState {
    pub evidence: Evidence,
    /// What each face of the sheet does while a person looks.
    pub readings: BTreeMap<(PartId, usize), Reading>,
}

impl Live {
    /// The combination by which the controls make just this state; none where more than the controls made it.
    pub fn code(&self, evidence: &Evidence) -> Option<u64> {
        let stands = |control: &ControlId| evidence.settings[control.index()];
        let at = |(control, choices): (&ControlId, &Vec<Setting>)| {
            choices.iter().position(|choice| *choice == stands(control))
        };
        let pick: Option<Vec<usize>> = self.controls.iter().zip(&self.choices).map(at).collect();
        let code = code(&pick?, &self.choices);
        let state = *self.builds[evidence.build.index()].get(&code)?;
        let held = &self.states[state as usize].evidence;
        let same =
            held.faults == evidence.faults && held.probes == evidence.probes && look(held) == look(evidence);
        same.then_some(code)
    }
}

/// The live tables of all sheets.
pub fn tables(book: &Book, rigs: &[Rig], scopes: &[Scope]) -> Vec<Live> {
    let share = BUDGET / (scopes.len() * rigs.len()).max(1);
    let limit = share.clamp(LEAST, MOST);
    (0..scopes.len())
        .into_par_iter()
        .map(|sheet| table(book, rigs, SheetId(sheet as u32), &scopes[sheet], limit))
        .collect()
}

fn table(book: &Book, rigs: &[Rig], sheet: SheetId, scope: &Scope, limit: usize) -> Live {
    let candidates = candidates(book, rigs, sheet, scope);
    let field = Field::of_scope(scope).worked(candidates.all.iter().map(|(control, _)| *control));
    let rigs: Vec<Rig> = rigs.iter().map(|rig| field.awake(rig)).collect();
    let rests: Vec<Result<Bench, Upset>> = rigs.iter().map(|rig| Bench::new(rig, middle(rig))).collect();
    let (controls, choices): (Vec<ControlId>, Vec<Vec<Setting>>) =
        candidates.showing(&rests, scope).into_iter().unzip();
    let (picks, complete) = picks(&choices, limit);
    let mut live = Live { sheet, controls, choices, complete, builds: Vec::new(), states: Vec::new() };
    let mut known: BTreeMap<Vec<i64>, u32> = BTreeMap::new();
    for rest in &rests {
        let mut build = BTreeMap::new();
        for pick in &picks {
            let Ok(mut bench) = rest.clone() else { break };
            let settings: Vec<(ControlId, Setting)> = live
                .controls
                .iter()
                .zip(pick)
                .enumerate()
                .map(|(at, (control, choice))| (*control, live.choices[at][*choice]))
                .collect();
            let Some(state) = state(&mut bench, &settings, scope) else {
                continue;
            };
            let next = live.states.len() as u32;
            let number = *known.entry(key(&state)).or_insert(next);
            if number == next {
                live.states.push(state);
            }
            build.insert(code(pick, &live.choices), number);
        }
        live.builds.push(build);
    }
    live
}

/// A combination's number.
fn code(pick: &[usize], choices: &[Vec<Setting>]) -> u64 {
    let digits = pick.iter().zip(choices).rev();
    digits.fold(0, |code, (at, list)| code * list.len() as u64 + *at as u64)
}

fn state(bench: &mut Bench, settings: &[(ControlId, Setting)], scope: &Scope) -> Option<LiveState> {
    bench.set_all(settings).ok()?;
    let evidence = scope.cut(Evidence::of(bench));
    let faces: Vec<(PartId, usize)> = evidence.seen.keys().copied().collect();
    let subjects: Vec<Subject> =
        faces.iter().map(|&(part, element)| Subject::Face { part, element }).collect();
    let readings = bench.observe(&subjects, 0.0).ok()?;
    Some(LiveState { evidence, readings: faces.into_iter().zip(readings).collect() })
}

/// Controls that may change something to be seen on a sheet.
struct Candidates {
    /// Those that the sheet's own parts read.
    own: BTreeSet<ControlId>,
    /// These and all on the way to its loads and coils, with their choices.
    all: Vec<(ControlId, Vec<Setting>)>,
}

fn candidates(book: &Book, rigs: &[Rig], sheet: SheetId, scope: &Scope) -> Candidates {
    let free = vec![None; book.controls.len()];
    let stands: Vec<_> = rigs.iter().map(|rig| rig.stand(&free)).collect();
    let (mut own, mut others) = (BTreeSet::new(), BTreeSet::new());
    for &part in &scope.parts {
        let held = book.part(part);
        for (index, element) in held.elements.iter().enumerate() {
            let read = read_by(&element.action);
            if held.sheet == sheet {
                own.extend(read);
            } else {
                others.extend(read);
            }
            if element.face().is_some() || matches!(element.action, Action::Coil { .. }) {
                for (rig, stand) in rigs.iter().zip(&stands) {
                    others.extend(rig.own_controls(stand, &free, part, index));
                }
            }
        }
    }
    let all = own.union(&others).map(|&control| (control, choices(book, rigs, control))).collect();
    Candidates { own, all }
}

impl Candidates {
    /// Those that do change something: the sheet's own, and of the others the ones that make a difference to the eye, alone or
    /// together with one other control.
    fn showing(&self, rests: &[Result<Bench, Upset>], scope: &Scope) -> Vec<(ControlId, Vec<Setting>)> {
        let shows = |(control, settings): &&(ControlId, Vec<Setting>)| {
            let matters = |rest: &Bench| matters(rest, scope, *control, settings, &self.all);
            self.own.contains(control) || rests.iter().flatten().any(matters)
        };
        self.all.iter().filter(shows).cloned().collect()
    }
}

/// The controls that an element reads itself.
fn read_by(action: &Action) -> Vec<ControlId> {
    match action {
        Action::Contact { when, .. } => when.controls(),
        Action::Source { emf: Supply::Regulated { when, .. }, .. } => when.controls(),
        Action::Resistor { ohms: Resistance::Follows { control, .. } } => vec![*control],
        _ => Vec::new(),
    }
}

/// Whether moving a control changes what the sheet shows, with the others at rest or with one of them moved.
fn matters(
    rest: &Bench,
    scope: &Scope,
    control: ControlId,
    settings: &[Setting],
    all: &[(ControlId, Vec<Setting>)],
) -> bool {
    let look = |moved: &[(ControlId, Setting)]| {
        let mut bench = rest.clone();
        bench.set_all(moved).ok()?;
        Some(look(&scope.cut(Evidence::of(&bench))))
    };
    let others = all.iter().filter(|(other, _)| *other != control);
    let mut bases: Vec<Vec<(ControlId, Setting)>> = vec![Vec::new()];
    bases.extend(others.flat_map(|(other, settings)| settings[1..].iter().map(|&to| vec![(*other, to)])));
    bases.into_iter().any(|base| {
        let without = look(&base);
        settings[1..].iter().any(|&to| {
            let mut with = base.clone();
            with.push((control, to));
            look(&with) != without
        })
    })
}

/// What the eye tells apart in a drawing: which conductors are live, carry current or are grounded, what is made, what works.
fn look(evidence: &Evidence) -> Vec<u8> {
    let flow = |flow: &Flow| {
        let live = flow.volts.is_some_and(|volts| volts.abs() > 1.0);
        u8::from(flow.carries)
            + 2 * u8::from(live)
            + 4 * u8::from(flow.grounded)
            + 8 * u8::from(flow.volts.is_none())
    };
    let wires = evidence.wires.values().map(flow);
    let made = evidence.made.values().map(|&made| u8::from(made));
    let seen = evidence.seen.values().map(|seen| seen.strength as u8);
    wires.chain(made).chain(seen).collect()
}

/// The settings of a control that any build tells apart, each at a value that a page prints in full.
fn choices(book: &Book, rigs: &[Rig], control: ControlId) -> Vec<Setting> {
    let mut found: Vec<Setting> = Vec::new();
    for rig in rigs {
        for setting in regions(rig, control.index()) {
            let setting = printable(&book.control(control).range, setting);
            if !found.contains(&setting) {
                found.push(setting);
            }
        }
    }
    found
}

/// A level as the number printer shows it, so that a reader who sets it by its print sets this very level.
fn printable(range: &ControlRange, setting: Setting) -> Setting {
    match (range, setting) {
        (ControlRange::Level(band), Setting::Level(level)) => {
            let unit = band.low.unit;
            let printed = number(unit.from_base(level)).parse();
            Setting::Level(printed.map_or(level, |shown| unit.to_base(shown)))
        }
        _ => setting,
    }
}

/// All combinations when there are no more than `limit`, else those with fewest controls off rest, as many as fit.
fn picks(choices: &[Vec<Setting>], limit: usize) -> (Vec<Vec<usize>>, bool) {
    let mut found = vec![vec![0; choices.len()]];
    // Each round moves one more control off rest, always one after the last that is off, so that none comes twice.
    let mut round = found.clone();
    while !round.is_empty() {
        let mut next = Vec::new();
        for pick in &round {
            let from = pick.iter().rposition(|&at| at != 0).map_or(0, |last| last + 1);
            for control in from..choices.len() {
                for at in 1..choices[control].len() {
                    if found.len() + next.len() == limit {
                        found.extend(next);
                        return (found, false);
                    }
                    let mut pick = pick.clone();
                    pick[control] = at;
                    next.push(pick);
                }
            }
        }
        found.extend(next.iter().cloned());
        round = next;
    }
    (found, true)
}

/// A state as numbers: equal for states that look the same in any build that has the same things.
fn key(state: &LiveState) -> Vec<i64> {
    let evidence = &state.evidence;
    let flow = |flow: &Flow| {
        let told = flow.told();
        let volts = told.volts.map_or(i64::MIN, |volts| (volts * 10.0).round() as i64);
        [volts, (told.amps * 1e6).round() as i64, i64::from(told.carries)]
    };
    let mut key = Vec::new();
    for (wire, at) in &evidence.wires {
        key.push(wire.index() as i64);
        key.extend(flow(at));
    }
    for ((part, element), at) in &evidence.elements {
        key.extend([part.index() as i64, *element as i64]);
        key.extend(flow(at));
    }
    key.extend(evidence.made.values().map(|&made| i64::from(made)));
    key.extend(evidence.energized.values().map(|&energized| i64::from(energized)));
    for reading in state.readings.values() {
        key.extend(reading_key(reading));
    }
    key
}

fn reading_key(reading: &Reading) -> [i64; 3] {
    let milli = |value: f64| (value * 1e3).round() as i64;
    let shown = |seen: crate::bench::Seen| 2 * seen.strength as i64 + i64::from(seen.backwards);
    match *reading {
        Reading::Steady(seen) => [0, shown(seen), 0],
        Reading::Flashing { per_minute } => [1, milli(per_minute), 0],
        Reading::Then { first, seconds, last } => [2, milli(seconds), shown(first) * 6 + shown(last)],
        Reading::Pulses { on, seconds, every } => [3 + shown(on), milli(seconds), milli(every)],
        Reading::Chattering => [9, 0, 0],
        Reading::Unsteady(seen) => [20, shown(seen), 0],
        Reading::Number(amount) => [21, milli(amount.value), 0],
        Reading::Nothing => [22, 0, 0],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn choices(counts: &[u16]) -> Vec<Vec<Setting>> {
        counts.iter().map(|&count| (0..count).map(Setting::Position).collect()).collect()
    }

    #[test]
    fn all_combinations_come_once_and_rest_comes_first() {
        let choices = choices(&[2, 3, 2]);
        let (picks, complete) = picks(&choices, 100);
        assert!(complete);
        let mut codes: Vec<u64> = picks.iter().map(|pick| code(pick, &choices)).collect();
        assert_eq!(codes[0], 0);
        codes.sort();
        assert_eq!(codes, (0..12).collect::<Vec<u64>>());
    }

    #[test]
    fn too_many_are_cut_to_those_nearest_rest() {
        let (picks, complete) = picks(&choices(&[2; 20]), 150);
        assert!(!complete);
        assert_eq!(picks.len(), 150);
        let off = |pick: &Vec<usize>| pick.iter().filter(|&&at| at != 0).count();
        assert!(picks.iter().all(|pick| off(pick) <= 2));
        assert_eq!(picks.iter().filter(|pick| off(pick) == 1).count(), 20);
    }
}
