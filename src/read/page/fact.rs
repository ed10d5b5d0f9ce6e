//! Turns what a sentence tells of a part or wire beside its id into findings, where the circuit has it otherwise.
//!
//! Only what stands directly beside an id is held: `the start relay K2`, `W120 (BU/YE) between X2:1 and X4:1`, `the 10 A
//! fuse F7`, `G7, behind the glove box`. Whatever might be said of something else is left alone.

use super::field::fill;
use super::told::Told;
use crate::book::{Book, COLORS, Color, Ids, Item, Kind};
use crate::finding::{Code, Finding};
use crate::quantity::{Amount, Dimension};
use crate::read::index::Index;
use crate::read::leaves_out;
use crate::read::log::{Log, list};
use crate::source::Placed;
use std::collections::BTreeMap;
use std::ops::Range;

/// What sentences are held against.
pub struct Facts<'a> {
    pub book: &'a Book,
    pub log: &'a Log<'a>,
    pub names: Ids<'a>,
    index: &'a Index,
    /// Items by what they are called, in lower case.
    called: BTreeMap<String, Vec<Item>>,
    /// Items by their place, in lower case.
    placed: BTreeMap<String, Vec<Item>>,
    /// The circuits were read whole: what the book lacks contradicts nothing.
    pub whole: bool,
    /// The nouns below are those of one language.
    pub english: bool,
}

/// Words that name a kind of part, with the kinds that may be called so.
const NOUNS: &[(&str, &[Kind])] = &[
    ("relay", &[Kind::Relay, Kind::LatchingRelay, Kind::Contactor, Kind::Timer, Kind::Flasher]),
    ("contactor", &[Kind::Contactor]),
    ("solenoid", &[Kind::Solenoid, Kind::Valve]),
    ("valve", &[Kind::Valve]),
    ("fuse", &[Kind::Fuse, Kind::FusibleLink]),
    ("link", &[Kind::FusibleLink]),
    ("breaker", &[Kind::Breaker]),
    ("switch", &[Kind::Switch, Kind::Solenoid]),
    ("button", &[Kind::Switch]),
    ("lamp", &[Kind::Lamp, Kind::Led]),
    ("motor", &[Kind::Motor, Kind::Starter]),
    ("starter", &[Kind::Starter]),
    ("buzzer", &[Kind::Buzzer]),
    ("horn", &[Kind::Horn]),
    ("heater", &[Kind::Heater]),
    ("resistor", &[Kind::Resistor, Kind::SteppedResistor]),
    ("diode", &[Kind::Diode, Kind::Zener, Kind::Led]),
    ("thermistor", &[Kind::Thermistor]),
    ("sender", &[Kind::Sender]),
    ("gauge", &[Kind::Gauge]),
    ("flasher", &[Kind::Flasher]),
    ("timer", &[Kind::Timer]),
    ("capacitor", &[Kind::Capacitor]),
    ("splice", &[Kind::Splice]),
    ("alternator", &[Kind::Alternator]),
    ("connector", &[]),
    ("wire", &[]),
    ("cable", &[]),
];

/// Words for a wire.
pub const WIRES: &[&str] = &["wire", "cable", "lead", "braid", "strap"];

/// Words that may stand between an id and its place.
const FILLERS: &[&str] = &["is", "are", "sits", "stands", "lies", "bolted", "at", "in", "on", "to", "the"];

/// Where a phrase ends.
const STOPS: &[char] = &[',', ';', ':', '(', ')', '!', '?', '"', '`', '–', '—', '{', '}'];

/// Words of a name that are looked for at most.
const WORDS: usize = 7;

/// The kinds that a noun names, whatever its number; none for a word that names no kind.
pub fn noun(word: &str) -> Option<(&'static str, &'static [Kind])> {
    let singular = word.strip_suffix('s').unwrap_or(word);
    let found = NOUNS.iter().find(|(noun, _)| *noun == word || *noun == singular);
    found.or_else(|| NOUNS.iter().find(|(noun, _)| word.strip_suffix("es") == Some(noun))).copied()
}

/// An id in a text.
struct Mention {
    item: Item,
    /// The bytes of the id, and of its pin as well.
    id: Range<usize>,
    end: usize,
    pin: Option<String>,
}

impl<'a> Facts<'a> {
    /// The names and places of a book.
    pub fn of(book: &'a Book, index: &'a Index, log: &'a Log<'a>) -> Facts<'a> {
        let names = Ids::of(book);
        let mut called: BTreeMap<String, Vec<Item>> = BTreeMap::new();
        let mut placed: BTreeMap<String, Vec<Item>> = BTreeMap::new();
        for item in names.ids().filter_map(|id| names.find(id)) {
            if let Some((name, place)) = title(book, item) {
                if name != book.item_name(item) {
                    called.entry(name.to_lowercase()).or_default().push(item);
                }
                if let Some(place) = place {
                    placed.entry(place.to_lowercase()).or_default().push(item);
                }
            }
        }
        let english = book.manual.language.starts_with("en");
        let whole = !log.codes_since(0).into_iter().any(leaves_out);
        Facts { book, log, names, index, called, placed, whole, english }
    }

    /// A text of a page with its fields filled in, and what is wrong with them.
    pub fn fill(&self, text: &Placed<&str>) -> (Told, Vec<Finding>) {
        let before = &self.log.text(text.span.file)[..text.span.start as usize];
        let (told, findings) = fill(text, before.ends_with('\\'), self.book, &self.names);
        (told, if self.whole { findings } else { Vec::new() })
    }

    /// What an item is called in lower case; a wire has no name.
    pub fn name(&self, item: Item) -> String {
        title(self.book, item).map_or(String::new(), |(name, _)| name.to_lowercase())
    }

    /// Whether a noun may stand for an item.
    pub fn fits(&self, word: &str, item: Item) -> bool {
        let singular = word.strip_suffix('s').unwrap_or(word);
        match item {
            Item::Wire(_) => WIRES.contains(&singular) || singular == "feed",
            Item::Connector(_) => {
                matches!(singular, "connector" | "plug") || self.name(item).ends_with(singular)
            }
            Item::Part(part) => {
                let kind = self.book.part(part).kind;
                noun(word).is_some_and(|(_, kinds)| kinds.contains(&kind))
                    || self.name(item).ends_with(singular)
            }
        }
    }

    fn report(&self, told: &Told, bytes: Range<usize>, headline: String) {
        let finding = Finding::new(Code::ContradictedFact, told.span(bytes), headline);
        self.log.push(finding);
    }

    /// Holds a block of text against the book.
    pub fn check(&self, told: &Told) {
        if !self.whole {
            return;
        }
        for mention in self.mentions(&told.text) {
            // A field that could not be filled has its finding.
            if told.text[..mention.id.start].ends_with('{') {
                continue;
            }
            self.pin(told, &mention);
            self.before(told, &mention);
            self.after(told, &mention);
        }
    }

    /// The ids of a text with their pins.
    fn mentions(&self, text: &str) -> Vec<Mention> {
        let mut found = Vec::new();
        let mut at = 0;
        for (piece, item) in self.names.split(text) {
            if let Some(item) = item {
                let id = at..at + piece.len();
                let pin = text[id.end..].strip_prefix(':').map(|rest| {
                    let end = rest.find(|c: char| !(c.is_alphanumeric() || matches!(c, '+' | '-')));
                    rest[..end.unwrap_or(rest.len())].to_string()
                });
                let pin = pin.filter(|pin| !pin.is_empty());
                let end = id.end + pin.as_ref().map_or(0, |pin| pin.len() + 1);
                found.push(Mention { item, id, end, pin });
            }
            at += piece.len();
        }
        found
    }

    /// Whether the pins of an item are all known, so that another one is wrong.
    fn has_pins(&self, item: Item) -> bool {
        match item {
            Item::Wire(_) => false,
            Item::Connector(_) => true,
            Item::Part(part) => {
                let joint = matches!(self.book.part(part).kind, Kind::Splice | Kind::Ground);
                !joint && !self.index.unsure_terminals.contains(&part)
            }
        }
    }

    fn pin(&self, told: &Told, mention: &Mention) {
        if let Some(pin) = &mention.pin {
            let pair = pin.len() > 1 && pin.contains('-');
            if !pair {
                self.known_pin(told, mention.item, pin, mention.id.end + 1..mention.end);
            }
        }
    }

    fn known_pin(&self, told: &Told, item: Item, pin: &str, bytes: Range<usize>) {
        let pins = self.book.pins(item);
        if self.has_pins(item) && !pins.contains(&pin) {
            let id = self.book.item_name(item);
            let what = if matches!(item, Item::Connector(_)) { "cavity" } else { "terminal" };
            let span = told.span(bytes);
            let finding = Finding::new(Code::ContradictedFact, span, format!("`{id}` has no {what} `{pin}`"));
            self.log.push(finding.hint(format!("it has {}", list(&pins))));
        }
    }

    /// What stands before an id: `the 2.5 mm2 BK wire W31`, `the start relay K2`, `terminal 86 of K4`.
    fn before(&self, told: &Told, mention: &Mention) {
        let text = &told.text[..mention.id.start];
        if !text.ends_with([' ', '\n']) {
            return;
        }
        let from = phrase_start(text);
        let words = words(text, from);
        if words.is_empty() {
            return;
        }
        let lower: Vec<String> = words.iter().map(|(_, word)| word.to_lowercase()).collect();
        let bytes = |range: Range<usize>| {
            let (last, word) = words[range.end - 1];
            words[range.start].0..last + word.len()
        };
        let own = self.name(mention.item);
        self.pin_before(told, mention, &words, &lower);
        // Figures and colors stand before the noun.
        let mut end = words.len();
        let noun_word = |word: &str| match mention.item {
            Item::Wire(_) => WIRES.contains(&word),
            _ => {
                own.split([' ', '-']).any(|own| own == word)
                    || own.split(' ').any(|own| own == word)
                    || noun(word).is_some()
            }
        };
        while end > 0 && noun_word(&lower[end - 1]) {
            end -= 1;
        }
        while end > 0 {
            let two = (end >= 2).then(|| format!("{} {}", words[end - 2].1, words[end - 1].1));
            let taken = match two.as_deref().and_then(quantity) {
                Some(amount) => {
                    self.amount(told, mention.item, amount, bytes(end - 2..end));
                    2
                }
                None => match self.color_or_amount(
                    told,
                    mention.item,
                    words[end - 1].1,
                    bytes(end - 1..end),
                    end < words.len(),
                ) {
                    true => 1,
                    false => break,
                },
            };
            end -= taken;
        }
        if matches!(mention.item, Item::Wire(_)) {
            return;
        }
        // A name, the longest one that the words end with.
        for count in (1..=words.len().min(WORDS)).rev() {
            let name = lower[words.len() - count..].join(" ");
            if let Some(others) = self.called.get(&name) {
                if !others.contains(&mention.item) && !ends_with_words(&own, &name) {
                    self.misnamed(
                        told,
                        mention.item,
                        &name,
                        others[0],
                        bytes(words.len() - count..words.len()),
                    );
                }
                return;
            }
            if ends_with_words(&own, &name) {
                return;
            }
        }
        let last = lower[lower.len() - 1].as_str();
        let wire = WIRES.contains(&last) && mention.pin.is_some();
        if let Some((noun, _)) = noun(last).filter(|_| self.english && !wire)
            && !self.fits(last, mention.item)
            && !own.contains(noun)
        {
            let id = self.book.item_name(mention.item);
            let headline = format!("`{id}` is the {own}, no {noun}");
            self.report(told, bytes(words.len() - 1..words.len()), headline);
        }
    }

    fn misnamed(&self, told: &Told, item: Item, name: &str, other: Item, bytes: Range<usize>) {
        let id = self.book.item_name(item);
        let own = self.name(item);
        let finding = Finding::new(
            Code::ContradictedFact,
            told.span(bytes),
            format!("`{id}` is the {own}, not the {name}"),
        );
        self.log.push(finding.hint(format!("the {name} is `{}`", self.book.item_name(other))));
    }

    /// `terminal 86 of the lift enable relay K3`, `terminals 30 and 87 of K3`.
    fn pin_before(&self, told: &Told, mention: &Mention, words: &[(usize, &str)], lower: &[String]) {
        let is_pin = |word: &String| {
            matches!(word.as_str(), "terminal" | "terminals" | "cavity" | "cavities" | "pin" | "pins")
        };
        let Some(at) = lower.iter().rposition(is_pin) else { return };
        let Some(of) = lower[at..].iter().position(|word| word == "of") else { return };
        let name = self.name(mention.item);
        let between = &lower[at + of + 1..];
        let named = between
            .iter()
            .all(|word| word == "the" || name.split(' ').any(|own| own == word) || noun(word).is_some());
        if !named || mention.pin.is_some() {
            return;
        }
        for (start, word) in &words[at + 1..at + of] {
            if !matches!(*word, "and" | "or") {
                self.known_pin(told, mention.item, word, *start..start + word.len());
            }
        }
    }

    /// What stands after an id: brackets, ends of a wire, a name, a place.
    fn after(&self, told: &Told, mention: &Mention) {
        let text = &told.text;
        let mut at = mention.end;
        let space = text[at..].len() - text[at..].trim_start().len();
        if text[at + space..].starts_with('(')
            && let Some(length) = text[at..].find(')')
        {
            let inside = at + space + 1..at + length;
            let whole = &text[inside.clone()];
            // A place may hold commas: it is looked for in the brackets as a whole first.
            let placed = self.place(told, mention, whole, inside.clone());
            let mut start = inside.start;
            for piece in whole.split([',', ';']).filter(|_| !placed) {
                let trimmed = piece.trim();
                let from = start + (piece.len() - piece.trim_start().len());
                let bytes = from..from + trimmed.len();
                match quantity(trimmed) {
                    Some(amount) => self.amount(told, mention.item, amount, bytes),
                    None if self.color_or_amount(told, mention.item, trimmed, bytes.clone(), false) => {}
                    None => {
                        self.called_after(told, mention, trimmed, bytes.clone());
                        self.place(told, mention, trimmed, bytes);
                    }
                }
                start += piece.len() + 1;
            }
            at = inside.end + 1;
        } else if text[at..].starts_with(' ') {
            let word = text[at + 1..].split([' ', ',', '.', ';', ':', ')']).next().unwrap_or_default();
            if word.len() > 1 {
                self.color_or_amount(told, mention.item, word, at + 1..at + 1 + word.len(), false);
            }
        }
        if let Item::Wire(_) = mention.item {
            return self.ends(told, mention, at);
        }
        let rest = text[at..].strip_prefix(',').unwrap_or(&text[at..]);
        let mut start = text.len() - rest.len() + (rest.len() - rest.trim_start().len());
        let comma = text[at..].starts_with(',');
        let stop = |from: usize| {
            let length = text[from..].find(['.', ';', ':', '(', ')', '!', '?', '`']);
            length.map_or(text.len(), |length| from + length)
        };
        if comma && text[start..].starts_with("the ") {
            let length = text[start..].find([',', '.', ';', ')']).unwrap_or(text.len() - start);
            self.called_after(told, mention, &text[start..start + length], start..start + length);
        }
        if let Some(word) = text[start..].split_whitespace().next().filter(|_| !comma)
            && matches!(word, "terminal" | "cavity")
            && mention.pin.is_none()
        {
            let from = start + word.len() + 1;
            let pin = text.get(from..).and_then(|rest| rest.split([' ', ',', '.', ';', ':', ')']).next());
            if let Some(pin) = pin.filter(|pin| !pin.is_empty()) {
                self.known_pin(told, mention.item, pin, from..from + pin.len());
            }
        }
        for _ in 0..4 {
            let end = stop(start);
            if start > mention.end
                && start < end
                && self.place(told, mention, text[start..end].trim_end(), start..end)
            {
                return;
            }
            let word = text[start..end].split(' ').next().unwrap_or_default();
            if !FILLERS.contains(&word) {
                return;
            }
            start += word.len();
            start += text[start..].len() - text[start..].trim_start().len();
        }
    }

    fn called_after(&self, told: &Told, mention: &Mention, words: &str, bytes: Range<usize>) {
        let lower = words.to_lowercase();
        let name = lower.strip_prefix("the ").unwrap_or(&lower);
        let own = self.name(mention.item);
        if let Some(others) = self.called.get(name)
            && !matches!(mention.item, Item::Wire(_))
            && !others.contains(&mention.item)
            && !ends_with_words(&own, name)
        {
            self.misnamed(told, mention.item, name, others[0], bytes);
        }
    }

    /// Whether the text begins with a place of the book; one that is another item's only is a contradiction.
    fn place(&self, told: &Told, mention: &Mention, text: &str, bytes: Range<usize>) -> bool {
        let Some((_, own)) = title(self.book, mention.item) else { return false };
        let lower = text.to_lowercase();
        if lower.len() != text.len() {
            return false;
        }
        let mut end = lower.len();
        loop {
            let candidate = lower[..end].trim_end_matches([' ', ',']);
            if let Some(others) = self.placed.get(candidate) {
                let own_place = own.unwrap_or_default().to_lowercase();
                let own_too = others.contains(&mention.item)
                    || own_place.contains(candidate)
                    || candidate.contains(&own_place);
                if !own_too {
                    let id = self.book.item_name(mention.item);
                    let span = told.span(bytes.start..bytes.start + candidate.len());
                    let headline = format!("`{id}` is not at \"{candidate}\"");
                    let finding = Finding::new(Code::ContradictedFact, span, headline);
                    self.log.push(
                        finding
                            .hint(format!("its place is \"{own_place}\"; `{{{id}.place}}` always says it")),
                    );
                }
                return true;
            }
            match lower[..end].trim_end().rfind(' ') {
                Some(space) => end = space,
                None => return false,
            }
        }
    }

    /// `between X2:1 and X4:1`, `from S1:2 to SP4` after a wire.
    fn ends(&self, told: &Told, mention: &Mention, at: usize) {
        let Item::Wire(wire) = mention.item else { return };
        let text = &told.text;
        let rest = text[at..].trim_start_matches([' ', ',']);
        let from = text.len() - rest.len();
        let pair = [("between ", " and "), ("from ", " to ")];
        let Some((open, middle)) = pair.iter().find(|(open, _)| rest.starts_with(open)) else { return };
        let stop = rest.find(['.', ';', '(', ',']).unwrap_or(rest.len());
        let Some(cut) = rest[..stop].find(middle) else { return };
        let first = self.mentions(&rest[open.len()..cut]).into_iter().next();
        let second_from = cut + middle.len();
        let second = self.mentions(&rest[second_from..stop]).into_iter().next();
        let (Some(first), Some(second)) = (first, second) else { return };
        // The second end must be named at once: `between K4:86 and the lamp beside X4` names no second one.
        let gap = rest[second_from..second_from + second.id.start].split_whitespace().count();
        if gap > WORDS {
            return;
        }
        let stated = [&first, &second];
        let wire = self.book.wire(wire);
        let actual = wire.ends.map(|end| self.book.end_name(end));
        let same = |stated: &Mention, actual: &String| {
            let id = self.book.item_name(stated.item);
            match &stated.pin {
                Some(pin) if self.has_pins(stated.item) && actual.contains(':') => {
                    *actual == format!("{id}:{pin}")
                }
                _ => actual.split(':').next() == Some(id),
            }
        };
        let fits = |order: [usize; 2]| (0..2).all(|end| same(stated[end], &actual[order[end]]));
        if fits([0, 1]) || fits([1, 0]) {
            return;
        }
        let bytes = from + open.len() + first.id.start..from + second_from + second.end;
        let [a, b] = &actual;
        self.report(told, bytes, format!("wire `{}` runs between {a} and {b}", wire.id));
    }

    /// Holds a figure against an item; what the book does not tell of it is no contradiction.
    fn amount(&self, told: &Told, item: Item, amount: Amount, bytes: Range<usize>) {
        let dimension = amount.unit.dimension;
        let own: Vec<String> = match item {
            Item::Wire(wire) => match dimension {
                Dimension::Area => vec![self.book.wire(wire).size.to_string()],
                Dimension::Length => vec![self.book.wire(wire).length_text()],
                _ => return,
            },
            Item::Part(part) => {
                let part = self.book.part(part);
                let fuse = matches!(part.kind, Kind::Fuse | Kind::FusibleLink | Kind::Breaker);
                match dimension {
                    Dimension::Power | Dimension::Resistance => {}
                    Dimension::Current if fuse => {}
                    _ => return,
                }
                part.facts.iter().flat_map(|(_, text)| text.split(", ").map(str::to_string)).collect()
            }
            Item::Connector(_) => return,
        };
        let own: Vec<(String, Amount)> =
            own.into_iter().filter_map(|text| Some((text.clone(), quantity(&text)?))).collect();
        let own: Vec<&(String, Amount)> =
            own.iter().filter(|(_, own)| own.unit.dimension == dimension).collect();
        let same =
            |own: &Amount| (own.value - amount.value).abs() <= 1e-6 * own.value.abs().max(amount.value.abs());
        if own.is_empty() || own.iter().any(|(_, own)| same(own)) {
            return;
        }
        let texts: Vec<&str> = own.iter().map(|(text, _)| text.as_str()).collect();
        let id = self.book.item_name(item);
        self.report(
            told,
            bytes.clone(),
            format!("`{id}` has {}, not {}", texts.join(" and "), &told.text[bytes]),
        );
    }

    /// Holds a word against a wire's color when it is one; whether it was a color or a quantity written as one word.
    fn color_or_amount(&self, told: &Told, item: Item, word: &str, bytes: Range<usize>, named: bool) -> bool {
        if let Some(amount) = quantity(word) {
            self.amount(told, item, amount, bytes);
            return true;
        }
        let Item::Wire(wire) = item else { return false };
        let own = &self.book.wire(wire).color;
        let wrong = match Color::parse(word) {
            Some(color) => color != *own,
            None => match COLORS.iter().find(|color| named && color.name == word.to_lowercase()) {
                Some(color) => color.name != own.base.name,
                None => return false,
            },
        };
        if wrong && !self.index.uncolored.contains(&wire) {
            let id = self.book.item_name(item);
            self.report(told, bytes, format!("wire `{id}` is {own}, not {word}"));
        }
        true
    }
}

/// What an item is called, and where it is; a wire has neither.
fn title(book: &Book, item: Item) -> Option<(&str, Option<&str>)> {
    match item {
        Item::Part(part) => Some((&book.part(part).name, book.part(part).place.as_deref())),
        Item::Connector(connector) => {
            Some((&book.connector(connector).name, book.connector(connector).place.as_deref()))
        }
        Item::Wire(_) => None,
    }
}

/// Whether whole words end a name: `ready lamp` ends `lift ready lamp`.
fn ends_with_words(name: &str, words: &str) -> bool {
    name.strip_suffix(words).is_some_and(|before| before.is_empty() || before.ends_with([' ', '-']))
}

/// Where the phrase begins that a text ends with.
fn phrase_start(text: &str) -> usize {
    let stop = text
        .char_indices()
        .rev()
        .find(|&(at, c)| STOPS.contains(&c) || (c == '.' && text[at + 1..].starts_with(char::is_whitespace)));
    stop.map_or(0, |(at, c)| at + c.len_utf8())
}

/// The last words of a text from a byte on, with their places.
fn words(text: &str, from: usize) -> Vec<(usize, &str)> {
    let mut found: Vec<(usize, &str)> = Vec::new();
    for word in text[from..].split_whitespace() {
        found.push((word.as_ptr() as usize - text.as_ptr() as usize, word));
    }
    let skip = found.len().saturating_sub(2 * WORDS);
    found.split_off(skip)
}

/// A quantity as it is written in a sentence: `2.5 mm²`, `14 AWG`, `10 A`.
fn quantity(text: &str) -> Option<Amount> {
    let plain = text.replace('²', "2").replace('Ω', "ohm");
    let turned = plain.strip_prefix("AWG ").map(|number| format!("{number} AWG"));
    let text = turned.unwrap_or(plain);
    if !text.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    Amount::parse(&text).ok()
}
