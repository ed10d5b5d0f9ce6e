//! Turns the structs that templates are filled from into the list of fields in `templates/README.md`.

use super::house::House;
use std::collections::{BTreeMap, BTreeSet};
use syn::visit::Visit;

/// The document, and the heading that the list stands under.
pub const DOCUMENT: &str = "templates/README.md";
pub const HEADING: &str = "\n## Fields\n";

/// A struct that is serialized: its file, its fields, and which of them are flattened into it.
struct View {
    file: String,
    doc: String,
    fields: Vec<(String, syn::Type, String, bool)>,
    /// What an enum without tags may be, in place of fields.
    one_of: Vec<syn::Type>,
}

#[derive(Default)]
struct Views {
    file: String,
    /// By name; several files may have one of the same name.
    found: BTreeMap<String, Vec<View>>,
}

fn doc(attributes: &[syn::Attribute]) -> String {
    let text = |attribute: &syn::Attribute| match &attribute.meta {
        syn::Meta::NameValue(pair) if pair.path.is_ident("doc") => match &pair.value {
            syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Str(text), .. }) => {
                Some(text.value().trim().to_string())
            }
            _ => None,
        },
        _ => None,
    };
    attributes.iter().filter_map(text).collect::<Vec<_>>().join(" ")
}

fn says(attributes: &[syn::Attribute], list: &str, word: &str) -> bool {
    attributes.iter().any(|attribute| {
        let inside = attribute.meta.require_list();
        attribute.path().is_ident(list) && inside.is_ok_and(|inside| inside.tokens.to_string().contains(word))
    })
}

impl<'a> Visit<'a> for Views {
    fn visit_item_struct(&mut self, item: &'a syn::ItemStruct) {
        if says(&item.attrs, "derive", "Serialize") {
            let field = |field: &syn::Field| {
                let name = field.ident.as_ref()?.to_string();
                Some((name, field.ty.clone(), doc(&field.attrs), says(&field.attrs, "serde", "flatten")))
            };
            self.keep(&item.ident, &item.attrs, item.fields.iter().filter_map(field).collect(), Vec::new());
        }
    }

    fn visit_item_enum(&mut self, item: &'a syn::ItemEnum) {
        if says(&item.attrs, "serde", "untagged") {
            let types =
                item.variants.iter().flat_map(|variant| variant.fields.iter().map(|field| field.ty.clone()));
            self.keep(&item.ident, &item.attrs, Vec::new(), types.collect());
        }
    }
}

impl Views {
    fn of(house: &House) -> Views {
        let mut views = Views::default();
        for path in house.rust("src/page/").chain(house.rust("src/draw/")).chain(house.rust("src/proof/")) {
            if let Some(file) = &house.code(path).file {
                views.file = path.to_string();
                views.visit_file(file);
            }
        }
        views
    }

    fn keep(
        &mut self,
        name: &syn::Ident,
        attributes: &[syn::Attribute],
        fields: Vec<(String, syn::Type, String, bool)>,
        one_of: Vec<syn::Type>,
    ) {
        let view = View { file: self.file.clone(), doc: doc(attributes), fields, one_of };
        self.found.entry(name.to_string()).or_default().push(view);
    }

    /// The struct of a name as a file sees it: its own before any other's.
    fn see(&self, name: &str, from: &str) -> Option<&View> {
        let all = self.found.get(name)?;
        all.iter()
            .find(|view| view.file == from)
            .or(all.iter().find(|view| view.file.starts_with("src/page/")).or(all.first()))
    }

    /// A type in words, and the structs that it speaks of.
    fn words(&self, kind: &syn::Type, from: &str, named: &mut Vec<(String, String)>) -> String {
        match kind {
            syn::Type::Reference(inner) => self.words(&inner.elem, from, named),
            syn::Type::Slice(inner) => format!("list of {}", self.words(&inner.elem, from, named)),
            syn::Type::Array(inner) => format!("list of {}", self.words(&inner.elem, from, named)),
            syn::Type::Tuple(inner) => {
                let parts: Vec<String> =
                    inner.elems.iter().map(|part| self.words(part, from, named)).collect();
                format!("pair of {}", parts.join(" and "))
            }
            syn::Type::Path(path) => {
                let last = path.path.segments.last().expect("a type has a name");
                let inner: Vec<String> = match &last.arguments {
                    syn::PathArguments::AngleBracketed(list) => {
                        let types = list.args.iter().filter_map(|argument| match argument {
                            syn::GenericArgument::Type(inner) => Some(inner),
                            _ => None,
                        });
                        types.map(|inner| self.words(inner, from, named)).collect()
                    }
                    _ => Vec::new(),
                };
                match (last.ident.to_string().as_str(), inner.as_slice()) {
                    ("Vec" | "BTreeSet", [inner]) => format!("list of {inner}"),
                    ("Option", [inner]) => format!("{inner}, or nothing"),
                    ("BTreeMap", [key, value]) => format!("{value} for each {key}"),
                    ("Arc" | "Box", [inner]) => inner.clone(),
                    ("String" | "str", _) => "text".to_string(),
                    ("bool", _) => "true or false".to_string(),
                    ("usize" | "u8" | "u16" | "u32" | "u64" | "i32" | "i64" | "f64", _) => {
                        "number".to_string()
                    }
                    (name, _) => match self.see(name, from) {
                        Some(view) => {
                            named.push((name.to_string(), view.file.clone()));
                            format!("`{name}`")
                        }
                        None => "word".to_string(),
                    },
                }
            }
            _ => "word".to_string(),
        }
    }

    /// A line for each field, and the structs that stand in them.
    fn lines(&self, view: &View, named: &mut Vec<(String, String)>) -> String {
        let mut text = String::new();
        for (name, kind, doc, flat) in &view.fields {
            if *flat {
                let mut inner = Vec::new();
                self.words(kind, &view.file, &mut inner);
                for (name, file) in inner {
                    text += &self.lines(self.see(&name, &file).expect("it was seen"), named);
                }
                continue;
            }
            let words = self.words(kind, &view.file, named);
            let doc = if doc.is_empty() { String::new() } else { format!(": {doc}") };
            text += &format!("- `{name}` ({words}){doc}\n");
        }
        for kind in &view.one_of {
            text += &format!("- or {}\n", self.words(kind, &view.file, named));
        }
        text
    }
}

/// Which struct each template is filled from, as the code calls it, with its file.
fn filled(house: &House) -> BTreeMap<String, (String, String)> {
    let mut filled = BTreeMap::new();
    for path in house.rust("src/page/") {
        let text = house.text(path);
        for call in ["templates.page(\"", "templates.render(\""] {
            for (at, _) in text.match_indices(call) {
                let name = text[at + call.len()..].split('"').next().expect("a name");
                let view = text[..at].rsplit("let view = ").next().expect("a part");
                let view: String = view.chars().take_while(|letter| letter.is_alphanumeric()).collect();
                filled.insert(name.to_string(), (view, path.to_string()));
            }
        }
    }
    filled
}

/// The list of fields as the structs have them.
pub fn list(house: &House) -> String {
    let views = Views::of(house);
    let (mut text, mut named) = (String::new(), Vec::new());
    for (template, (name, file)) in filled(house) {
        let Some(view) = views.see(&name, &file) else { continue };
        text += &format!("\n### `{template}`\n\n{}", views.lines(view, &mut named));
    }
    let mut told = BTreeSet::new();
    let mut inner = BTreeMap::new();
    while let Some((name, file)) = named.pop() {
        if told.insert((name.clone(), file.clone())) {
            let view = views.see(&name, &file).expect("it was seen");
            let lines = views.lines(view, &mut named);
            let doc = if view.doc.is_empty() { String::new() } else { format!("{}\n\n", view.doc) };
            inner.insert((name, file), doc + &lines);
        }
    }
    for ((name, file), lines) in inner {
        let of = file.trim_start_matches("src/");
        text += &format!("\n### `{name}` of `{of}`\n\n{lines}");
    }
    text
}

/// The document lists the fields that the structs have, in their words.
pub fn documented(house: &House) -> Vec<String> {
    let text = house.text(DOCUMENT);
    let told = text.split_once(HEADING).map_or("", |(_, told)| told);
    let list = list(house);
    let (told, have): (Vec<&str>, Vec<&str>) = (told.lines().collect(), list.lines().collect());
    let mut wrong = Vec::new();
    if told != have {
        let at = told.iter().zip(&have).position(|(a, b)| a != b).unwrap_or(told.len().min(have.len()));
        let line = |lines: &[&str]| lines.get(at).map_or("nothing".to_string(), |line| format!("{line:?}"));
        wrong.push(format!("{DOCUMENT} says {} where the structs have {}", line(&told), line(&have)));
    }
    wrong
}
