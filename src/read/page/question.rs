//! Turns a section of a study page into an author's question, whose choices are claims: one that holds, others that do not.
//!
//! ```text
//! ## Why does the platform lamp stay dark in the lamp test?
//!
//! The key is in RUN and the button is pressed.
//!
//! - [The steering diode blocks.](<claim: key run, test pressed, bridged D1 => E5 lit>) Bridged, it lets the lamp light.
//! - [The relay is energized.](<wrong: key run, test pressed => K3 energized>) No interlock is made.
//! ```
//!
//! What follows a choice is its reason in the key. A section without a choice is text.

use crate::book::{Claim, ClaimId, Prose, Question, QuestionChoice, Role};
use crate::finding::{Code, Finding};
use crate::read::log::Log;
use crate::source::Span;
use pulldown_cmark::{Event, Tag, TagEnd};

/// What a section of a study page is: a question when its list holds claims.
pub fn role(prose: &Prose, claims: &[Claim], span: Span, log: &Log) -> Role {
    let mut question = Question { words: String::new(), choices: Vec::new() };
    let (mut in_list, mut in_link) = (false, false);
    let mut choice: Option<QuestionChoice> = None;
    for event in prose {
        match event {
            Event::Start(Tag::List(_)) => in_list = true,
            Event::End(TagEnd::Item) => question.choices.extend(choice.take()),
            Event::Start(Tag::Link { dest_url, .. }) if in_list => {
                let number = dest_url.strip_prefix("claim:").and_then(|number| number.parse().ok());
                if let Some(number) = number {
                    in_link = true;
                    choice = Some(QuestionChoice {
                        words: String::new(),
                        because: String::new(),
                        claim: ClaimId(number),
                    });
                }
            }
            Event::End(TagEnd::Link) => in_link = false,
            Event::Text(text) | Event::Code(text) => match &mut choice {
                Some(choice) if in_link => choice.words.push_str(text),
                Some(choice) => choice.because.push_str(text),
                None if !in_list => question.words.push_str(text),
                None => {}
            },
            Event::SoftBreak | Event::HardBreak => match &mut choice {
                Some(choice) if in_link => choice.words.push(' '),
                Some(choice) => choice.because.push(' '),
                None => question.words.push(' '),
            },
            _ => {}
        }
    }
    if question.choices.is_empty() {
        return Role::Text;
    }
    let wrong = |choice: &&QuestionChoice| claims[choice.claim.index()].refuted;
    let count = question.choices.iter().filter(wrong).count();
    if count == 0 || count + 1 != question.choices.len() {
        let headline = "a question has one choice that holds and at least one that does not";
        let finding = Finding::new(Code::BadStatement, span, headline);
        log.push(finding.hint("the right one is a link to `claim:`, each other one to `wrong:`"));
    }
    Role::Question(question)
}
