//! `goodground explain`: prints the manual page of a finding's code, or the list of codes.

use super::arguments::Explain;
use super::{Failure, Outcome};
use crate::check::manual;
use crate::finding::{Code, Severity};

/// Runs the command.
pub fn run(arguments: &Explain) -> Result<Outcome, Failure> {
    let Some(name) = &arguments.code else {
        for code in Code::ALL {
            let weight = if code.severity() == Severity::Error { "error" } else { "warning" };
            println!("{:<22} {:<8} {}", code.name(), weight, code.meaning());
        }
        return Ok(Outcome::Clean);
    };
    let Some(code) = Code::ALL.iter().find(|code| code.name() == name) else {
        return Err(Failure(format!("there is no code `{name}`; `goodground explain` lists them")));
    };
    println!("{}: {}", code.name(), code.meaning());
    if let Some(page) = manual(*code) {
        println!("\n{page}");
    }
    Ok(Outcome::Clean)
}
