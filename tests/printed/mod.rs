//! Turns a book into its pages in memory, with all that they are held against: the book, its proof, and vehicles on the bench.

pub mod html;
pub mod words;

use goodground::bench::Rig;
use goodground::book::{Book, BuildId, PageId, Place, Role, SheetId, Vehicle};
use goodground::page::{Output, Request, pages};
use goodground::proof::{Illustrations, Proof, Silent, illustrate, prove};
use goodground::source::Sources;
use goodground::study::lab::{Lab, labs};
use goodground::study::quiz::{EACH, Question, ask, seed};
use html::{Element, parse};
use std::collections::BTreeMap;
use std::sync::{LazyLock, OnceLock};

/// The stamp that these books carry.
pub const STAMP: &str = "4f1d2-c0ffe";

/// A book as it is published.
pub struct Printed {
    pub sources: Sources,
    pub book: &'static Book,
    pub proof: Proof,
    pub illustrations: Illustrations,
    pub questions: Vec<Question>,
    pub labs: Vec<Lab>,
    /// The pages by their paths.
    pub pages: BTreeMap<String, String>,
    /// Each of those that are HTML, read when it is first asked for.
    read: BTreeMap<String, OnceLock<Element>>,
}

/// The book of this project's own `circuits` and `content`: several systems, options, relays, timers, a reversing motor.
pub static DEMO: LazyLock<Printed> = LazyLock::new(|| Printed::of(folder("")));

/// The clean book of planted slips: one system without options.
pub static BLADE: LazyLock<Printed> = LazyLock::new(|| Printed::of(folder("tests/planted/blade")));

/// A small vehicle whose pages have every hand, point and look, call for every standing warning, and whose steps have no
/// numbers of their own. Nothing of it has to be true.
pub static HANDS: LazyLock<Printed> = LazyLock::new(|| {
    let mut sources = Sources::default();
    for (path, content) in [
        (
            "content/manual.toml",
            "title = \"Hands\"\nvehicle = \"Cart\"\nedition = \"1\"\npaper = \"Letter\"\n\n[proof]\nsupply = \"12.8 V\"\n",
        ),
        ("circuits/hands.toml", include_str!("hands.toml")),
        ("content/hands-checkout.md", include_str!("hands-checkout.md")),
        ("content/hands-trouble.md", include_str!("hands-trouble.md")),
    ] {
        sources.add(path, content);
    }
    Printed::of(sources)
});

/// The same two with their study packs, which take as long again.
static DEMO_PACK: LazyLock<Printed> = LazyLock::new(|| DEMO.with_pack());
static BLADE_PACK: LazyLock<Printed> = LazyLock::new(|| BLADE.with_pack());

/// The two sound books with their study packs.
pub fn packs() -> [&'static Printed; 2] {
    [&DEMO_PACK, &BLADE_PACK]
}

/// The two sound ones.
pub fn books() -> [&'static Printed; 2] {
    [&DEMO, &BLADE]
}

/// A vehicle of each build, wired.
pub fn rigs(book: &Book) -> Vec<Rig> {
    let vehicle = Vehicle::of(book);
    (0..book.builds.len() as u32).map(|build| Rig::new(&vehicle, BuildId(build))).collect()
}

/// The files of a book in a folder of the project.
pub fn folder(path: &str) -> Sources {
    let mut sources = Sources::default();
    for (path, text) in crate::book::folder(path) {
        sources.add(path, text);
    }
    sources
}

impl Printed {
    /// Proves a book and publishes it, as a clean one without a study pack.
    pub fn of(sources: Sources) -> Printed {
        let (book, findings) = goodground::read::read(&sources, &[]);
        let found: Vec<String> = findings.iter().map(|finding| finding.headline.clone()).collect();
        assert_eq!(found, Vec::<String>::new(), "the book is sound");
        let book: &'static Book = Box::leak(Box::new(book));
        let proof = prove(book, &Silent);
        let illustrations = illustrate(book);
        Printed::with(sources, book, proof, illustrations, (Vec::new(), Vec::new()))
    }

    /// The same book with its study pack.
    pub fn with_pack(&self) -> Printed {
        let live = &self.illustrations.live;
        let pack =
            (ask(self.book, &self.proof, live, seed(self.book), EACH), labs(self.book, &self.proof, live));
        let (sources, proof) = (self.sources.clone(), self.proof.clone());
        Printed::with(sources, self.book, proof, self.illustrations.clone(), pack)
    }

    fn with(
        sources: Sources,
        book: &'static Book,
        proof: Proof,
        illustrations: Illustrations,
        (questions, labs): (Vec<Question>, Vec<Lab>),
    ) -> Printed {
        let (pages, read) = (BTreeMap::new(), BTreeMap::new());
        let mut printed = Printed { sources, book, proof, illustrations, questions, labs, pages, read };
        printed.pages = printed.publish(false);
        let html = printed.pages.keys().filter(|path| path.ends_with(".html"));
        printed.read = html.map(|path| (path.clone(), OnceLock::new())).collect();
        printed
    }

    /// The pages of the book, as a draft or as a proved one.
    pub fn publish(&self, draft: bool) -> BTreeMap<String, String> {
        self.made(self.book, &self.sources, draft)
    }

    /// The pages of the same book in another language, whose texts are given, with its author's words changed.
    pub fn in_language(
        &self,
        language: &str,
        strings: &str,
        author: impl Fn(&mut Book),
    ) -> BTreeMap<String, String> {
        let mut book = self.book.clone();
        author(&mut book);
        let mut sources = self.sources.clone();
        sources.add(format!("templates/strings/{language}.toml"), strings.to_string());
        self.made(&book, &sources, false)
    }

    fn made(&self, book: &Book, sources: &Sources, draft: bool) -> BTreeMap<String, String> {
        let (outputs, findings) = pages(&Request {
            book,
            sources,
            proof: &self.proof,
            illustrations: &self.illustrations,
            questions: &self.questions,
            labs: &self.labs,
            stamp: STAMP,
            findings: &[],
            draft,
            watched: false,
        });
        assert_eq!(findings.sorted().len(), 0, "templates and texts are whole");
        let text = |Output { path, bytes }| (path, String::from_utf8(bytes).expect("a page is text"));
        outputs.into_iter().map(text).collect()
    }

    /// A page.
    pub fn page(&self, path: &str) -> &Element {
        let read = self.read.get(path).unwrap_or_else(|| panic!("no page {path}"));
        read.get_or_init(|| parse(&self.pages[path]))
    }

    /// All pages in HTML.
    pub fn html(&self) -> impl Iterator<Item = (&str, &Element)> {
        self.read.keys().map(|path| (path.as_str(), self.page(path)))
    }

    /// The author's pages that are part of the book itself.
    pub fn chapters(&self) -> impl Iterator<Item = PageId> {
        let book = self.book;
        let all = (0..book.pages.len() as u32).map(PageId);
        all.filter(|page| book.page(*page).kind != goodground::book::PageKind::Study)
    }

    /// Every section of those.
    pub fn places(&self) -> Vec<Place> {
        let of = |page: PageId| {
            let sections = 0..self.book.page(page).sections.len() as u32;
            sections.map(move |section| Place { page, section })
        };
        self.chapters().flat_map(of).collect()
    }

    /// Every sheet.
    pub fn sheets(&self) -> impl Iterator<Item = SheetId> + use<> {
        (0..self.book.sheets.len() as u32).map(SheetId)
    }

    /// The path of a page, from the book's root.
    pub fn path(&self, page: PageId) -> String {
        format!("pages/{}.html", self.book.page(page).path.trim_end_matches(".md"))
    }

    /// The address of a section, from the book's root.
    pub fn address(&self, place: Place) -> String {
        let (page, section) = (self.path(place.page), self.book.section(place));
        if section.level == 0 { page } else { format!("{page}#{}", section.anchor) }
    }

    /// A section's title behind its page's.
    pub fn title(&self, place: Place) -> String {
        let (page, section) = (self.book.page(place.page), self.book.section(place));
        match section.title.is_empty() {
            true => page.title.clone(),
            false => format!("{}: {}", page.title, section.title),
        }
    }

    /// Whether a section is worked through.
    pub fn is_work(&self, place: Place) -> bool {
        matches!(self.book.section(place).role, Role::Step(_) | Role::Test(_))
    }
}

/// Where a link of a page leads: a path from the book's root, and the anchor.
pub fn follow(from: &str, href: &str) -> String {
    let (file, anchor) = href.split_once('#').map_or((href, None), |(file, anchor)| (file, Some(anchor)));
    let mut parts: Vec<&str> = from.split('/').collect();
    if !file.is_empty() {
        parts.pop();
        for part in file.split('/') {
            match part {
                ".." => assert!(parts.pop().is_some(), "{from}: {href} leaves the book"),
                part => parts.push(part),
            }
        }
    }
    let path = parts.join("/");
    anchor.map_or(path.clone(), |anchor| format!("{path}#{anchor}"))
}

/// Where a link leads, from the book's root.
pub fn target(from: &str, link: &Element) -> String {
    follow(from, link.get("href").expect("a link has an address"))
}
