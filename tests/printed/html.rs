//! Turns a page's HTML into elements that a test can ask for what they say.

use html5ever::tendril::TendrilSink;
use html5ever::{ParseOpts, parse_document};
use markup5ever_rcdom::{Handle, NodeData, RcDom};
use std::collections::BTreeMap;

/// An element with what stands in it.
#[derive(Debug, Clone, Default)]
pub struct Element {
    pub name: String,
    attributes: BTreeMap<String, String>,
    pub children: Vec<Child>,
}

#[derive(Debug, Clone)]
pub enum Child {
    Element(Element),
    Text(String),
}

/// A page.
pub fn parse(text: &str) -> Element {
    let dom = parse_document(RcDom::default(), ParseOpts::default()).one(text);
    let children = dom.document.children.borrow();
    Element {
        name: String::new(),
        attributes: BTreeMap::new(),
        children: children.iter().filter_map(child).collect(),
    }
}

fn child(handle: &Handle) -> Option<Child> {
    match &handle.data {
        NodeData::Text { contents } => Some(Child::Text(contents.borrow().to_string())),
        NodeData::Element { name, attrs, template_contents, .. } => {
            let attrs = attrs.borrow();
            // What a template holds is shown by a script, and has to be as true.
            let held = template_contents.borrow();
            let inside = held.as_ref().unwrap_or(handle).children.borrow();
            let attributes = attrs.iter().map(|attr| (attr.name.local.to_string(), attr.value.to_string()));
            Some(Child::Element(Element {
                name: name.local.to_string(),
                attributes: attributes.collect(),
                children: inside.iter().filter_map(child).collect(),
            }))
        }
        _ => None,
    }
}

impl Element {
    /// The value of an attribute.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.attributes.get(name).map(String::as_str)
    }

    /// Whether it has a class.
    pub fn has(&self, class: &str) -> bool {
        self.get("class").is_some_and(|classes| classes.split_whitespace().any(|other| other == class))
    }

    /// What a reader reads, with single blanks.
    pub fn text(&self) -> String {
        let mut text = String::new();
        self.write(&mut text);
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn write(&self, text: &mut String) {
        for child in &self.children {
            match child {
                Child::Text(piece) => text.push_str(piece),
                Child::Element(element) if element.name == "br" => text.push('\n'),
                Child::Element(element) => element.write(text),
            }
        }
    }

    /// The text that stands in it but in no element of it, as it is.
    pub fn raw(&self) -> String {
        let texts = self.children.iter().filter_map(|child| match child {
            Child::Text(text) => Some(text.as_str()),
            Child::Element(_) => None,
        });
        texts.collect()
    }

    /// The elements right below it.
    pub fn below(&self) -> impl Iterator<Item = &Element> {
        self.children.iter().filter_map(|child| match child {
            Child::Element(element) => Some(element),
            Child::Text(_) => None,
        })
    }

    /// Whether it is `name`, `.class`, `name.class` or `name.class.class`.
    fn is(&self, simple: &str) -> bool {
        let mut words = simple.split('.');
        let name = words.next().unwrap_or_default();
        (name.is_empty() || self.name == name) && words.all(|class| self.has(class))
    }

    /// All elements in it that a selector names, in the order of the page: `li`, `.go`, `ul.must li`.
    pub fn all(&self, selector: &str) -> Vec<&Element> {
        let simples: Vec<&str> = selector.split_whitespace().collect();
        let mut found = Vec::new();
        self.find(&simples, &mut found);
        found
    }

    fn find<'e>(&'e self, simples: &[&str], found: &mut Vec<&'e Element>) {
        for element in self.below() {
            let rest = if element.is(simples[0]) { &simples[1..] } else { simples };
            if rest.is_empty() {
                found.push(element);
                element.find(simples, found);
            } else {
                element.find(rest, found);
            }
        }
    }

    /// The one element that a selector names.
    pub fn one(&self, selector: &str) -> &Element {
        let all = self.all(selector);
        assert_eq!(all.len(), 1, "`{selector}` in {}", self.text());
        all[0]
    }

    /// The one element that a selector names, if it is there.
    pub fn maybe(&self, selector: &str) -> Option<&Element> {
        let all = self.all(selector);
        assert!(all.len() < 2, "`{selector}` in {}", self.text());
        all.into_iter().next()
    }

    /// What all elements say that a selector names.
    pub fn texts(&self, selector: &str) -> Vec<String> {
        self.all(selector).into_iter().map(Element::text).collect()
    }

    /// Every element with an attribute.
    pub fn with(&self, attribute: &str) -> Vec<&Element> {
        let mut found = Vec::new();
        for element in self.below() {
            if element.get(attribute).is_some() {
                found.push(element);
            }
            found.extend(element.with(attribute));
        }
        found
    }

    /// The element to which a link with this anchor leads.
    pub fn place(&self, anchor: &str) -> Option<&Element> {
        self.below().find_map(|element| match element.get("id") {
            Some(id) if id == anchor => Some(element),
            _ => element.place(anchor),
        })
    }
}
