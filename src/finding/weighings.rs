//! The weighed containers, and whether they can stand for the counted ones.

use std::collections::BTreeSet;

use super::core::{Finding, Grade};
use super::naming::{self, Known as Names, Proposals};
use super::rule::Rule;
use super::{CatchCheck, Caught};
use crate::season::{Amount, Season, Stray};
use crate::words;
use crate::words::{Words, number, quoted};

const WEIGHING_STRAY: Rule = Rule {
    name: "weighing-without-pull",
    grade: Grade::Doubt,
    title: "A weighing belongs to no containers of the log.",
    why: "It is left out of the mean by which counted containers are converted.",
};
const WEIGHING_EMPTY: Rule = Rule {
    name: "weighing-empty",
    grade: Grade::Doubt,
    title: "A weighing gives neither a mass nor a number of plants.",
    why: "It is left out.",
};
const WEIGHINGS_EXCEED_CONTAINERS: Rule = Rule {
    name: "weighings-exceed-containers",
    grade: Grade::Error,
    title: "More containers of a kind and stage were weighed than were logged.",
    why: "The total of that kind and stage is refused: either the log lacks containers or a weighing stands twice.",
};
const STRATUM_NOT_WEIGHED: Rule = Rule {
    name: "stratum-not-weighed",
    grade: Grade::Doubt,
    title: "Containers of a kind and stage were counted and none was weighed.",
    why: "Their mass can't be told: they are missing from the total and from the catch per hour.",
};
const STRATUM_WEIGHED_ONCE: Rule = Rule {
    name: "stratum-weighed-once",
    grade: Grade::Doubt,
    title: "Of a kind and stage only one container was weighed.",
    why: "A total that rests on it has no interval: how much containers differ can't be told from one.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, CatchCheck)] = &[
    (WEIGHING_STRAY, weighing_stray),
    (WEIGHING_EMPTY, weighing_empty),
    (WEIGHINGS_EXCEED_CONTAINERS, weighings_exceed_containers),
    (STRATUM_NOT_WEIGHED, stratum_not_weighed),
    (STRATUM_WEIGHED_ONCE, stratum_weighed_once),
];

fn weighing_stray(season: &Season, caught: &Caught, findings: &mut Vec<Finding>) {
    let mut told = BTreeSet::new();
    let mut proposals = of_pulls(season);
    for amount in [Amount::Mass, Amount::Plants] {
        for (index, stray) in &caught.of(amount).stray {
            let Some(weighing) = season.weighings.get(*index) else {
                continue;
            };
            let pull = weighing.pull.as_deref().unwrap_or("");
            let (column, message, mend) = match stray {
                Stray::PullUnknown => (
                    "pull",
                    words!("The log has no pull {pull}.", pull = quoted(pull)),
                    pull_mend(pull, &mut proposals),
                ),
                Stray::KindNotInPull => (
                    "container",
                    words!("Pull {pull} logged no containers of this kind.", pull),
                    words!("Correct the kind here or in the log."),
                ),
                Stray::StageUnknown => (
                    "stage",
                    words!("It does not say at which stage the plants were."),
                    words!(
                        "Fill in a column stage, or the pull and the stage in its row of the log."
                    ),
                ),
                Stray::StratumNotInLog => (
                    "container",
                    words!(
                        "No pull logged containers of this kind at this stage that are to be converted."
                    ),
                    words!("Correct kind or stage, here or in the log."),
                ),
                // The containers are in the row that was weighed as a whole: nothing is lost, nothing to mend. A missing kind has
                // been told by the reader.
                Stray::RowWeighed | Stray::NoKind => continue,
            };
            if told.insert(*index) {
                findings.push(WEIGHING_STRAY.on(&weighing.row, Some(column), message, mend));
            }
        }
    }
}

/// The pulls of the log, to be proposed.
pub(super) fn of_pulls(season: &Season) -> Proposals<'_> {
    Proposals::of(Names::new(season.pulls.iter().map(|pull| pull.id.as_str())))
}

/// How to settle the id of a pull that the log does not have.
pub(super) fn pull_mend(pull: &str, proposals: &mut Proposals<'_>) -> Words {
    match proposals.nearest(pull) {
        Some(near) => naming::line_for(
            pull,
            near,
            words!("If the pull is missing, add it to the log."),
        ),
        // Ids are too alike for one of them to be proposed.
        None => words!("Correct the pull's id, or add the pull to the log."),
    }
}

fn weighing_empty(season: &Season, _: &Caught, findings: &mut Vec<Finding>) {
    for weighing in &season.weighings {
        let silent = ["mass", "plants"]
            .iter()
            .all(|column| weighing.row.text(column).is_none());
        if silent {
            findings.push(WEIGHING_EMPTY.on(
                &weighing.row,
                Some("mass"),
                words!("Neither mass nor plants."),
                words!("Fill in what the scale showed, or take the row out."),
            ));
        }
    }
}

fn weighings_exceed_containers(season: &Season, caught: &Caught, findings: &mut Vec<Finding>) {
    for (key, records) in &caught.mass.strata {
        let weighed = records.weighings.len();
        if weighed as f64 > records.containers
            && records.containers > 0.0
            && let Some(last) = records
                .weighings
                .last()
                .and_then(|index| season.weighings.get(*index))
        {
            findings.push(WEIGHINGS_EXCEED_CONTAINERS.on(
                &last.row,
                None,
                words!(
                    "{weighed} weighings for {containers} containers of {key}.",
                    weighed,
                    containers = number(records.containers.to_string()),
                    key = key.in_words()
                ),
                words!("Look for a weighing that stands twice, or for a row missing in the log."),
            ));
        }
    }
}

/// Below this many weighings an interval is very wide; the number to ask for.
const ENOUGH_WEIGHINGS: usize = 5;

fn stratum_not_weighed(season: &Season, caught: &Caught, findings: &mut Vec<Finding>) {
    for (key, records) in &caught.mass.strata {
        if !records.weighings.is_empty() {
            continue;
        }
        let rows: Vec<_> = records
            .rows
            .iter()
            .chain(&records.guessed_rows)
            .filter_map(|index| {
                season
                    .pulls
                    .get(index.pull)
                    .and_then(|pull| pull.rows.get(index.row))
            })
            .collect();
        if let Some(first) = rows.first() {
            findings.push(
                STRATUM_NOT_WEIGHED
                    .on(
                        &first.row,
                        Some("containers"),
                        words!(
                            "{containers} containers of {key} and none was weighed.",
                            containers = number(records.containers.to_string()),
                            key = key.in_words()
                        ),
                        words!(
                            "Weigh {enough} of the next containers of this kind and stage; what is past can't be mended, and is \
                             left out of the total.",
                            enough = ENOUGH_WEIGHINGS
                        ),
                    )
                    .with(rows.iter().skip(1).map(|row| row.row.place())),
            );
        }
    }
}

fn stratum_weighed_once(season: &Season, caught: &Caught, findings: &mut Vec<Finding>) {
    for (key, records) in &caught.mass.strata {
        if records.weighings.len() == 1
            && records.containers > 1.0
            && let Some(weighing) = records
                .weighings
                .first()
                .and_then(|index| season.weighings.get(*index))
        {
            findings.push(STRATUM_WEIGHED_ONCE.on(
                &weighing.row,
                None,
                words!(
                    "The only weighing of {containers} containers of {key}.",
                    containers = number(records.containers.to_string()),
                    key = key.in_words()
                ),
                words!(
                    "Weigh {enough} of the next containers of this kind and stage.",
                    enough = ENOUGH_WEIGHINGS
                ),
            ));
        }
    }
}
