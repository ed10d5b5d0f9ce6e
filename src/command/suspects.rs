//! `goodground suspects`: says which faults give what was seen on a vehicle, and what to look at next.

use super::arguments::{Format, Suspects};
use super::draft::sheet;
use super::say::{say, tell, width};
use super::{Failure, Outcome, folder};
use crate::book::{Book, BuildId, PageId};
use crate::draft::suspects::{Answer, Next, Question, Suspected, Test};
use crate::draft::title;
use crate::proof::{Fleet, steps};
use crate::quantity::percent;
use crate::report::{self, Look, wrap};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// So many items are told; JSON has all.
const TOLD: usize = 12;

/// Runs the command. It ends with 1 where nothing fits.
pub fn run(arguments: &Suspects) -> Result<Outcome, Failure> {
    let mut folder = folder::read(&arguments.common.book)?;
    let images: Vec<String> = folder.images.keys().cloned().collect();
    let saw = arguments.saw.iter().map(|saw| folder.sources.add("saw", saw.as_str())).collect::<Vec<_>>();
    let (book, sightings, findings) = crate::read::sightings(&folder.sources, &images, &saw);
    let findings = findings.sorted();
    if !findings.is_empty() {
        tell(report::findings(&findings, &folder.sources, Look { color: false, width: width() }));
        return Ok(Outcome::Failed);
    }
    let page = checkout(&book, &arguments.sheet)?;
    let steps = steps::steps(book.page(page), page).len();
    if let Some(beyond) = sightings.iter().find(|sighting| sighting.step == 0 || sighting.step > steps) {
        let path = &book.page(page).path;
        return Err(Failure(format!("there is no step {}: {path} has steps 1 to {steps}", beyond.step)));
    }
    let builds = builds(&book, arguments.build.as_deref())?;
    let fleet = Fleet::of(&book);
    let question = Question { book: &book, fleet: &fleet, page, builds: &builds, sightings: &sightings };
    let answer = question.answer();
    let told = Told { book: &book, page, builds: &builds, saw: &arguments.saw, width: width() };
    match arguments.common.format {
        Format::Json => say(format_args!("{:#}\n", told.object(&answer)))?,
        Format::Text => say(told.text(&answer))?,
    }
    if !book.unread.is_empty() {
        tell("goodground: not all of the book could be read; `goodground prove` says what is wrong there");
    }
    Ok(if answer.next == Next::None && !answer.healthy { Outcome::Findings } else { Outcome::Clean })
}

/// The checkout that is meant: a page by its path, or the one that is about a sheet.
fn checkout(book: &Book, name: &str) -> Result<PageId, Failure> {
    let pages = steps::checkouts(book);
    let path = |page: &PageId| book.page(*page).path.as_str();
    if let Some(&page) = pages
        .iter()
        .find(|page| path(page).trim_start_matches("content/") == name.trim_start_matches("content/"))
    {
        return Ok(page);
    }
    let sheet = sheet(book, name)?;
    let about: Vec<PageId> = pages.into_iter().filter(|&page| book.page(page).sheet == Some(sheet)).collect();
    match about.as_slice() {
        [] => Err(Failure(format!("no checkout of the book is about `{name}`"))),
        [page] => Ok(*page),
        several => {
            let paths: Vec<&str> = several.iter().map(path).collect();
            Err(Failure(format!("several checkouts are about `{name}`; name one of {}", paths.join(", "))))
        }
    }
}

/// The builds that have all of some choices: `gearbox manual, cab long`.
fn builds(book: &Book, chosen: Option<&str>) -> Result<Vec<BuildId>, Failure> {
    let all = (0..book.builds.len() as u32).map(BuildId);
    let wanted: Vec<&str> =
        chosen.unwrap_or_default().split(',').map(str::trim).filter(|piece| !piece.is_empty()).collect();
    let has = |build: &BuildId| {
        let name = book.build_name(*build);
        let pieces: Vec<&str> = name.split(", ").collect();
        wanted.iter().all(|piece| pieces.contains(piece))
    };
    let found: Vec<BuildId> = all.clone().filter(has).collect();
    if found.is_empty() {
        let names: Vec<String> = all.map(|build| book.build_name(build)).collect();
        return Err(Failure(format!(
            "no build is `{}`; the book has {}",
            chosen.unwrap_or_default(),
            names.join("; ")
        )));
    }
    Ok(found)
}

/// What the words of an answer need.
struct Told<'a> {
    book: &'a Book,
    page: PageId,
    builds: &'a [BuildId],
    saw: &'a [String],
    width: usize,
}

impl Told<'_> {
    fn text(&self, answer: &Answer) -> String {
        let mut text = String::new();
        let mut line = |indent: usize, words: &str| {
            for (at, part) in wrap(words, self.width - indent).iter().enumerate() {
                let more = if at > 0 { 2 } else { 0 };
                text.push_str(&format!("{:indent$}{part}\n", "", indent = indent + more));
            }
        };
        if answer.healthy {
            line(
                0,
                match self.saw.is_empty() {
                    true => "Nothing was seen yet.",
                    false => "A vehicle without a fault shows all of this, too.",
                },
            );
        } else if answer.suspects.is_empty() {
            line(0, "No single fault gives all that was seen.");
            for &index in &answer.doubtful {
                line(2, &format!("Some would without: {}", self.saw[index]));
            }
            line(0, "Look again, or think of two faults at once, or of a part that the book does not have.");
        } else {
            line(
                0,
                match answer.suspects.len() {
                    1 => "One item gives all that was seen:".to_string(),
                    items => format!("{items} items give all that was seen, by share:"),
                }
                .as_str(),
            );
            for one in answer.suspects.iter().take(TOLD) {
                line(2, &format!("{:>7}  {}", percent(one.share), self.suspected(one)));
            }
            if let Some(more) = answer.suspects.len().checked_sub(TOLD + 1) {
                line(2, &format!("and {} more", more + 1));
            }
        }
        if answer.suspects.len() > 1 && !answer.suspects.iter().all(|one| self.is_everywhere(one)) {
            let name = self.book.build_name(self.builds[0]);
            line(
                0,
                &format!(
                    "Fewer would fit if it were said which vehicle this is, such as --build \"{name}\"."
                ),
            );
        }
        match &answer.next {
            Next::Step(number) => {
                let (place, step) = steps::steps(self.book.page(self.page), self.page)[number - 1];
                line(0, &format!("Next: step {number}, {}", title(&self.book.section(place).title)));
                for act in &step.acts {
                    line(2, &format!("Do: {}", self.book.step_line().act(act)));
                }
                for expect in &step.expects {
                    line(
                        2,
                        &format!("Expect: {}", self.book.step_line().expect(expect.subject, &expect.look)),
                    );
                }
                line(2, &format!("--saw \"step {number} good\", or what is seen instead:"));
                if let Some(expect) = step.expects.first() {
                    line(
                        2,
                        &format!(
                            "--saw \"step {number}: {} …\"",
                            self.book.step_line().subject(expect.subject)
                        ),
                    );
                }
            }
            Next::Test(test) => {
                let subject = self.book.step_line().subject(test.trial.subject);
                let looked =
                    if test.trial.lead.is_some() { String::new() } else { format!(", look at {subject}") };
                line(0, &format!("Next: {}{looked}", self.doing(test)));
                for (look, left) in &test.answers {
                    let left =
                        if *left == 1 { "one is left".to_string() } else { format!("{left} are left") };
                    line(
                        2,
                        &match look {
                            Some(look) => format!(
                                "--saw \"{}: {}\"   {left}",
                                self.doing(test),
                                self.book.step_line().expect(test.trial.subject, look)
                            ),
                            None => format!("{subject} shows anything else: say what; {left}"),
                        },
                    );
                }
                if test.trial.outcomes.contains(&None) {
                    line(2, "With some of them this test does harm or cannot be done; they stay.");
                }
            }
            Next::Found => {
                let name = self.book.item_name(answer.suspects[0].item);
                line(
                    0,
                    &format!("Only {name} is left. Test it, or mend it, and go through the checkout again."),
                );
            }
            Next::Together => line(
                0,
                "No safe test tells these apart. Begin with the likeliest, and go through the checkout again.",
            ),
            Next::None if answer.healthy => line(
                0,
                "Every step was seen. If a complaint remains, it comes and goes, or is none of this checkout's.",
            ),
            Next::None => {}
        }
        line(0, "Follow the cautions of the book's pages; the vehicle maker's instructions come first.");
        text
    }

    /// `step 3; unplug K4; test light from K4:86 to ground`, as a sighting begins.
    fn doing(&self, test: &Test) -> String {
        let acts = test.trial.setup.iter().chain(&test.trial.lead);
        let acts: Vec<String> = acts.map(|act| self.book.step_line().act(act)).collect();
        [vec![format!("step {}", test.step)], acts].concat().join("; ")
    }

    fn suspected(&self, one: &Suspected) -> String {
        let only = match self.is_everywhere(one) {
            true => String::new(),
            false => format!(" (only {})", self.names(&one.builds).join("; or ")),
        };
        format!("{}{only}", self.faults(one).join(", "))
    }

    fn faults(&self, one: &Suspected) -> Vec<&str> {
        one.faults.iter().map(|&fault| self.book.fault(fault).name.as_str()).collect()
    }

    /// Whether it fits in every build that the vehicle may be.
    fn is_everywhere(&self, one: &Suspected) -> bool {
        one.builds.len() == self.builds.len()
    }

    fn names(&self, builds: &BTreeSet<BuildId>) -> Vec<String> {
        builds.iter().map(|&build| self.book.build_name(build)).collect()
    }

    fn object(&self, answer: &Answer) -> Value {
        let line = self.book.step_line();
        let suspects = answer.suspects.iter().map(|one| {
            json!({
                "item": self.book.item_name(one.item),
                "share": one.share,
                "faults": self.faults(one),
                "builds": self.names(&one.builds),
            })
        });
        let next = match &answer.next {
            Next::Step(number) => json!({ "do": format!("step {number}") }),
            Next::Test(test) => {
                let answers = test.answers.iter().map(|(look, left)| {
                    let saw = look.as_ref().map(|look| {
                        format!("{}: {}", self.doing(test), line.expect(test.trial.subject, look))
                    });
                    json!({ "saw": saw, "left": left })
                });
                json!({
                    "do": self.doing(test),
                    "read": line.subject(test.trial.subject),
                    "seconds": test.trial.seconds,
                    "answers": answers.collect::<Vec<_>>(),
                })
            }
            _ => Value::Null,
        };
        let doubtful: Vec<&String> = answer.doubtful.iter().map(|&index| &self.saw[index]).collect();
        json!({
            "healthy": answer.healthy,
            "suspects": suspects.collect::<Vec<_>>(),
            "doubtful": doubtful,
            "next": next,
        })
    }
}
