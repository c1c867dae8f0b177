//! Kinds of container: one name for each, however it is written, and no mass assumed of any.

use std::collections::BTreeSet;

use super::problem::{Problem, ProblemKind};
use super::pulls::PullRow;
use super::table::{Row, TableProblem};
use super::value::fold;
use super::weighings::Weighing;

/// Kinds that a heading may name in the place of `containers`, in the singular, with the spellings that the plural's rule does
/// not reach (common practice, no source). Gallons, litres and bushels are measures of room: what a bushel of plants weighs is
/// for the season's own weighings to say.
const KINDS: &[(&str, &[&str])] = &[
    ("bag", &[]),
    ("basket", &[]),
    ("bin", &[]),
    ("boatload", &["boat load", "boat loads"]),
    ("bucket", &["pail", "pails"]),
    ("bushel", &["bu", "bsh"]),
    ("crate", &[]),
    ("gallon", &["gal", "gals"]),
    ("litre", &["l", "ltr", "ltrs", "liter", "liters"]),
    ("sack", &[]),
    ("tote", &[]),
    ("truckload", &["truck load", "truck loads"]),
    ("tub", &[]),
];

/// `Bags` → `bag`, `gal` → `gallon`, so that one kind has one name.
pub fn singular(kind: &str) -> String {
    let kind = kind.trim().trim_end_matches('.').to_lowercase();
    let stem = match kind.as_str() {
        word if word.ends_with("xes") || word.ends_with("shes") || word.ends_with("ches") => {
            word.strip_suffix("es").unwrap_or(word)
        }
        word if word.ends_with('s') && !word.ends_with("ss") => {
            word.strip_suffix('s').unwrap_or(word)
        }
        word => word,
    };
    KINDS
        .iter()
        .find(|(_, others)| others.iter().any(|other| *other == kind || *other == stem))
        .map_or_else(|| stem.to_owned(), |(name, _)| (*name).to_owned())
}

/// The kind that a heading counts: `Bags`, `# of baskets`, `bag count`. `more` are the kinds that the group names.
pub fn counted_in(heading: &str, more: &[String]) -> Option<String> {
    let words: Vec<String> = heading
        .split(|c: char| !c.is_alphanumeric())
        .map(fold)
        .filter(|word| {
            !matches!(
                word.as_str(),
                "" | "no" | "nr" | "num" | "number" | "of" | "count" | "total" | "full" | "filled"
            )
        })
        .collect();
    let kind = singular(&words.join(" "));
    let known = KINDS.iter().any(|(name, _)| *name == kind)
        || more.iter().any(|name| singular(name) == kind);
    known.then_some(kind)
}

/// Kinds of container, each at each growth stage, that are read: many times what crews carry, and each has a dozen figures and a line in
/// several tables.
const MOST_KINDS_AND_STAGES: usize = 150;

/// Keeps the kinds of so many kinds and stages, in the order of the rows, the log's before the weighings'. Where others follow, the first
/// of each table is told, and their containers count as such without a kind.
pub(super) fn keep_few(
    pulls: &mut [PullRow],
    weighings: &mut [Weighing],
    problems: &mut Vec<Problem>,
) {
    let mut known: BTreeSet<(String, Option<String>)> = BTreeSet::new();
    let mut bounded =
        |rows: &mut dyn Iterator<Item = (&Row, Option<&str>, &mut Option<String>)>| {
            let mut first_out: Option<Problem> = None;
            for (row, stage, kind) in rows {
                let Some(named) = kind else { continue };
                let key = (fold(named), stage.map(fold));
                if known.contains(&key) {
                    continue;
                }
                if known.len() < MOST_KINDS_AND_STAGES {
                    known.insert(key);
                    continue;
                }
                *kind = None;
                first_out.get_or_insert_with(|| Problem {
                    place: row.cell_place("container"),
                    kind: ProblemKind::Table(TableProblem::KindsCut {
                        most: MOST_KINDS_AND_STAGES,
                    }),
                    row: Some(row.quote(Some("container"))),
                });
            }
            problems.extend(first_out);
        };
    bounded(
        &mut pulls
            .iter_mut()
            .map(|pull| (&pull.row, pull.stage.as_deref(), &mut pull.container)),
    );
    bounded(
        &mut weighings
            .iter_mut()
            .map(|one| (&one.row, one.stage.as_deref(), &mut one.container)),
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_kind_has_one_name() {
        for (written, name) in [
            ("Bags", "bag"),
            ("boxes", "box"),
            ("glass", "glass"),
            ("gal", "gallon"),
            ("Gallons", "gallon"),
            ("Liters", "litre"),
            ("bushels", "bushel"),
            ("bu", "bushel"),
            ("contractor bags", "contractor bag"),
        ] {
            assert_eq!(singular(written), name);
        }
    }

    #[test]
    fn headings_count_kinds() {
        for heading in ["bags", "# bags", "No. of bags", "Bag count", "Total Bags"] {
            assert_eq!(
                counted_in(heading, &[]).as_deref(),
                Some("bag"),
                "{heading}"
            );
        }
        assert_eq!(counted_in("bag weight", &[]), None);
        assert_eq!(counted_in("notes", &[]), None);
        assert_eq!(
            counted_in("Skiffs", &["skiff".to_owned()]).as_deref(),
            Some("skiff")
        );
    }
}
