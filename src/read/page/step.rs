//! Turns the step lines of a section into a checkout step or a troubleshooting test.

use super::address::{WrittenLink, first_link};
use super::line::{Keyword, Line, trim};
use super::prose::Context;
use super::section::Raw;
use super::{link, verdict};
use crate::book::{Outcome, PageKind, Place, Step, StepBranch, Subject, Target, Test};
use crate::finding::{Code, Finding};
use crate::read::phrase::{Phrase, pieces};
use crate::read::statement::{one_look, subject};
use crate::source::{Placed, Span};
use std::collections::BTreeSet;

/// The sections of a troubleshooting page that are the heads of procedures: the nearest heading above each test, where
/// that is no test itself.
pub fn procedures(kind: PageKind, sections: &[Raw]) -> BTreeSet<usize> {
    if kind != PageKind::Troubleshooting {
        return BTreeSet::new();
    }
    let tests = sections.iter().enumerate().filter(|(_, section)| section.lines.is_some());
    tests
        .filter_map(|(at, test)| {
            sections[..at].iter().rposition(|above| above.level < test.level && above.level > 0)
        })
        .filter(|&at| sections[at].lines.is_none())
        .collect()
}

/// A checkout step.
pub fn step(lines: &[Line], raw: &Raw, context: &Context) -> Step {
    let reader = context.reader;
    let mut step = Step { acts: Vec::new(), expects: Vec::new(), branches: Vec::new() };
    let mut expecting: Option<Span> = None;
    let mut closed = false;
    for line in lines {
        no_items(line, context);
        match line.keyword {
            Keyword::Set | Keyword::Do => {
                if expecting.is_some() {
                    let headline = "what is done comes before what is expected";
                    let finding = Finding::new(Code::BadPage, line.text.span, headline);
                    reader.log.push(finding.hint("make this a step of its own, with its own heading"));
                }
                step.acts.extend(match line.keyword {
                    Keyword::Set => reader.settings(line.rest),
                    _ => reader.acts(line.rest),
                });
            }
            Keyword::Expect => {
                expecting.get_or_insert(line.text.span);
                step.expects.extend(reader.expects(line.rest));
            }
            Keyword::If | Keyword::IfNot => {
                if closed {
                    let headline = "nothing comes to this line: `If not` takes every failure";
                    let finding = Finding::new(Code::BadPage, line.text.span, headline);
                    reader.log.push(finding.hint("the first line that fits wins; `If not` stands last"));
                }
                closed |= line.keyword == Keyword::IfNot;
                step.branches.extend(branch(line, context));
            }
            Keyword::Read | Keyword::Then => wrong_page(line, "a troubleshooting page", context),
        }
    }
    let linked = lines.iter().any(|line| line.keyword == Keyword::IfNot);
    if let (Some(span), false) = (expecting, linked) {
        let headline = "this step does not say where a failure leads";
        let hint = "add `- If not: [Procedure 1](trouble.md#t1)`";
        reader.log.push(Finding::new(Code::UnlinkedStep, span, headline).hint(hint));
    }
    if let (None, Some(line)) =
        (expecting, lines.iter().find(|line| line.symptom.is_some() || line.keyword == Keyword::IfNot))
    {
        let finding =
            Finding::new(Code::BadPage, line.text.span, "nothing is expected in this step that could fail");
        reader.log.push(finding.label(raw.span, "the step"));
    }
    step
}

fn branch(line: &Line, context: &Context) -> Option<StepBranch> {
    let reader = context.reader;
    let when = match &line.symptom {
        Some(symptom) => {
            let expects = reader.expects(*symptom);
            if expects.is_empty() {
                return None;
            }
            Some(expects)
        }
        None => None,
    };
    let Some(link) = first_link(&line.rest) else {
        missing_link(&line.rest, line.text.span, context);
        return None;
    };
    if link.address.value.starts_with("blame:") || link.address.value.starts_with("good:") {
        let finding = Finding::new(
            Code::BadStatement,
            link.address.span,
            "a checkout step leads to a procedure, not to a verdict",
        );
        reader.log.push(
            finding.hint("even a procedure of one test lets the reader make sure before a part is replaced"),
        );
        return None;
    }
    lead_in(&link.before, context);
    let to = place(&link, context)?;
    Some(StepBranch { when, to, span: line.text.span })
}

/// A troubleshooting test.
pub fn test(lines: &[Line], raw: &Raw, context: &Context) -> Test {
    let reader = context.reader;
    let mut test =
        Test { acts: Vec::new(), reads: None, expects: Vec::new(), outcomes: Vec::new(), span: raw.span };
    let mut ends = false;
    for line in lines {
        if line.keyword != Keyword::Read {
            no_items(line, context);
        }
        match line.keyword {
            Keyword::Set => test.acts.extend(reader.settings(line.rest)),
            Keyword::Do => test.acts.extend(reader.acts(line.rest)),
            Keyword::Expect => test.expects.extend(reader.expects(line.rest)),
            Keyword::Read | Keyword::Then if ends => {
                let finding = Finding::new(Code::BadPage, line.text.span, "this test has ended already");
                reader
                    .log
                    .push(finding.hint("a test reads once; give the second reading a heading of its own"));
            }
            Keyword::Read => {
                ends = true;
                read_line(&mut test, line, context);
            }
            Keyword::Then => {
                ends = true;
                test.span = line.text.span;
                test.outcomes.extend(target(&line.rest, line.text.span, context).map(|to| Outcome {
                    looks: Vec::new(),
                    to,
                    span: line.text.span,
                }));
            }
            Keyword::If | Keyword::IfNot => wrong_page(line, "a checkout page", context),
        }
    }
    if !ends {
        let finding = Finding::new(Code::BadPage, raw.span, "this test has neither `Read:` nor `Then:`");
        reader
            .log
            .push(finding.hint("a test ends in a reading whose results lead on, or in a single `Then:`"));
    }
    test
}

/// What is read, and where each reading leads.
fn read_line(test: &mut Test, line: &Line, context: &Context) {
    let reader = context.reader;
    test.span = line.text.span;
    let mut phrase = Phrase::new(line.rest.value, line.rest.span);
    test.reads = subject(reader, &mut phrase);
    if test.reads.is_some() && !phrase.is_done() {
        let rest = phrase.rest();
        let headline = format!("`{}` is too much here", rest.value);
        let finding = Finding::new(Code::BadStatement, rest.span, headline);
        reader.log.push(finding.hint("one instrument or part is read; the readings stand in the list below"));
    }
    if line.items.is_empty() {
        let finding = Finding::new(Code::BadPage, line.text.span, "this reading leads nowhere");
        reader.log.push(finding.hint("a list below it says where each reading leads"));
    }
    test.outcomes.extend(line.items.iter().filter_map(|item| outcome(item, test.reads, context)));
}

/// One branch of a reading: `lit, dim: go to [4.2](#t4-2)` or `else: [Replace it.](blame:K4)`.
fn outcome(item: &Placed<&str>, reads: Option<Subject>, context: &Context) -> Option<Outcome> {
    let reader = context.reader;
    let Some(colon) = item.value.find(':') else {
        let finding =
            Finding::new(Code::BadStatement, item.span, "this branch does not say which reading takes it");
        reader.log.push(finding.hint("for example `lit: go to [4.2](#t4-2)`; `else:` takes the rest"));
        return None;
    };
    let words = Placed::new(&item.value[..colon], item.span.within(0..colon));
    let rest = trim(Placed::new(&item.value[colon + 1..], item.span.within(colon + 1..item.value.len())));
    let before = reader.log.count();
    let mut looks = Vec::new();
    if words.value.trim() != "else" {
        for piece in pieces(words.value, words.span) {
            looks.extend(one_look(reader, reads?, piece));
        }
    }
    let clean = reader.log.count() == before;
    let to = target(&rest, item.span, context);
    Some(Outcome { looks, to: to.filter(|_| clean)?, span: item.span })
}

/// Where a branch leads: a place, a verdict, or a good end.
fn target(text: &Placed<&str>, whole: Span, context: &Context) -> Option<Target> {
    let reader = context.reader;
    let Some(link) = first_link(text) else {
        missing_link(text, whole, context);
        return None;
    };
    lead_in(&link.before, context);
    let address = &link.address;
    let words = || {
        let words = context.facts.fill(&link.words).0.text;
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    if let Some(rest) = address.value.strip_prefix("blame:") {
        let from = address.value.len() - rest.len();
        let before = reader.log.count();
        let blames = reader.suspects(Placed::new(rest, address.span.within(from..address.value.len())));
        if context.facts.whole && reader.log.count() == before {
            verdict::check(&link.words, &blames, context.facts);
        }
        return (!blames.is_empty()).then(|| Target::Verdict { words: words(), blames });
    }
    if address.value.starts_with("good:") {
        return Some(Target::Good { words: words() });
    }
    Some(Target::Go(place(&link, context)?))
}

/// The section that a branch leads to; its words must not say another.
fn place(to: &WrittenLink, context: &Context) -> Option<Place> {
    let log = context.reader.log;
    let found = context.places.find(context.path, &to.address, log)?;
    let place = context.places.section(&found, &to.address, log)?;
    link::check(&to.words, &found, context);
    Some(place)
}

/// Only `go to` may stand before the link of a branch.
fn lead_in(before: &Placed<&str>, context: &Context) {
    let words = before.value.trim();
    if !words.is_empty() && words != "go to" {
        let from = before.value.find(words).unwrap_or(0);
        let span = before.span.within(from..from + words.len());
        let finding = Finding::new(Code::BadStatement, span, format!("`{words}` is not part of a branch"));
        context.reader.log.push(finding.hint("`go to` and a link, or a link alone, is expected"));
    }
}

fn missing_link(text: &Placed<&str>, whole: Span, context: &Context) {
    let span = if text.value.trim().is_empty() { whole } else { text.span };
    let finding = Finding::new(Code::BadStatement, span, "this branch leads nowhere: it has no link");
    let hint = "for example `go to [4.2](#t4-2)` or `[Replace the relay.](blame:K4)`";
    context.reader.log.push(finding.hint(hint));
}

fn wrong_page(line: &Line, where_to: &str, context: &Context) {
    let word = line.text.value.split([':', ' ']).next().unwrap_or_default();
    let span = line.text.span.within(0..word.len());
    let headline = format!("`{word}` belongs to {where_to}");
    context.reader.log.error(Code::BadPage, span, headline);
}

fn no_items(line: &Line, context: &Context) {
    if let Some(item) = line.items.first() {
        let finding = Finding::new(Code::BadPage, item.span, "only `Read:` has a list below it");
        context.reader.log.push(finding);
    }
}
