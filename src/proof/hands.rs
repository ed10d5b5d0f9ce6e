//! Obligation 6: what a step's hands harm, and what they set in motion unasked.

use crate::bench::{Bench, Done, Harm, HarmKind, Upset};
use crate::book::{Act, BuildId, FaultId, PartId, Place, Subject};

/// A step that harms the vehicle, an instrument or a person.
#[derive(Debug, Clone, PartialEq)]
pub struct Harmed {
    pub place: Place,
    /// The index of the act in the step; none for what is so before anything is done.
    pub act: Option<usize>,
    pub build: BuildId,
    /// The fault that was in the vehicle; none when it was healthy.
    pub fault: Option<FaultId>,
    pub what: What,
}

/// What happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum What {
    Harm(Harm),
    /// A machine begins to move that the step doesn't announce.
    Motion {
        part: PartId,
        element: usize,
    },
    /// A hand that cannot do what the step says.
    Impossible(&'static str),
}

/// Notes what is harmed in a vehicle to which nothing has been done yet, at the first step of a checkout.
pub fn at_rest(bench: &Bench, place: Place, harms: &mut Vec<Harmed>) {
    let build = bench.rig().build;
    let standing = bench.examine().into_iter().map(What::Harm);
    harms.extend(standing.map(|what| Harmed { place, act: None, build, fault: None, what }));
}

/// Does a step's acts one by one and notes what each newly harms or moves. A control that is set, or a plug that is put
/// back, only lets the vehicle's own circuit work: what a fault does then is the fault's doing, not the hand's.
pub fn watch(
    bench: &mut Bench,
    acts: &[Act],
    place: Place,
    fault: Option<FaultId>,
    announced: Vec<Subject>,
    harms: &mut Vec<Harmed>,
) -> Result<(), Upset> {
    bench.listen();
    let build = bench.rig().build;
    let mut known: Vec<HarmKind> = bench.examine().iter().map(|harm| harm.kind).collect();
    let mut moving = bench.moving();
    for (index, act) in acts.iter().enumerate() {
        let done = bench.act(act)?;
        let mut note = |what| harms.push(Harmed { place, act: Some(index), build, fault, what });
        if let Done::Impossible(reason) = done {
            note(What::Impossible(reason));
        }
        let own_doing = fault.is_some() && only_restores(act);
        for harm in bench.examine() {
            if known.contains(&harm.kind) {
                continue;
            }
            known.push(harm.kind);
            if !own_doing {
                note(What::Harm(harm));
            }
        }
        for (part, element) in bench.moving() {
            let face = Subject::Face { part, element };
            if !moving.contains(&(part, element)) && !announced.contains(&face) && !own_doing {
                note(What::Motion { part, element });
            }
        }
        moving = bench.moving();
    }
    Ok(())
}

/// Whether an act only works the vehicle's own controls or puts back what belongs there.
fn only_restores(act: &Act) -> bool {
    matches!(
        act,
        Act::Set { .. }
            | Act::Plug(_)
            | Act::CloseConnector(_)
            | Act::Reconnect { .. }
            | Act::Substitute(_)
            | Act::ResetBreaker(_)
            | Act::Remove(_)
            | Act::Wait(_)
    )
}
