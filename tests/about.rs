//! Holds the reference against the reader: every key and form that is declared is read, every example is accepted, every excerpt
//! stands in the book to start from, and no page is too wide.

use crate::book::{Files, folder};
use goodground::about::{Group, TOPICS, example, pages, schemas};
use goodground::book::Kind;
use goodground::finding::{Findings, Severity};
use goodground::read::key::{Key, Need, Takes};
use goodground::read::kind::entry;
use goodground::read::{
    self, CONDITIONS, FRONT, HANDS, INSTRUMENTS, LINES, LINKS, LOOKS, MANUAL, PART, POINTS, SETUPS, SHEET,
    SIGHTINGS, STUDY,
};
use goodground::report;
use goodground::source::Sources;
use std::collections::BTreeSet;

/// A value that no key takes.
const WRONG: &str = "2031-05-01";

/// What a reader finds in a table of these lines: each finding's headline and the text that it points at.
type Reads<'r> = &'r dyn Fn(&[(String, String)]) -> Vec<(String, String)>;

fn found(files: &Files) -> Vec<(String, String)> {
    let mut sources = Sources::default();
    files.iter().for_each(|(path, text)| {
        sources.add(path, text.as_str());
    });
    let (_, findings) = read::read(&sources, &[]);
    told(findings, &sources)
}

/// The errors among findings: a vehicle that only shows a form leaves things unused.
fn told(findings: Findings, sources: &Sources) -> Vec<(String, String)> {
    let errors = findings.sorted().into_iter().filter(|finding| finding.code.severity() == Severity::Error);
    errors.map(|finding| (finding.headline.clone(), sources.slice(finding.span).to_string())).collect()
}

/// The example vehicle with another text in place of one of its files, or beside them.
fn vehicle_with(path: &str, text: String) -> Files {
    let mut files = folder("tests/about");
    files.insert(path.to_string(), text);
    files
}

fn lines(entries: &[(String, String)]) -> String {
    entries.iter().map(|(name, value)| format!("{name} = {value}\n")).collect()
}

/// The keys that must be there, with their examples.
fn needed(keys: &[Key]) -> Vec<(String, String)> {
    let needed = keys.iter().filter(|key| key.is_needed());
    needed.map(|key| (key.name.to_string(), key.example.to_string())).collect()
}

/// Those entries with one more, which takes the place of another where it is declared to.
fn with(entries: &[(String, String)], key: &Key, value: &str) -> Vec<(String, String)> {
    let mut entries = entries.to_vec();
    entries
        .retain(|(name, _)| name != key.name && !matches!(key.need, Need::Instead(other) if other == name));
    entries.push((key.name.to_string(), value.to_string()));
    entries
}

/// Visits each key of a table, and those of the tables in it: its example is accepted, and a value that cannot stand there is told.
fn visit(what: &str, keys: &[&Key], base: &[(String, String)], reads: Reads, visited: &mut usize) {
    for key in keys {
        let told = reads(&with(base, key, key.example));
        assert_eq!(told, [], "{what}: the example of `{}`", key.name);
        let told = reads(&with(base, key, WRONG));
        assert!(told.iter().any(|(_, at)| at == WRONG), "{what}: `{}` is not read: {told:?}", key.name);
        *visited += 1;
        if let Need::Instead(other) = key.need {
            let other =
                keys.iter().find(|known| known.name == other).expect("what it stands for is declared");
            let both =
                [with(base, other, other.example), vec![(key.name.to_string(), key.example.to_string())]]
                    .concat();
            let told = reads(&both);
            assert!(
                told.iter().any(|(_, at)| at == other.name),
                "{what}: `{}` beside `{}`",
                other.name,
                key.name
            );
        }
        let inner = key.takes.inner();
        if inner.is_empty() {
            continue;
        }
        let wrapped = |entries: &[(String, String)]| {
            let pairs: Vec<String> =
                entries.iter().map(|(name, value)| format!("{name} = {value}")).collect();
            let table = format!("{{ {} }}", pairs.join(", "));
            let value = match key.takes {
                Takes::Each(_, name, _) => format!("{{ \"{name}\" = {table} }}"),
                _ => table,
            };
            reads(&with(base, key, &value))
        };
        let what = format!("{what}, `{}`", key.name);
        visit(&what, &inner.iter().collect::<Vec<_>>(), &needed(inner), &wrapped, visited);
    }
}

/// What the reader finds in the example of a kind with these lines.
fn of_kind(kind: Kind, entries: &[(String, String)]) -> Vec<(String, String)> {
    let own = format!("[parts.{}]\nkind = \"{}\"\n{}", entry(kind).id, kind.word(), lines(entries));
    let example = example(kind, Some(&own));
    told(example.findings, &example.sources)
}

#[test]
fn every_key_of_every_kind_is_read_and_its_example_is_accepted() {
    for &kind in Kind::ALL {
        let entry = entry(kind);
        let keys: Vec<&Key> = entry.keys.iter().collect();
        let base: Vec<(String, String)> =
            entry.example().map(|key| (key.name.to_string(), key.example.to_string())).collect();
        assert_eq!(of_kind(kind, &base), [], "the example of {}", kind.word());
        let mut visited = 0;
        visit(kind.word(), &keys, &base, &|entries| of_kind(kind, entries), &mut visited);
        assert!(visited >= keys.len());
        assert!(
            !entry.tells.is_empty()
                && entry.shown.iter().all(|shown| entry.keys.iter().any(|key| key.name == *shown))
        );
    }
}

#[test]
fn every_key_of_sheet_manual_and_page_is_read_and_its_example_is_accepted() {
    let mut visited = 0;
    let all = |keys: &'static [Key]| -> Vec<&'static Key> { keys.iter().collect() };
    let sheet = |entries: &[(String, String)]| found(&vehicle_with("circuits/other.toml", lines(entries)));
    // The keys of a part are visited with those of its kind, and its own below.
    let keys: Vec<&Key> = SHEET.iter().filter(|key| key.name != "parts").collect();
    visit("a sheet", &keys, &needed(SHEET), &sheet, &mut visited);
    let parts = SHEET.iter().find(|key| key.name == "parts").expect("a sheet has parts");
    assert_eq!(sheet(&with(&needed(SHEET), parts, parts.example)), []);
    let part = |entries: &[(String, String)]| {
        let text = format!("title = \"Other\"\n[parts.K9]\n{}", lines(entries));
        found(&vehicle_with("circuits/other.toml", text))
    };
    let base = [("kind".to_string(), "\"fuse\"".to_string()), ("rating".to_string(), "\"5 A\"".to_string())];
    visit("a part", &all(&PART[1..]), &base, &part, &mut visited);
    let manual = |entries: &[(String, String)]| {
        let options = "[options]\nlift = { choices = [\"none\", \"rear\"] }\ngearbox = { choices = [\"manual\", \"automatic\"] }\n";
        let own = if entries.iter().any(|(name, _)| name == "options") { "" } else { options };
        let pages = "+++\ntitle = \"A\"\nkind = \"theory\"\n+++\n";
        let mut files = vehicle_with("content/manual.toml", lines(entries) + own);
        files.insert("content/lift.md".to_string(), pages.to_string());
        files.insert("content/lift-checkout.md".to_string(), pages.to_string());
        found(&files)
    };
    visit("the manual", &all(MANUAL), &needed(MANUAL), &manual, &mut visited);
    let page = |entries: &[(String, String)]| {
        let mut files = vehicle_with("content/a.md", format!("+++\n{}+++\n\nText.\n", lines(entries)));
        files.insert("circuits/lift.toml".to_string(), "title = \"Lift\"\n".to_string());
        found(&files)
    };
    visit("a page", &all(FRONT), &needed(FRONT), &page, &mut visited);
    let study = [("title".to_string(), "\"A\"".to_string()), ("kind".to_string(), "\"study\"".to_string())];
    visit("a study page", &all(STUDY), &study, &page, &mut visited);
    assert!(visited > 45, "{visited}");
}

#[test]
fn every_condition_is_read_where_it_may_stand() {
    let places = |when: &str| {
        let coil = "coil = { pins = \"86-85\", resistance = \"85 ohm\", pulls-in = \"8 V\" }";
        let set = "{ pins = \"86-85\", resistance = \"85 ohm\", pulls-in = \"8 V\" }";
        [
            format!("[parts.K9]\nkind = \"timer\"\n{coil}\nmakes = {{ \"30-87\" = \"{when}\" }}\n"),
            format!(
                "[parts.K9]\nkind = \"latching-relay\"\nset = {set}\nreset = {set}\nmakes = {{ \"30-87\" = \"{when}\" }}\n"
            ),
            format!(
                "[parts.K9]\nkind = \"module\"\nterminals = [\"15\", \"31\", \"IN1\", \"OUT1\"]\nground = \"31\"\noutputs = {{ OUT1 = {{ from = \"15\", when = \"{when}\" }} }}\n"
            ),
        ]
    };
    let read = |when: &str| {
        places(when)
            .map(|part| found(&vehicle_with("circuits/other.toml", format!("title = \"Other\"\n{part}"))))
    };
    for form in CONDITIONS {
        let told = read(form.example);
        assert!(told.iter().any(Vec::is_empty), "`{}`: {told:?}", form.example);
    }
    assert!(read("key jump").iter().all(|told| !told.is_empty()));
}

/// What the reader finds in a page of this kind about the example vehicle.
fn of_page(kind: &str, text: &str) -> Vec<(String, String)> {
    let front =
        |kind: &str| format!("+++\ntitle = \"{kind}\"\nkind = \"{kind}\"\ncircuit = \"example\"\n+++\n\n");
    let mut files = vehicle_with("content/a.md", format!("{}{text}", front(kind)));
    let trouble = "## Procedure 1: A {#t1}\n\n### 1.1 B {#t1-1}\n\n- Then: [](blame:H1)\n\n## Procedure 2: C {#t2}\n\n### 2.1 D {#t2-1}\n\n- Then: [](blame:H1)\n";
    files.insert("content/trouble.md".to_string(), front("troubleshooting") + trouble);
    found(&files)
}

#[test]
fn every_hand_result_point_and_setup_is_read() {
    let step = |line: String| {
        of_page(
            "checkout",
            &format!(
                "## Step 1: A {{#c1}}\n\n{line}\n- Expect: H1 lit\n- If not: [Procedure 1](trouble.md#t1)\n"
            ),
        )
    };
    for hand in HANDS.iter().chain(INSTRUMENTS) {
        assert_eq!(step(format!("- Do: {}", hand.example)), [], "`{}`", hand.example);
    }
    for point in POINTS {
        assert_eq!(step(format!("- Do: voltmeter {} to ground", point.example)), [], "`{}`", point.example);
    }
    for look in LOOKS {
        let text = format!(
            "## Step 1: A {{#c1}}\n\n- Expect: {}\n- If not: [Procedure 1](trouble.md#t1)\n",
            look.example
        );
        assert_eq!(of_page("checkout", &text), [], "`{}`", look.example);
    }
    for setup in SETUPS {
        let text = format!("[It is so](<claim: {} => H1 lit>).\n", setup.example);
        assert_eq!(of_page("theory", &text), [], "`{}`", setup.example);
    }
    for sighting in SIGHTINGS {
        let mut sources = Sources::default();
        folder("tests/about").iter().for_each(|(path, text)| {
            sources.add(path, text.as_str());
        });
        let file = sources.add("saw", sighting.example);
        let (_, read, findings) = goodground::read::sightings(&sources, &[], &[file]);
        assert_eq!((read.len(), told(findings, &sources)), (1, Vec::new()), "`{}`", sighting.example);
    }
    assert_eq!(step("- Do: unplug K5".to_string()).len(), 1);
}

#[test]
fn every_line_and_link_is_read() {
    let example =
        |first: &str| LINES.iter().find(|line| line.form.starts_with(first)).expect("a line").example;
    let step: Vec<String> = ["Set:", "Do:", "Expect:", "If ", "If not:"]
        .iter()
        .map(|first| format!("- {}\n", example(first)))
        .collect();
    assert_eq!(of_page("checkout", &format!("## Step 1: A {{#c1}}\n\n{}", step.concat())), []);
    let test = format!(
        "## Procedure 1: A {{#t1}}\n\n### 1.1 B {{#t1-1}}\n\n- {}\n  - lit: go to [1.2](#t1-2)\n  - else: [](good:)\n\n### 1.2 C {{#t1-2}}\n\n- {}\n",
        example("Read:"),
        example("Then:").replace("t1-2", "t1-3").replace("1.2", "1.3"),
    );
    assert_eq!(
        of_page("troubleshooting", &format!("{test}\n### 1.3 D {{#t1-3}}\n\n- Then: [](blame:H1)\n")),
        []
    );
    for link in LINKS {
        let (kind, text) = match link.form.split(':').next() {
            Some("blame" | "good") => (
                "troubleshooting",
                format!("## Procedure 1: A {{#t1}}\n\n### 1.1 B {{#t1-1}}\n\n- Then: {}\n", link.example),
            ),
            Some("wrong") => (
                "study",
                format!(
                    "## What holds? {{#q}}\n\n- [It lights.](<claim: key run => H1 lit>) So.\n- {} Not so.\n",
                    link.example
                ),
            ),
            _ => ("theory", format!("{}\n", link.example)),
        };
        assert_eq!(of_page(kind, &text), [], "`{}`", link.example);
    }
    assert_eq!(LINES.len(), 7, "every line stands in one of the pages above");
}

#[test]
fn every_excerpt_stands_in_the_book_to_start_from() {
    let starter = folder("src/command/starter");
    let mut excerpts = 0;
    for topic in TOPICS {
        for fence in topic.text.split("```").skip(1).step_by(2) {
            let (head, body) = fence.split_once('\n').expect("a fence has lines");
            let path = head.split(' ').nth(1).expect("a fence names its file");
            let text = format!("\n{}", starter[path]);
            assert!(text.contains(&format!("\n{body}")), "{}: not in {path}:\n{body}", topic.name);
            excerpts += 1;
        }
    }
    assert!(excerpts >= 12, "{excerpts}");
}

#[test]
fn pages_fit_a_terminal_have_names_of_their_own_and_refer_to_pages_that_are_there() {
    let pages = pages();
    let names: BTreeSet<&str> = pages.iter().map(|page| page.name).collect();
    assert_eq!(names.len(), pages.len());
    for page in &pages {
        let shown = report::reference(&format!("{}: {}", page.name, page.text));
        let long = shown.lines().find(|line| line.chars().count() > 80 && !line.starts_with("    "));
        assert_eq!(long, None, "{}", page.name);
        assert!(page.tells.ends_with('.'), "{}", page.name);
        for piece in page.text.split('`').skip(1).step_by(2) {
            let asked = piece.strip_prefix("about ").or(piece.strip_prefix("goodground about "));
            let named = asked.filter(|name| name.chars().all(|c| c.is_ascii_lowercase() || c == '-'));
            assert!(named.is_none_or(|name| names.contains(name)), "{}: `{piece}`", page.name);
        }
    }
    let kinds = pages.iter().filter(|page| page.group == Group::Kind);
    assert!(kinds.clone().count() == Kind::ALL.len());
    for page in kinds {
        for heading in ["## Terminals", "## How it fails"] {
            assert!(page.text.contains(heading), "{}: {heading}", page.name);
        }
    }
}

/// The schemas, each with the files that it must take and with slips in them that it must not.
#[test]
fn schemas_take_the_books_and_no_slips_of_a_key() {
    let [(_, sheet), (_, manual)] = schemas();
    let value =
        |text: &str| serde_json::to_value(toml::from_str::<toml::Table>(text).expect("TOML")).expect("JSON");
    let mut cases = Vec::new();
    for book in [".", "src/command/starter", "tests/planted/blade", "tests/planted/boat", "tests/about"] {
        for (path, text) in
            folder(book).into_iter().filter(|(path, _)| path.ends_with(".toml") && !path.contains("strings"))
        {
            let schema = if path == "content/manual.toml" { &manual } else { &sheet };
            cases.push(serde_json::json!({ "what": format!("{book}/{path}"), "schema": schema, "value": value(&text), "fits": true }));
        }
    }
    let slips = [
        "[parts.F1]\nkind = \"fuse\"\nrating = \"5 A\"\n",
        "title = \"A\"\n[parts.F1]\nkind = \"fuse\"\nratng = \"5 A\"\n",
        "title = \"A\"\n[parts.F1]\nkind = \"fues\"\nrating = \"5 A\"\n",
        "title = \"A\"\n[parts.F1]\nkind = \"fuse\"\nrating = 5\n",
        "title = \"A\"\n[parts.K1]\nkind = \"relay\"\nmakes = { \"30-87\" = \"energized\" }\n",
        "title = \"A\"\n[parts.H1]\nkind = \"lamp\"\n",
        "title = \"A\"\n[control]\nkey = [\"off\", \"on\"]\n",
    ];
    for slip in slips {
        cases.push(serde_json::json!({ "what": slip, "schema": sheet, "value": value(slip), "fits": false }));
    }
    assert!(cases.len() > 15, "{}", cases.len());
    let cases = serde_json::Value::from(cases).to_string();
    assert_eq!(crate::reference::python::ask("schema.py", cases, "jsonschema"), "");
}
