//! Turns the reference of what an author may write into one page for a browser, with the symbol of each kind, and the schemas
//! beside it.

use super::Output;
use super::escape::{escape, slug};
use super::words::Words;
use crate::about::{Group, Page, example, pages, schemas};
use crate::book::{Kind, Say, SheetId};
use crate::draw::{STYLE, Use, View, scenes, svg};
use pulldown_cmark::{CodeBlockKind, Event, Parser, Tag, TagEnd, html};
use serde::Serialize;
use tera::{Context, Tera};

/// A group of entries.
#[derive(Serialize)]
struct Chapter {
    title: &'static str,
    entries: Vec<Entry>,
}

#[derive(Serialize)]
struct Entry {
    name: &'static str,
    /// The entry's anchor.
    id: String,
    tells: String,
    /// HTML.
    text: String,
    /// SVG; empty where nothing is drawn.
    drawing: String,
}

/// The files of the reference.
///
/// # Errors
/// When its template cannot be filled in, which is a bug.
pub fn reference() -> Result<Vec<Output>, tera::Error> {
    let pages = pages();
    let chapters: Vec<Chapter> = Group::ALL
        .iter()
        .map(|&group| {
            let own = pages.iter().filter(|page| page.group == group);
            Chapter { title: group.title(), entries: own.map(|page| entry(page, &pages)).collect() }
        })
        .collect();
    let mut context = Context::new();
    context.insert("chapters", &chapters);
    context.insert("style", STYLE);
    let mut tera = Tera::default();
    tera.set_escape_fn(escape);
    tera.add_raw_template("reference.html", include_str!("../../templates/reference.html"))?;
    let index = tera.render("reference.html", &context)?;
    let mut outputs = vec![Output { path: "index.html".to_string(), bytes: index.into_bytes() }];
    for (name, schema) in schemas() {
        outputs.push(Output { path: name.to_string(), bytes: format!("{schema:#}\n").into_bytes() });
    }
    Ok(outputs)
}

fn entry(page: &Page, pages: &[Page]) -> Entry {
    let drawing = match page.group {
        Group::Kind => Kind::ALL.iter().find(|kind| kind.word() == page.name).map(|&kind| drawing(kind)),
        _ => None,
    };
    Entry {
        name: page.name,
        id: slug(page.name),
        tells: page.tells.clone(),
        text: text(&page.text, pages),
        drawing: drawing.unwrap_or_default(),
    }
}

/// The example of a kind as it is drawn.
fn drawing(kind: Kind) -> String {
    let example = example(kind, None);
    let words = Words::shipped("en");
    let say = Say { book: &example.book, words: &words };
    let scenes = scenes(say, View { sheet: SheetId(0), build: None });
    scenes.iter().map(|scene| svg(say, scene, None, Use::Still)).collect()
}

/// An entry's text: a fence stands under the name of its file, and what refers to another entry leads to it.
fn text(markdown: &str, pages: &[Page]) -> String {
    let mut events: Vec<Event> = Vec::new();
    let mut fenced = false;
    for event in Parser::new(markdown) {
        match event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(head))) => {
                fenced = true;
                let path = head.split(' ').next_back().unwrap_or_default();
                let caption = format!("<figure><figcaption>{}</figcaption><pre><code>", escape(path));
                events.push(Event::Html(caption.into()));
            }
            Event::End(TagEnd::CodeBlock) if fenced => {
                fenced = false;
                events.push(Event::Html("</code></pre></figure>".into()));
            }
            Event::Text(text) if fenced => {
                let pointed = text.replace("# here", "\u{25c4}").replace("<!-- here -->", "\u{25c4}");
                events.push(Event::Text(pointed.into()));
            }
            // A page shows what is written, also what a browser would take for its own.
            Event::Html(text) | Event::InlineHtml(text) => events.push(Event::Text(text)),
            Event::Code(code) => events.push(referred(&code, pages).unwrap_or(Event::Code(code))),
            // An entry's own heading is of the third level.
            Event::Start(Tag::Heading { .. }) => events.push(Event::Html("<h4>".into())),
            Event::End(TagEnd::Heading(_)) => events.push(Event::Html("</h4>".into())),
            other => events.push(other),
        }
    }
    let mut text = String::new();
    html::push_html(&mut text, events.into_iter());
    text
}

/// `about steps` as a link.
fn referred(code: &str, pages: &[Page]) -> Option<Event<'static>> {
    let name = code.strip_prefix("goodground ").unwrap_or(code).strip_prefix("about ")?;
    let page = pages.iter().find(|page| page.name == name)?;
    Some(Event::Html(format!("<a href=\"#{}\">{}</a>", slug(page.name), escape(page.name)).into()))
}
