//! What a table's headings mean: known columns, their units, kinds of container, and proposals for what is not known.

use std::cell::RefCell;
use std::collections::BTreeMap;

use super::column::{Column, Sums};
use super::{Conventions, Head, Heading};
use crate::place::{CellAt, Place, Spot};
use crate::season::problem::{Problem, ProblemKind, RowText};
use crate::season::value::{fold, nearest};
use crate::season::{kinds, table::trouble::TableProblem};
use crate::shared::Shared;
use crate::units::{Dimension, Unit};

/// What one heading means.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Meaning {
    Column(&'static str, Option<Unit>),
    /// How many containers of a kind: `Bags`.
    Kind(String),
    /// The column is known, what stands behind its name is no unit of its dimension.
    WrongUnit(Dimension, String),
    /// A word that may mean one of several columns.
    OneOf(&'static [&'static str]),
    Nothing,
}

/// Words that name what several columns hold (common practice, no source). Read for one of them they might turn paid hours
/// into a gift, so a person has to say.
const ONE_OF: &[(&[&str], &[&str])] = &[
    (
        &["volunteers", "staff"],
        &[
            "crew size",
            "crew",
            "people",
            "persons",
            "heads",
            "head count",
            "headcount",
            "party size",
            "participants",
            "number of people",
            "no of people",
        ],
    ),
    (
        &["volunteer_hours", "staff_hours"],
        &[
            "hours",
            "hrs",
            "hr",
            "h",
            "total hours",
            "total hrs",
            "person hours",
            "people hours",
            "man hours",
            "crew hours",
            "hours worked",
            "duration",
            "minutes",
        ],
    ),
    (
        &["treated_area", "searched_area"],
        &[
            "area", "acres", "acre", "ac", "acreage", "hectares", "hectare", "ha", "m2", "m²",
            "sq ft", "ft2",
        ],
    ),
];

/// Knows the headings of a table.
pub(super) struct Recogniser<'a> {
    columns: &'static [Column],
    conventions: &'a Conventions,
    names: BTreeMap<String, &'static Column>,
    /// Meanings that were looked up before: the words of a table come again and again.
    known: RefCell<BTreeMap<String, Meaning>>,
}

/// Words whose meanings are kept.
const MOST_KEPT: usize = 4096;

impl<'a> Recogniser<'a> {
    pub fn new(columns: &'static [Column], conventions: &'a Conventions) -> Self {
        let mut names = BTreeMap::new();
        for column in columns {
            for name in std::iter::once(column.name).chain(column.also.iter().copied()) {
                names.entry(fold(name)).or_insert(column);
            }
        }
        Self {
            columns,
            conventions,
            names,
            known: RefCell::default(),
        }
    }

    pub fn column(&self, name: &str) -> Option<&'static Column> {
        self.columns.iter().find(|column| column.name == name)
    }

    /// What a heading means, after the group's own words.
    pub fn meaning(&self, text: &str) -> Meaning {
        // No heading is as long as a page; folding one would only take time.
        const LONGEST: usize = 200;
        let text = text.trim();
        if text.is_empty() || text.len() > LONGEST {
            return Meaning::Nothing;
        }
        if let Some(meaning) = self.known.borrow().get(text) {
            return meaning.clone();
        }
        let meaning = self.look_up(text);
        let mut known = self.known.borrow_mut();
        if known.len() < MOST_KEPT {
            known.insert(text.to_owned(), meaning.clone());
        }
        meaning
    }

    fn look_up(&self, text: &str) -> Meaning {
        let folded = fold(text);
        match self
            .conventions
            .headings
            .iter()
            .find(|(theirs, _)| *theirs == folded)
        {
            // Where the table has no such column, the group's word was for another table.
            Some((_, ours)) => match self.of_ours(ours) {
                Meaning::Nothing => self.of_ours(text),
                meaning => meaning,
            },
            None => self.of_ours(text),
        }
    }

    fn of_ours(&self, text: &str) -> Meaning {
        let folded = fold(text);
        // `# of bags`: the mark stands for a word.
        let counted = text
            .contains('#')
            .then(|| fold(&text.replace('#', "no ")))
            .and_then(|folded| self.names.get(&folded));
        if let Some(column) = self.names.get(&folded).or(counted) {
            return Meaning::Column(column.name, None);
        }
        if self.column("containers").is_some()
            && let Some(kind) = kinds::counted_in(text, &self.conventions.containers)
        {
            return Meaning::Kind(kind);
        }
        if let Some(meaning) = self.with_unit(text, &folded) {
            return meaning;
        }
        for (names, words) in ONE_OF {
            if names.iter().all(|name| self.column(name).is_some())
                && words.iter().any(|word| fold(word) == folded)
            {
                return Meaning::OneOf(names);
            }
        }
        Meaning::Nothing
    }

    /// `mass_kg`, `Weight (lbs)`, `lbs pulled`, `Lbs`.
    fn with_unit(&self, text: &str, folded: &str) -> Option<Meaning> {
        let mut wrong = None;
        // The longest name first, so that `wet weight lb` is not `wet` with a strange unit.
        let mut names: Vec<(&String, &&'static Column)> = self
            .names
            .iter()
            .filter(|(_, column)| column.quantity.is_some())
            .collect();
        names.sort_by_key(|(name, _)| std::cmp::Reverse(name.len()));
        for (name, column) in names {
            let Some(dimension) = column.quantity else {
                continue;
            };
            let tail = folded.strip_prefix(name.as_str());
            let front = folded.strip_suffix(name.as_str());
            for rest in [tail, front].into_iter().flatten() {
                if let Some(unit) = Unit::named(rest.strip_prefix("in").unwrap_or(rest))
                    .or_else(|| Unit::named(rest))
                    && unit.dimension() == dimension
                {
                    return Some(Meaning::Column(column.name, Some(unit)));
                }
            }
            if let Some(tail) = tail
                && wrong.is_none()
            {
                // `mass_stone` is meant as a unit; `massachusetts` is no mass, and `travel notes` no time.
                let set_apart = text.contains(['_', '(', '[', '/']) || Unit::named(tail).is_some();
                let one_word = !text
                    .trim_matches([')', ']'])
                    .rsplit(['(', '[', '/', '_'])
                    .next()
                    .unwrap_or_default()
                    .trim()
                    .contains(' ');
                if set_apart && one_word || is_ton(tail) {
                    wrong = Some(Meaning::WrongUnit(dimension, tail.to_owned()));
                }
            }
        }
        // A column that is named by its unit alone: only mass has one column for its dimension.
        if wrong.is_none()
            && self.column("mass").is_some()
            && let Some(unit) = Unit::named(folded)
            && unit.dimension() == Dimension::Mass
        {
            return Some(Meaning::Column("mass", Some(unit)));
        }
        wrong
    }

    /// How many columns of ours a line of cells names, and which of those that must be there it lacks.
    pub fn fit(&self, texts: &[&str]) -> Fit {
        let mut named: Vec<&'static str> = Vec::new();
        let mut filled = 0;
        for text in texts {
            if text.trim().is_empty() {
                continue;
            }
            filled += 1;
            let name = match self.meaning(text) {
                Meaning::Column(name, _) => name,
                Meaning::Kind(_) => "containers",
                _ => continue,
            };
            if !named.contains(&name) {
                named.push(name);
            }
        }
        Fit {
            missing: self
                .columns
                .iter()
                .filter(|column| column.must && !named.contains(&column.name))
                .map(|column| column.name)
                .collect(),
            known: named.len(),
            filled,
        }
    }
}

/// In the United States a ton is 2000 pounds, elsewhere 1000 kilograms or 2240 pounds: nobody can tell which from the word.
pub fn is_ton(unit: &str) -> bool {
    matches!(fold(unit).as_str(), "ton" | "tons")
}

/// How well a line serves as headings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fit {
    pub known: usize,
    pub filled: usize,
    pub missing: Vec<&'static str>,
}

/// A line of headings as its file has it.
pub(super) struct HeadingLine<'a> {
    pub file: &'a str,
    pub sheet: Option<&'a str>,
    pub row: u32,
    /// As they stand there, for messages.
    pub texts: &'a [String],
    /// As they are to be understood: with the unit of the line below, or the word of a merged cell above.
    pub meant: &'a [String],
    /// How many cells of each column hold anything.
    pub filled: &'a [usize],
    pub from_1904: bool,
}

/// Finds out which column each heading means and which unit it names.
pub(super) fn understand(
    line: &HeadingLine<'_>,
    recogniser: &Recogniser<'_>,
    problems: &mut Vec<Problem>,
) -> Head {
    let mut report = |spot: Spot, kind: ProblemKind, cell: Option<usize>| {
        problems.push(Problem {
            place: Place {
                file: line.file.into(),
                spot,
            },
            kind,
            row: Some(RowText {
                cells: line.texts.to_vec(),
                cell,
            }),
        });
    };
    let sheet = line.sheet.map(Shared::from);
    let spot = |heading: &str| {
        Spot::Heading(Box::new(CellAt {
            sheet: sheet.clone(),
            row: line.row,
            column: None,
            heading: heading.into(),
        }))
    };
    let meanings: Vec<Meaning> = line
        .meant
        .iter()
        .map(|text| recogniser.meaning(text))
        .collect();
    // A table that tells kinds apart in a column of its own counts them all under one heading.
    let has_kinds = meanings
        .iter()
        .any(|meaning| matches!(meaning, Meaning::Column("container", _)));
    let mut headings: Vec<Heading> = Vec::new();
    for (index, (text, meaning)) in line.texts.iter().zip(meanings).enumerate() {
        let text = text.trim();
        let mut heading = Heading {
            text: text.to_owned(),
            column: None,
            must: false,
            unit: None,
            kind: None,
        };
        let (name, unit, kind) = match meaning {
            Meaning::Column(name, unit) => (name, unit, None),
            Meaning::Kind(_) if has_kinds => ("containers", None, None),
            Meaning::Kind(kind) => ("containers", None, Some(kind)),
            Meaning::WrongUnit(dimension, unit) => {
                report(
                    spot(text),
                    ProblemKind::UnitUnknown { unit, dimension },
                    Some(index),
                );
                headings.push(heading);
                continue;
            }
            Meaning::OneOf(names) => {
                report(
                    spot(text),
                    ProblemKind::Table(TableProblem::HeadingOneOf {
                        heading: text.to_owned(),
                        columns: names,
                    }),
                    Some(index),
                );
                headings.push(heading);
                continue;
            }
            Meaning::Nothing => {
                let cells = line.filled.get(index).copied().unwrap_or(0);
                if !text.is_empty() {
                    report(
                        spot(text),
                        ProblemKind::HeadingUnknown {
                            heading: text.to_owned(),
                            nearest: proposal(text, recogniser.columns),
                        },
                        Some(index),
                    );
                } else if cells > 0 {
                    let column = super::grid::letters(u32::try_from(index).unwrap_or(u32::MAX));
                    report(
                        Spot::Row {
                            sheet: sheet.clone(),
                            row: line.row,
                        },
                        ProblemKind::Table(TableProblem::NoHeading { column, cells }),
                        None,
                    );
                }
                headings.push(heading);
                continue;
            }
        };
        let same = headings.iter().find(|other| {
            other.column == Some(name)
                && (kind.is_none() || other.kind.is_none() || other.kind == kind)
        });
        if let Some(other) = same {
            report(
                spot(text),
                ProblemKind::HeadingTwice {
                    heading: text.to_owned(),
                    first: other.text.clone(),
                    column: name,
                },
                Some(index),
            );
            headings.push(heading);
            continue;
        }
        heading.column = Some(name);
        heading.must = recogniser.column(name).is_some_and(|column| column.must);
        if let Some(kind) = kind {
            report(
                spot(text),
                ProblemKind::Table(TableProblem::KindFromHeading {
                    heading: text.to_owned(),
                    kind: kind.clone(),
                }),
                Some(index),
            );
            heading.kind = Some(kind);
        }
        if let Some(dimension) = recogniser.column(name).and_then(|column| column.quantity) {
            heading.unit = unit.or(recogniser.conventions.unit(dimension));
            if heading.unit.is_none() {
                report(
                    spot(text),
                    ProblemKind::UnitMissing {
                        heading: text.to_owned(),
                        dimension,
                    },
                    Some(index),
                );
            }
        }
        headings.push(heading);
    }
    for column in recogniser.columns.iter().filter(|column| column.must) {
        if !headings
            .iter()
            .any(|heading| heading.column == Some(column.name))
        {
            report(
                Spot::Row {
                    sheet: sheet.clone(),
                    row: line.row,
                },
                ProblemKind::HeadingMissing {
                    heading: column.name,
                },
                None,
            );
        }
    }
    Head {
        file: line.file.into(),
        sheet,
        from_1904: line.from_1904,
        sums: headings
            .iter()
            .map(|heading| {
                heading
                    .column
                    .and_then(|name| recogniser.column(name))
                    .map_or(Sums::No, |column| column.sums)
            })
            .collect(),
        headings,
    }
}

/// The column whose name, or one of whose other names, is nearest to a heading.
fn proposal(text: &str, columns: &'static [Column]) -> Option<&'static str> {
    let near = nearest(
        text,
        columns
            .iter()
            .flat_map(|column| std::iter::once(column.name).chain(column.also.iter().copied())),
    )?;
    columns
        .iter()
        .find(|column| column.name == near || column.also.contains(&near))
        .map(|column| column.name)
}
