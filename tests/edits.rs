//! Turns books into edited books by chance, edit after edit, and holds what one memory makes of them against proofs afresh.
//!
//! `EDITS=500 cargo test --release --test all edits::` goes through so many edits of the demo book and of each small one.

use crate::book::{Files, folder};
use goodground::book::Book;
use goodground::check;
use goodground::finding::Finding;
use goodground::proof::memory::{Print, Store};
use goodground::proof::{Memory, Proof, Silent, pairs, prove, prove_again, steps};
use goodground::read;
use goodground::source::Sources;
use goodground::study::quiz::Lot;
use std::ops::Range;

/// An author's edit; none where the book has nothing of the sort.
type Edit = fn(&mut Lot, &mut Files) -> Option<()>;

const EDITS: &[(&str, Edit)] = &[
    ("a line is gone", |lot, files| {
        lines(lot, files, |lot, lines| drop(lines.remove(lot.below(lines.len()))))
    }),
    ("a line stands twice", |lot, files| {
        lines(lot, files, |lot, lines| {
            let at = lot.below(lines.len());
            lines.insert(at, lines[at].clone());
        })
    }),
    ("two lines change places", |lot, files| {
        lines(lot, files, |lot, lines| {
            let (one, other) = (lot.below(lines.len()), lot.below(lines.len()));
            lines.swap(one, other);
        })
    }),
    ("a word is another of the file's", |lot, files| {
        let text = text(lot, files, |_| true)?;
        let words = words(text);
        let (from, to) = (lot.pick(&words)?.clone(), lot.pick(&words)?.clone());
        let to = text[to].to_string();
        text.replace_range(from, &to);
        Some(())
    }),
    ("a digit is another", |lot, files| {
        let text = text(lot, files, |_| true)?;
        let digits: Vec<usize> = text.match_indices(|c: char| c.is_ascii_digit()).map(|(at, _)| at).collect();
        let at = *lot.pick(&digits)?;
        text.replace_range(at..at + 1, &lot.below(10).to_string());
        Some(())
    }),
    ("a claim says that it is wrong, or no longer", |lot, files| {
        turn(lot, files, &[("claim:", "wrong:"), ("wrong:", "claim:")])
    }),
    ("a word is its opposite", |lot, files| turn(lot, files, OPPOSITES)),
    ("a page's front matter has a key more or less", front_matter),
    ("a section stands elsewhere", move_section),
    ("an id is another everywhere", rename),
    ("a wire more", |lot, files| {
        let wire = |line: &str| line.trim_start().starts_with("[\"W");
        line(lot, files, wire, |lot, line| {
            let id = line.split('"').nth(1).expect("a wire's line begins with its id");
            format!("{line}{}", line.replacen(id, &new(lot, id), 1))
        })
    }),
    ("a part more", |lot, files| {
        let text = text(lot, files, |path| path.ends_with(".toml"))?;
        let starts: Vec<usize> = text.match_indices("[parts.").map(|(at, _)| at).collect();
        let start = *lot.pick(&starts)?;
        let length = text[start..].find("\n\n")? + 2;
        let block = text[start..start + length].to_string();
        let id = block.strip_prefix("[parts.")?.split(']').next()?.to_string();
        text.insert_str(start, &block.replacen(&id, &new(lot, &id), 1));
        Some(())
    }),
    ("a part or a wire has a condition more", |lot, files| {
        let is_part = |line: &str| line.starts_with("[parts.");
        line(lot, files, is_part, |_, line| format!("{line}only = \"extra more\"\n"))?;
        let manual = files.get_mut("content/manual.toml")?;
        if !manual.contains("[options.extra]") {
            manual.push_str("\n[options.extra]\nname = \"Extra\"\nchoices = [\"less\", \"more\"]\n");
        }
        Some(())
    }),
    ("a page more", |lot, files| {
        let pages = pages(files);
        let page = lot.pick(&pages)?;
        let name = if lot.one_in(2) { "aaa" } else { "zzz" };
        files.insert(format!("content/{name}{}.md", lot.below(1000)), files[page].clone());
        Some(())
    }),
    ("a page is gone", |lot, files| {
        let pages = pages(files);
        files.remove(lot.pick(&pages)?);
        Some(())
    }),
    ("a fault is accepted", |lot, files| {
        let all = read(files).0.faults;
        let name = &lot.pick(&all)?.name;
        let text = text(lot, files, |path| path.starts_with("circuits/") && path.ends_with(".toml"))?;
        let line = format!("\"{name}\" = \"known\"\n");
        match text.contains("[accepted]\n") {
            true => *text = text.replacen("[accepted]\n", &format!("[accepted]\n{line}"), 1),
            false => text.push_str(&format!("\n[accepted]\n{line}")),
        }
        Some(())
    }),
];

const OPPOSITES: &[(&str, &str)] = &[
    (" lit", " dark"),
    (" dark", " lit"),
    (" running", " stopped"),
    (" stopped", " running"),
    (" and ", " or "),
    (" or ", " and "),
    (" closed", " open"),
    (" run", " off"),
    (" off", " run"),
    ("above", "below"),
    ("voltmeter", "analog voltmeter"),
    ("go to", "(good:)"),
    ("**WARNING**", "**CAUTION**"),
    ("blame:", "page:"),
    ("\"relay\"", "\"contactor\""),
    ("\"lamp\"", "\"led\""),
    ("mohm", "ohm"),
];

/// The paths of the pages.
fn pages(files: &Files) -> Vec<String> {
    files.keys().filter(|path| path.ends_with(".md")).cloned().collect()
}

/// The text of one of the files of a sort.
fn text<'f>(lot: &mut Lot, files: &'f mut Files, is: impl Fn(&str) -> bool) -> Option<&'f mut String> {
    let paths: Vec<String> = files.keys().filter(|path| is(path)).cloned().collect();
    files.get_mut(lot.pick(&paths)?)
}

/// Changes the lines of one file, which has one at least.
fn lines(lot: &mut Lot, files: &mut Files, change: impl Fn(&mut Lot, &mut Vec<String>)) -> Option<()> {
    let text = text(lot, files, |_| true)?;
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_string).collect();
    if lines.is_empty() {
        return None;
    }
    change(lot, &mut lines);
    *text = lines.concat();
    Some(())
}

/// Puts something else in the place of one line of those of a sort in any file.
fn line(
    lot: &mut Lot,
    files: &mut Files,
    is: impl Fn(&str) -> bool,
    change: impl Fn(&mut Lot, &str) -> String,
) -> Option<()> {
    let mut all: Vec<(String, Range<usize>)> = Vec::new();
    for (path, text) in files.iter() {
        let mut start = 0;
        for line in text.split_inclusive('\n') {
            if is(line) {
                all.push((path.clone(), start..start + line.len()));
            }
            start += line.len();
        }
    }
    let (path, range) = lot.pick(&all)?.clone();
    let text = files.get_mut(&path)?;
    let new = change(lot, &text[range.clone()]);
    text.replace_range(range, &new);
    Some(())
}

/// Turns one occurrence of one of the texts, wherever it stands, into its counterpart.
fn turn(lot: &mut Lot, files: &mut Files, pairs: &[(&str, &str)]) -> Option<()> {
    let mut all: Vec<(String, usize, &str, &str)> = Vec::new();
    for (path, text) in files.iter() {
        for &(from, to) in pairs {
            all.extend(text.match_indices(from).map(|(at, _)| (path.clone(), at, from, to)));
        }
    }
    let (path, at, from, to) = lot.pick(&all)?;
    files.get_mut(path)?.replace_range(*at..at + from.len(), to);
    Some(())
}

/// Where the words of a text stand.
fn words(text: &str) -> Vec<Range<usize>> {
    let mut found: Vec<Range<usize>> = Vec::new();
    for (at, letter) in text.char_indices().filter(|(_, letter)| letter.is_alphanumeric()) {
        match found.last_mut().filter(|word| word.end == at) {
            Some(word) => word.end = at + letter.len_utf8(),
            None => found.push(at..at + letter.len_utf8()),
        }
    }
    found
}

/// An id that is most likely not there yet.
fn new(lot: &mut Lot, id: &str) -> String {
    format!("{}{}", id.trim_end_matches(|c: char| c.is_ascii_digit()), 9000 + lot.below(1000))
}

fn front_matter(lot: &mut Lot, files: &mut Files) -> Option<()> {
    let sheets: Vec<String> = files
        .keys()
        .filter_map(|path| path.strip_prefix("circuits/")?.strip_suffix(".toml").map(str::to_string))
        .collect();
    let text = text(lot, files, |path| path.ends_with(".md"))?;
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_string).collect();
    let end = 1 + lines.iter().skip(1).position(|line| line.trim_end() == "+++")?;
    let key = match lot.below(4) {
        0 | 1 => format!("circuit = \"{}\"\n", lot.pick(&sheets)?),
        2 => format!("kind = \"{}\"\n", lot.pick(&["theory", "checkout", "troubleshooting", "service"])?),
        _ => "time = \"1 minute\"\n".to_string(),
    };
    let word = key.split(' ').next()?;
    match (1..end).find(|&at| lines[at].starts_with(word)) {
        Some(at) if lot.one_in(2) => drop(lines.remove(at)),
        Some(at) => lines[at] = key,
        None => lines.insert(end, key),
    }
    *text = lines.concat();
    Some(())
}

fn move_section(lot: &mut Lot, files: &mut Files) -> Option<()> {
    let heads = |text: &str| -> Vec<usize> {
        let all = text.match_indices("\n##").map(|(at, _)| at + 1);
        all.chain([text.len()]).collect()
    };
    let pages = pages(files);
    let (from, other) = (lot.pick(&pages)?, lot.pick(&pages)?);
    let to = if lot.one_in(2) { from } else { other };
    let from = files.get_mut(from)?;
    let starts = heads(from);
    let at = lot.below(starts.len().max(2) - 1);
    let range = starts[at]..*starts.get(at + 1)?;
    let section = from[range.clone()].to_string();
    from.replace_range(range, "");
    let to = files.get_mut(to)?;
    let at = *lot.pick(&heads(to))?;
    to.insert_str(at, &format!("{}\n\n", section.trim_end()));
    Some(())
}

fn rename(lot: &mut Lot, files: &mut Files) -> Option<()> {
    let is_id = |word: &str| {
        let digits = word.trim_start_matches(|c: char| c.is_ascii_uppercase());
        digits.len() < word.len() && !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())
    };
    let text = text(lot, files, |path| path.starts_with("circuits/"))?;
    let ids: Vec<&str> = words(text).into_iter().map(|at| &text[at]).filter(|word| is_id(word)).collect();
    let old = lot.pick(&ids)?.to_string();
    let to = new(lot, &old);
    for text in files.values_mut() {
        for at in words(text).into_iter().rev() {
            if text[at.clone()] == old {
                text.replace_range(at, &to);
            }
        }
    }
    Some(())
}

fn read(files: &Files) -> (Book, Vec<Finding>) {
    let mut sources = Sources::default();
    for (path, text) in files {
        sources.add(path.as_str(), text.as_str());
    }
    let (book, findings) = read::read(&sources, &[]);
    (book, findings.sorted())
}

/// The fields in which two proofs differ.
fn differences(one: &Proof, other: &Proof) -> Vec<&'static str> {
    // Taken apart so that a new field has to be compared.
    let Proof {
        statements,
        intents,
        judged,
        reasons,
        faults,
        walks,
        harms,
        traffic,
        healthy,
        apart,
        metrics,
        pairs,
    } = one;
    let same = [
        ("statements", Print::of(statements) == Print::of(&other.statements)),
        ("intents", Print::of(intents) == Print::of(&other.intents)),
        ("judged", judged == &other.judged),
        ("pairs", Print::of(pairs) == Print::of(&other.pairs)),
        ("reasons", Print::of(reasons) == Print::of(&other.reasons)),
        ("faults", Print::of(faults) == Print::of(&other.faults)),
        ("walks", walks == &other.walks),
        ("harms", Print::of(harms) == Print::of(&other.harms)),
        ("traffic", traffic == &other.traffic),
        ("healthy", Print::of(healthy) == Print::of(&other.healthy)),
        ("apart", Print::of(apart) == Print::of(&other.apart)),
        ("metrics", metrics == &other.metrics),
    ];
    same.into_iter().filter(|(_, same)| !same).map(|(field, _)| field).collect()
}

/// How many pieces were asked for, and how many of them came from memory.
#[derive(Debug, Default)]
struct Kept {
    asked: usize,
    kept: usize,
}

/// Edits a book again and again, one in five times back to what it was before, and compares each proof.
fn chain(clean: &Files, seed: u64, edits: usize, with_findings: bool) -> Kept {
    let mut lot = Lot::new(seed, "edits");
    let mut memory = Memory::default();
    prove_again(&read(clean).0, &mut memory, &Silent);
    let mut history = vec![clean.clone()];
    let mut kept = Kept::default();
    let faults = read(clean).0.faults.len();
    let mut done = 0;
    while done < edits {
        // All sorts come in turn, those first that touch more than a line.
        let (sort, edit) = EDITS[7 * (done + 1) % EDITS.len()];
        let mut files = history[history.len() - 1].clone();
        let what = if history.len() > 1 && lot.one_in(5) {
            history.pop();
            files = history[history.len() - 1].clone();
            "the last edit is undone"
        } else {
            done += 1;
            if edit(&mut lot, &mut files).is_none() {
                continue;
            }
            history.push(files.clone());
            sort
        };
        let (book, _) = read(&files);
        let mut again = prove_again(&book, &mut memory, &Silent);
        let mut fresh = prove(&book, &Silent);
        if with_findings {
            again.pairs = Some(pairs::prove(&book, &again.faults, &mut memory.pairs, &Silent));
            fresh.pairs = Some(pairs::prove(&book, &fresh.faults, &mut Store::default(), &Silent));
        }
        let differ = differences(&again, &fresh);
        assert!(differ.is_empty(), "seed {seed}, edit {done}: {what}; other {differ:?} than afresh");
        if with_findings {
            let findings = |proof| check::check(&book, proof).sorted();
            assert_eq!(findings(&again), findings(&fresh), "seed {seed}, edit {done}: {what}");
        }
        let pages = steps::checkouts(&book).len();
        let Memory { checkouts, claims, loads, rounds, pairs: _ } = &memory;
        let asked = pages + book.claims.len() + 1 + pages * book.builds.len();
        kept.asked += asked;
        let computed = [&checkouts.computed, &claims.computed, &loads.computed, &rounds.computed];
        kept.kept += asked - computed.into_iter().map(Vec::len).sum::<usize>();
        // A book that fell apart has little left to be proved.
        if book.faults.len() * 3 < faults * 2 && history.len() > 1 {
            history.pop();
        }
    }
    kept
}

/// How many edits of each book: few in every run of the tests, as many as asked for by hand.
fn edits(usual: usize) -> usize {
    std::env::var("EDITS").map_or(usual, |text| text.parse().expect("EDITS is a number"))
}

/// Edits a book in several chains and holds that a memory without use isn't what was compared.
fn hold(clean: &Files, usual: usize, with_findings: bool) {
    let (each, chains) = (50, edits(usual).div_ceil(50));
    let kept: Vec<Kept> =
        (0..chains as u64).map(|seed| chain(clean, seed, each.min(edits(usual)), with_findings)).collect();
    let (asked, of_these) = kept.iter().fold((0, 0), |(a, k), kept| (a + kept.asked, k + kept.kept));
    println!("{asked} pieces, {of_these} from memory");
    assert!(of_these * 4 > asked, "{of_these} of {asked} pieces came from memory");
}

#[test]
fn edits_of_the_blade_are_proved_as_afresh() {
    hold(&folder("tests/planted/blade"), 150, true);
}

#[test]
fn edits_of_a_generated_book_are_proved_as_afresh() {
    let sources = crate::large::book(4);
    let files: Files = sources.iter().map(|(_, text)| (text.path.clone(), text.content.clone())).collect();
    hold(&files, 50, true);
}

#[test]
fn edits_of_the_demo_are_proved_as_afresh() {
    hold(&folder(""), 5, std::env::var("EDITS").is_ok());
}
