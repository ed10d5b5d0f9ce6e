//! Turns questions and faults with their computed answers into the study pack: a folder for students, without any answer,
//! and one for the instructor.
//!
//! ```text
//! Question ─> ask (words) ─┬─> paper  worksheet, test form A and B      ─> study/student
//!                          └─> paper  the key to each, grading sheet    ─> study/instructor
//! Lab ──────────────────────┬─> bench  a broken vehicle to work on       ─> study/student
//!                           ├─> bench  which number is which fault       ─> study/instructor
//!                           └─> reader what judges the files handed in   ─> study/instructor
//! ```
//!
//! Each folder stands alone: it has its own style sheet, and no page links out of it.

mod ask;
mod bench;
mod pack;
mod paper;
mod reader;
mod seal;

use super::Output;
use super::escape::slug;
use super::kit::Kit;
use crate::book::SheetId;
use crate::study::lab::Lab;
use crate::study::quiz::Question;
use rayon::prelude::*;
use serde::Serialize;

/// Where the folders lie in the book.
const STUDENT: &str = "study/student";
const INSTRUCTOR: &str = "study/instructor";
const READER: &str = "reader.html";

/// What each page of the pack is given beside its own view.
#[derive(Debug, Clone, Serialize)]
struct Head {
    language: String,
    title: String,
    book: String,
    vehicle: String,
    edition: String,
    stamp: String,
    draft: Option<usize>,
    /// CSS: the paper and what runs along its edges.
    paper: String,
    /// The page is for the instructor alone.
    key: bool,
}

/// The entry page of a folder.
#[derive(Debug, Clone, Serialize)]
struct Index {
    head: Head,
    sheets: Vec<SheetPages>,
    /// What judges the labs' files, in the instructor's folder.
    reader: Option<(String, String)>,
    /// What somebody who takes the student's folder apart gets out of it, told to the instructor.
    reach: Vec<String>,
}

/// What a folder has of one sheet.
#[derive(Debug, Clone, Serialize)]
struct SheetPages {
    title: String,
    /// File and words of each page.
    pages: Vec<(String, String)>,
}

/// All files of the study pack.
pub fn all(kit: &Kit, questions: &[Question], labs: &[Lab]) -> Vec<Output> {
    let sheets: Vec<SheetId> = (0..kit.book.sheets.len() as u32).map(SheetId).collect();
    let packs: Vec<Pack> =
        sheets.into_par_iter().filter_map(|sheet| pack_of(kit, sheet, questions, labs)).collect();
    let mut outputs = Vec::new();
    let (mut student, mut instructor) = (Vec::new(), Vec::new());
    for pack in packs {
        outputs.extend(pack.outputs);
        student.push(pack.student);
        instructor.push(pack.instructor);
    }
    for (folder, sheets, key) in [(STUDENT, student, false), (INSTRUCTOR, instructor, true)] {
        let title = kit.words.text(if key { "study.instructor" } else { "study.student" });
        let reader = (key && !labs.is_empty()).then(|| (READER.to_string(), kit.words.text("study.reader")));
        let reach = if key { reach(kit, !labs.is_empty()) } else { Vec::new() };
        let view = Index { head: head(kit, &title, key), sheets, reader, reach };
        let path = format!("{folder}/index.html");
        outputs.push(kit.templates.page("study-index.html", &path, &view));
        outputs.push(kit.templates.copy("study.css", &format!("{folder}/study.css")));
    }
    outputs.push(kit.templates.copy("study-lab.js", &format!("{STUDENT}/study-lab.js")));
    if !labs.is_empty() {
        outputs.push(reader::page(kit, &format!("{INSTRUCTOR}/{READER}"), labs));
        outputs.push(kit.templates.copy("study-reader.js", &format!("{INSTRUCTOR}/study-reader.js")));
    }
    outputs
}

/// What the student's folder gives away to somebody with a script, by how the author has it made.
fn reach(kit: &Kit, labs: bool) -> Vec<String> {
    let study = &kit.book.manual.study;
    let seed = if study.seed.is_some() { "study.reach-seed" } else { "study.reach-no-seed" };
    let lab = if study.exam { "study.reach-exam" } else { "study.reach-practice" };
    let told = [Some(seed), labs.then_some(lab)];
    told.into_iter().flatten().map(|word| kit.words.text(word)).collect()
}

/// The files of one sheet, and what each of the two folders has of it.
struct Pack {
    outputs: Vec<Output>,
    student: SheetPages,
    instructor: SheetPages,
}

/// None for a sheet that nothing is asked about.
fn pack_of(kit: &Kit, sheet: SheetId, questions: &[Question], labs: &[Lab]) -> Option<Pack> {
    let own = questions.iter().filter(|question| question.sheet == sheet);
    let own: Vec<&Question> = own.collect();
    if own.is_empty() {
        return None;
    }
    let forms = paper::forms(kit, sheet, &own);
    let of_sheet = |lab: &&Lab| kit.book.page(lab.page).sheet == Some(sheet);
    let labs: Vec<&Lab> = labs.iter().filter(of_sheet).collect();
    let title = &kit.book.sheets[sheet.index()].title;
    let id = slug(&kit.book.sheets[sheet.index()].id);
    let mut outputs = Vec::new();
    let mut folder_has = |folder: &str, key: bool| {
        let mut pages = Vec::new();
        for form in &forms {
            let name = format!("{id}-{}.html", form.name);
            outputs.push(paper::page(kit, &format!("{folder}/{name}"), form, key));
            pages.push((name, form.words.clone()));
        }
        for &lab in &labs {
            let name = bench::name(kit, lab);
            let path = format!("{folder}/{name}");
            let (page, words) = match key {
                true => (bench::key(kit, &path, lab), "study.lab-key"),
                false => (bench::page(kit, &path, lab), "study.lab"),
            };
            outputs.push(page);
            pages.push((name, kit.words.text(words)));
        }
        SheetPages { title: title.clone(), pages }
    };
    let student = folder_has(STUDENT, false);
    let mut instructor = folder_has(INSTRUCTOR, true);
    let name = format!("{id}-grading.html");
    outputs.push(paper::grading(kit, &format!("{INSTRUCTOR}/{name}"), sheet, &forms));
    instructor.pages.push((name, kit.words.text("study.grading")));
    Some(Pack { outputs, student, instructor })
}

fn head(kit: &Kit, title: &str, key: bool) -> Head {
    let manual = &kit.book.manual;
    Head {
        language: kit.words.language().to_string(),
        title: title.to_string(),
        book: manual.title.clone(),
        vehicle: manual.vehicle.clone(),
        edition: manual.edition.clone(),
        stamp: kit.stamp.to_string(),
        draft: kit.draft,
        paper: super::sheet::paper_css(kit, title),
        key,
    }
}
