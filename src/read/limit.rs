//! How much of anything a book may have. What lies beyond is a slip or an attack, and gets a finding before it costs the writer's
//! time or the machine's memory; `goodground about too-much` lists these figures.

use super::log::Log;
use crate::finding::{About, Code, Finding};
use crate::source::Span;

/// Bytes of one text file. A hundred pages of prose are a megabyte.
pub const FILE: usize = 8 << 20;

/// Conditions within conditions: what a person reads has three or four.
pub const NESTING: usize = 50;

/// Links, images and quotations within each other in a page: what a person reads has two or three.
pub const BRACKETS: usize = 50;

/// Ways in which the options can be combined, before `exclude` is looked at: each build is proved by itself.
pub const BUILDS: usize = 4_096;

/// Choices of one option, and positions of one control.
pub const CHOICES: usize = 1_000;

/// Seconds of one `wait`: nobody stands beside a vehicle for longer.
pub const WAIT: f64 = 3_600.0;

/// Where a page's text begins to have more brackets or quotations within each other than it may: what opens and does not close
/// before the paragraph ends counts too, since whoever reads it has to keep it in mind.
pub fn too_nested(text: &str) -> Option<usize> {
    let mut depth: usize = 0;
    let mut quoted: usize = 0;
    let mut starts = true;
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            b'\n' if starts => depth = 0,
            b'\n' => (starts, quoted) = (true, 0),
            b'>' if starts => quoted += 1,
            b'-' | b'*' | b'+' if starts && text[at + 1..].starts_with(' ') => quoted += 1,
            b' ' | b'\t' => {}
            _ => {
                starts = false;
                match byte {
                    b'[' => depth += 1,
                    b']' => depth = depth.saturating_sub(1),
                    _ => {}
                }
            }
        }
        if depth.max(quoted) > BRACKETS {
            return Some(at);
        }
    }
    None
}

/// A finding where something is beyond its limit.
pub fn exceed(log: &Log, span: Span, what: &str, most: impl std::fmt::Display) {
    let finding = Finding::new(Code::TooMuch, span, format!("{what}; at most {most} are read"));
    log.push(finding.remark(About::More, "`goodground about too-much` lists the limits"));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_manual_lists_the_limits_as_they_are() {
        let page = Code::TooMuch.page().split_whitespace().collect::<Vec<_>>().join(" ");
        for told in [
            format!("{FILE} bytes in one file"),
            format!("conditions nested {NESTING} deep"),
            format!("links and quotations nested {BRACKETS} deep"),
            format!("{BUILDS} combinations of options"),
            format!("{CHOICES} choices of an option or positions of a control"),
            format!("a wait of {WAIT} s"),
        ] {
            assert!(page.contains(&told), "{told}");
        }
    }
}
