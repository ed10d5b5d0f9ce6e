//! Holds the laws of the house over the project as it stands, and the laws themselves over copies that break them.

mod breaches;
mod code;
mod house;
mod paper;
mod rooms;
mod views;
mod world;

use house::House;
use std::path::Path;

/// A law: what breaks it in a house, one a line.
type Law = fn(&House) -> Vec<String>;

/// The laws that DEVELOPERS.md states.
const LAWS: &[(&str, Law)] = &[
    ("rooms stand in the order of the guide", rooms::order),
    ("rooms import what the guide allows", rooms::imports),
    ("no room is private, no file astray", rooms::stray),
    ("nothing is kept by its hash", world::hash_order),
    ("only `command` touches the world", world::world),
    ("digits are chosen in `quantity`", world::digits),
    ("libraries are used where the guide says", world::libraries),
    ("files open with their sentence", paper::openings),
    ("no file is a drawer", paper::drawers),
    ("documents name what exists", paper::documents),
    ("templates' fields are told as they are", views::documented),
    ("the top level holds nothing else", paper::top_level),
    ("planted bugs stand in the code", paper::planted_bugs),
];

#[test]
fn every_law_holds() {
    let mut house = House::on_disk();
    if std::env::var_os("REWRITE_FIELDS").is_some() {
        let (head, _) =
            house.text(views::DOCUMENT).split_once(views::HEADING).expect("the list has its heading");
        let text = format!("{head}{}{}", views::HEADING, views::list(&house));
        std::fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join(views::DOCUMENT), &text)
            .expect("it can be written");
        house.put(views::DOCUMENT, text);
    }
    assert!(house.rust("src/").count() > 200, "the laws are held over the real house");
    assert!(rooms::names(&house).len() > 5000, "its names are seen");
    let broken: Vec<String> = LAWS.iter().flat_map(|(name, law)| told(name, law(&house))).collect();
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

fn told(name: &str, wrong: Vec<String>) -> Vec<String> {
    wrong.into_iter().map(|wrong| format!("{name}: {wrong}")).collect()
}
