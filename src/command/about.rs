//! `goodground about`: prints the manual page of a finding's code, or the list of codes.

use super::arguments::About;
use super::say::say;
use super::{Failure, Outcome};
use crate::finding::{Code, Severity};

/// What a release has to say of others' work; a test keeps it.
const NOTICES: &str = include_str!("notices.txt");

/// Runs the command.
pub fn run(arguments: &About) -> Result<Outcome, Failure> {
    if arguments.notices {
        say(NOTICES)?;
        return Ok(Outcome::Clean);
    }
    let Some(name) = &arguments.code else {
        for code in Code::ALL {
            let weight = if code.severity() == Severity::Error { "error" } else { "warning" };
            say(format_args!("{:<22} {:<8} {}\n", code.name(), weight, code.meaning()))?;
        }
        return Ok(Outcome::Clean);
    };
    let Some(code) = Code::ALL.iter().find(|code| code.name() == name) else {
        return Err(Failure(format!("there is no code `{name}`; `goodground about` lists them")));
    };
    say(format_args!("{}: {}", code.name(), shown(code.page())))?;
    Ok(Outcome::Clean)
}

/// A manual page for a terminal: an excerpt stands indented under the name of its file, and what is wrong in it is pointed at.
fn shown(page: &str) -> String {
    let mut text = String::new();
    let mut excerpt = false;
    for line in page.lines() {
        let line = line.replace("# here", "<--").replace("<!-- here -->", "<--");
        match line.strip_prefix("```") {
            Some(head) if !excerpt => {
                text.push_str(&format!("  in {}:\n\n", head.split(' ').next_back().unwrap_or_default()));
            }
            Some(_) => {}
            None if excerpt && !line.is_empty() => text.push_str(&format!("    {line}\n")),
            None => text.push_str(&format!("{line}\n")),
        }
        excerpt ^= line.starts_with("```");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_excerpt_stands_under_its_file() {
        let page = "A slip.\n\n```md content/a.md\n- Expect: H9 lti <!-- here -->\n```\n\nRepair: mend it.\n";
        let text = "A slip.\n\n  in content/a.md:\n\n    - Expect: H9 lti <--\n\nRepair: mend it.\n";
        assert_eq!(shown(page), text);
    }

    #[test]
    fn every_page_fits_a_terminal() {
        for code in Code::ALL {
            let text = format!("{}: {}", code.name(), shown(code.page()));
            let long = text.lines().find(|line| line.chars().count() > 80);
            assert_eq!(long, None, "{}", code.name());
        }
    }
}
