//! Turns an author's page into HTML, with what is made from its circuit after it.

use super::Output;
use super::address::{self, Root};
use super::caution;
use super::kit::{Chrome, Kit, Link};
use super::operation;
use super::prose;
use super::steps::{self, StepView, TestView};
use super::table;
use crate::book::{List, Page, PageId, PageKind, Place, Role, SheetId, Shows};
use crate::draw::Use;
use serde::Serialize;

/// The view of `chapter.html`.
#[derive(Debug, Clone, Serialize)]
pub struct Chapter {
    pub chrome: Chrome,
    /// `theory`, `checkout`, `troubleshooting` or `service`.
    pub kind: PageKind,
    pub time: Option<String>,
    pub tools: Vec<String>,
    /// The page's steps, procedures or chapters, to jump to.
    pub ladder: Vec<Link>,
    /// The sheets to print.
    pub sheets: Vec<Link>,
    /// The standing cautions, as HTML.
    pub cautions: Vec<caution::Standing>,
    /// Text before the first heading is a section without a title.
    pub sections: Vec<Section>,
    /// Parts that are made from the circuit, for a theory page that does not have them already.
    pub made: Vec<Made>,
}

/// A section of a page.
#[derive(Debug, Clone, Serialize)]
pub struct Section {
    pub level: u8,
    pub anchor: String,
    pub title: String,
    /// `text`, `step`, `procedure` or `test`.
    pub role: String,
    /// HTML before and after the step's lines.
    pub prose: String,
    pub after: String,
    pub step: Option<StepView>,
    pub test: Option<TestView>,
    /// The sections that lead here.
    pub from: Vec<Link>,
    /// The sheet to print for this procedure.
    pub sheet: Option<String>,
}

/// A made part of a page: its heading and its HTML.
#[derive(Debug, Clone, Serialize)]
pub struct Made {
    pub anchor: String,
    pub title: String,
    pub html: String,
}

/// An author's page.
pub fn page(kit: &Kit, id: PageId) -> Output {
    let page = kit.book.page(id);
    let path = address::page(kit.book, id);
    let chrome = kit.chrome(&path, &page.title, page.sheet);
    let root = chrome.root;
    let works = |section: &crate::book::Section| !matches!(section.role, Role::Text);
    let has_work = page.sections.iter().any(works);
    let cautions = match has_work {
        true => caution::standing(kit, page, page.sections.iter().map(|section| &section.role)),
        false => Vec::new(),
    };
    let view = Chapter {
        kind: page.kind,
        time: page.time.clone(),
        tools: if has_work { super::sheet::tools(kit, page, page.sections.iter()) } else { Vec::new() },
        ladder: ladder(page),
        sheets: super::sheet::links(kit, id, root),
        cautions,
        sections: (0..page.sections.len() as u32)
            .map(|section| self::section(kit, id, section, root))
            .collect(),
        made: match (page.kind, page.sheet) {
            (PageKind::Theory, Some(sheet)) if kit.system_page(sheet) == path => {
                made(kit, page, id, sheet, root)
            }
            _ => Vec::new(),
        },
        chrome,
    };
    kit.templates.page("chapter.html", &path, &view)
}

/// What a reader jumps to: the procedures, else the steps, else the chapters.
fn ladder(page: &Page) -> Vec<Link> {
    let of = |wanted: &dyn Fn(&crate::book::Section) -> bool| -> Vec<Link> {
        let sections = page.sections.iter().filter(|section| wanted(section));
        sections
            .map(|section| Link {
                text: section.title.clone(),
                href: format!("#{}", section.anchor),
                here: false,
            })
            .collect()
    };
    let procedures = of(&|section| matches!(section.role, Role::Procedure));
    let steps = of(&|section| matches!(section.role, Role::Step(_)));
    match (procedures.is_empty(), steps.is_empty()) {
        (false, _) => procedures,
        (true, false) => steps,
        (true, true) => of(&|section| (1..=2).contains(&section.level)),
    }
}

fn section(kit: &Kit, page: PageId, number: u32, root: Root) -> Section {
    let place = Place { page, section: number };
    let content = kit.book.section(place);
    let (role, step, test) = match &content.role {
        Role::Text | Role::Question(_) => ("text", None, None),
        Role::Procedure => ("procedure", None, None),
        Role::Step(step) => ("step", Some(steps::step(kit, place, step, root)), None),
        Role::Test(test) => ("test", None, Some(steps::test(kit, place, test, root))),
    };
    Section {
        level: content.level,
        anchor: content.anchor.clone(),
        title: content.title.clone(),
        role: role.to_string(),
        prose: prose::html(kit, &content.prose, root),
        after: prose::html(kit, &content.after, root),
        step,
        test,
        from: if role == "text" { Vec::new() } else { steps::led_from(kit, place, root) },
        sheet: matches!(content.role, Role::Procedure)
            .then(|| root.to(&address::sheet(kit.book, page, Some(number)))),
    }
}

/// What a system's page shows of its circuit when its author has not placed it.
fn made(kit: &Kit, page: &Page, id: PageId, sheet: SheetId, root: Root) -> Vec<Made> {
    let placed = |wanted: &dyn Fn(&Shows) -> bool| {
        kit.book.figures.iter().any(|figure| figure.page == id && wanted(&figure.shows))
    };
    let mut made = Vec::new();
    let heading = |key: &str| kit.words.text(&format!("made.{key}"));
    let mut add = |key: &str, html: String| {
        let taken = page.sections.iter().any(|section| section.anchor == key);
        made.push(Made {
            anchor: if taken { format!("made-{key}") } else { key.to_string() },
            title: heading(key),
            html,
        });
    };
    if !placed(
        &|shows| matches!(shows, Shows::Drawing { sheet: of, setup } if *of == sheet && setup.is_empty()),
    ) {
        let svg = kit.drawings.svg(kit.say(), sheet, None, Use::Still);
        add("drawing", format!(r#"<div class="scroll paper" tabindex="0">{svg}</div>"#));
    }
    add("operation", operation::table(kit, sheet, root).html(kit));
    for list in [List::Parts, List::Reasons, List::Connectors, List::Grounds, List::Wires] {
        if placed(
            &|shows| matches!(shows, Shows::List { sheet: of, list: placed } if *of == sheet && *placed == list),
        ) {
            continue;
        }
        let table = table::of(kit, list, Some(sheet), root);
        if !table.rows.is_empty() {
            add(list.word(), table.html(kit));
        }
    }
    made
}
