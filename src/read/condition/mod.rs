//! Turns the words of a condition into a resolved truth about controls, options, a part's own state, and time.
//!
//! ```text
//! condition = all { "or" all }
//! all       = one { "and" one }
//! one       = "not" one | timed
//! timed     = simple { "for" TIME | "lasting" TIME | "at most" TIME | "blinking" RATE [ "on" SHARE ] }
//! simple    = "(" condition ")" | "energized" | "released" | "set" | "reset"
//!           | CONTROL position { "|" position } | OPTION choice { "|" choice }
//!           | CONTROL ("above" | "below") QUANTITY [ "until" [ "above" | "below" ] QUANTITY ]
//!           | TERMINAL ("above" | "below") VOLTAGE
//! ```

mod name;

use super::form::Form;
use super::index::Index;
use super::limit;
use super::log::{Log, list, suggestion};
use super::phrase::{Phrase, Word};
use crate::book::{Book, Condition, PartId, Terminal, TerminalId, Timing};
use crate::finding::{Code, Finding};
use crate::quantity::{Band, Dimension};
use crate::source::{Placed, Span};

/// The forms of a condition.
pub const FORMS: &[Form] = &[
    Form::new("CONTROL POSITION", "key run", "A control stands in this position."),
    Form::new("CONTROL POSITION | POSITION", "key run | start", "It stands in one of these."),
    Form::new("OPTION CHOICE", "gearbox automatic", "The vehicle is built so; `|` as with a control."),
    Form::new(
        "CONTROL above QUANTITY",
        "coolant above 92..95 degC",
        "A control with a range lies above, or `below`, this. A band is the tolerance of where it switches.",
    ),
    Form::new(
        "CONTROL above QUANTITY until below QUANTITY",
        "coolant above 95 degC until below 90 degC",
        "It switches at the first and back at the second, as a thermostat does.",
    ),
    Form::new("energized", "energized", "Of a relay's own contacts: its coil holds them."),
    Form::new("released", "released", "Of a relay's own contacts: its coil does not hold them."),
    Form::new("set", "set", "Of a latching relay's own contacts: it was set last."),
    Form::new("reset", "reset", "Of a latching relay's own contacts: it was reset last."),
    Form::new(
        "TERMINAL above VOLTAGE",
        "IN1 above 5..6 V",
        "Of a module's outputs and of a switch: this terminal of its own carries more, or `below` less.",
    ),
    Form::new("CONDITION and CONDITION", "key run and door open", "Both hold; `and` binds before `or`."),
    Form::new("CONDITION or CONDITION", "door open or brake on", "At least one holds."),
    Form::new("not CONDITION", "not door open", "It does not hold."),
    Form::new("(CONDITION)", "key run and (door open or brake on)", "Parentheses bind first."),
    Form::new(
        "CONDITION for TIME",
        "energized for 7..9 s",
        "It has held for so long without a break: a delay on.",
    ),
    Form::new(
        "CONDITION lasting TIME",
        "key run lasting 8 s",
        "It holds, or held within this time: a delay off.",
    ),
    Form::new(
        "CONDITION at most TIME",
        "key run at most 5 s",
        "It holds, and has not held for longer: a pulse.",
    ),
    Form::new(
        "CONDITION blinking RATE on SHARE",
        "key run blinking 90 per min on 40 %",
        "While it holds, on and off at this rate; half and half without a share.",
    ),
];

/// Who says a condition, which decides what it may speak of.
#[derive(Clone, Copy)]
pub enum Speaker<'a> {
    /// `only` and `exclude`: options and nothing else.
    Fitting,
    /// `intent`: controls and options.
    Vehicle,
    /// A part: controls, options and what it knows of itself.
    Part(Own<'a>),
}

/// What a part knows of itself.
#[derive(Clone, Copy)]
pub struct Own<'a> {
    pub part: PartId,
    pub states: States,
    /// Terminals whose voltage it measures, and the one it measures against.
    pub senses: &'a [Terminal],
    pub against: Option<TerminalId>,
}

/// The words for a part's own relay state.
#[derive(Clone, Copy, PartialEq)]
pub enum States {
    None,
    /// `energized` and `released`.
    Coil,
    /// `set` and `reset`.
    Latch,
}

/// Reads one condition. Working bands and memories are entered in the book as they are met.
pub fn read(
    text: &Placed<String>,
    speaker: Speaker,
    book: &mut Book,
    index: &Index,
    log: &Log,
) -> Option<Condition> {
    let mut parser = Parser {
        phrase: Phrase::new(&text.value, text.span),
        speaker,
        book,
        index,
        log,
        depth: 0,
        failed: false,
    };
    let condition = parser.condition()?;
    if !parser.phrase.is_done() {
        let here = parser.phrase.here();
        let word = parser.phrase.peek().unwrap_or_default();
        let hint = suggestion(word, ["and", "or"]);
        parser.bad(
            here,
            format!("`{word}` does not go on from here"),
            hint.unwrap_or_else(|| "`and` or `or` joins two conditions".into()),
        );
        return None;
    }
    (!parser.failed).then_some(condition)
}

struct Parser<'a> {
    phrase: Phrase<'a>,
    speaker: Speaker<'a>,
    book: &'a mut Book,
    index: &'a Index,
    log: &'a Log<'a>,
    /// How deep in conditions it is.
    depth: usize,
    /// A name was not found: the rest is still read, so that all unknown names are reported.
    failed: bool,
}

impl Parser<'_> {
    fn condition(&mut self) -> Option<Condition> {
        let mut any = vec![self.all()?];
        while self.phrase.accept("or") {
            any.push(self.all()?);
        }
        Some(single(any, Condition::Or))
    }

    fn all(&mut self) -> Option<Condition> {
        let mut all = vec![self.one()?];
        while self.phrase.accept("and") {
            all.push(self.one()?);
        }
        Some(single(all, Condition::And))
    }

    fn one(&mut self) -> Option<Condition> {
        if self.phrase.accept("not") {
            return Some(Condition::Not(Box::new(self.deeper(Self::one)?)));
        }
        let mut condition = self.simple()?;
        let mut timings = 0;
        while let Some(timing) = self.timing()? {
            timings += 1;
            if timings > limit::NESTING {
                limit::exceed(self.log, self.phrase.here(), "one time follows the other", limit::NESTING);
                return None;
            }
            condition = Condition::Timed { inner: Box::new(condition), timing };
        }
        Some(condition)
    }

    /// Reads what stands inside a condition.
    fn deeper(&mut self, read: fn(&mut Self) -> Option<Condition>) -> Option<Condition> {
        self.depth += 1;
        if self.depth > limit::NESTING {
            limit::exceed(self.log, self.phrase.here(), "conditions are nested too deep", limit::NESTING);
            return None;
        }
        let inner = read(self);
        self.depth -= 1;
        inner
    }

    /// The outer option is a problem, the inner one that no timing follows.
    #[allow(clippy::option_option)]
    fn timing(&mut self) -> Option<Option<Timing>> {
        let here = self.phrase.here();
        let timing = if self.phrase.accept("for") {
            Timing::For(self.amounts(Dimension::Time)?)
        } else if self.phrase.accept("lasting") {
            Timing::Lasting(self.amounts(Dimension::Time)?)
        } else if self.phrase.accept("at most") {
            Timing::AtMost(self.amounts(Dimension::Time)?)
        } else if self.phrase.accept("blinking") {
            let rate = self.phrase.band(Dimension::Rate, self.log)?;
            if !rate.is_point() || rate.low.value <= 0.0 {
                self.bad(
                    rate.span,
                    "a blinking rate is one positive number",
                    "for example `blinking 90 per min`",
                );
                return None;
            }
            let share = match self.phrase.accept("on") {
                true => self.amounts(Dimension::Share)?.low / 100.0,
                false => 0.5,
            };
            Timing::Blinking { per_minute: rate.low.value, share }
        } else {
            return Some(None);
        };
        if matches!(self.speaker, Speaker::Fitting) {
            self.bad(here, "what is fitted does not change with time", "only options can be named here");
            return None;
        }
        Some(Some(timing))
    }

    fn simple(&mut self) -> Option<Condition> {
        let Some(word) = self.phrase.next() else {
            let here = self.phrase.here();
            self.bad(
                here,
                "a condition ends too early",
                "a control and its position are expected, such as `key run`",
            );
            return None;
        };
        match word.text {
            "(" => {
                let inner = self.deeper(Self::condition)?;
                if !self.phrase.accept(")") {
                    self.bad(word.span, "this parenthesis is not closed", "`)` is missing");
                    return None;
                }
                Some(inner)
            }
            ")" | "|" | "and" | "or" => {
                self.bad(
                    word.span,
                    format!("`{}` cannot stand here", word.text),
                    "a control and its position are expected, such as `key run`",
                );
                None
            }
            "energized" | "released" | "set" | "reset" => self.own_state(word),
            _ => self.named(word),
        }
    }

    fn own_state(&mut self, word: Word) -> Option<Condition> {
        let words = match self.speaker {
            Speaker::Part(own) if own.states == States::Coil => ["energized", "released"],
            Speaker::Part(own) if own.states == States::Latch => ["set", "reset"],
            _ => {
                self.bad(
                    word.span,
                    format!("nothing here is {}", word.text),
                    "only a part with a coil has this state",
                );
                return None;
            }
        };
        if word.text == words[0] {
            Some(Condition::Energized(0))
        } else if word.text == words[1] {
            Some(Condition::Not(Box::new(Condition::Energized(0))))
        } else {
            self.bad(
                word.span,
                format!("this relay is never {}", word.text),
                format!("it is {}", list(&words)),
            );
            None
        }
    }

    fn amounts(&mut self, dimension: Dimension) -> Option<Band<f64>> {
        let band = self.phrase.band(dimension, self.log)?;
        Some(band.value.map(|amount| amount.value))
    }

    fn bad(&mut self, span: Span, headline: impl Into<String>, hint: impl Into<String>) {
        self.failed = true;
        self.log.push(Finding::new(Code::BadCondition, span, headline).hint(hint));
    }
}

fn single(mut list: Vec<Condition>, join: fn(Vec<Condition>) -> Condition) -> Condition {
    match list.len() {
        1 => list.remove(0),
        _ => join(list),
    }
}
