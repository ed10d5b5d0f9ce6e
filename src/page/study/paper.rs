//! Turns a sheet's questions into paper: a worksheet, two forms of a test, the key to each, and a grading sheet.

use super::super::Output;
use super::super::kit::Kit;
use super::ask::Asker;
use super::{Head, head};
use crate::book::{Page, Role, SheetId};
use crate::draw::Use;
use crate::source::Span;
use crate::study::quiz::{Lot, Question, hash, seed};
use serde::Serialize;

/// A set of questions for paper.
pub struct Form {
    /// Part of the file's name.
    pub name: &'static str,
    /// What it is called.
    pub words: String,
    pub sheet: SheetId,
    pub items: Vec<Asked>,
}

/// A question as it is printed.
#[derive(Debug, Clone, Serialize)]
pub struct Asked {
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
    Key(&'a Asked),
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
    let (pinned, rest) = wished(kit, sheet, questions);
    let quarter = rest.len() / 4;
    let cuts = [
        ("worksheet", "study.worksheet", 0..2 * quarter),
        ("test-a", "study.test-a", 2 * quarter..3 * quarter),
        ("test-b", "study.test-b", 3 * quarter..4 * quarter),
    ];
    let asker = Asker { kit };
    cuts.into_iter()
        .map(|(name, words, cut)| {
            let mut own = rest[cut].to_vec();
            let worksheet = name == "worksheet";
            if worksheet {
                own.extend(&pinned);
            }
            own.sort_by_key(|question| (question.level(), question.sort));
            let authored = if worksheet { authored(kit, sheet) } else { Vec::new() };
            let generated = own.into_iter().map(|question| item(&asker, question));
            let mut items: Vec<Asked> = authored.into_iter().chain(generated).collect();
            for (at, item) in items.iter_mut().enumerate() {
                item.number = at + 1;
            }
            Form { name, words: kit.words.text(words), sheet, items }
        })
        .collect()
}

/// The questions that the author's study pages pin, and the others without those that they drop.
fn wished<'q>(
    kit: &Kit,
    sheet: SheetId,
    questions: &[&'q Question],
) -> (Vec<&'q Question>, Vec<&'q Question>) {
    let pages = kit.book.pages.iter().filter(|page| page.sheet == Some(sheet));
    let is = |question: &Question, list: fn(&Page) -> &Vec<(String, Span)>| {
        pages.clone().any(|page| list(page).iter().any(|(id, _)| *id == question.id))
    };
    let kept = questions.iter().copied().filter(|question| !is(question, |page| &page.drop));
    kept.partition(|question| is(question, |page| &page.pin))
}

/// The author's own questions about a sheet.
fn authored(kit: &Kit, sheet: SheetId) -> Vec<Asked> {
    let mut items = Vec::new();
    for page in kit.book.pages.iter().filter(|page| page.sheet == Some(sheet)) {
        for section in &page.sections {
            let Role::Question(question) = &section.role else {
                continue;
            };
            let id = format!("{}#{}", page.path, section.anchor);
            let choices = question.choices.iter().map(|choice| {
                let right = !kit.book.claims[choice.claim.index()].refuted;
                (choice.words.clone(), right, choice.because.trim().to_string())
            });
            let (choices, right) = lettered(kit, &id, choices.collect());
            items.push(Asked {
                number: 0,
                level: 2,
                points: 2,
                build: None,
                state: Vec::new(),
                question: format!("{} {}", section.title, question.words).trim().to_string(),
                right,
                choices,
                reference: page.title.clone(),
                id,
            });
        }
    }
    items
}

/// Choices with their letters, and the right one's letter. Their order is drawn with the book's seed, so that a question's name
/// does not lead to its answer.
fn lettered(kit: &Kit, id: &str, mut choices: Vec<(String, bool, String)>) -> (Vec<Choice>, String) {
    Lot::new(seed(kit.book) ^ hash(id), "choices").shuffle(&mut choices);
    let choices: Vec<Choice> = choices
        .into_iter()
        .zip('A'..)
        .map(|((text, right, because), letter)| Choice { letter: letter.to_string(), text, right, because })
        .collect();
    let right = choices.iter().find(|choice| choice.right);
    let letter = right.map_or_else(String::new, |choice| choice.letter.clone());
    (choices, letter)
}

fn item(asker: &Asker, question: &Question) -> Asked {
    let choices = question.choices.iter().enumerate().map(|(at, choice)| {
        let text = asker.choice(question, &choice.answer);
        (text, at == 0, asker.because(question, &choice.because))
    });
    let (choices, right) = lettered(asker.kit, &question.id, choices.collect());
    Asked {
        number: 0,
        id: question.id.clone(),
        level: question.level(),
        points: question.level(),
        build: asker.build(question),
        state: asker.state(question),
        question: asker.question(question),
        right,
        choices,
        reference: asker.reference(question),
    }
}

fn points(items: &[Asked]) -> usize {
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
        drawing: (!key).then(|| kit.drawings.svg(kit.say(), form.sheet, None, Use::Still)),
        items: form.items.iter().map(printed).collect(),
        points: points(&form.items),
    };
    kit.templates.page("study-paper.html", path, &view)
}

fn open(item: &Asked) -> Open<'_> {
    Open {
        number: item.number,
        points: item.points,
        build: &item.build,
        state: &item.state,
        question: &item.question,
        choices: item
            .choices
            .iter()
            .map(|choice| OpenChoice { letter: &choice.letter, text: &choice.text })
            .collect(),
    }
}

/// The grading sheet of a sheet's forms: the right letters along the top, a row for each student.
pub fn grading(kit: &Kit, path: &str, sheet: SheetId, forms: &[Form]) -> Output {
    let title = kit.book.sheets[sheet.index()].title.clone();
    let forms = forms.iter().map(|form| GradingForm {
        words: form.words.clone(),
        items: form.items.iter().map(|item| (item.number, item.right.clone(), item.points)).collect(),
        points: points(&form.items),
    });
    let view = Grading {
        head: head(kit, &format!("{title}: {}", kit.words.text("study.grading")), true),
        sheet: title,
        forms: forms.collect(),
        rows: ROWS,
    };
    kit.templates.page("study-grading.html", path, &view)
}
