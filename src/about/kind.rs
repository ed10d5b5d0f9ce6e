//! Turns a kind's declaration into its page: an example that a reader of the book accepts, its keys, and what follows from the
//! example, its terminals, what it shows and how it fails.

use super::keys::keys;
use super::{Group, Page};
use crate::book::{Book, Item, Kind, Mode, PartId, TerminalId, catalogue, mode_word, state_words};
use crate::finding::Findings;
use crate::quantity::percent;
use crate::read::kind::{Entry, entry};
use crate::read::read;
use crate::source::Sources;

/// A small book with one part of a kind, wired up.
pub struct Example {
    pub book: Book,
    pub part: PartId,
    pub findings: Findings,
    pub sources: Sources,
}

/// The controls that examples speak of.
const CONTROLS: &str = "key = [\"off\", \"run\", \"start\"]\nengine = [\"off\", \"running\"]\ncoolant = \"20..120 degC\"\nresistor = \"20..200 degC\"\n";

/// The example of a kind as it stands on a sheet.
fn written(kind: Kind, entry: &Entry) -> String {
    let lines: String = entry.example().map(|key| format!("{}\n", key.written())).collect();
    format!("[parts.{}]\nkind = \"{}\"\n{lines}", entry.id, kind.word())
}

/// The example of a kind, read, with these lines in place of its own where there are any.
pub fn example(kind: Kind, lines: Option<&str>) -> Example {
    let entry = entry(kind);
    let own = lines.map_or_else(|| written(kind, &entry), str::to_string);
    // Its terminals are known once it is read, and its wires once these are known.
    let bare = of(entry.id, &own, "");
    let part = bare.book.part(bare.part);
    let wires: Vec<String> = (0..part.terminals.len() as u16)
        .map(TerminalId)
        .map(|terminal| {
            let end = part.terminal_name(terminal);
            let fed = part.terminals.len() == 1 || part.elements.iter().any(|element| element.a == terminal);
            let (other, color) = if fed { ("B0:+", "RD") } else { ("G0", "BN") };
            format!("[\"W{}\", \"{other}\", \"{end}\", \"{color}\", 2.5, 1]", terminal.index() + 1)
        })
        .collect();
    of(entry.id, &own, &wires.join(",\n"))
}

fn of(id: &str, own: &str, wires: &str) -> Example {
    let mut sources = Sources::default();
    sources.add("content/manual.toml", "title = \"Example\"\nvehicle = \"Example\"\nedition = \"1\"\n");
    let sheet = format!(
        "title = \"Example\"\n[controls]\n{CONTROLS}[parts.B0]\nkind = \"battery\"\nname = \"Battery\"\n[parts.G0]\nkind = \"ground\"\nname = \"Ground\"\n{own}[harness.main]\nwires = [\n{wires}\n]\n"
    );
    sources.add("circuits/example.toml", sheet);
    let (book, findings) = read(&sources, &[]);
    let part = book.parts.iter().position(|part| part.id == id).map_or(0, |at| at as u32);
    Example { book, part: PartId(part), findings, sources }
}

/// The page of a kind.
pub(super) fn page(kind: Kind) -> Page {
    let entry = entry(kind);
    let example = example(kind, None);
    let mut text =
        format!("{}\n\n```toml circuits/example.toml\n{}```\n", entry.tells, written(kind, &entry));
    if !entry.keys.is_empty() {
        text.push_str(&format!("\n## Its keys\n\n{}", keys(entry.keys)));
    }
    text.push_str("\n`name`, `place`, `only` and `fails` are keys of every part (`about parts`).\n");
    let part = example.book.part(example.part);
    let terminals: Vec<String> =
        part.terminals.iter().map(|terminal| format!("`{}`", terminal.name)).collect();
    text.push_str(&format!("\n## Terminals of the example\n\n{}.\n", terminals.join(", ")));
    if let Some(shown) = shown(&example) {
        text.push_str(&format!("\n## What it shows\n\n{shown}\n"));
    }
    text.push_str(&format!("\n## How it fails\n\nIn `fails`, and in a fault's name after its id, with the share that each has where the author gives none:\n\n{}", failures(&example)));
    let mut name = kind.name().to_string();
    name[..1].make_ascii_uppercase();
    Page { name: kind.word(), group: Group::Kind, tells: format!("{name}."), text }
}

/// The words of what a person sees or hears of it.
fn shown(example: &Example) -> Option<String> {
    let part = example.book.part(example.part);
    let mut words: Vec<&str> = Vec::new();
    if let Some((_, face)) = part.faces().next() {
        words.extend(face.words());
    } else if let Some(state) = part.states.first() {
        words.extend(state_words(state.latching));
        words.push("clicks");
    }
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    (!quoted.is_empty()).then(|| format!("{} (`about results`).", quoted.join(", ")))
}

/// The ways in which the example fails, the likely ones first.
fn failures(example: &Example) -> String {
    let book = &example.book;
    let item = Item::Part(example.part);
    let mut faults: Vec<(String, f64)> = Vec::new();
    let mut pins = 0.0;
    for fault in catalogue(book).into_iter().filter(|fault| fault.item == item) {
        let share = fault.shares[0].unwrap_or_default();
        match fault.mode {
            Mode::PinOpen(_) => pins += share,
            _ => faults.push((format!("`{}`", mode_word(book, item, &fault.name)), share)),
        }
    }
    if pins > 0.0 {
        faults.push((
            "a terminal that makes no contact, such as `".to_string()
                + &book.part(example.part).terminal_name(TerminalId(0))
                + " pin open`",
            pins,
        ));
    }
    faults.sort_by(|a, b| b.1.total_cmp(&a.1));
    faults.iter().map(|(name, share)| format!("- {name}: {}\n", percent(*share))).collect()
}
