//! `goodground about`: prints a page of the reference or the list of its pages, or writes all of it to a folder.

use super::arguments::About;
use super::output::{self, Place};
use super::say::{say, tell};
use super::{Failure, Outcome, shells};
use crate::about::{Group, pages};
use crate::page;
use crate::read::suggestion;
use crate::report;
use std::path::Path;

/// What a release has to say of others' work; a test keeps it.
const NOTICES: &str = include_str!("notices.txt");

/// Runs the command.
pub fn run(arguments: &About) -> Result<Outcome, Failure> {
    if arguments.notices {
        say(NOTICES)?;
        return Ok(Outcome::Clean);
    }
    if let Some(out) = &arguments.out {
        let place = Place::of(out, Path::new("."))?;
        let mut outputs = page::reference()
            .map_err(|error| Failure(format!("the reference cannot be written: {error}")))?;
        outputs.extend(shells::files()?);
        output::write(&place, &outputs)?;
        tell(format_args!("  {} files in {}", outputs.len(), out.display()));
        return Ok(Outcome::Clean);
    }
    let pages = pages();
    let Some(name) = &arguments.name else {
        for group in Group::ALL {
            say(format_args!("{}:\n", group.title()))?;
            for page in pages.iter().filter(|page| page.group == *group) {
                say(format_args!("  {:<22} {}\n", page.name, page.tells))?;
            }
            say("\n")?;
        }
        return Ok(Outcome::Clean);
    };
    let Some(page) = pages.iter().find(|page| page.name == name) else {
        let near = suggestion(name, pages.iter().map(|page| page.name));
        let near = near.unwrap_or_else(|| "`goodground about` lists all".to_string());
        return Err(Failure(format!("there is no page `{name}`; {near}")));
    };
    say(report::reference(&format!("{}: {}", page.name, page.text)))?;
    Ok(Outcome::Clean)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::command::arguments::Arguments;
    use clap::Parser;

    /// What a page tells a writer to type is what the program takes.
    #[test]
    fn every_command_line_of_the_reference_is_taken() {
        let mut lines = 0;
        for page in pages() {
            for line in page.text.split('`').skip(1).step_by(2).filter(|code| code.starts_with("goodground "))
            {
                // What stands in quotation marks is one argument.
                let words = line.split('"').enumerate().flat_map(|(at, piece)| match at % 2 {
                    0 => piece.split_whitespace().collect(),
                    _ => vec![piece],
                });
                let taken = Arguments::try_parse_from(words);
                assert!(
                    taken.is_ok(),
                    "{}: `{line}`: {}",
                    page.name,
                    taken.err().map_or(String::new(), |error| error.to_string())
                );
                lines += 1;
            }
        }
        assert!(lines > 6, "{lines}");
    }
}
