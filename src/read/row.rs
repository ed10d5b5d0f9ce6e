//! Turns a wire list, in TOML or from a spreadsheet, into rows of placed texts; both forms give the same rows.

use super::log::{Log, list, suggestion};
use super::table::{Table, Value, text_of, written};
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

/// What else can be done with a column of a spreadsheet.
const NAMED: &str =
    "; the list's own names for them stand in `columns`, and what the book does not need in `skip`";

/// How a list of the author's own is to be read.
#[derive(Default)]
struct Dialect {
    /// What a list in TOML has in each place; empty where it is the usual.
    places: Vec<WireHeader>,
    /// What a spreadsheet calls a column.
    heads: Vec<(Placed<String>, WireHeader)>,
    /// Columns of a spreadsheet that say nothing to the book.
    skipped: Vec<Placed<String>>,
    /// Color words of the list, with the book's.
    colors: Vec<(String, String)>,
}

impl Dialect {
    fn of(harness: &Table, log: &Log) -> Dialect {
        let mut dialect = Dialect { skipped: harness.texts("skip", log), ..Dialect::default() };
        let named = harness.get("columns");
        if named.is_some_and(|columns| matches!(columns.value, DeValue::Table(_))) {
            for (ours, theirs) in harness.table("columns", log).iter().flat_map(Table::entries) {
                let theirs = text_of(&theirs, "the header of a column", log);
                dialect.heads.extend(theirs.zip(known(&ours, "", log)));
            }
        } else {
            dialect.places =
                harness.texts("columns", log).iter().filter_map(|name| known(name, "", log)).collect();
        }
        for (theirs, ours) in harness.table("colors", log).iter().flat_map(Table::entries) {
            let ours = text_of(&ours, "a color", log);
            dialect.colors.extend(ours.map(|ours| (theirs.value.clone(), ours.value)));
        }
        dialect
    }

    /// The column under a header of a spreadsheet; none where it is to be skipped, and an error where nobody knows it.
    fn head(&self, name: &Placed<String>, log: &Log) -> Result<Option<WireHeader>, ()> {
        if let Some((_, header)) = self.heads.iter().find(|(theirs, _)| theirs.value == name.value) {
            return Ok(Some(*header));
        }
        if name.is_empty() || self.skipped.iter().any(|skipped| skipped.value == name.value) {
            return Ok(None);
        }
        known(name, NAMED, log).map(Some).ok_or(())
    }

    /// A color in the book's words: all of it, or each side of its strokes.
    fn color(&self, cell: Placed<String>) -> Placed<String> {
        let ours = |text: &str| {
            let found = self.colors.iter().find(|(theirs, _)| theirs == text.trim());
            found.map(|(_, ours)| ours.clone())
        };
        let sides = || {
            let sides = cell.value.split('/').map(|side| ours(side).unwrap_or_else(|| side.to_string()));
            sides.collect::<Vec<_>>().join("/")
        };
        let text = ours(&cell.value).unwrap_or_else(sides);
        Placed::new(text, cell.span)
    }

    /// A row of cells under their headers.
    fn row(&self, cells: impl Iterator<Item = (WireHeader, Placed<String>)>, span: Span) -> WireRow {
        let cells = cells.map(|(header, cell)| match header.column {
            WireColumn::Color => (header, self.color(cell)),
            _ => (header, cell),
        });
        WireRow { cells: cells.collect(), span }
    }
}

/// The rows of a harness: `wires` is a list of lists or the path of a CSV file beside the sheet.
pub fn rows(harness: &Table, sheet_path: &str, log: &Log) -> Vec<WireRow> {
    let dialect = Dialect::of(harness, log);
    let Some(wires) = harness.get("wires") else {
        return Vec::new();
    };
    let DeValue::String(name) = wires.value else {
        for (head, _) in &dialect.heads {
            let headline =
                format!("`{}` would be a column of a spreadsheet, and these wires stand here", head.value);
            let finding = Finding::new(Code::BadTable, head.span, headline);
            log.push(finding.hint("write `columns` as a list, in the order of the cells"));
        }
        let columns = if dialect.places.is_empty() { WireColumn::usual() } else { dialect.places.clone() };
        let items = harness.items(&wires, "`wires`", log);
        return items.iter().filter_map(|row| from_list(harness, row, &columns, &dialect, log)).collect();
    };
    let folder = sheet_path.rsplit_once('/').map_or("", |(folder, _)| folder);
    let path = format!("{folder}/{name}");
    if let Some(file) = log.sources.find(&path) {
        return from_csv(file, &dialect, log);
    }
    let known = log.sources.iter().map(|(_, text)| text.path.as_str());
    let known = known.filter_map(|path| path.strip_prefix(folder)?.strip_prefix('/'));
    let known = known.filter(|path| path.ends_with(".csv"));
    let headline = format!("there is no file `{path}`");
    let finding = Finding::new(Code::BadTable, written(wires.span, name, log), headline);
    log.push(finding.hint_if(suggestion(name, known)));
    Vec::new()
}

/// The column that is meant; `else_do` is what else to do with one that nobody knows.
fn known(name: &Placed<String>, else_do: &str, log: &Log) -> Option<WireHeader> {
    let found = WireColumn::headers().find(|header| header.word == name.value);
    if found.is_none() {
        let words: Vec<&str> = WireColumn::headers().map(|header| header.word).collect();
        let finding =
            Finding::new(Code::BadTable, name.span, format!("a wire list has no column `{}`", name.value));
        log.push(
            finding.hint(
                suggestion(name, words.iter().copied())
                    .unwrap_or_else(|| format!("its columns are {}{else_do}", list(&words))),
            ),
        );
    }
    found
}

fn from_list(
    harness: &Table,
    row: &Value,
    columns: &[WireHeader],
    dialect: &Dialect,
    log: &Log,
) -> Option<WireRow> {
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
    Some(dialect.row(cells.into_iter(), row.span))
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

/// What stands between the cells of a spreadsheet: what its header row has most of.
fn separator(text: &str) -> char {
    let header = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let times = |separator: &char| header.matches(*separator).count();
    // Of equals the last one wins, and a comma is usual.
    ['\t', ';', ','].into_iter().max_by_key(times).unwrap_or(',')
}

/// A number as it stands in a spreadsheet of many countries, `0,75`; only where a comma does not part the cells.
fn point_for_comma(cell: Placed<String>) -> Placed<String> {
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    match cell.value.split_once(',') {
        Some((whole, part)) if is_number(whole) && is_number(part) => {
            Placed::new(format!("{whole}.{part}"), cell.span)
        }
        _ => cell,
    }
}

/// The rows of a spreadsheet: a header row names the columns.
fn from_csv(file: FileId, dialect: &Dialect, log: &Log) -> Vec<WireRow> {
    let text = log.text(file);
    let separator = separator(text);
    let mut reader = csv::ReaderBuilder::new();
    let reader = reader.has_headers(false).flexible(true).delimiter(separator as u8);
    let mut reader = reader.from_reader(text.as_bytes());
    let mut record = csv::StringRecord::new();
    // The columns as they stand, and those that are read.
    let mut header: Option<(Vec<Option<WireHeader>>, Vec<WireHeader>)> = None;
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
        let cells = cells(&record, span, text, separator);
        match &header {
            None => {
                // Every header that cannot be read is told, and under one no row can be read.
                let named: Vec<_> = cells.iter().map(|name| dialect.head(name, log)).collect();
                let Ok(columns) = named.into_iter().collect::<Result<Vec<_>, _>>() else { break };
                for (missing, _) in dialect
                    .heads
                    .iter()
                    .filter(|(head, _)| !cells.iter().any(|cell| cell.value == head.value))
                {
                    let headline = format!("the list has no column `{}`", missing.value);
                    let theirs = cells.iter().map(|cell| cell.value.as_str());
                    let hint = suggestion(&missing.value, theirs.clone());
                    let hint =
                        hint.unwrap_or_else(|| format!("it has {}", list(&theirs.collect::<Vec<_>>())));
                    log.push(Finding::new(Code::BadTable, missing.span, headline).hint(hint));
                }
                let named = columns.iter().flatten().copied().collect();
                header = Some((columns, named));
            }
            Some((columns, named)) => {
                let count = cells.len();
                let read = columns.iter().zip(cells).filter_map(|(header, cell)| {
                    let measured = (*header)?.unit.is_some() && separator != ',';
                    Some(if measured { point_for_comma(cell) } else { cell })
                });
                let cells: Vec<Placed<String>> = read.collect();
                let has = if named.len() < columns.len() { cells.len() } else { count };
                if fits(has, named, span, log) {
                    rows.push(dialect.row(named.iter().copied().zip(cells), span));
                }
            }
        }
    }
    rows
}

/// The cells of a record, each found again in its line from left to right.
fn cells(record: &csv::StringRecord, line: Span, text: &str, separator: char) -> Vec<Placed<String>> {
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
            at = written[place.end..].find(separator).map_or(written.len(), |next| place.end + next + 1);
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
        let rows = from_csv(file, &Dialect::default(), &log);
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
        let rows = from_csv(file, &Dialect::default(), &log);
        assert_eq!(rows[0].cell(WireColumn::Id).unwrap().value, "W\"€");
        let to = rows[0].cell(WireColumn::To).unwrap();
        assert_eq!((sources.slice(to.span), to.value.as_str()), ("B:1", "B:1"));
    }
}
