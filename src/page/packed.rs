//! Turns a sheet's computed states into the small table that its page's script shows them from; the script solves nothing.
//!
//! A state is one string: for each wire an index into the flows, for each other line and element one letter, for each face an
//! index into the words. Indices are in base 36, all of a list equally long; `-` stands where a build has nothing. Since one
//! control moves few things, these strings are cut into pieces of which there are few kinds each, and a state is written as
//! the indices of its pieces.

use super::drawing;
use super::kit::Kit;
use crate::book::{ControlId, PartId, SheetId, Subject, WireId};
use crate::draw::{Flow, Mark, Strip};
use crate::proof::Reading;
use crate::proof::evidence::{self, Evidence};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What a circuit page's script is given.
#[derive(Debug, Clone, Serialize)]
pub struct Packed {
    /// Each control with its choices; the state of a combination is found by the number whose least digit is the first
    /// control's choice.
    controls: Vec<Control>,
    /// Whether every combination is in `table`.
    complete: bool,
    wires: Vec<String>,
    /// The drawing's other lines, by their names.
    strips: Vec<String>,
    /// Part and element.
    elements: Vec<(String, String)>,
    /// The faces: what each is called, and its element's index.
    faces: Vec<(String, usize)>,
    /// The classes that a flow or an element can have, by their numbers.
    flow_classes: Vec<&'static str>,
    element_classes: Vec<String>,
    /// What a wire can do: class, whether the current runs from its second end to its first, volts, amperes.
    flows: Vec<(usize, bool, Option<f64>, f64)>,
    words: Vec<String>,
    /// For each place in a state's string, the pieces that stand there.
    pieces: Vec<Vec<String>>,
    states: Vec<String>,
    /// For each build the states by the combinations' numbers.
    table: Vec<ByCode>,
    /// For each statement's anchor the states of the builds that it speaks of.
    evidence: BTreeMap<String, BTreeMap<u32, usize>>,
    /// Of these the ones that the controls alone make: the numbers of their combinations.
    codes: BTreeMap<String, BTreeMap<u32, u64>>,
}

/// States by the numbers of combinations: a plain list where every combination has one.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
enum ByCode {
    Every(Vec<usize>),
    Some(BTreeMap<u64, usize>),
}

impl ByCode {
    fn of(states: BTreeMap<u64, usize>) -> ByCode {
        match states.keys().copied().eq(0..states.len() as u64) {
            true => ByCode::Every(states.into_values().collect()),
            false => ByCode::Some(states),
        }
    }
}

#[derive(Debug, Clone, Serialize)]
struct Control {
    id: String,
    choices: usize,
}

/// A statement's evidence: its anchor, and its state in each build.
pub struct Shown<'a> {
    pub anchor: String,
    pub states: Vec<(&'a Evidence, Readings)>,
}

/// What each face does while a person looks.
pub type Readings = BTreeMap<(PartId, usize), Reading>;

/// Packs a sheet's live states and its statements' evidence.
pub fn pack(kit: &Kit, sheet: SheetId, shown: &[Shown]) -> Packed {
    let live = &kit.illustrations.live[sheet.index()];
    let all = live.states.iter().map(|state| &state.evidence);
    let mut packer = Packer::of(
        kit,
        sheet,
        all.chain(shown.iter().flat_map(|shown| shown.states.iter().map(|(evidence, _)| *evidence))),
    );
    let drafts: Vec<Draft> =
        live.states.iter().map(|state| packer.draft(&state.evidence, &state.readings)).collect();
    let mut evidence_drafts = Vec::new();
    let mut codes: BTreeMap<String, BTreeMap<u32, u64>> = BTreeMap::new();
    for statement in shown {
        for (evidence, readings) in &statement.states {
            let build = evidence.build.0;
            if let Some(code) = live.code(evidence) {
                codes.entry(statement.anchor.clone()).or_default().insert(build, code);
            }
            evidence_drafts.push((statement.anchor.clone(), build, packer.draft(evidence, readings)));
        }
    }
    let mut numbered = Numbered::default();
    let numbers: Vec<usize> = drafts.iter().map(|draft| numbered.number(packer.text(draft))).collect();
    let table = live.builds.iter().map(|build| {
        let states = build.iter().map(|(&code, &state)| (code, numbers[state as usize]));
        ByCode::of(states.collect())
    });
    let table = table.collect();
    let mut evidence: BTreeMap<String, BTreeMap<u32, usize>> = BTreeMap::new();
    for (anchor, build, draft) in &evidence_drafts {
        let state = numbered.number(packer.text(draft));
        evidence.entry(anchor.clone()).or_default().insert(*build, state);
    }
    let (pieces, states) = cut(&numbered.texts);
    let controls = live.controls.iter().zip(&live.choices).map(|(control, choices): (&ControlId, _)| {
        Control { id: kit.book.control(*control).id.clone(), choices: choices.len() }
    });
    Packed {
        controls: controls.collect(),
        complete: live.complete,
        wires: packer.wires.iter().map(|wire| kit.book.wire(*wire).id.clone()).collect(),
        strips: packer.strips.iter().map(|strip| strip.name.clone()).collect(),
        elements: packer.elements.iter().map(|element| element_name(kit, element)).collect(),
        faces: packer.faces.iter().map(|face| (face_name(kit, face), packer.element_index(face))).collect(),
        flow_classes: Flow::ALL.iter().map(|flow| flow.class()).collect(),
        element_classes: ELEMENTS.iter().map(|(mark, face)| classes(*mark, *face)).collect(),
        flows: packer.flows.clone(),
        words: packer.words.clone(),
        pieces,
        states,
        table,
        evidence,
        codes,
    }
}

fn element_name(kit: &Kit, &(part, element): &(PartId, usize)) -> (String, String) {
    let held = kit.book.part(part);
    (held.id.clone(), held.elements[element].name.clone())
}

fn face_name(kit: &Kit, &(part, element): &(PartId, usize)) -> String {
    kit.say().subject(Subject::Face { part, element })
}

/// Texts by number, each once.
#[derive(Default)]
struct Numbered {
    texts: Vec<String>,
    known: BTreeMap<String, usize>,
}

impl Numbered {
    fn number(&mut self, text: String) -> usize {
        *self.known.entry(text).or_insert_with_key(|text| {
            self.texts.push(text.clone());
            self.texts.len() - 1
        })
    }
}

/// What an element can be: its mark and its face, in the order of their letters from `a`.
const ELEMENTS: &[(Option<Mark>, Option<&str>)] = &{
    const MARKS: [Option<Mark>; 5] =
        [None, Some(Mark::Made), Some(Mark::Open), Some(Mark::Carrying), Some(Mark::AtFault)];
    const FACES: [Option<&str>; 4] = [None, Some("full"), Some("weak"), Some("off")];
    let mut all = [(None, None); 20];
    let mut at = 0;
    while at < 20 {
        all[at] = (MARKS[at / 4], FACES[at % 4]);
        at += 1;
    }
    all
};

fn classes(mark: Option<Mark>, face: Option<&str>) -> String {
    let words = mark.map(Mark::class).into_iter().chain(face);
    words.collect::<Vec<_>>().join(" ")
}

/// A state in indices, before it is known how many digits they take.
struct Draft {
    wires: Vec<Option<usize>>,
    strips: String,
    elements: String,
    faces: Vec<Option<usize>>,
}

struct Packer<'k, 'a> {
    kit: &'k Kit<'a>,
    wires: Vec<WireId>,
    strips: Vec<Strip>,
    elements: Vec<(PartId, usize)>,
    faces: Vec<(PartId, usize)>,
    flows: Vec<(usize, bool, Option<f64>, f64)>,
    flow_numbers: BTreeMap<(usize, bool, i64, i64), usize>,
    words: Vec<String>,
    word_numbers: BTreeMap<String, usize>,
}

impl<'k, 'a> Packer<'k, 'a> {
    /// Where a face's element stands in the list of elements.
    fn element_index(&self, face: &(PartId, usize)) -> usize {
        self.elements.iter().position(|element| element == face).unwrap_or_default()
    }

    fn of<'e>(kit: &'k Kit<'a>, sheet: SheetId, all: impl Iterator<Item = &'e Evidence>) -> Packer<'k, 'a> {
        let (mut wires, mut elements, mut faces) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
        for evidence in all {
            wires.extend(evidence.wires.keys().copied());
            elements.extend(evidence.elements.keys().copied());
            faces.extend(evidence.seen.keys().copied());
        }
        Packer {
            kit,
            wires: wires.into_iter().collect(),
            strips: kit.drawings.strips(kit.book, sheet),
            elements: elements.into_iter().collect(),
            faces: faces.into_iter().collect(),
            flows: Vec::new(),
            flow_numbers: BTreeMap::new(),
            words: Vec::new(),
            word_numbers: BTreeMap::new(),
        }
    }

    fn draft(&mut self, evidence: &Evidence, readings: &Readings) -> Draft {
        let state = drawing::state(evidence);
        let letter = |number: usize| (b'a' + number as u8) as char;
        let wires = self.wires.clone();
        let wires = wires.iter().map(|wire| evidence.wires.get(wire).map(|flow| self.flow(flow))).collect();
        let strips = self.strips.iter().map(|strip| {
            let flow = strip.flow(&state);
            flow.and_then(|flow| Flow::ALL.iter().position(|other| *other == flow)).map_or('-', letter)
        });
        let elements = self.elements.iter().map(|element| {
            if !evidence.elements.contains_key(element) {
                return '-';
            }
            let mark = state.elements.get(element).copied();
            let face = evidence.seen.get(element).map(|seen| match seen.strength {
                crate::book::Strength::Full => "full",
                crate::book::Strength::Weak => "weak",
                crate::book::Strength::Off => "off",
            });
            ELEMENTS.iter().position(|known| *known == (mark, face)).map_or('-', letter)
        });
        let (strips, elements) = (strips.collect(), elements.collect());
        let faces = self.faces.clone();
        let faces =
            faces.iter().map(|face| readings.get(face).map(|reading| self.word(*face, reading))).collect();
        Draft { wires, strips, elements, faces }
    }

    fn flow(&mut self, flow: &evidence::Flow) -> usize {
        let current = drawing::current(flow);
        let class = Flow::ALL.iter().position(|other| *other == current.flow()).unwrap_or_default();
        let (back, told) = (current.is_reversed(), flow.told());
        let volts = told.volts.map(|volts| volts + 0.0);
        let amps = (told.amps.abs() * 1e3).round() / 1e3;
        let key = (
            class,
            back,
            volts.map_or(i64::MIN, |volts| (volts * 10.0).round() as i64),
            (amps * 1e3).round() as i64,
        );
        *self.flow_numbers.entry(key).or_insert_with(|| {
            self.flows.push((class, back, volts, amps));
            self.flows.len() - 1
        })
    }

    fn word(&mut self, (part, element): (PartId, usize), reading: &Reading) -> usize {
        let word = self.kit.say().reading(Subject::Face { part, element }, reading);
        *self.word_numbers.entry(word).or_insert_with_key(|word| {
            self.words.push(word.clone());
            self.words.len() - 1
        })
    }

    fn text(&self, draft: &Draft) -> String {
        let mut text = String::new();
        let indices = |text: &mut String, list: &[Option<usize>], count: usize| {
            let width = base36(count.saturating_sub(1)).len();
            for index in list {
                match index {
                    Some(index) => text.push_str(&format!("{:0>width$}", base36(*index))),
                    None => text.push_str(&"-".repeat(width)),
                }
            }
        };
        indices(&mut text, &draft.wires, self.flows.len());
        text.push_str(&draft.strips);
        text.push_str(&draft.elements);
        indices(&mut text, &draft.faces, self.words.len());
        text
    }
}

/// How many characters of a state's string make a piece.
const PIECE: usize = 8;

/// The strings of all states as pieces, and each state as the indices of its pieces.
fn cut(states: &[String]) -> (Vec<Vec<String>>, Vec<String>) {
    let count = states.first().map_or(0, |state| state.len().div_ceil(PIECE));
    let mut pieces: Vec<Vec<String>> = Vec::new();
    let mut indices: Vec<Vec<usize>> = vec![Vec::new(); states.len()];
    for place in 0..count {
        let mut known: BTreeMap<&str, usize> = BTreeMap::new();
        let mut here: Vec<String> = Vec::new();
        for (state, list) in states.iter().zip(&mut indices) {
            let piece = &state[place * PIECE..state.len().min((place + 1) * PIECE)];
            let index = *known.entry(piece).or_insert_with(|| {
                here.push(piece.to_string());
                here.len() - 1
            });
            list.push(index);
        }
        pieces.push(here);
    }
    let write = |list: Vec<usize>| {
        let digits = list.iter().zip(&pieces).map(|(index, here)| {
            let width = base36(here.len() - 1).len();
            format!("{:0>width$}", base36(*index))
        });
        digits.collect()
    };
    let states = indices.into_iter().map(write).collect();
    (pieces, states)
}

fn base36(mut number: usize) -> String {
    let mut digits = Vec::new();
    loop {
        digits.push(char::from_digit((number % 36) as u32, 36).unwrap_or('0'));
        number /= 36;
        if number == 0 {
            break;
        }
    }
    digits.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn indices_are_written_in_base_36() {
        assert_eq!(base36(0), "0");
        assert_eq!(base36(35), "z");
        assert_eq!(base36(36), "10");
        assert_eq!(usize::from_str_radix(&base36(123_456), 36), Ok(123_456));
    }

    #[test]
    fn pieces_give_back_every_state() {
        let states = vec!["abcdefgh12".to_string(), "abcdefgh34".to_string(), "ABCDEFGH12".to_string()];
        let (pieces, written) = cut(&states);
        assert_eq!(pieces, [vec!["abcdefgh", "ABCDEFGH"], vec!["12", "34"]]);
        assert_eq!(written, ["00", "01", "10"]);
    }

    #[test]
    fn every_mark_and_face_has_its_letter() {
        assert_eq!(ELEMENTS.len(), 20);
        assert_eq!(classes(Some(Mark::Carrying), Some("full")), "made carrying full");
        assert_eq!(classes(None, None), "");
    }
}
