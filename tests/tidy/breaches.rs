//! Breaks each law at random in copies of the house: twenty copies a law, each seen to be broken at the file that was spoiled.

use super::house::House;
use super::{LAWS, paper, rooms, views};
use proptest::prelude::RngExt;
use proptest::test_runner::{RngAlgorithm, TestRng};

/// Copies that are spoiled for each law.
const COPIES: usize = 20;

/// Chance, the same in each run.
struct Chance(TestRng);

impl Chance {
    fn below(&mut self, count: usize) -> usize {
        self.0.random_range(0..count)
    }

    fn one<'a, T: ?Sized>(&mut self, list: &[&'a T]) -> &'a T {
        list[self.below(list.len())]
    }

    /// A Rust file below `src/` that is no test and not in one of these rooms.
    fn file(&mut self, house: &House, but: &[&str]) -> (String, String) {
        let files: Vec<_> = rooms::files(house).into_iter().filter(|(_, room)| !room.is_empty()).collect();
        let files: Vec<_> = files.into_iter().filter(|(_, room)| !but.contains(&room.as_str())).collect();
        files[self.below(files.len())].clone()
    }

    /// Puts an item into a file: behind its first imports, at its end behind its tests, or in a module of its own.
    fn item(&mut self, house: &mut House, path: &str, item: &str) {
        let text = house.text(path).to_string();
        let spoiled = match self.below(3) {
            0 => format!("{text}\n{item}\n"),
            1 => {
                let open = text.find("\nuse ").or(text.find("\npub ")).unwrap_or(text.len() - 1);
                format!("{}\n{item}\n{}", &text[..=open], &text[open..])
            }
            _ => format!("{text}\nmod within_{} {{\n    {item}\n}}\n", self.below(1000)),
        };
        house.put(path, spoiled);
    }

    /// Exchanges a text in a file.
    fn edit(&mut self, house: &mut House, path: &str, from: &str, to: &str) {
        let text = house.text(path);
        assert!(text.contains(from), "{from:?} stands in {path}");
        let edited = text.replacen(from, to, 1);
        house.put(path, edited);
    }
}

/// Something broken: puts it into the house and says which file or name a law has to speak of.
type Breach = fn(&mut House, &mut Chance, usize) -> String;

/// How each law is broken, by its name.
const BREACHES: &[(&str, Breach)] = &[
    ("rooms stand in the order of the guide", order),
    ("rooms import what the guide allows", import),
    ("no room is private, no file astray", stray),
    ("nothing is kept by its hash", hash_order),
    ("only `command` touches the world", world),
    ("digits are chosen in `quantity`", digits),
    ("libraries are used where the guide says", library),
    ("files open with their sentence", opening),
    ("no file is a drawer", drawer),
    ("documents name what exists", document),
    ("templates' fields are told as they are", field),
    ("the top level holds nothing else", top_level),
    ("planted bugs stand in the code", planted_bug),
];

fn rooms_of(house: &House) -> Vec<rooms::Row> {
    rooms::table(house).0
}

fn order(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let rows = rooms_of(house);
    let at = chance.below(rows.len() - 1);
    let (room, next) = (&rows[at].room, &rows[at + 1 + chance.below(rows.len() - at - 1)].room);
    match copy % 5 {
        0 => {
            chance.edit(house, "src/lib.rs", &format!("pub mod {room};"), "pub mod held;");
            chance.edit(house, "src/lib.rs", &format!("pub mod {next};"), &format!("pub mod {room};"));
            chance.edit(house, "src/lib.rs", "pub mod held;", &format!("pub mod {next};"));
        }
        1 => chance.edit(house, "src/lib.rs", &format!("pub mod {room};"), ""),
        2 => chance.edit(house, "src/lib.rs", &format!("pub mod {room};"), &format!("mod {room};")),
        3 => chance.edit(house, "src/lib.rs", &format!("pub mod {room};"), &format!("pub mod {room} {{}}")),
        _ => {
            // The table itself has a room import what stands below it.
            let guide = house.text("DEVELOPERS.md");
            let row = guide
                .lines()
                .find(|line| line.starts_with(&format!("| `src/{room}`")))
                .expect("a row")
                .to_string();
            let last = row.trim_end_matches(" |").rfind("| ").expect("a cell") + 2;
            let spoiled = format!("{}{next} |", &row[..last]);
            chance.edit(house, "DEVELOPERS.md", &row, &spoiled);
            return "DEVELOPERS.md".to_string();
        }
    }
    "src/lib.rs".to_string()
}

fn import(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let rows = rooms_of(house);
    let (path, row, to) = loop {
        let (path, room) = chance.file(house, &["command"]);
        let row = rows.iter().find(|row| row.room == room).expect("a row");
        let others: Vec<&str> = rows.iter().map(|other| other.room.as_str()).collect();
        let to = chance.one(&others);
        if to != row.room && !row.may.contains(to) {
            break (path, row.room.clone(), to.to_string());
        }
    };
    let other = &row;
    let depth = path.matches('/').count() - usize::from(path.ends_with("/mod.rs"));
    let up = "super::".repeat(depth);
    if copy % 20 == 17 {
        // Not from a module within: the number of steps up is that of the file.
        let text = format!("{}\nuse {up}{to}::Thing;\n", house.text(&path));
        house.put(&path, text);
        return path;
    }
    let item = match copy % 20 {
        0 => format!("use crate::{to}::Thing;"),
        1 => format!("use crate::{{{to}::Thing, {other} as own}};"),
        2 => format!("use crate::{{{other}::{{self}}, {to}::{{self, deep::{{Thing, Other}}}}}};"),
        3 => format!("pub use crate::{to};"),
        4 => format!("pub(crate) use crate::{to} as hidden;"),
        5 => "extern crate self as house;".to_string(),
        6 => "use crate as house;".to_string(),
        7 => "use crate::*;".to_string(),
        8 => format!("fn made() {{ let held = crate::{to}::make(); drop(held); }}"),
        9 => format!("fn taken(_: &[Option<crate::{to}::Thing>]) {{}}"),
        10 => format!("fn made() -> Vec<u8> {{ vec![crate::{to}::make(1), 2] }}"),
        11 => format!("fn told() -> String {{ format!(\"{{}}\", crate::{to}::NAME) }}"),
        12 => format!(
            "fn asked(it: u8) -> bool {{ matches!(it, crate::{to}::ONE | crate::{to}::TWO if it > 0) }}"
        ),
        13 => format!("impl crate::{to}::Thing for Own {{ fn act(&self) {{}} }}"),
        14 => format!(
            "#[derive(serde::Serialize)] struct Told {{ #[serde(with = \"crate::{to}::told\")] it: u8 }}"
        ),
        15 => format!("macro_rules! made {{ () => {{ $crate::{to}::make() }}; }}"),
        16 => format!("#[cfg(test)] mod before {{}}\nuse goodground::{to}::Thing;"),
        18 => format!("const HELD: [u8; 2] = <crate::{to}::Thing as Default>::HELD;"),
        _ => format!("macro_rules! using {{ () => {{ use $crate::{{{other}::Own, {to}::{{Thing}}}}; }}; }}"),
    };
    chance.item(house, &path, &item);
    path
}

fn stray(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let (path, room) = chance.file(house, &[]);
    let name = chance.one(&["attic", "cellar", "porch", "garage", "pantry"]);
    match copy % 6 {
        0 => {
            house.put(
                &format!("src/{name}/mod.rs"),
                "//! Turns a private extra room into trouble.\n".to_string(),
            );
            chance.edit(house, "src/lib.rs", "pub mod source;", &format!("mod {name};\npub mod source;"));
            format!("src/{name}/mod.rs")
        }
        1 => {
            house.put(
                &format!("src/{room}/{name}.rs"),
                "//! Turns a file nobody names into trouble.\n".to_string(),
            );
            format!("src/{room}/{name}.rs")
        }
        2 => {
            chance.item(house, &path, &format!("#[path = \"../{name}/mod.rs\"]\nmod elsewhere;"));
            path
        }
        3 => {
            chance.item(
                house,
                &path,
                &format!("#[cfg_attr(all(), path = \"../{name}.rs\")]\npub mod elsewhere;"),
            );
            path
        }
        4 => {
            chance.item(house, &path, &format!("include!(\"../{name}.rs\");"));
            path
        }
        _ => {
            house.put(&format!("src/{name}/text.md"), "A folder that is no room.\n".to_string());
            format!("src/{name}/text.md")
        }
    }
}

fn hash_order(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let (path, _) = chance.file(house, &[]);
    let kind = chance.one(&["HashMap", "HashSet"]);
    let item = match copy % 10 {
        0 => format!("use std::collections::{kind};"),
        1 => format!("use std::collections::{{BTreeMap as Ordered, {kind} as Kept}};"),
        2 => "use std::{collections as kept, fmt as told};".to_string(),
        3 => format!("fn kept() {{ let kept = std::collections::{kind}::<u8, u8>::new(); drop(kept); }}"),
        4 => format!("struct Keeper {{ kept: ::std::collections::{kind}<String, u32> }}"),
        5 => "use std::collections::*;".to_string(),
        6 => "use std::collections::hash_map::Entry as Kept;".to_string(),
        7 => "use std as standard;".to_string(),
        8 => format!("fn kept() -> Vec<usize> {{ vec![std::collections::{kind}::<u8, u8>::new().len()] }}"),
        // Expected, but nobody says why.
        _ => format!("#[expect(clippy::disallowed_types)] type Kept = std::collections::{kind}<u8, u8>;"),
    };
    chance.item(house, &path, &item);
    path
}

fn world(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let (path, _) = chance.file(house, &["command"]);
    let item = [
        "use std::time::Instant;",
        "use std::time::{Duration as Long, SystemTime};",
        "fn now() -> u64 { std::time::SystemTime::now().elapsed().unwrap().as_secs() }",
        "use std::time as clock;",
        "use std::env;",
        "fn home() -> String { std::env::var(\"HOME\").unwrap_or_default() }",
        "const PLACE: &str = env!(\"CARGO_MANIFEST_DIR\");",
        "const LANGUAGE: Option<&str> = option_env!(\"LANG\");",
        "fn told() -> Vec<String> { vec![std::env::args().collect()] }",
        "use std::fs;",
        "use std::{fmt as told, fs::{self as disk}};",
        "fn held() -> String { std::fs::read_to_string(\"held\").unwrap() }",
        "use std::fs::*;",
        "fn there() -> bool { std::path::Path::exists(\"there\".as_ref()) }",
        "use std::net::TcpStream;",
        "use std::process::Command as Program;",
        "fn ended() { std::process::exit(1) }",
        "fn told() { println!(\"told\"); }",
        "macro_rules! tell { ($it:expr) => { eprintln!(\"{}\", $it) }; }",
        "fn seen() -> u8 { Some(dbg!(1)).map_or(0, |seen| { std::print!(\"{seen}\"); seen }) }",
    ][copy % 20];
    chance.item(house, &path, item);
    path
}

fn digits(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let (path, _) = chance.file(house, &["quantity"]);
    let how = chance.one(&[
        ":.1",
        ":.0",
        ":>8.2",
        ":.3e",
        ":e",
        ":+.4",
        ":08.3",
        ":.*",
        ":.digits$",
        ":<7.1",
        ":E",
        ":^9.0",
    ]);
    let item = match copy % 5 {
        0 => format!("fn told(volts: f64) -> String {{ format!(\"{{volts{how}}} V\") }}"),
        1 => format!("fn told(volts: f64) -> String {{ format!(\"{{{how}}} V and {{}}\", volts, 1) }}"),
        2 => format!(
            "fn told(out: &mut String, volts: f64) {{ let _ = write!(out, \"{{{{}}}} {{0{how}}}\", volts); }}"
        ),
        3 => format!("fn told(volts: f64) -> Vec<String> {{ vec![format!(r#\"{{volts{how}}}\"#)] }}"),
        _ => format!("macro_rules! told {{ ($it:expr) => {{ format_args!(\"{{{how}}}\", $it) }}; }}"),
    };
    chance.item(house, &path, &item);
    path
}

fn library(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let (path, _) = chance.file(house, &["command", "page", "lib"]);
    let name = chance.one(&["walkdir", "notify", "clap", "tera", "indicatif", "serde_json"]);
    match copy % 4 {
        0 => chance.item(house, &path, &format!("use {name}::Thing;")),
        1 => chance.item(house, &path, &format!("fn taken(_: &{name}::Thing) {{}}")),
        2 => chance.edit(house, "DEVELOPERS.md", &format!("| `{name}` |"), &format!("| `{name}x` |")),
        _ => chance.edit(house, "Cargo.toml", &format!("\n{name} ="), &format!("\nother-{name} =")),
    }
    name.to_string()
}

fn opening(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let (mut path, _) = chance.file(house, &[]);
    if copy.is_multiple_of(4) {
        let tests: Vec<&str> = house.rust("tests/").collect();
        path = chance.one(&tests).to_string();
    }
    let text = house.text(&path);
    let end = text.find("\n\n").expect("code below the opening");
    let bare = match copy % 6 {
        0 => text[end..].trim_start().to_string(),
        1 => format!("// Turns A into B, but nobody is told.{}", &text[end..]),
        2 => format!("//! parts{}", &text[end..]),
        3 => format!("//!\n//! {}", text.trim_start_matches("//! ")),
        4 => format!("\n{text}").replacen("//! ", "/// ", 1),
        _ => format!("//! the parts of things of all kinds{}", &text[end..]),
    };
    house.put(&path, bare);
    path
}

fn drawer(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let (path, room) = chance.file(house, &[]);
    let name = chance.one(&["util", "utils", "common", "helpers", "helper", "types", "misc"]);
    let text = house.text(&path).to_string();
    let path = match copy % 3 {
        0 => format!("src/{room}/{name}.rs"),
        1 => format!("src/{room}/{name}/wire.rs"),
        _ => {
            let long = format!("{text}{}", "// One more line.\n".repeat(800 + chance.below(200)));
            house.put(&path, long);
            return path;
        }
    };
    house.put(&path, text);
    path
}

fn document(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let document = chance.one(&["README.md", "DEVELOPERS.md", "templates/README.md"]);
    let (path, room) = chance.file(house, &[]);
    let name = match copy % 6 {
        0 => path.replace(".rs", "_gone.rs"),
        1 => format!("src/{room}_gone/"),
        2 => format!("tests/suite/{room}_gone*.md"),
        3 => format!("goodground {room}ing FILE"),
        4 => format!("--{room}-gone=YES"),
        // What a document names goes away, instead of what is gone being named.
        _ => {
            let named: Vec<&str> =
                ["src/book/part.rs", "src/book/catalogue.rs", "tests/suite.rs", "tests/awake.rs"].into();
            let gone = chance.one(&named);
            house.remove(gone);
            return gone.to_string();
        }
    };
    let text = house.text(document);
    let gaps: Vec<usize> = text.match_indices(".\n\n").map(|(at, _)| at).collect();
    let prose: Vec<usize> =
        gaps.into_iter().filter(|&at| text[..at].matches("```").count().is_multiple_of(2)).collect();
    let at = prose[chance.below(prose.len())];
    let spoiled = format!("{}, see `{name}`{}", &text[..at], &text[at..]);
    house.put(document, spoiled);
    name
}

fn field(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let text = house.text(views::DOCUMENT).to_string();
    let list = text.find(views::HEADING).expect("the list");
    let lines: Vec<&str> = text[list..].lines().filter(|line| line.starts_with("- `")).collect();
    let line = chance.one(&lines);
    let name = line.split('`').nth(1).expect("a field");
    let edited = match copy % 4 {
        0 => text.replace(&format!("{line}\n"), ""),
        1 => text.replace(line, &line.replace(name, "gone")),
        2 => format!("{text}- `gone` (text)\n"),
        _ => {
            // The struct changes instead of the document.
            let files = ["chapter", "sheet", "circuit", "data", "proved", "contents", "glossary"];
            let path = format!("src/page/{}.rs", chance.one(&files));
            chance.edit(
                house,
                &path,
                "    pub chrome: Chrome,\n",
                "    pub chrome: Chrome,\n    pub extra: bool,\n",
            );
            return views::DOCUMENT.to_string();
        }
    };
    house.put(views::DOCUMENT, edited);
    views::DOCUMENT.to_string()
}

fn top_level(house: &mut House, chance: &mut Chance, _: usize) -> String {
    let stem = chance
        .one(&["notes", "todo", "build", "scripts", "docs", "Makefile", "examples", "benches", "readme"]);
    let name = format!("{stem}{}", chance.one(&["", ".md", ".txt", ".rs", "2"]));
    let inside = chance.one(&["", "/one.rs", "/deep/two.md"]);
    house.put(&format!("{name}{inside}"), String::new());
    name
}

fn planted_bug(house: &mut House, chance: &mut Chance, copy: usize) -> String {
    let (path, _) = chance.file(house, &[]);
    let text = house.text(&path);
    let once = text
        .lines()
        .find(|line| line.len() > 30 && text.matches(*line).count() == 1)
        .expect("a line")
        .to_string();
    let bug = |name: &str, from: &str, to: &str, by: &str| {
        format!(
            "[[mutant]]\nname = {name:?}\nfile = {path:?}\nfrom = {from:?}\nto = {to:?}\ncaught-by = [{by}]\n"
        )
    };
    let list = match copy % 5 {
        0 => bug("a bug", "what stood here long ago", "something else", "\"planted::\""),
        1 => bug("a bug", &once, &once, "\"planted::\""),
        2 => bug("a bug", &once, "something else", ""),
        3 => format!("{0}{0}", bug("a bug", &once, "something else", "\"planted::\"")),
        _ => bug("a bug", &once, "something else", "\"planted::\"").replace(&path, "src/gone.rs"),
    };
    house.put("tests/mutants/spoiled.toml", list);
    "tests/mutants/spoiled.toml".to_string()
}

#[test]
fn each_law_finds_twenty_random_breaches() {
    let clean = House::on_disk();
    assert_eq!(LAWS.len(), BREACHES.len(), "each law is broken");
    let mut missed = Vec::new();
    for ((name, law), (broken, breach)) in LAWS.iter().zip(BREACHES) {
        assert_eq!(name, broken);
        let mut chance = Chance(TestRng::from_seed(RngAlgorithm::ChaCha, &[19; 32]));
        for copy in 0..COPIES {
            let mut house = clean.clone();
            let what = breach(&mut house, &mut chance, copy);
            let found = law(&house);
            if !found.iter().any(|wrong| wrong.contains(&what)) {
                missed.push(format!("{name}, copy {copy}: nothing is said of {what}, but {found:?}"));
            }
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

/// What is allowed is not called a breach.
#[test]
fn laws_leave_alone_what_they_allow() {
    let mut house = House::on_disk();
    let text = house.text("src/draw/mod.rs").to_string();
    let allowed = "\n#[cfg(test)]\nmod harmless {\n    use crate::page::Output;\n    use std::time::Instant;\n}\n\
         // use crate::page::Output;\n\
         /// Like [`crate::page::Output`].\n\
         fn own() -> String { format!(\"crate::page {{:.1}} {}\", crate::book::NAME) }\n\
         pub(in crate::draw) fn near() -> std::time::Duration { self::own(); super::quantity::own() }\n";
    house.put("src/draw/mod.rs", text + allowed);
    let broken: Vec<String> = LAWS.iter().flat_map(|(_, law)| law(&house)).collect();
    assert_eq!(broken, Vec::<String>::new());
    assert!(paper::documents(&house).is_empty());
}
