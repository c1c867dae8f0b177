//! Records as the ledger names them: the rows of one table together, `pulls.csv rows 2 to 41, 45`, all else one by one.
//!
//! Takes places, gives texts. Under each of hundreds of figures a long log has thousands of rows; named one by one they would be most of
//! what a ledger is.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::core::LeftOut;
use crate::place::{Place, Spot, span_text, spans};
use crate::shared::Shared;
use crate::words::Words;

/// Places in the order in which they come; those that are rows stand together where the first of their table stands.
pub fn together<'a>(places: impl IntoIterator<Item = &'a Place>) -> Vec<String> {
    enum Named<'a> {
        Rows {
            first: &'a Place,
            rows: BTreeSet<u32>,
        },
        Alone(&'a Place),
    }
    let mut named: Vec<Named<'_>> = Vec::new();
    let mut tables: BTreeMap<(&Shared, Option<&Shared>), usize> = BTreeMap::new();
    for place in places {
        let Spot::Row { sheet, row } = &place.spot else {
            named.push(Named::Alone(place));
            continue;
        };
        let at = *tables
            .entry((&place.file, sheet.as_ref()))
            .or_insert_with(|| {
                named.push(Named::Rows {
                    first: place,
                    rows: BTreeSet::new(),
                });
                named.len() - 1
            });
        if let Some(Named::Rows { rows, .. }) = named.get_mut(at) {
            rows.insert(*row);
        }
    }
    named
        .into_iter()
        .map(|named| match named {
            Named::Rows { first, rows } if rows.len() > 1 => rows_text(first, &rows),
            Named::Rows { first, .. } | Named::Alone(first) => first.to_string(),
        })
        .collect()
}

fn rows_text(one: &Place, rows: &BTreeSet<u32>) -> String {
    let table = Place {
        file: one.file.clone(),
        spot: Spot::Whole,
    };
    let sheet = match &one.spot {
        Spot::Row {
            sheet: Some(sheet), ..
        } => format!(" sheet {sheet}"),
        _ => String::new(),
    };
    let rows: Vec<String> = spans(rows)
        .into_iter()
        .map(|span| span_text(span, " to "))
        .collect();
    format!("{table}{sheet} rows {}", rows.join(", "))
}

/// Records that a figure leaves out for one reason.
#[derive(Debug, PartialEq, Serialize)]
pub struct OutTogether {
    pub records: Vec<String>,
    pub reason: Words,
}

/// Records that are left out, by their reasons in the order in which these come.
pub fn left_out_together(left_out: &[LeftOut]) -> Vec<OutTogether> {
    let mut known: BTreeMap<Words, usize> = BTreeMap::new();
    let mut groups: Vec<(Words, Vec<&Place>)> = Vec::new();
    for out in left_out {
        let reason = out.told_together();
        let at = *known.entry(reason).or_insert_with_key(|reason| {
            groups.push((reason.clone(), Vec::new()));
            groups.len() - 1
        });
        if let Some((_, places)) = groups.get_mut(at) {
            places.push(&out.place);
        }
    }
    groups
        .into_iter()
        .map(|(reason, places)| OutTogether {
            records: together(places),
            reason,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::core::About;
    use crate::words;

    fn row(file: &str, sheet: Option<&str>, row: u32) -> Place {
        Place {
            file: file.into(),
            spot: Spot::Row {
                sheet: sheet.map(Shared::from),
                row,
            },
        }
    }

    #[test]
    fn rows_of_a_table_stand_together_and_all_else_alone() {
        let places = [
            row("pulls.csv", None, 9),
            Place::whole("photos/a.jpg"),
            row("pulls.csv", None, 2),
            row("weighings.csv", None, 4),
            row("log.xlsx", Some("June"), 2),
            row("pulls.csv", None, 3),
            row("log.xlsx", Some("June"), 3),
            row("pulls.csv", None, 4),
            Place::key("season.toml", "rates"),
            row("log.xlsx", Some("July"), 3),
            row("pulls.csv", None, 9),
        ];
        assert_eq!(
            together(&places),
            [
                "pulls.csv rows 2 to 4, 9",
                "photos/a.jpg",
                "weighings.csv row 4",
                "log.xlsx sheet June rows 2, 3",
                "season.toml key rates",
                "log.xlsx sheet July row 3",
            ]
        );
        assert!(together([]).is_empty());
    }

    #[test]
    fn records_that_are_left_out_stand_by_their_reasons() {
        let out = |number: u32, about: Option<About>, reason: &'static str| LeftOut {
            about,
            ..LeftOut::new(row("pulls.csv", None, number), Words::fixed(reason))
        };
        let pull = |id: &str| Some(About::Pull(id.into()));
        let bags = |count: u64| Some(About::Amount(words!("{count} bags", count)));
        let groups = left_out_together(&[
            out(2, pull("P1"), "no hours"),
            out(3, bags(4), "none was weighed"),
            out(4, pull("P3"), "no hours"),
            out(5, bags(7), "none was weighed"),
            out(6, bags(4), "none was weighed"),
        ]);
        let told: Vec<(String, String)> = groups
            .iter()
            .map(|group| (group.records.join("; "), group.reason.to_string()))
            .collect();
        let told: Vec<(&str, &str)> = told.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        assert_eq!(
            told,
            [
                ("pulls.csv rows 2, 4", "no hours"),
                ("pulls.csv rows 3, 6", "4 bags: none was weighed"),
                ("pulls.csv row 5", "7 bags: none was weighed"),
            ]
        );
    }
}
