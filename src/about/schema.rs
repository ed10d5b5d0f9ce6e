//! Turns declared keys into JSON Schema (draft 2020-12), by which an editor completes and checks TOML as it is typed.

use crate::book::Kind;
use crate::read::key::{Key, Need, Takes};
use crate::read::kind::entry;
use crate::read::{MANUAL, PART, SHEET};
use serde_json::{Map, Value, json};

/// The schemas, by the name of their file.
pub fn schemas() -> [(&'static str, Value); 2] {
    let root = |title: &str, keys: &[Key]| {
        let mut schema = table(keys.iter());
        schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
        schema["title"] = json!(title);
        schema
    };
    [
        ("circuit-sheet.schema.json", root("A circuit sheet", SHEET)),
        ("manual.schema.json", root("content/manual.toml", MANUAL)),
    ]
}

/// A table of these keys and no others.
fn table<'k>(keys: impl Iterator<Item = &'k Key> + Clone) -> Value {
    let each = |key: &Key| {
        let mut schema = value(key.takes);
        schema["description"] = json!(said(key));
        (key.name.to_string(), schema)
    };
    let properties: Map<String, Value> = keys.clone().map(each).collect();
    let mut schema = json!({ "type": "object", "properties": properties, "additionalProperties": false });
    // A key that another may stand in place of is needed where that one is not.
    let replaced =
        |key: &Key| keys.clone().find(|other| matches!(other.need, Need::Instead(it) if it == key.name));
    let (free, bound): (Vec<&Key>, Vec<&Key>) =
        keys.clone().filter(|key| key.is_needed()).partition(|key| replaced(key).is_none());
    schema["required"] = free.iter().map(|key| key.name).collect();
    if let Some(key) = bound.first() {
        let other = replaced(key).expect("it is bound by one").name;
        schema["oneOf"] = json!([{ "required": [key.name] }, { "required": [other] }]);
    }
    schema
}

/// What a key says, and what holds without it.
fn said(key: &Key) -> String {
    match key.need {
        Need::Must | Need::Instead(_) => key.tells.to_string(),
        Need::May(without) => format!("{} Without it: {without}.", key.tells),
        Need::Usually(usual, _) => format!("{} Without it: {usual}.", key.tells),
    }
}

fn value(takes: Takes) -> Value {
    let measured = |example: &str| json!({ "type": "string", "pattern": "[0-9]", "examples": [example] });
    match takes {
        Takes::Text | Takes::Condition => json!({ "type": "string" }),
        Takes::Word(words) => json!({ "enum": words() }),
        Takes::Flag => json!({ "type": "boolean" }),
        Takes::Number => json!({ "type": "number", "minimum": 0, "maximum": 1 }),
        Takes::Quantity(dimension) | Takes::Range(dimension) => measured(dimension.example()),
        Takes::Rating(dimension) => measured(&format!("12 V {}", dimension.example())),
        Takes::Pins => json!({ "type": "string", "pattern": "^[^-]+-[^-]+$" }),
        Takes::Texts => json!({ "type": "array", "items": { "type": "string" } }),
        Takes::Groups => {
            let cell = json!({ "type": ["string", "number"] });
            json!({ "type": "array", "items": { "type": "array", "items": cell } })
        }
        Takes::Table(keys) if std::ptr::eq(keys, PART) => part(),
        Takes::Table(keys) => table(keys.iter()),
        Takes::Each(_, _, each) => json!({ "type": "object", "additionalProperties": value(*each) }),
        Takes::Any(forms) => json!({ "anyOf": forms.iter().map(|form| value(*form)).collect::<Vec<_>>() }),
        Takes::List(each) => json!({ "type": "array", "items": value(*each) }),
    }
}

/// A part: one of the kinds, each with the keys of every part and its own.
fn part() -> Value {
    let of = |&kind: &Kind| {
        let mut schema = table(PART.iter().chain(entry(kind).keys));
        schema["properties"]["kind"] = json!({ "const": kind.word(), "description": entry(kind).tells });
        schema
    };
    json!({ "type": "object", "oneOf": Kind::ALL.iter().map(of).collect::<Vec<_>>() })
}
