//! Turns states, paths and gaps of the vehicle into the words of a hint.

use crate::book::{Action, Book, BuildId, ControlId, Item, Kind, PartId, Setting, Subject, state_words};
use crate::finding::{About, Finding};
use crate::proof::{Carrier, Corner, Driver, Trouble, Upset, Why};
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

/// Why something works or doesn't: the path with its current, or the open places.
pub fn why(book: &Book, why: &Why) -> String {
    match why {
        Why::Path(hops) => {
            let amps = hops.iter().map(|hop| hop.amps).fold(f64::INFINITY, f64::min);
            let names = list(book, hops.iter().map(|hop| hop.carrier));
            format!("current flows ({}): {}", print(amps, Unit::base(Dimension::Current)), names.join(" > "))
        }
        Why::Gap { feed, ground } => {
            let side = |gaps: &[Carrier]| list(book, gaps.iter().copied()).join(", ");
            match (feed.is_empty(), ground.is_empty()) {
                (true, true) => "no current flows, though no place on the way is open".to_string(),
                (false, true) => format!("no current flows: open on the feed side at {}", side(feed)),
                (true, false) => format!("no current flows: open on the ground side at {}", side(ground)),
                (false, false) => format!(
                    "no current flows: open on the feed side at {}, on the ground side at {}",
                    side(feed),
                    side(ground)
                ),
            }
        }
    }
}

/// Adds to a finding why something works or doesn't, where that is known.
pub fn reason(book: &Book, finding: Finding, reason: Option<&Why>) -> Finding {
    match reason {
        Some(reason) => finding.remark(About::Why, why(book, reason)),
        None => finding,
    }
}

/// Adds to a finding why each relay is in or out that its reason depends on.
pub fn drivers(book: &Book, finding: Finding, drivers: &[Driver]) -> Finding {
    drivers.iter().fold(finding, |finding, driver| {
        let part = book.part(driver.part);
        let state = state_words(part.kind == Kind::LatchingRelay)[driver.energized as usize];
        finding.remark(About::Why, format!("{} is {state}: {}", part.id, why(book, &driver.why)))
    })
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
