//! Turns a small book into pages and holds them: escaped, linked, the same every time, in a language, by an author's template.

use goodground::page::{Output, Request, pages};
use goodground::proof::{Silent, illustrate, prove};
use goodground::source::Sources;
use goodground::study::quiz;
use goodground::{finding, read};
use std::collections::{BTreeMap, BTreeSet};

const MANUAL: &str = r#"
title = "Bench & <book>"
vehicle = "Test \"cart\""
edition = "Edition 1"
language = "en"
paper = "A4"

[proof]
supply = "12..13 V"
temperature = "25 degC"
"#;

const CIRCUIT: &str = r#"
title = "Lamp <circuit>"

[controls]
switch = ["off", "on"]

[parts.BAT]
kind = "battery"
name = "Battery"
voltage = "12 V"

[parts.F1]
kind = "fuse"
name = "Lamp fuse & holder"
rating = "5 A"
place = "under </script> the seat"

[parts.S1]
kind = "switch"
name = "Lamp switch"
makes = { "1-2" = "switch on" }

[parts.E1]
kind = "lamp"
name = "Work lamp"
rating = "12 V 5 W"

[parts.G1]
kind = "ground"
name = "Frame"

[harness.main]
wires = [
    ["W1", "BAT:+", "F1:1", "RD", 1.5, 0.5],
    ["W2", "F1:2", "S1:1", "RD/BK", 1.0, 1.0],
    ["W3", "S1:2", "E1:1", "BK", 1.0, 1.0],
    ["W4", "E1:2", "G1", "BN", 1.0, 1.0],
    ["W5", "BAT:-", "G1", "BN", 6.0, 0.5],
]

[intent]
E1 = "switch on"
"#;

const THEORY: &str = r#"+++
title = "Lamp: how it works"
kind = "theory"
circuit = "lamp"
+++

S1 feeds E1, so [the lamp lights](<claim: switch on => E1 lit>). See [the checkout](lamp-checkout.md#c1). <b onclick="x()">bold</b>

> **DANGER**
> Hot.

![Lit](<draw: lamp; switch on>)
"#;

const CHECKOUT: &str = r#"+++
title = "Lamp checkout"
kind = "checkout"
circuit = "lamp"
+++

## Step 1: Lamp {#c1}

- Set: switch on
- Expect: E1 lit
- If not: [Procedure 1](lamp-trouble.md#t1)
"#;

const TROUBLE: &str = r#"+++
title = "Lamp troubleshooting"
kind = "troubleshooting"
circuit = "lamp"
+++

## Procedure 1: The lamp stays dark {#t1}

### 1.1 Is there feed at the lamp? {#t1-1}

- Do: test light E1:1 to ground
- Read: test light
  - lit: [Replace the lamp, or repair its ground.](blame:E1, W4)
  - else: [Find the open place.](blame:F1, S1, W1, W2, W3)
"#;

/// The book's files, with more files or other contents over them.
fn sources(over: &[(&str, &str)]) -> Sources {
    let mut files: BTreeMap<&str, &str> = BTreeMap::from([
        ("content/manual.toml", MANUAL),
        ("circuits/lamp.toml", CIRCUIT),
        ("content/lamp.md", THEORY),
        ("content/lamp-checkout.md", CHECKOUT),
        ("content/lamp-trouble.md", TROUBLE),
    ]);
    files.extend(over.iter().copied());
    let mut sources = Sources::default();
    for (path, text) in files {
        sources.add(path, text);
    }
    sources
}

fn publish(over: &[(&str, &str)], draft: bool) -> (BTreeMap<String, String>, Vec<finding::Finding>) {
    let sources = sources(over);
    let (book, findings) = read::read(&sources, &[]);
    let found: Vec<String> = findings.iter().map(|finding| finding.headline.clone()).collect();
    assert_eq!(found, Vec::<String>::new(), "the test's own book is sound");
    let proof = prove(&book, &Silent);
    let illustrations = illustrate(&book);
    let questions: Vec<quiz::Question> = Vec::new();
    let (outputs, findings) = pages(&Request {
        book: &book,
        sources: &sources,
        proof: &proof,
        illustrations: &illustrations,
        questions: &questions,
        labs: &[],
        stamp: "12345-67890",
        findings: &[],
        draft,
        watched: false,
    });
    let text = |Output { path, bytes }| (path, String::from_utf8(bytes).expect("a page is text"));
    (outputs.into_iter().map(text).collect(), findings.sorted())
}

/// The pages of the book; the study pack stands alone and has its own tests.
fn html(pages: &BTreeMap<String, String>) -> impl Iterator<Item = (&String, &String)> {
    let pages = pages.iter();
    pages.filter(|(path, _)| path.ends_with(".html") && !path.starts_with("study/"))
}

/// The values of an attribute.
fn attributes<'t>(text: &'t str, name: &str) -> Vec<&'t str> {
    let opening = format!(" {name}=\"");
    text.match_indices(&opening)
        .map(|(at, _)| {
            let rest = &text[at + opening.len()..];
            &rest[..rest.find('"').unwrap_or(rest.len())]
        })
        .collect()
}

#[test]
fn an_authors_text_stays_text() {
    let (pages, findings) = publish(&[], false);
    assert!(findings.is_empty(), "{findings:?}");
    for (path, text) in html(&pages) {
        for raw in ["<book>", "<circuit>", "<b onclick", "</script> the seat", "Test \"cart\""] {
            assert!(!text.contains(raw), "{path} holds {raw}");
        }
    }
    assert!(pages["pages/lamp.html"].contains("&lt;b onclick="));
    assert!(pages["data/lamp.html"].contains("under &lt;/script&gt; the seat"));
    assert!(pages["search.js"].contains("\\u003c/script>"));
}

#[test]
fn every_relative_link_and_anchor_leads_somewhere() {
    let (pages, _) = publish(&[], false);
    let mut followed = 0;
    for (path, text) in html(&pages) {
        let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
        for href in attributes(text, "href").into_iter().chain(attributes(text, "src")) {
            let (file, anchor) = href.split_once('#').unwrap_or((href, ""));
            let mut parts: Vec<&str> = folder.split('/').filter(|part| !part.is_empty()).collect();
            for part in file.split('/') {
                match part {
                    ".." => assert!(parts.pop().is_some(), "{path}: {href} leaves the book"),
                    "" => {}
                    part => parts.push(part),
                }
            }
            let target = if file.is_empty() { path.clone() } else { parts.join("/") };
            let page = pages.get(&target).unwrap_or_else(|| panic!("{path}: {href} leads nowhere"));
            if !anchor.is_empty() && !anchor.starts_with("build=") {
                assert!(page.contains(&format!("id=\"{anchor}\"")), "{path}: {href} has no such place");
            }
            followed += 1;
        }
    }
    assert!(followed > 200, "{followed} links");
}

#[test]
fn the_same_book_gives_the_same_bytes() {
    assert_eq!(publish(&[], false).0, publish(&[], false).0);
}

#[test]
fn a_claim_opens_its_evidence_with_volts_and_amperes() {
    let (pages, _) = publish(&[], false);
    assert!(pages["pages/lamp.html"].contains("href=\"../circuits/lamp.html#claim-1\""));
    let circuit = &pages["circuits/lamp.html"];
    let evidence = circuit.split("id=\"claim-1\"").nth(1).expect("the claim is there");
    let row = &evidence[..evidence.find("</table>").expect("its readings are a table")];
    // 12.5 V less the drops of fuse and wire; a 5 W lamp at 12 V takes 0.42 A.
    assert!(row.contains("12.5 V") || row.contains("12.4 V"), "{row}");
    assert!(row.contains("0.42"), "{row}");
    assert!(row.contains("W3</a> → "), "the path is told: {row}");
}

#[test]
fn signal_words_are_those_of_the_standard() {
    let (pages, _) = publish(&[], false);
    let theory = &pages["pages/lamp.html"];
    assert!(theory.contains("class=\"caution danger\""));
    assert!(!theory.contains("**DANGER**"));
    // ANSI Z535: a message about property carries no alert symbol.
    for (_, text) in html(&pages) {
        for notice in text.split("class=\"caution notice\"").skip(1) {
            assert!(!notice[..notice.find("</p>").unwrap()].contains("alert-symbol"));
        }
    }
}

#[test]
fn a_sheet_has_its_warnings_first_and_its_stamp() {
    let (pages, _) = publish(&[], false);
    let sheet = &pages["sheets/lamp-trouble-t1.html"];
    let at = |words: &str| sheet.find(words).unwrap_or_else(|| panic!("no {words}"));
    assert!(at("class=\"caution warning\"") < at("class=\"item\""));
    assert!(at("Is there feed at the lamp?") < at("Where the leads go"));
    assert!(sheet.contains("12345-67890") && sheet.contains("size: A4"));
    assert!(sheet.contains("counter(page)") && sheet.contains("counter(pages)"));
}

#[test]
fn paper_and_figures_show_every_wire() {
    let (pages, _) = publish(&[], false);
    // Of an excerpt, those around the one test point.
    for (page, wires) in
        [("sheets/lamp-checkout.html", 5), ("sheets/lamp-trouble-t1.html", 2), ("pages/lamp.html", 5)]
    {
        let drawn = pages[page].matches("class=\"run\"").count();
        assert!(drawn >= wires, "{page} draws {drawn} of {wires} wires");
    }
}

#[test]
fn a_draft_says_so_on_every_page() {
    let (pages, _) = publish(&[], true);
    for (path, text) in html(&pages) {
        assert!(text.contains("draft-banner"), "{path}");
        assert!(!text.contains("12345-67890"), "{path} carries a proof stamp");
    }
}

#[test]
fn an_author_replaces_one_template_and_keeps_the_others() {
    let own = "<!DOCTYPE html><title>{{ chrome.title }}</title><p>Mine: {{ systems | length }}";
    let (pages, findings) = publish(&[("templates/contents.html", own)], false);
    assert!(findings.is_empty(), "{findings:?}");
    assert!(pages["index.html"].ends_with("<p>Mine: 1"));
    assert!(pages["index.html"].contains("Bench &amp; &lt;book&gt;"));
    assert!(pages["glossary.html"].contains("class=\"rail\""));
}

#[test]
fn a_broken_template_is_a_finding_at_its_file() {
    for broken in ["{% if %}", "{{ no_such_thing }}"] {
        let (pages, findings) = publish(&[("templates/contents.html", broken)], false);
        assert_eq!(findings.len(), 1, "{broken}: {findings:?}");
        assert_eq!(findings[0].code.name(), "bad-template");
        assert!(pages["glossary.html"].contains("class=\"rail\""));
    }
}

#[test]
fn a_broken_template_is_told_where_it_is_broken() {
    let broken = "<p>one</p>\n<p>{% if a b %}</p>\n";
    let (_, findings) = publish(&[("templates/contents.html", broken)], false);
    let before = &broken[..findings[0].span.start as usize];
    assert_eq!(before.matches('\n').count(), 1, "{findings:?}");
}

#[test]
fn a_field_behind_a_backslash_is_what_it_says() {
    let page =
        "+++\ntitle = \"Extra\"\nkind = \"theory\"\n+++\n\nWrite \\{F1.rating} and read {F1.rating}.\n";
    let (pages, findings) = publish(&[("content/extra.md", page)], false);
    assert!(findings.is_empty(), "{findings:?}");
    let text = crate::printed::html::parse(&pages["pages/extra.html"]).text();
    assert!(text.contains("Write {F1.rating} and read ") && !text.contains("and read {"), "{text}");
}

#[test]
fn a_template_cannot_reach_the_world_or_run_without_end() {
    let home = std::env::var("PATH").expect("every system has one");
    for hostile in [
        "{{ get_env(name=\"PATH\") }}",
        "{% include \"contents.html\" %}",
        "{%- include \"chapter.html\" -%}",
        "{% macro a() %}{{ self::a() }}{% endmacro a %}{{ self::a() }}",
        "{% for a in range(end=100000000) %}x{% endfor %}",
        "{% for a in range(end=9) %}{% for a in range(end=9) %}{% for a in range(end=9) %}{% for a in range(end=9) %}\
         {% endfor %}{% endfor %}{% endfor %}{% endfor %}",
        "{% for a in range(end=200) %}{% for a in range(end=200) %}{% for a in range(end=200) %}{{ chrome.title }}{{ chrome.title }}\
         {{ chrome.title }}{{ chrome.title }}{{ chrome.title }}{{ chrome.title }}{{ chrome.title }}{{ chrome.title }}\
         {% endfor %}{% endfor %}{% endfor %}",
    ] {
        let files = [
            ("templates/contents.html", hostile),
            ("templates/chapter.html", "{% include 'contents.html' %}"),
        ];
        let (pages, findings) = publish(&files, false);
        assert!(
            !findings.is_empty() && findings.iter().all(|finding| finding.code.name() == "bad-template"),
            "{hostile}"
        );
        assert!(pages.values().all(|page| !page.contains(&home)), "{hostile}");
    }
}

#[test]
fn a_language_without_texts_names_every_missing_one() {
    let french = MANUAL.replace("language = \"en\"", "language = \"fr\"");
    let some = "[nav]\ncontents = \"Sommaire\"\nsystems = \"Circuits de bord\"\n";
    let (pages, findings) =
        publish(&[("content/manual.toml", &french), ("templates/strings/fr.toml", some)], false);
    assert!(pages["index.html"].contains("Circuits de bord"));
    assert!(findings.len() > 50 && findings.iter().all(|finding| finding.code.name() == "missing-text"));
    let headlines: BTreeSet<&str> = findings.iter().map(|finding| finding.headline.as_str()).collect();
    assert!(headlines.iter().any(|headline| headline.contains("`nav.lists`")));
    assert!(!headlines.iter().any(|headline| headline.contains("`nav.systems`")));
}

#[test]
fn spanish_lacks_nothing() {
    let spanish = MANUAL.replace("language = \"en\"", "language = \"es\"");
    let (pages, findings) = publish(&[("content/manual.toml", &spanish)], false);
    assert!(findings.is_empty(), "{findings:?}");
    assert!(pages["index.html"].contains("Sistemas"));
}
