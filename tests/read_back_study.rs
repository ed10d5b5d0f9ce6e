//! Reads worksheets, tests, keys, grading sheets and labs back from the study pack, and holds questions, answers and marks
//! against vehicles on the bench.

use crate::printed::html::Element;
use crate::printed::words::{self, fill, text};
use crate::printed::{Printed, packs, rigs};
use crate::study::{by_hand, right_choices};
use goodground::bench::{Bench, Carrier, Reading, Rig};
use goodground::book::*;
use goodground::proof::corners::middle;
use goodground::proof::reasons::Way;
use goodground::proof::script::stated;
use goodground::proof::{statements, steps};
use goodground::study::lab::{Lab, PATIENCE, Planted};
use goodground::study::quiz::{Answer, Ask, Because, Question, Said, Variation};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};

const STUDENT: &str = "study/student";
const INSTRUCTOR: &str = "study/instructor";
const FORMS: [(&str, &str); 3] =
    [("worksheet", "study.worksheet"), ("test-a", "study.test-a"), ("test-b", "study.test-b")];

// ---- Words of questions, written apart from the program's.

fn place(book: &Book, place: Place) -> String {
    format!("{}, {}", book.page(place.page).title, book.section(place).title)
}

fn fault(book: &Book, id: FaultId) -> String {
    let fault = book.fault(id);
    match fault.item {
        Item::Part(part) => format!("{} ({})", fault.name, book.part(part).name),
        _ => fault.name.clone(),
    }
}

fn results(book: &Book, at: Place, which: &[usize]) -> String {
    let Role::Step(step) = &book.section(at).role else { panic!("no step") };
    let results: Vec<String> = which.iter().map(|&at| words::expect(book, &step.expects[at])).collect();
    results.join("; ")
}

fn variation(book: &Book, variation: Variation) -> String {
    let part = |key: &str, part: PartId| fill(key, &[("part", &words::part(book, part))]);
    match variation {
        Variation::Moved(control, to) => words::setting(book, control, to),
        Variation::Part(of, Way::TakenOut) => part("setup.without", of),
        Variation::Part(of, Way::Bridged) => part("setup.bridged", of),
        Variation::InPlace(of) => part("study.in-place", of),
        Variation::Lead(point) => fill("study.lead-at", &[("point", &words::point(book, point))]),
    }
}

/// A subject by its id alone.
fn short(book: &Book, subject: Subject) -> String {
    match subject {
        Subject::Instrument(tool) => words::tool(tool).to_string(),
        other => book.step_line().subject(other),
    }
}

fn shows(book: &Book, subject: Subject, reading: &Reading) -> String {
    format!("{}: {}", short(book, subject), words::reading(book, subject, reading))
}

fn said(book: &Book, said: &Said, reading: &Reading) -> String {
    let shows = shows(book, said.subject, reading);
    match said.of {
        None => shows,
        Some(of) => fill("study.said-of", &[("variation", &variation(book, of)), ("shows", &shows)]),
    }
}

fn ways(book: &Book, carriers: &[Carrier]) -> String {
    words::carriers(book, carriers.iter().copied()).join(" → ")
}

fn ask(book: &Book, question: &Question) -> String {
    let face = |part: PartId, element: usize| words::subject(book, Subject::Face { part, element });
    match &question.ask {
        Ask::Loads(subjects) => {
            let loads: Vec<String> = subjects.iter().map(|subject| words::subject(book, *subject)).collect();
            fill("study.ask-loads", &[("loads", &loads.join("; "))])
        }
        Ask::Path { part, element } => fill("study.ask-path", &[("load", &face(*part, *element))]),
        Ask::Contact { part, element } => fill("study.ask-contact", &[("load", &face(*part, *element))]),
        Ask::Meter(tool) => fill("study.ask-meter", &[("tool", words::tool(*tool))]),
        Ask::Symptom { step, fails } => fill(
            "study.ask-symptom",
            &[("step", &place(book, *step)), ("fails", &results(book, *step, fails))],
        ),
        Ask::Step { fault: of, page } => {
            fill("study.ask-step", &[("fault", &fault(book, *of)), ("page", &book.page(*page).title)])
        }
        Ask::Apart { faults, step } => fill(
            "study.ask-apart",
            &[
                ("step", &place(book, *step)),
                ("one", &fault(book, faults[0])),
                ("other", &fault(book, faults[1])),
            ],
        ),
        Ask::Wire { part, terminal } => {
            let end = words::end(book, End::Terminal { part: *part, terminal: *terminal });
            fill("study.ask-wire", &[("terminal", &end), ("part", &book.part(*part).name)])
        }
        Ask::Cavity { wire, connector } => fill(
            "study.ask-cavity",
            &[
                ("wire", &words::wire(book, *wire)),
                ("connector", &words::item(book, Item::Connector(*connector))),
            ],
        ),
        Ask::Technicians([one, other]) => fill(
            "study.ask-technicians",
            &[("one", &said(book, one, &one.reading)), ("other", &said(book, other, &other.reading))],
        ),
    }
}

fn choice(book: &Book, question: &Question, answer: &Answer) -> String {
    match answer {
        Answer::Readings(list) => {
            let meter = matches!(question.ask, Ask::Meter(_)) && list.len() == 1;
            let told = list.iter().map(|(subject, reading)| match meter {
                true => words::reading(book, *subject, reading),
                false => shows(book, *subject, reading),
            });
            told.collect::<Vec<_>>().join("; ")
        }
        Answer::Path(hops) => ways(book, hops),
        Answer::Contact(carrier) => ways(book, &[*carrier]),
        Answer::Fault(of) => fault(book, *of),
        Answer::Step(at) => book.section(*at).title.clone(),
        Answer::Test(act) => words::act(book, act),
        Answer::Wire(wire) => {
            let Wire { color, size, .. } = book.wire(*wire);
            fill("study.wire-look", &[("color", &color.to_string()), ("size", &size.to_string())])
        }
        Answer::Cavity(cavity) => {
            let Ask::Cavity { connector, .. } = question.ask else { panic!("no connector is asked about") };
            words::end(book, End::Cavity { connector, cavity: *cavity, side: 0 })
        }
        Answer::Technicians(right) => text(match right {
            [true, true] => "study.both",
            [true, false] => "study.only-a",
            [false, true] => "study.only-b",
            [false, false] => "study.neither",
        })
        .to_string(),
    }
}

fn because(book: &Book, question: &Question, because: &Because) -> String {
    let one = |key: &str, name: &str, value: &str| fill(key, &[(name, value)]);
    match because {
        Because::Computed(list) if list.is_empty() => text("study.computed").to_string(),
        Because::Computed(list) => {
            let told = list
                .iter()
                .map(|(subject, why)| format!("{}: {}", short(book, *subject), words::why(book, why)));
            told.collect::<Vec<_>>().join(". ")
        }
        Because::Otherwise(of) => one("study.otherwise", "variation", &variation(book, *of)),
        Because::Idle(carrier) => one("study.idle", "what", &ways(book, &[*carrier])),
        Because::Closed(carrier) => one("study.closed", "what", &ways(book, &[*carrier])),
        Because::Shows(None) => text("study.unshown").to_string(),
        Because::Shows(Some((step, fails))) => {
            fill("study.shows", &[("step", &place(book, *step)), ("fails", &results(book, *step, fails))])
        }
        Because::Passes => text("study.passes").to_string(),
        Because::Later => text("study.later").to_string(),
        Because::Reads(readings) => {
            let Ask::Apart { faults, .. } = &question.ask else { panic!("two faults are asked about") };
            let light = Subject::Instrument(Instrument::TestLight);
            fill(
                "study.reads",
                &[
                    ("one", &fault(book, faults[0])),
                    ("reads", &words::reading(book, light, &readings[0])),
                    ("other", &fault(book, faults[1])),
                    ("other-reads", &words::reading(book, light, &readings[1])),
                ],
            )
        }
        Because::Wire(wire) => one("study.that-wire", "wire", &words::wire(book, *wire)),
        Because::Really(readings) => {
            let Ask::Technicians(both) = &question.ask else { panic!("two technicians are asked about") };
            let told: Vec<String> =
                both.iter().zip(readings).map(|(one, reading)| said(book, one, reading)).collect();
            one("study.really", "what", &told.join("; "))
        }
        Because::Nowhere => text("study.nowhere").to_string(),
    }
}

fn state(book: &Book, question: &Question) -> Vec<String> {
    let Some(scene) = &question.scene else { return Vec::new() };
    let told = words::setup(book, &scene.setup());
    let of_fault = matches!(question.ask, Ask::Symptom { .. } | Ask::Step { .. } | Ask::Apart { .. });
    if told.is_empty() && !of_fault { vec![text("study.at-rest").to_string()] } else { told }
}

// ---- Papers.

/// A question as it is printed.
struct Asked {
    number: usize,
    points: usize,
    build: Option<String>,
    state: Vec<String>,
    ask: String,
    /// Letter and words.
    choices: Vec<(String, String)>,
}

/// What a key adds to it.
struct Keyed {
    asked: Asked,
    letter: String,
    /// For each choice whether it is marked right, and why.
    marks: Vec<(bool, String)>,
    reference: String,
    id: String,
}

fn asked(section: &Element) -> Asked {
    let letters = section.all("ol.choices li");
    let points = section.one(".points").text();
    Asked {
        number: section.one(".number").text().parse().unwrap(),
        points: points.chars().filter(char::is_ascii_digit).collect::<String>().parse().unwrap(),
        build: section.maybe("p.build").map(Element::text),
        state: section.texts("p.state span.hand"),
        ask: section.one("p.ask").text(),
        choices: letters.iter().map(|line| (line.one(".letter").text(), line.one(".text").text())).collect(),
    }
}

fn keyed(section: &Element) -> Keyed {
    let marks = section.all("ol.choices li").into_iter().map(|line| {
        let because = line.one(".because");
        let word = because.one("b").text();
        let right = word == text("study.right");
        assert!(right || word == text("study.wrong"), "{word}");
        assert_eq!(right, line.has("is-right"), "the mark and the word are one");
        (right, because.raw().split_whitespace().collect::<Vec<_>>().join(" "))
    });
    let reference = section.one("p.reference").text();
    let (at, id) = reference.rsplit_once(" · ").unwrap();
    Keyed {
        asked: asked(section),
        letter: section.one(".right").text(),
        marks: marks.collect(),
        reference: at.strip_prefix(text("study.see")).unwrap().trim().to_string(),
        id: id.to_string(),
    }
}

/// The sheets that have papers.
fn studied(printed: &Printed) -> Vec<SheetId> {
    let asked = |sheet: &SheetId| printed.questions.iter().any(|question| question.sheet == *sheet);
    printed.sheets().filter(asked).collect()
}

fn key_of(printed: &Printed, sheet: SheetId, form: &str) -> (String, Vec<Keyed>) {
    let path = format!("{INSTRUCTOR}/{}-{form}.html", printed.book.sheets[sheet.index()].id);
    let questions = printed.page(&path).all("section.question").into_iter().map(keyed).collect();
    (path, questions)
}

/// Whether an author's choice is right, by the bench.
fn bears_out(rigs: &[Rig], claim: &Claim) -> bool {
    let here = rigs.iter().filter(|rig| statements::applies(rig, &claim.setup));
    let mut holds = here.map(|rig| {
        let setup: Vec<Setup> =
            claim.setup.iter().filter(|setup| !matches!(setup, Setup::Build { .. })).cloned().collect();
        let mut bench = by_hand(rig, &setup);
        let outcome = steps::look(&mut bench, &stated(&claim.expects), &[]).unwrap();
        outcome.holds.iter().all(|holds| *holds != Some(false))
    });
    let first = holds.next().expect("some build has it");
    assert!(holds.all(|holds| holds == first), "{} is the same in every build", claim.words);
    first
}

#[test]
fn a_key_marks_the_choice_that_the_bench_bears_out() {
    let (mut drawn, mut authored) = (0, 0);
    for printed in packs() {
        let book = printed.book;
        let rigs: &'static [Rig] = Box::leak(rigs(book).into_boxed_slice());
        for sheet in studied(printed) {
            for (form, _) in FORMS {
                let (path, keys) = key_of(printed, sheet, form);
                for (at, key) in keys.iter().enumerate() {
                    let about = format!("{path}, {}", key.id);
                    assert_eq!(key.asked.number, at + 1, "{about}");
                    let letters: Vec<&str> = key.asked.choices.iter().map(|(letter, _)| &**letter).collect();
                    assert_eq!(letters, &["A", "B", "C", "D", "E", "F"][..letters.len()], "{about}");
                    // Words and whether they are right, found out here.
                    let truth: BTreeMap<String, (bool, String)> = if key.id.starts_with("Q-") {
                        let question = printed.questions.iter();
                        let question =
                            question.filter(|question| question.sheet == sheet && question.id == key.id);
                        let [question] = question.collect::<Vec<_>>()[..] else {
                            panic!("{about} is drawn once")
                        };
                        assert_eq!(key.asked.ask, ask(book, question), "{about}");
                        assert_eq!(key.asked.state, state(book, question), "{about}");
                        let build = question.scene.as_ref().map(|scene| book.build_name(scene.build));
                        assert_eq!(key.asked.build, build.filter(|name| !name.is_empty()), "{about}");
                        assert_eq!(key.asked.points, usize::from(question.level()), "{about}");
                        let reference = match question.place {
                            Some(at) => place(book, at),
                            None => {
                                fill("study.see-drawing", &[("sheet", &book.sheets[sheet.index()].title)])
                            }
                        };
                        assert_eq!(key.reference, reference, "{about}");
                        let right = right_choices(book, rigs, question, false);
                        drawn += 1;
                        let choices = question.choices.iter().zip(right);
                        choices
                            .map(|(one, right)| {
                                let because = because(book, question, &one.because);
                                (choice(book, question, &one.answer), (right, because))
                            })
                            .collect()
                    } else {
                        let (page, anchor) = key.id.split_once('#').unwrap();
                        let page = book.pages.iter().find(|other| other.path == page).unwrap();
                        let section = page.sections.iter().find(|section| section.anchor == anchor).unwrap();
                        let Role::Question(question) = &section.role else { panic!("{about} is a question") };
                        assert!(key.asked.ask.starts_with(&section.title), "{about}");
                        assert!(key.asked.ask.ends_with(&question.words), "{about}");
                        assert_eq!(key.reference, page.title, "{about}");
                        authored += 1;
                        let choices = question.choices.iter().map(|one| {
                            let right = bears_out(rigs, &book.claims[one.claim.index()]);
                            (one.words.clone(), (right, one.because.trim().to_string()))
                        });
                        choices.collect()
                    };
                    assert_eq!(truth.len(), key.asked.choices.len(), "{about}: {:?}", key.asked.choices);
                    for ((letter, words), (marked, because)) in key.asked.choices.iter().zip(&key.marks) {
                        let Some((right, why)) = truth.get(words) else {
                            panic!("{about}: {words} is none of {truth:?}");
                        };
                        assert_eq!(marked, right, "{about}: {letter} {words}");
                        assert_eq!(because, why, "{about}: {letter} {words}");
                        assert_eq!(*letter == key.letter, *right, "{about}: {letter} {words}");
                    }
                    assert_eq!(key.marks.iter().filter(|(right, _)| *right).count(), 1, "{about}");
                }
            }
        }
    }
    assert!(drawn > 200 && authored > 0, "{drawn} drawn, {authored} of the author's");
}

#[test]
fn a_students_paper_asks_what_its_own_key_answers_and_tells_no_more() {
    for printed in packs() {
        let book = printed.book;
        for sheet in studied(printed) {
            let title = &book.sheets[sheet.index()].title;
            for (form, words) in FORMS {
                let (path, keys) = key_of(printed, sheet, form);
                let paper = path.replace(INSTRUCTOR, STUDENT);
                let (student, key) = (printed.page(&paper), printed.page(&path));
                assert_eq!(student.one("h1").text(), text(words), "{paper}");
                assert_eq!(key.one("h1").text(), fill("study.key-to", &[("form", text(words))]), "{path}");
                for doc in [student, key] {
                    assert_eq!(&doc.one("main p.book").text(), title, "{path}");
                }
                assert!(
                    key.one("main").text().contains(text("study.keep")),
                    "{path} is not to be handed out"
                );
                let questions: Vec<Asked> = student.all("section.question").into_iter().map(asked).collect();
                assert_eq!(questions.len(), keys.len(), "{paper}");
                for (one, key) in questions.iter().zip(&keys) {
                    let (one, key) = (one, &key.asked);
                    assert_eq!((one.number, one.points), (key.number, key.points), "{paper}");
                    assert_eq!(
                        (&one.ask, &one.state, &one.build),
                        (&key.ask, &key.state, &key.build),
                        "{paper}"
                    );
                    assert_eq!(one.choices, key.choices, "{paper}: {}", one.ask);
                }
                let total: usize = questions.iter().map(|one| one.points).sum();
                let total = fill("study.points", &[("n", &total.to_string())]);
                assert!(student.one("dl.fields").text().contains(&total), "{paper}: {total}");
                for selector in [".is-right", "span.right", ".because", "p.reference"] {
                    assert!(student.all(selector).is_empty(), "{paper} has {selector}");
                }
                for key in &keys {
                    assert!(!printed.pages[&paper].contains(&key.id), "{paper} leads to {}", key.id);
                }
                assert!(!student.all("figure.circuit svg.drawing").is_empty(), "{paper} has the drawing");
            }
        }
    }
}

#[test]
fn a_grading_sheet_has_each_forms_own_letters_and_points() {
    for printed in packs() {
        for sheet in studied(printed) {
            let path = format!("{INSTRUCTOR}/{}-grading.html", printed.book.sheets[sheet.index()].id);
            let doc = printed.page(&path);
            let forms = doc.all("section.grading");
            assert_eq!(forms.len(), FORMS.len(), "{path}");
            for (shown, (form, words)) in forms.into_iter().zip(FORMS) {
                let (_, keys) = key_of(printed, sheet, form);
                let total: usize = keys.iter().map(|key| key.asked.points).sum();
                let points = fill("study.points", &[("n", &total.to_string())]);
                assert_eq!(shown.one("h2").text(), format!("{} {points}", text(words)), "{path}");
                let rows: Vec<Vec<String>> = shown
                    .all("thead tr")
                    .into_iter()
                    .map(|row| row.below().skip(1).map(Element::text).collect())
                    .collect();
                let column = |cell: fn(&Keyed) -> String, last: String| -> Vec<String> {
                    keys.iter().map(cell).chain([last]).collect()
                };
                assert_eq!(rows[0], column(|key| key.asked.number.to_string(), String::new()), "{path}");
                assert_eq!(rows[1], column(|key| key.letter.clone(), String::new()), "{path}: {form}");
                assert_eq!(rows[2], column(|key| key.asked.points.to_string(), total.to_string()), "{path}");
                let blanks = shown.all("tbody tr");
                assert!(blanks.len() >= 10, "{path}: a row for each student");
                assert_eq!(blanks[0].below().count(), keys.len() + 2, "{path}");
            }
        }
    }
}

#[test]
fn no_question_is_on_two_papers_and_what_the_author_wishes_is_kept() {
    let mut files = crate::book::folder("tests/planted/blade");
    let drawn = &packs()[1].questions;
    let (pin, drop) = (&drawn[3].id, &drawn[1].id);
    let wishes = format!(
        "+++\ntitle = \"Wishes\"\nkind = \"study\"\ncircuit = \"blade\"\npin = [\"{pin}\"]\ndrop = [\"{drop}\"]\n+++\n"
    );
    files.insert("content/zz-wishes.md".to_string(), wishes);
    let mut sources = goodground::source::Sources::default();
    for (path, content) in files {
        sources.add(path, content);
    }
    let wished = Printed::of(sources).with_pack();
    for printed in packs().into_iter().chain([&wished]) {
        for sheet in studied(printed) {
            let mut seen: BTreeMap<String, &str> = BTreeMap::new();
            let mut counts = Vec::new();
            for (form, _) in FORMS {
                let (path, keys) = key_of(printed, sheet, form);
                counts.push(keys.iter().filter(|key| key.id.starts_with("Q-")).count());
                let levels: Vec<usize> =
                    keys.iter().filter(|key| key.id.starts_with("Q-")).map(|key| key.asked.points).collect();
                assert!(levels.is_sorted(), "{path}: the easy ones first");
                for key in keys {
                    assert_eq!(seen.insert(key.id.clone(), form), None, "{path}: {}", key.id);
                }
            }
            assert_eq!(counts[1], counts[2], "either form asks for as much");
            if std::ptr::eq(printed, &wished) {
                assert_eq!(seen.get(pin), Some(&"worksheet"));
                assert_eq!(seen.get(drop), None);
            }
            let authored = printed.book.pages.iter().filter(|page| page.sheet == Some(sheet));
            let authored = authored.flat_map(|page| page.sections.iter().map(move |section| (page, section)));
            for (page, section) in authored.filter(|(_, section)| matches!(section.role, Role::Question(_))) {
                assert_eq!(seen.get(&format!("{}#{}", page.path, section.anchor)), Some(&"worksheet"));
            }
        }
    }
}

#[test]
fn each_folder_lists_its_own_papers_under_their_names() {
    for printed in packs() {
        for (folder, key) in [(STUDENT, false), (INSTRUCTOR, true)] {
            let doc = printed.page(&format!("{folder}/index.html"));
            let title = text(if key { "study.instructor" } else { "study.student" });
            assert_eq!(doc.one("h1").text(), title);
            let lead = text(if key { "study.instructor-lead" } else { "study.student-lead" });
            assert!(doc.one("main").text().contains(lead));
            let mut listed = BTreeSet::new();
            for section in doc.all("main section") {
                let sheet = section.one("h2").text();
                for link in section.all("a") {
                    let path = format!("{folder}/{}", link.get("href").unwrap());
                    let there = printed.page(&path);
                    let heading = there.one("h1").text();
                    let words = link.text();
                    assert!(heading.contains(&words), "{path}: {words} and not {heading}");
                    let of = there.maybe("main p.book").map_or_else(|| sheet.clone(), Element::text);
                    assert_eq!(of, sheet, "{path}");
                    listed.insert(path);
                }
            }
            let there =
                printed.pages.keys().filter(|path| path.starts_with(folder) && path.ends_with(".html"));
            let there: BTreeSet<String> =
                there.filter(|path| !path.ends_with("/index.html")).cloned().collect();
            assert_eq!(listed, there);
        }
    }
}

// ---- Labs.

/// Opens what a right verdict opens, as the page's script does.
pub fn unseal(case: &str, item: &str, sealed: &str) -> Option<String> {
    let bytes: Vec<u8> =
        (0..sealed.len()).step_by(2).map(|at| u8::from_str_radix(&sealed[at..at + 2], 16).unwrap()).collect();
    let key = Sha256::digest(format!("{case}|{item}").as_bytes());
    let mut plain = Vec::new();
    for (number, block) in bytes.chunks(32).enumerate() {
        let mut stream = Sha256::new();
        stream.update(key);
        stream.update((number as u32).to_be_bytes());
        plain.extend(block.iter().zip(stream.finalize()).map(|(byte, mask)| byte ^ mask));
    }
    plain.strip_prefix(b"ok ").map(|text| String::from_utf8(text.to_vec()).unwrap().trim_end().to_string())
}

/// A lab with its two pages.
struct Desk<'p> {
    lab: &'p Lab,
    student: &'p Element,
    key: &'p Element,
    data: serde_json::Value,
}

fn desks(printed: &'static Printed) -> Vec<Desk<'static>> {
    let of = |lab: &'static Lab| {
        let name = format!("{}-lab.html", printed.book.page(lab.page).path.trim_end_matches(".md"));
        let student = printed.page(&format!("{STUDENT}/{name}"));
        let data = serde_json::from_str(&student.place("lab-data").unwrap().raw()).unwrap();
        Desk { lab, key: printed.page(&format!("{INSTRUCTOR}/{name}")), student, data }
    };
    printed.labs.iter().map(of).collect()
}

impl Desk<'_> {
    /// The fault of each number, by the key.
    fn cases(&self, book: &Book) -> Vec<(&Element, &Planted)> {
        let rows: Vec<&Element> = self.key.all("tbody tr");
        assert_eq!(rows.len(), self.lab.planted.len());
        let mut seen = BTreeSet::new();
        let cases = rows.into_iter().enumerate().map(|(at, row)| {
            let cells: Vec<&Element> = row.below().collect();
            assert_eq!(cells[0].text(), (at + 1).to_string());
            let told = cells[1].text();
            let planted = self.lab.planted.iter().find(|planted| fault(book, planted.fault) == told);
            let planted = planted.unwrap_or_else(|| panic!("{told} is planted"));
            assert!(seen.insert(planted.fault), "{told} once");
            (row, planted)
        });
        cases.collect()
    }

    fn case(&self, number: usize) -> String {
        format!("{} {number}", self.data["case"].as_str().unwrap())
    }
}

/// The minutes of a way, rounded up: a fifth for a control, one and a half for a hand, one for a reading.
fn minutes(book: &Book, route: &[Place]) -> String {
    let of = |place: &Place| {
        let Role::Test(test) = &book.section(*place).role else { return 0.0 };
        let acts = test.acts.iter().map(|act| match act {
            Act::Set { .. } | Act::Wait(_) => 0.2,
            Act::Connect { .. } | Act::Measure { .. } | Act::Remove(_) => 0.0,
            _ => 1.5,
        });
        acts.sum::<f64>() + 1.0
    };
    format!("{:.0}", route.iter().map(of).sum::<f64>().ceil())
}

#[test]
fn a_labs_key_tells_each_numbers_fault_and_its_proven_way() {
    let mut seen = 0;
    for printed in packs() {
        let book = printed.book;
        for desk in desks(printed) {
            assert_eq!(
                desk.student.place("number").unwrap().get("max"),
                Some(&*desk.lab.planted.len().to_string())
            );
            for (row, planted) in desk.cases(book) {
                let cells: Vec<&Element> = row.below().collect();
                let about = fault(book, planted.fault);
                let showing = printed.proof.faults.iter().find(|showing| {
                    (showing.fault, showing.page, showing.build)
                        == (planted.fault, desk.lab.page, desk.lab.build)
                });
                let shown = showing.and_then(|showing| showing.shown.as_ref()).unwrap();
                assert_eq!(cells[2].text(), place(book, shown.step), "{about}");
                assert_eq!(row.get("data-step"), Some(&*place(book, shown.step)), "{about}");
                assert!(cells[3].text().starts_with(&place(book, shown.procedure.unwrap())), "{about}");
                let trail: Vec<Place> =
                    shown.walk.as_ref().unwrap().trail.iter().map(|taken| taken.place).collect();
                let tests = cells[3].all("li");
                assert_eq!(tests.len(), trail.len(), "{about}");
                for (line, at) in tests.into_iter().zip(&trail) {
                    let Role::Test(test) = &book.section(*at).role else { panic!() };
                    assert_eq!(line.raw().trim(), book.section(*at).title, "{about}");
                    let acts: Vec<String> = test.acts.iter().map(|act| words::act(book, act)).collect();
                    assert_eq!(line.texts("span.hand"), acts, "{about}");
                    let reads = test.reads.and_then(|subject| match subject {
                        Subject::Instrument(tool) => Some(words::tool(tool)),
                        _ => None,
                    });
                    assert_eq!(line.get("data-reads"), reads, "{about}");
                }
                assert_eq!(cells[4].text(), minutes(book, &trail), "{about}");
                let item = words::item(book, book.fault(planted.fault).item);
                assert_eq!(row.get("data-item"), Some(&*item), "{about}");
                seen += 1;
            }
        }
    }
    assert!(seen > 500, "{seen} faults");
}

#[test]
fn the_right_verdict_and_no_other_opens_a_labs_end() {
    let (mut opened, mut shut) = (0, 0);
    for printed in packs() {
        let book = printed.book;
        for desk in desks(printed) {
            let items: Vec<String> = desk.student.place("item").unwrap().texts("option").split_off(1);
            for (number, (row, planted)) in desk.cases(book).into_iter().enumerate() {
                let case = desk.case(number + 1);
                let seals: Vec<&str> = desk.data["seals"][number]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|seal| seal.as_str().unwrap())
                    .collect();
                let right: BTreeSet<String> = book
                    .fault(planted.fault)
                    .items()
                    .into_iter()
                    .map(|item| words::item(book, item))
                    .collect();
                assert!(right.iter().all(|item| items.contains(item)), "{case}: {right:?} can be named");
                let cells: Vec<String> = row.below().map(Element::text).collect();
                let tests: Vec<String> =
                    planted.route.iter().map(|at| book.section(*at).title.clone()).collect();
                let end = fill(
                    "study.lab-ending",
                    &[
                        ("fault", &cells[1]),
                        ("step", &cells[2]),
                        ("procedure", &place(book, planted.procedure)),
                        ("count", &tests.len().to_string()),
                        ("minutes", &cells[4]),
                        ("tests", &tests.join("; ")),
                    ],
                );
                // Every right item, and of the wrong ones some: there are many.
                let wrong = items.iter().filter(|item| !right.contains(*item));
                let wrong: Vec<&String> = wrong.skip(number % 7).step_by(7).collect();
                for item in right.iter() {
                    let found: Vec<String> =
                        seals.iter().filter_map(|seal| unseal(&case, item, seal)).collect();
                    assert_eq!(found, std::slice::from_ref(&end), "{case}: {item}");
                    opened += 1;
                }
                for item in wrong {
                    assert!(seals.iter().all(|seal| unseal(&case, item, seal).is_none()), "{case}: {item}");
                    shut += 1;
                }
            }
        }
    }
    assert!(opened > 500 && shut > 2_000, "{opened} opened, {shut} stayed shut");
}

/// A lab's states as the page's script follows them.
struct Run<'d> {
    states: &'d serde_json::Value,
    width: usize,
    case: usize,
    at: usize,
}

impl Run<'_> {
    fn numbers(&self, text: &str) -> Vec<Option<usize>> {
        let pieces = text.as_bytes().chunks(self.width);
        let pieces = pieces.map(|piece| std::str::from_utf8(piece).unwrap());
        pieces.map(|piece| usize::from_str_radix(piece, 36).ok()).collect()
    }

    /// View, edges, probes.
    fn node(&self) -> (usize, BTreeMap<usize, usize>) {
        let case = &self.states["cases"][self.case];
        let shared = self.states["shared"].as_array().unwrap().len();
        let text = match self.at < shared {
            true => self.states["shared"][self.at].as_str(),
            false => case["nodes"][self.at - shared].as_str(),
        };
        let parts: Vec<&str> = text.unwrap().split(' ').collect();
        let part = |at: usize| parts.get(at).copied().unwrap_or_default();
        let mut view = usize::from_str_radix(part(0), 36).unwrap();
        let mut edges = BTreeMap::new();
        for (by, to) in self.numbers(part(1)).into_iter().enumerate() {
            edges.extend(to.map(|to| (by, to)));
        }
        for pair in self.numbers(part(2)).chunks(2) {
            edges.insert(pair[0].unwrap(), pair[1].unwrap());
        }
        let changed = case["changed"].as_str().unwrap();
        for one in self.numbers(changed.split(' ').next().unwrap()).chunks(3) {
            if one[0] == Some(self.at) {
                match one[2] {
                    None => edges.remove(&one[1].unwrap()),
                    Some(to) => edges.insert(one[1].unwrap(), to),
                };
            }
        }
        for text in case["differs"].as_str().unwrap().split(',').filter(|text| !text.is_empty()) {
            let mut parts = text.split(' ').map(|part| usize::from_str_radix(part, 36));
            if parts.next() == Some(Ok(self.at)) {
                view = parts.next().unwrap().unwrap();
            }
        }
        (view, edges)
    }

    fn cells(&self, view: usize) -> Vec<usize> {
        let text = self.states["views"][view].as_str().unwrap();
        if let Some(all) = text.strip_prefix('=') {
            return self.numbers(all).into_iter().flatten().collect();
        }
        let (base, changes) = text.split_once(':').unwrap();
        let mut cells = self.cells(usize::from_str_radix(base, 36).unwrap());
        for pair in self.numbers(changes).chunks(2) {
            cells[pair[0].unwrap()] = pair[1].unwrap();
        }
        cells
    }
}

/// How many vehicles of each lab are worked through.
const WORKED: usize = 8;

#[test]
fn a_labs_vehicle_of_a_number_behaves_as_the_bench_with_that_fault() {
    let (mut looks, mut volts, mut lights) = (0, 0, 0);
    for printed in packs() {
        let book = printed.book;
        let rigs = rigs(book);
        for desk in desks(printed) {
            let lab = desk.lab;
            let states = &desk.data["states"];
            let width = states["width"].as_u64().unwrap() as usize;
            let points = desk.student.place("from").unwrap();
            let points: Vec<String> =
                points.below().filter(|one| one.name == "option").map(Element::text).collect();
            let told: Vec<String> = lab.points.iter().map(|point| words::point(book, *point)).collect();
            assert_eq!(points, told, "where leads can be put");
            let faces: Vec<String> = lab.faces.iter().map(|face| words::subject(book, *face)).collect();
            assert_eq!(desk.data["faces"], serde_json::json!(faces), "what is seen");
            // A move by its words: a radio of a control, or a hand of the list.
            let mut moves: BTreeMap<String, usize> = BTreeMap::new();
            for form in desk.student.all("fieldset") {
                let control = form.one("legend").text();
                for label in form.all("label") {
                    let by = label.one("input").get("value").unwrap().parse().unwrap();
                    moves.insert(format!("{control}: {}", label.one("span").text()), by);
                }
            }
            for hand in desk.student.place("hand").unwrap().all("option") {
                let by: usize = hand.get("value").unwrap().parse().unwrap();
                assert_eq!(hand.text(), words::act(book, &lab.moves[by]), "a hand does what it says");
                moves.insert(hand.text(), by);
            }
            assert_eq!(moves.len(), lab.moves.len(), "each move has its words");
            let cases = desk.cases(book);
            let step = (cases.len() / WORKED).max(1);
            for (number, (_, planted)) in cases.iter().enumerate().step_by(step) {
                let case = &states["cases"][number];
                let at = case["start"].as_u64().unwrap() as usize;
                let mut run = Run { states, width, case: number, at };
                let rig = &rigs[lab.build.index()];
                let mut bench = Bench::new(rig, middle(rig)).unwrap();
                bench.plant(book.fault(planted.fault)).unwrap();
                let mut look = |run: &Run, bench: &mut Bench, about: &str| {
                    let needs = if bench.is_heating() { PATIENCE } else { 0.0 };
                    let seen = bench.observe(&lab.faces, needs).unwrap();
                    let cells = run.cells(run.node().0);
                    for (at, (face, reading)) in lab.faces.iter().zip(&seen).enumerate() {
                        let told = states["words"][cells[at]].as_str().unwrap();
                        if told.chars().any(|c| c.is_ascii_digit()) {
                            continue;
                        }
                        assert_eq!(told, words::reading(book, *face, reading), "{about}: {}", faces[at]);
                        looks += 1;
                    }
                    if bench.is_lively() || bench.is_heating() {
                        return;
                    }
                    // Of the levels those of a point now and then, against the first that is joined to it.
                    let level = |point: usize| {
                        let levels = &states["volts"][cells[lab.faces.len() + point]];
                        (levels.as_array().unwrap().len() == 1).then(|| levels[0].clone())
                    };
                    for at in (0..lab.points.len()).step_by(5) {
                        let (Some(a), Some(b)) = (level(at), level(1)) else { continue };
                        if a.is_null() || b.is_null() || a[2] != b[2] || a[1] != b[1] {
                            continue;
                        }
                        let told = (a[0].as_f64().unwrap() - b[0].as_f64().unwrap()) / 10.0;
                        let (Some(x), Some(y)) = (bench.node(lab.points[at]), bench.node(lab.points[1]))
                        else {
                            continue;
                        };
                        let is = bench.point().volts_between(x, y);
                        assert!(
                            (told - is).abs() < 0.111,
                            "{about}: {} to {}: {told} and not {is}",
                            points[at],
                            points[1]
                        );
                        volts += 1;
                    }
                    for at in (2..lab.points.len()).step_by(11) {
                        let light = &states["lights"][cells[lab.faces.len() + lab.points.len() + at]];
                        if light.is_null() {
                            continue;
                        }
                        for lead in [0usize, 1] {
                            let mut lit = bench.clone();
                            let act = Act::Connect {
                                instrument: Instrument::TestLight,
                                from: lab.points[at],
                                to: lab.points[lead],
                            };
                            if lit.act(&act).is_err() {
                                continue;
                            }
                            let subject = Subject::Instrument(Instrument::TestLight);
                            let reading = lit.observe(&[subject], 0.0).unwrap()[0];
                            let told =
                                states["words"][light[lead].as_u64().unwrap() as usize].as_str().unwrap();
                            if !told.is_empty()
                                && reading != Reading::Nothing
                                && !told.chars().any(|c| c.is_ascii_digit())
                            {
                                let is = words::reading(book, subject, &reading);
                                assert_eq!(told, is, "{about}: light at {} and {}", points[at], points[lead]);
                                lights += 1;
                            }
                        }
                    }
                };
                let about = fault(book, planted.fault);
                look(&run, &mut bench, &about);
                for (place, step) in steps::steps(book.page(lab.page), lab.page) {
                    for act in &step.acts {
                        // An instrument is put in place where it is read.
                        if matches!(act, Act::Connect { .. } | Act::Measure { .. } | Act::Remove(_)) {
                            continue;
                        }
                        let words = words::act(book, act);
                        let by = moves.get(&words).unwrap_or_else(|| panic!("{about}: {words} can be done"));
                        let edges = run.node().1;
                        run.at = *edges.get(by).unwrap_or_else(|| panic!("{about}: {words} leads somewhere"));
                        bench.listen();
                        bench.act(act).unwrap();
                        look(&run, &mut bench, &format!("{about}, {words}"));
                    }
                    if place == planted.step {
                        break;
                    }
                }
            }
        }
    }
    assert!(looks > 1_000 && volts > 500 && lights > 200, "{looks} looks, {volts} volts, {lights} lights");
}

#[test]
fn a_lab_shows_its_checkout_build_and_texts() {
    for printed in packs() {
        let book = printed.book;
        for desk in desks(printed) {
            let lab = desk.lab;
            let build = book.build_name(lab.build);
            let told = desk.student.maybe("main p.build").map(Element::text);
            assert_eq!(told, (!build.is_empty()).then_some(build));
            let lines = desk.student.all("ol.steps li");
            let steps = steps::steps(book.page(lab.page), lab.page);
            assert_eq!(lines.len(), steps.len());
            for (line, (place, step)) in lines.into_iter().zip(steps) {
                assert_eq!(line.one("b").text(), book.section(place).title);
                let acts: Vec<String> = step.acts.iter().map(|act| words::act(book, act)).collect();
                assert_eq!(line.texts("span.hand"), acts);
                let expects: Vec<String> =
                    step.expects.iter().map(|expect| words::expect(book, expect)).collect();
                let must = format!("{} {}", text("study.lab-must"), expects.join("; "));
                assert!(line.text().ends_with(&must), "{}", line.text());
            }
            assert_eq!(desk.data["minutes"], serde_json::json!([0.2, 1.5, 1.0]));
            assert_eq!(desk.data["points"], lab.points.len());
            for (word, told) in desk.data["texts"].as_object().unwrap() {
                assert_eq!(told, text(&format!("study.lab-{word}")), "{word}");
            }
            // Placements of instruments that procedures ask for, by the numbers of the page's lists.
            let tools: BTreeMap<String, String> = desk
                .student
                .place("tool")
                .unwrap()
                .all("option")
                .iter()
                .map(|tool| (tool.text(), tool.get("value").unwrap().to_string()))
                .collect();
            let options: BTreeMap<String, String> = desk
                .student
                .place("from")
                .unwrap()
                .all("option")
                .iter()
                .map(|point| (point.get("value").unwrap().to_string(), point.text()))
                .collect();
            for (probe, act) in desk.data["probes"].as_array().unwrap().iter().zip(&lab.probes) {
                let number = |at: usize| probe[at].as_u64().unwrap().to_string();
                match *act {
                    Act::Connect { instrument, from, to } => {
                        assert_eq!(tools.get(words::tool(instrument)), Some(&number(0)));
                        assert_eq!(options.get(&number(1)), Some(&words::point(book, from)));
                        assert_eq!(options.get(&number(2)), Some(&words::point(book, to)));
                    }
                    Act::Measure { instrument, wire, toward } => {
                        assert_eq!(tools.get(words::tool(instrument)), Some(&number(0)));
                        assert_eq!(options.get(&number(1)), Some(&words::around(book, wire, toward)));
                    }
                    _ => panic!("{act:?} is no placement"),
                }
            }
        }
    }
}

#[test]
fn the_right_letters_are_not_always_the_same() {
    for printed in packs() {
        for sheet in studied(printed) {
            let letters: BTreeSet<String> = FORMS
                .iter()
                .flat_map(|(form, _)| key_of(printed, sheet, form).1)
                .map(|key| key.letter)
                .collect();
            assert!(letters.len() > 2, "{letters:?}");
        }
    }
}

#[test]
fn a_wrong_choice_is_said_to_be_wrong_for_what_is_so() {
    let (mut steps_seen, mut cavities) = (0, 0);
    for printed in packs() {
        let book = printed.book;
        let rigs = rigs(book);
        for question in &printed.questions {
            for one in &question.choices {
                match (&question.ask, &one.answer, &one.because) {
                    (Ask::Step { fault, page }, Answer::Step(at), because) => {
                        let build = question.scene.as_ref().unwrap().build;
                        let rig = &rigs[build.index()];
                        let mut bench = Bench::new(rig, middle(rig)).unwrap();
                        bench.plant(book.fault(*fault)).unwrap();
                        let mut first = None;
                        for (place, step) in steps::steps(book.page(*page), *page) {
                            bench.listen();
                            for act in &step.acts {
                                bench.act(act).unwrap();
                            }
                            let outcome = steps::look(&mut bench, &stated(&step.expects), &[]).unwrap();
                            if outcome.holds.contains(&Some(false)) {
                                first = Some(place);
                                break;
                            }
                        }
                        let first = first.unwrap();
                        match because {
                            Because::Passes => assert!(at.section < first.section, "{}", question.id),
                            Because::Later => assert!(at.section > first.section, "{}", question.id),
                            _ => assert_eq!(*at, first, "{}", question.id),
                        }
                        steps_seen += 1;
                    }
                    (Ask::Cavity { connector, .. }, Answer::Cavity(cavity), Because::Wire(wire)) => {
                        let ends = book.wire(*wire).ends;
                        let here = ends.iter().any(|end| {
                            matches!(end, End::Cavity { connector: of, cavity: at, .. } if of == connector && at == cavity)
                        });
                        assert!(here, "{}: {} is in its cavity", question.id, book.wire(*wire).id);
                        cavities += 1;
                    }
                    _ => {}
                }
            }
        }
    }
    assert!(steps_seen > 60 && cavities > 40, "{steps_seen}, {cavities}");
}

#[test]
fn a_questions_id_stays_when_the_vehicle_gets_another_part() {
    let mut files = crate::book::folder("tests/planted/blade");
    let circuit = files.get_mut("circuits/blade.toml").unwrap();
    *circuit = circuit
        .replacen("[parts.", "[parts.H99]\nkind = \"splice\"\nname = \"Spare\"\n\n[parts.", 1)
        .replacen("wires = [", "wires = [\n    [\"W99\", \"N1\", \"H99\", \"RD\", 1, 0.3],", 1);
    let mut sources = goodground::source::Sources::default();
    for (path, content) in files {
        sources.add(path, content);
    }
    let after = Printed::of(sources).with_pack();
    assert_eq!(after.book.parts.len(), packs()[1].book.parts.len() + 1);
    let asked = |printed: &Printed| -> BTreeMap<String, String> {
        let words = |question: &Question| {
            let book = printed.book;
            let (state, right) =
                (state(book, question).join(", "), choice(book, question, &question.choices[0].answer));
            format!("{:?} {} ({state}) {right}", question.sort, ask(book, question))
        };
        printed.questions.iter().map(|question| (words(question), question.id.clone())).collect()
    };
    let (before, after) = (asked(packs()[1]), asked(&after));
    let both: Vec<&String> = before.keys().filter(|words| after.contains_key(*words)).collect();
    assert!(both.len() > 8, "{} questions come again", both.len());
    for words in both {
        assert_eq!(before[words], after[words], "{words}");
    }
}

#[test]
fn a_lab_is_in_the_build_with_most_to_find_and_has_its_own_systems_faults_alone() {
    for printed in packs() {
        let book = printed.book;
        for lab in &printed.labs {
            let sheet = book.page(lab.page).sheet.unwrap();
            let findable = |build: BuildId| {
                let here = printed.proof.faults.iter().filter(|showing| {
                    (showing.page, showing.build) == (lab.page, build)
                        && book.item_sheet(book.fault(showing.fault).item) == sheet
                });
                let named = here.filter(|showing| {
                    let walk = showing.shown.as_ref().and_then(|shown| shown.walk.as_ref());
                    let Some(goodground::proof::trouble::End::At { place, outcome }) =
                        walk.map(|walk| &walk.end)
                    else {
                        return false;
                    };
                    let Role::Test(test) = &book.section(*place).role else { return false };
                    match &test.outcomes[*outcome].to {
                        Target::Verdict { blames, .. } => {
                            goodground::proof::trouble::names(book, blames, book.fault(showing.fault))
                        }
                        _ => false,
                    }
                });
                named.map(|showing| showing.fault).collect::<BTreeSet<_>>()
            };
            let most = (0..book.builds.len() as u32).map(|build| findable(BuildId(build)).len()).max();
            let own = findable(lab.build);
            assert_eq!(Some(own.len()), most, "{}", book.page(lab.page).path);
            let planted: BTreeSet<FaultId> = lab.planted.iter().map(|planted| planted.fault).collect();
            assert!(planted.is_subset(&own), "{}", book.page(lab.page).path);
            assert!(10 * planted.len() > 9 * own.len(), "{} of {}", planted.len(), own.len());
        }
    }
}
