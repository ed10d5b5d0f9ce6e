//! Reads steps, tests, sheets and their warnings back from the pages, and holds every line against the book and the bench.

use crate::printed::html::Element;
use crate::printed::words::{self, text};
use crate::printed::{HANDS, Printed, STAMP, books, follow, rigs, target};
use goodground::bench::Bench;
use goodground::book::{self as model, *};
use goodground::proof::corners::middle;
use goodground::proof::steps;
use pulldown_cmark::{Event, Tag};
use std::collections::{BTreeMap, BTreeSet};

/// The books whose procedures are read back.
fn worked() -> impl Iterator<Item = &'static Printed> {
    books().into_iter().chain([&*HANDS])
}

/// Where a section sends its reader: branches of a step, outcomes of a test.
fn sends(book: &Book, place: Place) -> Vec<Place> {
    match &book.section(place).role {
        Role::Step(step) => step.branches.iter().map(|branch| branch.to).collect(),
        Role::Test(test) => {
            let to = test.outcomes.iter().filter_map(|outcome| match outcome.to {
                Target::Go(to) => Some(to),
                _ => None,
            });
            to.collect()
        }
        _ => Vec::new(),
    }
}

/// Where the links of a section's text lead.
fn links(book: &Book, place: Place) -> Vec<Place> {
    let section = book.section(place);
    let to = section.prose.iter().chain(&section.after).filter_map(|event| {
        let Event::Start(Tag::Link { dest_url, .. }) = event else { return None };
        let (path, anchor) = dest_url.strip_prefix("page:")?.split_once('#')?;
        let page = book.pages.iter().position(|page| page.path == path)?;
        let section = book.pages[page].sections.iter().position(|section| section.anchor == anchor)?;
        Some(Place { page: PageId(page as u32), section: section as u32 })
    });
    to.collect()
}

/// Holds the lines that tell what is done.
fn hold_acts(book: &Book, lines: &[&Element], acts: &[Act], about: &str) {
    let told: Vec<String> = lines.iter().map(|line| line.text()).collect();
    let done: Vec<String> = acts.iter().map(|act| words::act(book, act)).collect();
    assert_eq!(told, done, "{about}: what is done");
}

/// Holds the lines that tell what must be seen, each with the builds that have it.
fn hold_expects(book: &Book, lines: &[&Element], expects: &[Expect], about: &str) {
    assert_eq!(lines.len(), expects.len(), "{about}: what is expected");
    for (line, expect) in lines.iter().zip(expects) {
        let (subject, look) =
            (words::subject(book, expect.subject), words::look(book, Some(expect.subject), &expect.look));
        assert!(line.text().starts_with(&format!("{subject} {look}")), "{about}: {}", line.text());
        let fitted = expect.subject.item().map_or(&[][..], |item| match item {
            Item::Part(part) => &book.part(part).fitted,
            _ => &[],
        });
        assert_eq!(line.get("data-fit").map(str::to_string), words::fit(fitted), "{about}: {subject}");
        if let Some(mark) = words::only_mark(book, fitted) {
            assert!(line.text().contains(&mark), "{about}: {}", line.text());
        }
    }
}

/// When a branch of a step or an outcome of a test is taken, in words.
fn whens(book: &Book, place: Place) -> Vec<String> {
    match &book.section(place).role {
        Role::Step(step) => {
            let when = step.branches.iter().map(|branch| match &branch.when {
                None => text("step.if-not").to_string(),
                Some(symptoms) => {
                    let symptoms: Vec<String> =
                        symptoms.iter().map(|symptom| words::expect(book, symptom)).collect();
                    words::fill("step.if", &[("symptom", &symptoms.join(", "))])
                }
            });
            when.collect()
        }
        Role::Test(test) => {
            let when = test.outcomes.iter().map(|outcome| match (test.reads, &outcome.looks[..]) {
                (None, _) => String::new(),
                (Some(_), []) => text("test.else").to_string(),
                (Some(_), looks) => {
                    let looks: Vec<String> =
                        looks.iter().map(|look| words::look(book, test.reads, look)).collect();
                    looks.join(text("test.or"))
                }
            });
            when.collect()
        }
        _ => Vec::new(),
    }
}

/// The targets of a step's branches or a test's outcomes.
fn targets(book: &Book, place: Place) -> Vec<Target> {
    match &book.section(place).role {
        Role::Step(step) => step.branches.iter().map(|branch| Target::Go(branch.to)).collect(),
        Role::Test(test) => test.outcomes.iter().map(|outcome| outcome.to.clone()).collect(),
        _ => Vec::new(),
    }
}

#[test]
fn a_page_sends_the_technician_where_the_book_does() {
    let mut followed = 0;
    for printed in worked() {
        let book = printed.book;
        for page in printed.chapters() {
            let path = &*printed.path(page);
            let doc = printed.page(path);
            assert_eq!(doc.one("main h1").text(), book.page(page).title);
            for place in printed.places().into_iter().filter(|place| place.page == page) {
                let section = book.section(place);
                if section.level == 0 {
                    continue;
                }
                let about = format!("{path}#{}", section.anchor);
                let shown = doc.place(&section.anchor).unwrap_or_else(|| panic!("no {about}"));
                assert_eq!(shown.below().next().unwrap().text(), section.title, "{about}");
                if printed.is_work(place) {
                    let list =
                        if matches!(section.role, Role::Step(_)) { "div.fails ul" } else { "ul.branches" };
                    let branches: Vec<&Element> =
                        shown.all(list).into_iter().flat_map(|list| list.below()).collect();
                    followed += hold_branches(printed, path, place, &branches, &about);
                }
            }
        }
    }
    assert!(followed > 300, "{followed} ways on");
}

/// Holds the branches of a page's step or test; how many lead on.
fn hold_branches(printed: &Printed, path: &str, place: Place, branches: &[&Element], about: &str) -> usize {
    let book = printed.book;
    let (whens, targets) = (whens(book, place), targets(book, place));
    assert_eq!(branches.len(), targets.len(), "{about}: ways on");
    let mut followed = 0;
    for ((branch, when), to) in branches.iter().zip(whens).zip(targets) {
        assert_eq!(branch.maybe(".when").map_or(String::new(), Element::text), when, "{about}");
        match to {
            Target::Go(to) => {
                let go = branch.one("a.go");
                assert_eq!(target(path, go), printed.address(to), "{about}: {when}");
                let title = &book.section(to).title;
                let title = if to.page == place.page { title.clone() } else { printed.title(to) };
                assert_eq!(go.text(), title, "{about}: {when}");
                followed += 1;
            }
            Target::Verdict { words: says, blames } => {
                assert!(branch.has("verdict"), "{about}");
                assert_eq!(branch.one(".then").text(), says, "{about}");
                let blamed: Vec<String> =
                    blames.iter().map(|suspect| words::suspect(book, suspect)).collect();
                let told = format!("{}: {}", text("chapter.blames"), blamed.join(", "));
                assert_eq!(branch.one(".blames").text(), told, "{about}");
            }
            Target::Good { words: says } => {
                assert!(branch.has("good"), "{about}");
                assert_eq!(branch.one(".then").text(), says, "{about}");
                assert!(branch.maybe(".blames").is_none(), "{about}");
            }
        }
    }
    followed
}

#[test]
fn a_page_tells_what_to_do_what_must_happen_and_what_to_read() {
    for printed in worked() {
        let book = printed.book;
        let mut docs: BTreeMap<String, &Element> = BTreeMap::new();
        for place in printed.places() {
            let (section, address) = (book.section(place), printed.address(place));
            let path = &*printed.path(place.page);
            let doc = docs.entry(path.to_string()).or_insert_with(|| printed.page(path));
            let (acts, expects) = match &section.role {
                Role::Step(step) => (&step.acts, &step.expects),
                Role::Test(test) => (&test.acts, &test.expects),
                _ => continue,
            };
            let shown = doc.place(&section.anchor).unwrap();
            let lines = shown.all("div.do li");
            hold_acts(book, &lines, acts, &address);
            for (line, act) in lines.iter().zip(acts) {
                let control = matches!(act, Act::Set { .. });
                assert_eq!((line.has("set"), line.has("hand")), (control, !control), "{address}");
            }
            match &section.role {
                Role::Step(_) => {
                    hold_expects(book, &shown.all("div.must li"), expects, &address);
                    let evidence = shown.one("p.evidence a");
                    let to = target(path, evidence);
                    let (circuit, anchor) = to.split_once('#').unwrap();
                    let statement = printed.page(circuit);
                    let statement = statement.place(anchor).unwrap_or_else(|| panic!("no {to}"));
                    assert_eq!(statement.one("h3").text(), section.title, "{address}");
                    let from = statement.one("p.quiet a");
                    assert_eq!(target(circuit, from), address);
                    assert_eq!(from.text(), printed.title(place));
                }
                Role::Test(test) => {
                    if !expects.is_empty() {
                        assert_eq!(
                            shown.all("div.zone strong.look").len(),
                            expects.len(),
                            "{address}: what is announced"
                        );
                    }
                    let read = shown.maybe("div.finds .zone-title").map(Element::text);
                    let reads = test
                        .reads
                        .map(|subject| format!("{} {}", text("chapter.read"), words::subject(book, subject)));
                    assert_eq!(read, reads, "{address}");
                }
                _ => {}
            }
        }
    }
}

#[test]
fn a_procedure_says_which_steps_lead_to_it_and_has_its_sheet() {
    let mut seen = 0;
    for printed in worked() {
        let book = printed.book;
        let mut from: BTreeMap<Place, BTreeSet<Place>> = BTreeMap::new();
        for place in printed.places() {
            for to in sends(book, place).into_iter().chain(links(book, place)) {
                if to != place {
                    from.entry(to).or_default().insert(place);
                }
            }
        }
        for place in printed.places() {
            let section = book.section(place);
            if !matches!(section.role, Role::Procedure) {
                continue;
            }
            let (address, path) = (printed.address(place), &*printed.path(place.page));
            let doc = printed.page(path);
            let shown = doc.place(&section.anchor).unwrap();
            let told: BTreeSet<(String, String)> =
                shown.all("p.from a").iter().map(|link| (link.text(), target(path, link))).collect();
            let leads = from.get(&place).into_iter().flatten();
            let leads: BTreeSet<(String, String)> =
                leads.map(|place| (printed.title(*place), printed.address(*place))).collect();
            assert_eq!(told, leads, "{address}");
            let sheet = target(path, shown.one("p.to-print a"));
            let paper = printed.page(&sheet);
            assert_eq!(paper.one("h1").text(), section.title, "{address}: {sheet}");
            assert_eq!(target(&sheet, paper.all("nav a")[0]), path, "{sheet} leads back");
            seen += 1;
        }
        // A page's own list of sheets, and the list of all.
        for page in printed.chapters() {
            let path = &*printed.path(page);
            for link in printed.page(path).all("details.sheets a") {
                let sheet = printed.page(&target(path, link));
                assert_eq!(sheet.one("h1").text(), link.text(), "{path}");
                let from = sheet.maybe("p.from-page").map_or_else(|| sheet.one("h1").text(), Element::text);
                assert_eq!(from, book.page(page).title, "{path}");
            }
        }
        let index = "sheets/index.html";
        let listed: BTreeSet<String> =
            printed.page(index).all("main li a").iter().map(|link| target(index, link)).collect();
        let sheets = printed.pages.keys().filter(|path| path.starts_with("sheets/") && *path != index);
        assert_eq!(listed, sheets.cloned().collect(), "every sheet is listed");
        for link in printed.page(index).all("main li a") {
            assert_eq!(printed.page(&target(index, link)).one("h1").text(), link.text());
        }
    }
    assert!(seen > 30, "{seen} procedures");
}

/// A sheet of paper with what it is made from: a whole page, or one procedure of it.
struct Paper<'p> {
    path: &'p str,
    doc: &'p Element,
    page: PageId,
    /// The head of the procedure.
    procedure: Option<Place>,
    /// The sections that are on it.
    places: Vec<Place>,
}

/// All sheets of a book, found by what is printed on them.
fn papers(printed: &Printed) -> Vec<Paper<'_>> {
    let book = printed.book;
    let mut papers = Vec::new();
    for (path, doc) in printed.html().filter(|(path, _)| path.starts_with("sheets/")) {
        if path == "sheets/index.html" {
            continue;
        }
        let back = target(path, doc.all("nav a")[0]);
        let home = |page: &PageId| printed.path(*page) == back;
        let page = printed.chapters().find(home).unwrap_or_else(|| panic!("{path} leads back to {back}"));
        let title = doc.one("h1").text();
        let all: Vec<Place> = printed.places().into_iter().filter(|place| place.page == page).collect();
        let head = |place: &&Place| {
            let section = book.section(**place);
            matches!(section.role, Role::Procedure) && section.title == title
        };
        let procedure = all.iter().find(head).copied();
        let places = match procedure {
            None => {
                assert_eq!(title, book.page(page).title, "{path}");
                all
            }
            Some(head) => {
                let level = book.section(head).level;
                let rest = all.iter().copied().filter(|place| place.section > head.section);
                let own = rest.take_while(|place| book.section(*place).level > level);
                [head].into_iter().chain(own).collect()
            }
        };
        papers.push(Paper { path, doc, page, procedure, places });
    }
    papers
}

impl Paper<'_> {
    /// Its steps and tests with the boxes in which they are printed.
    fn works(&self, printed: &Printed) -> Vec<(Place, &Element)> {
        let works: Vec<Place> = self.places.iter().copied().filter(|place| printed.is_work(*place)).collect();
        let boxes = self.doc.all("section.item").into_iter();
        let boxes: Vec<&Element> = boxes.filter(|item| item.maybe("span.number").is_some()).collect();
        assert_eq!(boxes.len(), works.len(), "{}: steps and tests", self.path);
        works.into_iter().zip(boxes).collect()
    }
}

#[test]
fn a_sheet_goes_on_by_the_numbers_that_are_printed_on_it() {
    let (mut on_sheet, mut to_others) = (0, 0);
    for printed in worked() {
        let book = printed.book;
        let papers = papers(printed);
        let titles: BTreeSet<String> = papers.iter().map(|paper| paper.doc.one("h1").text()).collect();
        for paper in &papers {
            let works = paper.works(printed);
            let printed_at: BTreeMap<Place, String> =
                works.iter().map(|(place, item)| (*place, item.one("span.number").text())).collect();
            let distinct: BTreeSet<&String> = printed_at.values().collect();
            assert_eq!(distinct.len(), works.len(), "{}: each number once", paper.path);
            for (place, item) in &works {
                let section = book.section(*place);
                let about = format!("{}, {}", paper.path, section.title);
                // The number is the title's own, else its place; the words beside it are the rest of the title.
                let number = &printed_at[place];
                let first = section.title.split(' ').next().unwrap().trim_end_matches(['.', ':', ')']);
                let own = first.chars().all(|c| c.is_ascii_digit() || c == '.');
                let at = works.iter().position(|(other, _)| other == place).unwrap() + 1;
                assert_eq!(*number, if own { first.to_string() } else { at.to_string() }, "{about}");
                let heading = item.one("h2").text();
                let words = heading.strip_prefix(number.as_str()).unwrap().trim();
                assert!(section.title.ends_with(words) && !words.is_empty(), "{about}: {heading}");
                let branches: Vec<&Element> =
                    item.all("ul.branches").into_iter().flat_map(|list| list.below()).collect();
                let (whens, targets) = (whens(book, *place), targets(book, *place));
                assert_eq!(branches.len(), targets.len(), "{about}: ways on");
                for ((branch, when), to) in branches.iter().zip(whens).zip(targets) {
                    let told = branch.maybe(".when").map_or(String::new(), Element::text);
                    let when = if when.is_empty() { when } else { format!("{when}:") };
                    assert_eq!(told, when, "{about}");
                    let then = branch.one(".then").text();
                    match to {
                        Target::Go(to) if printed_at.contains_key(&to) => {
                            assert_eq!(
                                then,
                                words::fill("sheet.go-number", &[("n", &printed_at[&to])]),
                                "{about}"
                            );
                            on_sheet += 1;
                        }
                        Target::Go(to) => {
                            let own = book.page(to.page).sheet == book.page(paper.page).sheet;
                            let title = &book.section(to).title;
                            assert!(titles.contains(title), "{about}: there is a sheet {title}");
                            let title = if own { title.clone() } else { printed.title(to) };
                            assert_eq!(then, words::fill("sheet.go-sheet", &[("title", &title)]), "{about}");
                            to_others += 1;
                        }
                        Target::Verdict { words: says, .. } | Target::Good { words: says } => {
                            assert_eq!(then, says, "{about}");
                        }
                    }
                }
            }
        }
    }
    assert!(on_sheet > 150 && to_others > 30, "{on_sheet} and {to_others} ways on");
}

#[test]
fn a_sheet_tells_what_to_do_what_must_happen_and_what_to_read() {
    for printed in worked() {
        let book = printed.book;
        for paper in papers(printed) {
            for (place, item) in paper.works(printed) {
                let section = book.section(place);
                let about = format!("{}, {}", paper.path, section.title);
                let (acts, expects) = match &section.role {
                    Role::Step(step) => (&step.acts, &step.expects),
                    Role::Test(test) => (&test.acts, &test.expects),
                    _ => unreachable!(),
                };
                hold_acts(book, &item.all("span.act"), acts, &about);
                let lines = item.all("ul.must li");
                assert_eq!(lines.len(), expects.len(), "{about}");
                for (line, expect) in lines.iter().zip(expects) {
                    assert!(
                        line.text().starts_with(&words::expect(book, expect)),
                        "{about}: {}",
                        line.text()
                    );
                    if let Some(Item::Part(part)) = expect.subject.item()
                        && let Some(mark) = words::only_mark(book, &book.part(part).fitted)
                    {
                        assert!(line.text().contains(&mark), "{about}: {}", line.text());
                    }
                }
                if let Role::Test(test) = &section.role {
                    let told = item.maybe("p.reads").map(Element::text);
                    let reads = test.reads.map(|subject| {
                        let subject = words::subject(book, subject);
                        format!("{} {subject} {}", text("chapter.read"), text("sheet.reading"))
                    });
                    assert_eq!(told, reads, "{about}");
                }
            }
            // What stands before the work.
            let before = paper.doc.all("dl.before dd");
            let used: BTreeSet<Instrument> = paper
                .places
                .iter()
                .flat_map(|place| book.section(*place).role.acts())
                .filter_map(|act| match act {
                    Act::Connect { instrument, .. } | Act::Measure { instrument, .. } => Some(*instrument),
                    _ => None,
                })
                .collect();
            let tools: Vec<&str> = used.into_iter().map(words::tool).collect();
            let tools: Vec<&str> =
                tools.into_iter().chain(book.page(paper.page).tools.iter().map(String::as_str)).collect();
            let tools = if tools.is_empty() { text("sheet.no-tools").to_string() } else { tools.join(", ") };
            assert_eq!(before[0].text(), tools, "{}", paper.path);
            // What follows, and how the paper is named at its edges.
            let follows =
                text(if paper.procedure.is_some() { "sheet.then-checkout" } else { "sheet.then-done" });
            assert!(paper.doc.one("main").text().contains(follows), "{}", paper.path);
            let style = paper.doc.one("style").text();
            let size =
                if book.manual.paper == goodground::book::Paper::A4 { "size: A4" } else { "size: letter" };
            for word in
                [size, &book.manual.edition, &book.manual.vehicle, STAMP, "counter(page)", "counter(pages)"]
            {
                assert!(style.contains(word), "{}: {word} in {style}", paper.path);
            }
        }
    }
}

/// How the controls stand after each checkout step, by the bench.
fn stands(printed: &Printed) -> BTreeMap<Place, Vec<String>> {
    let book = printed.book;
    let rigs = rigs(book);
    let mut stands = BTreeMap::new();
    for page in steps::checkouts(book) {
        let mut bench = Bench::new(&rigs[0], middle(&rigs[0])).unwrap();
        for (place, step) in steps::steps(book.page(page), page) {
            for act in &step.acts {
                bench.act(act).unwrap();
            }
            stands.insert(place, words::settings(book, bench.settings()));
        }
    }
    stands
}

#[test]
fn a_sheet_starts_where_each_failed_step_left_the_vehicle() {
    for printed in worked() {
        let book = printed.book;
        let stands = stands(printed);
        for paper in papers(printed) {
            let told = paper.doc.one("dl.before div.wide dd").text();
            let Some(head) = paper.procedure else {
                assert!(told.starts_with(text("sheet.start-rest")), "{}: {told}", paper.path);
                let rest: Vec<String> = book
                    .controls
                    .iter()
                    .enumerate()
                    .map(|(at, control)| words::setting(book, ControlId(at as u32), control.rest()))
                    .collect();
                let state = told.split_once(" (").unwrap().1.trim_end_matches(')');
                for control in state.split(", ").filter(|words| *words != text("sheet.controls")) {
                    assert!(rest.iter().any(|rest| rest == control), "{}: {control} is no rest", paper.path);
                }
                continue;
            };
            let mut wanted = 0;
            for (step, state) in &stands {
                if !sends(book, *step).contains(&head) && !links(book, *step).contains(&head) {
                    continue;
                }
                let state =
                    if state.is_empty() { text("sheet.controls").to_string() } else { state.join(", ") };
                let start = format!("{}: {} ({state})", text("sheet.start-after"), printed.title(*step));
                assert!(told.contains(&start), "{}: no `{start}` in `{told}`", paper.path);
                wanted += 1;
            }
            assert_eq!(told.matches(text("sheet.start-after")).count(), wanted, "{}: {told}", paper.path);
        }
    }
}

#[test]
fn a_sheets_time_is_its_longest_way() {
    for printed in worked() {
        let book = printed.book;
        for paper in papers(printed) {
            let told = paper.doc.all("dl.before dd")[1].text();
            let works = paper.places.iter().filter(|place| printed.is_work(**place)).count();
            let minutes = |n: usize| words::fill("sheet.minutes", &[("n", &n.to_string())]);
            match (paper.procedure, &book.page(paper.page).time) {
                (None, Some(time)) => assert_eq!(&told, time, "{}", paper.path),
                (None, None) => assert_eq!(told, minutes(works), "{}", paper.path),
                (Some(head), _) => {
                    let shown = printed.proof.faults.iter().filter_map(|fault| fault.shown.as_ref());
                    let here = shown.filter(|shown| shown.procedure == Some(head));
                    let trails = here.filter_map(|shown| Some(shown.walk.as_ref()?.trail.len()));
                    // Three minutes for each test of the longest way.
                    assert_eq!(told, minutes(3 * trails.max().unwrap_or(1)), "{}", paper.path);
                }
            }
        }
    }
}

#[test]
fn a_sheet_tells_where_each_lead_goes_and_marks_it_in_its_wiring() {
    let mut points = 0;
    for printed in worked() {
        let book = printed.book;
        for paper in papers(printed) {
            let mut wanted: Vec<Point> = Vec::new();
            for act in paper.places.iter().flat_map(|place| book.section(*place).role.acts()) {
                if let Act::Connect { from, to, .. } = *act {
                    for point in [from, to] {
                        if point.item().is_some() && !wanted.contains(&point) {
                            wanted.push(point);
                        }
                    }
                }
            }
            let rows: Vec<&Element> = paper.doc.all("section.points tbody tr");
            assert_eq!(rows.len(), wanted.len(), "{}: test points", paper.path);
            for (at, (row, point)) in rows.iter().zip(&wanted).enumerate() {
                let cells: Vec<&Element> = row.below().collect();
                assert_eq!(cells[0].text(), (at + 1).to_string(), "{}", paper.path);
                assert_eq!(cells[1].text(), words::point(book, *point), "{}", paper.path);
                let (end, name, place) = match *point {
                    Point::Terminal { part, terminal, .. } => {
                        let held = book.part(part);
                        (End::Terminal { part, terminal }, Some(&held.name), held.place.as_ref())
                    }
                    Point::Cavity { connector, cavity, side } => {
                        let held = book.connector(connector);
                        (End::Cavity { connector, cavity, side }, Some(&held.name), held.place.as_ref())
                    }
                    Point::WireEnd { wire, end } => (book.wire(wire).ends[usize::from(end)], None, None),
                    _ => unreachable!("a point that needs no mark"),
                };
                let place: Vec<&str> = [name, place].into_iter().flatten().map(String::as_str).collect();
                assert_eq!(cells[2].text(), place.join(", "), "{}", paper.path);
                let wires = book.wires.iter().enumerate().filter(|(_, wire)| wire.ends.contains(&end));
                let wires: Vec<String> = wires.map(|(at, _)| words::wire(book, WireId(at as u32))).collect();
                assert_eq!(cells[3].text(), wires.join(", "), "{}", paper.path);
                points += 1;
            }
            // Each mark is in the wiring: once at least, since a drawing may take several sheets.
            let drawn: BTreeSet<String> =
                paper.doc.all("section.excerpt g.probe").iter().map(|probe| probe.text()).collect();
            let marks: BTreeSet<String> = (1..=wanted.len()).map(|mark| mark.to_string()).collect();
            let own = |point: &Point| {
                point.item().is_some_and(|item| Some(book.item_sheet(item)) == book.page(paper.page).sheet)
            };
            let own: BTreeSet<String> = wanted
                .iter()
                .enumerate()
                .filter(|(_, point)| own(point))
                .map(|(at, _)| (at + 1).to_string())
                .collect();
            assert!(drawn.is_subset(&marks), "{}: {drawn:?} marks what the table lists", paper.path);
            assert!(own.is_subset(&drawn), "{}: of {own:?} only {drawn:?} are drawn", paper.path);
        }
    }
    assert!(points > 100, "{points} test points");
}

/// The standing warnings that some sections need: signal word and key of the text.
fn needed(book: &Book, page: &Page, places: &[Place]) -> BTreeSet<(&'static str, &'static str)> {
    let roles = || places.iter().map(|place| &book.section(*place).role);
    let acts: Vec<&Act> = roles().flat_map(Role::acts).collect();
    let subjects = roles().flat_map(|role| match role {
        Role::Step(step) => step.expects.iter().map(|expect| expect.subject).collect::<Vec<_>>(),
        Role::Test(test) => {
            test.expects.iter().map(|expect| expect.subject).chain(test.reads).collect::<Vec<_>>()
        }
        _ => Vec::new(),
    });
    let elements: Vec<&model::Element> = subjects
        .filter_map(|subject| match subject {
            Subject::Face { part, element } => Some(&book.part(part).elements[element]),
            _ => None,
        })
        .collect();
    let has = |wanted: fn(&Face) -> bool| {
        elements.iter().any(|element| element.face().is_some_and(|face| wanted(&face)))
    };
    let kind =
        |wanted: Kind| book.parts.iter().any(|part| Some(part.sheet) == page.sheet && part.kind == wanted);
    let puts = |wanted: &[Instrument]| {
        acts.iter().any(|act| match act {
            Act::Connect { instrument, .. } | Act::Measure { instrument, .. } => wanted.contains(instrument),
            _ => false,
        })
    };
    let pulls = |wanted: &[Kind]| {
        acts.iter().any(|act| matches!(act, Act::Unplug(part) if wanted.contains(&book.part(*part).kind)))
    };
    let hot_lamp = elements.iter().any(|element| match &element.action {
        Action::Filament { watts, .. } => watts.0 >= 15.0,
        _ => false,
    });
    let mut needed = BTreeSet::from([("warning", "live")]);
    let mut add = |when: bool, signal: &'static str, key: &'static str| {
        if when {
            needed.insert((signal, key));
        }
    };
    add(has(|face| matches!(face, Face::Motor { .. } | Face::Valve | Face::Starter)), "warning", "motion");
    add(has(|face| matches!(face, Face::Valve)) || kind(Kind::Valve), "warning", "stored");
    add(has(|face| matches!(face, Face::Starter)), "caution", "crank");
    add(has(|face| matches!(face, Face::Heater)) || hot_lamp, "caution", "hot");
    add(puts(&[Instrument::Ohmmeter, Instrument::ContinuityLight]), "notice", "ohmmeter");
    add(puts(&[Instrument::Jumper, Instrument::FusedJumper]), "notice", "jumper");
    add(pulls(&[Kind::Fuse, Kind::FusibleLink]), "notice", "fuse");
    let unplugs = acts.iter().any(|act| matches!(act, Act::Unplug(_)));
    add(kind(Kind::Module) && unplugs, "notice", "module");
    needed
}

/// Holds the standing warnings in a box of a page; a signal word about injury has its symbol, one about property none.
fn hold_warnings(shown: &[&Element], needed: &BTreeSet<(&str, &str)>, about: &str) {
    let told: BTreeSet<(String, String)> = shown
        .iter()
        .map(|box_| (box_.one(".signal strong").text(), box_.all("p").last().unwrap().text()))
        .collect();
    for (signal, key) in needed {
        let box_ =
            (text(&format!("signal.{signal}")).to_string(), text(&format!("caution.{key}")).to_string());
        assert!(told.contains(&box_), "{about} warns of `{key}`: {told:?}");
    }
    let standing: BTreeSet<&str> = words::section("caution").values().map(String::as_str).collect();
    let count = told.iter().filter(|(_, words)| standing.contains(words.as_str())).count();
    assert_eq!(count, needed.len(), "{about} warns of nothing else");
    for box_ in shown {
        let injures = ["danger", "warning", "caution"]
            .iter()
            .any(|signal| box_.one(".signal strong").text() == text(&format!("signal.{signal}")));
        assert_eq!(box_.maybe("svg.alert-symbol").is_some(), injures, "{about}: the symbol of injury");
    }
}

#[test]
fn each_page_and_sheet_warns_of_what_its_work_can_do() {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for printed in worked() {
        let book = printed.book;
        for paper in papers(printed) {
            let needed = needed(book, book.page(paper.page), &paper.places);
            seen.extend(needed.iter().map(|(_, key)| *key));
            hold_warnings(&paper.doc.all("section.warnings div.caution"), &needed, paper.path);
            // Before the first step.
            let main = paper.doc.one("main").text();
            let first = paper.doc.all("section.item")[0].text();
            assert!(main.find(text("caution.live")) < main.find(&first), "{}", paper.path);
        }
        for page in printed.chapters() {
            let places: Vec<Place> =
                printed.places().into_iter().filter(|place| place.page == page).collect();
            let works = places.iter().any(|place| !matches!(book.section(*place).role, Role::Text));
            let path = &*printed.path(page);
            let doc = printed.page(path);
            let shown = doc.all("div.standing div.caution");
            match works {
                true => hold_warnings(&shown, &needed(book, book.page(page), &places), path),
                false => assert!(shown.is_empty(), "{path}"),
            }
        }
    }
    let all: BTreeSet<&str> = words::section("caution").keys().map(String::as_str).collect();
    assert_eq!(seen, all, "each warning is called for somewhere");
}

/// The author's own warnings in a text: the signal's class and the words, until the quote ends.
fn alerts(prose: &Prose) -> Vec<(&'static str, String)> {
    let mut found: Vec<(&'static str, String)> = Vec::new();
    let mut open = false;
    for (at, event) in prose.iter().enumerate() {
        match event {
            Event::Start(Tag::BlockQuote(_)) => {
                let Some(Event::Text(word)) = prose.get(at + 3) else { continue };
                let class = match &**word {
                    "DANGER" => "danger",
                    "WARNING" => "warning",
                    "CAUTION" => "caution",
                    "NOTICE" => "notice",
                    "NOTE" => "note",
                    _ => continue,
                };
                found.push((class, String::new()));
                open = true;
            }
            Event::End(pulldown_cmark::TagEnd::BlockQuote(_)) => open = false,
            // The signal word itself stands at the head of its box.
            Event::Text(_) if matches!(prose[at - 1], Event::Start(Tag::Strong)) && at > 2 => {}
            Event::Text(words) if open => found.last_mut().unwrap().1.push_str(words),
            Event::SoftBreak if open => found.last_mut().unwrap().1.push(' '),
            _ => {}
        }
    }
    for (_, words) in &mut found {
        *words = words.trim_start().to_string();
    }
    found
}

#[test]
fn an_authors_warning_stands_on_the_page_and_first_on_each_of_its_sheets() {
    let mut seen = 0;
    for printed in worked() {
        let book = printed.book;
        let papers = papers(printed);
        for page in printed.chapters() {
            let path = printed.path(page);
            let doc = printed.page(&path);
            for section in &book.page(page).sections {
                for (class, words) in alerts(&section.prose) {
                    let there = doc.all(&format!("div.caution.{class}"));
                    assert!(there.iter().any(|box_| box_.text().contains(&words)), "{path}: {words}");
                    if section.level > 0 {
                        continue;
                    }
                    for paper in papers.iter().filter(|paper| paper.page == page) {
                        let first = paper.doc.all(&format!("section.warnings div.caution.{class}"));
                        assert!(
                            first.iter().any(|box_| box_.text().contains(&words)),
                            "{}: {words}",
                            paper.path
                        );
                        seen += 1;
                    }
                }
            }
        }
    }
    assert!(seen > 10, "{seen} warnings on sheets");
}

#[test]
fn the_ways_into_a_page_lead_to_what_they_name() {
    for printed in worked() {
        let book = printed.book;
        for page in printed.chapters() {
            let path = &*printed.path(page);
            let doc = printed.page(path);
            for link in doc.all("nav.ladder a") {
                let to = follow(path, link.get("href").unwrap());
                let anchor = to.split_once('#').unwrap().1;
                let section = book.page(page).sections.iter().find(|section| section.anchor == anchor);
                assert_eq!(Some(link.text()), section.map(|section| section.title.clone()), "{path}");
            }
            let count = |wanted: fn(&Role) -> bool| {
                book.page(page).sections.iter().filter(|section| wanted(&section.role)).count()
            };
            let procedures = count(|role| matches!(role, Role::Procedure));
            let steps = count(|role| matches!(role, Role::Step(_)));
            let wanted = if procedures > 0 { procedures } else { steps };
            if wanted > 2 {
                assert_eq!(doc.all("nav.ladder a").len(), wanted, "{path}");
            }
        }
    }
}
