//! Turns fifty changes of a fact in the demo's circuits or prose, made by rule, into findings at their places or fields that follow.

use crate::book::{Files, folder, judge};
use goodground::book::{Book, Prose, Role, Target};
use goodground::finding::Code;
use goodground::read;
use goodground::source::Sources;
use pulldown_cmark::Event;
use std::collections::BTreeSet;

/// A change, and the lines where it must be seen.
struct Plant {
    what: String,
    files: Files,
    /// File and line, counted from 1; one of them suffices when `any`.
    at: Vec<(String, usize)>,
    any: bool,
    /// For a change that a field follows: what must stand on the page then.
    follows: Option<String>,
}

/// Where an author's words contradict the book: file and line.
fn contradicted(files: &Files) -> (Book, BTreeSet<(String, usize)>) {
    let mut sources = Sources::default();
    for (path, text) in files {
        sources.add(path.as_str(), text.as_str());
    }
    let (book, findings) = read::read(&sources, &[]);
    let found = findings.sorted();
    let found = found.iter().filter(|finding| finding.code == Code::ContradictedFact).map(|finding| {
        let text = sources.text(finding.span.file);
        (text.path.clone(), text.position(finding.span.start as usize).line)
    });
    (book, found.collect())
}

/// The words of all pages, with their fields filled in.
fn told(book: &Book) -> String {
    let mut words = String::new();
    let mut prose = |prose: &Prose| {
        for event in prose {
            if let Event::Text(text) = event {
                words.push_str(text);
            }
        }
        words.push('\n');
    };
    for section in book.pages.iter().flat_map(|page| &page.sections) {
        prose(&section.prose);
        prose(&section.after);
    }
    words
}

/// The demo, and where its text lines stand.
struct Demo {
    files: Files,
    lines: Vec<(String, usize, String)>,
}

impl Demo {
    fn new() -> Demo {
        let mut files = folder(".");
        files.retain(|path, _| path.starts_with("circuits/") || path.starts_with("content/"));
        let prose = files.iter().filter(|(path, _)| path.ends_with(".md"));
        let lines = prose.flat_map(|(path, text)| {
            text.lines()
                .enumerate()
                .map(|(at, line)| (path.clone(), at + 1, line.to_string()))
                .collect::<Vec<_>>()
        });
        let lines = lines.collect();
        Demo { files, lines }
    }

    /// The files with one line changed.
    fn with_line(&self, path: &str, number: usize, line: &str) -> Files {
        let mut files = self.files.clone();
        let text = &self.files[path];
        let lines: Vec<&str> =
            text.lines().enumerate().map(|(at, old)| if at + 1 == number { line } else { old }).collect();
        files.insert(path.to_string(), lines.join("\n") + "\n");
        files
    }

    /// The line of a circuit file that gives a wire.
    fn row(&self, wire: &str) -> (String, usize, String) {
        let begins = [format!("[\"{wire}\","), format!("{wire},")];
        let lines = self.files.iter().filter(|(path, _)| path.starts_with("circuits/"));
        let mut rows = lines
            .flat_map(|(path, text)| text.lines().enumerate().map(move |(at, line)| (path, at + 1, line)));
        let (path, at, line) = rows
            .find(|(_, _, line)| begins.iter().any(|begin| line.trim_start().starts_with(begin)))
            .expect("each wire has a row");
        (path.clone(), at, line.to_string())
    }

    /// The value of a key of a part or connector, with its place.
    fn value(&self, id: &str, key: &str) -> Option<(String, usize, String)> {
        for (path, text) in self.files.iter().filter(|(path, _)| path.ends_with(".toml")) {
            let mut inside = false;
            for (at, line) in text.lines().enumerate() {
                if line.starts_with('[') {
                    inside = line == format!("[parts.{id}]") || line == format!("[connectors.{id}]");
                }
                let value = line.strip_prefix(key).map(|rest| rest.trim_start());
                if let Some(value) = value.and_then(|rest| rest.strip_prefix("= \"")).filter(|_| inside) {
                    return Some((path.clone(), at + 1, value.trim_end_matches('"').to_string()));
                }
            }
        }
        None
    }

    /// The ids of all parts and connectors, in the order of the files.
    fn ids(&self) -> Vec<String> {
        let tables = self.files.values().flat_map(|text| text.lines());
        let ids = tables.filter_map(|line| {
            let inside = line.strip_prefix("[parts.").or_else(|| line.strip_prefix("[connectors."))?;
            Some(inside.trim_end_matches(']').to_string())
        });
        ids.filter(|id| !id.contains('.')).collect()
    }

    /// The prose lines that hold a text.
    fn holding(&self, text: &str) -> Vec<(String, usize)> {
        let lines = self.lines.iter().filter(|(_, _, line)| line.contains(text));
        lines.map(|(path, at, _)| (path.clone(), *at)).collect()
    }

    /// The first prose line that no step keyword begins and that names an id as a word of its own, at the byte behind it.
    fn mentions(&self, id: &str) -> Option<(&(String, usize, String), usize)> {
        self.lines.iter().find_map(|found| {
            let line = &found.2;
            let plain =
                !line.trim_start().starts_with("- ") && !line.starts_with('#') && !line.contains("=> ");
            let at = line.find(&format!(" {id}"))? + 1 + id.len();
            let whole = line[at..].starts_with([' ', ',', '.']) || at == line.len();
            (plain && whole).then_some((found, at))
        })
    }
}

/// `count` of the candidates, evenly spread.
fn spread<T>(candidates: Vec<T>, count: usize, what: &str) -> Vec<T> {
    let all = candidates.len();
    assert!(all >= count, "{what}: {all} candidates for {count}");
    let wanted: BTreeSet<usize> = (0..count).map(|at| at * all / count).collect();
    candidates.into_iter().enumerate().filter(|(at, _)| wanted.contains(at)).map(|(_, one)| one).collect()
}

/// A text between two marks of a line, with where it begins.
fn between<'t>(line: &'t str, open: &str, close: &str) -> Option<(usize, &'t str)> {
    let from = line.find(open)? + open.len();
    let length = line[from..].find(close)?;
    Some((from, &line[from..from + length]))
}

fn swapped(line: &str, from: usize, old: &str, new: &str) -> String {
    format!("{}{new}{}", &line[..from], &line[from + old.len()..])
}

const COLORS: [&str; 6] = ["BK/YE", "RD", "GN/WH", "BU", "VT/GY", "OG"];

fn other_color(old: &str, at: usize) -> &'static str {
    COLORS.iter().cycle().skip(at).find(|color| **color != old).expect("two are there")
}

/// The lines with `wire W1 (RD) between A:1 and B:2` as line, wire, color and ends.
fn wire_lines(demo: &Demo) -> Vec<(&(String, usize, String), String, String)> {
    let lines = demo.lines.iter().filter_map(|found| {
        let (_, wire) = between(&found.2, "wire ", " (")?;
        let (_, color) = between(&found.2, &format!("{wire} ("), ")")?;
        found.2.contains(") between ").then(|| (found, wire.to_string(), color.to_string()))
    });
    lines.collect()
}

fn plants(demo: &Demo) -> Vec<Plant> {
    let mut plants = Vec::new();
    let wires = wire_lines(demo);
    let here = |found: &(String, usize, String), what: String, line: String| Plant {
        what: format!("{}:{}: {what}", found.0, found.1),
        files: demo.with_line(&found.0, found.1, &line),
        at: vec![(found.0.clone(), found.1)],
        any: false,
        follows: None,
    };
    // A color in the prose, and in the circuit.
    for (at, (found, wire, color)) in spread(wires.clone(), 5, "colors").into_iter().enumerate() {
        let new = other_color(&color, at);
        let line = found.2.replace(&format!("({color})"), &format!("({new})"));
        plants.push(here(found, format!("color of {wire}: {color} becomes {new}"), line));
    }
    for (at, (_, wire, color)) in spread(wires.clone(), 5, "colors").into_iter().enumerate() {
        let new = other_color(&color, at + 3);
        let (path, number, row) = demo.row(&wire);
        let row = row.replacen(&color, new, 1);
        plants.push(Plant {
            what: format!("{path}:{number}: color of {wire}: {color} becomes {new}"),
            files: demo.with_line(&path, number, &row),
            at: demo.holding(&format!("{wire} ({color})")),
            any: false,
            follows: None,
        });
    }
    // An end in the prose: another pin, and another part; and in the circuit.
    for (at, (found, wire, _)) in spread(wires.clone(), 6, "ends").into_iter().enumerate() {
        let (from, end) = between(&found.2, ") between ", " and ").expect("its ends");
        let new = match (end.split_once(':'), at % 2) {
            (Some((part, _)), 0) => format!("{part}:99"),
            _ => {
                if end.starts_with("F9") {
                    "F8:1".to_string()
                } else {
                    "F9:1".to_string()
                }
            }
        };
        plants.push(here(
            found,
            format!("end of {wire}: {end} becomes {new}"),
            swapped(&found.2, from, end, &new),
        ));
    }
    // A cavity that loses its wire is an unknown cavity where a test names it: that is another finding, so parts' terminals only.
    let leaves_a_part =
        |wire: &str| !demo.row(wire).2.split(',').nth(1).is_some_and(|end| end.contains("\"X"));
    let from_parts = wires.iter().filter(|(_, wire, _)| leaves_a_part(wire)).cloned().collect();
    for (_, wire, _) in spread(from_parts, 4, "ends") {
        let (path, number, row) = demo.row(&wire);
        let cells: Vec<&str> = row.split(',').collect();
        let end = cells[1].trim().trim_matches('"');
        let new = if end.starts_with("F9") { "F8:1" } else { "F9:1" };
        plants.push(Plant {
            what: format!("{path}:{number}: end of {wire}: {end} becomes {new}"),
            files: demo.with_line(&path, number, &row.replacen(end, new, 1)),
            at: demo.holding(&format!("wire {wire} (")),
            any: false,
            follows: None,
        });
    }
    // A name: the id behind it becomes another part's in the prose; two parts change names in the circuit.
    let ids = demo.ids();
    let named: Vec<(&(String, usize, String), &String, String)> = ids
        .iter()
        .filter_map(|id| {
            let (_, _, name) = demo.value(id, "name")?;
            let words = format!("{} {id}", name[..1].to_lowercase() + &name[1..]);
            let found = demo.lines.iter().find(|(_, _, line)| line.contains(&words))?;
            Some((found, id, name))
        })
        .collect();
    for (at, (found, id, name)) in spread(named.clone(), 5, "names").into_iter().enumerate() {
        let others: Vec<&String> = ids
            .iter()
            .filter(|other| *other != id && demo.value(other, "name").is_some_and(|(_, _, own)| own != name))
            .collect();
        let other = others[at * 7 % others.len()];
        let words = name[1..].to_string();
        let line = found.2.replacen(&format!("{words} {id}"), &format!("{words} {other}"), 1);
        plants.push(here(found, format!("the {name} {id} becomes {other}"), line));
    }
    for (at, (_, id, name)) in spread(named.clone(), 5, "names").into_iter().enumerate() {
        let others: Vec<&(&(String, usize, String), &String, String)> =
            named.iter().filter(|(_, other, _)| *other != id).collect();
        let (_, other, theirs) = others[at * 5 % others.len()];
        let (path, number, _) = demo.value(id, "name").expect("it has one");
        let mut files = demo.with_line(&path, number, &format!("name = \"{theirs}\""));
        let (path, number, _) = demo.value(other, "name").expect("it has one");
        let text = files.get_mut(&path).expect("a circuit");
        let lines: Vec<String> = text
            .lines()
            .enumerate()
            .map(|(at, line)| if at + 1 == number { format!("name = \"{name}\"") } else { line.to_string() })
            .collect();
        *text = lines.join("\n") + "\n";
        plants.push(Plant {
            what: format!("{path}:{number}: {id} and {other} change names"),
            files,
            at: demo.holding(&format!("{} {id}", &name[1..])),
            any: true,
            follows: None,
        });
    }
    // A size, a rating and a place, typed beside an id as the trade does, and wrong.
    let beside = |count: usize, what: &str, fact: &dyn Fn(&str) -> Option<String>, ids: Vec<String>| {
        let found: Vec<_> = ids
            .iter()
            .filter_map(|id| {
                let (found, at) = demo.mentions(id)?;
                let fact = fact(id)?;
                Some((
                    found,
                    format!("{what} of {id} is said to be{fact}"),
                    format!("{}{fact}{}", &found.2[..at], &found.2[at..]),
                ))
            })
            .collect();
        spread(found, count, what)
            .into_iter()
            .map(|(found, what, line)| here(found, what, line))
            .collect::<Vec<_>>()
    };
    let wire_ids: BTreeSet<String> = demo
        .lines
        .iter()
        .flat_map(|(_, _, line)| {
            line.split(|c: char| !c.is_alphanumeric()).map(str::to_string).collect::<Vec<_>>()
        })
        .filter(|word| {
            word.len() > 3 && word.starts_with('W') && word[1..].chars().all(|c| c.is_ascii_digit())
        })
        .collect();
    plants.extend(beside(4, "size", &|_| Some(" (3.7 mm²)".to_string()), wire_ids.into_iter().collect()));
    plants.extend(beside(
        3,
        "rating",
        &|id| {
            demo.value(id, "rating")
                .filter(|(_, _, rating)| rating.ends_with('A'))
                .map(|_| " (7.5 A)".to_string())
        },
        ids.clone(),
    ));
    let places: Vec<(String, String)> =
        ids.iter().filter_map(|id| Some((id.clone(), demo.value(id, "place")?.2))).collect();
    plants.extend(beside(
        3,
        "place",
        &|id| {
            let own = &places.iter().find(|(other, _)| other == id)?.1;
            let (_, other) = places
                .iter()
                .rev()
                .find(|(_, place)| !place.contains(own.as_str()) && !own.contains(place.as_str()))?;
            Some(format!(" ({other})"))
        },
        ids.clone(),
    ));
    // A number in a link's words.
    let linked = demo.lines.iter().filter_map(|found| {
        let (from, words) = between(&found.2, "[", "](")?;
        let digits = words.rsplit([' ', '.']).next()?;
        let number: u32 = digits.parse().ok()?;
        let (_, address) = between(&found.2, "](", ")")?;
        let section = address.contains("#t") || address.contains("#c");
        section.then(|| (found, from + words.len() - digits.len(), digits.to_string(), number))
    });
    for (found, from, digits, number) in spread(linked.collect(), 5, "links") {
        let new = (number + 1).to_string();
        plants.push(here(
            found,
            format!("a link's number: {digits} becomes {new}"),
            swapped(&found.2, from, &digits, &new),
        ));
    }
    // A blamed part.
    let blamed = demo.lines.iter().filter_map(|found| {
        let (from, blamed) = between(&found.2, "](blame:", ")")?;
        Some((found, from, blamed.to_string()))
    });
    for (at, (found, from, blamed)) in spread(blamed.collect(), 5, "blame").into_iter().enumerate() {
        let new = &ids[at * 11 % ids.len()];
        let new = if *new == blamed { "K2" } else { new };
        plants.push(here(
            found,
            format!("blamed {blamed} becomes {new}"),
            swapped(&found.2, from, &blamed, new),
        ));
    }
    plants
}

/// Fields of the demo's prose as id, word and the key of the circuit that they follow.
fn fields(demo: &Demo) -> Vec<Plant> {
    let mut plants = Vec::new();
    let mut seen = BTreeSet::new();
    for (_, _, line) in &demo.lines {
        for piece in line.split('{').skip(1) {
            let Some((field, _)) = piece.split_once('}') else { continue };
            let Some((id, key)) = field.split_once('.') else { continue };
            let Some((path, number, old)) = demo.value(id, key) else { continue };
            if !seen.insert(field.to_string()) {
                continue;
            }
            let new = match key {
                "rating" => "77 A",
                _ => "moved elsewhere",
            };
            plants.push(Plant {
                what: format!("{path}:{number}: {id}'s {key}: {old} becomes {new}"),
                files: demo.with_line(&path, number, &format!("{key} = \"{new}\"")),
                at: Vec::new(),
                any: false,
                follows: Some(new.to_string()),
            });
        }
    }
    plants
}

#[test]
fn fifty_changes_are_followed_by_a_field_or_told_at_their_place() {
    let demo = Demo::new();
    let mut plants = plants(&demo);
    plants.extend(fields(&demo));
    assert!(plants.len() >= 50, "{} changes", plants.len());
    let mut missed = Vec::new();
    for (number, plant) in plants.iter().enumerate() {
        let (book, found) = contradicted(&plant.files);
        let at: Vec<String> = plant
            .at
            .iter()
            .filter(|place| found.contains(place))
            .map(|(path, line)| format!("{path}:{line}"))
            .collect();
        let told_there = match plant.any {
            true => !at.is_empty(),
            false => at.len() == plant.at.len() && !at.is_empty(),
        };
        let followed = plant.follows.as_ref().is_some_and(|new| told(&book).contains(new));
        let answer = match (followed, told_there) {
            (true, _) => "followed by a field".to_string(),
            (false, true) => format!("told at {}", at.join(", ")),
            (false, false) => format!("MISSED: expected at {:?}", plant.at),
        };
        println!("{:2} {}\n     {answer}", number + 1, plant.what);
        if !followed && !told_there {
            missed.push(plant.what.clone());
        }
    }
    assert!(
        missed.is_empty(),
        "{} of {} changes pass in silence:\n{}",
        missed.len(),
        plants.len(),
        missed.join("\n")
    );
}

#[test]
fn books_that_are_right_contradict_nothing() {
    for path in [".", "tests/planted/blade", "tests/planted/boat"] {
        let (_, found) = contradicted(&folder(path));
        assert_eq!(found, BTreeSet::new(), "{path}");
    }
}

/// A verdict without words keeps none: its sentence is made where the page is.
#[test]
fn a_verdict_without_words_is_read() {
    let mut files = folder("tests/planted/blade");
    let page = files.get_mut("content/blade-trouble.md").expect("it is there");
    *page = page.replacen("[Replace the pump relay K1.](blame:K1)", "[](blame:K1 stuck energized)", 1);
    let (book, found) = contradicted(&files);
    assert_eq!(found, BTreeSet::new());
    let outcomes =
        book.pages.iter().flat_map(|page| &page.sections).flat_map(|section| match &section.role {
            Role::Test(test) => test.outcomes.clone(),
            _ => Vec::new(),
        });
    let unworded =
        outcomes.filter(|outcome| matches!(&outcome.to, Target::Verdict { words, .. } if words.is_empty()));
    assert_eq!(unworded.count(), 1);
}

/// The sentences are those that an author writes, in the book's language.
#[test]
fn a_verdict_without_words_gets_its_sentence_from_its_blame() {
    let unworded = [
        ("[Replace the pump relay K1.](blame:K1)", "[](blame:K1)"),
        ("[Clean G2 to bare metal and bolt it down.](blame:G2)", "[](blame:G2)"),
        ("[Repair the connector X1.](blame:X1)", "[](blame:X1)"),
        ("[Repair wire W21 (BN) between M1:2 and G2.](blame:W21)", "[](blame:W21)"),
        (
            "[Check in this order, and replace or repair the bad one: F1, M1.](<blame:F1, M1>)",
            "[](<blame:F1, M1>)",
        ),
    ];
    let english = [
        "Replace the pump relay K1.",
        "Clean G2 to bare metal and bolt it down.",
        "Clean, repair and mate the blade connector X1.",
        "Repair wire W21 (BN) between M1:2 and G2.",
        "Check in this order, and replace or repair the bad one: F1 Pump fuse, M1 Blade pump.",
    ];
    let spanish = [
        "Sustituya: pump relay K1.",
        "Limpie G2 hasta el metal y atorníllelo bien.",
        "Limpie, repare y acople: blade connector X1.",
        "Repare el cable W21 (BN) entre M1:2 y G2.",
        "Compruebe en este orden y sustituya o repare lo que esté mal: F1 Pump fuse, M1 Blade pump.",
    ];
    for (language, sentences) in [("en", english), ("es", spanish)] {
        let mut files = folder("tests/planted/blade");
        let manual = files.get_mut("content/manual.toml").expect("it is there");
        *manual = format!("language = \"{language}\"\n{manual}");
        let page = files.get_mut("content/blade-trouble.md").expect("it is there");
        for (words, none) in unworded {
            *page = page.replace(words, none);
        }
        assert!(page.contains("[](<blame:F1, M1>)"), "the edits are made");
        let judged = judge(&files);
        let outputs = judged.pages().0;
        let html = outputs.iter().find(|output| output.path == "pages/blade-trouble.html").expect("the page");
        let html = String::from_utf8(html.bytes.clone()).expect("text");
        let mut plain = String::new();
        let mut inside = false;
        for letter in html.chars() {
            match letter {
                '<' => inside = true,
                '>' => inside = false,
                _ if !inside => plain.push(letter),
                _ => {}
            }
        }
        for sentence in sentences {
            assert!(plain.contains(sentence), "{language}: {sentence}");
        }
    }
}

/// Who blames one fault of an item is held to that fault.
#[test]
fn a_verdict_of_one_fault_takes_no_other() {
    for (blame, clean) in [("K1 stuck energized", false), ("K1", true)] {
        let mut files = folder("tests/planted/blade");
        let page = files.get_mut("content/blade-trouble.md").expect("it is there");
        *page = page.replace("[Replace the pump relay K1.](blame:K1)", &format!("[](blame:{blame})"));
        let found = judge(&files);
        assert_eq!(found.of(Code::WrongVerdict).is_empty(), clean, "{blame}:\n{}", found.listing());
    }
}
