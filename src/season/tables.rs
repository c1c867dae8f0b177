//! Which file and which sheet each table of the season stands in.
//!
//! A table stands in a file of its name (`pulls.csv`, `Pulls.xlsx`), or else in a sheet of its name in a workbook that lies in the
//! season folder itself (`season.xlsx` with the sheets *pulls* and *weighings*). The file goes before the sheet.

use std::collections::BTreeMap;

use super::problem::{Problem, ProblemKind};
use super::table::{self, Column, Conventions, Grid, Row, TableProblem};
use super::value::fold;
use super::{Reader, cover, history, photo_notes, pulls, spending, weighings};
use crate::phrase;
use crate::place::{Place, Spot};
use crate::words;
use crate::words::number;

struct Table {
    name: &'static str,
    /// Other names that a sheet may have (common practice, no source). A file has the table's own name.
    also: &'static [&'static str],
    columns: &'static [Column],
    needed_for: Option<&'static str>,
    /// Rows that are read: many times what a season has, and so few that all that follows from them stays small in memory.
    most_rows: usize,
}

/// Thirty crews that go out every day of half a year log fewer pulls.
const MOST_RECORDS: usize = 6_000;

const TABLES: [Table; 6] = [
    Table {
        name: "pulls",
        also: &["pull", "pull log", "pulls log", "pulling log", "log"],
        columns: pulls::COLUMNS,
        needed_for: Some(phrase!("every figure")),
        most_rows: MOST_RECORDS,
    },
    Table {
        name: "weighings",
        also: &[
            "weighing",
            "weights",
            "weighed bags",
            "weighed",
            "bag weights",
        ],
        columns: weighings::COLUMNS,
        needed_for: Some(phrase!("converting containers to mass")),
        most_rows: MOST_RECORDS,
    },
    Table {
        name: "cover",
        also: &["cover plots", "plots", "quadrats"],
        columns: cover::COLUMNS,
        needed_for: None,
        most_rows: MOST_RECORDS,
    },
    Table {
        name: "history",
        also: &["earlier seasons", "past seasons"],
        columns: history::COLUMNS,
        needed_for: None,
        most_rows: MOST_RECORDS,
    },
    Table {
        name: "spending",
        also: &["expenses", "receipts"],
        columns: spending::COLUMNS,
        needed_for: None,
        most_rows: MOST_RECORDS,
    },
    Table {
        name: "photos",
        also: &["photo list", "photo log", "photo notes"],
        columns: photo_notes::COLUMNS,
        needed_for: None,
        // A photo may have one each.
        most_rows: table::MOST_LINES,
    },
];

/// The rows of every table.
#[derive(Default)]
pub(super) struct Tables {
    pub pulls: Vec<Row>,
    pub weighings: Vec<Row>,
    pub cover: Vec<Row>,
    pub history: Vec<Row>,
    pub spending: Vec<Row>,
    pub photos: Vec<Row>,
}

fn stem_and_ending(path: &str) -> Option<(&str, String)> {
    let (stem, ending) = path.rsplit_once('.')?;
    Some((stem, ending.to_lowercase()))
}

/// The table that a sheet's name names.
fn named(sheet: &str) -> Option<usize> {
    let folded = fold(sheet);
    TABLES.iter().position(|table| {
        std::iter::once(table.name)
            .chain(table.also.iter().copied())
            .any(|name| fold(name) == folded)
    })
}

/// The files that may hold tables, opened one by one and never twice.
struct Files<'r, 'f> {
    reader: &'r mut Reader<'f>,
    /// Sheets that nobody has taken yet.
    opened: BTreeMap<String, Vec<Grid>>,
    /// What is wrong with workbooks that bear no table's name. It matters where a table that is needed is not found elsewhere.
    aside: Vec<Problem>,
}

impl Files<'_, '_> {
    /// Opens a file. One that can't be read has no sheets.
    fn open(&mut self, path: &str, is_own: bool) {
        let before = self.reader.problems.len();
        let grids = match self.reader.bytes(path, table::LARGEST_TABLE) {
            Some(bytes) => table::open(path, &bytes, &mut self.reader.problems),
            None => Vec::new(),
        };
        if !is_own {
            self.aside.extend(self.reader.problems.drain(before..));
        }
        self.opened.insert(path.to_owned(), grids);
    }
}

/// Finds and reads all tables.
pub(super) fn read(reader: &mut Reader<'_>, conventions: &Conventions) -> Tables {
    let (files, workbooks) = candidates(reader);
    let mut others: Vec<(usize, String)> = Vec::new();
    let mut own: [Option<String>; TABLES.len()] = Default::default();
    for (table, mut paths) in files {
        paths.sort_by_key(|(rank, path)| (*rank, path.clone()));
        let mut paths = paths.into_iter().map(|(_, path)| path);
        if let Some(place) = own.get_mut(table) {
            *place = paths.next();
        }
        others.extend(paths.map(|path| (table, path)));
    }
    others.extend(in_other_formats(reader));
    for (table, path) in others {
        if let Some(Some(other)) = own.get(table) {
            let other = other.clone();
            reader.report(&path, ProblemKind::TableTwice { other });
        }
    }
    let mut files = Files {
        reader,
        opened: BTreeMap::new(),
        aside: Vec::new(),
    };
    for path in own.iter().flatten() {
        files.open(path, true);
    }
    for path in &workbooks {
        files.open(path, false);
    }
    let mut rows: [Vec<Row>; TABLES.len()] = Default::default();
    // Sheets named for another table leave a workbook before its own table is read.
    let mut by_name: [Vec<(String, Grid)>; TABLES.len()] = Default::default();
    for (path, grids) in &mut files.opened {
        let own_table = own
            .iter()
            .position(|own| own.as_deref() == Some(path.as_str()));
        let (away, stay): (Vec<Grid>, Vec<Grid>) =
            std::mem::take(grids).into_iter().partition(|grid| {
                grid.sheet
                    .as_deref()
                    .and_then(named)
                    .is_some_and(|table| Some(table) != own_table)
            });
        *grids = stay;
        for grid in away {
            if let Some(table) = grid.sheet.as_deref().and_then(named)
                && let Some(sheets) = by_name.get_mut(table)
            {
                sheets.push((path.clone(), grid));
            }
        }
    }
    let mut used: Vec<String> = Vec::new();
    for (number, table) in TABLES.iter().enumerate() {
        let sheets = by_name
            .get_mut(number)
            .map(std::mem::take)
            .unwrap_or_default();
        // A sheet of a template that nobody has filled in is no second log.
        let sheets: Vec<(String, Grid)> = sheets
            .into_iter()
            .filter(|(_, grid)| !grid.lines.is_empty())
            .collect();
        let found = match own.get(number) {
            Some(Some(path)) => {
                for (workbook, grid) in &sheets {
                    if grid.lines.len() > 1 {
                        tell_sheet(
                            files.reader,
                            workbook,
                            grid,
                            ProblemKind::TableTwice {
                                other: path.clone(),
                            },
                        );
                    }
                }
                let own_sheets = files.opened.remove(path).unwrap_or_default();
                if own_sheets.is_empty() {
                    continue;
                }
                let with_names = own_sheets
                    .into_iter()
                    .map(|grid| {
                        let is_named = grid.sheet.as_deref().and_then(named) == Some(number);
                        (grid, is_named)
                    })
                    .collect();
                Some((path.clone(), with_names))
            }
            _ => from_workbooks(files.reader, table, sheets, &mut used),
        };
        match found {
            Some((path, sheets)) => {
                if !matches!(own.get(number), Some(Some(_))) {
                    for (_, other) in in_other_formats(files.reader)
                        .into_iter()
                        .filter(|(table, _)| *table == number)
                    {
                        let kind = ProblemKind::TableTwice {
                            other: path.clone(),
                        };
                        files.reader.report(&other, kind);
                    }
                }
                if let Some(place) = rows.get_mut(number) {
                    let problems = &mut files.reader.problems;
                    let others = all_but(number);
                    *place =
                        table::read(&path, sheets, table.columns, &others, conventions, problems);
                    cut(place, table.most_rows, problems);
                }
            }
            None => missing(&mut files, table, conventions),
        }
    }
    for path in used {
        let left: Vec<String> = files
            .opened
            .get(&path)
            .into_iter()
            .flatten()
            .filter(|grid| !grid.hidden && !grid.lines.is_empty())
            .filter_map(|grid| grid.sheet.clone())
            .collect();
        if !left.is_empty() {
            files.reader.report(
                &path,
                ProblemKind::Table(TableProblem::SheetsNotRead { sheets: left }),
            );
        }
    }
    let [pulls, weighings, cover, history, spending, photos] = rows;
    Tables {
        pulls,
        weighings,
        cover,
        history,
        spending,
        photos,
    }
}

/// Leaves out what is beyond so many rows, and tells it.
fn cut(rows: &mut Vec<Row>, most: usize, problems: &mut Vec<Problem>) {
    let Some(first_out) = rows.get(most) else {
        return;
    };
    problems.push(Problem {
        place: first_out.place(),
        kind: ProblemKind::Table(TableProblem::Cut {
            reason: words!(
                "only the first {rows} rows are read",
                rows = number(most.to_string())
            ),
        }),
        row: None,
    });
    rows.truncate(most);
    rows.shrink_to_fit();
}

/// All tables but one, by name.
fn all_but(number: usize) -> Vec<(&'static str, &'static [Column])> {
    TABLES
        .iter()
        .enumerate()
        .filter(|(at, _)| *at != number)
        .map(|(_, table)| (table.name, table.columns))
        .collect()
}

/// The files of each table's name, with the rank of their format, and the workbooks of other names.
type Candidates = (BTreeMap<usize, Vec<(usize, String)>>, Vec<String>);

fn candidates(reader: &Reader<'_>) -> Candidates {
    let mut files: BTreeMap<usize, Vec<(usize, String)>> = BTreeMap::new();
    let mut workbooks = Vec::new();
    for entry in reader.files {
        let path = &entry.path;
        // Programs leave locks of such names beside an open workbook.
        if path.contains('/') || path.starts_with("~$") || path.starts_with('.') {
            continue;
        }
        let Some((stem, ending)) = stem_and_ending(path) else {
            continue;
        };
        let Some(rank) = table::ENDINGS.iter().position(|known| *known == ending) else {
            continue;
        };
        match TABLES.iter().position(|table| fold(stem) == table.name) {
            Some(table) => files
                .entry(table)
                .or_default()
                .push((rank, path.to_string())),
            None if matches!(ending.as_str(), "xlsx" | "ods" | "xlsm") => {
                workbooks.push(path.to_string());
            }
            None => {}
        }
    }
    (files, workbooks)
}

/// Files of a table's name in formats that can't be read.
fn in_other_formats(reader: &Reader<'_>) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for entry in reader.files {
        if let Some((stem, ending)) = stem_and_ending(&entry.path)
            && table::OTHER_ENDINGS.contains(&ending.as_str())
            && let Some(table) = TABLES.iter().position(|table| fold(stem) == table.name)
        {
            found.push((table, entry.path.to_string()));
        }
    }
    found
}

fn tell_sheet(reader: &mut Reader<'_>, path: &str, grid: &Grid, kind: ProblemKind) {
    reader.problems.push(Problem {
        place: Place {
            file: path.into(),
            spot: Spot::Row {
                sheet: grid.sheet.clone().map(Into::into),
                row: grid.lines.first().map_or(1, |line| line.number),
            },
        },
        kind,
        row: None,
    });
}

/// The sheets of a table's name, from the first workbook that has one.
fn from_workbooks(
    reader: &mut Reader<'_>,
    table: &Table,
    sheets: Vec<(String, Grid)>,
    used: &mut Vec<String>,
) -> Option<(String, Vec<(Grid, bool)>)> {
    let path = sheets.first().map(|(path, _)| path.clone())?;
    let mut taken = Vec::new();
    for (other, grid) in sheets {
        if other == path {
            taken.push((grid, true));
        } else {
            tell_sheet(
                reader,
                &other,
                &grid,
                ProblemKind::TableTwice {
                    other: path.clone(),
                },
            );
        }
    }
    if let Some((grid, _)) = taken.first() {
        tell_sheet(
            reader,
            &path,
            grid,
            ProblemKind::Table(TableProblem::InWorkbook { table: table.name }),
        );
    }
    if !used.contains(&path) {
        used.push(path.clone());
    }
    Some((path, taken))
}

/// Tells of a table that is not there, and of files that look like it.
fn missing(files: &mut Files<'_, '_>, table: &Table, conventions: &Conventions) {
    let mut elsewhere: Vec<(String, Option<String>)> = Vec::new();
    let mut others: Vec<(String, bool)> = Vec::new();
    let strays: Vec<String> = files
        .reader
        .files
        .iter()
        .map(|entry| entry.path.to_string())
        .filter(|path| !path.contains('/') && !path.starts_with("~$") && !path.starts_with('.'))
        .collect();
    for path in strays {
        let Some((stem, ending)) = stem_and_ending(&path) else {
            continue;
        };
        if table::OTHER_ENDINGS.contains(&ending.as_str()) {
            let is_named = fold(stem) == table.name;
            // Of the tables that a season needs, the log is the first to be looked for in a workbook of another name.
            let of_none = TABLES.iter().all(|table| fold(stem) != table.name);
            if is_named || of_none && table.name == "pulls" {
                others.push((path, is_named));
            }
        } else if matches!(ending.as_str(), "csv" | "tsv")
            && TABLES.iter().all(|table| fold(stem) != table.name)
        {
            // Looked at for its headings only: what is wrong in it matters once it has a table's name.
            let Some(bytes) = files.reader.bytes(&path, table::LARGEST_TABLE) else {
                continue;
            };
            let grids = table::open(&path, &bytes, &mut Vec::new());
            if grids
                .iter()
                .any(|grid| looks_like(grid, table, conventions))
            {
                elsewhere.push((path, None));
            }
        } else if let Some(grids) = files.opened.get(&path) {
            elsewhere.extend(
                grids
                    .iter()
                    .filter(|grid| looks_like(grid, table, conventions))
                    .map(|grid| (path.clone(), grid.sheet.clone())),
            );
        }
    }
    if let Some(needed_for) = table.needed_for {
        files.reader.report(
            &format!("{}.csv", table.name),
            ProblemKind::FileMissing { needed_for },
        );
        // A workbook that can't be read may be the one that holds it.
        let aside = std::mem::take(&mut files.aside);
        files.reader.problems.extend(aside);
    }
    for (path, is_named) in others {
        files.reader.report(
            &path,
            ProblemKind::Table(TableProblem::OtherFormat {
                table: table.name,
                is_named,
            }),
        );
    }
    for (path, sheet) in elsewhere {
        files.reader.report(
            &path,
            ProblemKind::Table(TableProblem::Elsewhere {
                table: table.name,
                sheet,
            }),
        );
    }
}

/// Has the sheet all headings of the table, and no better table to be?
fn looks_like(grid: &Grid, table: &Table, conventions: &Conventions) -> bool {
    let complete = |columns| {
        table::lacks(grid, columns, conventions).is_some_and(|missing| missing.is_empty())
    };
    // Weighings need little, and a pull log has that too.
    complete(table.columns)
        && TABLES
            .iter()
            .filter(|other| other.name != table.name)
            .all(|other| {
                other.columns.iter().filter(|column| column.must).count()
                    <= table.columns.iter().filter(|column| column.must).count()
                    || !complete(other.columns)
            })
}
