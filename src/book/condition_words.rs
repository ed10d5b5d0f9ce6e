//! Turns a condition back into the words of the condition language, and tells what it is at rest; it evaluates no other state.

use super::{
    Book, BuildId, Condition, ControlId, ControlRange, Level, PartId, Setting, TerminalId, Timing,
    state_words,
};
use crate::quantity::{Amount, Band, Dimension, Unit, number};

/// How tightly a printed condition binds, from loosest to tightest: where parentheses are needed.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Tightness {
    Or,
    And,
    Single,
}

impl Book {
    /// A condition as an author would write it: `door open and (brake on or not ramp above 20..35 deg)`. `part` is the
    /// part whose own states and terminals the condition speaks of.
    pub fn condition_text(&self, condition: &Condition, part: Option<PartId>) -> String {
        self.words_within(condition, part, Tightness::Or)
    }

    /// Whether a condition holds in a build while every control is at rest, every coil is released and no terminal is
    /// fed: how a contact is drawn. Without a build, an option counts as chosen.
    pub fn holds_at_rest(&self, condition: &Condition, build: Option<BuildId>) -> bool {
        match condition {
            Condition::Always => true,
            Condition::Never | Condition::Energized(_) | Condition::TerminalAbove { .. } => false,
            Condition::Position { any, .. } => any.contains(&0),
            Condition::Level(level) => match self.control(level.control).rest() {
                Setting::Level(rest) if level.above => rest > level.threshold.high,
                Setting::Level(rest) => rest < level.threshold.low,
                Setting::Position(_) => false,
            },
            Condition::Option { group, any } => {
                build.is_none_or(|build| any.contains(&self.builds[build.index()].choices[*group]))
            }
            Condition::Timed { inner, .. } => self.holds_at_rest(inner, build),
            Condition::And(list) => list.iter().all(|inner| self.holds_at_rest(inner, build)),
            Condition::Or(list) => list.iter().any(|inner| self.holds_at_rest(inner, build)),
            Condition::Not(inner) => !self.holds_at_rest(inner, build),
        }
    }

    fn words_within(&self, condition: &Condition, part: Option<PartId>, outer: Tightness) -> String {
        let terminal = |id: TerminalId| {
            part.map_or(String::new(), |part| self.part(part).terminals[id.index()].name.clone())
        };
        let (own, words) = match condition {
            Condition::Always => (Tightness::Single, "always".to_string()),
            Condition::Never => (Tightness::Single, "never".to_string()),
            Condition::Position { control, any } => (Tightness::Single, self.position_words(*control, any)),
            Condition::Level(level) => (Tightness::Single, self.level_words(level)),
            Condition::Option { group, any } => {
                let group = &self.options[*group];
                let choices: Vec<&str> = any.iter().map(|&at| group.choices[at as usize].as_str()).collect();
                (Tightness::Single, format!("{} {}", group.id, choices.join("|")))
            }
            Condition::Energized(state) => {
                (Tightness::Single, self.state_word(part, *state, true).to_string())
            }
            Condition::TerminalAbove { terminal: at, volts, .. } => {
                let band = band_words(*volts, Unit::base(Dimension::Potential));
                (Tightness::Single, format!("{} above {band}", terminal(*at)))
            }
            Condition::Timed { inner, timing } => {
                let inner = self.words_within(inner, part, Tightness::Single);
                (Tightness::Single, format!("{inner} {}", timing_words(*timing)))
            }
            Condition::And(list) => (Tightness::And, self.joined(list, part, " and ", Tightness::And)),
            Condition::Or(list) => (Tightness::Or, self.joined(list, part, " or ", Tightness::Or)),
            Condition::Not(inner) => match **inner {
                Condition::Energized(state) => {
                    (Tightness::Single, self.state_word(part, state, false).to_string())
                }
                _ => {
                    let inner = self.words_within(inner, part, Tightness::Single);
                    (Tightness::Single, format!("not {inner}"))
                }
            },
        };
        if own < outer { format!("({words})") } else { words }
    }

    fn joined(&self, list: &[Condition], part: Option<PartId>, word: &str, own: Tightness) -> String {
        let inner = if own == Tightness::Or { Tightness::And } else { Tightness::Single };
        let words: Vec<String> =
            list.iter().map(|condition| self.words_within(condition, part, inner)).collect();
        words.join(word)
    }

    fn position_words(&self, control: ControlId, any: &[u16]) -> String {
        let control = self.control(control);
        let positions: Vec<String> = any.iter().map(|&at| control.print(Setting::Position(at))).collect();
        format!("{} {}", control.id, positions.join("|"))
    }

    fn level_words(&self, level: &Level) -> String {
        let control = self.control(level.control);
        let unit = match &control.range {
            ControlRange::Level(band) => band.low.unit,
            ControlRange::Positions(_) => unreachable!("`read` allows a level of a ranged control only"),
        };
        let side = |above: bool| if above { "above" } else { "below" };
        let threshold = band_words(level.threshold, unit);
        match level.until {
            Some(until) => format!(
                "{} {} {threshold} until {} {}",
                control.id,
                side(level.above),
                side(!level.above),
                band_words(until, unit)
            ),
            None => format!("{} {} {threshold}", control.id, side(level.above)),
        }
    }

    /// A latching relay is set and reset, any other energized and released.
    fn state_word(&self, part: Option<PartId>, state: usize, within: bool) -> &'static str {
        let latching = part.is_some_and(|part| self.part(part).states[state].latching);
        state_words(latching)[within as usize]
    }
}

fn band_words(band: Band<f64>, unit: Unit) -> String {
    band.map(|value| Amount { value, unit }).to_string()
}

fn timing_words(timing: Timing) -> String {
    let seconds = |band| band_words(band, Unit::base(Dimension::Time));
    match timing {
        Timing::For(band) => format!("for {}", seconds(band)),
        Timing::Lasting(band) => format!("lasting {}", seconds(band)),
        Timing::AtMost(band) => format!("at most {}", seconds(band)),
        Timing::Blinking { per_minute, share: 0.5 } => {
            format!("blinking {} per min", number(per_minute))
        }
        Timing::Blinking { per_minute, share } => {
            format!("blinking {} per min on {} %", number(per_minute), number(share * 100.0))
        }
    }
}
