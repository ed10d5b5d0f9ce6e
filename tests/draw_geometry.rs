//! Holds drawings to their geometry: nothing lies over anything else, and the netlist read back from the SVG is the circuit's.

use crate::vehicle::Random;
use goodground::book::*;
use goodground::draw::{Frame, Order, Owner, Puzzle, Scene, Shown, Spot, Use, View, puzzle, scenes, svg};
use goodground::source::Sources;
use std::collections::{BTreeMap, BTreeSet};

fn view(sheet: u32, build: Option<u32>) -> View {
    View { sheet: SheetId(sheet), build: build.map(BuildId) }
}

/// Five hundred circuits of 5 to 150 parts.
fn cases() -> impl Iterator<Item = (u64, Book, View)> {
    (0..500u64).map(|seed| {
        let size = 5 + (seed as usize * 29) % 146;
        let build = [None, Some(0), Some(1)][seed as usize % 3];
        (seed, crate::vehicle::vehicle(seed + 1, size), view(0, build))
    })
}

/// The book of this project's own `circuits` and `content`.
fn demo() -> Book {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut sources = Sources::default();
    for folder in ["circuits", "content"] {
        for entry in walkdir::WalkDir::new(root.join(folder)).sort_by_file_name() {
            let entry = entry.expect("the demo can be listed");
            let path = entry.path().strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
            if [".toml", ".csv", ".md"].iter().any(|end| path.ends_with(end)) {
                sources.add(path, std::fs::read_to_string(entry.path()).unwrap());
            }
        }
    }
    goodground::read::read(&sources, &[]).0
}

/// Asserts everything that holds for any drawing.
fn hold(name: &str, book: &Book, view: View) {
    let scenes = scenes(crate::vehicle::english(book), view);
    for scene in &scenes {
        let faults = overlaps(scene);
        assert!(faults.is_empty(), "{name}, sheet {}: {}", scene.number, faults.join("; "));
    }
    let faults = netlist_faults(book, view, &scenes);
    assert!(faults.is_empty(), "{name}: {}", faults.join("; "));
}

#[test]
fn generated_drawings_are_clear_and_true() {
    for (seed, book, view) in cases() {
        hold(&format!("circuit {seed}"), &book, view);
    }
}

#[test]
fn demo_drawings_are_clear_and_true_in_every_build() {
    let book = demo();
    assert!(book.sheets.len() >= 6, "the demo has its sheets");
    for (index, sheet) in book.sheets.iter().enumerate() {
        for build in std::iter::once(None).chain((0..book.builds.len() as u32).map(Some)) {
            hold(&sheet.id, &book, view(index as u32, build));
        }
    }
}

#[test]
fn the_same_circuit_gives_the_same_bytes() {
    for (_, book, view) in cases().step_by(50) {
        let text = |book: &Book| -> Vec<String> {
            scenes(crate::vehicle::english(book), view)
                .iter()
                .map(|scene| svg(crate::vehicle::english(book), scene, None, Use::Live))
                .collect()
        };
        assert_eq!(text(&book), text(&book.clone()));
    }
}

/// Annealing on its own, with its own count of crossings, many times longer than a drawing takes.
#[test]
fn crossings_are_within_a_tenth_of_a_long_search() {
    let (mut drawn, mut least, mut searched) = (0, 0, 0);
    for seed in 0..400u64 {
        let book = crate::vehicle::vehicle(seed + 1000, 8 + (seed as usize * 7) % 40);
        let puzzle = puzzle(&book, view(0, None));
        if !(4..=16).contains(&puzzle.columns.len()) || searched == 80 {
            continue;
        }
        searched += 1;
        let placed = scenes(crate::vehicle::english(&book), view(0, None));
        if let [scene] = placed.as_slice() {
            let own = count(&puzzle, &puzzle.solve());
            assert!(
                scene.crossings <= own,
                "circuit {seed}: what is drawn crosses more than what was planned"
            );
        }
        let own = count(&puzzle, &puzzle.solve());
        let best = long_search(&puzzle, seed);
        assert!(own * 10 <= best * 11, "circuit {seed}: {own} crossings, a long search finds {best}");
        drawn += own;
        least += best;
    }
    assert!(searched >= 60, "only {searched} small circuits");
    assert!(drawn * 10 <= least * 11, "{drawn} crossings in all, {least} at best");
}

fn long_search(puzzle: &Puzzle, seed: u64) -> usize {
    let mut random = Random::new(seed + 5);
    let mut best = usize::MAX;
    for _ in 0..6 {
        let mut order =
            Order { columns: (0..puzzle.columns.len()).collect(), bars: (0..puzzle.bars.len()).collect() };
        for at in (1..order.columns.len()).rev() {
            order.columns.swap(at, random.below(at + 1));
        }
        let mut own = count(puzzle, &order);
        let steps = 4000;
        for step in 0..steps {
            let warmth = 3.0 * (1.0 - f64::from(step) / f64::from(steps));
            let mut next = order.clone();
            if next.bars.len() > 1 && random.chance(30) {
                let at = random.below(next.bars.len() - 1);
                let pair = (next.bars[at], next.bars[at + 1]);
                if puzzle.above.contains(&pair) {
                    continue;
                }
                next.bars.swap(at, at + 1);
            } else {
                let column = next.columns.remove(random.below(next.columns.len()));
                next.columns.insert(random.below(next.columns.len() + 1), column);
            }
            let other = count(puzzle, &next);
            let worse = other as f64 - own as f64;
            let accept =
                worse <= 0.0 || (random.below(1_000_000) as f64 / 1e6) < (-worse / warmth.max(0.05)).exp();
            if accept {
                (order, own) = (next, other);
                best = best.min(own);
            }
        }
        best = best.min(own);
    }
    best
}

/// Crossings by the definition: a column strictly within a bar's reach, at a level that it passes, and not joined to it.
fn count(puzzle: &Puzzle, order: &Order) -> usize {
    let mut level = vec![0; puzzle.bars.len()];
    order.bars.iter().enumerate().for_each(|(at, &bar)| level[bar] = at);
    let mut place = vec![0; puzzle.columns.len()];
    order.columns.iter().enumerate().for_each(|(at, &column)| place[column] = at);
    let mut crossings = 0;
    for (bar, joined) in puzzle.bars.iter().enumerate() {
        let low = joined.iter().map(|&column| place[column]).min().unwrap_or(0);
        let high = joined.iter().map(|&column| place[column]).max().unwrap_or(0);
        for (column, extent) in puzzle.columns.iter().enumerate() {
            let within = low < place[column] && place[column] < high;
            let passes = !extent.short
                && extent.from.is_none_or(|from| level[from] < level[bar])
                && extent.to.is_none_or(|to| level[bar] < level[to]);
            crossings += usize::from(within && passes && !joined.contains(&column));
        }
    }
    crossings
}

/// Every line of the scene as a thin box, with what it is.
fn lines(scene: &Scene) -> Vec<(String, Frame)> {
    let thin = |a: Spot, b: Spot| Frame {
        left: a.x.min(b.x) - 0.4,
        top: a.y.min(b.y) - 0.4,
        right: a.x.max(b.x) + 0.4,
        bottom: a.y.max(b.y) + 0.4,
    };
    let mut lines = Vec::new();
    for run in &scene.wires {
        lines.push((format!("wire {}", run.wire.0), thin(run.top, run.bottom)));
    }
    for lead in &scene.leads {
        lines.push(("lead".to_string(), thin(lead.top, lead.bottom)));
    }
    for bar in &scene.bars {
        lines.push((format!("bar {:?}", bar.end), thin(bar.left, bar.right)));
    }
    for boundary in &scene.boundaries {
        for piece in &boundary.pieces {
            lines.push(("boundary".to_string(), thin(piece.from, piece.to)));
        }
    }
    for link in &scene.links {
        lines.push(("link".to_string(), thin(link.from, link.to)));
    }
    lines
}

/// Everything that lies over something else.
fn overlaps(scene: &Scene) -> Vec<String> {
    let mut faults = Vec::new();
    let mut fault = |a: &str, b: &str| faults.push(format!("{a} over {b}"));
    let symbols: Vec<(String, Frame)> =
        scene.symbols.iter().map(|placed| (format!("{:?}", placed.shows), placed.frame())).collect();
    for (at, label) in scene.labels.iter().enumerate() {
        for other in &scene.labels[at + 1..] {
            if label.frame.meets(&other.frame) {
                fault(&label.words, &other.words);
            }
        }
        for (name, frame) in lines(scene).iter() {
            if label.frame.meets(frame) {
                fault(&label.words, name);
            }
        }
        for ((name, frame), placed) in symbols.iter().zip(&scene.symbols) {
            // A terminal's marking stands within the box of its own symbol, beside the pin.
            let own = match (&placed.shows, label.of) {
                (Shown::Element { part, .. } | Shown::Blind { part, .. }, Owner::Part(of)) => *part == of,
                (Shown::Cavity { connector, .. }, Owner::Connector(of)) => *connector == of,
                _ => false,
            };
            let mark = label.style == goodground::draw::Style::Mark;
            if label.frame.meets(frame) && !(own && mark) {
                fault(&label.words, name);
            }
        }
        let inside = label.frame.left >= 0.0
            && label.frame.top >= 0.0
            && label.frame.right <= scene.width
            && label.frame.bottom <= scene.height;
        if !inside {
            fault(&label.words, "the edge of the drawing");
        }
    }
    for (at, (name, frame)) in symbols.iter().enumerate() {
        for (other, other_frame) in &symbols[at + 1..] {
            if frame.meets(other_frame) {
                fault(name, other);
            }
        }
        for (line, line_frame) in lines(scene) {
            // A link ends in the two contacts that it moves; a splice's dot sits on its wires.
            let free = line == "link" || matches!(scene.symbols[at].shows, Shown::Joint(_));
            let shrunk = Frame { top: frame.top + 0.5, bottom: frame.bottom - 0.5, ..*frame };
            if !free && line_frame.meets(&shrunk) {
                fault(&line, name);
            }
        }
    }
    let runs: Vec<(String, Frame)> = lines(scene);
    for (at, (name, frame)) in runs.iter().enumerate() {
        let vertical = |frame: &Frame| frame.bottom - frame.top > frame.right - frame.left;
        for (other, other_frame) in &runs[at + 1..] {
            let along = vertical(frame) == vertical(other_frame);
            let shared = frame.right.min(other_frame.right) - frame.left.max(other_frame.left) > 1.0
                || frame.bottom.min(other_frame.bottom) - frame.top.max(other_frame.top) > 1.0;
            if along && shared && frame.meets(other_frame) {
                fault(name, other);
            }
        }
    }
    faults
}

/// Groups of names that are one net.
#[derive(Default)]
struct Nets {
    of: BTreeMap<String, String>,
}

impl Nets {
    fn find(&mut self, name: &str) -> String {
        let mut at = name.to_string();
        loop {
            let next = self.of.entry(at.clone()).or_insert_with(|| at.clone()).clone();
            if next == at {
                return at;
            }
            at = next;
        }
    }

    fn join(&mut self, a: &str, b: &str) {
        let (a, b) = (self.find(a), self.find(b));
        self.of.insert(a, b);
    }

    /// The groups of the names that `keep` keeps.
    fn groups(&mut self, keep: impl Fn(&str) -> bool) -> BTreeSet<BTreeSet<String>> {
        let names: Vec<String> = self.of.keys().cloned().collect();
        let mut groups: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for name in names.into_iter().filter(|name| keep(name)) {
            let root = self.find(&name);
            groups.entry(root).or_default().insert(name);
        }
        groups.into_values().collect()
    }
}

/// What the SVG holds: read from its text alone.
#[derive(Default)]
struct Paper {
    /// Vertical lines with their wire, if they are one.
    verticals: Vec<(Option<Drawn>, [f64; 3])>,
    /// Bars: the terminal, then left, right, height.
    bars: Vec<(String, [f64; 3])>,
    dots: Vec<(f64, f64)>,
    pins: Vec<(String, f64, f64)>,
    elements: Vec<(String, String)>,
}

#[derive(Clone)]
struct Drawn {
    wire: String,
    from: String,
    to: String,
}

fn read(text: &str) -> Paper {
    let mut paper = Paper::default();
    let (mut wire, mut terminal): (Option<Drawn>, Option<String>) = (None, None);
    let number = |text: &str| text.parse::<f64>().expect("a number in the drawing");
    for event in svg::read(text).expect("the drawing parses as SVG") {
        let svg::parser::Event::Tag(_, kind, attributes) = event else {
            continue;
        };
        if kind == svg::node::element::tag::Type::End {
            continue;
        }
        let get = |name: &str| attributes.get(name).map(|value| value.to_string());
        let class = get("class").unwrap_or_default();
        let first = class.split(' ').next().unwrap_or_default();
        match first {
            "wire" => {
                wire = Some(Drawn {
                    wire: get("data-wire").unwrap(),
                    from: get("data-from").unwrap(),
                    to: get("data-to").unwrap(),
                });
            }
            "node" => terminal = get("data-terminal"),
            "run" | "lead" => {
                let data = get("d").unwrap();
                let parts: Vec<f64> = data[1..].split([' ', 'V']).map(number).collect();
                let of = (first == "run").then(|| wire.clone().unwrap());
                paper.verticals.push((of, [parts[0], parts[1], parts[2]]));
            }
            "bar" => {
                let data = get("d").unwrap();
                let line = data[1..].split('M').next().unwrap();
                let parts: Vec<f64> = line.split([' ', 'H']).map(number).collect();
                paper.bars.push((terminal.clone().unwrap(), [parts[0], parts[2], parts[1]]));
            }
            "dot" => paper.dots.push((number(&get("cx").unwrap()), number(&get("cy").unwrap()))),
            "symbol" => {
                for pin in get("data-pins").unwrap().split("; ").filter(|pin| !pin.is_empty()) {
                    let mut words = pin.rsplitn(3, ' ');
                    let (y, x) = (words.next().unwrap(), words.next().unwrap());
                    paper.pins.push((words.next().unwrap().to_string(), number(x), number(y)));
                }
                if let (Some(part), Some(element)) = (get("data-part"), get("data-element")) {
                    paper.elements.push((part, element));
                }
            }
            _ => {}
        }
    }
    paper
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.2
}

/// What the drawings' own netlist has otherwise than the circuit.
fn netlist_faults(book: &Book, view: View, scenes: &[Scene]) -> Vec<String> {
    let mut faults = Vec::new();
    let mut nets = Nets::default();
    let mut wires: BTreeMap<String, usize> = BTreeMap::new();
    let mut elements: BTreeMap<(String, String), usize> = BTreeMap::new();
    for scene in scenes {
        let paper = read(&svg(crate::vehicle::english(book), scene, None, Use::Live));
        for element in &paper.elements {
            *elements.entry(element.clone()).or_default() += 1;
        }
        for (name, ..) in &paper.pins {
            nets.find(name);
        }
        for (line, (of, [x, top, bottom])) in paper.verticals.iter().enumerate() {
            // A line is a net of its own until its ends meet something.
            let own = format!("line {} {line}", scene.number);
            for (y, name) in
                [(top, of.as_ref().map(|run| &run.from)), (bottom, of.as_ref().map(|run| &run.to))]
            {
                let mut met: Vec<String> = Vec::new();
                for (pin, px, py) in &paper.pins {
                    if near(*px, *x) && near(*py, *y) {
                        met.push(pin.clone());
                    }
                }
                for (bar, [left, right, height]) in &paper.bars {
                    let on = near(*height, *y) && left - 0.2 <= *x && *x <= right + 0.2;
                    if on && paper.dots.iter().any(|&(dx, dy)| near(dx, *x) && near(dy, *y)) {
                        met.push(bar.clone());
                    }
                }
                if met.is_empty() {
                    faults.push(format!("a line ends in nothing at {x} {y}"));
                }
                if let Some(name) = name
                    && !met.contains(name)
                {
                    faults.push(format!("a wire to {name} ends at {met:?}"));
                }
                met.iter().for_each(|met| nets.join(&own, met));
            }
            if let Some(run) = of {
                *wires.entry(run.wire.clone()).or_default() += 1;
            }
        }
        // Pins that touch a bar or one another without a line between.
        for (at, (pin, x, y)) in paper.pins.iter().enumerate() {
            for (other, ox, oy) in &paper.pins[at + 1..] {
                if near(*x, *ox) && near(*y, *oy) {
                    nets.join(pin, other);
                }
            }
        }
    }
    let mut circuit = Nets::default();
    let fits = |fitted: &[bool]| match view.build {
        Some(build) => fitted[build.index()],
        None => fitted.contains(&true),
    };
    let end_name = |end: End| match end {
        End::Terminal { .. } => book.end_name(end),
        End::Cavity { side, .. } => format!("{}/{side}", book.end_name(end)),
    };
    for wire in &book.wires {
        if wire.sheet == view.sheet && fits(&wire.fitted) {
            circuit.join(&end_name(wire.ends[0]), &end_name(wire.ends[1]));
            if wires.remove(&wire.id) != Some(1) {
                faults.push(format!("wire {} is not drawn once", wire.id));
            }
        }
    }
    wires.keys().for_each(|wire| faults.push(format!("wire {wire} should not be drawn")));
    for part in book.parts.iter().filter(|part| part.sheet == view.sheet && fits(&part.fitted)) {
        for element in &part.elements {
            // A coil's suppression is part of its symbol, and an alternator is one symbol whatever is inside.
            let beside = part.elements.iter().any(|coil| {
                matches!(coil.action, Action::Coil { .. })
                    && coil.name != element.name
                    && [coil.a, coil.b].contains(&element.a)
                    && [coil.a, coil.b].contains(&element.b)
            });
            let suppression = beside && !matches!(element.action, Action::Coil { .. });
            let inside = part.kind == Kind::Alternator && element.name != part.elements[0].name;
            let drawn = elements.get(&(part.id.clone(), element.name.clone())).copied();
            if !suppression && !inside && drawn != Some(1) {
                faults.push(format!("{} {} is drawn {drawn:?} times", part.id, element.name));
            }
        }
    }
    let known: BTreeSet<String> = circuit.of.keys().cloned().collect();
    let drawn_names: BTreeSet<String> = nets.of.keys().cloned().collect();
    for name in known.difference(&drawn_names) {
        faults.push(format!("{name} is not in the drawing"));
    }
    let keep = |name: &str| known.contains(name);
    let (wanted, found) = (circuit.groups(keep), nets.groups(keep));
    for group in wanted.symmetric_difference(&found) {
        faults.push(format!("net {group:?} is only in one of circuit and drawing"));
    }
    faults
}
