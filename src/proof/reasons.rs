//! Obligation 3, the other way round: for each part, what changes when it is taken out or bridged: why it is there.

use super::corners::middle;
use super::explore::State;
use super::fleet::Fleet;
use super::plan::Plan;
use super::progress::Tally;
use crate::bench::{Bench, Frame, Rig, Seen, Upset};
use crate::book::{BuildId, ControlId, Device, Kind, PartId, Setting, Subject};
use rayon::prelude::*;
use std::collections::BTreeMap;

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

/// States of a build that are tried for a reason: the simplest come first, and a part that none of these needs is one that
/// a reader would not see a need for.
const TRIED: usize = 1500;

/// So many states are computed before the parts are asked again: most have their reason in the simplest ones.
const AT_A_TIME: usize = 128;

/// One state of the healthy vehicle, with what is seen in it.
struct Shot {
    settings: Vec<(ControlId, Setting)>,
    /// As it is set, and whatever comes of it by itself while one looks.
    frames: Vec<Frame>,
    seen: Vec<Seen>,
}

/// Finds the reasons for every part, in the first build that needs it.
pub fn prove(fleet: &Fleet, plans: &[Plan], tally: &Tally) -> Vec<Reason> {
    let mut reasons: BTreeMap<(PartId, Way), Reason> = BTreeMap::new();
    // Parts that no build before needs: they may be there for a load of a later one.
    let mut open: Vec<PartId> = Vec::new();
    for ((rig, new), plan) in fleet.iter().zip(shares(fleet)).zip(plans) {
        open.extend(&new);
        let fitted = |part: &PartId| rig.vehicle.part(*part).fitted[rig.build.index()];
        let asked: Vec<PartId> = open.iter().copied().filter(fitted).collect();
        for reason in study(rig, plan, &asked) {
            if reason.difference.is_some() {
                open.retain(|part| *part != reason.part);
                reasons.insert((reason.part, reason.way), reason);
            } else {
                reasons.entry((reason.part, reason.way)).or_insert(reason);
            }
        }
        tally.tick(new.len());
    }
    reasons.into_values().collect()
}

/// How many steps of work that is.
pub fn work(fleet: &Fleet) -> usize {
    shares(fleet).iter().map(Vec::len).sum()
}

/// For each build the parts that no build before it has.
fn shares(fleet: &Fleet) -> Vec<Vec<PartId>> {
    let parts = &fleet.vehicle.parts;
    let mut taken = vec![false; parts.len()];
    let share = |rig: &Rig| {
        let fitted =
            parts.iter().zip(0..).filter(|(part, _)| part.fitted[rig.build.index()] && is_asked(part));
        fitted
            .map(|(_, number)| PartId(number))
            .filter(|part| !std::mem::replace(&mut taken[part.index()], true))
            .collect()
    };
    fleet.iter().map(share).collect()
}

/// A ground point or a splice is wiring: its reason is what it joins.
fn is_asked(part: &Device) -> bool {
    !matches!(part.kind, Kind::Ground | Kind::Splice | Kind::Battery)
}

fn study(rig: &Rig, plan: &Plan, parts: &[PartId]) -> Vec<Reason> {
    if parts.is_empty() {
        return Vec::new();
    }
    let sights = rig.sights.iter();
    let subjects: Vec<Subject> =
        sights.map(|sight| Subject::Face { part: sight.part, element: sight.element }).collect();
    let Ok(rest) = Bench::new(rig, middle(rig)) else {
        return Vec::new();
    };
    let mut states: Vec<State> = plan.states.iter().map(|(state, _)| state.clone()).collect();
    states.sort_by_key(Vec::len);
    states.truncate(TRIED);
    let mut asked: Vec<(PartId, Way)> = Vec::new();
    for &part in parts {
        asked.push((part, Way::TakenOut));
        if rig.vehicle.part(part).terminals == 2 {
            asked.push((part, Way::Bridged));
        }
    }
    let mut reasons = Vec::new();
    for some in states.chunks(AT_A_TIME) {
        let shots: Vec<Shot> =
            some.par_iter().filter_map(|settings| shoot(&rest, settings, &subjects)).collect();
        let found: Vec<Option<Difference>> = asked
            .par_iter()
            .map(|&(part, way)| shots.iter().find_map(|shot| compare(rig, &rest, shot, part, way, &subjects)))
            .collect();
        let mut still = Vec::new();
        for ((part, way), difference) in asked.into_iter().zip(found) {
            match difference {
                Some(_) => reasons.push(Reason { part, way, build: rig.build, difference }),
                None => still.push((part, way)),
            }
        }
        asked = still;
        if asked.is_empty() {
            break;
        }
    }
    let without =
        asked.into_iter().map(|(part, way)| Reason { part, way, build: rig.build, difference: None });
    reasons.extend(without);
    reasons
}

/// The healthy vehicle in a state, and what is seen of it.
fn shoot(rest: &Bench, settings: &State, subjects: &[Subject]) -> Option<Shot> {
    let mut bench = rest.clone();
    bench.set_all(settings).ok()?;
    bench.open_album();
    let seen = bench.glimpse(subjects).ok()?;
    Some(Shot { settings: settings.clone(), frames: bench.close_album(), seen })
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
    let touched = |frame: &Frame| match way {
        Way::TakenOut => frame.flows_through(rig, part),
        Way::Bridged => frame.stands_across(rig, part),
    };
    if !shot.frames.iter().any(touched) {
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
            return Some(Difference { settings, changes: Vec::new(), blows: Vec::new(), upset: true });
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
    (!changes.is_empty() || !blows.is_empty()).then_some(Difference {
        settings,
        changes,
        blows,
        upset: false,
    })
}
