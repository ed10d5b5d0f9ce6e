//! Reads every way into the book back from its pages, and holds what is found at its end: links, contents, search, claims,
//! counts, and the stamp or the mark of a draft that each page carries.

use crate::printed::html::Element;
use crate::printed::words::{self, text};
use crate::printed::{Printed, STAMP, books, packs, target};
use goodground::book::*;
use goodground::proof::illustrate::claim_sheet;
use goodground::quantity::number;
use pulldown_cmark::{Event, Tag, TagEnd};
use std::collections::{BTreeMap, BTreeSet};

/// A page and an anchor of it, without what a chosen build adds.
fn parts(to: &str) -> (&str, Option<&str>) {
    to.split_once('#').map_or((to, None), |(path, anchor)| (path, Some(anchor)))
}

/// What an id is the name of.
fn thing(book: &Book, id: &str) -> Option<Item> {
    let connector = || book.connectors.iter().position(|connector| connector.id == id);
    let part = book.find_part(id).map(Item::Part);
    let wire = book.find_wire(id).map(Item::Wire);
    part.or(wire).or_else(|| connector().map(|at| Item::Connector(ConnectorId(at as u32))))
}

fn home(book: &Book, thing: Item) -> String {
    let letter = match thing {
        Item::Part(_) => "p",
        Item::Wire(_) => "w",
        Item::Connector(_) => "c",
    };
    let sheet = &book.sheets[book.item_sheet(thing).index()].id;
    format!("data/{sheet}.html#{letter}-{}", book.item_name(thing))
}

#[test]
fn every_link_leads_to_what_its_words_name() {
    let (mut ids, mut titles, mut navigation) = (0, 0, 0);
    for printed in books() {
        let book = printed.book;
        let docs: BTreeMap<&str, &Element> = printed.html().collect();
        let anchors: BTreeMap<&str, BTreeSet<&str>> = docs
            .iter()
            .map(|(path, doc)| (*path, doc.with("id").into_iter().filter_map(|one| one.get("id")).collect()))
            .collect();
        let sections: BTreeMap<String, Place> =
            printed.places().into_iter().map(|place| (printed.address(place), place)).collect();
        for (path, doc) in docs.iter().filter(|(path, _)| !path.starts_with("study/")) {
            for link in doc.all("a") {
                let href = link.get("href").unwrap();
                if href.contains("://") || href.starts_with("mailto:") {
                    continue;
                }
                let to = target(path, link);
                let (page, anchor) = parts(&to);
                let there = docs.get(page).unwrap_or_else(|| panic!("{path}: {href} leads nowhere"));
                if let Some(anchor) = anchor.filter(|anchor| !anchor.starts_with("build=")) {
                    assert!(anchors[page].contains(anchor), "{path}: {href} has no such place");
                }
                let words = link.text();
                if let Some(thing) = thing(book, &words) {
                    assert_eq!(to, home(book, thing), "{path}: {words}");
                    ids += 1;
                }
                if let Some(anchor) = anchor.filter(|anchor| anchor.starts_with("claim-")) {
                    let heading = there.place(anchor).unwrap().one("h3").text();
                    assert!(words == heading || link.has("show"), "{path}: {words} and not {heading}");
                }
                // A section's title, alone or behind its page's, leads to a section with this title.
                let named = printed.places().into_iter().filter(|place| book.section(*place).level > 0);
                let named: Vec<Place> = named.filter(|place| printed.title(*place) == words).collect();
                if let [only] = named[..] {
                    assert_eq!(sections.get(&to), Some(&only), "{path}: {words}");
                    titles += 1;
                }
            }
            // The rail and the strip.
            for link in doc.all("header.rail nav a") {
                let to = target(path, link);
                let there = &docs[parts(&to).0];
                let words = link.text();
                match printed.sheets().find(|sheet| book.sheets[sheet.index()].title == words) {
                    Some(sheet) if there.maybe("nav.strip").is_some() => {
                        assert_eq!(there.one(".strip-label").text(), words, "{path}: {to}");
                        let theory = printed.chapters().find(|page| {
                            let page = book.page(*page);
                            page.sheet == Some(sheet) && page.kind == PageKind::Theory
                        });
                        if let Some(page) = theory {
                            let place = printed.address(Place { page, section: 0 });
                            assert_eq!(Some(&*to), place.split('#').next(), "{path}: {words}");
                        }
                    }
                    _ if to.starts_with("lists/") || !to.contains('/') || to == "sheets/index.html" => {
                        assert_eq!(there.one("h1").text(), words, "{path}: {to}");
                    }
                    _ => {}
                }
                navigation += 1;
                let here = link.get("aria-current");
                let is_page = to == *path;
                assert!(here != Some("page") || is_page, "{path}: {words} is not this page");
                assert!(!is_page || here.is_some(), "{path}: {words} is this page");
            }
            hold_strip(printed, path, doc);
        }
    }
    assert!(ids > 5_000 && titles > 500 && navigation > 1_000, "{ids}, {titles}, {navigation}");
}

/// The pages of a page's system: all of them, of this system, each under its name.
fn hold_strip(printed: &Printed, path: &str, doc: &Element) {
    let book = printed.book;
    let Some(strip) = doc.maybe("nav.strip") else { return };
    let title = strip.one(".strip-label").text();
    let sheet = printed.sheets().find(|sheet| book.sheets[sheet.index()].title == title).unwrap();
    let id = &book.sheets[sheet.index()].id;
    let told: BTreeMap<String, String> =
        strip.all("a").iter().map(|link| (target(path, link), link.text())).collect();
    let mut wanted = BTreeMap::new();
    for (key, folder) in [("tab.circuit", "circuits"), ("tab.map", "map"), ("tab.data", "data")] {
        wanted.insert(format!("{folder}/{id}.html"), text(key).to_string());
    }
    let own: Vec<PageId> = printed.chapters().filter(|page| book.page(*page).sheet == Some(sheet)).collect();
    for page in &own {
        let kind = book.page(*page).kind;
        let key = match kind {
            PageKind::Theory => "tab.theory",
            PageKind::Checkout => "tab.checkout",
            PageKind::Troubleshooting => "tab.troubleshooting",
            PageKind::Service | PageKind::Study => "tab.service",
        };
        let alike = own.iter().filter(|other| book.page(**other).kind == kind).count();
        let words = if alike == 1 { text(key).to_string() } else { book.page(*page).title.clone() };
        wanted.insert(printed.path(*page), words);
    }
    assert_eq!(told, wanted, "{path}");
}

#[test]
fn an_authors_link_leads_where_the_author_says() {
    let (mut claims, mut links) = (0, 0);
    for printed in books() {
        let book = printed.book;
        for place in printed.places() {
            let section = book.section(place);
            let address = printed.address(place);
            let path = parts(&address).0;
            let doc = printed.page(path);
            let shown = match section.level {
                0 => doc.one("main"),
                _ => doc.place(&section.anchor).unwrap(),
            };
            let told: Vec<(String, String)> = shown
                .all("a")
                .iter()
                .filter(|link| !link.get("href").unwrap().contains("://"))
                .map(|link| (link.text(), target(path, link)))
                .collect();
            let mut open: Option<(String, String)> = None;
            for event in section.prose.iter().chain(&section.after) {
                match event {
                    Event::Start(Tag::Link { dest_url, .. }) => {
                        open = Some((dest_url.to_string(), String::new()))
                    }
                    Event::Text(words) | Event::Code(words) => {
                        if let Some((_, said)) = &mut open {
                            said.push_str(words);
                        }
                    }
                    Event::SoftBreak => {
                        if let Some((_, said)) = &mut open {
                            said.push(' ');
                        }
                    }
                    Event::End(TagEnd::Link) => {
                        let (to, said) = open.take().unwrap();
                        let Some((scheme, rest)) = to.split_once(':') else { continue };
                        let wanted = match scheme {
                            "claim" => {
                                let at: usize = rest.parse().unwrap();
                                let claim = &book.claims[at];
                                assert_eq!(claim.words, said, "{address}");
                                claims += 1;
                                match claim_sheet(book, claim) {
                                    Some(sheet) => {
                                        let id = &book.sheets[sheet.index()].id;
                                        format!("circuits/{id}.html#claim-{}", at + 1)
                                    }
                                    None => "proved.html#statements".to_string(),
                                }
                            }
                            "page" => format!("pages/{}", rest.replacen(".md", ".html", 1)),
                            "part" | "wire" | "connector" => home(book, thing(book, rest).unwrap()),
                            "sheet" => format!("circuits/{rest}.html"),
                            "fault" => {
                                let fault = book.faults.iter().find(|fault| fault.name == rest).unwrap();
                                home(book, fault.item)
                            }
                            _ => continue,
                        };
                        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
                        assert!(
                            told.contains(&(said.clone(), wanted.clone())),
                            "{address}: {said} to {wanted}"
                        );
                        links += 1;
                    }
                    _ => {}
                }
            }
        }
    }
    assert!(claims > 20 && links > 60, "{claims} claims, {links} links");
}

#[test]
fn a_link_to_each_kind_of_thing_is_resolved() {
    let mut files = crate::book::folder("tests/planted/blade");
    let theory = files.get_mut("content/blade.md").unwrap();
    theory.push_str(
        "\n\nSee [the relay](part:K1), [this wire](wire:W1), [the circuit](sheet:blade), [its fault](fault:K1 coil open) \
         and [outside](https://example.org/a?b=1&c=2).\n",
    );
    let mut sources = goodground::source::Sources::default();
    for (path, content) in files {
        sources.add(path, content);
    }
    let printed = Printed::of(sources);
    let path = "pages/blade.html";
    let doc = printed.page(path);
    let link = |words: &str| doc.all("a").into_iter().find(|link| link.text() == words).unwrap();
    assert_eq!(target(path, link("the relay")), "data/blade.html#p-K1");
    assert_eq!(target(path, link("this wire")), "data/blade.html#w-W1");
    assert_eq!(target(path, link("the circuit")), "circuits/blade.html");
    assert_eq!(target(path, link("its fault")), "data/blade.html#p-K1");
    let outside = link("outside");
    assert_eq!(outside.get("href"), Some("https://example.org/a?b=1&c=2"));
    assert_eq!((outside.has("out"), outside.get("rel")), (true, Some("noreferrer")));
}

#[test]
fn the_first_page_names_each_system_with_its_pages_and_counts() {
    for printed in books() {
        let book = printed.book;
        let path = "index.html";
        let doc = printed.page(path);
        assert_eq!(doc.one("h1").text(), book.manual.title);
        let systems: Vec<&Element> = doc.all("ul.rack h3");
        assert_eq!(systems.len(), book.sheets.len());
        let racks = doc.one("ul.rack");
        for system in racks.below() {
            let title = system.one("h3 a").text();
            let sheet = printed.sheets().find(|sheet| book.sheets[sheet.index()].title == title).unwrap();
            let parts = book.parts.iter().filter(|part| part.sheet == sheet).count().to_string();
            let wires = book.wires.iter().filter(|wire| wire.sheet == sheet).count().to_string();
            let mut told = words::fill("contents.system-counts", &[("parts", &parts), ("wires", &wires)]);
            let roles: Vec<&Role> = printed
                .places()
                .into_iter()
                .filter(|place| book.page(place.page).sheet == Some(sheet))
                .map(|place| &book.section(place).role)
                .collect();
            let steps = roles.iter().filter(|role| matches!(role, Role::Step(_))).count();
            let procedures = roles.iter().filter(|role| matches!(role, Role::Procedure)).count();
            for (key, count) in [("contents.steps", steps), ("contents.procedures", procedures)] {
                if count > 0 {
                    told += &format!(" · {}", words::fill(key, &[("n", &count.to_string())]));
                }
            }
            assert_eq!(system.one("p.quiet").text(), told, "{title}");
            let there = printed.page(&target(path, system.one("h3 a")));
            assert_eq!(there.one(".strip-label").text(), title);
            let strip: Vec<String> = there.texts("nav.strip a");
            assert_eq!(system.texts("ul.blocks a"), strip, "{title}");
        }
        let general: BTreeSet<String> = printed
            .chapters()
            .filter(|page| book.page(*page).sheet.is_none())
            .map(|page| book.page(page).title.clone())
            .collect();
        let told =
            doc.all("section").into_iter().find(|section| section.get("aria-labelledby") == Some("general"));
        let told: BTreeSet<String> = told.into_iter().flat_map(|section| section.texts("li a")).collect();
        assert_eq!(told, general);
        let counts = words::fill(
            "contents.counts",
            &[
                ("parts", &book.parts.len().to_string()),
                ("wires", &book.wires.len().to_string()),
                ("statements", &printed.proof.statements.len().to_string()),
                ("faults", &printed.proof.metrics.faults.to_string()),
            ],
        );
        assert!(doc.one("main").text().contains(&counts), "{counts}");
    }
}

#[test]
fn the_search_finds_everything_at_its_place() {
    for printed in books() {
        let book = printed.book;
        let script = &printed.pages["search.js"];
        let json = script.trim().strip_prefix("window.bookIndex(").unwrap().strip_suffix(");").unwrap();
        let told: BTreeSet<[String; 4]> =
            serde_json::from_str::<Vec<[String; 4]>>(json).unwrap().into_iter().collect();
        let mut wanted: BTreeSet<[String; 4]> = BTreeSet::new();
        let mut add = |title: &str, what: &str, path: &str, more: &str| {
            wanted.insert([title, what, path, more].map(str::to_string));
        };
        for page in printed.chapters() {
            let held = book.page(page);
            let kind = match held.kind {
                PageKind::Theory => "search.theory",
                PageKind::Checkout => "search.checkout",
                PageKind::Troubleshooting => "search.troubleshooting",
                PageKind::Service | PageKind::Study => "search.service",
            };
            let place = printed.address(Place { page, section: 0 });
            add(&held.title, text(kind), parts(&place).0, "");
        }
        for place in printed.places() {
            let section = book.section(place);
            let symptoms = match &section.role {
                Role::Step(step) => {
                    step.expects.iter().map(|expect| words::expect(book, expect)).collect::<Vec<_>>()
                }
                _ => Vec::new(),
            };
            if section.level > 0 {
                let page = &book.page(place.page).title;
                add(&section.title, page, &printed.address(place), &symptoms.join(" "));
            }
        }
        for (at, part) in book.parts.iter().enumerate() {
            let id = PartId(at as u32);
            let kind = text(&format!("kind.{}", part.kind.word()));
            add(
                &words::part(book, id),
                kind,
                &home(book, Item::Part(id)),
                part.place.as_deref().unwrap_or_default(),
            );
        }
        for (at, connector) in book.connectors.iter().enumerate() {
            let item = Item::Connector(ConnectorId(at as u32));
            let place = connector.place.as_deref().unwrap_or_default();
            add(&words::item(book, item), text("search.connector"), &home(book, item), place);
        }
        for (at, wire) in book.wires.iter().enumerate() {
            let id = WireId(at as u32);
            let [from, to] = wire.ends.map(|end| words::end(book, end));
            let color = words::color(&wire.color);
            add(&words::wire(book, id), &format!("{from} – {to}"), &home(book, Item::Wire(id)), &color);
        }
        for sheet in &book.sheets {
            for (key, folder) in [("tab.circuit", "circuits"), ("tab.map", "map"), ("tab.data", "data")] {
                add(&sheet.title, text(key), &format!("{folder}/{}.html", sheet.id), "");
            }
        }
        for list in ["parts", "wires", "connectors", "grounds", "fuses", "colors"] {
            add(text(&format!("list.{list}")), text("search.list"), &format!("lists/{list}.html"), "");
        }
        assert_eq!(told, wanted);
    }
}

#[test]
fn the_page_of_the_proof_tells_its_numbers() {
    for printed in books() {
        let (book, proof) = (printed.book, &printed.proof);
        let doc = printed.page("proved.html");
        let mut told: BTreeMap<String, String> = BTreeMap::new();
        for line in doc.all("dl.facts div") {
            told.insert(line.one("dt").text(), line.one("dd").text());
        }
        let says = |key: &str, value: String| assert_eq!(told.get(text(key)), Some(&value), "{key}");
        let judged: usize = proof.statements.iter().map(|statement| statement.judged).sum();
        let held: usize = proof.statements.iter().map(|statement| statement.held).sum();
        let share =
            words::fill("proved.judged", &[("held", &held.to_string()), ("judged", &judged.to_string())]);
        says("proved.statements", format!("{} {share}", proof.statements.len()));
        let states: usize = proof.judged.iter().map(|judged| judged.states).sum();
        let all = if proof.judged.iter().all(|judged| judged.complete) {
            "proved.intent-complete"
        } else {
            "proved.intent-sampled"
        };
        let states = words::fill("proved.intent-states", &[("n", &states.to_string())]);
        let corners = text("proved.intent-corners");
        says("proved.intents", format!("{} {states}, {}; {corners}", book.intents.len(), text(all)));
        let reasons = proof.reasons.iter().filter(|reason| reason.difference.is_some()).count();
        let corners = text("proved.walk-corners");
        says("proved.reasons", format!("{reasons} {corners}"));
        says("proved.walks", format!("{} {corners}", proof.walks));
        says("proved.temperature", format!("{} °C", number(book.manual.temperature)));
        says("proved.faults", proof.metrics.faults.to_string());
        let percent = |share: f64| format!("{:.1} %", share * 100.0);
        let shown = format!("{} ({})", proof.metrics.detected, percent(proof.metrics.fraction_detected));
        says("proved.detected", shown);
        for (at, share) in proof.metrics.fraction_isolated.iter().enumerate() {
            let key = words::fill("proved.isolated", &[("n", &(at + 1).to_string())]);
            assert_eq!(told.get(&key), Some(&percent(*share)), "{key}");
        }
        says("proved.mean-group", number(proof.metrics.mean_group_per_fault));
        says("proved.mean-tests", number(proof.metrics.mean_tests));
        says("proved.stamp", STAMP.to_string());
        let supply = &told[text("proved.supply")];
        for end in [book.manual.supply.low.0, book.manual.supply.high.0] {
            assert!(supply.contains(&number(end)), "{supply}");
        }
        if !book.options.is_empty() {
            let builds: Vec<String> =
                (0..book.builds.len() as u32).map(|build| book.build_name(BuildId(build))).collect();
            says("proved.builds", builds.join(" "));
        }
        let accepted: Vec<(String, String)> = doc
            .place("accepted")
            .unwrap()
            .all("dl.terms div")
            .iter()
            .map(|line| (line.one("dt").text(), line.one("dd").text()))
            .collect();
        let wanted: Vec<(String, String)> = book
            .accepted
            .iter()
            .map(|accepted| (book.fault(accepted.fault).name.clone(), accepted.reason.clone()))
            .collect();
        assert_eq!(accepted, wanted);
    }
}

#[test]
fn the_glossary_explains_the_markings_that_the_book_has() {
    for printed in books() {
        let doc = printed.page("glossary.html");
        let lists = doc.all("dl.terms");
        let told = |list: &Element| -> Vec<(String, String)> {
            list.all("div").iter().map(|line| (line.one("dt").text(), line.one("dd").text())).collect()
        };
        let terms = told(lists[0]);
        assert_eq!(terms.len(), words::section("term").len());
        for (term, meaning) in terms {
            let whole = format!("{term}: {meaning}");
            assert!(words::section("term").values().any(|text| *text == whole), "{whole}");
        }
        let names: BTreeSet<&str> = printed
            .book
            .parts
            .iter()
            .flat_map(|part| &part.terminals)
            .map(|terminal| &*terminal.name)
            .collect();
        let wanted: BTreeMap<String, String> = words::section("terminal")
            .iter()
            .filter(|(name, _)| names.contains(name.as_str()))
            .map(|(name, meaning)| (name.clone(), meaning.clone()))
            .collect();
        let markings =
            doc.all("section").into_iter().find(|part| part.get("aria-labelledby") == Some("terminals"));
        let markings: BTreeMap<String, String> =
            markings.into_iter().flat_map(|part| told(part.one("dl.terms"))).collect();
        assert_eq!(markings, wanted);
        for (line, color) in told(lists.last().unwrap()).into_iter().zip(COLORS) {
            assert_eq!(
                line,
                (color.letters.to_string(), text(&format!("color.{}", color.letters)).to_string())
            );
        }
    }
}

/// Whether a page is printed: its edges carry the edition and what proves it.
fn is_paper(path: &str) -> bool {
    path.starts_with("study/") || (path.starts_with("sheets/") && path != "sheets/index.html")
}

#[test]
fn every_page_of_a_proved_book_carries_its_stamp() {
    for printed in packs() {
        for (path, doc) in printed.html() {
            let told = doc.one("body").text();
            assert!(told.contains(STAMP), "{path} has its stamp");
            assert!(doc.maybe(".draft-banner").is_none() && !told.contains(text("draft.stamp")), "{path}");
            if is_paper(path) {
                let edges = doc.one("style").text();
                assert!(
                    edges.contains(STAMP) && edges.contains(&printed.book.manual.edition),
                    "{path}: {edges}"
                );
            }
        }
        assert!(printed.pages.keys().any(|path| path.starts_with("study/student/")));
        assert!(printed.pages.keys().any(|path| path.ends_with("-lab.html")));
    }
}

#[test]
fn every_page_of_a_draft_says_that_it_is_unproven_those_of_the_study_pack_too() {
    for printed in packs() {
        let draft = printed.publish(true);
        assert_eq!(draft.len(), printed.pages.len());
        let (mut papers, mut packs) = (0, 0);
        for (path, content) in &draft {
            assert!(!content.contains(STAMP), "{path} carries a proof stamp");
            if !path.ends_with(".html") {
                continue;
            }
            let doc = crate::printed::html::parse(content);
            let banner = doc.one("p.draft-banner").text();
            let words = words::fill("draft.banner", &[("n", "0")]);
            assert!(banner.starts_with(&words), "{path}: {banner}");
            assert!(doc.one("body").text().contains(text("draft.stamp")), "{path}");
            if is_paper(path) {
                assert!(doc.one("style").text().contains(text("draft.stamp")), "{path}");
                papers += 1;
            }
            packs += usize::from(path.starts_with("study/"));
        }
        assert!(papers > 10 && packs > 8, "{papers} papers, {packs} of the study pack");
    }
}

#[test]
fn what_an_author_writes_is_text_in_every_page_study_pack_and_drawing() {
    let mut files = crate::book::folder("tests/planted/blade");
    for content in files.values_mut() {
        // Every name of the book gets what would be a tag and the end of an attribute.
        *content = content.replace("name = \"", "name = \"\\\"><i>&amp; ");
    }
    let manual = files.get_mut("content/manual.toml").unwrap();
    *manual = manual.replace("Blade manual", "Blade <i>manual</i> \\\" & 'x'");
    let mut sources = goodground::source::Sources::default();
    for (path, content) in files {
        sources.add(path, content);
    }
    let printed = Printed::of(sources).with_pack();
    for (path, doc) in printed.html() {
        assert!(doc.all("i").iter().all(|tag| !tag.text().contains("&amp;")), "{path}: a name opens a tag");
        let raw = &printed.pages[path];
        assert!(!raw.contains("<i>&amp; ") && !raw.contains("<i>& ") && !raw.contains("<i>manual"), "{path}");
    }
    let names = printed.book.parts.iter().filter(|part| part.name.starts_with("\"><i>&amp; ")).count();
    assert!(names > 5, "{names} names were spoiled");
    let list = printed.page("lists/parts.html");
    let told = list.texts("table.parts td");
    for part in &printed.book.parts {
        assert!(told.contains(&part.name.split_whitespace().collect::<Vec<_>>().join(" ")), "{}", part.name);
    }
}
