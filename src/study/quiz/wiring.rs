//! Turns the wire lists into questions of color, size and cavity.

use super::desk::Desk;
use super::lot::Lot;
use super::question::{Answer, Ask, Because, Choice, Made, WRONG};
use crate::book::{End, WireId};

/// The sheet's wires, in a drawn order.
fn wires(desk: &Desk, lot: &mut Lot) -> Vec<WireId> {
    let all = (0..desk.book.wires.len() as u32).map(WireId);
    let mut wires: Vec<WireId> = all.filter(|wire| desk.book.wire(*wire).sheet == desk.sheet).collect();
    lot.shuffle(&mut wires);
    wires
}

/// Color and size of the one wire at a terminal; wrong choices are other wires of the sheet that share a color or a size.
pub fn wire(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let wires = wires(desk, lot);
    let book = desk.book;
    let alone = |end: End| {
        let ends = book.wires.iter().flat_map(|wire| wire.ends);
        ends.filter(|other| *other == end).count() == 1
    };
    let (right, part, terminal) = wires.iter().find_map(|&id| {
        book.wire(id).ends.into_iter().find_map(|end| match end {
            End::Terminal { part, terminal } if alone(end) && book.part(part).terminals.len() > 1 => {
                Some((id, part, terminal))
            }
            _ => None,
        })
    })?;
    let look = |id: WireId| (book.wire(id).color.to_string(), book.wire(id).size.to_string());
    let mut others: Vec<WireId> = wires.iter().copied().filter(|id| look(*id) != look(right)).collect();
    others.sort_by_key(|id| look(*id).0 != look(right).0 && look(*id).1 != look(right).1);
    let mut taken = vec![right];
    for id in others {
        if taken.len() <= WRONG && taken.iter().all(|other| look(*other) != look(id)) {
            taken.push(id);
        }
    }
    let choices =
        taken.into_iter().map(|wire| Choice { answer: Answer::Wire(wire), because: Because::Wire(wire) });
    Some(Made {
        scene: None,
        ask: Ask::Wire { part, terminal },
        choices: choices.collect(),
        facts: 1,
        place: None,
    })
}

/// The cavity of a connector in which a wire ends; wrong choices are the cavities beside, with their own wires.
pub fn cavity(desk: &Desk, lot: &mut Lot) -> Option<Made> {
    let wires = wires(desk, lot);
    let (wire, connector, right, side) = wires.iter().find_map(|&id| {
        desk.book.wire(id).ends.into_iter().find_map(|end| match end {
            End::Cavity { connector, cavity, side } => Some((id, connector, cavity, side)),
            _ => None,
        })
    })?;
    let ends_in = |cavity: u16| {
        let end = End::Cavity { connector, cavity, side };
        let all = (0..desk.book.wires.len() as u32).map(WireId);
        all.clone().find(|id| desk.book.wire(*id).ends.contains(&end))
    };
    // A wire with both its ends in one connector would have two right answers.
    let both = desk
        .book
        .wire(wire)
        .ends
        .iter()
        .filter(|end| matches!(end, End::Cavity { connector: other, .. } if *other == connector));
    if both.count() > 1 {
        return None;
    }
    let count = desk.book.connector(connector).cavities.len() as u16;
    let mut others: Vec<u16> = (0..count).filter(|&cavity| cavity != right).collect();
    lot.shuffle(&mut others);
    others.truncate(WRONG);
    let mut choices = vec![Choice { answer: Answer::Cavity(right), because: Because::Wire(wire) }];
    choices.extend(others.into_iter().map(|cavity| Choice {
        answer: Answer::Cavity(cavity),
        because: ends_in(cavity).map_or(Because::Nowhere, Because::Wire),
    }));
    Some(Made { scene: None, ask: Ask::Cavity { wire, connector }, choices, facts: 1, place: None })
}
