//! What a table's headings mean: known columns, their units, and proposals for what is not known.

use super::{Column, Conventions, Head, Heading};
use crate::place::{Place, Spot};
use crate::season::problem::{Problem, ProblemKind, RowText};
use crate::season::value::{fold, nearest};
use crate::units::{Dimension, Unit};

/// Finds out which column each heading means and which unit it names.
pub(super) fn understand(
    file: &str,
    sheet: Option<String>,
    row: u32,
    texts: &[String],
    columns: &'static [Column],
    conventions: &Conventions,
    problems: &mut Vec<Problem>,
) -> Head {
    let place = |heading: &str| Place {
        file: file.to_owned(),
        spot: Spot::Heading {
            sheet: sheet.clone(),
            heading: heading.to_owned(),
        },
    };
    let mut report = |place: Place, kind: ProblemKind, cell: Option<usize>| {
        problems.push(Problem {
            place,
            kind,
            row: Some(RowText {
                cells: texts.to_vec(),
                cell,
            }),
        });
    };
    let mut headings: Vec<Heading> = Vec::new();
    for (index, text) in texts.iter().enumerate() {
        let text = text.trim();
        let mapped = conventions
            .headings
            .iter()
            .find(|(theirs, _)| *theirs == fold(text))
            .map_or(text, |(_, ours)| ours.as_str());
        let mut heading = Heading {
            text: text.to_owned(),
            column: None,
            unit: None,
        };
        match recognise(mapped, columns) {
            Recognised::Column(column, unit) => {
                if headings
                    .iter()
                    .any(|other| other.column == Some(column.name))
                {
                    report(
                        place(text),
                        ProblemKind::HeadingTwice {
                            heading: text.to_owned(),
                        },
                        Some(index),
                    );
                } else {
                    heading.column = Some(column.name);
                    if let Some(dimension) = column.quantity {
                        heading.unit = unit.or(conventions.unit(dimension));
                        if heading.unit.is_none() {
                            report(
                                place(text),
                                ProblemKind::UnitMissing {
                                    heading: text.to_owned(),
                                    dimension,
                                },
                                Some(index),
                            );
                        }
                    }
                }
            }
            Recognised::WrongUnit(dimension, unit) => report(
                place(text),
                ProblemKind::UnitUnknown { unit, dimension },
                Some(index),
            ),
            Recognised::Nothing if text.is_empty() => {}
            Recognised::Nothing => report(
                place(text),
                ProblemKind::HeadingUnknown {
                    heading: text.to_owned(),
                    nearest: nearest(text, columns.iter().map(|column| column.name)),
                },
                Some(index),
            ),
        }
        headings.push(heading);
    }
    for column in columns.iter().filter(|column| column.must) {
        if !headings
            .iter()
            .any(|heading| heading.column == Some(column.name))
        {
            report(
                Place {
                    file: file.to_owned(),
                    spot: Spot::Row {
                        sheet: sheet.clone(),
                        row,
                    },
                },
                ProblemKind::HeadingMissing {
                    heading: column.name,
                },
                None,
            );
        }
    }
    Head {
        file: file.to_owned(),
        sheet,
        headings,
    }
}

enum Recognised {
    Column(&'static Column, Option<Unit>),
    /// The column is known, what stands behind its name is no unit of its dimension.
    WrongUnit(Dimension, String),
    Nothing,
}

fn recognise(text: &str, columns: &'static [Column]) -> Recognised {
    let folded = fold(text);
    let names =
        |column: &'static Column| std::iter::once(column.name).chain(column.also.iter().copied());
    if let Some(column) = columns
        .iter()
        .find(|column| names(column).any(|name| fold(name) == folded))
    {
        return Recognised::Column(column, None);
    }
    for column in columns {
        let Some(dimension) = column.quantity else {
            continue;
        };
        for name in names(column) {
            let Some(tail) = folded.strip_prefix(&fold(name)) else {
                continue;
            };
            match Unit::named(tail) {
                Some(unit) if unit.dimension() == dimension => {
                    return Recognised::Column(column, Some(unit));
                }
                Some(_) => return Recognised::WrongUnit(dimension, tail.to_owned()),
                // `mass_stone` is meant as a unit; `massachusetts` is no mass.
                None if text.contains(['_', ' ', '(', '[', '/']) => {
                    return Recognised::WrongUnit(dimension, tail.to_owned());
                }
                None => {}
            }
        }
    }
    Recognised::Nothing
}
