//! Turns text into what stands on the terminal or in the file that a run prints to.

use super::Failure;
use std::fmt::Display;
use std::io::{ErrorKind, IsTerminal, Write};

/// Prints a text as it is. A reader who has seen enough, such as `head`, ends nothing; a disk that is full does.
pub fn say(text: impl Display) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match write!(out, "{text}").and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure(format!("cannot print: {error}"))),
        _ => Ok(()),
    }
}

/// Tells the person at the terminal one thing; nobody can be told that this did not work.
pub fn tell(text: impl Display) {
    let _ = writeln!(std::io::stderr(), "{text}");
}

/// Whether what is printed may be colored: on a terminal that has colors, unless the person wants none.
pub fn is_colored() -> bool {
    let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    std::io::stdout().is_terminal() && !unwanted && !is_dumb()
}

/// Columns that a text is set in: a narrow terminal's own, else 80, on which a sentence reads well.
pub fn width() -> usize {
    let columns = console::Term::stdout().size_checked().map_or(80, |(_, columns)| usize::from(columns));
    columns.clamp(30, 80)
}

/// Whether the terminal knows no codes at all.
pub fn is_dumb() -> bool {
    std::env::var_os("TERM").is_some_and(|name| name == "dumb")
}
