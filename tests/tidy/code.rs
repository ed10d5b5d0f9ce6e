//! Turns the text of a Rust file into what the laws ask of it: names, macros, modules and texts, each with its line.

use proc_macro2::{Delimiter, TokenStream, TokenTree};
use syn::ext::IdentExt;
use syn::visit::{self, Visit};

/// What stands in a file. What only tests compile is marked as theirs.
#[derive(Default)]
pub struct Code {
    pub names: Vec<Name>,
    pub modules: Vec<Module>,
    pub macros: Vec<Macro>,
    /// The texts in macros, where a number may be formatted.
    pub texts: Vec<Text>,
    /// The file as the parser has it.
    pub file: Option<syn::File>,
    /// Why the file cannot be parsed.
    pub broken: Option<String>,
}

/// A path as it is written, from a `use`, an expression, a type, an attribute or the inside of a macro.
pub struct Name {
    /// `["crate", "page", "Output"]`; a glob ends with `*`, and `use … as x` doesn't say `x`.
    pub path: Vec<String>,
    /// The modules of this file that it stands in.
    pub within: Vec<String>,
    pub line: usize,
    pub test: bool,
    /// An `expect` of `clippy::disallowed_types` with its reason stands over it.
    pub expected: bool,
}

/// `mod x;` or `mod x { … }`.
pub struct Module {
    pub name: String,
    pub within: Vec<String>,
    pub line: usize,
    pub test: bool,
    pub public: bool,
    pub inline: bool,
    /// It has a `#[path]`.
    pub elsewhere: bool,
}

/// A macro that is called, wherever it is.
pub struct Macro {
    pub name: String,
    /// The first text inside, if it begins with one.
    pub first: Option<String>,
    pub line: usize,
    pub test: bool,
}

pub struct Text {
    pub text: String,
    pub line: usize,
    pub test: bool,
}

impl Code {
    pub fn of(text: &str) -> Code {
        let mut walk = Walk::default();
        match syn::parse_file(text) {
            Ok(file) => {
                walk.visit_file(&file);
                walk.found.file = Some(file);
            }
            Err(error) => walk.found.broken = Some(error.to_string()),
        }
        walk.found
    }
}

#[derive(Default)]
struct Walk {
    found: Code,
    within: Vec<String>,
    test: bool,
    expected: bool,
}

/// Whether an attribute is `cfg(test)` or `test`.
fn only_tests(attribute: &syn::Attribute) -> bool {
    let meta = &attribute.meta;
    meta.path().is_ident("test")
        || meta
            .require_list()
            .is_ok_and(|list| list.path.is_ident("cfg") && list.tokens.to_string() == "test")
}

/// Whether an attribute expects a forbidden type here and says why.
fn expects(attribute: &syn::Attribute) -> bool {
    attribute.meta.require_list().is_ok_and(|list| {
        let inside = list.tokens.to_string().replace(' ', "");
        list.path.is_ident("expect")
            && inside.contains("clippy::disallowed_types")
            && inside.contains("reason=\"")
    })
}

/// Whether an attribute has a module's text come from another file.
fn elsewhere(attribute: &syn::Attribute) -> bool {
    let path = attribute.meta.path();
    let words = |tokens: &TokenStream| tokens.clone().into_iter().any(|tree| tree.to_string() == "path");
    path.is_ident("path")
        || path.is_ident("cfg_attr") && attribute.meta.require_list().is_ok_and(|list| words(&list.tokens))
}

fn line(span: proc_macro2::Span) -> usize {
    span.start().line
}

impl Walk {
    /// Goes into what has these attributes.
    fn under(&mut self, attributes: &[syn::Attribute], inside: impl FnOnce(&mut Walk)) {
        let before = (self.test, self.expected);
        self.test |= attributes.iter().any(only_tests);
        self.expected |= attributes.iter().any(expects);
        inside(self);
        (self.test, self.expected) = before;
    }

    fn name(&mut self, path: Vec<String>, line: usize) {
        let (within, test) = (self.within.clone(), self.test);
        let name = Name { path, within, line, test, expected: self.expected };
        self.found.names.push(name);
    }

    fn tree(&mut self, tree: &syn::UseTree, before: &[String]) {
        let with = |ident: &syn::Ident| [before, &[ident.unraw().to_string()]].concat();
        match tree {
            syn::UseTree::Path(path) => self.tree(&path.tree, &with(&path.ident)),
            syn::UseTree::Name(name) if name.ident == "self" => {
                self.name(before.to_vec(), line(name.ident.span()))
            }
            syn::UseTree::Name(name) => self.name(with(&name.ident), line(name.ident.span())),
            syn::UseTree::Rename(name) if name.ident == "self" && !before.is_empty() => {
                self.name(before.to_vec(), line(name.ident.span()));
            }
            syn::UseTree::Rename(name) => self.name(with(&name.ident), line(name.ident.span())),
            syn::UseTree::Glob(glob) => {
                self.name([before, &["*".to_string()]].concat(), line(glob.star_token.spans[0]));
            }
            syn::UseTree::Group(group) => group.items.iter().for_each(|item| self.tree(item, before)),
        }
    }

    /// Paths, macros and texts among tokens that only a macro understands.
    fn tokens(&mut self, tokens: TokenStream, before: &[String]) {
        let trees: Vec<TokenTree> = tokens.into_iter().collect();
        let colons = |at: usize| {
            let colon =
                |at: usize| matches!(trees.get(at), Some(TokenTree::Punct(punct)) if punct.as_char() == ':');
            colon(at) && colon(at + 1)
        };
        let mut at = 0;
        while at < trees.len() {
            match &trees[at] {
                TokenTree::Ident(ident) => {
                    let first = line(ident.span());
                    let mut path = [before, &[ident.unraw().to_string()]].concat();
                    at += 1;
                    while colons(at) {
                        match trees.get(at + 2) {
                            Some(TokenTree::Ident(next)) => path.push(next.unraw().to_string()),
                            Some(TokenTree::Punct(star)) if star.as_char() == '*' => {
                                path.push("*".to_string())
                            }
                            Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace => {
                                self.tokens(group.stream(), &path);
                                path.clear();
                            }
                            _ => break,
                        }
                        at += 3;
                    }
                    let mark = |at: usize, sign: char| matches!(trees.get(at), Some(TokenTree::Punct(punct)) if punct.as_char() == sign);
                    if mark(at, '!') && !mark(at + 1, '=') {
                        let inside = match trees.get(at + 1) {
                            Some(TokenTree::Group(group)) => group.stream(),
                            _ => TokenStream::new(),
                        };
                        self.called(path.last().cloned().unwrap_or_default(), &inside, first);
                    }
                    if path.len() > 1 || path.first().is_some_and(|only| only == "crate") {
                        self.name(path, first);
                    }
                }
                TokenTree::Group(group) => {
                    self.tokens(group.stream(), &[]);
                    at += 1;
                }
                TokenTree::Literal(literal) => {
                    if let Ok(text) = syn::parse_str::<syn::LitStr>(&literal.to_string()) {
                        let (text, line) = (text.value(), line(literal.span()));
                        self.found.texts.push(Text { text, line, test: self.test });
                    }
                    at += 1;
                }
                TokenTree::Punct(_) => at += 1,
            }
        }
    }

    fn called(&mut self, name: String, inside: &TokenStream, line: usize) {
        let first = match inside.clone().into_iter().next() {
            Some(TokenTree::Literal(literal)) => syn::parse_str::<syn::LitStr>(&literal.to_string()).ok(),
            _ => None,
        };
        let first = first.map(|text| text.value());
        self.found.macros.push(Macro { name, first, line, test: self.test });
    }
}

impl<'a> Visit<'a> for Walk {
    fn visit_item(&mut self, item: &'a syn::Item) {
        let attributes: &[syn::Attribute] = match item {
            syn::Item::Const(item) => &item.attrs,
            syn::Item::Enum(item) => &item.attrs,
            syn::Item::ExternCrate(item) => &item.attrs,
            syn::Item::Fn(item) => &item.attrs,
            syn::Item::Impl(item) => &item.attrs,
            syn::Item::Macro(item) => &item.attrs,
            syn::Item::Mod(item) => &item.attrs,
            syn::Item::Static(item) => &item.attrs,
            syn::Item::Struct(item) => &item.attrs,
            syn::Item::Trait(item) => &item.attrs,
            syn::Item::Type(item) => &item.attrs,
            syn::Item::Use(item) => &item.attrs,
            _ => &[],
        };
        self.under(attributes, |walk| visit::visit_item(walk, item));
    }

    fn visit_impl_item_fn(&mut self, item: &'a syn::ImplItemFn) {
        self.under(&item.attrs, |walk| visit::visit_impl_item_fn(walk, item));
    }

    fn visit_field(&mut self, field: &'a syn::Field) {
        self.under(&field.attrs, |walk| visit::visit_field(walk, field));
    }

    fn visit_local(&mut self, local: &'a syn::Local) {
        self.under(&local.attrs, |walk| visit::visit_local(walk, local));
    }

    fn visit_item_mod(&mut self, module: &'a syn::ItemMod) {
        self.found.modules.push(Module {
            name: module.ident.unraw().to_string(),
            within: self.within.clone(),
            line: line(module.ident.span()),
            test: self.test,
            public: matches!(module.vis, syn::Visibility::Public(_)),
            inline: module.content.is_some(),
            elsewhere: module.attrs.iter().any(elsewhere),
        });
        self.within.push(module.ident.unraw().to_string());
        visit::visit_item_mod(self, module);
        self.within.pop();
    }

    fn visit_item_use(&mut self, item: &'a syn::ItemUse) {
        self.tree(&item.tree, &[]);
        item.attrs.iter().for_each(|attribute| self.visit_attribute(attribute));
    }

    /// `pub(crate)` names the crate and imports nothing.
    fn visit_visibility(&mut self, _: &'a syn::Visibility) {}

    fn visit_item_extern_crate(&mut self, item: &'a syn::ItemExternCrate) {
        let name = if item.ident == "self" { "crate".to_string() } else { item.ident.unraw().to_string() };
        self.name(vec![name], line(item.ident.span()));
    }

    fn visit_path(&mut self, path: &'a syn::Path) {
        let names = path.segments.iter().map(|segment| segment.ident.unraw().to_string()).collect();
        if let Some(first) = path.segments.first() {
            self.name(names, line(first.ident.span()));
        }
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, called: &'a syn::Macro) {
        visit::visit_macro(self, called);
        if let Some(last) = called.path.segments.last() {
            self.called(last.ident.unraw().to_string(), &called.tokens, line(last.ident.span()));
        }
        self.tokens(called.tokens.clone(), &[]);
    }

    /// An attribute names paths in its tokens, and some in a text: `#[serde(with = "crate::page::data")]`.
    fn visit_attribute(&mut self, attribute: &'a syn::Attribute) {
        if let syn::Meta::List(list) = &attribute.meta {
            let before = self.found.texts.len();
            self.tokens(list.tokens.clone(), &[]);
            for Text { text, line, .. } in self.found.texts.split_off(before) {
                if let Ok(path) = syn::parse_str::<syn::Path>(&text)
                    && path.segments.len() > 1
                {
                    self.name(
                        path.segments.iter().map(|part| part.ident.unraw().to_string()).collect(),
                        line,
                    );
                }
            }
        }
    }
}
