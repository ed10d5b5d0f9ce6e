//! Turns the part of a condition that begins with a name into a truth about a control, an option or a terminal.

use super::{Own, Parser, Speaker, States};
use crate::book::{BandId, Condition, ControlId, ControlRange, Level, PartId, TerminalId, WorkingBand};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, Band, Dimension};
use crate::read::log::{list, suggestion};
use crate::read::phrase::Word;
use crate::source::{Placed, Span};

impl Parser<'_> {
    /// A condition that begins with a name: a terminal of the part, an option group or a control.
    pub(super) fn named(&mut self, name: Word) -> Option<Condition> {
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
                    format!("`{}` is a control, and what is fitted depends on options alone", name.text),
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
                        format!("for example `{} above {}`", name.text, self.level_example(control)),
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
                self.log.unknown(Code::UnknownOption, name.span, "option", name.text, options);
            } else {
                let senses = match self.speaker {
                    Speaker::Part(own) => own.senses,
                    _ => &[],
                };
                let states: &[&str] = match self.speaker {
                    Speaker::Part(Own { states: States::Coil, .. }) => &["energized", "released"],
                    Speaker::Part(Own { states: States::Latch, .. }) => &["set", "reset"],
                    _ => &[],
                };
                let known = self.index.controls.keys().map(String::as_str).chain(options);
                let known = known.chain(senses.iter().map(|terminal| terminal.name.as_str()));
                let known = known.chain(states.iter().copied());
                self.log.unknown(Code::UnknownControl, name.span, "control", name.text, known);
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
                    self.log.push(Finding::new(code, word.span, headline).hint_if(hint));
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
        let condition = Condition::TerminalAbove { terminal, against, volts };
        Some(if above { condition } else { Condition::Not(Box::new(condition)) })
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
            let ordered = if above { until.high <= threshold.low } else { until.low >= threshold.high };
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
        let until = until.map(|until| until.value.map(|amount| amount.value));
        let wide = !threshold.is_point() || until.as_ref().is_some_and(|until| !until.is_point());
        let band = match self.speaker {
            Speaker::Part(own) if wide => Some(self.working_band(control, own.part, &threshold, until)),
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
            until,
            band,
            memory,
        }))
    }

    /// Notes that a part works anywhere in a band: it is proved at both ends.
    fn working_band(
        &mut self,
        control: ControlId,
        part: PartId,
        threshold: &Placed<Band<Amount>>,
        until: Option<Band<f64>>,
    ) -> BandId {
        let values = threshold.value.map(|amount| amount.value);
        self.book.bands.push(WorkingBand { control, part, threshold: values, until, span: threshold.span });
        BandId(self.book.bands.len() as u32 - 1)
    }

    fn level_example(&self, control: ControlId) -> String {
        match &self.book.control(control).range {
            ControlRange::Level(range) => range.low.unit.dimension.example().to_string(),
            ControlRange::Positions(names) => names[0].clone(),
        }
    }
}
