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

use super::index::Index;
use super::log::{Log, list, suggestion};
use super::phrase::{Phrase, Word};
use crate::book::{
    BandId, Book, Condition, ControlId, ControlRange, Level, PartId, Terminal, TerminalId, Timing,
    WorkingBand,
};
use crate::finding::{Code, Finding};
use crate::quantity::{Band, Dimension};
use crate::source::{Placed, Span};

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
            return Some(Condition::Not(Box::new(self.one()?)));
        }
        let mut condition = self.simple()?;
        while let Some(timing) = self.timing()? {
            condition = Condition::Timed {
                inner: Box::new(condition),
                timing,
            };
        }
        Some(condition)
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
            Timing::Blinking {
                per_minute: rate.low.value,
                share,
            }
        } else {
            return Some(None);
        };
        if matches!(self.speaker, Speaker::Fitting) {
            self.bad(
                here,
                "what is fitted does not change with time",
                "only options can be named here",
            );
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
                let inner = self.condition()?;
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

    /// A condition that begins with a name: a terminal of the part, an option group or a control.
    fn named(&mut self, name: Word) -> Option<Condition> {
        let compares = matches!(self.phrase.peek(), Some("above" | "below"));
        if let Speaker::Part(own) = self.speaker
            && compares
            && let Some(at) = own.senses.iter().position(|terminal| terminal.name == name.text)
        {
            return self.terminal(TerminalId(at as u16), own.against);
        }
        if let Some(&group) = self.index.options.get(name.text) {
            let choices = self.book.options[group].choices.clone();
            let any = self.alternatives(name, &choices, Code::UnknownOption, "choice")?;
            return Some(Condition::Option { group, any });
        }
        let fitting = matches!(self.speaker, Speaker::Fitting);
        match self.index.controls.get(name.text) {
            Some(_) if fitting => {
                self.bad(
                    name.span,
                    format!(
                        "`{}` is a control, and what is fitted depends on options alone",
                        name.text
                    ),
                    "options are defined in `content/manual.toml`",
                );
                None
            }
            Some(&control) if compares => self.level(control),
            Some(&control) => match self.book.control(control).range.clone() {
                ControlRange::Positions(positions) => {
                    let any = self.alternatives(name, &positions, Code::UnknownPosition, "position")?;
                    Some(Condition::Position { control, any })
                }
                ControlRange::Level(_) => {
                    let here = self.phrase.here();
                    self.bad(
                        here,
                        format!("`{}` is a level: it is above or below a quantity", name.text),
                        format!(
                            "for example `{} above {}`",
                            name.text,
                            self.level_example(control)
                        ),
                    );
                    None
                }
            },
            None => self.unknown(name, compares, fitting),
        }
    }

    fn unknown(&mut self, name: Word, compares: bool, fitting: bool) -> Option<Condition> {
        self.failed = true;
        if !self.index.is_lost(name.text) {
            let options = self.index.options.keys().map(String::as_str);
            if fitting {
                self.log
                    .unknown(Code::UnknownOption, name.span, "option", name.text, options);
            } else {
                let senses = match self.speaker {
                    Speaker::Part(own) => own.senses,
                    _ => &[],
                };
                let states: &[&str] = match self.speaker {
                    Speaker::Part(Own {
                        states: States::Coil, ..
                    }) => &["energized", "released"],
                    Speaker::Part(Own {
                        states: States::Latch,
                        ..
                    }) => &["set", "reset"],
                    _ => &[],
                };
                let known = self.index.controls.keys().map(String::as_str).chain(options);
                let known = known.chain(senses.iter().map(|terminal| terminal.name.as_str()));
                let known = known.chain(states.iter().copied());
                self.log
                    .unknown(Code::UnknownControl, name.span, "control", name.text, known);
            }
        }
        // What belongs to the name is skipped, so that names further on are still looked at.
        if compares {
            self.phrase.next();
            self.skip_quantity();
            if self.phrase.accept("until") {
                let _ = self.phrase.accept("above") || self.phrase.accept("below");
                self.skip_quantity();
            }
        } else {
            let joins = ["and", "or", ")", "not", "for", "lasting", "at", "blinking"];
            while self.phrase.peek().is_some_and(|word| !joins.contains(&word)) {
                self.phrase.next();
            }
        }
        Some(Condition::Never)
    }

    fn skip_quantity(&mut self) {
        self.phrase.next();
        let joins = ["and", "or", ")", "until", "for", "lasting", "at"];
        while self.phrase.peek().is_some_and(|word| !joins.contains(&word)) {
            self.phrase.next();
        }
    }

    /// One or more names out of a list, as their indices.
    fn alternatives(&mut self, of: Word, known: &[String], code: Code, what: &str) -> Option<Vec<u16>> {
        let mut any = Vec::new();
        loop {
            let expected = |parser: &mut Self, span: Span| {
                let names: Vec<&str> = known.iter().map(String::as_str).collect();
                parser.bad(
                    span,
                    format!("`{}` needs a {what} here", of.text),
                    format!("it has {}", list(&names)),
                );
            };
            let Some(word) = self.phrase.peek() else {
                expected(self, of.span);
                return None;
            };
            if matches!(word, "and" | "or" | ")" | "(" | "|") {
                let here = self.phrase.here();
                expected(self, here);
                return None;
            }
            let word = self.phrase.next()?;
            match known.iter().position(|name| name == word.text) {
                Some(at) => any.push(at as u16),
                None => {
                    self.failed = true;
                    let headline = format!("`{}` has no {what} `{}`", of.text, word.text);
                    let hint = suggestion(word.text, known.iter().map(String::as_str));
                    self.log
                        .push(Finding::new(code, word.span, headline).hint_if(hint));
                }
            }
            if !self.phrase.accept("|") {
                return Some(any);
            }
        }
    }

    fn terminal(&mut self, terminal: TerminalId, against: Option<TerminalId>) -> Option<Condition> {
        let above = self.phrase.next()?.text == "above";
        let volts = self.amounts(Dimension::Potential)?;
        let condition = Condition::TerminalAbove {
            terminal,
            against,
            volts,
        };
        Some(if above {
            condition
        } else {
            Condition::Not(Box::new(condition))
        })
    }

    fn level(&mut self, control: ControlId) -> Option<Condition> {
        let start = self.phrase.here();
        let above = self.phrase.next()?.text == "above";
        let ControlRange::Level(range) = self.book.control(control).range.clone() else {
            let name = self.book.control(control).id.clone();
            self.bad(
                start,
                format!("`{name}` has positions, not a level"),
                "write the position after the control",
            );
            return None;
        };
        let dimension = range.low.unit.dimension;
        let threshold = self.phrase.band(dimension, self.log)?;
        let until = match self.phrase.accept("until") {
            true => {
                let _ = self.phrase.accept(if above { "below" } else { "above" });
                Some(self.phrase.band(dimension, self.log)?)
            }
            false => None,
        };
        for band in [Some(&threshold), until.as_ref()].into_iter().flatten() {
            if band.high < range.low || band.low > range.high {
                let id = &self.book.control(control).id;
                let headline = format!("`{id}` never gets there: it lies in {range}");
                self.log.error(Code::OutOfRange, band.span, headline);
                self.failed = true;
            }
        }
        if let Some(until) = &until {
            let ordered = if above {
                until.high <= threshold.low
            } else {
                until.low >= threshold.high
            };
            if !ordered {
                let side = if above { "below" } else { "above" };
                self.bad(
                    until.span,
                    format!("the return threshold must lie {side} the first one"),
                    "the two bands must not overlap",
                );
                return None;
            }
        }
        let wide = !threshold.is_point() || until.as_ref().is_some_and(|until| !until.is_point());
        let band = match self.speaker {
            Speaker::Part(own) if wide => {
                self.book.bands.push(WorkingBand {
                    control,
                    part: own.part,
                    threshold: threshold.value.map(|amount| amount.value),
                    span: threshold.span,
                });
                Some(BandId(self.book.bands.len() as u32 - 1))
            }
            _ => None,
        };
        let memory = until.is_some().then(|| {
            self.book.memories += 1;
            self.book.memories - 1
        });
        Some(Condition::Level(Level {
            control,
            above,
            threshold: threshold.value.map(|amount| amount.value),
            until: until.map(|until| until.value.map(|amount| amount.value)),
            band,
            memory,
        }))
    }

    fn level_example(&self, control: ControlId) -> String {
        match &self.book.control(control).range {
            ControlRange::Level(range) => range.low.unit.dimension.example().to_string(),
            ControlRange::Positions(names) => names[0].clone(),
        }
    }

    fn amounts(&mut self, dimension: Dimension) -> Option<Band<f64>> {
        let band = self.phrase.band(dimension, self.log)?;
        Some(band.value.map(|amount| amount.value))
    }

    fn bad(&mut self, span: Span, headline: impl Into<String>, hint: impl Into<String>) {
        self.failed = true;
        self.log
            .push(Finding::new(Code::BadCondition, span, headline).hint(hint));
    }
}

fn single(mut list: Vec<Condition>, join: fn(Vec<Condition>) -> Condition) -> Condition {
    match list.len() {
        1 => list.remove(0),
        _ => join(list),
    }
}
