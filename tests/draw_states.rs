//! Holds what a drawing shows of a state: classes on the same lines, the key below, the words beside it.

use goodground::book::*;
use goodground::draw::{
    Along, Current, Flow, Mark, State, Use, View, connector_face, describe, ground_chart, harness_overview,
    scenes, splice_chart, svg,
};

fn circuit() -> Book {
    crate::vehicle::vehicle(11, 60)
}

fn drawing(book: &Book, state: Option<&State>) -> String {
    drawn(book, state, Use::Live)
}

fn drawn(book: &Book, state: Option<&State>, shall: Use) -> String {
    let view = View { sheet: SheetId(0), build: None };
    scenes(crate::vehicle::english(book), view)
        .iter()
        .map(|scene| svg(crate::vehicle::english(book), scene, state, shall))
        .collect()
}

fn first_part(book: &Book, kind: Kind) -> (PartId, &Part) {
    let index = book.parts.iter().position(|part| part.kind == kind && part.sheet == SheetId(0)).unwrap();
    (PartId(index as u32), &book.parts[index])
}

/// A current of an ampere, or a conductor that does nothing but this.
fn doing(flow: Flow) -> Current {
    let carries = flow == Flow::Carrying;
    Current {
        amps: if carries { 1.0 } else { 0.0 },
        carries,
        rest: if carries { Flow::LiveFeed } else { flow },
    }
}

/// The class of the group that stands for something.
fn class_of<'a>(text: &'a str, attribute: &str) -> &'a str {
    let at = text.find(attribute).unwrap_or_else(|| panic!("{attribute} is in the drawing"));
    let tag = &text[text[..at].rfind('<').unwrap()..];
    let tag = &tag[..tag.find('>').unwrap()];
    let class = &tag[tag.find("class=\"").unwrap() + 7..];
    &class[..class.find('"').unwrap()]
}

/// The shapes of a drawing in order, each as its class and its geometry; those that are hidden only if wanted.
fn shapes(text: &str, hidden: bool) -> Vec<(&str, &str)> {
    let tags = text
        .split('<')
        .filter(|tag| tag.starts_with("path ") || tag.starts_with("rect ") || tag.starts_with("circle "));
    let value = |tag: &'_ str, name: &str| {
        let at = tag.find(&format!(" {name}=\"")).map(|at| at + name.len() + 3);
        at.map_or(0..0, |at| at..at + tag[at..].find('"').unwrap())
    };
    tags.filter(|tag| hidden || !tag.contains("visibility=\"hidden\""))
        .map(|tag| {
            let place =
                ["d", "x", "cx"].into_iter().map(|name| value(tag, name)).find(|range| !range.is_empty());
            (&tag[value(tag, "class")], &tag[place.unwrap()])
        })
        .collect()
}

#[test]
fn a_still_drawing_at_rest_is_what_shows_of_the_live_one() {
    let book = circuit();
    let (live, still) = (drawing(&book, None), drawn(&book, None, Use::Still));
    assert!(shapes(&live, false).len() > book.wires.len() / 2);
    assert_eq!(shapes(&still, true), shapes(&live, false));
    assert!(!still.contains(" data-"), "nothing works it");
}

#[test]
fn a_still_drawing_in_a_state_has_what_the_state_shows() {
    let book = circuit();
    let on_sheet = |wire: &&Wire| wire.sheet == SheetId(0);
    let count = book.wires.iter().filter(on_sheet).count();
    let mut state = State::default();
    for (index, _) in book.wires.iter().enumerate() {
        state.currents.insert(Along::Wire(WireId(index as u32)), doing(Flow::Carrying));
    }
    let (lamp, held) = first_part(&book, Kind::Lamp);
    let element = held.faces().next().unwrap().0;
    state.faces.insert((lamp, element), Strength::Full);
    let (switch, _) = first_part(&book, Kind::Switch);
    state.elements.insert((switch, 0), Mark::Made);
    state.faults.push(Item::Part(lamp));
    let pages = drawn(&book, Some(&state), Use::Still);
    // Without the keys below, which have samples of everything.
    let parts = pages.split("</svg>").map(|page| page.split("class=\"key\"").next().unwrap());
    let still: String = parts.collect();
    let of = |class: &str| {
        let shapes = shapes(&still, true);
        shapes.iter().filter(|shape| shape.0 == class).count()
    };
    assert_eq!(still.matches("class=\"wire carrying\"").count(), of("arrow forth"));
    assert!(of("arrow forth") >= count, "{} of {count}", of("arrow forth"));
    assert_eq!(of("arrow back"), 0);
    assert_eq!((of("active") > 0, of("fault-sign")), (true, 1));
    assert!(of("blade-made") > 0 && of("blade-open") > 0);
}

#[test]
fn every_flow_has_its_class_and_its_line_in_the_key() {
    let book = circuit();
    let wire = WireId(book.wires.iter().position(|wire| wire.sheet == SheetId(0)).unwrap() as u32);
    for &flow in Flow::ALL {
        let mut state = State::default();
        state.currents.insert(Along::Wire(wire), doing(flow));
        let text = drawing(&book, Some(&state));
        let id = format!("data-wire=\"{}\"", book.wire(wire).id);
        assert_eq!(class_of(&text, &id), format!("wire {}", flow.class()));
        for named in Flow::ALL {
            assert!(
                text.contains(&crate::vehicle::english(&book).words.text(&format!("flow.{}", named.class()))),
                "the key names {named:?}"
            );
        }
    }
}

#[test]
fn a_bar_carries_current_only_between_the_wires_that_do() {
    let book = circuit();
    let view = View { sheet: SheetId(0), build: None };
    let scenes = scenes(crate::vehicle::english(&book), view);
    let mut held = 0;
    for scene in &scenes {
        for (number, bar) in scene.bars.iter().enumerate() {
            let End::Terminal { part, terminal } = bar.end else { continue };
            let wires: Vec<(f64, WireId, f64)> = bar
                .taps
                .iter()
                .filter_map(|(x, tap)| match tap.0[..] {
                    [(Along::Wire(wire), times)] => Some((*x, wire, times)),
                    _ => None,
                })
                .collect();
            let [from, .., to] = wires[..] else { continue };
            // An ampere comes by one wire and goes by another; nothing else is known to do anything.
            let mut state = State::default();
            state.currents.insert(Along::Terminal(part, terminal), doing(Flow::LiveFeed));
            for ((_, wire, times), amps) in [(from, -1.0), (to, 1.0)] {
                let current = Current { amps: amps * times, ..doing(Flow::Carrying) };
                state.currents.insert(Along::Wire(wire), current);
            }
            let flows: std::collections::BTreeMap<String, Option<Flow>> =
                scene.strips(&book).iter().map(|strip| (strip.name.clone(), strip.flow(&state))).collect();
            let (left, right) = (from.0.min(to.0), from.0.max(to.0));
            let mut pieces: Vec<f64> = bar.dots.iter().map(|dot| dot.x).collect();
            pieces.dedup();
            for (piece, ends) in pieces.windows(2).enumerate() {
                let piece = piece + usize::from(bar.continued[0]);
                let between = left <= ends[0] && ends[1] <= right;
                let wanted = if between { Flow::Carrying } else { Flow::LiveFeed };
                assert_eq!(flows[&format!("{}.bar.{number}.{piece}", scene.number)], Some(wanted));
                held += 1;
            }
            for (dot, spot) in bar.dots.iter().enumerate() {
                let here = [from.0, to.0].contains(&spot.x);
                let wanted = if here { Flow::Carrying } else { Flow::LiveFeed };
                assert_eq!(flows[&format!("{}.dot.{number}.{dot}", scene.number)], Some(wanted));
            }
        }
    }
    assert!(held > 10, "{held} pieces");
}

#[test]
fn contacts_show_both_blades_and_the_state_picks_one() {
    let book = circuit();
    let (id, relay) = first_part(&book, Kind::Relay);
    let contact = relay.elements.iter().position(|element| element.name == "30-87").unwrap();
    let at_rest = drawing(&book, None);
    assert!(at_rest.contains("blade-open") && at_rest.contains("blade-made"));
    for (mark, class) in
        [(Mark::Made, "symbol made"), (Mark::Open, "symbol open"), (Mark::Carrying, "symbol made carrying")]
    {
        let mut state = State::default();
        state.elements.insert((id, contact), mark);
        let text = drawing(&book, Some(&state));
        let attribute = format!("data-element=\"30-87\" data-part=\"{}\"", relay.id);
        assert_eq!(class_of(&text, &attribute), class);
    }
}

#[test]
fn faults_and_instruments_are_marked_and_named() {
    let book = circuit();
    let (id, lamp) = first_part(&book, Kind::Lamp);
    let wire = WireId(book.wires.iter().position(|wire| wire.sheet == SheetId(0)).unwrap() as u32);
    let point = |terminal| Point::Terminal { part: id, terminal: TerminalId(terminal), on_part: false };
    let mut state = State { faults: vec![Item::Wire(wire)], ..State::default() };
    state.probes.push((Instrument::TestLight, point(0), point(1)));
    state.faces.insert((id, 0), Strength::Weak);
    let text = drawing(&book, Some(&state));
    assert!(class_of(&text, &format!("data-wire=\"{}\"", book.wire(wire).id)).ends_with("at-fault"));
    assert!(text.contains(&format!("{} at fault", book.wire(wire).id)));
    assert_eq!(text.matches("data-probe=").count(), 2, "both leads are on this drawing");
    let names = [0, 1].map(|terminal| book.step_line().point(point(terminal)));
    assert!(text.contains(&format!("test light: A at {}, B at {}", names[0], names[1])));
    let view = View { sheet: SheetId(0), build: None };
    let words: String = scenes(crate::vehicle::english(&book), view)
        .iter()
        .map(|scene| describe(crate::vehicle::english(&book), scene, Some(&state)))
        .collect();
    assert!(words.contains(&format!("{} is at fault", book.wire(wire).id)));
    assert!(words.contains("working weakly"), "{} is dim", lamp.id);
}

#[test]
fn a_drawing_says_in_words_what_stands_on_each_path() {
    let book = circuit();
    let view = View { sheet: SheetId(0), build: None };
    let scenes = scenes(crate::vehicle::english(&book), view);
    let words: String =
        scenes.iter().map(|scene| describe(crate::vehicle::english(&book), scene, None)).collect();
    let shown: usize = scenes.iter().map(|scene| scene.columns.len()).sum();
    assert_eq!(words.matches("Path ").count(), shown);
    for part in book.parts.iter().filter(|part| part.sheet == SheetId(0)) {
        assert!(words.contains(&part.id), "{} is told of", part.id);
    }
}

#[test]
fn what_an_author_writes_is_escaped() {
    let mut book = circuit();
    book.sheets[0].title = "Left & <right>".to_string();
    for part in &mut book.parts {
        part.name = "A \"<b>\" & c".to_string();
    }
    let text = drawing(&book, None);
    assert!(!text.contains("<b>") && !text.contains("<right>"));
    assert!(text.contains("Left &amp; &lt;right&gt;"));
}

#[test]
fn faces_charts_and_overview_name_every_wire_that_is_theirs() {
    let book = circuit();
    for (index, connector) in book.connectors.iter().enumerate() {
        let id = ConnectorId(index as u32);
        let face = connector_face(crate::vehicle::english(&book), id);
        let ours = |end: &End| matches!(end, End::Cavity { connector, .. } if *connector == id);
        for wire in book.wires.iter().filter(|wire| wire.ends.iter().any(ours)) {
            assert!(face.contains(&wire.id), "{} shows {}", connector.id, wire.id);
        }
    }
    let overview = harness_overview(crate::vehicle::english(&book));
    for wire in &book.wires {
        assert!(overview.contains(&wire.id), "the overview shows {}", wire.id);
    }
    let charts = [
        (Kind::Ground, ground_chart(crate::vehicle::english(&book))),
        (Kind::Splice, splice_chart(crate::vehicle::english(&book))),
    ];
    for (kind, chart) in charts {
        for part in book.parts.iter().filter(|part| part.kind == kind) {
            assert!(chart.contains(&part.name), "{} is in its chart", part.id);
        }
    }
}
