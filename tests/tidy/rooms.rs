//! Turns the rooms' table of DEVELOPERS.md into the laws of imports, order and modules.

use super::code::Name;
use super::house::House;
use std::collections::BTreeSet;
use std::rc::Rc;

/// A row of the table: a room and what it may import.
pub struct Row {
    pub room: String,
    pub may: BTreeSet<String>,
}

/// The table, and what cannot be read in it.
pub fn table(house: &House) -> (Vec<Row>, Vec<String>) {
    let (mut rows, mut wrong) = (Vec::<Row>::new(), Vec::new());
    let guide = house.text("DEVELOPERS.md");
    for line in guide.lines().filter(|line| line.starts_with("| `src/")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        let room = cells[0].trim_matches('`').trim_start_matches("src/").to_string();
        let above: BTreeSet<String> = rows.iter().map(|row| row.room.clone()).collect();
        let list = cells.last().expect("a row has cells");
        let (mut may, without) = match list.split_once(" but ") {
            Some((_, without)) => (above.clone(), without),
            None if *list == "all" => (above.clone(), ""),
            None => (BTreeSet::new(), ""),
        };
        let words = |list: &str| list.split(", ").map(str::to_string).collect::<Vec<_>>();
        let named = match without {
            "" if ["all", "nothing"].contains(list) => Vec::new(),
            "" => words(list),
            _ => words(without),
        };
        for name in named {
            if !above.contains(&name) {
                wrong.push(format!("DEVELOPERS.md: `{room}` stands above `{name}`, so it can't import it"));
            } else if without.is_empty() {
                may.insert(name);
            } else {
                may.remove(&name);
            }
        }
        rows.push(Row { room, may });
    }
    (rows, wrong)
}

/// The rooms in `src/lib.rs` are those of the table, in its order, each public and in its own files; nothing else is there.
pub fn order(house: &House) -> Vec<String> {
    let (rows, mut wrong) = table(house);
    let law: Vec<&str> = rows.iter().map(|row| row.room.as_str()).collect();
    let modules = &house.code("src/lib.rs").modules;
    let order: Vec<&str> = modules.iter().map(|module| module.name.as_str()).collect();
    if order != law {
        wrong.push(format!("src/lib.rs has the rooms {order:?}, DEVELOPERS.md has {law:?}"));
    }
    for module in modules.iter().filter(|module| !module.public || module.inline || module.test) {
        wrong.push(format!("src/lib.rs:{}: `{}` is no public room with a folder", module.line, module.name));
    }
    wrong
}

/// The path in the crate that a file's module has: `src/page/mod.rs` is `page`.
fn module(path: &str) -> Vec<String> {
    let inside = path.trim_start_matches("src/").trim_end_matches(".rs");
    let mut parts: Vec<String> = inside.split('/').map(str::to_string).collect();
    if parts.last().is_some_and(|last| ["mod", "lib", "main"].contains(&last.as_str())) {
        parts.pop();
    }
    parts
}

/// Where the modules of `src/lib.rs` lead: each file, and whether only tests compile it; and what leads nowhere.
fn tree(house: &House) -> (Vec<(String, bool)>, Vec<String>) {
    let (mut files, mut wrong) = (vec![("src/lib.rs".to_string(), false)], Vec::new());
    let mut at = 0;
    while at < files.len() {
        let (file, test) = files[at].clone();
        let code = house.code(&file);
        wrong.extend(code.broken.iter().map(|error| format!("{file}: {error}")));
        for declared in &code.modules {
            let place = format!("{file}:{}", declared.line);
            if declared.elsewhere {
                wrong.push(format!(
                    "{place}: `{}` comes from another place than its name says",
                    declared.name
                ));
            } else if !declared.inline {
                let inside =
                    [&module(&file)[..], &declared.within, std::slice::from_ref(&declared.name)].concat();
                let stem = format!("src/{}", inside.join("/"));
                let found = [format!("{stem}.rs"), format!("{stem}/mod.rs")]
                    .into_iter()
                    .find(|path| house.find(path).is_some());
                match found {
                    Some(found) => files.push((found, test || declared.test)),
                    None => wrong.push(format!("{place}: `{}` has no file", declared.name)),
                }
            }
        }
        for called in code.macros.iter().filter(|called| called.name == "include") {
            wrong.push(format!("{file}:{}: the code of another file is included", called.line));
        }
        at += 1;
    }
    (files, wrong)
}

/// Every file of `src` is reached from `src/lib.rs` by its name, and nothing else is.
pub fn stray(house: &House) -> Vec<String> {
    let (files, mut wrong) = tree(house);
    for path in house.rust("src/").filter(|path| *path != "src/main.rs") {
        if !files.iter().any(|(file, _)| file == path) {
            wrong.push(format!("{path}: no module of the house leads here"));
        }
    }
    let rooms: Vec<String> = table(house).0.into_iter().map(|row| row.room).collect();
    for path in house.paths().filter_map(|path| path.strip_prefix("src/")) {
        let folder = path.split_once('/').map(|(folder, _)| folder);
        if folder.is_some_and(|folder| !rooms.iter().any(|room| room == folder)) {
            wrong.push(format!("src/{path}: its folder is no room of DEVELOPERS.md"));
        }
    }
    wrong
}

/// Where a name leads.
enum Led<'a> {
    /// Into the crate, by this path from its root.
    House(Vec<&'a str>),
    /// To another crate or to something in sight.
    Away,
}

fn lead<'a>(name: &'a Name, file: &'a [String]) -> Led<'a> {
    let own = || file.iter().chain(&name.within).map(String::as_str).collect::<Vec<_>>();
    let mut rest = name.path.iter().map(String::as_str).peekable();
    let mut led = match rest.peek() {
        Some(&"crate" | &"goodground") => {
            rest.next();
            Vec::new()
        }
        Some(&"self") => {
            rest.next();
            own()
        }
        Some(&"super") => own(),
        // At the root of the crate a room is in sight by its bare name.
        _ if file.is_empty() && name.within.is_empty() => Vec::new(),
        _ => return Led::Away,
    };
    while rest.next_if_eq(&"super").is_some() {
        led.pop();
    }
    led.extend(rest);
    Led::House(led)
}

/// A room names only rooms that its row allows, however it writes their names; the program names `command` alone.
pub fn imports(house: &House) -> Vec<String> {
    let (rows, _) = table(house);
    let mut wrong = Vec::new();
    for (path, test) in tree(house).0 {
        let file = module(&path);
        for name in house.code(&path).names.iter().filter(|name| !test && !name.test) {
            let Led::House(led) = lead(name, &file) else { continue };
            let place = format!("{path}:{}: `{}`", name.line, name.path.join("::"));
            let to = led.first().copied().unwrap_or("*");
            let known = rows.iter().any(|row| row.room == to);
            match rows.iter().find(|row| Some(&row.room) == file.first()) {
                Some(_) if name.path[0] == "goodground" => {
                    wrong.push(format!("{place} goes round by the crate's name"))
                }
                Some(row) if row.room == to || row.may.contains(to) => {}
                Some(row) if known => wrong.push(format!("{place}: {} may not import {to}", row.room)),
                Some(_) => wrong.push(format!("{place} leads to the whole house, or to no room")),
                None if known || name.path[0] == "crate" || name.path[0] == "self" => {
                    wrong.push(format!("{place}: the crate's root names no room"));
                }
                None => {}
            }
        }
    }
    for name in &house.code("src/main.rs").names {
        let house = ["goodground", "crate"].contains(&name.path[0].as_str());
        if house && name.path.get(1).is_none_or(|room| room != "command") {
            wrong.push(format!("src/main.rs:{}: `{}` is not `command`", name.line, name.path.join("::")));
        }
    }
    wrong
}

/// The names of a room's code outside its tests, with file and room, for laws about what a name may be.
pub fn names(house: &House) -> Vec<(Rc<str>, Rc<str>, &Name)> {
    let mut names = Vec::new();
    for (path, test) in tree(house).0 {
        let room: Rc<str> = module(&path).first().cloned().unwrap_or_default().into();
        let own = house.code(&path).names.iter().filter(|name| !test && !name.test);
        let path: Rc<str> = path.as_str().into();
        names.extend(own.map(|name| (Rc::clone(&path), Rc::clone(&room), name)));
    }
    names
}

/// The files that are not tests, with their room.
pub fn files(house: &House) -> Vec<(String, String)> {
    let files = tree(house).0.into_iter().filter(|(_, test)| !test);
    files
        .map(|(path, _)| (module(&path).first().cloned().unwrap_or_default(), path))
        .map(|(room, path)| (path, room))
        .collect()
}
