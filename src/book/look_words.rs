//! Turns an expected result back into the words of a step line.

use super::{Book, Face, Look, PartId, Strength, Subject};
use crate::quantity::{Amount, Band, Dimension, Unit, number, print};

impl Book {
    /// What a subject is called in a step line: `H9`, `H1.low`, `test light`.
    pub fn subject_text(&self, subject: Subject) -> String {
        match subject {
            Subject::Face { part, element } => self.face_text(part, element),
            Subject::Relay { part, .. } => self.part(part).id.clone(),
            Subject::Instrument(instrument) => instrument.word().to_string(),
        }
    }

    /// A part, with its element where the part has several that show something.
    pub fn face_text(&self, part: PartId, element: usize) -> String {
        let data = self.part(part);
        if data.faces().count() > 1 {
            return format!("{}.{}", data.id, data.elements[element].name);
        }
        data.id.clone()
    }

    /// A look as a step line states it of this subject: `lit`, `flashing 80..100 per min`, `above 11 V`.
    pub fn look_text(&self, subject: Subject, look: &Look) -> String {
        let words = self.looks(subject);
        let rate = Unit::base(Dimension::Rate);
        let time = Unit::base(Dimension::Time);
        match look {
            Look::Is(strength) => words[*strength as usize].to_string(),
            Look::Backwards => "backwards".to_string(),
            Look::Clicks => "clicks".to_string(),
            Look::Flashing(None) => "flashing".to_string(),
            Look::Flashing(Some(band)) => format!("flashing {}", band_text(*band, rate)),
            Look::Then { first, seconds } => {
                let off = words[Strength::Off as usize];
                format!("{} for {} then {off}", words[*first as usize], band_text(*seconds, time))
            }
            Look::Reads(Band { low, high }) if low.value.is_infinite() => {
                format!("below {}", amount_text(*high))
            }
            Look::Reads(Band { low, high }) if high.value.is_infinite() => {
                format!("above {}", amount_text(*low))
            }
            Look::Reads(band) => band_text(band.map(|amount| amount.value), band.low.unit),
        }
    }

    /// An expected result in the words of a step line: `H9 lit`.
    pub fn expect_text(&self, subject: Subject, look: &Look) -> String {
        format!("{} {}", self.subject_text(subject), self.look_text(subject, look))
    }

    /// The words for off, weak and full of a subject; those of a relay have no weak.
    pub fn looks(&self, subject: Subject) -> [&'static str; 3] {
        match subject {
            Subject::Face { part, element } => {
                self.part(part).elements[element].face().unwrap_or(Face::Lamp).words()
            }
            Subject::Relay { part, state } if self.part(part).states[state].latching => {
                ["reset", "set", "set"]
            }
            Subject::Relay { .. } => ["released", "energized", "energized"],
            Subject::Instrument(_) => Face::Lamp.words(),
        }
    }
}

fn amount_text(amount: Amount) -> String {
    print(amount.value, amount.unit)
}

fn band_text(band: Band<f64>, unit: Unit) -> String {
    let [low, high] = [band.low, band.high].map(|value| number(unit.from_base(value)));
    format!("{low}..{high} {}", unit.symbol)
}
