//! Turns a sheet's questions into paper: a worksheet, two forms of a test, the key to each, and a grading sheet.

use super::super::Output;
use super::super::kit::Kit;
use super::ask::Asker;
use super::{Head, head};
use crate::book::SheetId;
use crate::proof::quiz::{Lot, Question, hash};
use serde::Serialize;

/// A set of questions for paper.
pub struct Form {
    /// Part of the file's name.
    pub name: &'static str,
    /// What it is called.
    pub words: String,
    pub sheet: SheetId,
    pub items: Vec<Item>,
}

/// A question as it is printed.
#[derive(Debug, Clone, Serialize)]
pub struct Item {
    pub number: usize,
    pub id: String,
    pub level: u8,
    pub points: u8,
    pub build: Option<String>,
    pub state: Vec<String>,
    pub question: String,
    pub choices: Vec<Choice>,
    /// The right choice's letter and where it is explained: the key alone prints them.
    pub right: String,
    pub reference: String,
}

/// A choice with its letter.
#[derive(Debug, Clone, Serialize)]
pub struct Choice {
    pub letter: String,
    pub text: String,
    pub right: bool,
    pub because: String,
}

#[derive(Debug, Clone, Serialize)]
struct Paper<'a> {
    head: Head,
    sheet: String,
    form: String,
    /// SVG of the circuit: what the questions are answered from.
    drawing: Option<String>,
    items: Vec<Printed<'a>>,
    points: usize,
}

/// What a page shows of a question: a student's has no more than this, whatever a template prints.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
enum Printed<'a> {
    Key(&'a Item),
    Open(Open<'a>),
}

#[derive(Debug, Clone, Serialize)]
struct Open<'a> {
    number: usize,
    points: u8,
    build: &'a Option<String>,
    state: &'a [String],
    question: &'a str,
    choices: Vec<OpenChoice<'a>>,
}

#[derive(Debug, Clone, Serialize)]
struct OpenChoice<'a> {
    letter: &'a str,
    text: &'a str,
}

#[derive(Debug, Clone, Serialize)]
struct Grading {
    head: Head,
    sheet: String,
    forms: Vec<GradingForm>,
    rows: usize,
}

#[derive(Debug, Clone, Serialize)]
struct GradingForm {
    words: String,
    /// Number, right letter and points of each question.
    items: Vec<(usize, String, u8)>,
    points: usize,
}

/// Rows for students on a grading sheet.
const ROWS: usize = 16;

/// Deals a sheet's questions out: half to the worksheet, a quarter to either form. They were drawn with all kinds in turn, so
/// that the two forms ask for the same.
pub fn forms(kit: &Kit, sheet: SheetId, questions: &[&Question]) -> Vec<Form> {
    let quarter = questions.len() / 4;
    let cuts = [
        ("worksheet", "study.worksheet", 0..2 * quarter),
        ("test-a", "study.test-a", 2 * quarter..3 * quarter),
        ("test-b", "study.test-b", 3 * quarter..4 * quarter),
    ];
    let asker = Asker { kit };
    cuts.into_iter()
        .map(|(name, words, cut)| {
            let mut own = questions[cut].to_vec();
            own.sort_by_key(|question| (question.level(), question.sort));
            Form {
                name,
                words: kit.words.text(words),
                sheet,
                items: own
                    .into_iter()
                    .enumerate()
                    .map(|(at, question)| item(&asker, at + 1, question))
                    .collect(),
            }
        })
        .collect()
}

fn item(asker: &Asker, number: usize, question: &Question) -> Item {
    let mut order: Vec<usize> = (0..question.choices.len()).collect();
    Lot::new(hash(&question.id), "choices").shuffle(&mut order);
    let choices: Vec<Choice> = order
        .into_iter()
        .zip('A'..)
        .map(|(at, letter)| Choice {
            letter: letter.to_string(),
            text: asker.choice(question, &question.choices[at].answer),
            right: at == 0,
            because: asker.because(question, &question.choices[at].because),
        })
        .collect();
    let right = choices.iter().find(|choice| choice.right);
    Item {
        number,
        id: question.id.clone(),
        level: question.level(),
        points: question.level(),
        build: asker.build(question),
        state: asker.state(question),
        question: asker.question(question),
        right: right.map_or_else(String::new, |choice| choice.letter.clone()),
        choices,
        reference: asker.reference(question),
    }
}

fn points(items: &[Item]) -> usize {
    items.iter().map(|item| usize::from(item.points)).sum()
}

/// A form as a page, for a student or with its key.
pub fn page(kit: &Kit, path: &str, form: &Form, key: bool) -> Output {
    let sheet = kit.book.sheets[form.sheet.index()].title.clone();
    let words = match key {
        true => kit.words.fill("study.key-to", &[("form", &form.words)]),
        false => form.words.clone(),
    };
    let printed = |item| match key {
        true => Printed::Key(item),
        false => Printed::Open(open(item)),
    };
    let view = Paper {
        head: head(kit, &format!("{sheet}: {words}"), key),
        sheet,
        form: words,
        drawing: (!key).then(|| kit.drawings.svg(kit.book, form.sheet, None)),
        items: form.items.iter().map(printed).collect(),
        points: points(&form.items),
    };
    kit.templates.page("study-paper.html", path, &view)
}

fn open(item: &Item) -> Open<'_> {
    Open {
        number: item.number,
        points: item.points,
        build: &item.build,
        state: &item.state,
        question: &item.question,
        choices: item
            .choices
            .iter()
            .map(|choice| OpenChoice {
                letter: &choice.letter,
                text: &choice.text,
            })
            .collect(),
    }
}

/// The grading sheet of a sheet's forms: the right letters along the top, a row for each student.
pub fn grading(kit: &Kit, path: &str, sheet: SheetId, forms: &[Form]) -> Output {
    let title = kit.book.sheets[sheet.index()].title.clone();
    let forms = forms.iter().map(|form| GradingForm {
        words: form.words.clone(),
        items: form
            .items
            .iter()
            .map(|item| (item.number, item.right.clone(), item.points))
            .collect(),
        points: points(&form.items),
    });
    let view = Grading {
        head: head(
            kit,
            &format!("{title}: {}", kit.words.text("study.grading")),
            true,
        ),
        sheet: title,
        forms: forms.collect(),
        rows: ROWS,
    };
    kit.templates.page("study-grading.html", path, &view)
}
