//! The lines of a sheet as rows of a table: titles, totals, repeated headings and stray words taken out and told.

use std::sync::Arc;

use super::below::{Below, Others};
use super::by_kind::by_kind;
use super::grid::{Cell, Grid, Line, Nature, letters};
use super::headings::{HeadingLine, Meaning, Recogniser, understand};
use super::layout::{self, Layout};
use super::totals::{Sum, Summary};
use super::trouble::TableProblem;
use super::{Head, Row, cell_place, merged};
use crate::place::{CellAt, Place, Spot};
use crate::season::problem::{Problem, ProblemKind, RowText};
use crate::season::value::Marks;

/// Reads the rows of a sheet whose headings have been found.
pub(super) fn rows(
    file: &str,
    mut grid: Grid,
    layout: &Layout,
    recogniser: &Recogniser<'_>,
    others: &Others<'_>,
    problems: &mut Vec<Problem>,
) -> Vec<Row> {
    tell_lines_above(file, &grid, layout.heading, problems);
    if let Some(reason) = &grid.cut {
        problems.push(Problem {
            place: row_place(file, &grid, grid.lines.last().map_or(1, |line| line.number)),
            kind: ProblemKind::Table(TableProblem::Cut {
                reason: reason.clone(),
            }),
            row: None,
        });
    }
    let Some((mut head, mut from)) =
        head(file, &grid, layout.heading, recogniser, others, problems)
    else {
        return Vec::new();
    };
    // Without a heading that is known, the lines are rows of nothing; the missing headings have been told.
    if head.headings.iter().all(|heading| heading.column.is_none()) {
        return Vec::new();
    }
    merged::fill(&mut grid, from, &head, problems);
    let mut rows = Vec::new();
    let mut heading_line = layout.heading;
    let mut body = Body::new(&head, &grid);
    // The lines of another table below, which are not read.
    let mut below: Option<Below> = None;
    while let Some(line) = grid.lines.get(from) {
        from += 1;
        if let Some((cells, first)) = line.beyond {
            problems.push(Problem {
                place: cell_place(&head, line.number, first as usize),
                kind: ProblemKind::Table(TableProblem::FarCell {
                    cell: format!("{}{}", letters(first), line.number),
                    cells,
                }),
                row: None,
            });
        }
        if line.filled().next().is_none() {
            continue;
        }
        if let Some(other) = others.begins(&grid.lines, from - 1, &head.columns(), recogniser) {
            if let Some(done) = below.replace(Below::new(other, line)) {
                problems.push(done.told(file, &grid));
            }
            continue;
        }
        if layout::is_heading(line, recogniser) {
            if let Some(done) = below.take() {
                problems.push(done.told(file, &grid));
            }
            let again = grid
                .lines
                .get(heading_line)
                .is_some_and(|first| layout::same_words(&first.cells, &line.cells));
            problems.push(Problem {
                place: row_place(file, &grid, line.number),
                kind: ProblemKind::Table(TableProblem::HeadingsAgain),
                row: Some(quote(line, None)),
            });
            if !again {
                // Other columns from here on: what was told of the first headings is told of these as well.
                if let Some((new, next)) =
                    self::head(file, &grid, from - 1, recogniser, others, problems)
                {
                    head = new;
                    heading_line = from - 1;
                    from = next;
                    body = Body::new(&head, &grid);
                }
            }
            continue;
        }
        match &mut below {
            Some(below) => below.add(line),
            None => body.line(&head, line, &mut rows, problems),
        }
    }
    if let Some(done) = below {
        problems.push(done.told(file, &grid));
    }
    rows
}

pub(super) fn quote(line: &Line, cell: Option<usize>) -> RowText {
    RowText {
        cells: line.texts(),
        cell,
    }
}

pub(super) fn row_place(file: &str, grid: &Grid, row: u32) -> Place {
    Place {
        file: file.into(),
        spot: Spot::Row {
            sheet: grid.sheet.clone().map(Into::into),
            row,
        },
    }
}

fn tell_lines_above(file: &str, grid: &Grid, heading: usize, problems: &mut Vec<Problem>) {
    let above: Vec<&Line> = grid
        .lines
        .get(..heading)
        .unwrap_or_default()
        .iter()
        .filter(|line| line.filled().next().is_some())
        .collect();
    if let Some(first) = above.first() {
        problems.push(Problem {
            place: row_place(file, grid, first.number),
            kind: ProblemKind::Table(TableProblem::AboveHeadings {
                lines: above.iter().map(|line| line.number).collect(),
                first: first
                    .filled()
                    .next()
                    .map(|(_, cell)| cell.text.trim().to_owned())
                    .unwrap_or_default(),
            }),
            row: Some(quote(first, None)),
        });
    }
}

/// Understands a line of headings with what stands right above and below it. Gives the number of the first line of data too.
fn head(
    file: &str,
    grid: &Grid,
    heading: usize,
    recogniser: &Recogniser<'_>,
    others: &Others<'_>,
    problems: &mut Vec<Problem>,
) -> Option<(Arc<Head>, usize)> {
    let line = grid.lines.get(heading)?;
    let mut from = heading + 1;
    let mut texts = line.texts();
    let mut meant = texts.clone();
    group_words(file, grid, heading, recogniser, &mut meant, problems);
    if let Some(below) = grid.lines.get(from)
        && let Some(units) = layout::units_below(line, below, recogniser)
    {
        for (text, unit) in meant.iter_mut().zip(units) {
            if let Some(unit) = unit {
                *text = format!("{text} {unit}");
            }
        }
        problems.push(Problem {
            place: row_place(file, grid, below.number),
            kind: ProblemKind::Table(TableProblem::UnitsBelow { row: below.number }),
            row: Some(quote(below, None)),
        });
        from += 1;
    }
    let mut filled: Vec<usize> = Vec::new();
    let names: Vec<Option<&'static str>> = meant
        .iter()
        .map(|text| match recogniser.meaning(text) {
            Meaning::Column(name, _) => Some(name),
            Meaning::Kind(_) => Some("containers"),
            _ => None,
        })
        .collect();
    let until = others
        .next_heading(&grid.lines, from, &names, recogniser)
        .unwrap_or(grid.lines.len());
    for line in grid.lines.get(from..until).unwrap_or_default() {
        for (at, _) in line.filled() {
            if filled.len() <= at {
                filled.resize(at + 1, 0);
            }
            if let Some(count) = filled.get_mut(at) {
                *count += 1;
            }
        }
    }
    // In a workbook nothing shifts a row's cells, so cells to the right are columns without heading. In a text file a comma
    // within a text does shift them, and the row is told.
    if grid.sheet.is_some() && filled.len() > texts.len() {
        texts.resize(filled.len(), String::new());
        meant.resize(filled.len(), String::new());
    }
    let head = understand(
        &HeadingLine {
            file,
            sheet: grid.sheet.as_deref(),
            row: line.number,
            texts: &texts,
            meant: &meant,
            filled: &filled,
            from_1904: grid.from_1904,
        },
        recogniser,
        problems,
    );
    Some((Arc::new(head), from))
}

/// Joins the word of a merged cell with the headings below it: `Hours` over `Staff` and `Volunteers`.
fn group_words(
    file: &str,
    grid: &Grid,
    heading: usize,
    recogniser: &Recogniser<'_>,
    meant: &mut [String],
    problems: &mut Vec<Problem>,
) {
    let Some(line) = grid.lines.get(heading) else {
        return;
    };
    for (at, text) in meant.iter_mut().enumerate() {
        let own = text.trim().to_owned();
        if own.is_empty() {
            continue;
        }
        let Some(group) = layout::group_above(grid, heading, at) else {
            continue;
        };
        let alone = recogniser.meaning(&own);
        let joined = [format!("{own} {group}"), format!("{group} {own}")]
            .into_iter()
            .find_map(|joined| match recogniser.meaning(&joined) {
                Meaning::Column(name, _) => Some((joined, name)),
                _ => None,
            });
        let read_as = match (&joined, &alone) {
            (Some((_, name)), Meaning::Column(own, _)) if name == own => continue,
            (Some((joined, name)), _) => {
                *text = joined.clone();
                Some(*name)
            }
            // A title over a few columns says nothing of them; a word of quantity does.
            (None, Meaning::Column(..)) if recogniser.meaning(group) != Meaning::Nothing => None,
            _ => continue,
        };
        problems.push(Problem {
            place: Place {
                file: file.into(),
                spot: Spot::Heading(Box::new(CellAt {
                    sheet: grid.sheet.clone().map(Into::into),
                    row: line.number,
                    column: None,
                    heading: own.clone().into(),
                })),
            },
            kind: ProblemKind::Table(TableProblem::Grouped {
                heading: own,
                group: group.to_owned(),
                read_as,
            }),
            row: Some(quote(line, Some(at))),
        });
    }
}

/// Texts that spreadsheets leave in the place of a value that they could not compute.
fn is_fault(text: &str) -> bool {
    let text = text.trim();
    matches!(
        text,
        "#REF!"
            | "#DIV/0!"
            | "#VALUE!"
            | "#NAME?"
            | "#NUM!"
            | "#NULL!"
            | "#N/A"
            | "#ERROR!"
            | "#SPILL!"
            | "#CALC!"
    ) || text
        .strip_prefix("Err:")
        .is_some_and(|number| number.len() == 3 && number.bytes().all(|b| b.is_ascii_digit()))
        || text.len() >= 3 && text.bytes().all(|b| b == b'#')
}

/// Stray words that are told one by one; more of them are no table.
const MOST_LONE: usize = 200;

/// Letters of a stray text that are quoted: enough to know it by.
const LONGEST_QUOTED: usize = 80;

/// The lines below one line of headings.
struct Body {
    marks: Marks,
    sum: Sum,
    /// Columns that must be there.
    musts: Vec<usize>,
    known: usize,
    /// Lines with a single word so far.
    lone: usize,
}

impl Body {
    fn new(head: &Head, grid: &Grid) -> Self {
        Self {
            marks: super::marks(head, &grid.lines),
            sum: Sum::default(),
            musts: head
                .headings
                .iter()
                .enumerate()
                .filter(|(_, heading)| heading.must)
                .map(|(at, _)| at)
                .collect(),
            known: head
                .headings
                .iter()
                .filter(|heading| heading.column.is_some())
                .count(),
            lone: 0,
        }
    }

    fn line(
        &mut self,
        head: &Arc<Head>,
        line: &Line,
        rows: &mut Vec<Row>,
        problems: &mut Vec<Problem>,
    ) {
        let place = Place {
            file: head.file.clone(),
            spot: Spot::Row {
                sheet: head.sheet.clone(),
                row: line.number,
            },
        };
        let mut tell = |kind: TableProblem, place: Place, cell: Option<usize>| {
            problems.push(Problem {
                place,
                kind: ProblemKind::Table(kind),
                row: Some(quote(line, cell)),
            });
        };
        let name = |column: usize| {
            head.headings
                .get(column)
                .map(|heading| heading.text.clone())
                .unwrap_or_default()
        };
        match self.sum.summary(head, line, &self.musts, self.marks) {
            Some(Summary::Totals) => {
                let checked = self.sum.check(head, line, self.marks);
                tell(
                    TableProblem::Totals {
                        columns: checked.columns.iter().map(|at| name(*at)).collect(),
                        rows: checked.rows,
                    },
                    place,
                    None,
                );
                for difference in checked.differences {
                    tell(
                        TableProblem::TotalDiffers {
                            heading: name(difference.column),
                            found: difference.found,
                            // Sums of decimals carry dust behind the twelfth figure.
                            sum: ((difference.sum * 1e6).round() / 1e6).to_string(),
                        },
                        cell_place(head, line.number, difference.column),
                        Some(difference.column),
                    );
                }
                return;
            }
            Some(Summary::Other) => {
                tell(
                    TableProblem::Totals {
                        columns: Vec::new(),
                        rows: None,
                    },
                    place,
                    None,
                );
                return;
            }
            None => {}
        }
        let mut filled = line.filled();
        if let (Some((at, cell)), None) = (filled.next(), filled.next())
            && self.known >= 3
            && cell.nature == Nature::Text
            && is_lone(head, at)
        {
            self.lone += 1;
            if self.lone <= MOST_LONE {
                tell(
                    TableProblem::LoneCell {
                        found: cell.text.trim().chars().take(LONGEST_QUOTED).collect(),
                    },
                    place,
                    Some(at),
                );
            }
            return;
        }
        self.sum.add(head, line, self.marks);
        self.row(head, line, rows, problems);
    }

    /// A row of data.
    fn row(
        &mut self,
        head: &Arc<Head>,
        line: &Line,
        rows: &mut Vec<Row>,
        problems: &mut Vec<Problem>,
    ) {
        let width = head.headings.len();
        let mut cells = line.texts();
        let mut natures: Vec<Nature> = line.cells.iter().map(|cell| cell.nature).collect();
        if cells.len() < width {
            cells.resize(width, String::new());
        }
        let surplus = line.filled().any(|(at, _)| at >= width);
        for (at, cell) in line.filled() {
            let Some(heading) = head.headings.get(at) else {
                break;
            };
            if heading.column.is_none() {
                continue;
            }
            let place = cell_place(head, line.number, at);
            if cell.nature == Nature::Fault || cell.nature == Nature::Text && is_fault(&cell.text) {
                problems.push(Problem {
                    place,
                    kind: ProblemKind::Table(TableProblem::FormulaFault {
                        found: cell.text.trim().to_owned(),
                    }),
                    row: Some(quote(line, Some(at))),
                });
            } else if cell.nature == Nature::Unstored {
                problems.push(Problem {
                    place,
                    kind: ProblemKind::Table(TableProblem::FormulaUnstored),
                    row: Some(quote(line, Some(at))),
                });
            } else {
                continue;
            }
            if let Some(nature) = natures.get_mut(at) {
                *nature = Nature::Void;
            }
        }
        if head.sheet.is_none() {
            // A text file's cells are all texts; an empty list says so.
            if natures.contains(&Nature::Void) {
                for nature in &mut natures {
                    if *nature != Nature::Void {
                        *nature = Nature::Text;
                    }
                }
            } else {
                natures.clear();
            }
        }
        let row = Row {
            head: Arc::clone(head),
            number: line.number,
            cells,
            natures,
            kind: None,
        };
        if surplus {
            problems.push(Problem {
                place: row.place(),
                kind: ProblemKind::RowWidth {
                    cells: row.cells.len(),
                    headings: width,
                },
                row: Some(row.quote(None)),
            });
        }
        by_kind(row, rows, problems);
    }
}

/// May a row that holds nothing but this cell be a word between the rows? A name in the column of what must be there alone may be a
/// record that somebody began.
fn is_lone(head: &Head, at: usize) -> bool {
    head.headings.iter().filter(|heading| heading.must).count() > 1
        || head.headings.get(at).is_none_or(|heading| !heading.must)
}

/// Cells of a line as a table's reader wants them when it compares sheets.
pub(super) fn key(cells: &[Cell]) -> Vec<String> {
    let mut key: Vec<String> = cells
        .iter()
        .map(|cell| crate::season::value::fold(&cell.text))
        .collect();
    while key.last().is_some_and(String::is_empty) {
        key.pop();
    }
    key
}
