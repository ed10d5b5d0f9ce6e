//! Turns a page's Markdown into sections, and lifts the list of step lines out of each.

use super::event::{Events, block_end, events, placed, plain};
use super::fact::Facts;
use super::line::{self, Line};
use super::mask::mask;
use super::stray;
use super::told::Told;
use crate::finding::{Code, Finding};
use crate::read::limit;
use crate::read::log::Log;
use crate::source::{FileId, Span};
use pulldown_cmark::{Event, Tag, TagEnd};
use std::collections::BTreeMap;
use std::ops::Range;

/// A section as it is written.
pub struct Raw<'a> {
    pub level: u8,
    pub title: String,
    pub anchor: String,
    pub prose: Events,
    /// The step lines, if the section has any.
    pub lines: Option<Vec<Line<'a>>>,
    pub after: Events,
    pub span: Span,
}

/// The anchor of what stands before the first heading.
const TOP: &str = "top";

/// Cuts a page at its headings; `start` is where its text begins. Lists of step lines are looked for when `steps`.
/// Fields are filled in on the way, and what the text tells of parts and wires is held against the book.
pub fn cut<'a>(file: FileId, start: usize, steps: bool, facts: &Facts<'a>) -> Vec<Raw<'a>> {
    let log = facts.log;
    let text = log.text(file);
    let mut masked = mask(text);
    if let Some(at) = limit::too_nested(&masked[start..]) {
        let at = start + at;
        limit::exceed(log, Span::new(file, at..at), "these are nested too deep", limit::BRACKETS);
        masked.truncate(at);
    }
    let text = &text[..masked.len()];
    let events = told(file, text, events(&masked, text, start), steps, facts);
    stray::links(file, text, &masked, start, &events, log);
    stray::signals(file, text, &events, log);
    let mut sections = vec![Raw {
        level: 0,
        title: String::new(),
        anchor: TOP.to_string(),
        prose: Vec::new(),
        lines: None,
        after: Vec::new(),
        span: Span::new(file, start..start),
    }];
    let mut anchors: BTreeMap<String, Span> = BTreeMap::new();
    let mut at = 0;
    while at < events.len() {
        let end = block_end(&events, at);
        let block = &events[at..end];
        let section = sections.last_mut().expect("the first section is there from the start");
        match &block[0].0 {
            Event::Start(Tag::Heading { level, id, .. }) => {
                let title = plain(&block[1..]);
                let span = trimmed(file, text, block[0].1.clone());
                let given = id.as_ref().map(|id| id.to_string());
                let anchor = anchor(given, &title, span, &mut anchors, log);
                sections.push(Raw {
                    level: *level as u8,
                    title,
                    anchor,
                    prose: Vec::new(),
                    lines: None,
                    after: Vec::new(),
                    span,
                });
            }
            Event::Start(Tag::List(_)) if steps => match line::lines(file, text, block, log) {
                Some(lines) if section.lines.is_none() => section.lines = Some(lines),
                Some(lines) => {
                    let finding = Finding::new(
                        Code::BadPage,
                        lines[0].text.span,
                        "this section has step lines already",
                    );
                    log.push(finding.hint("a section is one step: give the second one a heading of its own"));
                }
                None => append(section, block),
            },
            Event::Start(Tag::Paragraph) if steps => {
                line::outside_list(file, text, block[0].1.clone(), log);
                append(section, block);
            }
            _ => append(section, block),
        }
        at = end;
    }
    if sections[0].prose.is_empty() && sections[0].lines.is_none() && sections.len() > 1 {
        sections.remove(0);
    }
    sections
}

fn append(section: &mut Raw, block: &[(Event<'static>, Range<usize>)]) {
    let into = match section.lines {
        Some(_) => &mut section.after,
        None => &mut section.prose,
    };
    into.extend_from_slice(block);
}

/// The events with their fields filled in; each block's words are held against the book.
fn told(file: FileId, text: &str, events: Events, steps: bool, facts: &Facts) -> Events {
    let mut block = Told::new(file);
    let mut code = false;
    let check = |block: &mut Told| {
        let block = std::mem::replace(block, Told::new(file));
        if !(steps && line::is_statement(&block.text)) {
            facts.check(&block);
        }
    };
    let mut filled = Vec::with_capacity(events.len());
    for (event, range) in events {
        let event = match event {
            Event::Text(shown) if !code && *shown == text[range.clone()] => {
                let (own, findings) = facts.fill(&placed(file, text, range.clone()));
                findings.into_iter().for_each(|finding| facts.log.push(finding));
                let words = own.text.clone();
                block.append(own);
                Event::Text(words.into())
            }
            other => {
                match &other {
                    Event::Text(shown) if !code => block.push(shown, range.clone()),
                    Event::SoftBreak | Event::HardBreak => block.push(" ", range.clone()),
                    // What stands in code is no sentence.
                    Event::Code(_) => block.push("`", range.clone()),
                    Event::Start(Tag::CodeBlock(_)) => code = true,
                    Event::End(TagEnd::CodeBlock) => code = false,
                    Event::Start(tag) if !inline(&tag.to_end()) => check(&mut block),
                    Event::End(tag) if !inline(tag) => check(&mut block),
                    _ => {}
                }
                other
            }
        };
        filled.push((event, range));
    }
    filled
}

/// Whether a mark stands inside a sentence.
fn inline(tag: &TagEnd) -> bool {
    matches!(tag, TagEnd::Emphasis | TagEnd::Strong | TagEnd::Strikethrough | TagEnd::Link | TagEnd::Image)
}

fn trimmed(file: FileId, text: &str, range: Range<usize>) -> Span {
    let length = text[range.clone()].trim_end().len();
    Span::new(file, range.start..range.start + length)
}

/// The anchor that the author gave, or one made of the title; a made one that is taken gets a number.
fn anchor(
    given: Option<String>,
    title: &str,
    span: Span,
    taken: &mut BTreeMap<String, Span>,
    log: &Log,
) -> String {
    if let Some(given) = &given
        && let Some(first) = taken.get(given)
    {
        let finding = Finding::new(
            Code::DuplicateId,
            span,
            format!("the anchor `{given}` is given twice on this page"),
        );
        log.push(finding.label(*first, "first given here"));
    }
    let base = given.unwrap_or_else(|| slug(title));
    let mut anchor = base.clone();
    let mut number = 2;
    while taken.contains_key(&anchor) {
        anchor = format!("{base}-{number}");
        number += 1;
    }
    taken.insert(anchor.clone(), span);
    anchor
}

/// Letters and digits in lower case, everything else a single hyphen.
fn slug(title: &str) -> String {
    let words = title.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let joined = words.map(str::to_lowercase).collect::<Vec<_>>().join("-");
    if joined.is_empty() { "section".to_string() } else { joined }
}
