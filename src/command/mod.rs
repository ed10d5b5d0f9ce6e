//! Turns arguments and a folder into a run with an exit code: the only room that touches the world.

// This is the room that `clippy.toml` sends everybody else to.
#![allow(clippy::disallowed_macros, clippy::disallowed_methods, clippy::disallowed_types)]

mod about;
mod arguments;
mod draft;
mod folder;
mod new;
mod output;
mod progress;
mod prove;
mod publish;
mod say;
mod shells;
mod stamp;
mod suspects;
mod watch;
mod why;

use arguments::{Arguments, Command};
use clap::Parser;
use std::process::ExitCode;

/// What a run ends with, as an exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing to complain of, or warnings only.
    Clean = 0,
    /// At least one error in the book.
    Findings = 1,
    /// The run could not go on: a folder that cannot be read, a disk that is full, words that the tool does not know.
    Failed = 2,
}

/// Why a run could not go on: one line for a person.
#[derive(Debug)]
pub struct Failure(pub String);

impl<E: std::error::Error> From<E> for Failure {
    fn from(error: E) -> Failure {
        Failure(error.to_string())
    }
}

/// Runs the program with the arguments of the process.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let code = if error.use_stderr() { Outcome::Failed } else { Outcome::Clean };
            // Nothing more can be done when even this cannot be printed.
            let _ = error.print();
            return ExitCode::from(code as u8);
        }
    };
    let outcome = match arguments.command {
        Command::Prove(arguments) => prove::run(&arguments),
        Command::Publish(arguments) => publish::run(&arguments),
        Command::Why(arguments) => why::run(&arguments),
        Command::Suspects(arguments) => suspects::run(&arguments),
        Command::Draft(arguments) => draft::run(&arguments),
        Command::New(arguments) => new::run(&arguments),
        Command::About(arguments) => about::run(&arguments),
    };
    match outcome {
        Ok(outcome) => ExitCode::from(outcome as u8),
        Err(Failure(reason)) => {
            say::tell(format_args!("goodground: {reason}"));
            ExitCode::from(Outcome::Failed as u8)
        }
    }
}
