//! Turns the words of a link into a finding when they number or name another place than the one it leads to.

use super::place::Destination;
use super::prose::Context;
use crate::finding::{Code, Finding};
use crate::source::Placed;

/// What a section is called before its number.
const LABELS: &[&str] = &["procedure", "step", "test", "procedimiento", "paso", "prueba"];

/// A section's number as a title or a link tells it: `Step 3`, `2.3`.
#[derive(PartialEq)]
struct Number<'t> {
    /// In lower case; empty for a bare number.
    label: String,
    digits: &'t str,
}

impl std::fmt::Display for Number<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        match self.label.is_empty() {
            true => f.write_str(self.digits),
            false => write!(f, "{} {}", self.label, self.digits),
        }
    }
}

/// Compares a link's words with the titles of where it leads.
pub fn check(words: &Placed<&str>, to: &Destination, context: &Context) {
    let places = context.places;
    let page = &places.titles[to.page.index()];
    let report = |headline: String, hint: String| {
        let finding = Finding::new(Code::ContradictedFact, words.span, headline);
        context.reader.log.push(finding.hint(hint));
    };
    let told = numbered(words.value, false);
    if let Some((_, section)) = &to.section {
        let title = &page.sections[*section as usize];
        let leads = format!("the link leads to \"{title}\"");
        if let (Some((_, told)), Some((_, own))) = (&told, numbered(title, true)) {
            let labels = [&told.label, &own.label].iter().any(|label| label.is_empty());
            if told.digits != own.digits || (!labels && told.label != own.label) {
                return report(format!("these words say {told}, and the link leads to {own}"), leads);
            }
            let rest = |text: &str| text.split_once(": ").map(|(_, rest)| rest.trim().to_string());
            if let (Some(said), Some(is)) = (rest(words.value), rest(title))
                && !said.eq_ignore_ascii_case(&is)
            {
                return report(format!("no place with this number is called \"{said}\""), leads);
            }
        }
    }
    // A page named before the number, or alone.
    let name = match &told {
        Some((at, _)) => words.value[..*at].trim_end().trim_end_matches(',').trim(),
        None => words.value.trim(),
    };
    let name = name.strip_prefix("the ").unwrap_or(name).to_lowercase();
    let named: Vec<usize> = (0..places.titles.len())
        .filter(|&at| {
            let other = &places.titles[at];
            let sheet =
                other.sheet.map(|sheet| context.reader.book.sheets[sheet.index()].title.to_lowercase());
            other.title.to_lowercase() == name || sheet.as_ref() == Some(&name)
        })
        .collect();
    if !named.is_empty() && !named.contains(&to.page.index()) {
        let headline = format!("these words name another page than `{}`", to.path);
        report(headline, format!("the link leads to \"{}\"", page.title));
    }
}

/// The number that a text tells, and where it begins; none when it tells several. A title may begin with a bare one, other
/// words are one or tell none: `1.5 mm2` is no place.
fn numbered(text: &str, title: bool) -> Option<(usize, Number<'_>)> {
    let mut words: Vec<(usize, &str)> = Vec::new();
    for word in text.split_whitespace() {
        words.push((word.as_ptr() as usize - text.as_ptr() as usize, word));
    }
    let digits = |word: &'_ str| -> Option<usize> {
        let own = word.trim_end_matches(['.', ':', ',', ')']);
        let all = own.chars().all(|c| c.is_ascii_digit() || c == '.');
        (all && own.starts_with(|c: char| c.is_ascii_digit())).then_some(own.len())
    };
    let mut found = None;
    for (at, (from, word)) in words.iter().enumerate() {
        let Some(length) = digits(word) else { continue };
        let before = at.checked_sub(1).map(|before| words[before]);
        let label = before.map(|(from, word)| (from, word.to_lowercase()));
        let label = label.filter(|(_, word)| LABELS.contains(&word.as_str()));
        // A bare number is a section's when a title begins with it, or when it is all that the words say.
        let here = match label {
            Some((from, label)) => (from, Number { label, digits: &word[..length] }),
            None if at == 0 && (words.len() == 1 || title && word.contains('.')) => {
                (*from, Number { label: String::new(), digits: &word[..length] })
            }
            None => continue,
        };
        if found.is_some() {
            return None;
        }
        found = Some(here);
    }
    found
}
