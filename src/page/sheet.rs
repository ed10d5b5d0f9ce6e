//! Turns checkouts and procedures into sheets to print: one procedure a sheet, complete on paper, without a link to follow.

use super::Output;
use super::address::{self, Root};
use super::caution;
use super::escape::{css_string, escape};
use super::excerpt;
use super::kit::{Chrome, Kit, Link};
use super::prose;
use super::steps::{self, Branch, StepView, TestView};
use super::table;
use crate::book::{Act, Book, End, Instrument, Page, PageId, Paper, Place, Point, Role, Section, Target};
use serde::Serialize;
use std::collections::BTreeSet;

/// The view of `sheet.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Sheet {
    pub chrome: Chrome,
    /// The page that it is from.
    pub page: Link,
    /// CSS: the paper and what runs along its edges.
    pub paper: String,
    /// HTML: the author's alerts and the standing ones.
    pub alerts: String,
    pub cautions: Vec<caution::Standing>,
    pub tools: Vec<String>,
    pub time: String,
    pub start: Vec<Start>,
    /// HTML before the first step.
    pub intro: String,
    pub items: Vec<Task>,
    pub points: Vec<PointRow>,
    /// SVG.
    pub drawing: String,
    /// Printed after the last step: what follows.
    pub follows: String,
}

/// How the vehicle stands when the work begins, for each step that leads here.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Start {
    /// The failed step; none for a checkout, which starts at rest.
    pub after: Option<String>,
    pub state: Vec<String>,
}

/// A step or test of a sheet.
#[derive(Debug, Clone, Serialize)]
pub struct Task {
    pub number: String,
    pub title: String,
    pub prose: String,
    pub after: String,
    pub step: Option<StepView>,
    pub test: Option<TestView>,
}

/// A test point with what a technician needs to find it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointRow {
    /// The number that marks it in the wiring excerpt.
    pub mark: String,
    pub point: String,
    pub place: String,
    /// HTML.
    pub wires: String,
}

/// Minutes that one test of a procedure takes (common practice, no source).
const TEST_MINUTES: usize = 3;

/// Minutes that one checkout step takes (common practice, no source).
const STEP_MINUTES: usize = 1;

/// The sheets of a page: one for a page with steps, one for each procedure.
fn sheets_of(page: &Page) -> Vec<Option<u32>> {
    let steps = page.sections.iter().any(|section| matches!(section.role, Role::Step(_)));
    let procedures = page.sections.iter().enumerate();
    let procedures = procedures.filter(|(_, section)| matches!(section.role, Role::Procedure));
    let whole = steps.then_some(None);
    whole.into_iter().chain(procedures.map(|(section, _)| Some(section as u32))).collect()
}

/// Links to a page's sheets.
pub fn links(kit: &Kit, id: PageId, root: Root) -> Vec<Link> {
    let page = kit.book.page(id);
    let link = |section: Option<u32>| Link {
        text: title(page, section),
        href: root.to(&address::sheet(kit.book, id, section)),
        here: false,
    };
    sheets_of(page).into_iter().map(link).collect()
}

fn title(page: &Page, procedure: Option<u32>) -> String {
    match procedure {
        Some(section) => page.sections[section as usize].title.clone(),
        None => page.title.clone(),
    }
}

/// The page that lists all sheets, and the sheets.
pub fn all(kit: &Kit) -> Vec<Output> {
    use rayon::prelude::*;
    let wanted: Vec<(PageId, Option<u32>)> = kit
        .book_pages()
        .flat_map(|page| sheets_of(kit.book.page(page)).into_iter().map(move |section| (page, section)))
        .collect();
    let mut outputs: Vec<Output> =
        wanted.par_iter().map(|&(page, section)| sheet(kit, page, section)).collect();
    outputs.push(index(kit));
    outputs
}

/// The view of `sheets.html`: each page with its sheets.
#[derive(Debug, Clone, Serialize)]
struct Index {
    chrome: Chrome,
    pages: Vec<(String, Vec<Link>)>,
}

fn index(kit: &Kit) -> Output {
    let path = "sheets/index.html";
    let chrome = kit.chrome(path, &kit.words.text("nav.sheets"), None);
    let pages =
        kit.book_pages().map(|page| (kit.book.page(page).title.clone(), links(kit, page, chrome.root)));
    let view = Index { pages: pages.filter(|(_, links)| !links.is_empty()).collect(), chrome };
    kit.templates.page("sheets.html", path, &view)
}

/// The sections that a sheet is made of.
fn extent(page: &Page, procedure: Option<u32>) -> std::ops::Range<u32> {
    let count = page.sections.len() as u32;
    match procedure {
        None => 0..count,
        Some(first) => {
            let level = page.sections[first as usize].level;
            let next = (first + 1..count).find(|&section| page.sections[section as usize].level <= level);
            first..next.unwrap_or(count)
        }
    }
}

fn sheet(kit: &Kit, id: PageId, procedure: Option<u32>) -> Output {
    let page = kit.book.page(id);
    let path = address::sheet(kit.book, id, procedure);
    let chrome = kit.chrome(&path, &title(page, procedure), page.sheet);
    let (root, paper) = (chrome.root, chrome.root.on_paper());
    let extent = extent(page, procedure);
    let sections: Vec<(u32, &Section)> =
        extent.clone().map(|section| (section, &page.sections[section as usize])).collect();
    let works = |section: &Section| matches!(section.role, Role::Step(_) | Role::Test(_));
    let first_work = sections.iter().position(|(_, section)| works(section)).unwrap_or(sections.len());

    // The page's own opening belongs to every sheet of it; then what stands before the first step.
    let mut alerts = String::new();
    let mut intro = String::new();
    let opening = page.sections.first().filter(|section| section.level == 0 && procedure.is_some());
    for section in opening.into_iter().chain(sections[..first_work].iter().map(|(_, section)| *section)) {
        let (first, rest) = prose::alerts_first(&section.prose);
        alerts.push_str(&prose::html(kit, &first, paper));
        intro.push_str(&prose::html(kit, &rest, paper));
    }
    let numbers = numbers(&sections);
    let items =
        sections[first_work..].iter().filter(|(_, section)| works(section) || !section.prose.is_empty());
    let items = items
        .map(|&(number, section)| task(kit, Place { page: id, section: number }, section, &numbers, paper));
    let points = points(&sections);
    let view = Sheet {
        page: Link { text: page.title.clone(), href: root.to(&address::page(kit.book, id)), here: false },
        paper: paper_css(kit, &chrome.title),
        alerts,
        cautions: caution::standing(kit, page, sections.iter().map(|(_, section)| &section.role)),
        tools: tools(kit, page, sections.iter().map(|(_, section)| *section)),
        time: time(kit, page, id, procedure, &sections),
        start: start(kit, id, procedure),
        intro,
        items: items.collect(),
        points: points.iter().filter_map(|(mark, point)| point_row(kit, mark, *point, paper)).collect(),
        drawing: excerpt::svg(kit, page.sheet, &touched(kit.book, &sections, points)),
        follows: kit.words.text(if procedure.is_some() { "sheet.then-checkout" } else { "sheet.then-done" }),
        chrome,
    };
    kit.templates.page("sheet.html", &path, &view)
}

/// The numbers of a sheet's steps and tests, by section: the author's own where its title begins with one.
fn numbers(sections: &[(u32, &Section)]) -> Vec<(u32, String)> {
    let works = sections.iter().filter(|(_, section)| matches!(section.role, Role::Step(_) | Role::Test(_)));
    let number = |(at, (section, held)): (usize, &(u32, &Section))| {
        let first = held.title.split_whitespace().next().unwrap_or("");
        let own = first.trim_end_matches(['.', ':', ')']);
        let is_number = own.starts_with(|c: char| c.is_ascii_digit())
            && own.chars().all(|c| c.is_ascii_digit() || c == '.');
        (*section, if is_number { own.to_string() } else { (at + 1).to_string() })
    };
    works.enumerate().map(number).collect()
}

fn task(kit: &Kit, place: Place, section: &Section, numbers: &[(u32, String)], paper: Root) -> Task {
    let number = numbers.iter().find(|(at, _)| *at == place.section);
    let number = number.map_or_else(String::new, |(_, number)| number.clone());
    let title = untold(&section.title, &number);
    let (mut step, mut test) = (None, None);
    match &section.role {
        Role::Step(held) => {
            let mut view = steps::step(kit, place, held, paper);
            number_branches(
                kit,
                place,
                &mut view.branches,
                held.branches.iter().map(|branch| Some(branch.to)),
                numbers,
            );
            step = Some(view);
        }
        Role::Test(held) => {
            let mut view = steps::test(kit, place, held, paper);
            let targets = held.outcomes.iter().map(|outcome| match outcome.to {
                Target::Go(to) => Some(to),
                _ => None,
            });
            number_branches(kit, place, &mut view.branches, targets, numbers);
            test = Some(view);
        }
        Role::Text | Role::Procedure | Role::Question(_) => {}
    }
    Task {
        title: title.to_string(),
        number,
        prose: prose::html(kit, &section.prose, paper),
        after: prose::html(kit, &section.after, paper),
        step,
        test,
    }
}

/// A title without the number that stands beside it: `Lamp test` of `Step 2: Lamp test`, and of `2 Lamp test`.
fn untold<'t>(title: &'t str, number: &str) -> &'t str {
    let rest = title.strip_prefix(number).or_else(|| {
        let (before, rest) = title.split_once(':')?;
        let told = before.split_whitespace().last() == Some(number);
        told.then_some(rest)
    });
    let rest = rest.unwrap_or(title).trim_start_matches([' ', '.', ':', ')']);
    if rest.is_empty() { title } else { rest }
}

/// On paper a branch leads to a number of this sheet, or to another sheet by its title.
fn number_branches(
    kit: &Kit,
    from: Place,
    branches: &mut [Branch],
    targets: impl Iterator<Item = Option<Place>>,
    numbers: &[(u32, String)],
) {
    for (branch, target) in branches.iter_mut().zip(targets) {
        let Some(to) = target else { continue };
        let here = numbers.iter().find(|(section, _)| to.page == from.page && *section == to.section);
        match here {
            Some((_, number)) => {
                branch.number = Some(number.clone());
                branch.then = escape(&kit.words.fill("sheet.go-number", &[("n", number)]));
            }
            None => {
                let own = kit.book.page(from.page).sheet;
                let title = match kit.book.page(to.page).sheet == own {
                    true => kit.book.section(to).title.clone(),
                    false => kit.place_title(to),
                };
                branch.then = escape(&kit.words.fill("sheet.go-sheet", &[("title", &title)]));
            }
        }
    }
}

/// The paper, and the lines along its edges: what book, what sheet, which page, which proof.
pub fn paper_css(kit: &Kit, title: &str) -> String {
    let manual = &kit.book.manual;
    let size = match manual.paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    let stamp = match kit.draft {
        Some(_) => kit.words.text("draft.stamp"),
        None => kit.words.fill("sheet.stamp", &[("stamp", kit.stamp)]),
    };
    let page = kit.words.fill("sheet.page", &[("page", "\u{1}"), ("pages", "\u{2}")]);
    let page = page
        .split('\u{1}')
        .map(|piece| {
            let pieces: Vec<String> =
                piece.split('\u{2}').map(|piece| format!("\"{}\"", css_string(piece))).collect();
            pieces.join(" counter(pages) ")
        })
        .collect::<Vec<_>>()
        .join(" counter(page) ");
    format!(
        "@page {{ size: {size}; @top-left {{ content: \"{}\"; }} @top-right {{ content: \"{}\"; }} \
         @bottom-left {{ content: \"{}\"; }} @bottom-right {{ content: {page}; }} }}",
        css_string(&format!("{} · {}", manual.title, manual.vehicle)),
        css_string(title),
        css_string(&format!("{} · {stamp}", manual.edition)),
    )
}

/// The tools of some sections: the author's, and the instruments that the lines use.
pub fn tools<'s>(kit: &Kit, page: &Page, sections: impl Iterator<Item = &'s Section>) -> Vec<String> {
    let mut used: BTreeSet<Instrument> = BTreeSet::new();
    for section in sections {
        for act in section.role.acts() {
            if let Act::Connect { instrument, .. } | Act::Measure { instrument, .. } = act {
                used.insert(*instrument);
            }
        }
    }
    let instruments = used.into_iter().map(|tool| kit.say().instrument(tool));
    instruments.chain(page.tools.iter().cloned()).collect()
}

/// The author's time, or an estimate: for a procedure by the longest way to a verdict that any fault takes.
fn time(kit: &Kit, page: &Page, id: PageId, procedure: Option<u32>, sections: &[(u32, &Section)]) -> String {
    if let (Some(time), None) = (&page.time, procedure) {
        return time.clone();
    }
    let minutes = match procedure {
        None => {
            sections.iter().filter(|(_, section)| matches!(section.role, Role::Step(_))).count()
                * STEP_MINUTES
        }
        Some(section) => {
            let here = Some(Place { page: id, section });
            let shown = kit.proof.faults.iter().filter_map(|showing| showing.shown.as_ref());
            let tests = shown
                .filter(|shown| shown.procedure == here)
                .filter_map(|shown| Some(shown.walk.as_ref()?.trail.len()));
            tests.max().unwrap_or(1) * TEST_MINUTES
        }
    };
    kit.words.fill("sheet.minutes", &[("n", &minutes.to_string())])
}

/// How the vehicle stands at the start: at rest for a checkout, else as each step that leads here leaves it.
fn start(kit: &Kit, page: PageId, procedure: Option<u32>) -> Vec<Start> {
    let Some(section) = procedure else {
        let sheet = kit.book.page(page).sheet;
        let controls =
            sheet.map_or_else(Vec::new, |sheet| kit.illustrations.live[sheet.index()].controls.clone());
        let rest =
            controls.into_iter().map(|control| kit.say().setting(control, kit.book.control(control).rest()));
        return vec![Start { after: None, state: rest.collect() }];
    };
    let from = kit.leads.get(&Place { page, section }).cloned().unwrap_or_default();
    let steps = from.into_iter().filter(|place| matches!(kit.book.section(*place).role, Role::Step(_)));
    steps
        .map(|place| {
            let exhibit = kit.illustrations.steps.get(&place).and_then(|exhibits| exhibits.first());
            Start {
                after: Some(kit.place_title(place)),
                state: exhibit
                    .map_or_else(Vec::new, |exhibit| kit.say().off_rest(&exhibit.evidence.settings)),
            }
        })
        .collect()
}

/// The points where leads are put, each once with its number; a post of the battery and plain body metal need none.
fn points(sections: &[(u32, &Section)]) -> Vec<(String, Point)> {
    let mut points: Vec<Point> = Vec::new();
    for act in sections.iter().flat_map(|(_, section)| section.role.acts()) {
        let Act::Connect { from, to, .. } = *act else {
            continue;
        };
        for point in [from, to] {
            let plain = matches!(point, Point::BatteryPlus | Point::BatteryMinus | Point::Ground);
            if !plain && !points.contains(&point) {
                points.push(point);
            }
        }
    }
    let numbered = points.into_iter().enumerate();
    numbered.map(|(at, point)| ((at + 1).to_string(), point)).collect()
}

fn point_row(kit: &Kit, mark: &str, point: Point, paper: Root) -> Option<PointRow> {
    let (end, place) = match point {
        Point::Terminal { part, terminal, .. } => {
            let held = kit.book.part(part);
            let place = [Some(held.name.clone()), held.place.clone()];
            (End::Terminal { part, terminal }, place)
        }
        Point::Cavity { connector, cavity, side } => {
            let held = kit.book.connector(connector);
            let end = End::Cavity { connector, cavity, side };
            (end, [Some(held.name.clone()), held.place.clone()])
        }
        Point::WireEnd { wire, end } => (kit.book.wire(wire).ends[end as usize], [None, None]),
        Point::BatteryPlus | Point::BatteryMinus | Point::Ground => return None,
    };
    let wires: Vec<_> = table::wires_of(kit, None)
        .into_iter()
        .filter(|wire| kit.book.wire(*wire).ends.contains(&end))
        .collect();
    Some(PointRow {
        mark: mark.to_string(),
        point: kit.say().point(point),
        place: place.into_iter().flatten().collect::<Vec<_>>().join(", "),
        wires: table::wire_links(kit, &wires, paper),
    })
}

/// What a sheet's lines touch, look at or blame: what its wiring excerpt shows, and where its leads are put.
fn touched(book: &Book, sections: &[(u32, &Section)], points: Vec<(String, Point)>) -> excerpt::Touched {
    let mut touched = excerpt::Touched { points, ..excerpt::Touched::default() };
    for (_, section) in sections {
        match &section.role {
            role @ Role::Test(_) => touched.things.extend(role.items().into_iter().chain(role.blamed(book))),
            // What a step expects is no reason to cut the drawing down to it.
            role => touched.things.extend(role.acts().iter().flat_map(Act::items)),
        }
    }
    touched
}
