//! Turns view models into HTML by the built-in templates, each of which an author may replace by a file of the same name.

use super::Output;
use super::escape::escape;
use super::words::Words;
use crate::finding::{About, Code, Finding, Findings};
use crate::source::{FileId, Sources, Span};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use tera::{Context, Tera, Value};

/// The templates that the tool brings with it; `templates/README.md` documents what each is given.
const BUILT_IN: &[(&str, &str)] = &[
    ("base.html", include_str!("../../templates/base.html")),
    ("contents.html", include_str!("../../templates/contents.html")),
    ("chapter.html", include_str!("../../templates/chapter.html")),
    ("circuit.html", include_str!("../../templates/circuit.html")),
    ("card-part.html", include_str!("../../templates/card-part.html")),
    ("card-connector.html", include_str!("../../templates/card-connector.html")),
    ("data.html", include_str!("../../templates/data.html")),
    ("tables.html", include_str!("../../templates/tables.html")),
    ("table.html", include_str!("../../templates/table.html")),
    ("glossary.html", include_str!("../../templates/glossary.html")),
    ("proved.html", include_str!("../../templates/proved.html")),
    ("sheets.html", include_str!("../../templates/sheets.html")),
    ("sheet.html", include_str!("../../templates/sheet.html")),
    ("study.html", include_str!("../../templates/study.html")),
    ("study-index.html", include_str!("../../templates/study-index.html")),
    ("study-paper.html", include_str!("../../templates/study-paper.html")),
    ("study-grading.html", include_str!("../../templates/study-grading.html")),
    ("study-lab.html", include_str!("../../templates/study-lab.html")),
    ("study-lab-key.html", include_str!("../../templates/study-lab-key.html")),
    ("study-reader.html", include_str!("../../templates/study-reader.html")),
];

/// Files that are written as they are, under their own names.
const STATIC: &[(&str, &str)] = &[
    ("book.css", include_str!("../../templates/book.css")),
    ("sheet.css", include_str!("../../templates/sheet.css")),
    ("book.js", include_str!("../../templates/book.js")),
    ("circuit.js", include_str!("../../templates/circuit.js")),
];

/// Files of the study pack, which each of its folders has for itself.
const PACKED: &[(&str, &str)] = &[
    ("study.css", include_str!("../../templates/study.css")),
    ("study-lab.js", include_str!("../../templates/study-lab.js")),
    ("study-reader.js", include_str!("../../templates/study-reader.js")),
];

/// The templates of one book.
pub struct Templates {
    tera: Tera,
    statics: Vec<Output>,
    packed: Vec<Output>,
    /// The author's file behind a template, where there is one.
    files: BTreeMap<String, FileId>,
    failed: Mutex<Vec<Finding>>,
    fallback: Span,
}

impl Templates {
    /// The built-in templates with the author's own in their places. An own one that cannot be parsed is a finding, and the
    /// built-in one stays.
    pub fn of(words: &Arc<Words>, sources: &Sources, findings: &mut Findings) -> Templates {
        let mut tera = Tera::default();
        tera.set_escape_fn(escape);
        let built_in = BUILT_IN.iter().map(|(name, text)| (*name, *text));
        tera.add_raw_templates(built_in)
            .expect("the built-in templates are sound: every test of this room renders them");
        let mut files = BTreeMap::new();
        for (name, _) in BUILT_IN {
            let Some(file) = sources.find(&format!("templates/{name}")) else {
                continue;
            };
            if let Some(at) = endless(name, sources) {
                let headline = "this template takes itself in, directly or by another, without end";
                findings.push(Finding::new(Code::BadTemplate, Span::new(file, at..at), headline));
                continue;
            }
            if let Some(at) = too_deep(&sources.text(file).content) {
                let headline = format!("loops stand {LOOPS} deep within each other at most");
                findings.push(Finding::new(Code::BadTemplate, Span::new(file, at..at), headline));
                continue;
            }
            let mut tried = tera.clone();
            match tried.add_raw_template(name, &sources.text(file).content) {
                Ok(()) => {
                    tera = tried;
                    files.insert(name.to_string(), file);
                }
                Err(error) => findings.push(bad(&error, placed(&error, file, &sources.text(file).content))),
            }
        }
        tera.register_function("t", Texts(Arc::clone(words)));
        // The library's own: a template of somebody else's book has no business in the environment.
        tera.register_function("get_env", Closed);
        tera.register_function("range", Counted);
        let as_is = |&(name, text): &(&str, &str)| {
            let own = sources.find(&format!("templates/{name}"));
            let text = own.map_or(text, |file| sources.text(file).content.as_str());
            let text = match name {
                "book.css" | "sheet.css" | "study.css" => format!("{text}\n{}", crate::draw::STYLE),
                _ => text.to_string(),
            };
            Output { path: name.to_string(), bytes: text.into_bytes() }
        };
        Templates {
            statics: STATIC.iter().map(as_is).collect(),
            packed: PACKED.iter().map(as_is).collect(),
            tera,
            files,
            failed: Mutex::new(Vec::new()),
            fallback: Span::new(FileId(0), 0..0),
        }
    }

    /// The style sheets and scripts.
    pub fn statics(&self) -> Vec<Output> {
        self.statics.clone()
    }

    /// A file of the study pack, to be written to `path`.
    pub fn copy(&self, name: &str, path: &str) -> Output {
        let packed = self.packed.iter().find(|packed| packed.path == name);
        Output { path: path.to_string(), bytes: packed.map_or_else(Vec::new, |packed| packed.bytes.clone()) }
    }

    /// A template filled in with a view; one that fails is noted, and nothing stands in its place.
    pub fn render(&self, name: &str, view: &impl Serialize) -> String {
        let filled = Context::from_serialize(view).and_then(|context| {
            let mut page = Page(Vec::new());
            self.tera.render_to(name, &context, &mut page)?;
            Ok(String::from_utf8_lossy(&page.0).into_owned())
        });
        filled.unwrap_or_else(|error| {
            let span = self.files.get(name).map_or(self.fallback, |&file| Span::new(file, 0..0));
            self.failed.lock().expect("noting a finding cannot fail half way").push(bad(&error, span));
            String::new()
        })
    }

    /// A page: a template filled in, with the path that it is written to.
    pub fn page(&self, name: &str, path: &str, view: &impl Serialize) -> Output {
        Output { path: path.to_string(), bytes: self.render(name, view).into_bytes() }
    }

    /// A finding for each template that could not be filled in, each once.
    pub fn failed(&self) -> Findings {
        let mut failed = self.failed.lock().expect("noting a finding cannot fail half way").clone();
        failed.sort_by(|a, b| a.headline.cmp(&b.headline));
        failed.dedup();
        let mut findings = Findings::default();
        failed.into_iter().for_each(|finding| findings.push(finding));
        findings
    }
}

/// The function `t` of the templates.
struct Texts(Arc<Words>);

impl tera::Function for Texts {
    #[expect(
        clippy::disallowed_types,
        reason = "tera hands values over so; they are looked up by name alone"
    )]
    fn call(&self, values: &std::collections::HashMap<String, Value>) -> tera::Result<Value> {
        let Some(key) = values.get("k").and_then(Value::as_str) else {
            return Err(tera::Error::msg("`t` takes the text's key as `k`"));
        };
        let value = |name: &str| {
            values.get(name).map(|value| value.as_str().map_or_else(|| value.to_string(), str::to_string))
        };
        Ok(Value::String(self.0.fill_by(key, value)))
    }
}

/// A function that the library has and a book's template may not call.
struct Closed;

impl tera::Function for Closed {
    #[expect(clippy::disallowed_types, reason = "tera hands values over so")]
    fn call(&self, _: &std::collections::HashMap<String, Value>) -> tera::Result<Value> {
        Err(tera::Error::msg("there is no such function here: a template sees what it is given, and no more"))
    }
}

/// Loops within each other in an author's template, numbers that it may count to, and bytes of a page that it fills: beyond these, it
/// would keep the machine busy without end.
const LOOPS: usize = 3;
const COUNTED: u64 = 200;
const PAGE: usize = 64 << 20;

/// The function `range`, as the library has it, within a bound.
struct Counted;

impl tera::Function for Counted {
    #[expect(clippy::disallowed_types, reason = "tera hands values over so")]
    fn call(&self, values: &std::collections::HashMap<String, Value>) -> tera::Result<Value> {
        let number = |name: &str, usual: u64| values.get(name).map_or(Some(usual), Value::as_u64);
        let (start, end, step) = (number("start", 0), number("end", 0), number("step_by", 1));
        match (start, end, step) {
            (Some(start), Some(end), Some(step)) if step > 0 && end <= COUNTED => {
                Ok((start..end).step_by(step as usize).map(Value::from).collect())
            }
            _ => Err(tera::Error::msg(format!("`range` counts from `start` to `end`, {COUNTED} at most"))),
        }
    }
}

/// A page while it is filled in.
struct Page(Vec<u8>);

impl std::io::Write for Page {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        if self.0.len() + bytes.len() > PAGE {
            return Err(std::io::Error::other(format!("a page has {PAGE} bytes at most")));
        }
        self.0.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// Where loops stand deeper within each other than they may.
fn too_deep(text: &str) -> Option<usize> {
    let mut depth = 0usize;
    for (at, _) in text.match_indices("{%") {
        let inside = text[at + 2..].trim_start_matches(['-', ' ', '\t', '\n']);
        if inside.starts_with("for ") {
            depth += 1;
        } else if inside.starts_with("endfor") {
            depth = depth.saturating_sub(1);
        }
        if depth > LOOPS {
            return Some(at);
        }
    }
    None
}

/// The templates that one takes in, and the places of the words that do so.
fn taken_in(text: &str) -> Vec<(usize, &str)> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices("{%") {
        let inside = text[at + 2..].trim_start_matches(['-', ' ', '\t', '\n']);
        let Some(rest) = ["include", "import"].iter().find_map(|word| inside.strip_prefix(word)) else {
            continue;
        };
        let inside = rest.split("%}").next().unwrap_or_default();
        found.extend(inside.split(['"', '\'', '`']).skip(1).step_by(2).map(|name| (at, name)));
    }
    found
}

/// Where a template begins to take itself in, or calls a macro from a macro; the library would follow it without end.
fn endless(name: &str, sources: &Sources) -> Option<usize> {
    let text = |name: &str| {
        let own = sources.find(&format!("templates/{name}"));
        let built_in = || BUILT_IN.iter().find(|(known, _)| *known == name).map(|(_, text)| *text);
        own.map(|file| sources.text(file).content.as_str()).or_else(built_in)
    };
    let content = text(name)?;
    if let (true, Some(at)) =
        (content.contains("{% macro") || content.contains("{%- macro"), content.find("self::"))
    {
        return Some(at);
    }
    for (at, first) in taken_in(content) {
        let mut seen = vec![first];
        let mut next = 0;
        while let Some(&other) = seen.get(next) {
            if other == name {
                return Some(at);
            }
            for (_, further) in text(other).map(taken_in).unwrap_or_default() {
                if !seen.contains(&further) {
                    seen.push(further);
                }
            }
            next += 1;
        }
    }
    None
}

/// Where the library says that a template is wrong, which it does by line and column after an arrow.
fn placed(error: &tera::Error, file: FileId, content: &str) -> Span {
    let words = causes(error);
    let told = words.split_once("-->").map(|(_, rest)| rest.trim_start());
    let told = told.and_then(|rest| rest.split_whitespace().next()?.split_once(':'));
    let told =
        told.and_then(|(line, column)| Some((line.parse::<usize>().ok()?, column.parse::<usize>().ok()?)));
    let Some((line, column)) = told else { return Span::new(file, 0..0) };
    let start: usize = content.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    let rest = content.get(start..).unwrap_or_default();
    let at = start + rest.char_indices().nth(column.saturating_sub(1)).map_or(0, |(at, _)| at);
    Span::new(file, at..at)
}

/// What the library says, down to the cause.
fn causes(error: &tera::Error) -> String {
    let mut words = error.to_string();
    let mut cause = std::error::Error::source(error);
    while let Some(inner) = cause {
        words.push_str(": ");
        words.push_str(&inner.to_string());
        cause = inner.source();
    }
    words
}

/// What went wrong, as a finding.
fn bad(error: &tera::Error, span: Span) -> Finding {
    let words = causes(error);
    Finding::new(Code::BadTemplate, span, words.split_whitespace().collect::<Vec<_>>().join(" "))
        .remark(About::More, "templates/README.md of the tool lists what each template is given")
}
