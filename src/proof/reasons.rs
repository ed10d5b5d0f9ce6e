//! Obligation 3, the other way round: for each part, what changes when it is taken out or bridged: why it is there.

use super::Progress;
use super::corners::middle;
use super::intent::{Group, groups};
use super::states::States;
use crate::bench::{Bench, Frame, Rig, Seen, Upset};
use crate::book::{Book, BuildId, ControlId, Kind, PartId, Setting, Subject};
use rayon::prelude::*;

/// What is done to the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    TakenOut,
    Bridged,
}

/// What one part is for, as the first state shows in which it makes a difference.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    pub part: PartId,
    pub way: Way,
    pub build: BuildId,
    /// The state; none when nothing changed in any.
    pub difference: Option<Difference>,
}

/// A state in which it matters.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    pub settings: Vec<(ControlId, Setting)>,
    /// The faces that change: with the part as it should be, and without.
    pub changes: Vec<(PartId, usize, Seen, Seen)>,
    /// Fuses that blow.
    pub blows: Vec<PartId>,
    /// The vehicle does not come to rest.
    pub upset: bool,
}

/// States of a group that are tried for a reason: the simplest come first, and a part that none of these needs is one that
/// a reader would not see a need for.
const TRIED: usize = 600;

/// One state of the healthy vehicle, with what is seen in it.
struct Shot {
    settings: Vec<(ControlId, Setting)>,
    frame: Frame,
    seen: Vec<Seen>,
}

/// Finds the reasons for every part that a load's control can reach, in the first build that has it.
pub fn prove(book: &Book, rigs: &[Rig], progress: &dyn Progress) -> Vec<Reason> {
    let tasks: Vec<(&Rig, Group, Vec<PartId>)> = share_out(book, rigs);
    let total = tasks.len();
    let done = std::sync::atomic::AtomicUsize::new(0);
    let mut reasons: Vec<Reason> = tasks
        .par_iter()
        .flat_map_iter(|(rig, group, parts)| {
            let found = study(book, rig, group, parts);
            progress.at(
                "reasons",
                1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed),
                total,
            );
            found
        })
        .collect();
    reasons.sort_by_key(|reason| (reason.part, reason.way));
    reasons
}

/// Gives each part to the group with the fewest controls that reaches it, in the first build that has it.
fn share_out<'r, 'b>(book: &'b Book, rigs: &'r [Rig<'b>]) -> Vec<(&'r Rig<'b>, Group, Vec<PartId>)> {
    let mut tasks = Vec::new();
    let mut taken = vec![false; book.parts.len()];
    for rig in rigs {
        let mut groups = groups(book, rig);
        groups.sort_by_key(|group| group.controls.len());
        for group in groups {
            let parts: Vec<PartId> = group
                .parts
                .iter()
                .copied()
                .filter(|part| !taken[part.index()] && is_asked(book, *part))
                .collect();
            for part in &parts {
                taken[part.index()] = true;
            }
            if !parts.is_empty() {
                tasks.push((rig, group, parts));
            }
        }
    }
    tasks
}

/// A ground point or a splice is wiring: its reason is what it joins.
fn is_asked(book: &Book, part: PartId) -> bool {
    !matches!(book.part(part).kind, Kind::Ground | Kind::Splice | Kind::Battery)
}

fn study(book: &Book, rig: &Rig, group: &Group, parts: &[PartId]) -> Vec<Reason> {
    let subjects: Vec<Subject> = rig
        .sights
        .iter()
        .filter(|sight| group.parts.contains(&sight.part))
        .map(|sight| Subject::Face {
            part: sight.part,
            element: sight.element,
        })
        .collect();
    let Ok(rest) = Bench::new(rig, middle(book)) else {
        return Vec::new();
    };
    let states = States::of(rig, group.controls.iter().copied().collect());
    let shots: Vec<Shot> = (0..states.list.len().min(TRIED))
        .filter_map(|state| {
            let settings = states.settings(state);
            let mut bench = rest.clone();
            bench.set_all(&settings).ok()?;
            let frame = bench.frame();
            let seen = bench.glimpse(&subjects).ok()?;
            Some(Shot {
                settings,
                frame,
                seen,
            })
        })
        .collect();
    let mut reasons = Vec::new();
    for &part in parts {
        let ways: &[Way] = if book.part(part).terminals.len() == 2 {
            &[Way::TakenOut, Way::Bridged]
        } else {
            &[Way::TakenOut]
        };
        for &way in ways {
            let difference = shots
                .iter()
                .find_map(|shot| compare(rig, &rest, shot, part, way, &subjects));
            reasons.push(Reason {
                part,
                way,
                build: rig.build,
                difference,
            });
        }
    }
    reasons
}

/// What a part's absence, or its bridging, changes in one state.
fn compare(
    rig: &Rig,
    rest: &Bench,
    shot: &Shot,
    part: PartId,
    way: Way,
    subjects: &[Subject],
) -> Option<Difference> {
    let touched = match way {
        Way::TakenOut => shot.frame.flows_through(rig, part),
        Way::Bridged => shot.frame.stands_across(rig, part),
    };
    if !touched {
        return None;
    }
    let again = || -> Result<(Vec<Seen>, Vec<PartId>), Upset> {
        let mut bench = rest.clone();
        match way {
            Way::TakenOut => bench.take_out(part)?,
            Way::Bridged => bench.bridge(part)?,
        }
        bench.set_all(&shot.settings)?;
        let seen = bench.glimpse(subjects)?;
        Ok((seen, bench.blown_links()))
    };
    let (seen, blows) = match again() {
        Ok(found) => found,
        Err(_) => {
            let settings = shot.settings.clone();
            return Some(Difference {
                settings,
                changes: Vec::new(),
                blows: Vec::new(),
                upset: true,
            });
        }
    };
    let changes: Vec<(PartId, usize, Seen, Seen)> = subjects
        .iter()
        .enumerate()
        .filter(|(at, _)| seen[*at] != shot.seen[*at])
        .filter_map(|(at, subject)| match subject {
            Subject::Face { part, element } => Some((*part, *element, shot.seen[at], seen[at])),
            _ => None,
        })
        .collect();
    let settings = shot.settings.clone();
    (!changes.is_empty() || !blows.is_empty()).then(|| Difference {
        settings,
        changes,
        blows,
        upset: false,
    })
}
