//! Turns an author's prose into HTML: links and figures get their addresses, ids become links, alerts become cautions.

use super::address::{self, Root};
use super::caution;
use super::escape::escape;
use super::figure;
use super::kit::Kit;
use crate::book::{ClaimId, FigureId, Prose, before_message, signal};
use pulldown_cmark::{CowStr, Event, Tag, TagEnd, html};

/// Prose as HTML for a page at `root`.
pub fn html(kit: &Kit, prose: &[Event<'static>], root: Root) -> String {
    let mut writer = Writer {
        kit,
        root,
        out: Vec::new(),
        quotes: Vec::new(),
        links: Vec::new(),
        linked: 0,
        paragraph: false,
        image: None,
    };
    let mut at = 0;
    while at < prose.len() {
        at += writer.event(prose, at);
    }
    let mut text = String::new();
    html::push_html(&mut text, writer.out.into_iter());
    // A paragraph that held a figure alone is left empty around it.
    text.replace("<p></p>\n", "").replace("<p></p>", "")
}

/// The alerts of a prose, and what is left without them: a printed sheet shows warnings first.
pub fn alerts_first(prose: &[Event<'static>]) -> (Prose, Prose) {
    let (mut alerts, mut rest) = (Vec::new(), Vec::new());
    let mut depth = 0;
    for (at, event) in prose.iter().enumerate() {
        let starts = matches!(event, Event::Start(Tag::BlockQuote(_)));
        let ends = matches!(event, Event::End(TagEnd::BlockQuote(_)));
        if starts && (depth > 0 || signal(prose, at).is_some()) {
            depth += 1;
        }
        if depth > 0 { &mut alerts } else { &mut rest }.push(event.clone());
        if ends && depth > 0 {
            depth -= 1;
        }
    }
    (alerts, rest)
}

struct Writer<'k, 'a> {
    kit: &'k Kit<'a>,
    root: Root,
    out: Vec<Event<'static>>,
    /// Whether each open block quote is an alert.
    quotes: Vec<bool>,
    links: Vec<CowStr<'static>>,
    /// Open links and code blocks, in whose words no id is linked.
    linked: usize,
    paragraph: bool,
    /// The words of an image that is being read.
    image: Option<String>,
}

impl Writer<'_, '_> {
    /// Writes the event at `at`, and says how many events it has taken.
    fn event(&mut self, prose: &[Event<'static>], at: usize) -> usize {
        let event = &prose[at];
        if let Some(words) = &mut self.image
            && !matches!(event, Event::End(TagEnd::Image))
        {
            if let Event::Text(text) | Event::Code(text) = event {
                words.push_str(text);
            }
            return 1;
        }
        match event {
            Event::Start(Tag::BlockQuote(_)) => return self.quote(prose, at),
            Event::End(TagEnd::BlockQuote(_)) => match self.quotes.pop() {
                Some(true) => self.raw(caution::CLOSE.to_string()),
                _ => self.out.push(event.clone()),
            },
            Event::Start(Tag::Link { .. } | Tag::Image { .. }) | Event::End(TagEnd::Link | TagEnd::Image) => {
                self.reference(event)
            }
            Event::Start(Tag::CodeBlock(_)) => {
                self.linked += 1;
                self.out.push(event.clone());
            }
            Event::End(TagEnd::CodeBlock) => {
                self.linked -= 1;
                self.out.push(event.clone());
            }
            Event::Start(Tag::Table(_)) => {
                self.raw(r#"<div class="scroll" tabindex="0">"#.to_string());
                self.out.push(event.clone());
            }
            Event::End(TagEnd::Table) => {
                self.out.push(event.clone());
                self.raw("</div>".to_string());
            }
            Event::Start(Tag::Paragraph) => {
                self.paragraph = true;
                self.out.push(event.clone());
            }
            Event::End(TagEnd::Paragraph) => {
                self.paragraph = false;
                self.out.push(event.clone());
            }
            Event::Text(text) if self.linked == 0 => {
                let linked = self.kit.linked(text, self.root);
                self.inline(linked);
            }
            Event::Code(text) if self.linked == 0 => {
                let linked = self.kit.linked(text, self.root);
                self.inline(format!("<code>{linked}</code>"));
            }
            // An author's own HTML could reach outside the book or break a page: it is shown as it is written.
            Event::Html(text) | Event::InlineHtml(text) => self.out.push(Event::Text(text.clone())),
            _ => self.out.push(event.clone()),
        }
        1
    }

    /// Opens a block quote, or the caution that it is, and says how many events it has taken.
    fn quote(&mut self, prose: &[Event<'static>], at: usize) -> usize {
        let signal = signal(prose, at);
        self.quotes.push(signal.is_some());
        let Some(signal) = signal else {
            self.out.push(prose[at].clone());
            return 1;
        };
        self.raw(caution::open(self.kit, signal));
        self.out.push(Event::Start(Tag::Paragraph));
        before_message(prose, at)
    }

    /// The beginning or end of a link or an image.
    fn reference(&mut self, event: &Event<'static>) {
        match event {
            Event::Start(Tag::Link { dest_url, .. }) => {
                self.linked += 1;
                self.links.push(dest_url.clone());
                if self.root.links() {
                    let opening = self.link(dest_url);
                    self.inline(opening);
                }
            }
            Event::End(TagEnd::Link) => {
                self.linked -= 1;
                self.links.pop();
                if self.root.links() {
                    self.inline("</a>".to_string());
                }
            }
            Event::Start(Tag::Image { dest_url, .. }) => {
                self.image = Some(String::new());
                self.links.push(dest_url.clone());
            }
            Event::End(TagEnd::Image) => {
                let words = self.image.take().unwrap_or_default();
                if let Some(address) = self.links.pop() {
                    self.picture(&address, &words);
                }
            }
            _ => {}
        }
    }

    fn raw(&mut self, html: String) {
        self.out.push(Event::Html(html.into()));
    }

    fn inline(&mut self, html: String) {
        self.out.push(Event::InlineHtml(html.into()));
    }

    /// The opening tag of a link.
    fn link(&self, address: &str) -> String {
        let book = self.kit.book;
        let to = |class: &str, href: &str| {
            let class = if class.is_empty() { String::new() } else { format!(r#" class="{class}""#) };
            format!(r#"<a{class} href="{}">"#, escape(&self.root.to(href)))
        };
        let Some((scheme, rest)) = address.split_once(':') else {
            return to("", address);
        };
        match scheme {
            "claim" => {
                let id = ClaimId(rest.parse().unwrap_or_default());
                let sheet = crate::proof::illustrate::claim_sheet(book, &book.claims[id.index()]);
                match sheet {
                    Some(sheet) => to(
                        "claim",
                        &format!("{}#{}", address::circuit(book, sheet), address::claim_anchor(id)),
                    ),
                    None => to("claim", "proved.html#statements"),
                }
            }
            "page" => {
                let (path, anchor) = rest.split_once('#').unwrap_or((rest, ""));
                let page = book.pages.iter().position(|page| page.path == path);
                let page = page
                    .map_or_else(String::new, |page| address::page(book, crate::book::PageId(page as u32)));
                let anchor = if anchor.is_empty() { String::new() } else { format!("#{anchor}") };
                to("", &format!("{page}{anchor}"))
            }
            "part" | "wire" | "connector" => match self.kit.names.find(rest) {
                Some(thing) => to("", &address::thing(book, thing)),
                None => to("", ""),
            },
            "sheet" => match book.find_sheet(rest) {
                Some(sheet) => to("", &address::circuit(book, sheet)),
                None => to("", ""),
            },
            "fault" => {
                let fault = book.faults.iter().find(|fault| fault.name == rest);
                let href = fault.map_or_else(String::new, |fault| address::thing(book, fault.item));
                to("", &href)
            }
            "image" => to("", rest),
            _ => format!(r#"<a class="out" rel="noreferrer" href="{}">"#, escape(address)),
        }
    }

    /// A figure or an author's image. Neither may stand inside a paragraph.
    fn picture(&mut self, address: &str, words: &str) {
        let html = match address.split_once(':') {
            Some(("figure", number)) => {
                let id = FigureId(number.parse().unwrap_or_default());
                figure::html(self.kit, id, self.root)
            }
            Some(("image", path)) => format!(
                r#"<figure><img src="{}" alt="{}" loading="lazy"></figure>"#,
                escape(&self.root.to(path)),
                escape(words)
            ),
            _ => return,
        };
        if self.paragraph {
            self.out.push(Event::End(TagEnd::Paragraph));
            self.raw(html);
            self.out.push(Event::Start(Tag::Paragraph));
        } else {
            self.raw(html);
        }
    }
}
