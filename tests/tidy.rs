//! Holds the laws of the house over the project as it stands, and the laws themselves over copies that break them.

mod breaches;
mod code;
mod house;
mod paper;
mod rooms;
mod world;

use house::House;

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
    ("the top level holds nothing else", paper::top_level),
    ("planted bugs stand in the code", paper::planted_bugs),
];

#[test]
fn every_law_holds() {
    let house = House::on_disk();
    assert!(house.rust("src/").count() > 200, "the laws are held over the real house");
    assert!(rooms::names(&house).len() > 5000, "its names are seen");
    let broken: Vec<String> = LAWS.iter().flat_map(|(name, law)| told(name, law(&house))).collect();
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

fn told(name: &str, wrong: Vec<String>) -> Vec<String> {
    wrong.into_iter().map(|wrong| format!("{name}: {wrong}")).collect()
}
