//! `goodground draft`: writes a checkout or a troubleshooting page for a circuit to the output, as source to edit.

use super::arguments::{Draft, Drafted, Format};
use super::say::{say, tell, width};
use super::{Failure, Outcome, folder};
use crate::book::{Book, FaultId, SheetId};
use crate::draft::{checkout, troubleshooting};
use crate::finding::Code;
use crate::proof::Fleet;
use crate::report::{self, Look};
use serde_json::{Value, json};

/// Runs the command. What is said about the page goes to the error stream, so that the page can go to a file.
pub fn run(arguments: &Draft) -> Result<Outcome, Failure> {
    let book = read(arguments)?;
    let sheet = sheet(&book, &arguments.sheet)?;
    let fleet = Fleet::of(&book);
    let (text, note, value) = match arguments.what {
        Drafted::Checkout => {
            let drafted = checkout(&book, &fleet, sheet);
            let unshown: Vec<&str> = drafted.unshown.iter().map(|&fault| name(&book, fault)).collect();
            let note = match unshown.as_slice() {
                [] => format!("{} steps show all {} faults of this sheet", drafted.steps, drafted.faults),
                _ => format!(
                    "{} steps show {} of {} faults of this sheet; none shows {}",
                    drafted.steps,
                    drafted.faults - unshown.len(),
                    drafted.faults,
                    unshown.join(", ")
                ),
            };
            let value = json!({ "steps": drafted.steps, "faults": drafted.faults, "unshown": unshown });
            (drafted.text, note, value)
        }
        Drafted::Troubleshooting => {
            let drafted = troubleshooting(&book, &fleet, sheet).ok_or_else(|| {
                let hint = "draft that first, save it under content/, and read it through";
                Failure(format!("no checkout of the book is about `{}`: {hint}", arguments.sheet))
            })?;
            let note = format!("{} procedures with {} tests", drafted.procedures, drafted.tests);
            let value = json!({ "procedures": drafted.procedures, "tests": drafted.tests });
            (drafted.text, note, value)
        }
    };
    match arguments.common.format {
        Format::Text => {
            say(text)?;
            tell(note);
        }
        Format::Json => {
            let mut value = value;
            value["text"] = Value::from(text);
            say(format_args!("{value:#}\n"))?;
        }
    }
    Ok(Outcome::Clean)
}

/// The book, as far as it is right; what is wrong with it is said. Links to pages that are still to be drafted are no
/// hindrance, nor is an empty file: the one that the output goes to.
fn read(arguments: &Draft) -> Result<Book, Failure> {
    let folder = folder::read(&arguments.common.book)?;
    let images: Vec<String> = folder.images.keys().cloned().collect();
    let (book, findings) = crate::read::read(&folder.sources, &images);
    let mut findings = findings.sorted();
    findings.retain(|finding| {
        let awaited = matches!(finding.code, Code::UnknownPage | Code::UnknownAnchor | Code::Unused);
        let file = folder.sources.text(finding.span.file);
        !awaited && (file.unread.is_some() || !file.content.is_empty())
    });
    if !findings.is_empty() {
        tell(
            report::findings(&findings, &folder.sources, Look { color: false, width: width() })
                .trim_end_matches('\n'),
        );
        tell("");
    }
    Ok(book)
}

/// The sheet of this name.
pub fn sheet(book: &Book, id: &str) -> Result<SheetId, Failure> {
    book.find_sheet(id).ok_or_else(|| {
        let known: Vec<&str> = book.sheets.iter().map(|sheet| sheet.id.as_str()).collect();
        Failure(format!("there is no circuit sheet `{id}`; the book has {}", known.join(", ")))
    })
}

fn name(book: &Book, fault: FaultId) -> &str {
    &book.fault(fault).name
}
