//! Turns states, paths and gaps of the vehicle into the words of a hint.

use crate::book::{Action, Book, BuildId, ControlId, Item, Kind, PartId, Setting, Subject, state_words};
use crate::finding::{About, Finding};
use crate::proof::{Carrier, Corner, Driver, Hop, Stands, Stop, Trouble, Upset, Why};
use crate::quantity::{Dimension, Unit, number, print};

/// What a subject is called: `H9`, `H1.low`, `test light`.
pub fn subject(book: &Book, subject: Subject) -> String {
    match subject {
        Subject::Instrument(instrument) => format!("the {}", instrument.word()),
        _ => book.step_line().subject(subject),
    }
}

/// Where a statement was judged: the build, the supply and which working bands stood high.
pub fn state(book: &Book, build: BuildId, corner: &Corner) -> String {
    let mut words = Vec::new();
    if !book.options.is_empty() {
        words.push(format!("with {}", book.build_name(build)));
    }
    words.push(format!("at a supply of {}", print(corner.supply, Unit::base(Dimension::Potential))));
    for (band, high) in book.bands.iter().zip(&corner.high) {
        if *high {
            let control = book.control(band.control);
            let at = control.print(Setting::Level(band.threshold.high));
            words.push(format!("{} operating at {at}", book.part(band.part).id));
        }
    }
    if corner.slow {
        words.push("timers at their longest".to_string());
    }
    words.join(", ")
}

/// Settings of controls in the words of a step: `key run, door open`.
pub fn settings(book: &Book, settings: &[(ControlId, Setting)]) -> String {
    let moved: Vec<String> = settings
        .iter()
        .filter(|(control, to)| book.control(*control).rest() != *to)
        .map(|(control, to)| book.step_line().setting(*control, *to))
        .collect();
    if moved.is_empty() { "everything at rest".to_string() } else { moved.join(", ") }
}

/// Why something works or doesn't: the path with its current, or what stops it.
pub fn why(book: &Book, why: &Why) -> String {
    let (feed, within, ground) = match why {
        Why::Path(hops) => {
            let (amps, way) = path(book, hops);
            return format!("current flows ({amps}): {way}");
        }
        Why::Gap { feed, within, ground } => (feed, within, ground),
    };
    let mut told = side(book, feed, "on the feed side", "nothing feeds");
    match within {
        Some(Stop::Blocks(own)) => told.push(format!(
            "{} blocks: it is fed the wrong way round",
            list(book, [*own].into_iter()).join("")
        )),
        Some(Stop::Open(own)) => {
            told.push(format!("{} itself is open", list(book, [*own].into_iter()).join("")))
        }
        _ => {}
    }
    told.extend(side(book, ground, "on the ground side", "nothing leads to ground from"));
    match told.is_empty() {
        true => "no current flows: nothing is open, and both its ends have the same voltage".to_string(),
        false => format!("no current flows: {}", told.join(", ")),
    }
}

/// A current in amperes, and its way.
fn path(book: &Book, hops: &[Hop]) -> (String, String) {
    let amps = hops.iter().map(|hop| hop.amps).fold(f64::INFINITY, f64::min);
    let mut names = list(book, hops.iter().map(|hop| hop.carrier));
    if let Some(Hop { carrier: Carrier::ShortToGround(_), .. }) = hops.last() {
        names.push("ground".to_string());
    }
    (print(amps, Unit::base(Dimension::Current)), names.join(" > "))
}

/// What stops a current on one side.
fn side(book: &Book, stops: &[Stop], side: &str, no_way: &str) -> Vec<String> {
    let of = |which: fn(&Stop) -> Option<Carrier>| list(book, stops.iter().filter_map(which));
    let open = of(|stop| if let Stop::Open(carrier) = stop { Some(*carrier) } else { None });
    let blocks = of(|stop| if let Stop::Blocks(carrier) = stop { Some(*carrier) } else { None });
    let mut told = Vec::new();
    if !open.is_empty() {
        told.push(format!("open {side} at {}", open.join(", ")));
    }
    told.extend(blocks.iter().map(|diode| format!("{diode} blocks {side}")));
    told.extend(stops.iter().filter_map(|stop| match stop {
        Stop::NoWay { part, terminal } => {
            Some(format!("{no_way} {}", book.part(*part).terminal_name(*terminal)))
        }
        _ => None,
    }));
    told
}

/// Adds to a finding why something works or doesn't, where that is known.
pub fn reason(book: &Book, finding: Finding, reason: Option<&Why>) -> Finding {
    match reason {
        Some(reason) => finding.remark(About::Why, why(book, reason)),
        None => finding,
    }
}

/// Adds to a finding what its reason depends on, and why that stands as it does.
pub fn drivers(book: &Book, finding: Finding, drivers: &[Driver]) -> Finding {
    drivers.iter().fold(finding, |finding, each| finding.remark(About::Why, driver(book, each)))
}

/// A relay or a fuse that a reason depends on: `K4 is energized: current flows ...`.
pub fn driver(book: &Book, driver: &Driver) -> String {
    let part = book.part(driver.part);
    let words = state_words(part.kind == Kind::LatchingRelay);
    match (driver.stands, &driver.why) {
        (Stands::Blown, Why::Path(hops)) => {
            let (amps, way) = path(book, hops);
            format!("{} has opened: {amps} flowed: {way}", part.id)
        }
        (stands, reason) => {
            let word = words[usize::from(stands == Stands::Energized)];
            format!("{} is {word}: {}", part.id, why(book, reason))
        }
    }
}

/// The conductors by name, each once, without the joints that belong to a part.
fn list(book: &Book, carriers: impl Iterator<Item = Carrier>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for carrier in carriers {
        let name = match carrier {
            Carrier::Element { part, element } => element_name(book, part, element),
            Carrier::Wire { wire, .. } | Carrier::ShortToGround(wire) => book.wire(wire).id.clone(),
            Carrier::Cavity { connector, cavity } => {
                let connector = book.connector(connector);
                format!("{}:{}", connector.id, connector.cavities[cavity as usize])
            }
            Carrier::Pin { part, terminal } => book.part(part).terminal_name(terminal),
            Carrier::Bond(part) => book.part(part).id.clone(),
        };
        let repeats =
            names.last().is_some_and(|last| *last == name || starts(last, &name) || starts(&name, last));
        if !repeats {
            names.push(name);
        }
    }
    names
}

/// Whether a joint's name belongs to the part named beside it.
fn starts(joint: &str, part: &str) -> bool {
    let id = part.split([' ', '.']).next().unwrap_or(part);
    joint.strip_prefix(id).is_some_and(|rest| rest.starts_with(':'))
}

/// An element: the part alone when it has one conductor, else with the element's name.
pub fn element_name(book: &Book, part: PartId, element: usize) -> String {
    let data = book.part(part);
    if data.elements.len() == 1 {
        return data.id.clone();
    }
    match &data.elements[element].action {
        Action::Load { .. } | Action::Filament { .. } if data.faces().count() == 1 => data.id.clone(),
        _ => format!("{} {}", data.id, data.elements[element].name),
    }
}

/// An item with what it is: `K4 (lift enable relay)`.
pub fn item(book: &Book, item: Item) -> String {
    let id = book.item_name(item);
    match item {
        Item::Part(part) => format!("{id} ({})", book.part(part).name),
        Item::Wire(_) | Item::Connector(_) => id.to_string(),
    }
}

/// A vehicle that does not come to rest or has no solution.
pub fn upset(book: &Book, upset: &Upset) -> String {
    match upset {
        Upset::Chatter(parts) => {
            let names: Vec<&str> = parts.iter().map(|part| book.part(*part).id.as_str()).collect();
            format!("the vehicle does not come to rest: {} switch for ever", names.join(", "))
        }
        Upset::Race(parts) => {
            let names: Vec<&str> = parts.iter().map(|part| book.part(*part).id.as_str()).collect();
            format!("it depends on which is faster where the vehicle comes to rest: {}", names.join(", "))
        }
        Upset::Trouble(trouble) => format!("this state has no operating point: {}", unsolvable(trouble)),
    }
}

fn unsolvable(trouble: &Trouble) -> String {
    match trouble {
        Trouble::Contradictory { amps: fight, .. } => {
            format!("sources fight each other with {}", amps(*fight))
        }
        Trouble::NoConvergence { iterations } => format!("none found in {iterations} tries"),
        Trouble::Residual { .. } => "the currents do not balance".to_string(),
        Trouble::Singular { .. } => "its resistances are too far apart to reckon with".to_string(),
    }
}

/// Up to five names, and how many more.
pub fn some(names: &[String]) -> String {
    const SHOWN: usize = 5;
    if names.len() <= SHOWN {
        return names.join(", ");
    }
    format!("{} and {} more", names[..SHOWN].join(", "), names.len() - SHOWN)
}

/// An electrical measure with its unit.
pub fn amps(value: f64) -> String {
    if value.is_infinite() { "far too much".to_string() } else { format!("{} A", number(value)) }
}
