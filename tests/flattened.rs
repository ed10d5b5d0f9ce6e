//! Turns a book of several builds into the book of one of them, and holds what is proved of that build against it.
//!
//! Generated books are flattened as a writer would do it: options are resolved, and what the build lacks is not written. Of the
//! demo and of the boat, whose pages speak of all builds at once, the others are taken out of the book as it was read.

use crate::book::{Files, Judged, folder, judge};
use crate::vehicle::Random;
use goodground::book::{Book, BuildId, Fault, catalogue};
use goodground::check;
use goodground::finding::{Code, Finding};
use goodground::proof::coverage::Showing;
use goodground::proof::{self, Proof, Silent};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

/// Findings that say of something that no build does it: they stand where they stand for every build.
const IN_NONE: [Code; 5] =
    [Code::DeadBranch, Code::NeedlessSuspect, Code::DeadPoint, Code::UnusedProcedure, Code::NoReason];

/// The faults of a build with their shares, by name.
fn shares(faults: &[Fault], build: usize) -> BTreeMap<&str, u64> {
    let here = faults.iter().filter_map(|fault| Some((fault, fault.shares[build]?)));
    here.map(|(fault, share)| (fault.name.as_str(), (share * 1e9).round() as u64)).collect()
}

/// What became of each fault of a build in each checkout: page, step, readings of the way, and where it ended, in names.
fn fates(book: &Book, proof: &Proof, build: u32) -> BTreeMap<(String, String), String> {
    let here = proof.faults.iter().filter(|showing| showing.build == BuildId(build));
    let told = |showing: &Showing| {
        let Some(shown) = &showing.shown else { return "passes".to_string() };
        let mut text = book.section(shown.step).title.clone();
        let Some(walk) = &shown.walk else { return text };
        for taken in &walk.trail {
            let _ = write!(text, "; {} {:?}", book.section(taken.place).title, taken.reading);
        }
        text
    };
    here.map(|showing| {
        let page = book.page(showing.page).path.clone();
        ((page, book.fault(showing.fault).name.clone()), told(showing))
    })
    .collect()
}

/// Findings by code and what they are about: the first word of the sentence names it.
fn about(findings: &[Finding], which: impl Fn(Code) -> bool) -> BTreeSet<(Code, String)> {
    let word = |finding: &Finding| finding.headline.split(' ').next().unwrap_or_default().to_string();
    let which = findings.iter().filter(|finding| which(finding.code));
    which.map(|finding| (finding.code, word(finding))).collect()
}

/// A choice of an option group: the group, and which of its choices.
type Choice = (usize, usize);

/// The option groups of a generated book, each with this many choices.
#[derive(Debug, Clone)]
struct Groups(Vec<usize>);

const GROUP: [&str; 2] = ["cab", "axle"];
const WORDS: [&str; 3] = ["short", "long", "tall"];

/// One lamp with its fuse, switch, relay or none, and ground, of all builds or of one choice.
struct Chain {
    only: Option<Choice>,
    relay: bool,
    /// A second ground wire that one choice has.
    second_ground: Option<Choice>,
    /// The lamp is fed from the neighbor's fuse in this choice.
    other_feed: Option<Choice>,
    /// Its switch is closed at rest in this choice, as its intent says.
    upside_down: Option<Choice>,
    /// Its plus wire lies beside a wire of the next chain.
    beside: bool,
}

/// A book that can be written with options, or for one build.
struct Draft {
    groups: Groups,
    chains: Vec<Chain>,
}

/// The build that a book is flattened to, by its choices; none for the book with its options.
type Flat<'a> = Option<&'a [u16]>;

fn has(choice: Option<Choice>, flat: Flat) -> bool {
    match (choice, flat) {
        (Some((group, choice)), Some(build)) => build[group] == choice as u16,
        _ => true,
    }
}

/// ` "cab long"`, where the book has options.
fn words((group, choice): Choice) -> String {
    format!("{} {}", GROUP[group], WORDS[choice])
}

impl Draft {
    fn new(seed: u64) -> Draft {
        let mut lot = Random::new(seed);
        let groups: Vec<usize> = (0..1 + lot.below(2)).map(|_| 2 + lot.below(2)).collect();
        let choice = |lot: &mut Random| {
            let group = lot.below(groups.len());
            (group, lot.below(groups[group]))
        };
        let some = |lot: &mut Random, percent| lot.chance(percent).then(|| choice(lot));
        let chains = (0..2 + lot.below(3)).map(|number| Chain {
            only: if number == 0 { None } else { some(&mut lot, 35) },
            relay: lot.chance(30),
            second_ground: some(&mut lot, 40),
            other_feed: if number == 0 { None } else { some(&mut lot, 30) },
            upside_down: some(&mut lot, 20),
            beside: lot.chance(40),
        });
        let chains = chains.collect();
        Draft { groups: Groups(groups), chains }
    }

    fn files(&self, flat: Flat) -> Files {
        Files::from([
            ("content/manual.toml".to_string(), self.manual(flat)),
            ("circuits/all.toml".to_string(), self.circuit(flat)),
            ("content/checkout.md".to_string(), self.checkout(flat)),
            ("content/trouble.md".to_string(), self.trouble(flat)),
        ])
    }

    fn manual(&self, flat: Flat) -> String {
        let mut text =
            "title = \"T\"\nvehicle = \"V\"\nedition = \"E\"\n\n[proof]\nsupply = \"12..13 V\"\n".to_string();
        if flat.is_none() {
            for (group, choices) in self.groups.0.iter().enumerate() {
                let _ = write!(text, "\n[options.{}]\nchoices = {:?}\n", GROUP[group], &WORDS[..*choices]);
            }
        }
        text
    }

    fn circuit(&self, flat: Flat) -> String {
        let mut text = "title = \"All\"\n\n[controls]\n".to_string();
        let fitted = || self.chains.iter().enumerate().filter(|(_, chain)| has(chain.only, flat));
        for (n, _) in fitted() {
            let _ = writeln!(text, "c{n} = [\"off\", \"on\"]");
        }
        text += "\n[parts.BAT]\nkind = \"battery\"\nvoltage = \"12 V\"\ninternal = \"10 mohm\"\n\n[parts.G]\nkind = \"ground\"\n";
        let only = |choice: Option<Choice>| match (choice, flat) {
            (Some(choice), None) => format!("only = \"{}\"\n", words(choice)),
            _ => String::new(),
        };
        for (n, chain) in fitted() {
            let open = |when: &str, held: bool| format!("c{n} {}", if held { "off" } else { when });
            let makes = match (chain.upside_down, flat) {
                (None, _) => open("on", false),
                (Some(choice), Some(_)) => open("on", has(Some(choice), flat)),
                (Some(choice), None) => {
                    let choice = words(choice);
                    format!("{choice} and c{n} off or not {choice} and c{n} on")
                }
            };
            let only = only(chain.only);
            let _ = write!(
                text,
                "\n[parts.F{n}]\nkind = \"fuse\"\nrating = \"10 A\"\n{only}\n[parts.S{n}]\nkind = \"switch\"\nmakes = {{ \"1-2\" = \"{makes}\" }}\n{only}\n[parts.E{n}]\nkind = \"lamp\"\nrating = \"12 V 21 W\"\n{only}\n[parts.G{n}]\nkind = \"ground\"\n{only}"
            );
            if chain.relay {
                let _ = write!(
                    text,
                    "\n[parts.K{n}]\nkind = \"relay\"\ncoil = {{ pins = \"86-85\", resistance = \"85 ohm\", pulls-in = \"8 V\", drops-out = \"2 V\" }}\nmakes = {{ \"30-87\" = \"energized\" }}\n{only}"
                );
            }
        }
        text += &self.wires(flat);
        text += "\n[intent]\n";
        for (n, chain) in fitted() {
            let when = match (chain.upside_down, flat) {
                (None, _) => format!("c{n} on"),
                (Some(choice), Some(_)) => {
                    format!("c{n} {}", if has(Some(choice), flat) { "off" } else { "on" })
                }
                (Some(choice), None) => {
                    let choice = words(choice);
                    format!("{choice} and c{n} off or not {choice} and c{n} on")
                }
            };
            let _ = writeln!(text, "E{n} = \"{when}\"");
        }
        text
    }

    fn wires(&self, flat: Flat) -> String {
        let mut rows = String::new();
        let mut beside = Vec::new();
        let mut row = |id: String, from: String, to: String, choices: &[Option<Choice>]| {
            if !choices.iter().all(|choice| has(*choice, flat)) {
                return;
            }
            let only: Vec<String> = choices.iter().flatten().map(|choice| words(*choice)).collect();
            let only = if flat.is_some() { String::new() } else { only.join(" and ") };
            let _ = writeln!(rows, "    [\"{id}\", \"{from}\", \"{to}\", \"RD\", 1.5, 2, \"{only}\"],");
        };
        row("WG".into(), "BAT:-".into(), "G".into(), &[]);
        for (n, chain) in self.chains.iter().enumerate() {
            let own = chain.only;
            row(format!("W{n}a"), "BAT:+".into(), format!("F{n}:1"), &[own]);
            row(format!("W{n}b"), format!("F{n}:2"), format!("S{n}:1"), &[own]);
            let load = if chain.relay {
                row(format!("W{n}k"), format!("S{n}:2"), format!("K{n}:86"), &[own]);
                row(format!("W{n}m"), format!("K{n}:85"), format!("G{n}"), &[own]);
                row(format!("W{n}f"), format!("F{n}:2"), format!("K{n}:30"), &[own]);
                format!("K{n}:87")
            } else {
                format!("S{n}:2")
            };
            row(format!("W{n}c"), load, format!("E{n}:1"), &[own]);
            row(format!("W{n}d"), format!("E{n}:2"), format!("G{n}"), &[own]);
            if let Some(choice) = chain.second_ground {
                // A short to ground of the lamp's far side then takes nothing away in that choice alone.
                row(format!("W{n}e"), format!("E{n}:2"), "G".into(), &[own, Some(choice)]);
            }
            if let Some(choice) = chain.other_feed {
                row(
                    format!("W{n}g"),
                    format!("F{}:2", n - 1),
                    format!("F{n}:2"),
                    &[own, self.chains[n - 1].only, Some(choice)],
                );
            }
            let next = self.chains.get(n + 1).filter(|next| has(next.only, flat) && has(own, flat));
            if chain.beside && next.is_some() {
                beside.push(format!("[\"W{n}c\", \"W{}c\"]", n + 1));
            }
        }
        format!(
            "\n[harness.main]\ncolumns = [\"id\", \"from\", \"to\", \"color\", \"mm2\", \"m\", \"only\"]\nwires = [\n{rows}]\n\n[neighbors]\npairs = [{}]\n",
            beside.join(", ")
        )
    }

    /// What a chain's lamp does with its switch worked, in each build: nothing is expected where the builds differ.
    fn checkout(&self, flat: Flat) -> String {
        let mut text = "+++\ntitle = \"Checkout\"\nkind = \"checkout\"\ncircuit = \"all\"\n+++\n".to_string();
        for (n, chain) in self.chains.iter().enumerate().filter(|(_, chain)| has(chain.only, flat)) {
            let look = if chain.upside_down.is_some() { "dark" } else { "lit" };
            let _ = write!(
                text,
                "\n## Step {n}: C{n} {{#c{n}}}\n\n- Set: c{n} on\n- Expect: E{n} {look}\n- If not: [P](trouble.md#t{n})\n\n## Step {n}b: C{n} {{#d{n}}}\n\n- Set: c{n} off\n- Expect: E{n} dark\n- If not: [P](trouble.md#t{n})\n"
            );
        }
        text
    }

    fn trouble(&self, flat: Flat) -> String {
        let mut text =
            "+++\ntitle = \"Trouble\"\nkind = \"troubleshooting\"\ncircuit = \"all\"\n+++\n".to_string();
        for (n, chain) in self.chains.iter().enumerate().filter(|(_, chain)| has(chain.only, flat)) {
            let relay = if chain.relay { format!(", K{n}, W{n}k, W{n}m, W{n}f") } else { String::new() };
            let _ = write!(
                text,
                "\n## P{n} {{#t{n}}}\n\n### {n}.1 {{#t{n}-1}}\n\n- Do: test light E{n}:1 to ground\n- Read: test light\n  - lit: [Ground.](blame:E{n}, W{n}d, G{n})\n  - else: go to [{n}.2](#t{n}-2)\n\n### {n}.2 {{#t{n}-2}}\n\n- Do: test light S{n}:1 to ground\n- Read: test light\n  - lit: [Behind.](<blame:S{n}, W{n}c, E{n}{relay}>)\n  - else: [Before.](<blame:F{n}, W{n}a, W{n}b>)\n"
            )
            .map(|()| ());
        }
        text.replace("(blame:E", "(<blame:E")
            .replace("G0)", "G0>)")
            .replace("G1)", "G1>)")
            .replace("G2)", "G2>)")
            .replace("G3)", "G3>)")
            .replace("G4)", "G4>)")
    }
}

/// Holds a build of a judged book against that build's own book.
fn same(whole: &Judged, build: u32, flat: &Judged, what: &str) {
    let (of, alone) = (shares(&whole.book.faults, build as usize), shares(&flat.book.faults, 0));
    assert_eq!(of, alone, "{what}: faults");
    assert_eq!(fates(&whole.book, &whole.proof, build), fates(&flat.book, &flat.proof, 0), "{what}: walks");
    let metrics = match whole.proof.metrics.builds.get(build as usize) {
        Some(own) => own,
        None => &whole.proof.metrics,
    };
    assert_eq!(metrics, &flat.proof.metrics, "{what}: metrics");
}

#[test]
fn a_generated_book_says_of_a_build_what_the_book_of_that_build_says() {
    let books = std::env::var("FLATTENED").ok().and_then(|count| count.parse().ok()).unwrap_or(40);
    let (mut builds, mut shorts, mut clean, mut told) = (0, 0, 0, BTreeSet::new());
    for seed in 0..books {
        let draft = Draft::new(seed);
        let whole = judge(&draft.files(None));
        assert!(whole.book.unread.is_empty(), "{seed}: {}", whole.listing());
        // Where one build fails the checkout, what its faults show is not told of any.
        let doubtful = whole.findings.iter().any(|finding| finding.code == Code::WrongResult);
        let which = |code: Code| {
            let told =
                code.is_proved() && (!doubtful || code < Code::Chatter || code > Code::UnusedProcedure);
            told && !IN_NONE.contains(&code) && code != Code::UnshownFault
        };
        let mut some = BTreeSet::new();
        for (number, build) in whole.book.builds.iter().enumerate() {
            let flat = judge(&draft.files(Some(&build.choices)));
            assert!(flat.book.unread.is_empty(), "{seed}: {}", flat.listing());
            same(&whole, number as u32, &flat, &format!("book {seed}, build {number}"));
            some.extend(about(&flat.findings, which));
            builds += 1;
            let lacks = |fault: &&Fault| !fault.is_in(BuildId(number as u32));
            shorts += whole.book.faults.iter().filter(lacks).count();
        }
        let all = about(&whole.findings, which);
        assert_eq!(all, some, "{seed}");
        told.extend(all.into_iter().map(|(code, _)| code));
        clean += usize::from(!doubtful);
    }
    println!(
        "{books} books, {builds} builds, {shorts} faults that a build cannot have, {clean} that pass; {told:?}"
    );
    assert!(
        builds > 2 * books as usize && shorts > 10 * builds && clean > 5,
        "{builds} builds, {shorts}, {clean}"
    );
}

/// A book as it was read, of one build alone.
fn narrowed(book: &Book, build: usize) -> Book {
    let mut book = book.clone();
    book.builds = vec![book.builds[build].clone()];
    for part in &mut book.parts {
        part.fitted = vec![part.fitted[build]];
    }
    for wire in &mut book.wires {
        wire.fitted = vec![wire.fitted[build]];
    }
    let alone = catalogue(&book);
    for fault in &mut book.faults {
        // Statements know faults by their number, so the list stays; what is in it is the build's own.
        let own = alone.iter().find(|own| own.name == fault.name);
        fault.shares = vec![own.and_then(|own| own.shares[0])];
    }
    book
}

#[test]
fn the_demo_and_the_boat_say_of_a_build_what_they_say_of_it_alone() {
    for place in ["", "tests/planted/boat"] {
        let whole = judge(&folder(place));
        let count = whole.book.builds.len();
        assert!(count > 2);
        let (mut walks, mut states, mut harms, mut judged) = (0, 0, 0, 0);
        for build in 0..count {
            let book = narrowed(&whole.book, build);
            let proof = proof::prove(&book, &Silent);
            let findings = check::check(&book, &proof).sorted();
            walks += proof.walks;
            states += proof.statements.iter().map(|fact| fact.judged).sum::<usize>();
            judged += proof.judged.iter().map(|judged| judged.states).sum::<usize>();
            harms += proof.harms.len();
            let flat = Judged { sources: whole.sources.clone(), book, proof, findings };
            same(&whole, build as u32, &flat, &format!("{place}, build {build}"));
            let unlike = about(&flat.findings, |code| !IN_NONE.contains(&code) && code != Code::FalseClaim);
            assert_eq!(unlike, BTreeSet::new(), "{place}, build {build}");
        }
        let proof = &whole.proof;
        let sum = |states: usize, all: usize, what: &str| assert_eq!(states, all, "{place}: {what}");
        sum(walks, proof.walks, "walks");
        sum(harms, proof.harms.len(), "harms");
        sum(states, proof.statements.iter().map(|fact| fact.judged).sum(), "states of statements");
        sum(judged, proof.judged.iter().map(|judged| judged.states).sum(), "states of loads");
    }
}
