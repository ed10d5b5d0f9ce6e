//! Turns `content/manual.toml` into the manual's settings, its option groups and the builds they allow.

use super::condition::{self, Speaker};
use super::fitted::holds;
use super::index::Index;
use super::key::{Key, Takes};
use super::limit;
use super::log::Log;
use super::table::{Origin, Table, parse};
use crate::book::{Book, Build, Condition, Manual, OptionGroup, Paper, Study};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, Dimension, Volt};
use crate::source::{FileId, Placed, Span};

/// Where a book keeps its settings.
pub const PATH: &str = "content/manual.toml";

/// The fewest letters of a class's seed: eight small letters are two hundred thousand million.
const SEED: usize = 8;

/// What `content/manual.toml` has.
pub const MANUAL: &[Key] = &[
    Key::must("title", Takes::Text, r#""Electrical service manual""#, "The book's title."),
    Key::must("vehicle", Takes::Text, r#""Larkspur 19""#, "The vehicle, boat or machine it is for."),
    Key::must("edition", Takes::Text, r#""First edition""#, "Which edition it is, printed on every page."),
    Key::may(
        "language",
        Takes::Text,
        "English",
        r#""en""#,
        "The language of the words that the program adds: `templates/strings/LANGUAGE.toml` in the book's folder.",
    ),
    Key::may(
        "paper",
        Takes::Word(|| PAPERS.iter().map(|(word, _)| *word).collect()),
        "A4",
        r#""Letter""#,
        "The size of printed sheets.",
    ),
    Key::may(
        "pages",
        Takes::Texts,
        "by name",
        r#"["lift.md", "lift-checkout.md"]"#,
        "The pages in their order.",
    ),
    Key::may(
        "options",
        Takes::Each("an option's id", "gearbox", &Takes::Table(OPTION)),
        "all vehicles are alike",
        r#"{ gearbox = { name = "Gearbox", choices = ["manual", "automatic"] } }"#,
        "In what vehicles of the book differ: a build is one choice of each.",
    ),
    Key::may(
        "exclude",
        Takes::List(&Takes::Condition),
        "every combination of choices is built",
        r#"["gearbox manual and lift none"]"#,
        "Combinations of choices that no vehicle has.",
    ),
    Key::may(
        "proof",
        Takes::Table(PROOF),
        "each value below has its own",
        r#"{ supply = "11.5..14.4 V", temperature = "25 degC" }"#,
        "Between which ends everything is proved.",
    ),
    Key::may(
        "study",
        Takes::Table(STUDY),
        "the study pack is the same for all classes",
        r#"{ seed = "spring class 2031", exam = true }"#,
        "What an instructor sets for a class.",
    ),
];

const OPTION: &[Key] = &[
    Key::may("name", Takes::Text, "its id", r#""Gearbox""#, "What a person calls it."),
    Key::must(
        "choices",
        Takes::Texts,
        r#"["manual", "automatic"]"#,
        "What there is to choose from, two or more.",
    ),
];

const PROOF: &[Key] = &[SUPPLY, TEMPERATURE];

const SUPPLY: Key = Key::usually(
    "supply",
    Takes::Range(Dimension::Potential),
    ("11.5..14.4 V", "a 12 V vehicle from a tired battery to full charge"),
    r#""11.5..14.4 V""#,
    "The lowest and the highest voltage of the battery.",
);

const TEMPERATURE: Key = Key::usually(
    "temperature",
    Takes::Quantity(Dimension::Temperature),
    ("25 degC", "common practice, no source"),
    r#""25 degC""#,
    "The temperature of all conductors.",
);

const STUDY: &[Key] = &[
    Key::may(
        "seed",
        Takes::Text,
        "questions and numbers are drawn from the book alone",
        r#""spring class 2031""#,
        "What a class's questions and numbers are drawn with: eight letters or more, and kept secret.",
    ),
    Key::may(
        "exam",
        Takes::Flag,
        "students see what is right at once",
        "true",
        "Whether the pack is an exam.",
    ),
];

const PAPERS: [(&str, Paper); 2] = [("A4", Paper::A4), ("Letter", Paper::Letter)];

/// What the manual is before its file has been read.
pub fn unnamed() -> Manual {
    let supply = Amount::parse_band(SUPPLY.usual()).expect("a band is declared");
    let temperature = Amount::parse(TEMPERATURE.usual()).expect("a quantity is declared");
    Manual {
        title: "Untitled".to_string(),
        vehicle: String::new(),
        edition: String::new(),
        language: "en".to_string(),
        paper: Paper::A4,
        supply: supply.map(|amount| Volt(amount.value)),
        temperature: temperature.value,
        study: Study::default(),
        file: None,
    }
}

/// Reads the manual's settings into the book and returns the pages in the author's order.
pub fn read(book: &mut Book, index: &mut Index, log: &Log) -> Vec<Placed<String>> {
    let Some(file) = log.sources.find(PATH) else {
        if let Some((first, _)) = log.sources.iter().next() {
            let finding =
                Finding::new(Code::MissingKey, Span::new(first, 0..0), format!("the book has no `{PATH}`"));
            log.push(finding.hint("it holds the title, the vehicle, the edition and the options"));
        }
        book.builds = vec![Build { choices: Vec::new() }];
        return Vec::new();
    };
    let origin = Origin { file, offset: 0 };
    let document = parse(log.text(file), origin, log);
    let table = Table::root(&document, origin, "the manual", MANUAL);
    let pages = settings(&table, file, &mut book.manual, log);
    options(&table, book, index, log);
    builds(&table, book, index, log);
    table.close(log);
    pages
}

fn settings(table: &Table, file: FileId, manual: &mut Manual, log: &Log) -> Vec<Placed<String>> {
    manual.file = Some(file);
    let text = |key, into: &mut String| {
        if let Some(text) = table.needed_text(key, log) {
            *into = text.value;
        }
    };
    text("title", &mut manual.title);
    text("vehicle", &mut manual.vehicle);
    text("edition", &mut manual.edition);
    if let Some(language) = table.text("language", log) {
        manual.language = language.value;
    }
    if let Some(paper) = table.text("paper", log) {
        let known = PAPERS.iter().map(|(word, _)| *word);
        match PAPERS.iter().find(|(word, _)| *word == paper.value) {
            Some((_, found)) => manual.paper = *found,
            None => log.unknown(Code::WrongType, paper.span, "paper", &paper, known),
        }
    }
    if let Some(proof) = table.table("proof", log) {
        if let Some(supply) = proof.band("supply", log) {
            if supply.low.value > 0.0 {
                manual.supply = supply.value.map(|amount: Amount| Volt(amount.value));
            } else {
                log.error(Code::OutOfRange, supply.span, "the supply must be above 0 V");
            }
        }
        if let Some(temperature) = proof.quantity("temperature", log) {
            manual.temperature = temperature.value.value;
        }
        proof.close(log);
    }
    if let Some(study) = table.table("study", log) {
        manual.study = Study { seed: seed(&study, log), exam: study.flag("exam", log) };
        study.close(log);
    }
    table.texts("pages", log)
}

/// What a class's questions and numbers are drawn with. A seed that is soon guessed is no seed.
fn seed(study: &Table, log: &Log) -> Option<String> {
    let seed = study.text("seed", log)?;
    if seed.trim().chars().count() < SEED {
        log.error(
            Code::OutOfRange,
            seed.span,
            format!("a seed needs {SEED} letters or more, so that nobody tries them all"),
        );
        return None;
    }
    Some(seed.value)
}

fn options(table: &Table, book: &mut Book, index: &mut Index, log: &Log) {
    let Some(groups) = table.table("options", log) else {
        return;
    };
    for (id, value) in groups.entries() {
        if !index.claim_setting(&id, log) {
            continue;
        }
        let Some(group) = groups.inside(&value, id.span, format!("the option group `{}`", id.value), log)
        else {
            index.lost.insert(id.value);
            continue;
        };
        let name = group.text("name", log).map(|name| name.value);
        let choices = group.texts("choices", log);
        if choices.is_empty() {
            group.missing("choices", log);
        }
        group.close(log);
        if choices.is_empty() {
            index.lost.insert(id.value);
            continue;
        }
        index.options.insert(id.value.clone(), book.options.len());
        book.options.push(OptionGroup {
            name: name.unwrap_or_else(|| id.value.clone()),
            span: id.span,
            id: id.value,
            choices: distinct(choices, "choice", log),
        });
    }
}

/// The names, with a finding for each that stands twice.
pub fn distinct(mut names: Vec<Placed<String>>, what: &str, log: &Log) -> Vec<String> {
    if let Some(beyond) = names.get(limit::CHOICES) {
        limit::exceed(log, beyond.span, "the list is too long", limit::CHOICES);
        names.truncate(limit::CHOICES);
    }
    let mut kept: Vec<Placed<String>> = Vec::new();
    for name in names {
        match kept.iter().find(|other| other.value == name.value) {
            Some(first) => log.push(
                Finding::new(
                    Code::DuplicateId,
                    name.span,
                    format!("the {what} `{}` stands twice", name.value),
                )
                .label(first.span, "first here"),
            ),
            None => kept.push(name),
        }
    }
    kept.into_iter().map(|name| name.value).collect()
}

/// Every combination of choices but those that the manual excludes, the last group changing fastest.
fn builds(table: &Table, book: &mut Book, index: &Index, log: &Log) {
    let mut builds = vec![Build { choices: Vec::new() }];
    for group in &book.options {
        if builds.len() * group.choices.len() > limit::BUILDS {
            limit::exceed(log, group.span, "with this option there are too many combinations", limit::BUILDS);
            break;
        }
        builds = builds
            .iter()
            .flat_map(|build| {
                (0..group.choices.len() as u16).map(|choice| {
                    let mut choices = build.choices.clone();
                    choices.push(choice);
                    Build { choices }
                })
            })
            .collect();
    }
    let excluded: Vec<(Condition, Span)> = table
        .texts("exclude", log)
        .iter()
        .filter_map(|text| Some((condition::read(text, Speaker::Fitting, book, index, log)?, text.span)))
        .collect();
    let kept: Vec<Build> = builds
        .into_iter()
        .filter(|build| !excluded.iter().any(|(condition, _)| holds(condition, build)))
        .collect();
    book.builds = match (kept.is_empty(), excluded.last()) {
        (true, Some((_, span))) => {
            log.error(Code::OutOfRange, *span, "no build is left: every combination of options is excluded");
            vec![Build { choices: vec![0; book.options.len()] }]
        }
        _ => kept,
    };
}
