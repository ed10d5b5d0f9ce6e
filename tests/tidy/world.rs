//! Turns the lists of `clippy.toml` into laws: no hash order, clock, environment or disk where they are forbidden, one printer of
//! numbers, and each library where the guide says.

use super::house::House;
use super::rooms::{files, names};
use std::collections::{BTreeMap, BTreeSet};

/// What `clippy.toml` forbids under a key, as paths.
fn forbidden(house: &House, list: &str) -> Vec<Vec<String>> {
    let table: toml::Table = house.text("clippy.toml").parse().expect("clippy.toml can be read");
    let entries = table[list].as_array().expect("a list");
    let path = |entry: &toml::Value| {
        entry["path"].as_str().expect("a path").split("::").map(str::to_string).collect()
    };
    entries.iter().map(path).collect()
}

/// A path as `std` names it.
fn standard(path: &[String]) -> Option<Vec<&str>> {
    let first = path.first()?;
    ["std", "core", "alloc"].contains(&first.as_str()).then(|| {
        let rest = path[1..].iter().map(String::as_str).filter(|part| *part != "*");
        std::iter::once("std").chain(rest).collect()
    })
}

/// Whether a path names something forbidden, or a module that brings it into sight.
fn meets(path: &[&str], forbidden: &[String]) -> bool {
    path.iter().zip(forbidden).all(|(a, b)| a == b)
}

/// Is this about the order of hashing? Then it holds for every room, and one who says why may do it.
fn hashed(forbidden: &[String]) -> bool {
    forbidden.last().is_some_and(|last| ["HashMap", "HashSet", "RandomState"].contains(&last.as_str()))
}

/// Nothing is kept by its hash, so that nothing can be gone through in hash order.
pub fn hash_order(house: &House) -> Vec<String> {
    let list: Vec<_> = forbidden(house, "disallowed-types").into_iter().filter(|path| hashed(path)).collect();
    let mut wrong = Vec::new();
    for (file, _, name) in names(house) {
        let Some(path) = standard(&name.path) else { continue };
        let inside = ["hash_map", "hash_set"].iter().any(|module| path.contains(module));
        if !name.expected && (inside || list.iter().any(|forbidden| meets(&path, forbidden))) {
            wrong.push(format!("{file}:{}: `{}` has no order", name.line, path.join("::")));
        }
    }
    wrong
}

/// Only `command` touches the world.
pub fn world(house: &House) -> Vec<String> {
    let mut list = forbidden(house, "disallowed-types");
    list.retain(|path| !hashed(path));
    list.extend(forbidden(house, "disallowed-methods"));
    let mut wrong = Vec::new();
    for (file, room, name) in names(house).into_iter().filter(|(_, room, _)| &**room != "command") {
        let Some(path) = standard(&name.path) else { continue };
        let network = path.get(1) == Some(&"net");
        let module = |module: &str| path.len() > 2 && path[1] == module;
        if network || module("fs") || module("env") || list.iter().any(|forbidden| meets(&path, forbidden)) {
            wrong.push(format!("{file}:{}: `{}` in {room}, not in `command`", name.line, path.join("::")));
        }
    }
    let macros = forbidden(house, "disallowed-macros");
    for (file, room) in files(house).into_iter().filter(|(_, room)| room != "command") {
        for called in house.code(&file).macros.iter().filter(|called| !called.test) {
            let banned = macros.iter().any(|path| path.last() == Some(&called.name));
            let environment = called.name == "env" && called.first.as_deref() != Some("CARGO_PKG_VERSION");
            if banned || environment {
                wrong.push(format!("{file}:{}: `{}!` in {room}, not in `command`", called.line, called.name));
            }
        }
    }
    wrong
}

/// Whether a text asks a formatter for digits: `{:.1}`, `{volts:>8.2}`, `{:.*}`, `{:e}`.
fn asks_for_digits(text: &str) -> bool {
    let text = text.replace("{{", "").replace("}}", "");
    text.split('{').skip(1).filter_map(|rest| rest.split_once('}')).any(|(inside, _)| {
        let Some((argument, how)) = inside.split_once(':') else { return false };
        let plain = argument.chars().all(|letter| letter.is_alphanumeric() || letter == '_');
        let point = how.find('.').is_some_and(|at| {
            let next = how[at + 1..].chars().next();
            next.is_some_and(|next| next.is_alphanumeric() || next == '*' || next == '_')
        });
        plain && (point || how.ends_with('e') || how.ends_with('E'))
    })
}

/// A number's digits are chosen in `src/quantity` alone.
pub fn digits(house: &House) -> Vec<String> {
    let mut wrong = Vec::new();
    for (file, _) in files(house).into_iter().filter(|(_, room)| room != "quantity") {
        for text in house.code(&file).texts.iter().filter(|text| !text.test && asks_for_digits(&text.text)) {
            wrong.push(format!("{file}:{}: `{}` prints a number by itself", text.line, text.text));
        }
    }
    wrong
}

/// The libraries of the guide are those of `Cargo.toml`, each in the rooms of its row and nowhere else.
pub fn libraries(house: &House) -> Vec<String> {
    let manifest: toml::Table = house.text("Cargo.toml").parse().expect("Cargo.toml can be read");
    let keys = |table: &str| manifest[table].as_table().expect("a table").keys().cloned().collect::<Vec<_>>();
    let ordinary = keys("dependencies");
    let mut used: BTreeMap<String, BTreeSet<String>> =
        ordinary.iter().map(|name| (name.clone(), BTreeSet::new())).collect();
    let crates: BTreeMap<String, &String> =
        ordinary.iter().map(|name| (name.replace('-', "_"), name)).collect();
    for (_, room, name) in names(house) {
        let known = crates.get(&name.path[0]);
        // Something in sight may have a library's name, such as a table of `toml` or a string of `svg`.
        if let Some(known) = known.filter(|_| name.path.len() > 1) {
            used.entry((*known).clone()).or_default().insert(if room.is_empty() {
                "lib".to_string()
            } else {
                room.to_string()
            });
        }
    }
    for name in keys("dev-dependencies") {
        used.entry(name).or_default().insert("tests".to_string());
    }
    let mut told = BTreeMap::<String, BTreeSet<String>>::new();
    let guide = house.text("DEVELOPERS.md").split("## Libraries").nth(1).expect("the guide lists libraries");
    for line in guide.lines().filter(|line| line.starts_with("| `")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        for name in cells[0].split(", ") {
            let rooms = cells[1].split(", ").map(str::to_string).collect();
            told.insert(name.trim_matches('`').to_string(), rooms);
        }
    }
    let mut wrong = Vec::new();
    for name in used.keys().chain(told.keys()).collect::<BTreeSet<_>>() {
        if used.get(name) != told.get(name) {
            let say = |rooms: Option<&BTreeSet<String>>| {
                rooms.map_or("nowhere".to_string(), |rooms| {
                    rooms.iter().cloned().collect::<Vec<_>>().join(", ")
                })
            };
            wrong.push(format!(
                "`{name}` is used in {}; DEVELOPERS.md says {}",
                say(used.get(name)),
                say(told.get(name))
            ));
        }
    }
    wrong
}
