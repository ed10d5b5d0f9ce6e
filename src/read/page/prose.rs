//! Turns Markdown events into prose of the book: every link, image, claim and figure in it is resolved.

use super::Resolved;
use super::address::address_of;
use super::event::{Events, placed, plain};
use super::fact::Facts;
use super::link;
use super::place::{Places, join};
use super::stray::{SCHEMES, scheme_hint};
use crate::book::{Claim, Figure, List, PageId, Prose, Shows};
use crate::finding::{Code, Finding};
use crate::read::circuit::{find_part, find_wire};
use crate::read::log::{Log, suggestion};
use crate::read::phrase::pieces;
use crate::read::statement::Reader;
use crate::source::{FileId, Placed, Span};
use pulldown_cmark::{Event, LinkType, Tag, TagEnd};

/// Where prose stands, and what it is resolved against.
pub struct Context<'a> {
    pub page: PageId,
    pub path: &'a str,
    pub file: FileId,
    pub places: &'a Places,
    pub facts: &'a Facts<'a>,
    pub reader: &'a Reader<'a>,
}

/// Resolves the links and images of some events. A link that leads nowhere keeps its words and loses its address.
pub fn resolve(events: Events, context: &Context, resolved: &mut Resolved) -> Prose {
    let mut prose = Vec::new();
    let mut dropped: Vec<bool> = Vec::new();
    for (at, (event, range)) in events.iter().enumerate() {
        match event {
            Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
                let words = Placed::new(inner(&events, at), words_span(context, &events, at));
                let address = address(context, *link_type, dest_url, range.clone());
                let found = target(context, *link_type, &address, &words, resolved);
                dropped.push(found.is_none());
                if let Some(address) = found {
                    prose.push(Event::Start(Tag::Link {
                        link_type: *link_type,
                        dest_url: address.into(),
                        title: title.clone(),
                        id: id.clone(),
                    }));
                }
            }
            Event::Start(Tag::Image { link_type, dest_url, title, id }) => {
                let caption = inner(&events, at);
                let address = address(context, *link_type, dest_url, range.clone());
                let found = image(context, &address, &caption, resolved);
                dropped.push(found.is_none());
                if let Some(address) = found {
                    prose.push(Event::Start(Tag::Image {
                        link_type: *link_type,
                        dest_url: address.into(),
                        title: title.clone(),
                        id: id.clone(),
                    }));
                }
            }
            Event::End(TagEnd::Link | TagEnd::Image) => {
                if dropped.pop() != Some(true) {
                    prose.push(event.clone());
                }
            }
            other => prose.push(other.clone()),
        }
    }
    prose
}

/// The plain words up to the end of the link or image that begins at `at`.
fn inner(events: &Events, at: usize) -> String {
    let length =
        events[at..].iter().position(|(event, _)| matches!(event, Event::End(TagEnd::Link | TagEnd::Image)));
    plain(&events[at..at + length.unwrap_or(0)])
}

/// Where the words of the link that begins at `at` stand.
fn words_span(context: &Context, events: &Events, at: usize) -> Span {
    let inside = events[at + 1..].iter().take_while(|(event, _)| !matches!(event, Event::End(TagEnd::Link)));
    let ranges: Vec<_> = inside.map(|(_, range)| range).collect();
    match (ranges.first(), ranges.last()) {
        (Some(first), Some(last)) => Span::new(context.file, first.start..last.end),
        _ => Span::new(context.file, events[at].1.clone()),
    }
}

/// The address as the author wrote it, with its place.
fn address<'a>(
    context: &'a Context,
    link_type: LinkType,
    parsed: &'a str,
    range: std::ops::Range<usize>,
) -> Placed<&'a str> {
    let whole = placed(context.file, context.reader.log.text(context.file), range);
    let inline = link_type == LinkType::Inline;
    match address_of(&whole).filter(|_| inline) {
        Some(address) if is_own(address.value) || address.value == parsed => address,
        Some(address) => Placed::new(parsed, address.span),
        None => Placed::new(parsed, whole.span),
    }
}

/// Whether an address names a thing of the book by a scheme of its own.
fn is_own(address: &str) -> bool {
    address.split_once(':').is_some_and(|(scheme, _)| SCHEMES.contains(&scheme))
}

/// The schemes of addresses that may lead out of a book: everything else could run something, or open a file.
const OUT: [&str; 4] = ["http:", "https:", "mailto:", "tel:"];

/// Whether an address leads out of the book to where it may.
fn leads_out(address: &str) -> bool {
    let begins =
        |scheme: &&str| address.get(..scheme.len()).is_some_and(|own| own.eq_ignore_ascii_case(scheme));
    OUT.iter().any(begins)
}

/// What follows the colon of an own address.
fn after<'a>(address: &Placed<&'a str>, scheme: &str) -> Option<Placed<&'a str>> {
    let rest = address.value.strip_prefix(scheme)?;
    let from = scheme.len() + (rest.len() - rest.trim_start().len());
    Some(Placed::new(rest.trim(), address.span.within(from..from + rest.trim().len())))
}

/// The address that the page room gets, or nothing when the link leads nowhere.
fn target(
    context: &Context,
    link_type: LinkType,
    address: &Placed<&str>,
    words: &Placed<String>,
    resolved: &mut Resolved,
) -> Option<String> {
    let reader = context.reader;
    let log = reader.log;
    let stated = after(address, "claim:").map(|text| (text, false));
    if let Some((text, refuted)) = stated.or_else(|| after(address, "wrong:").map(|text| (text, true))) {
        let (setup, expects) = reader.claim(text)?;
        resolved.claims.push(Claim {
            page: context.page,
            words: words.value.clone(),
            setup,
            expects,
            refuted,
            span: text.span,
        });
        return Some(format!("claim:{}", resolved.claims.len() - 1));
    }
    for scheme in ["part", "wire", "connector", "sheet", "fault"] {
        if let Some(name) = after(address, &format!("{scheme}:")) {
            return named(reader, scheme, name).then(|| format!("{scheme}:{}", name.value));
        }
    }
    if misplaced(address, log) {
        return None;
    }
    if link_type == LinkType::Email {
        return Some(format!("mailto:{}", address.value.trim_start_matches("mailto:")));
    }
    if leads_out(address.value) {
        return Some(address.value.to_string());
    }
    if link_type == LinkType::Autolink {
        let finding =
            Finding::new(Code::BadStatement, address.span, format!("`{}` is no address", address.value));
        log.push(finding.hint(format!("what leads out of a book begins with one of {}", OUT.join(", "))));
        return None;
    }
    if let Some(image) = author_image(context, address.value) {
        return Some(format!("image:{image}"));
    }
    if unknown_scheme(context, address) {
        return None;
    }
    let found = context.places.find(context.path, address, log)?;
    link::check(&Placed::new(&words.value, words.span), &found, context);
    Some(match found.section {
        Some((anchor, _)) => format!("page:{}#{anchor}", found.path),
        None => format!("page:{}", found.path),
    })
}

/// Whether the book has what a link names; what it has not is reported.
fn named(reader: &Reader, scheme: &str, name: Placed<&str>) -> bool {
    let (index, log) = (reader.index, reader.log);
    match scheme {
        "part" => find_part(name.value, name.span, index, log).is_some(),
        "wire" => find_wire(name.value, name.span, index, log).is_some(),
        "connector" => {
            let found = index.connectors.contains_key(name.value);
            if !found {
                let known = index.connectors.keys().map(String::as_str);
                log.unknown(Code::UnknownConnector, name.span, "connector", name.value, known);
            }
            found
        }
        "sheet" => sheet(reader, name.value, name.span).is_some(),
        _ => {
            let words = name.value.split_whitespace().collect::<Vec<_>>().join(" ");
            reader.fault(&Placed::new(words, name.span)).is_some()
        }
    }
}

/// Reports a verdict or a figure in the place of a link.
fn misplaced(address: &Placed<&str>, log: &Log) -> bool {
    let begins = |schemes: [&str; 2]| schemes.iter().any(|scheme| address.value.starts_with(scheme));
    let (headline, hint) = if begins(["blame:", "good:"]) {
        (
            "a verdict stands in a test, not in running text",
            "verdicts belong under `Read:` or after `Then:` on a troubleshooting page",
        )
    } else if begins(["draw:", "table:"]) {
        ("a figure is an image, not a link", "write `!` before the opening bracket")
    } else {
        return false;
    };
    log.push(Finding::new(Code::BadStatement, address.span, headline).hint(hint));
    true
}

/// Reports an address whose scheme is nearly one of the book's own.
fn unknown_scheme(context: &Context, address: &Placed<&str>) -> bool {
    let Some(hint) = scheme_hint(address.value) else {
        return false;
    };
    let finding =
        Finding::new(Code::BadStatement, address.span, format!("`{}` is no address", address.value));
    context.reader.log.push(finding.hint(hint));
    true
}

/// The path of an image of the author's, relative to `content/`, if there is one at this address.
fn author_image(context: &Context, address: &str) -> Option<String> {
    let path = join(context.path, address);
    context.reader.book.images.contains(&path).then_some(path)
}

fn image(
    context: &Context,
    address: &Placed<&str>,
    caption: &str,
    resolved: &mut Resolved,
) -> Option<String> {
    let reader = context.reader;
    let shows = if let Some(text) = after(address, "draw:") {
        drawing(reader, &text)?
    } else if let Some(text) = after(address, "table:") {
        table(reader, &text)?
    } else {
        let found = author_image(context, address.value);
        if found.is_none() && !unknown_scheme(context, address) {
            let path = join(context.path, address.value);
            let known = reader.book.images.iter().map(String::as_str);
            reader.log.unknown(Code::UnknownImage, address.span, "image", &path, known);
        }
        return found.map(|path| format!("image:{path}"));
    };
    resolved.figures.push(Figure {
        page: context.page,
        caption: caption.to_string(),
        shows,
        span: address.span,
    });
    Some(format!("figure:{}", resolved.figures.len() - 1))
}

fn sheet(reader: &Reader, name: &str, span: Span) -> Option<crate::book::SheetId> {
    let found = reader.index.sheets.get(name).copied();
    if found.is_none() {
        let known = reader.index.sheets.keys().map(String::as_str);
        reader.log.unknown(Code::UnknownSheet, span, "circuit sheet", name, known);
    }
    found
}

/// `lift-power` or `lift-power; key run, door open`.
fn drawing(reader: &Reader, text: &Placed<&str>) -> Option<Shows> {
    let cut = text.value.find(';').unwrap_or(text.value.len());
    let name = text.value[..cut].trim();
    let sheet = sheet(reader, name, text.span.within(0..name.len()));
    let before = reader.log.count();
    let rest = (cut + 1).min(text.value.len());
    let setup = reader.setups(Placed::new(&text.value[rest..], text.span.within(rest..text.value.len())));
    (reader.log.count() == before).then_some(Shows::Drawing { sheet: sheet?, setup })
}

/// `lift-power/steps`.
fn table(reader: &Reader, text: &Placed<&str>) -> Option<Shows> {
    let piece = pieces(text.value, text.span).into_iter().next().unwrap_or(Placed::new("", text.span));
    let Some((name, word)) = piece.value.rsplit_once('/') else {
        let finding =
            Finding::new(Code::BadStatement, text.span, "a table is named by its sheet and its sort");
        reader.log.push(finding.hint("for example `table:lift-power/steps`"));
        return None;
    };
    let sheet = sheet(reader, name, piece.span.within(0..name.len()));
    let known = List::PLACED.iter().map(|list| list.word());
    let Some(&list) = List::PLACED.iter().find(|list| list.word() == word) else {
        let span = piece.span.within(name.len() + 1..piece.value.len());
        let finding = Finding::new(Code::BadStatement, span, format!("there is no table `{word}`"));
        reader.log.push(finding.hint_if(suggestion(word, known)));
        return None;
    };
    Some(Shows::List { sheet: sheet?, list })
}
