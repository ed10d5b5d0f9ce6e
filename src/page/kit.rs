//! What every page is made from: the book, what was proved of it, its words, its templates and its drawings.

use super::address::{self, Root};
use super::drawing::Drawings;
use super::escape::escape;
use super::names::Names;
use super::templates::Templates;
use super::words::Words;
use crate::book::{Book, BuildId, FaultId, Item, List, PageId, PageKind, Place, Say, SheetId, WireId};
use crate::proof::coverage::Shown;
use crate::proof::tables::Tables;
use crate::proof::{Illustrations, Proof};
use serde::Serialize;
use std::collections::BTreeMap;

/// Everything at hand while pages are made; nothing in it changes.
pub struct Kit<'a> {
    pub book: &'a Book,
    pub proof: &'a Proof,
    pub tables: Tables,
    /// The rows of the fault map by the sheet that their checkout is about, as indices: a large book has tens of thousands.
    pub fault_rows: BTreeMap<SheetId, Vec<usize>>,
    /// The faults by the names that the tables have for them.
    pub faults: BTreeMap<&'a str, FaultId>,
    /// The faults of each part, wire and connector.
    pub faults_of: BTreeMap<Item, Vec<FaultId>>,
    /// Where a fault first shows in a checkout of its own system.
    pub shown_at_home: BTreeMap<FaultId, &'a Shown>,
    pub illustrations: &'a Illustrations,
    pub words: &'a Words,
    pub templates: &'a Templates,
    pub names: Names<'a>,
    pub drawings: Drawings,
    /// The sections that name each part, wire and connector.
    pub mentions: BTreeMap<Item, Vec<Place>>,
    /// The sections that lead to each section.
    pub leads: BTreeMap<Place, Vec<Place>>,
    pub stamp: &'a str,
    /// The book is written although it is not proved, with so many findings.
    pub draft: Option<usize>,
    /// Whether the draft is written again at every change, and an open page of it is to follow.
    pub watched: bool,
}

/// The rows of the fault map by the sheet that their checkout is about; of a checkout about none there are none.
pub fn rows_by_sheet(book: &Book, tables: &Tables) -> BTreeMap<SheetId, Vec<usize>> {
    let pages = book.pages.iter();
    let sheets: BTreeMap<&str, SheetId> =
        pages.filter_map(|page| Some((page.path.as_str(), page.sheet?))).collect();
    let mut rows: BTreeMap<SheetId, Vec<usize>> = BTreeMap::new();
    for (at, row) in tables.faults.iter().enumerate() {
        if let Some(&sheet) = sheets.get(row.checkout.as_str()) {
            rows.entry(sheet).or_default().push(at);
        }
    }
    rows
}

/// Every fault by its name in a step line.
pub fn faults_by_name(book: &Book) -> BTreeMap<&str, FaultId> {
    let faults = book.faults.iter().enumerate();
    faults.map(|(at, fault)| (fault.name.as_str(), FaultId(at as u32))).collect()
}

/// The faults of each item, in the book's order.
pub fn faults_by_item(book: &Book) -> BTreeMap<Item, Vec<FaultId>> {
    let mut found: BTreeMap<Item, Vec<FaultId>> = BTreeMap::new();
    for (at, fault) in book.faults.iter().enumerate() {
        found.entry(fault.item).or_default().push(FaultId(at as u32));
    }
    found
}

/// Where each fault first shows in a checkout of its own system, of those that do.
pub fn shown_at_home<'a>(book: &Book, proof: &'a Proof) -> BTreeMap<FaultId, &'a Shown> {
    let mut found = BTreeMap::new();
    for showing in &proof.faults {
        let Some(shown) = &showing.shown else {
            continue;
        };
        if book.page(showing.page).sheet == Some(book.item_sheet(book.fault(showing.fault).item)) {
            found.entry(showing.fault).or_insert(shown);
        }
    }
    found
}

/// A link of a page: `href` leads from the page itself.
#[derive(Debug, Clone, Serialize)]
pub struct Link {
    pub text: String,
    pub href: String,
    /// The page is this one.
    pub here: bool,
}

/// What every template is given beside its own view: `chrome`.
#[derive(Debug, Clone, Serialize)]
pub struct Chrome {
    pub language: String,
    /// The page's own title, and the book's.
    pub title: String,
    pub book: String,
    pub vehicle: String,
    pub edition: String,
    pub stamp: String,
    pub paper: String,
    /// How many findings an unproven book has; none for a proved one.
    pub draft: Option<usize>,
    /// Whether the book is written again at every change.
    pub watched: bool,
    /// Leads from this page to the book's root.
    pub root: Root,
    /// The systems with their pages, for the strip's menu.
    pub systems: Vec<Link>,
    /// The system that the page belongs to, and that system's pages.
    pub system: Option<String>,
    pub tabs: Vec<Link>,
    /// The lists of the whole book.
    pub lists: Vec<Link>,
    pub options: Vec<Group>,
    /// Each build as the numbers of its choices, in the order of `options`.
    pub builds: String,
}

/// An option group for the build chooser.
#[derive(Debug, Clone, Serialize)]
pub struct Group {
    pub name: String,
    pub choices: Vec<String>,
}

impl<'a> Kit<'a> {
    /// By what a student's file tells which study pack it is from: the proof stamp, which a draft has not.
    pub fn pack_stamp(&self) -> String {
        if self.draft.is_some() { String::new() } else { self.stamp.to_string() }
    }

    /// Says things in the book's language.
    pub fn say(&self) -> Say<'_> {
        Say { book: self.book, words: self.words }
    }

    /// What every page at `path` is given; `sheet` is the system that it belongs to.
    pub fn chrome(&self, path: &str, title: &str, sheet: Option<SheetId>) -> Chrome {
        let manual = &self.book.manual;
        let root = Root::of(path);
        let link = |text: String, to: &str| Link { text, href: root.to(to), here: to == path };
        let systems = self.sheets().into_iter().map(|other| Link {
            here: Some(other) == sheet,
            ..link(self.book.sheets[other.index()].title.clone(), &self.system_page(other))
        });
        let tabs = sheet.map(|sheet| self.tabs(sheet)).unwrap_or_default();
        let lists = List::OF_BOOK.iter().map(|list| (self.list_title(*list), address::list(*list)));
        let more = [
            ("nav.glossary", "glossary.html"),
            ("nav.sheets", "sheets/index.html"),
            ("nav.proved", "proved.html"),
        ];
        let more = more.into_iter().map(|(key, to)| (self.words.text(key), to.to_string()));
        Chrome {
            language: self.words.language().to_string(),
            title: title.to_string(),
            book: manual.title.clone(),
            vehicle: manual.vehicle.clone(),
            edition: manual.edition.clone(),
            stamp: self.stamp.to_string(),
            paper: format!("{:?}", manual.paper),
            draft: self.draft,
            watched: self.watched,
            systems: systems.collect(),
            system: sheet.map(|sheet| self.book.sheets[sheet.index()].title.clone()),
            tabs: tabs.into_iter().map(|(text, to)| link(text, &to)).collect(),
            lists: lists.chain(more).map(|(text, to)| link(text, &to)).collect(),
            options: self
                .book
                .options
                .iter()
                .map(|group| Group { name: group.name.clone(), choices: group.choices.clone() })
                .collect(),
            builds: self
                .book
                .builds
                .iter()
                .map(|build| build.choices.iter().map(u16::to_string).collect::<Vec<_>>().join("."))
                .collect::<Vec<_>>()
                .join(" "),
            root,
        }
    }

    /// A list's title.
    pub fn list_title(&self, list: List) -> String {
        self.words.text(&format!("list.{}", list.word()))
    }

    /// The pages of a system: what its author wrote about it, and what is made from its circuit.
    fn tabs(&self, sheet: SheetId) -> Vec<(String, String)> {
        let mut tabs = Vec::new();
        let text = |key: &str| self.words.text(&format!("tab.{key}"));
        let own = self.pages_of(sheet);
        let theory = own.iter().any(|page| self.book.page(*page).kind == PageKind::Theory);
        let mut of_kind = |kind: PageKind, key: &str| {
            let pages: Vec<PageId> =
                own.iter().copied().filter(|page| self.book.page(*page).kind == kind).collect();
            for page in &pages {
                let title = match pages.len() {
                    1 => text(key),
                    _ => self.book.page(*page).title.clone(),
                };
                tabs.push((title, address::page(self.book, *page)));
            }
        };
        of_kind(PageKind::Theory, "theory");
        of_kind(PageKind::Checkout, "checkout");
        of_kind(PageKind::Troubleshooting, "troubleshooting");
        of_kind(PageKind::Service, "service");
        let at = usize::from(theory);
        tabs.insert(at, (text("circuit"), address::circuit(self.book, sheet)));
        tabs.push((text("map"), address::map(self.book, sheet)));
        tabs.push((text("data"), address::data(self.book, sheet)));
        tabs
    }

    /// The sheets in the order in which the author's pages come to them; those of no page last.
    pub fn sheets(&self) -> Vec<SheetId> {
        let mut sheets: Vec<SheetId> = (0..self.book.sheets.len() as u32).map(SheetId).collect();
        sheets.sort_by_key(|sheet| {
            let first = self.book.pages.iter().position(|page| page.sheet == Some(*sheet));
            first.unwrap_or(usize::MAX)
        });
        sheets
    }

    /// The author's pages about a system, in reading order.
    pub fn pages_of(&self, sheet: SheetId) -> Vec<PageId> {
        self.book_pages().filter(|&page| self.book.page(page).sheet == Some(sheet)).collect()
    }

    /// The author's pages that this room shows: all but those of the study pack.
    pub fn book_pages(&self) -> impl Iterator<Item = PageId> + use<'a> {
        let book = self.book;
        (0..book.pages.len() as u32).map(PageId).filter(|&page| book.page(page).kind != PageKind::Study)
    }

    /// The page to open for a system: its first theory page, or else its drawing.
    pub fn system_page(&self, sheet: SheetId) -> String {
        let theory = |page: &PageId| self.book.page(*page).kind == PageKind::Theory;
        match self.pages_of(sheet).into_iter().find(theory) {
            Some(page) => address::page(self.book, page),
            None => address::circuit(self.book, sheet),
        }
    }

    /// The title of a section with its page's: `Lift power checkout, Step 3: Lamp test`.
    pub fn place_title(&self, place: Place) -> String {
        let (page, section) = (self.book.page(place.page), self.book.section(place));
        if section.title.is_empty() {
            page.title.clone()
        } else {
            format!("{}: {}", page.title, section.title)
        }
    }

    /// Links to sections, from a page at `root`.
    pub fn places(&self, places: &[Place], root: Root) -> Vec<Link> {
        let link = |place: &Place| Link {
            text: self.place_title(*place),
            href: root.to(&address::place(self.book, *place)),
            here: false,
        };
        let shown = |place: &&Place| self.book.page(place.page).kind != PageKind::Study;
        places.iter().filter(shown).map(link).collect()
    }

    /// The way to a thing in a live drawing, chosen there, from a page at `root`; none where no drawing shows it.
    pub fn in_drawing(&self, thing: Item, root: Root) -> Option<String> {
        let sheet = self.drawings.showing(self.book, thing)?;
        Some(root.to(&address::shown(self.book, sheet, thing)))
    }

    /// A wire's color as letters with a swatch, as HTML.
    pub fn color(&self, wire: WireId) -> String {
        let color = &self.book.wire(wire).color;
        let stripe = color.stripe.unwrap_or(color.base);
        format!(
            r#"<span class="color" style="--base:{};--stripe:{}" title="{}">{}</span>"#,
            color.base.hex,
            stripe.hex,
            escape(&self.say().color(color)),
            escape(&color.to_string())
        )
    }

    /// The numbers of the builds that have something, for the build chooser; nothing when all do.
    pub fn build_list(&self, fitted: &[bool]) -> Option<String> {
        if fitted.iter().all(|&fits| fits) {
            return None;
        }
        let fits = fitted.iter().enumerate().filter(|(_, fits)| **fits);
        Some(fits.map(|(build, _)| build.to_string()).collect::<Vec<_>>().join(" "))
    }

    /// For each build of the book whether it is among some.
    pub fn among(&self, builds: &[BuildId]) -> Vec<bool> {
        let all = (0..self.book.builds.len() as u32).map(BuildId);
        all.map(|build| builds.contains(&build)).collect()
    }

    /// The names of builds; nothing when they are all there are.
    pub fn build_names(&self, builds: &[BuildId]) -> Option<String> {
        self.say().only(&self.among(builds))
    }

    /// Text as HTML with every id linked.
    pub fn linked(&self, text: &str, root: Root) -> String {
        self.names.link(text, root)
    }
}
