//! Turns a wire list, in TOML or from a spreadsheet, into rows of placed texts; both forms give the same rows.

use super::log::{Log, list, suggestion};
use super::table::{Table, Value, written};
use crate::book::{Presence, WireColumn, WireHeader};
use crate::finding::{Code, Finding};
use crate::source::{FileId, Placed, Span};
use toml::de::DeValue;

/// One wire as it is written: a cell for each column.
pub struct WireRow {
    cells: Vec<(WireHeader, Placed<String>)>,
    /// The whole row.
    pub span: Span,
}

impl WireRow {
    /// The cell of a column, if it is not empty.
    pub fn cell(&self, column: WireColumn) -> Option<&Placed<String>> {
        self.headed(column).map(|(_, cell)| cell)
    }

    /// The same with the header that it stands under.
    pub fn headed(&self, column: WireColumn) -> Option<(WireHeader, &Placed<String>)> {
        let found = self.cells.iter().find(|(header, cell)| header.column == column && !cell.is_empty());
        found.map(|(header, cell)| (*header, cell))
    }
}

/// The rows of a harness: `wires` is a list of lists or the path of a CSV file beside the sheet.
pub fn rows(harness: &Table, sheet_path: &str, log: &Log) -> Vec<WireRow> {
    let columns = columns(&harness.texts("columns", log), log);
    let Some(wires) = harness.get("wires") else {
        return Vec::new();
    };
    match wires.value {
        DeValue::String(name) => {
            let folder = sheet_path.rsplit_once('/').map_or("", |(folder, _)| folder);
            let path = format!("{folder}/{name}");
            match log.sources.find(&path) {
                Some(file) => from_csv(file, log),
                None => {
                    let known = log.sources.iter().map(|(_, text)| text.path.as_str());
                    let known = known.filter_map(|path| path.strip_prefix(folder)?.strip_prefix('/'));
                    let known = known.filter(|path| path.ends_with(".csv"));
                    let finding = Finding::new(
                        Code::BadTable,
                        written(wires.span, name, log),
                        format!("there is no file `{path}`"),
                    );
                    log.push(finding.hint_if(suggestion(name, known)));
                    Vec::new()
                }
            }
        }
        _ => harness
            .items(&wires, "`wires`", log)
            .iter()
            .filter_map(|row| from_list(harness, row, &columns, log))
            .collect(),
    }
}

fn columns(given: &[Placed<String>], log: &Log) -> Vec<WireHeader> {
    if given.is_empty() {
        return WireColumn::usual();
    }
    given.iter().filter_map(|name| known(name, log)).collect()
}

fn known(name: &Placed<String>, log: &Log) -> Option<WireHeader> {
    let found = WireColumn::headers().find(|header| header.word == name.value);
    if found.is_none() {
        let words: Vec<&str> = WireColumn::headers().map(|header| header.word).collect();
        let finding =
            Finding::new(Code::BadTable, name.span, format!("a wire list has no column `{}`", name.value));
        log.push(
            finding.hint(
                suggestion(name, words.iter().copied())
                    .unwrap_or_else(|| format!("its columns are {}", list(&words))),
            ),
        );
    }
    found
}

fn from_list(harness: &Table, row: &Value, columns: &[WireHeader], log: &Log) -> Option<WireRow> {
    let items = harness.items(row, "a row of `wires`", log);
    if row.as_array().is_none() || !fits(items.len(), columns, row.span, log) {
        return None;
    }
    let mut cells = Vec::new();
    for (column, item) in columns.iter().zip(&items) {
        let text = match item.value {
            DeValue::String(text) => text.to_string(),
            DeValue::Integer(_) | DeValue::Float(_) => log.sources.slice(item.span).to_string(),
            _ => {
                log.error(
                    Code::WrongType,
                    item.span,
                    format!("the column `{}` takes a text or a number", column.word),
                );
                return None;
            }
        };
        let span = match item.value {
            DeValue::String(text) => written(item.span, text, log),
            _ => item.span,
        };
        cells.push((*column, Placed::new(text, span)));
    }
    Some(WireRow { cells, span: row.span })
}

/// Whether a row has a cell for each column; those that not every wire has may be left out at the end.
fn fits(cells: usize, columns: &[WireHeader], span: Span, log: &Log) -> bool {
    let needed = columns.iter().rposition(|header| header.column.presence() == Presence::Needed);
    let needed = needed.map_or(0, |last| last + 1);
    if (needed..=columns.len()).contains(&cells) {
        return true;
    }
    let finding =
        Finding::new(Code::BadTable, span, format!("this row has {cells} cells, and {needed} are needed"));
    log.push(finding.hint(format!(
        "the columns are {}",
        list(&columns.iter().map(|header| header.word).collect::<Vec<_>>())
    )));
    false
}

/// The rows of a spreadsheet: a header row names the columns.
fn from_csv(file: FileId, log: &Log) -> Vec<WireRow> {
    let text = log.text(file);
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut record = csv::StringRecord::new();
    let mut header: Option<Vec<WireHeader>> = None;
    let mut rows = Vec::new();
    loop {
        let start = reader.position().byte() as usize;
        match reader.read_record(&mut record) {
            Ok(true) => {}
            Ok(false) => break,
            Err(error) => {
                log.error(Code::BadTable, Span::new(file, start..start), format!("this is not CSV: {error}"));
                break;
            }
        }
        let end = reader.position().byte() as usize;
        let line = text[start..end].trim();
        if line.is_empty() {
            continue;
        }
        let from = start + text[start..end].find(line).unwrap_or(0);
        let span = Span::new(file, from..from + line.len());
        let cells = cells(&record, span, text);
        match &header {
            None => {
                let named: Option<Vec<WireHeader>> = cells.iter().map(|name| known(name, log)).collect();
                // Under a header that cannot be read no row can.
                let Some(named) = named else { break };
                header = Some(named);
            }
            Some(columns) => {
                if fits(cells.len(), columns, span, log) {
                    rows.push(WireRow { cells: columns.iter().copied().zip(cells).collect(), span });
                }
            }
        }
    }
    rows
}

/// The cells of a record, each found again in its line from left to right.
fn cells(record: &csv::StringRecord, line: Span, text: &str) -> Vec<Placed<String>> {
    let written = &text[line.range()];
    let mut at = 0;
    record
        .iter()
        .map(|field| {
            let trimmed = field.trim();
            // A cell with quotation marks doubled in it stands otherwise in the line than it reads.
            let place = match written[at..].find(trimmed) {
                Some(ahead) => at + ahead..at + ahead + trimmed.len(),
                None => at..at,
            };
            at = written[place.end..].find(',').map_or(written.len(), |comma| place.end + comma + 1);
            Placed::new(trimmed.to_string(), line.within(place))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Sources;

    #[test]
    fn cells_of_a_spreadsheet_know_their_places() {
        let mut sources = Sources::default();
        let text = "id,from,to,color,mm2,m\nW1,A:1,\"B:1\",RD,1.5,0.2\n\nW2,B:2,A:2,BK,1.5,0.25\n";
        let file = sources.add("circuits/a.csv", text);
        let log = Log::new(&sources);
        let rows = from_csv(file, &log);
        assert_eq!(log.count(), 0);
        assert_eq!(rows.len(), 2);
        for row in &rows {
            for (_, cell) in &row.cells {
                assert_eq!(sources.slice(cell.span), cell.value);
            }
        }
        assert_eq!(rows[1].cell(WireColumn::Length).unwrap().value, "0.25");
        assert_eq!(sources.text(file).position(rows[1].span.start as usize).line, 4);
    }

    /// A doubled quotation mark is one in the cell: it can't be found again, and those after it can.
    #[test]
    fn a_cell_with_quotation_marks_upsets_no_place() {
        let mut sources = Sources::default();
        let text = "id,from,to,color,mm2,m\n\"W\"\"€\",A:1,\"B:1\",RD,1.5,0.2\n";
        let file = sources.add("circuits/a.csv", text);
        let log = Log::new(&sources);
        let rows = from_csv(file, &log);
        assert_eq!(rows[0].cell(WireColumn::Id).unwrap().value, "W\"€");
        let to = rows[0].cell(WireColumn::To).unwrap();
        assert_eq!((sources.slice(to.span), to.value.as_str()), ("B:1", "B:1"));
    }
}
