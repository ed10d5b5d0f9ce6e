//! Turns a condition into words, those of the condition language or of a reader's, and tells what it is at rest; it evaluates no
//! other state.

use super::{
    Book, BuildId, Condition, ControlId, ControlRange, Level, PartId, Say, Setting, TerminalId, Timing,
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

impl Say<'_> {
    /// A condition; in the words of a step line as an author would write it: `door open and (brake on or not ramp above
    /// 20..35 deg)`. `part` is the part whose own states and terminals the condition speaks of.
    pub fn condition(&self, condition: &Condition, part: Option<PartId>) -> String {
        self.within(condition, part, Tightness::Or)
    }

    fn within(&self, condition: &Condition, part: Option<PartId>, outer: Tightness) -> String {
        let of = |part: PartId| self.book.part(part);
        let inside = |inner: &Condition| self.within(inner, part, Tightness::Single);
        let terminal =
            |id: TerminalId| part.map_or(String::new(), |part| of(part).terminals[id.index()].name.clone());
        let (own, words) = match condition {
            Condition::Always => (Tightness::Single, self.words.text("condition.always")),
            Condition::Never => (Tightness::Single, self.words.text("condition.never")),
            Condition::Position { control, any } => (Tightness::Single, self.positions(*control, any)),
            Condition::Level(level) => (Tightness::Single, self.level(level)),
            Condition::Option { group, any } => {
                let group = &self.book.options[*group];
                let choices: Vec<&str> = any.iter().map(|&at| group.choices[at as usize].as_str()).collect();
                (Tightness::Single, format!("{} {}", group.id, choices.join("|")))
            }
            Condition::Energized(state) => (Tightness::Single, self.state(part, *state, true)),
            Condition::TerminalAbove { terminal: at, volts, .. } => {
                let value = band_words(*volts, Unit::base(Dimension::Potential));
                let values = [("what", &*terminal(*at)), ("value", &*value)];
                (Tightness::Single, self.words.fill("condition.above", &values))
            }
            Condition::Timed { inner, timing } => (Tightness::Single, self.timed(&inside(inner), *timing)),
            Condition::And(list) => {
                (Tightness::And, self.joined(list, part, "condition.and", Tightness::And))
            }
            Condition::Or(list) => (Tightness::Or, self.joined(list, part, "condition.or", Tightness::Or)),
            Condition::Not(inner) => match **inner {
                Condition::Energized(state) => (Tightness::Single, self.state(part, state, false)),
                _ => (Tightness::Single, self.words.fill("condition.not", &[("what", &inside(inner))])),
            },
        };
        if own < outer { format!("({words})") } else { words }
    }

    fn joined(&self, list: &[Condition], part: Option<PartId>, key: &str, own: Tightness) -> String {
        let inner = if own == Tightness::Or { Tightness::And } else { Tightness::Single };
        let words = list.iter().map(|condition| self.within(condition, part, inner));
        let pair = |one: String, other: String| self.words.fill(key, &[("one", &one), ("other", &other)]);
        words.reduce(pair).unwrap_or_default()
    }

    fn positions(&self, control: ControlId, any: &[u16]) -> String {
        let control = self.book.control(control);
        let positions: Vec<String> = any.iter().map(|&at| control.print(Setting::Position(at))).collect();
        format!("{} {}", control.id, positions.join("|"))
    }

    fn level(&self, level: &Level) -> String {
        let control = self.book.control(level.control);
        let unit = match &control.range {
            ControlRange::Level(band) => band.low.unit,
            ControlRange::Positions(_) => unreachable!("`read` allows a level of a ranged control only"),
        };
        let side = |prefix: &str, above: bool, what: &str, band: Band<f64>| {
            let key = format!("condition.{prefix}{}", if above { "above" } else { "below" });
            self.words.fill(&key, &[("what", what), ("value", &band_words(band, unit))])
        };
        let words = side("", level.above, &control.id, level.threshold);
        level.until.map_or(words.clone(), |until| side("until-", !level.above, &words, until))
    }

    /// A latching relay is set and reset, any other energized and released.
    fn state(&self, part: Option<PartId>, state: usize, within: bool) -> String {
        let latching = part.is_some_and(|part| self.book.part(part).states[state].latching);
        self.words.text(&format!("look.{}", state_words(latching)[within as usize]))
    }

    fn timed(&self, what: &str, timing: Timing) -> String {
        let seconds = |band| band_words(band, Unit::base(Dimension::Time));
        let timed = |key: &str, band| self.words.fill(key, &[("what", what), ("time", &seconds(band))]);
        match timing {
            Timing::For(band) => timed("condition.for", band),
            Timing::Lasting(band) => timed("condition.lasting", band),
            Timing::AtMost(band) => timed("condition.at-most", band),
            Timing::Blinking { per_minute, share } => {
                let key = if share == 0.5 { "condition.blinking" } else { "condition.blinking-on" };
                let values =
                    [("what", what), ("rate", &*number(per_minute)), ("share", &*number(share * 100.0))];
                self.words.fill(key, &values)
            }
        }
    }
}

impl Book {
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
}

fn band_words(band: Band<f64>, unit: Unit) -> String {
    band.map(|value| Amount { value, unit }).to_string()
}
