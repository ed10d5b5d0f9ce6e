//! Turns the address of a page and an anchor into a place of the book.

use super::Draft;
use crate::book::{PageId, Place, SheetId};
use crate::finding::{Code, Finding};
use crate::read::log::{Log, suggestion};
use crate::source::Placed;
use std::collections::BTreeMap;

/// Every page with its anchors.
pub struct Places {
    pages: BTreeMap<String, (PageId, BTreeMap<String, u32>)>,
    /// By the pages' numbers: what each is called, what it is about, and the titles of its sections.
    pub titles: Vec<PageTitles>,
}

/// What a page and its sections are called.
pub struct PageTitles {
    pub title: String,
    pub sheet: Option<SheetId>,
    pub sections: Vec<String>,
}

/// Where a link within the book leads.
pub struct Destination {
    pub page: PageId,
    /// The page's path.
    pub path: String,
    /// The section, when the link has an anchor.
    pub section: Option<(String, u32)>,
}

impl Places {
    /// The places of all pages.
    pub fn of(drafts: &[Draft]) -> Places {
        let pages = drafts.iter().enumerate().map(|(number, draft)| {
            let anchors = draft.sections.iter().enumerate();
            let anchors = anchors.map(|(at, section)| (section.anchor.clone(), at as u32)).collect();
            (draft.path.clone(), (PageId(number as u32), anchors))
        });
        let titles = drafts.iter().map(|draft| PageTitles {
            title: draft.front.title.clone(),
            sheet: draft.front.sheet,
            sections: draft.sections.iter().map(|section| section.title.clone()).collect(),
        });
        Places { pages: pages.collect(), titles: titles.collect() }
    }

    /// Resolves `lift-trouble.md#t2` or `#t2`, seen from the page at `from`.
    pub fn find(&self, from: &str, address: &Placed<&str>, log: &Log) -> Option<Destination> {
        let (path, anchor) = match address.value.split_once('#') {
            Some((path, anchor)) => (path, Some(anchor)),
            None => (address.value, None),
        };
        let target = if path.is_empty() { from.to_string() } else { join(from, path) };
        let Some((page, anchors)) = self.pages.get(&target) else {
            let known = self.pages.keys().map(String::as_str);
            let span = address.span.within(0..path.len());
            log.unknown(Code::UnknownPage, span, "page", &target, known);
            return None;
        };
        let section = match anchor {
            None => None,
            Some(anchor) => {
                let Some(section) = anchors.get(anchor) else {
                    let at = address.value.len() - anchor.len();
                    let span = address.span.within(at..address.value.len());
                    let headline = format!("`{target}` has no place `#{anchor}`");
                    let hint = suggestion(anchor, anchors.keys().map(String::as_str));
                    log.push(Finding::new(Code::UnknownAnchor, span, headline).hint_if(hint));
                    return None;
                };
                Some((anchor.to_string(), *section))
            }
        };
        Some(Destination { page: *page, path: target, section })
    }

    /// The section that an address leads to, which it must name.
    pub fn section(&self, found: &Destination, address: &Placed<&str>, log: &Log) -> Option<Place> {
        let Some((_, section)) = found.section else {
            let finding =
                Finding::new(Code::UnknownAnchor, address.span, "this link must name a place on its page");
            log.push(finding.hint(format!("for example `{}#t1`", address.value)));
            return None;
        };
        Some(Place { page: found.page, section })
    }
}

/// A path relative to the folder of another file, with `.` and `..` worked out.
pub fn join(from: &str, path: &str) -> String {
    let mut steps: Vec<&str> = match path.strip_prefix('/') {
        Some(_) => Vec::new(),
        None => from.split('/').collect(),
    };
    steps.pop();
    for step in path.split('/') {
        match step {
            "" | "." => {}
            ".." => {
                steps.pop();
            }
            step => steps.push(step),
        }
    }
    steps.join("/")
}

#[cfg(test)]
mod tests {
    use super::join;

    #[test]
    fn paths_are_joined() {
        assert_eq!(join("lift.md", "trouble.md"), "trouble.md");
        assert_eq!(join("lift/power.md", "../images/a.png"), "images/a.png");
        assert_eq!(join("lift/power.md", "./b.md"), "lift/b.md");
        assert_eq!(join("lift/power.md", "/c.md"), "c.md");
    }
}
