//! Turns a book into one of a language that nobody speaks, so that whatever the program says in a language of its own is seen.
//!
//! The texts of the language are in Greek letters, the author's words in Cyrillic ones. What is left in Latin letters is an id, a
//! marking or a unit, or it is English that no translation reaches.

use crate::printed::html::{Child, Element, parse};
use crate::printed::{HANDS, Printed, packs};
use goodground::book::{Action, Book, ControlRange, PageKind, Prose, Role, Target};
use pulldown_cmark::{CowStr, Event};
use std::collections::{BTreeMap, BTreeSet};

/// Latin letters, as each of the other alphabets has them; what a page does with a letter's case it does with these.
fn in_letters(text: &str, first: char) -> String {
    let other = |c: char| match c {
        'a'..='z' => char::from_u32(first as u32 + (c as u32 - 'a' as u32) % 17).expect("a letter"),
        'A'..='Z' => char::from_u32(first as u32 + (c as u32 - 'A' as u32) % 17)
            .expect("a letter")
            .to_uppercase()
            .next()
            .expect("a capital"),
        c => c,
    };
    text.chars().map(other).collect()
}

fn greek(text: &str) -> String {
    in_letters(text, 'α')
}

fn cyrillic(text: &str) -> String {
    in_letters(text, 'а')
}

/// The shipped English texts with every letter changed but for the names of placeholders.
fn strings() -> String {
    let english = include_str!("../templates/strings/en.toml");
    let sections: BTreeMap<String, BTreeMap<String, String>> = toml::from_str(english).expect("strings");
    let outside = |text: &str| {
        let mut pieces = text.split('{');
        let mut changed = greek(pieces.next().unwrap_or_default());
        for piece in pieces {
            let (name, rest) = piece.split_once('}').expect("a placeholder ends");
            changed += &format!("{{{name}}}{}", greek(rest));
        }
        changed
    };
    let changed: BTreeMap<String, BTreeMap<String, String>> = sections
        .into_iter()
        .map(|(section, texts)| {
            (section, texts.into_iter().map(|(key, text)| (key, outside(&text))).collect())
        })
        .collect();
    toml::to_string(&changed).expect("strings can be written")
}

fn change(text: &mut String) {
    *text = cyrillic(text);
}

fn change_prose(prose: &mut Prose) {
    for event in prose {
        if let Event::Text(text) | Event::Code(text) | Event::InlineHtml(text) | Event::Html(text) = event {
            *text = CowStr::from(cyrillic(text));
        }
    }
}

/// The author's words, wherever the book keeps them; ids, markings and addresses stay.
fn author(book: &mut Book) {
    book.manual.language = "xx".to_string();
    [&mut book.manual.title, &mut book.manual.vehicle, &mut book.manual.edition].into_iter().for_each(change);
    for group in &mut book.options {
        change(&mut group.name);
        group.choices.iter_mut().for_each(change);
    }
    for control in &mut book.controls {
        change(&mut control.name);
        if let ControlRange::Positions(positions) = &mut control.range {
            positions.iter_mut().for_each(change);
        }
    }
    book.sheets.iter_mut().for_each(|sheet| change(&mut sheet.title));
    for part in &mut book.parts {
        change(&mut part.name);
        part.place.iter_mut().for_each(change);
        part.facts.iter_mut().for_each(|(_, text)| change(text));
    }
    for connector in &mut book.connectors {
        change(&mut connector.name);
        connector.place.iter_mut().for_each(change);
    }
    book.harnesses.iter_mut().for_each(|harness| change(&mut harness.name));
    book.accepted.iter_mut().for_each(|accepted| change(&mut accepted.reason));
    book.claims.iter_mut().for_each(|claim| change(&mut claim.words));
    book.figures.iter_mut().for_each(|figure| change(&mut figure.caption));
    for page in &mut book.pages {
        change(&mut page.title);
        page.tools.iter_mut().chain(&mut page.time).for_each(change);
        for section in &mut page.sections {
            change(&mut section.title);
            change_prose(&mut section.prose);
            change_prose(&mut section.after);
            match &mut section.role {
                Role::Test(test) => {
                    for outcome in &mut test.outcomes {
                        if let Target::Verdict { words, .. } | Target::Good { words } = &mut outcome.to {
                            change(words);
                        }
                    }
                }
                Role::Question(question) => {
                    change(&mut question.words);
                    for choice in &mut question.choices {
                        change(&mut choice.words);
                        change(&mut choice.because);
                    }
                }
                Role::Text | Role::Procedure | Role::Step(_) => {}
            }
        }
    }
}

/// What may stand in Latin letters: what the author calls things by in the circuits, and units.
fn known(book: &Book) -> BTreeSet<String> {
    let mut known = BTreeSet::new();
    let ids = [
        book.parts.iter().map(|part| &part.id).collect::<Vec<_>>(),
        book.wires.iter().map(|wire| &wire.id).collect(),
        book.connectors.iter().map(|connector| &connector.id).collect(),
        book.connectors.iter().flat_map(|connector| &connector.cavities).collect(),
        book.controls.iter().map(|control| &control.id).collect(),
        book.sheets.iter().map(|sheet| &sheet.id).collect(),
        book.options.iter().map(|group| &group.id).collect(),
        book.harnesses.iter().map(|harness| &harness.id).collect(),
    ];
    let own = book.parts.iter().flat_map(|part| part.terminals.iter().map(|terminal| &terminal.name));
    // The two filaments of a lamp are called what its author calls them, in the drawing too.
    let elements = book.parts.iter().flat_map(|part| &part.elements);
    let filaments = elements.filter(|element| matches!(element.action, Action::Filament { .. }));
    known.extend(filaments.map(|element| element.name.clone()).filter(|name| name != "filament"));
    for id in ids.into_iter().flatten().chain(own) {
        known.extend(words(id));
    }
    let colors = goodground::book::COLORS.iter().map(|color| color.letters.to_string());
    known.extend(colors);
    let units = "V mV A mA W kW Ohm kOhm mOhm mm mm2 m s ms h min Hz deg degC degF C F ohm kohm mohm Mohm AWG kg l bar km kPa rpm uF nF x";
    // The program's own name, and the stamp that these books carry.
    known.extend(words("goodground").into_iter().chain(words(crate::printed::STAMP)));
    // The letters of choices.
    known.extend(('A'..='H').map(String::from));
    known.extend(units.split(' ').map(str::to_string));
    known
}

/// The runs of Latin letters in a text, but for a script's placeholders and the tags of what stands in `noscript`.
fn words(text: &str) -> Vec<String> {
    let mut inside = None;
    let outside: String = text
        .chars()
        .map(|c| {
            match (inside, c) {
                (None, '{') => inside = Some('}'),
                (None, '<') => inside = Some('>'),
                (Some(end), c) if end == c => inside = None,
                (None, c) => return c,
                _ => {}
            }
            ' '
        })
        .collect();
    let pieces = outside.split(|c: char| !c.is_ascii_alphabetic());
    pieces.filter(|piece| !piece.is_empty()).map(str::to_string).collect()
}

/// All that a reader is shown or told: text, and the attributes that are read aloud or shown.
fn told(element: &Element, found: &mut Vec<String>) {
    const SPOKEN: [&str; 6] = ["aria-label", "alt", "title", "placeholder", "content", "data-empty"];
    if element.name == "script" && element.get("type") == Some("application/json") {
        let data = serde_json::from_str(&element.raw()).expect("a script's data is JSON");
        sentences(&data, found);
    }
    if matches!(element.name.as_str(), "style" | "script") {
        return;
    }
    for name in SPOKEN {
        if !(name == "content" && element.name == "meta") {
            found.extend(element.get(name).map(str::to_string));
        }
    }
    for child in &element.children {
        match child {
            Child::Text(text) => found.push(text.clone()),
            Child::Element(element) => told(element, found),
        }
    }
}

/// Classes of what is drawn, which a script sets several of.
const CLASSES: [&str; 7] = ["at-fault", "carrying", "full", "made", "off", "open", "weak"];

/// What a lab's script has in numbers of base 36.
const PACKED: [&str; 3] = ["views", "shared", "cases"];

/// The texts of two words and more that a script is given to show; what is one word may be a key.
fn sentences(data: &serde_json::Value, found: &mut Vec<String>) {
    match data {
        serde_json::Value::String(text) => {
            let classes = text.split(' ').all(|word| CLASSES.contains(&word));
            found.extend((text.contains(' ') && !classes).then(|| text.clone()));
        }
        serde_json::Value::Array(list) => list.iter().for_each(|value| sentences(value, found)),
        serde_json::Value::Object(object) => {
            let told = object.iter().filter(|(key, _)| !PACKED.contains(&key.as_str()));
            told.for_each(|(_, value)| sentences(value, found));
        }
        _ => {}
    }
}

/// What is still in Latin letters in each page of a book, by the word.
fn english(printed: &Printed) -> BTreeMap<String, String> {
    let mut known = known(printed.book);
    // An author's question goes by where it stands.
    for page in &printed.book.pages {
        known.extend(
            words(&page.path)
                .into_iter()
                .chain(page.sections.iter().flat_map(|section| words(&section.anchor))),
        );
    }
    known.extend(printed.questions.iter().flat_map(|question| words(&question.id)));
    let pages = printed.in_language("xx", &strings(), author);
    let mut found = BTreeMap::new();
    let mut texts = 0;
    for (path, page) in pages.iter().filter(|(path, _)| path.ends_with(".html")) {
        let mut list = Vec::new();
        told(&parse(page), &mut list);
        texts += list.len();
        for text in list {
            for word in words(&text).into_iter().filter(|word| !known.contains(word)) {
                let short: String = text.chars().take(80).collect();
                found.entry(word).or_insert_with(|| format!("{path}: {short}"));
            }
        }
    }
    assert!(texts > 1_000, "{texts} texts were read");
    assert!(pages.values().any(|page| page.contains(&greek("Wiring"))), "the language is used");
    found
}

#[test]
fn a_book_says_nothing_in_english_that_its_language_does_not() {
    for printed in packs().into_iter().chain([&*HANDS]) {
        assert!(printed.book.pages.iter().any(|page| page.kind == PageKind::Checkout));
        let found = english(printed);
        let list: Vec<String> = found.iter().map(|(word, place)| format!("{word} ({place})")).collect();
        assert!(list.is_empty(), "{} words:\n{}", list.len(), list.join("\n"));
    }
}
