//! Turns declared keys and forms into lists in Markdown.

use crate::read::form::Form;
use crate::read::key::{Key, Need, Takes};

/// A list of keys, those of inner tables below their own.
pub fn keys(keys: &[Key]) -> String {
    let mut text = String::new();
    list(keys, 0, &mut text);
    text
}

fn list(keys: &[Key], depth: usize, text: &mut String) {
    for key in keys {
        text.push_str(&format!("{}- {}\n", "  ".repeat(depth), said(key)));
        list(key.takes.inner(), depth + 1, text);
    }
}

/// A key in sentences: how it is written, what it says, what holds without it.
fn said(key: &Key) -> String {
    let mut said = vec![format!("`{}`", key.written())];
    if key.is_needed() {
        said.push("(needed)".to_string());
    }
    said.push(key.tells.to_string());
    said.extend(forms(key.takes));
    match key.need {
        Need::Must => {}
        Need::May(without) => said.push(format!("Without it: {without}.")),
        Need::Usually(value, "") => said.push(format!("Without it: {value}.")),
        Need::Usually(value, source) => said.push(format!("Without it: {value} ({source}).")),
        Need::Instead(other) => said.push(format!("In place of `{other}`.")),
    }
    if let Takes::Each(_, _, Takes::Any(_)) = key.takes {
        said.push("What stands under it may be a table:".to_string());
    }
    said.join(" ")
}

/// What an example does not say of its form.
fn forms(takes: Takes) -> Option<String> {
    match takes {
        Takes::Word(words) => {
            let words: Vec<String> = words().iter().map(|word| format!("`{word}`")).collect();
            Some(format!("One of {}.", words.join(", ")))
        }
        Takes::Each(what, example, _) => Some(format!("Each name is {what}, such as `{example}`.")),
        Takes::Flag => Some("`true` or `false`.".to_string()),
        Takes::Condition => Some("A condition (`about conditions`).".to_string()),
        _ => None,
    }
}

/// A list of forms with their examples.
pub fn list_of(forms: &[Form]) -> String {
    let line = |form: &Form| match form.form == form.example {
        true => format!("- `{}`: {}\n", form.form, form.tells),
        false => format!("- `{}`: {} For example `{}`.\n", form.form, form.tells, form.example),
    };
    forms.iter().map(line).collect()
}
