//! Reads lists, cards and tables back from the pages, and holds every row against the book: names, numbers, colors, links.

use crate::printed::html::Element;
use crate::printed::words::{self, base, text};
use crate::printed::{Printed, books, rigs, target};
use goodground::bench::Bench;
use goodground::book::*;
use goodground::proof::corners::middle;
use goodground::proof::reasons::Way;
use goodground::quantity::Dimension;
use std::collections::{BTreeMap, BTreeSet};

/// What a table is of: a sheet, or the whole book.
type Of = Option<SheetId>;

fn within(of: Of, sheet: SheetId) -> bool {
    of.is_none_or(|of| of == sheet)
}

/// A cell of an id: a link to where the thing is described, and the builds that have it.
fn hold_head(printed: &Printed, path: &str, cell: &Element, thing: Item) {
    let book = printed.book;
    let (sheet, anchor, fitted): (SheetId, String, &[bool]) = match thing {
        Item::Part(part) => {
            let part = book.part(part);
            (part.sheet, format!("p-{}", part.id), &part.fitted)
        }
        Item::Wire(wire) => {
            let wire = book.wire(wire);
            (wire.sheet, format!("w-{}", wire.id), &wire.fitted)
        }
        Item::Connector(connector) => {
            let connector = book.connector(connector);
            (connector.sheet, format!("c-{}", connector.id), &[])
        }
    };
    let link = cell.all("a")[0];
    assert_eq!(link.text(), book.item_name(thing), "{path}");
    let home = format!("data/{}.html#{anchor}", book.sheets[sheet.index()].id);
    assert_eq!(target(path, link), home, "{path}: {}", link.text());
    let mark = cell.maybe("span.only").map(Element::text);
    assert_eq!(mark, words::only_mark(book, fitted), "{path}: {}", link.text());
}

/// A wire's color: its letters, and the screen's colors of base and stripe.
fn hold_color(mark: &Element, color: &Color, about: &str) {
    let stripe = color.stripe.unwrap_or(color.base);
    let letters = match color.stripe {
        Some(stripe) => format!("{}/{}", color.base.letters, stripe.letters),
        None => color.base.letters.to_string(),
    };
    assert_eq!(mark.text(), letters, "{about}");
    assert_eq!(mark.get("title"), Some(&*words::color(color)), "{about}");
    let style = format!("--base:{};--stripe:{}", color.base.hex, stripe.hex);
    assert_eq!(mark.get("style"), Some(&*style), "{about}");
}

/// The wires in a cell: each with its id and color.
fn hold_wires(printed: &Printed, cell: &Element, wanted: &BTreeSet<WireId>, about: &str) {
    let book = printed.book;
    let (ids, colors) = (cell.texts("a"), cell.all("span.color"));
    let ids: Vec<WireId> = ids.iter().map(|id| book.find_wire(id).unwrap()).collect();
    assert_eq!(&ids.iter().copied().collect::<BTreeSet<_>>(), wanted, "{about}");
    assert_eq!((ids.len(), ids.len()), (wanted.len(), colors.len()), "{about}");
    for (id, color) in ids.into_iter().zip(colors) {
        hold_color(color, &book.wire(id).color, about);
    }
}

fn wires_at(book: &Book, end: End) -> BTreeSet<WireId> {
    let wires = book.wires.iter().enumerate().filter(|(_, wire)| wire.ends.contains(&end));
    wires.map(|(at, _)| WireId(at as u32)).collect()
}

/// The rows of a table with their cells.
fn rows(table: &Element) -> Vec<(&Element, Vec<&Element>)> {
    table.all("tbody tr").into_iter().map(|row| (row, row.below().collect())).collect()
}

fn hold_columns(table: &Element, keys: &[&str], path: &str) {
    let keys: Vec<String> = keys.iter().map(|key| text(&format!("column.{key}")).to_string()).collect();
    assert_eq!(table.texts("thead th"), keys, "{path}");
}

/// All tables of a sort, with the page and the sheet that it is about.
fn tables(printed: &Printed, sort: &str) -> Vec<(String, Of, Element)> {
    let book = printed.book;
    let mut found = Vec::new();
    for (path, doc) in printed.html() {
        let sheet = printed.sheets().find(|sheet| {
            let id = &book.sheets[sheet.index()].id;
            [format!("data/{id}.html"), format!("map/{id}.html"), format!("circuits/{id}.html")]
                .contains(&path.to_string())
        });
        let page = printed.chapters().find(|page| printed.path(*page) == path);
        let of = sheet.or_else(|| page.and_then(|page| book.page(page).sheet));
        // The author's figures come before what is made after them.
        let figures = book.figures.iter().filter_map(|figure| match figure.shows {
            Shows::List { sheet, list } if Some(figure.page) == page => {
                (list.word() == sort).then_some(Some(sheet))
            }
            _ => None,
        });
        let ofs = figures.chain(std::iter::repeat(of));
        for (table, of) in doc.all(&format!("table.list.{sort}")).into_iter().zip(ofs) {
            found.push((path.to_string(), of, table.clone()));
        }
    }
    assert!(!found.is_empty(), "there are tables of {sort}");
    found
}

/// Each id once, in natural order: `K4` before `K12`.
fn hold_order(ids: &[String], path: &str) {
    let key = |id: &String| {
        let digits = id.find(|c: char| c.is_ascii_digit()).unwrap_or(id.len());
        let rest = &id[digits..];
        let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
        (id[..digits].to_string(), rest[..end].parse::<u64>().unwrap_or(0), rest[end..].to_string())
    };
    assert!(ids.windows(2).all(|pair| key(&pair[0]) < key(&pair[1])), "{path}: {ids:?}");
}

#[test]
fn a_parts_list_has_every_part_with_its_name_kind_place_and_data() {
    for printed in books() {
        let book = printed.book;
        for (path, of, table) in tables(printed, "parts") {
            hold_columns(&table, &["part", "name", "kind", "place", "data"], &path);
            let rows = rows(&table);
            let wanted = book.parts.iter().filter(|part| within(of, part.sheet)).count();
            assert_eq!(rows.len(), wanted, "{path}");
            hold_order(&rows.iter().map(|(_, cells)| cells[0].one("a").text()).collect::<Vec<_>>(), &path);
            for (row, cells) in rows {
                let id = book.find_part(&cells[0].one("a").text()).unwrap();
                let part = book.part(id);
                hold_head(printed, &path, cells[0], Item::Part(id));
                assert!(within(of, part.sheet), "{path}: {}", part.id);
                assert_eq!(row.get("data-fit").map(str::to_string), words::fit(&part.fitted));
                assert_eq!(cells[1].text(), part.name, "{path}");
                assert_eq!(cells[2].text(), text(&format!("kind.{}", part.kind.word())), "{path}");
                assert_eq!(cells[3].text(), part.place.clone().unwrap_or_default(), "{path}");
                hold_facts(&cells[4].text(), part);
            }
        }
    }
}

/// Everything that the author gave of a part is told, label by label.
fn hold_facts(told: &str, part: &Part) {
    let facts = part.facts.iter().map(|(label, value)| {
        let label = words::known(&format!("fact.{label}")).unwrap_or(label);
        format!("{label} {value}")
    });
    let facts: Vec<String> = facts.collect();
    let facts = facts.join(", ").split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(told, facts, "{}", part.id);
}

/// The first seven cells of a wire list's row.
fn hold_wire(printed: &Printed, path: &str, id: WireId, row: &Element, cells: &[&Element]) {
    let book = printed.book;
    let wire = book.wire(id);
    let about = format!("{path}: {}", wire.id);
    assert_eq!(row.get("data-fit").map(str::to_string), words::fit(&wire.fitted), "{about}");
    assert_eq!(cells[1].text(), words::end(book, wire.ends[0]), "{about}");
    assert_eq!(cells[2].text(), words::end(book, wire.ends[1]), "{about}");
    hold_color(cells[3].one("span.color"), &wire.color, &about);
    assert_eq!(cells[4].text(), wire.size.to_string(), "{about}");
    assert_eq!(cells[5].text(), base(wire.length.0, Dimension::Length), "{about}");
    assert_eq!(cells[6].text(), book.harnesses[wire.harness.index()].name, "{about}");
    for (cell, end) in [(cells[1], wire.ends[0]), (cells[2], wire.ends[1])] {
        let (thing, id) = match end {
            End::Terminal { part, .. } => (Item::Part(part), &book.part(part).id),
            End::Cavity { connector, .. } => (Item::Connector(connector), &book.connector(connector).id),
        };
        // One letter alone is no name in running text.
        if id.len() > 1 {
            assert_eq!(cell.one("a").text(), *id, "{about}");
            hold_link(printed, path, cell.one("a"), thing);
        }
    }
}

/// A link to where a thing is described.
fn hold_link(printed: &Printed, path: &str, link: &Element, thing: Item) {
    let letter = match thing {
        Item::Part(_) => "p",
        Item::Wire(_) => "w",
        Item::Connector(_) => "c",
    };
    let sheet = &printed.book.sheets[printed.book.item_sheet(thing).index()].id;
    let home = format!("data/{sheet}.html#{letter}-{}", printed.book.item_name(thing));
    assert_eq!(target(path, link), home, "{path}: {}", link.text());
}

#[test]
fn a_wire_list_has_every_wire_with_its_ends_color_size_length_and_harness() {
    for printed in books() {
        let book = printed.book;
        for (path, of, table) in tables(printed, "wires") {
            let more: &[&str] = if path.starts_with("data/") { &["named", "drawing"] } else { &[] };
            let columns = [&["wire", "from", "to", "color", "size", "length", "harness"], more].concat();
            hold_columns(&table, &columns, &path);
            let rows = rows(&table);
            let wanted = book.wires.iter().filter(|wire| within(of, wire.sheet)).count();
            assert_eq!(rows.len(), wanted, "{path}");
            let mut ids = Vec::new();
            for (row, cells) in rows {
                let first =
                    cells[0].maybe("a").map_or_else(|| cells[0].raw().trim().to_string(), Element::text);
                let id = book.find_wire(&first).unwrap_or_else(|| panic!("{path}: no wire {first}"));
                assert!(within(of, book.wire(id).sheet), "{path}: {first}");
                if path.starts_with("data/") {
                    assert_eq!(row.get("id"), Some(&*format!("w-{first}")), "{path}");
                    let way = cells[8].maybe("a").and_then(|link| link.get("href"));
                    let sheet = &book.sheets[book.wire(id).sheet.index()].id;
                    assert_eq!(way, Some(&*format!("../circuits/{sheet}.html#wire={first}")), "{path}");
                } else {
                    hold_head(printed, &path, cells[0], Item::Wire(id));
                }
                hold_wire(printed, &path, id, row, &cells);
                ids.push(first);
            }
            hold_order(&ids, &path);
        }
    }
}

#[test]
fn a_connector_list_has_every_connector_with_its_place_harnesses_and_cavities() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        if book.connectors.is_empty() {
            continue;
        }
        for (path, of, table) in tables(printed, "connectors") {
            hold_columns(&table, &["connector", "name", "place", "joins", "cavities"], &path);
            let reached = |id: usize| {
                let ours =
                    |end: &End| matches!(end, End::Cavity { connector, .. } if connector.index() == id);
                let wires = book.wires.iter().filter(|wire| within(of, wire.sheet));
                within(of, book.connectors[id].sheet) || wires.flat_map(|wire| &wire.ends).any(ours)
            };
            let wanted: BTreeSet<&str> = (0..book.connectors.len())
                .filter(|id| reached(*id))
                .map(|id| &*book.connectors[id].id)
                .collect();
            let mut told = Vec::new();
            for (_, cells) in rows(&table) {
                let id = cells[0].one("a").text();
                let at = book.connectors.iter().position(|connector| connector.id == id).unwrap();
                let held = &book.connectors[at];
                hold_head(printed, &path, cells[0], Item::Connector(ConnectorId(at as u32)));
                assert_eq!(cells[1].text(), held.name);
                assert_eq!(cells[2].text(), held.place.clone().unwrap_or_default());
                let joins = held.joins.map(|harness| book.harnesses[harness.index()].name.clone());
                assert_eq!(cells[3].text(), joins.join(" – "), "{path}: {id}");
                assert_eq!(cells[4].text(), held.cavities.len().to_string(), "{path}: {id}");
                told.push(id);
                seen += 1;
            }
            hold_order(&told, &path);
            assert_eq!(told.iter().map(String::as_str).collect::<BTreeSet<_>>(), wanted, "{path}");
        }
    }
    assert!(seen > 5, "{seen} rows");
}

/// The parts that stand on a ground point, over wires, cavities and splices.
fn served(book: &Book, ground: PartId) -> BTreeSet<String> {
    // Both sides of a cavity are one place.
    let place = |end: End| match end {
        End::Cavity { connector, cavity, .. } => End::Cavity { connector, cavity, side: 0 },
        end => end,
    };
    let start = End::Terminal { part: ground, terminal: TerminalId(0) };
    let (mut known, mut found) = (BTreeSet::from([start]), BTreeSet::new());
    loop {
        let before = known.len();
        for wire in &book.wires {
            let [a, b] = wire.ends.map(place);
            for (from, to) in [(a, b), (b, a)] {
                if !known.contains(&from) {
                    continue;
                }
                match to {
                    End::Terminal { part, .. } if part != ground && book.part(part).kind != Kind::Splice => {
                        found.insert(book.part(part).id.clone());
                    }
                    to => {
                        known.insert(to);
                    }
                }
            }
        }
        if known.len() == before {
            return found;
        }
    }
}

#[test]
fn a_ground_list_has_every_ground_with_its_wires_and_all_that_stands_on_it() {
    for printed in books() {
        let book = printed.book;
        for (path, of, table) in tables(printed, "grounds") {
            hold_columns(&table, &["ground", "name", "place", "wires", "serves"], &path);
            let rows = rows(&table);
            let grounds =
                book.parts.iter().filter(|part| part.kind == Kind::Ground && within(of, part.sheet));
            assert_eq!(rows.len(), grounds.count(), "{path}");
            for (row, cells) in rows {
                let id = book.find_part(&cells[0].one("a").text()).unwrap();
                let part = book.part(id);
                let about = format!("{path}: {}", part.id);
                assert_eq!(part.kind, Kind::Ground, "{about}");
                hold_head(printed, &path, cells[0], Item::Part(id));
                assert_eq!(row.get("data-fit").map(str::to_string), words::fit(&part.fitted));
                assert_eq!(cells[1].text(), part.name);
                assert_eq!(cells[2].text(), part.place.clone().unwrap_or_default());
                let end = End::Terminal { part: id, terminal: TerminalId(0) };
                hold_wires(printed, cells[3], &wires_at(book, end), &about);
                let told = cells[4].text();
                let told: Vec<&str> = told.split(", ").filter(|id| !id.is_empty()).collect();
                let served = served(book, id);
                assert_eq!(told.len(), served.len(), "{about}: {told:?}");
                assert_eq!(told.into_iter().map(str::to_string).collect::<BTreeSet<_>>(), served, "{about}");
            }
        }
    }
}

#[test]
fn a_fuse_list_has_every_fuse_link_and_breaker_with_its_rating_and_wires() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        for (path, of, table) in tables(printed, "fuses") {
            hold_columns(&table, &["fuse", "name", "rating", "place", "feeds"], &path);
            let kinds = [Kind::Fuse, Kind::FusibleLink, Kind::Breaker];
            let fuses = book.parts.iter().filter(|part| kinds.contains(&part.kind) && within(of, part.sheet));
            let rows = rows(&table);
            assert_eq!(rows.len(), fuses.count(), "{path}");
            for (row, cells) in rows {
                let id = book.find_part(&cells[0].one("a").text()).unwrap();
                let part = book.part(id);
                let about = format!("{path}: {}", part.id);
                hold_head(printed, &path, cells[0], Item::Part(id));
                assert_eq!(row.get("data-fit").map(str::to_string), words::fit(&part.fitted));
                assert_eq!(cells[1].text(), part.name);
                // The author wrote the rating: it is among the part's data.
                let rating = part.facts.iter().find(|(label, _)| label == "rating").unwrap().1.clone();
                let rating = match part.kind {
                    Kind::Fuse => rating,
                    kind => format!("{rating}, {}", text(&format!("kind.{}", kind.word()))),
                };
                assert_eq!(cells[2].text(), rating, "{about}");
                assert_eq!(cells[3].text(), part.place.clone().unwrap_or_default(), "{about}");
                let ends = (0..part.terminals.len() as u16)
                    .map(|terminal| End::Terminal { part: id, terminal: TerminalId(terminal) });
                let wires = ends.flat_map(|end| wires_at(book, end)).collect();
                hold_wires(printed, cells[4], &wires, &about);
                seen += 1;
            }
        }
    }
    assert!(seen > 10, "{seen} fuses");
}

#[test]
fn a_wire_in_the_hand_is_found_by_its_color() {
    for printed in books() {
        let book = printed.book;
        let path = "lists/colors.html";
        let doc = printed.page(path);
        let table = doc.one("table.colors");
        hold_columns(table, &["color", "name", "wires"], path);
        let mut found = BTreeSet::new();
        for (_, cells) in rows(table) {
            for link in cells[2].all("a") {
                let id = book.find_wire(&link.text()).unwrap();
                assert!(found.insert(id), "{} once", link.text());
                let color = &book.wire(id).color;
                hold_color(cells[0].one("span.color"), color, &link.text());
                assert_eq!(cells[1].text(), words::color(color), "{}", link.text());
                hold_link(printed, path, link, Item::Wire(id));
            }
        }
        assert_eq!(found.len(), book.wires.len());
        let glossary = printed.page("glossary.html");
        let shown = glossary.all("span.color");
        assert_eq!(shown.len(), COLORS.len());
        for (mark, color) in shown.into_iter().zip(COLORS) {
            assert_eq!(mark.text(), color.letters);
            assert_eq!(mark.get("style"), Some(&*format!("--base:{0};--stripe:{0}", color.hex)));
        }
    }
}

/// A wire as it leaves an end: id, color, size, the other end.
fn leaves(book: &Book, id: WireId, from: End) -> String {
    let wire = book.wire(id);
    let other = if wire.ends[0] == from { wire.ends[1] } else { wire.ends[0] };
    let mut told = format!("{} {} → {}", words::wire(book, id), wire.size, words::end(book, other));
    if let Some(mark) = words::only_mark(book, &wire.fitted) {
        told.push_str(&format!(" {mark}"));
    }
    told
}

#[test]
fn a_parts_card_has_its_data_terminals_and_wires() {
    for printed in books() {
        let book = printed.book;
        for sheet in printed.sheets() {
            let path = format!("data/{}.html", book.sheets[sheet.index()].id);
            let doc = printed.page(&path);
            let cards: Vec<&Element> = doc.all("article.card");
            let parts = book.parts.iter().filter(|part| part.sheet == sheet).count();
            let connectors = book.connectors.iter().filter(|connector| connector.sheet == sheet).count();
            assert_eq!(cards.len(), parts + connectors, "{path}");
            for (at, part) in book.parts.iter().enumerate().filter(|(_, part)| part.sheet == sheet) {
                let about = format!("{path}: {}", part.id);
                let card = doc.place(&format!("p-{}", part.id)).unwrap_or_else(|| panic!("no {about}"));
                assert_eq!(card.one("h3").text(), format!("{} {}", part.id, part.name), "{about}");
                assert_eq!(card.get("data-fit").map(str::to_string), words::fit(&part.fitted), "{about}");
                let told = card.all("p.quiet")[0];
                let kind = text(&format!("kind.{}", part.kind.word()));
                assert!(told.text().starts_with(kind), "{about}: {}", told.text());
                let raw = told.raw();
                let facts = raw.trim().strip_prefix(kind).unwrap().trim_start_matches(" · ");
                hold_facts(&facts.split_whitespace().collect::<Vec<_>>().join(" "), part);
                assert_eq!(
                    told.maybe(".only").map(Element::text),
                    words::only_mark(book, &part.fitted),
                    "{about}"
                );
                if let Some(place) = &part.place {
                    let place = format!("{}: {place}", text("data.place"));
                    assert!(card.texts("p").contains(&place), "{about}: {place}");
                }
                let pins = card.all("dl.pins div");
                assert_eq!(pins.len(), part.terminals.len(), "{about}");
                for (terminal, pin) in pins.into_iter().enumerate() {
                    assert_eq!(pin.one("dt").text(), part.terminals[terminal].name, "{about}");
                    let end =
                        End::Terminal { part: PartId(at as u32), terminal: TerminalId(terminal as u16) };
                    let wires: Vec<String> =
                        wires_at(book, end).into_iter().map(|wire| leaves(book, wire, end)).collect();
                    let told = pin.one("dd");
                    match wires.is_empty() {
                        true => assert_eq!(told.text(), text("data.no-wire"), "{about}"),
                        false => assert_eq!(told.text(), wires.join(" "), "{about}"),
                    }
                    for (mark, wire) in told.all("span.color").into_iter().zip(wires_at(book, end)) {
                        hold_color(mark, &book.wire(wire).color, &about);
                    }
                }
            }
        }
    }
}

#[test]
fn a_connectors_card_has_each_cavity_with_the_wires_of_both_sides() {
    let mut cavities = 0;
    for printed in books() {
        let book = printed.book;
        for (at, held) in book.connectors.iter().enumerate() {
            let connector = ConnectorId(at as u32);
            let path = format!("data/{}.html", book.sheets[held.sheet.index()].id);
            let doc = printed.page(&path);
            let card = doc.place(&format!("c-{}", held.id)).unwrap();
            assert_eq!(card.one("h3").text(), format!("{} {}", held.id, held.name));
            if let Some(place) = &held.place {
                assert!(card.texts("p").contains(&format!("{}: {place}", text("data.place"))), "{}", held.id);
            }
            let table = card.one("table");
            let heads = table.texts("thead th");
            assert_eq!(heads[0], text("data.cavity"));
            for side in [0, 1] {
                assert_eq!(heads[1 + side], book.harnesses[held.joins[side].index()].name, "{}", held.id);
            }
            let rows = rows(table);
            assert_eq!(rows.len(), held.cavities.len(), "{}", held.id);
            for (cavity, (_, cells)) in rows.into_iter().enumerate() {
                assert_eq!(cells[0].text(), held.cavities[cavity], "{}", held.id);
                for side in [0u8, 1] {
                    let end = End::Cavity { connector, cavity: cavity as u16, side };
                    let wires: Vec<String> =
                        wires_at(book, end).into_iter().map(|wire| leaves(book, wire, end)).collect();
                    let told = cells[1 + usize::from(side)].text();
                    assert_eq!(told, wires.join(" "), "{}:{} side {side}", held.id, held.cavities[cavity]);
                }
                cavities += 1;
            }
            hold_face(book, connector, card);
        }
    }
    assert!(cavities > 20, "{cavities} cavities");
}

/// The two faces of a connector: each wire's color stands with its number.
fn hold_face(book: &Book, connector: ConnectorId, card: &Element) {
    let held = book.connector(connector);
    let cells: Vec<&Element> = card.one("svg.drawing").with("data-cavity");
    let (first, second) = cells.split_at(cells.len() / 2);
    for (side, cells) in [(0u8, first), (1, second)] {
        let mut shown = BTreeSet::new();
        for cell in cells {
            let name = cell.get("data-cavity").unwrap();
            assert_eq!(cell.one("text.mark").text(), name, "{}", held.id);
            let Some(cavity) = held.cavities.iter().position(|cavity| cavity == name) else {
                assert!(cell.all("text.id").is_empty(), "{}:{name} is empty", held.id);
                continue;
            };
            let wires = wires_at(book, End::Cavity { connector, cavity: cavity as u16, side });
            let ids: Vec<String> = wires.iter().map(|wire| book.wire(*wire).id.clone()).collect();
            assert_eq!(cell.texts("text.id"), ids, "{}:{name}, side {side}", held.id);
            let letters: Vec<String> = wires.iter().map(|wire| book.wire(*wire).color.to_string()).collect();
            assert_eq!(cell.texts("text.note"), letters, "{}:{name}, side {side}", held.id);
            let fill =
                |selector: &str| cell.maybe(selector).map(|mark| mark.get("style").unwrap().to_string());
            let color = wires.first().map(|wire| &book.wire(*wire).color);
            assert_eq!(
                fill("rect.swatch"),
                color.map(|color| format!("fill:{}", color.base.hex)),
                "{}:{name}",
                held.id
            );
            let stripe = color.and_then(|color| color.stripe).map(|stripe| format!("fill:{}", stripe.hex));
            assert_eq!(fill("rect.swatch-stripe"), stripe, "{}:{name}", held.id);
            shown.insert(name);
        }
        assert_eq!(shown.len(), held.cavities.len(), "{}: each cavity once on side {side}", held.id);
    }
    // What stands at the left on one face stands at the right on its mate.
    let across = |cells: &[&Element]| -> Vec<f64> {
        cells.iter().map(|cell| cell.all("text.mark")[0].get("x").unwrap().parse().unwrap()).collect()
    };
    let order = |cells: &[&Element]| {
        across(cells).windows(2).map(|pair| pair[0].total_cmp(&pair[1])).collect::<Vec<_>>()
    };
    let mirrored: Vec<_> = order(second).into_iter().map(std::cmp::Ordering::reverse).collect();
    assert_eq!(order(first), mirrored, "{}: the faces mirror each other", held.id);
}

/// What names a thing: the author's words, hands, expected results and verdicts. Holds that no section is left out, and that
/// each leads where it says.
#[test]
fn a_card_tells_where_its_thing_is_named() {
    for printed in books() {
        let book = printed.book;
        let titles: BTreeMap<String, String> = printed
            .places()
            .into_iter()
            .map(|place| (printed.address(place), printed.title(place)))
            .collect();
        let mut by_item: BTreeMap<Item, BTreeSet<String>> = BTreeMap::new();
        for place in printed.places() {
            let role = &book.section(place).role;
            for item in role.items().into_iter().chain(role.blamed(book)) {
                by_item.entry(item).or_default().insert(printed.address(place));
            }
        }
        for sheet in printed.sheets() {
            let path = format!("data/{}.html", book.sheets[sheet.index()].id);
            let doc = printed.page(&path);
            let letters = |item: &Item| match item {
                Item::Part(_) => "p",
                Item::Wire(_) => "w",
                Item::Connector(_) => "c",
            };
            for (item, wanted) in by_item.iter().filter(|(item, _)| book.item_sheet(**item) == sheet) {
                let anchor = format!("{}-{}", letters(item), book.item_name(*item));
                let card = doc.place(&anchor).unwrap();
                let list = card.all("details").into_iter().last();
                let told = list.into_iter().flat_map(|list| list.all("a"));
                let mut shown = BTreeSet::new();
                for link in told {
                    let to = target(&path, link);
                    assert_eq!(Some(&link.text()), titles.get(&to), "{path}#{anchor}: {to}");
                    assert!(shown.insert(to), "{path}#{anchor} names each once");
                }
                assert!(wanted.is_subset(&shown), "{path}#{anchor}: {:?}", wanted.difference(&shown));
            }
        }
    }
}

#[test]
fn a_part_tells_why_it_is_there_as_the_bench_bears_out() {
    let mut told_of = 0;
    for printed in books() {
        let book = printed.book;
        for sheet in printed.sheets() {
            let path = format!("data/{}.html", book.sheets[sheet.index()].id);
            let doc = printed.page(&path);
            for (at, part) in book.parts.iter().enumerate().filter(|(_, part)| part.sheet == sheet) {
                let card = doc.place(&format!("p-{}", part.id)).unwrap();
                let told = card.texts("p");
                let reasons = printed.proof.reasons.iter().filter(|reason| reason.part.index() == at);
                let reasons: Vec<_> = reasons.filter(|reason| reason.difference.is_some()).collect();
                let without = text("reason.without").split(' ').next().unwrap();
                let bridged = text("reason.bridged").split(' ').next().unwrap();
                let said: Vec<&String> = told
                    .iter()
                    .filter(|words| words.starts_with(without) || words.starts_with(bridged))
                    .collect();
                assert_eq!(said.len(), reasons.len(), "{}: {told:?}", part.id);
                for (words, reason) in said.into_iter().zip(reasons) {
                    let difference = reason.difference.as_ref().unwrap();
                    let opens = if reason.way == Way::TakenOut { without } else { bridged };
                    assert!(words.starts_with(opens), "{}: {words}", part.id);
                    let moved = difference
                        .settings
                        .iter()
                        .filter(|(control, to)| book.control(*control).rest() != *to)
                        .map(|(control, to)| words::setting(book, *control, *to));
                    let moved: Vec<String> = moved.collect();
                    let state =
                        if moved.is_empty() { text("reason.at-rest").to_string() } else { moved.join(", ") };
                    assert!(words.contains(&format!("({state}): ")), "{}: {words}", part.id);
                    for blown in &difference.blows {
                        let blown = words::fill("reason.blows", &[("part", &words::part(book, *blown))]);
                        assert!(words.contains(&blown), "{}: {words}", part.id);
                    }
                    let room = 3usize.saturating_sub(difference.blows.len());
                    for (other, element, was, is) in difference.changes.iter().take(room) {
                        let subject = Subject::Face { part: *other, element: *element };
                        let word = |seen: &goodground::bench::Seen| {
                            words::reading(book, subject, &goodground::bench::Reading::Steady(*seen))
                        };
                        let (is, was) = (word(is), word(was));
                        let values =
                            [("part", &*words::subject(book, subject)), ("is", &*is), ("was", &*was)];
                        let change = words::fill("reason.change", &values);
                        assert!(difference.upset || words.contains(&change), "{}: {words}", part.id);
                        told_of += 1;
                    }
                }
            }
        }
    }
    assert!(told_of > 50, "{told_of} changes");
}

/// Each fault that a card tells of an item, with the first step of the item's own system that shows it; how many have one.
fn hold_faults(printed: &Printed, path: &str, card: &Element, item: Item) -> usize {
    let book = printed.book;
    let home = match item {
        Item::Part(part) => book.part(part).sheet,
        Item::Wire(wire) => book.wire(wire).sheet,
        Item::Connector(connector) => book.connector(connector).sheet,
    };
    let faults: Vec<(usize, &Fault)> =
        book.faults.iter().enumerate().filter(|(_, fault)| fault.item == item).collect();
    let lists = card.all("details");
    let list = lists.iter().find(|list| list.one("summary").text() == text("data.faults"));
    let lines = list.map_or_else(Vec::new, |list| list.all("li"));
    assert_eq!(lines.len(), faults.len(), "{path}: {}", book.item_name(item));
    let mut led = 0;
    for (line, (number, fault)) in lines.into_iter().zip(faults) {
        let id = FaultId(number as u32);
        assert!(line.text().starts_with(&format!("{}: ", fault.name)), "{}", line.text());
        let steps = printed
            .proof
            .faults
            .iter()
            .filter(|showing| showing.fault == id && book.page(showing.page).sheet == Some(home));
        let step = steps.filter_map(|showing| showing.shown.as_ref()).map(|shown| shown.step).next();
        let accepted = book.accepted.iter().find(|accepted| accepted.fault == id);
        match (step, accepted) {
            (Some(step), _) => {
                assert_eq!(target(path, line.one("a")), printed.address(step), "{}", fault.name);
                assert_eq!(line.one("a").text(), printed.title(step), "{}", fault.name);
                led += 1;
            }
            (None, Some(accepted)) => assert!(line.text().contains(&accepted.reason), "{}", fault.name),
            (None, None) => assert!(line.text().ends_with(text("fault.elsewhere")), "{}", fault.name),
        }
    }
    led
}

#[test]
fn a_part_tells_each_of_its_faults_with_the_step_that_shows_it() {
    let mut led = 0;
    for printed in books() {
        let book = printed.book;
        for sheet in printed.sheets() {
            let path = format!("data/{}.html", book.sheets[sheet.index()].id);
            let doc = printed.page(&path);
            for (at, part) in book.parts.iter().enumerate().filter(|(_, part)| part.sheet == sheet) {
                let card = doc.place(&format!("p-{}", part.id)).unwrap();
                led += hold_faults(printed, &path, card, Item::Part(PartId(at as u32)));
            }
        }
    }
    assert!(led > 100, "{led} faults with their steps");
}

#[test]
fn a_wires_card_beside_the_drawing_tells_each_of_its_faults_with_the_step_that_shows_it() {
    let mut led = 0;
    for printed in books() {
        let book = printed.book;
        for sheet in printed.sheets() {
            let path = format!("circuits/{}.html", book.sheets[sheet.index()].id);
            for card in printed.page(&path).all("template") {
                let Some(name) = card.get("data-wire") else {
                    continue;
                };
                led += hold_faults(printed, &path, card, Item::Wire(book.find_wire(name).unwrap()));
            }
        }
    }
    assert!(led > 100, "{led} faults with their steps");
}

#[test]
fn a_fault_map_names_step_procedure_verdict_and_number_of_tests() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        for (path, of, table) in tables(printed, "faults") {
            hold_columns(&table, &["fault", "first-step", "procedure", "verdict", "tests"], &path);
            let mut mapped: BTreeSet<String> = BTreeSet::new();
            for (row, cells) in rows(&table) {
                // Faults of one fate share a row; a mark of builds stands behind each.
                let names = cells[0].text();
                let mut here: Vec<&Fault> = book
                    .faults
                    .iter()
                    .filter(|fault| {
                        names.match_indices(&fault.name).any(|(at, name)| {
                            let before = names[..at].chars().next_back();
                            let after = names[at + name.len()..].chars().next();
                            before.is_none_or(|c| c == ' ') && after.is_none_or(|c| c == ' ')
                        })
                    })
                    .collect();
                // `K1 coil open` has `coil open` in it: the longest name counts.
                let all = here.clone();
                here.retain(|fault| {
                    !all.iter().any(|other| {
                        other.name != fault.name
                            && other.name.contains(&fault.name)
                            && names.matches(&other.name).count() >= names.matches(&fault.name).count()
                    })
                });
                assert!(!here.is_empty(), "{path}: {names}");
                let builds: Vec<u32> = match row.get("data-fit") {
                    None => (0..book.builds.len() as u32).collect(),
                    Some(list) => list.split(' ').map(|build| build.parse().unwrap()).collect(),
                };
                for fault in here {
                    let id = book.faults.iter().position(|other| other.name == fault.name).unwrap();
                    let showing = printed.proof.faults.iter().filter(|showing| {
                        showing.fault.index() == id
                            && of.is_none_or(|of| book.page(showing.page).sheet == Some(of))
                            && builds.contains(&showing.build.0)
                    });
                    let showing: Vec<_> = showing.collect();
                    let Some(link) = cells[1].maybe("a") else {
                        assert!(
                            showing.iter().all(|showing| showing.shown.is_none()),
                            "{path}: {}",
                            fault.name
                        );
                        mapped.insert(fault.name.clone());
                        continue;
                    };
                    let step = target(&path, link);
                    let same = showing.iter().filter_map(|showing| showing.shown.as_ref());
                    let same: Vec<_> = same.filter(|shown| printed.address(shown.step) == step).collect();
                    assert_eq!(
                        same.len(),
                        builds.len(),
                        "{path}: {} shows at {step} in {builds:?}",
                        fault.name
                    );
                    let title = &book.section(same[0].step).title;
                    assert_eq!(&link.text(), title, "{path}: {}", fault.name);
                    if let Some(procedure) = same[0].procedure {
                        assert_eq!(target(&path, cells[2].one("a")), printed.address(procedure), "{path}");
                        let short = cells[2].text();
                        assert!(
                            book.section(procedure).title.starts_with(&short) && !short.is_empty(),
                            "{path}: {short}"
                        );
                    }
                    if let Some(walk) = &same[0].walk {
                        assert_eq!(cells[4].text(), walk.trail.len().to_string(), "{path}: {}", fault.name);
                        if let goodground::proof::trouble::End::At { place, outcome } = walk.end {
                            let Role::Test(test) = &book.section(place).role else { panic!() };
                            if let Target::Verdict { words: says, .. } = &test.outcomes[outcome].to {
                                assert_eq!(&cells[3].text(), says, "{path}: {}", fault.name);
                            }
                        }
                    }
                    mapped.insert(fault.name.clone());
                    seen += 1;
                }
            }
            let wanted = printed.proof.faults.iter().filter(|showing| {
                showing.shown.is_some() && of.is_none_or(|of| book.page(showing.page).sheet == Some(of))
            });
            let wanted: BTreeSet<String> =
                wanted.map(|showing| book.fault(showing.fault).name.clone()).collect();
            let missing: Vec<&String> = wanted.difference(&mapped).collect();
            assert!(missing.is_empty(), "{path} lacks {missing:?}");
        }
    }
    assert!(seen > 500, "{seen} faults in rows");
}

#[test]
fn a_steps_table_has_each_way_from_a_step_with_its_symptom_procedure_and_tests() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        for (path, of, table) in tables(printed, "steps") {
            hold_columns(&table, &["step", "symptom", "procedure", "tests", "verdicts"], &path);
            let branches = printed.places().into_iter().flat_map(|place| {
                let step = match &book.section(place).role {
                    Role::Step(step) if book.page(place.page).sheet == of || of.is_none() => Some(step),
                    _ => None,
                };
                step.into_iter().flat_map(move |step| step.branches.iter().map(move |branch| (place, branch)))
            });
            let branches: Vec<_> = branches.collect();
            let rows = rows(&table);
            assert_eq!(rows.len(), branches.len(), "{path}");
            for ((_, cells), (place, branch)) in rows.into_iter().zip(branches) {
                let about = format!("{path}: {}", book.section(place).title);
                assert_eq!(target(&path, cells[0].one("a")), printed.address(place), "{about}");
                assert_eq!(cells[0].text(), book.section(place).title, "{about}");
                let symptom = match &branch.when {
                    Some(expects) => expects
                        .iter()
                        .map(|expect| words::expect(book, expect))
                        .collect::<Vec<_>>()
                        .join(", "),
                    None => text("step.otherwise").to_string(),
                };
                assert_eq!(cells[1].text(), symptom, "{about}");
                assert_eq!(target(&path, cells[2].one("a")), printed.address(branch.to), "{about}");
                assert_eq!(cells[2].text(), book.section(branch.to).title, "{about}");
                let here = printed.proof.faults.iter().filter_map(|showing| showing.shown.as_ref());
                let here = here.filter(|shown| shown.step == place && shown.procedure == Some(branch.to));
                let trails: Vec<usize> = here
                    .filter_map(|shown| shown.walk.as_ref())
                    .filter(|walk| is_verdict(book, walk))
                    .map(|walk| walk.trail.len())
                    .collect();
                let tests = match (trails.iter().min(), trails.iter().max()) {
                    (Some(fewest), Some(most)) if fewest == most => fewest.to_string(),
                    (Some(fewest), Some(most)) => format!("{fewest}–{most}"),
                    _ => "–".to_string(),
                };
                assert_eq!(cells[3].text(), tests, "{about}");
                assert_eq!(cells[4].all("li").is_empty(), trails.is_empty(), "{about}");
                seen += 1;
            }
        }
    }
    assert!(seen > 30, "{seen} ways");
}

fn is_verdict(book: &Book, walk: &goodground::proof::trouble::Walk) -> bool {
    let goodground::proof::trouble::End::At { place, outcome } = walk.end else { return false };
    match &book.section(place).role {
        Role::Test(test) => matches!(test.outcomes[outcome].to, Target::Verdict { .. }),
        _ => false,
    }
}

#[test]
fn an_operating_state_is_one_in_which_its_load_works() {
    let mut seen = 0;
    for printed in books() {
        let book = printed.book;
        let rigs = rigs(book);
        for (path, of, table) in tables(printed, "operation") {
            let sheet = of.unwrap();
            let live = &printed.illustrations.live[sheet.index()];
            let mut loads = BTreeSet::new();
            for (row, cells) in rows(&table) {
                let link = cells[3].one("a");
                let (circuit, state) =
                    target(&path, link).split_once('#').map(|(a, b)| (a.to_string(), b.to_string())).unwrap();
                assert_eq!(circuit, format!("circuits/{}.html", book.sheets[sheet.index()].id), "{path}");
                let (build, code) = state.strip_prefix("build=").unwrap().split_once("&state=").unwrap();
                let (build, mut code): (usize, u64) = (build.parse().unwrap(), code.parse().unwrap());
                let mut bench = Bench::new(&rigs[build], middle(&rigs[build])).unwrap();
                let mut moved = Vec::new();
                for (control, choices) in live.controls.iter().zip(&live.choices) {
                    let to = choices[(code % choices.len() as u64) as usize];
                    code /= choices.len() as u64;
                    moved.push((*control, to));
                }
                bench.set_all(&moved).unwrap();
                let told = words::settings(book, bench.settings());
                let told =
                    if told.is_empty() { text("operation.always").to_string() } else { told.join(", ") };
                assert_eq!(cells[2].text(), told, "{path}: {}", cells[0].text());
                let faces = book.parts.iter().enumerate().filter(|(_, part)| part.sheet == sheet);
                let mut faces = faces.flat_map(|(at, part)| {
                    part.faces().map(move |(element, _)| Subject::Face { part: PartId(at as u32), element })
                });
                // The mark of builds is no part of the load's name.
                let name = cells[0].text();
                let mark = cells[0].maybe(".only").map(Element::text).unwrap_or_default();
                let name = name.strip_suffix(&*mark).unwrap().trim();
                let subject = faces.find(|subject| words::subject(book, *subject) == name);
                let subject = subject.unwrap_or_else(|| panic!("{path}: no load {name}"));
                let reading = bench.observe(&[subject], 0.0).unwrap()[0].rounded();
                assert_eq!(cells[1].text(), words::reading(book, subject, &reading), "{path}: {name}");
                let fit = row.get("data-fit");
                assert!(
                    fit.is_none_or(|fit| fit.split(' ').any(|fit| fit == build.to_string())),
                    "{path}: {name}"
                );
                loads.insert(name.to_string());
                seen += 1;
            }
            let works: BTreeSet<String> = live
                .states
                .iter()
                .flat_map(|state| &state.readings)
                .filter(|((part, _), reading)| {
                    book.part(*part).sheet == sheet
                        && match reading {
                            goodground::bench::Reading::Steady(seen) => seen.strength != Strength::Off,
                            goodground::bench::Reading::Flashing { .. }
                            | goodground::bench::Reading::Then { .. }
                            | goodground::bench::Reading::Pulses { .. } => true,
                            _ => false,
                        }
                })
                .map(|((part, element), _)| {
                    words::subject(book, Subject::Face { part: *part, element: *element })
                })
                .collect();
            assert_eq!(loads, works, "{path}: every load that works in some state");
        }
    }
    assert!(seen > 20, "{seen} operating states");
}

#[test]
fn a_reasons_table_tells_what_the_cards_tell() {
    for printed in books() {
        let book = printed.book;
        for (path, of, table) in tables(printed, "reasons") {
            let found = printed.proof.reasons.iter().filter(|reason| reason.difference.is_some());
            let found: BTreeSet<PartId> =
                found.map(|reason| reason.part).filter(|part| within(of, book.part(*part).sheet)).collect();
            let rows = rows(&table);
            assert_eq!(rows.len(), found.len(), "{path}");
            for (_, cells) in rows {
                let id = book.find_part(&cells[0].one("a").text()).unwrap();
                hold_head(printed, &path, cells[0], Item::Part(id));
                assert_eq!(cells[1].text(), book.part(id).name);
                let home = format!("data/{}.html", book.sheets[book.part(id).sheet.index()].id);
                let doc = printed.page(&home);
                let card = doc.place(&format!("p-{}", book.part(id).id)).unwrap().texts("p").join(" ");
                assert!(card.contains(&cells[2].text()), "{path}: {}", cells[2].text());
            }
        }
    }
}

#[test]
fn a_systems_page_has_its_drawing_and_lists_where_its_author_placed_none() {
    for printed in books() {
        let book = printed.book;
        for page in printed.chapters().filter(|page| book.page(*page).kind == PageKind::Theory) {
            let Some(sheet) = book.page(page).sheet else { continue };
            let own = printed.chapters().filter(|other| book.page(*other).sheet == Some(sheet));
            let first = own.filter(|other| book.page(*other).kind == PageKind::Theory).min();
            if first != Some(page) {
                continue;
            }
            let path = printed.path(page);
            let doc = printed.page(&path);
            let has = |kind: Kind| book.parts.iter().any(|part| part.sheet == sheet && part.kind == kind);
            let mut wanted = vec!["operation", "parts", "wires"];
            wanted.extend(has(Kind::Ground).then_some("grounds"));
            for name in wanted {
                let tables = doc.all(&format!("table.list.{name}"));
                assert!(!tables.is_empty(), "{path} has the table of {name}");
                let heading = text(&format!("made.{name}"));
                let made = doc.all("section.made").into_iter().find(|made| made.one("h2").text() == heading);
                if let Some(made) = made {
                    made.one(&format!("table.list.{name}"));
                }
            }
            assert!(!doc.all("svg.drawing path.run").is_empty(), "{path} has its drawing");
        }
    }
}

#[test]
fn ground_and_splice_charts_show_every_wire_with_its_color_size_and_far_end() {
    let mut opened = 0;
    for printed in books() {
        let book = printed.book;
        let doc = printed.page("lists/grounds.html");
        let charts = doc.all("svg.chart");
        for (chart, kind) in charts.iter().zip([Kind::Ground, Kind::Splice]) {
            let roots = book.parts.iter().enumerate().filter(|(_, part)| part.kind == kind);
            let told = chart.text();
            if kind == Kind::Ground {
                opened += behind_grounds(book, chart);
            }
            for (at, part) in roots {
                assert!(told.contains(&part.name), "{}", part.id);
                let end = End::Terminal { part: PartId(at as u32), terminal: TerminalId(0) };
                for id in wires_at(book, end) {
                    let wire = book.wire(id);
                    let group = chart
                        .all("g.wire")
                        .into_iter()
                        .find(|group| group.get("data-wire") == Some(&wire.id));
                    assert!(group.is_some(), "{}: {}", part.id, wire.id);
                    let far = words::end(book, if wire.ends[0] == end { wire.ends[1] } else { wire.ends[0] });
                    let value = format!("{} {}", wire.color, wire.size).replace("mm2", "mm²");
                    let line = format!("{}{value}{far}", wire.id);
                    let told: String = told.split_whitespace().collect();
                    let line: String = line.split_whitespace().collect();
                    assert!(told.contains(&line), "{}: {line}", part.id);
                }
            }
            // The colors follow the wires' ids, one by one.
            let marks = chart.all("rect.swatch");
            let groups = chart.all("g.wire");
            assert_eq!(marks.len(), groups.len());
            for (group, mark) in groups.iter().zip(marks) {
                let wire = book.wire(book.find_wire(group.get("data-wire").unwrap()).unwrap());
                assert_eq!(mark.get("style"), Some(&*format!("fill:{}", wire.color.base.hex)), "{}", wire.id);
            }
        }
    }
    assert!(opened > 0, "some ground has a splice");
}

#[test]
fn a_large_book_lists_all_it_has() {
    let printed = Printed::of(crate::large::book(6));
    let book = printed.book;
    let count = |path: &str| printed.page(path).all("main table tbody tr").len();
    assert_eq!(count("lists/parts.html"), book.parts.len());
    assert_eq!(count("lists/wires.html"), book.wires.len());
    assert_eq!(count("lists/connectors.html"), book.connectors.len());
    assert_eq!(
        count("lists/grounds.html"),
        book.parts.iter().filter(|part| part.kind == Kind::Ground).count()
    );
    let fuses = [Kind::Fuse, Kind::FusibleLink, Kind::Breaker];
    assert_eq!(
        count("lists/fuses.html"),
        book.parts.iter().filter(|part| fuses.contains(&part.kind)).count()
    );
    let colors = printed.page("lists/colors.html");
    assert_eq!(colors.all("table.colors td a").len(), book.wires.len());
    let sheets = printed.pages.keys().filter(|path| path.starts_with("sheets/")).count();
    let steps = printed
        .chapters()
        .filter(|page| book.page(*page).sections.iter().any(|section| matches!(section.role, Role::Step(_))));
    let procedures =
        printed.places().into_iter().filter(|place| matches!(book.section(*place).role, Role::Procedure));
    assert_eq!(sheets, 1 + steps.count() + procedures.count());
    for kind in ["circuits/", "data/", "map/"] {
        assert_eq!(
            printed.pages.keys().filter(|path| path.starts_with(kind)).count(),
            book.sheets.len(),
            "{kind}"
        );
    }
}

#[test]
fn the_overview_puts_each_wire_into_its_harness() {
    for printed in books() {
        let book = printed.book;
        let doc = printed.page("lists/connectors.html");
        let blocks = doc.all("g.harness");
        let mut seen = BTreeSet::new();
        for block in blocks {
            let name = block.one("text.title").text();
            let harness = book.harnesses.iter().position(|harness| harness.name == name).unwrap();
            let (ids, ends, marks) =
                (block.texts("text.id"), block.texts("text.value"), block.all("rect.swatch"));
            for ((id, told), mark) in ids.iter().zip(ends).zip(marks) {
                let wire = book.wire(book.find_wire(id).unwrap());
                assert_eq!(wire.harness.index(), harness, "{id} is in {name}");
                let [from, to] = wire.ends.map(|end| words::end(book, end));
                assert_eq!(told, format!("{from} – {to}"), "{id}");
                assert_eq!(mark.get("style"), Some(&*format!("fill:{}", wire.color.base.hex)), "{id}");
                assert!(seen.insert(id.clone()), "{id} once");
            }
        }
        assert_eq!(seen.len(), book.wires.len());
        for connector in &book.connectors {
            let [a, b] = connector.joins.map(|harness| &book.harnesses[harness.index()].name);
            let told = format!(
                "{} {} joins {a} and {b} with {} wires across.",
                connector.id,
                connector.name,
                connector.cavities.len()
            );
            assert!(doc.texts("desc").join(" ").contains(&told), "{told}");
        }
    }
}

/// Holds that a ground chart shows every wire of the splices that its points are wired to. Returns how many there are.
fn behind_grounds(book: &Book, chart: &Element) -> usize {
    let end_of = |part: PartId| End::Terminal { part, terminal: TerminalId(0) };
    let parts = (0..book.parts.len() as u32).map(PartId);
    let mut found = 0;
    for point in parts.filter(|&part| book.part(part).kind == Kind::Ground) {
        for id in wires_at(book, end_of(point)) {
            let far = book.wire(id).ends.into_iter().find(|end| *end != end_of(point));
            let Some(End::Terminal { part, .. }) = far else { continue };
            if book.part(part).kind != Kind::Splice {
                continue;
            }
            for behind in wires_at(book, end_of(part)).into_iter().filter(|behind| *behind != id) {
                let wire = &book.wire(behind).id;
                let shown = chart.all("g.wire").into_iter().any(|group| group.get("data-wire") == Some(wire));
                assert!(shown, "{wire} hangs on {}", book.part(point).id);
                found += 1;
            }
        }
    }
    found
}
