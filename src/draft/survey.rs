//! Turns a sheet's loads and controls into the states of a healthy vehicle, with what each state shows and which faults
//! would change it.

use super::wording::moves;
use crate::bench::{Bench, Corner, Reading, Rig, Seen, Upset};
use crate::book::{
    Act, Book, ConnectorId, ControlId, FaultId, Item, Look, Setting, SheetId, Subject, WireId,
};
use crate::proof::corners::{corners, middle, regions};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Among so many states the interesting ones are looked for, those with fewest controls off rest first: all those of a
/// dozen switches.
const STATES: usize = 8_192;

/// What is looked at, what is changed, and what is to be shown.
#[derive(Debug)]
pub struct Survey {
    pub controls: Vec<ControlId>,
    /// The loads of the sheet.
    pub subjects: Vec<Subject>,
    /// The faults of the sheet's own items.
    pub faults: Vec<FaultId>,
    /// Simple ones first; the first is rest.
    pub states: Vec<State>,
}

/// One setting of the controls.
#[derive(Debug)]
pub struct State {
    pub settings: Vec<Setting>,
    /// How many controls are off rest, and how far up those with a scale are: what warms up or fills is not cooled or
    /// emptied before it must be, since many a switch lets go later than it takes hold.
    pub level: (usize, usize),
    /// Which faults, by their index, would change what is seen here, coming from rest.
    pub shows: BTreeSet<usize>,
}

impl Survey {
    /// Surveys a sheet in all builds. Cost: states × (builds × corners + faults that touch the state).
    pub fn of(book: &Book, rigs: &[Rig], sheet: SheetId) -> Survey {
        let subjects = subjects(book, sheet);
        let controls: Vec<ControlId> = controls(rigs, &subjects).into_iter().collect();
        let faults = faults(book, sheet);
        let choices: Vec<Vec<Setting>> =
            controls.iter().map(|&control| choices(book, rigs, control)).collect();
        let mut states: Vec<State> = interesting(rigs, &controls, &choices, &subjects)
            .into_iter()
            .map(|pick| State {
                level: level(&pick, &choices),
                settings: pick.iter().zip(&choices).map(|(&at, list)| list[at]).collect(),
                shows: BTreeSet::new(),
            })
            .collect();
        let mut survey = Survey { controls, subjects, faults, states: Vec::new() };
        let shows: Vec<BTreeSet<usize>> =
            states.par_iter().map(|state| survey.shown_at(book, rigs, &state.settings)).collect();
        for (state, shows) in states.iter_mut().zip(shows) {
            state.shows = shows;
        }
        survey.states = states;
        survey
    }

    /// The acts that lead from some settings to others, the way back to rest first.
    pub fn acts(&self, book: &Book, from: &[Setting], to: &[Setting]) -> Vec<Act> {
        let changed = (0..self.controls.len()).filter(|&at| from[at] != to[at]);
        let mut acts: Vec<(bool, Act)> = changed
            .map(|at| {
                let rests = book.control(self.controls[at]).rest() == to[at];
                (!rests, Act::Set { control: self.controls[at], to: to[at] })
            })
            .collect();
        acts.sort_by_key(|(leaves_rest, _)| *leaves_rest);
        acts.into_iter().map(|(_, act)| act).collect()
    }

    fn rest(&self, book: &Book) -> Vec<Setting> {
        self.controls.iter().map(|&control| book.control(control).rest()).collect()
    }

    /// The faults that would change what is seen at a state; none where what a machine does there cannot be stated.
    fn shown_at(&self, book: &Book, rigs: &[Rig], settings: &[Setting]) -> BTreeSet<usize> {
        let acts = self.acts(book, &self.rest(book), settings);
        let Some(looks) = looks(book, rigs, &[&acts], &self.subjects).and_then(|mut looks| looks.pop())
        else {
            return BTreeSet::new();
        };
        let unstated =
            |(subject, look): (&Subject, &Option<Look>)| look.is_none() && is_machine(book, *subject);
        if self.subjects.iter().zip(&looks).any(unstated) {
            return BTreeSet::new();
        }
        let mut shown = BTreeSet::new();
        for rig in rigs {
            let Ok(frames) = frames(rig, &acts) else {
                continue;
            };
            for (index, &fault) in self.faults.iter().enumerate() {
                let data = book.fault(fault);
                let first = data.builds().next() == Some(rig.build);
                if !first || !frames.iter().any(|frame| frame.is_touched_by(rig, data)) {
                    continue;
                }
                let mut bench = match Bench::new(rig, middle(rig)) {
                    Ok(bench) => bench,
                    Err(_) => continue,
                };
                let done = bench.plant(data).and_then(|()| do_all(&mut bench, &acts));
                let readings = done.and_then(|()| bench.observe(&self.subjects, 0.0));
                if readings.is_ok_and(|readings| differs(&looks, &readings).next().is_some()) {
                    shown.insert(index);
                }
            }
        }
        shown
    }
}

/// What each subject shows after each step of a walk from rest, in every build that has it and at every corner, where that
/// is one look; none when the healthy vehicle does not come to rest.
pub fn looks(
    book: &Book,
    rigs: &[Rig],
    steps: &[&[Act]],
    subjects: &[Subject],
) -> Option<Vec<Vec<Option<Look>>>> {
    let mut readings = vec![vec![Vec::new(); subjects.len()]; steps.len()];
    for rig in rigs {
        for corner in corners(rig, steps.iter().flat_map(|acts| acts.iter())) {
            walk(rig, corner, steps, subjects, &mut readings).ok()?;
        }
    }
    let face = |subject: Subject| match subject {
        Subject::Face { part, element } => book.part(part).elements[element].face(),
        _ => None,
    };
    let faces: Vec<_> = subjects.iter().map(|&subject| face(subject)).collect();
    let stated = |step: &Vec<Vec<Reading>>| {
        step.iter().zip(&faces).map(|(readings, face)| Reading::common(readings, face.as_ref())).collect()
    };
    Some(readings.iter().map(stated).collect())
}

fn walk(
    rig: &Rig,
    corner: Corner,
    steps: &[&[Act]],
    subjects: &[Subject],
    readings: &mut [Vec<Vec<Reading>>],
) -> Result<(), Upset> {
    let mut bench = Bench::new(rig, corner)?;
    for (step, acts) in steps.iter().enumerate() {
        do_all(&mut bench, acts)?;
        for (subject, reading) in bench.observe(subjects, 0.0)?.into_iter().enumerate() {
            if reading != Reading::Nothing {
                readings[step][subject].push(reading);
            }
        }
    }
    Ok(())
}

/// Does some hands one after the other.
pub fn do_all(bench: &mut Bench, acts: &[Act]) -> Result<(), Upset> {
    acts.iter().try_for_each(|act| bench.act(act).map(|_| ()))
}

/// The subjects, by their index, that do not look as stated.
pub fn differs<'a>(looks: &'a [Option<Look>], readings: &'a [Reading]) -> impl Iterator<Item = usize> + 'a {
    (0..looks.len()).filter(|&at| {
        let there = readings[at] != Reading::Nothing;
        there && looks[at].as_ref().is_some_and(|look| !readings[at].is(look, false))
    })
}

/// Whether a subject is something that moves.
pub fn is_machine(book: &Book, subject: Subject) -> bool {
    match subject {
        Subject::Face { part, element } => {
            book.part(part).elements[element].face().is_some_and(|face| moves(&face))
        }
        _ => false,
    }
}

fn frames(rig: &Rig, acts: &[Act]) -> Result<Vec<crate::bench::Frame>, Upset> {
    let mut bench = Bench::new(rig, middle(rig))?;
    bench.open_album();
    do_all(&mut bench, acts)?;
    bench.observe(&[], 0.0)?;
    Ok(bench.close_album())
}

/// The loads that a sheet defines or includes.
fn subjects(book: &Book, sheet: SheetId) -> Vec<Subject> {
    let included = &book.sheets[sheet.index()].hints.include;
    let parts = (0..book.parts.len() as u32).map(crate::book::PartId);
    let own = parts.filter(|&part| book.part(part).sheet == sheet || included.contains(&part));
    own.flat_map(|part| book.part(part).faces().map(move |(element, _)| Subject::Face { part, element }))
        .collect()
}

/// All controls that bear on any of the subjects in any build.
fn controls(rigs: &[Rig], subjects: &[Subject]) -> BTreeSet<ControlId> {
    let mut controls = BTreeSet::new();
    for rig in rigs {
        let free = vec![None; rig.vehicle.controls.len()];
        let stand = rig.stand(&free);
        for subject in subjects {
            if let Subject::Face { part, element } = *subject {
                controls.extend(
                    rig.reach(&stand, &free, part, element).into_iter().flat_map(|reach| reach.controls),
                );
            }
        }
    }
    controls
}

/// The settings of a control that tell its regions apart, in the build that tells most, rest first.
fn choices(book: &Book, rigs: &[Rig], control: ControlId) -> Vec<Setting> {
    let rest = book.control(control).rest();
    let lists = rigs.iter().map(|rig| regions(rig, control.index()));
    let mut longest = lists.max_by_key(Vec::len).unwrap_or_default();
    longest.retain(|&setting| setting != rest);
    longest.insert(0, rest);
    longest
}

/// The faults of the items that a sheet defines.
fn faults(book: &Book, sheet: SheetId) -> Vec<FaultId> {
    let own = |item: Item| match item {
        Item::Part(part) => book.part(part).sheet == sheet,
        Item::Wire(WireId(wire)) => book.wires[wire as usize].sheet == sheet,
        Item::Connector(ConnectorId(connector)) => book.connectors[connector as usize].sheet == sheet,
    };
    let all = (0..book.faults.len() as u32).map(FaultId);
    all.filter(|&fault| own(book.fault(fault).item)).collect()
}

/// How many controls of a combination are off rest, and how far up its levels are.
fn level(pick: &[usize], choices: &[Vec<Setting>]) -> (usize, usize) {
    let off = pick.iter().filter(|&&at| at != 0).count();
    let is_level = |at: usize| matches!(choices[at][0], Setting::Level(_));
    (off, (0..pick.len()).filter(|&at| is_level(at)).map(|at| pick[at]).sum())
}

/// The states in which every control that is off rest makes a difference to what is seen in some build, and those that
/// differ from such a state in one control and in what is seen: what must work, and what must keep it from working.
fn interesting(
    rigs: &[Rig],
    controls: &[ControlId],
    choices: &[Vec<Setting>],
    subjects: &[Subject],
) -> Vec<Vec<usize>> {
    let picks = combinations(choices);
    let mut kept: BTreeSet<Vec<usize>> = BTreeSet::from([vec![0; controls.len()]]);
    for rig in rigs {
        let Ok(rest) = Bench::new(rig, middle(rig)) else {
            continue;
        };
        let seen: BTreeMap<&Vec<usize>, Vec<Seen>> = picks
            .par_iter()
            .filter_map(|pick| {
                let mut bench = rest.clone();
                let settings = pick.iter().zip(choices).map(|(&at, list)| list[at]);
                let settings: Vec<(ControlId, Setting)> = controls.iter().copied().zip(settings).collect();
                bench.set_all(&settings).ok()?;
                Some((pick, subjects.iter().map(|&subject| bench.see(subject)).collect()))
            })
            .collect();
        let with = |pick: &[usize], control: usize, choice: usize| {
            let mut other = pick.to_vec();
            other[control] = choice;
            other
        };
        for (&pick, here) in &seen {
            let differs = |other: &Vec<usize>| seen.get(other).is_some_and(|there| there != here);
            let mut off = (0..pick.len()).filter(|&control| pick[control] != 0);
            if off.all(|control| differs(&with(pick, control, 0))) {
                kept.insert(pick.clone());
                let others = (0..pick.len())
                    .flat_map(|control| (0..choices[control].len()).map(move |choice| (control, choice)));
                kept.extend(others.map(|(control, choice)| with(pick, control, choice)).filter(differs));
            }
        }
    }
    let mut kept: Vec<Vec<usize>> = kept.into_iter().collect();
    kept.sort_by_key(|pick| level(pick, choices));
    kept
}

/// Combinations of choices by their indices, those with fewest off rest first, up to [`STATES`].
fn combinations(choices: &[Vec<Setting>]) -> Vec<Vec<usize>> {
    let mut found = vec![vec![0; choices.len()]];
    let mut last = 0..1;
    while !last.is_empty() {
        let start = found.len();
        for base in last.clone() {
            let after = found[base].iter().rposition(|&at| at != 0).map_or(0, |at| at + 1);
            for control in after..choices.len() {
                for choice in 1..choices[control].len() {
                    let mut pick = found[base].clone();
                    pick[control] = choice;
                    found.push(pick);
                }
            }
        }
        last = start..found.len();
        if found.len() >= STATES {
            break;
        }
    }
    found.truncate(STATES);
    found
}
