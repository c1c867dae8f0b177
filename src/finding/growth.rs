//! Growth through the season: stages, fruit and seed.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::core::{Finding, Grade};
use super::rule::Rule;
use super::{Check, rows};
use crate::place::Place;
use crate::season::{Fruit, Pull, PullRow, SETTINGS_FILE, Season, value};
use crate::words;

const STAGE_GOES_BACK: Rule = Rule {
    name: "stage-goes-back",
    grade: Grade::Doubt,
    title: "A site's plants are logged at an earlier stage than weeks before.",
    why: "Containers are converted by the weighings of their stage: the wrong stage takes the wrong mean.",
};
const FRUIT_AGAINST_STAGE: Rule = Rule {
    name: "fruit-against-stage",
    grade: Grade::Doubt,
    title: "Fruit and growth stage of a row can't both be right.",
    why: "What was taken out before the seed fell is told by them.",
};
const PULL_AFTER_RIPE_SEED: Rule = Rule {
    name: "pull-after-ripe-seed",
    grade: Grade::Remark,
    title: "Plants were pulled when their seed was ripe or had dropped.",
    why: "It is not removal before seed: part of the seed is in the mud already, and later seasons will show it.",
};
const RETURN_BEFORE_PULL: Rule = Rule {
    name: "return-before-pull",
    grade: Grade::Doubt,
    title: "A pull's day to return lies before the pull.",
    why: "The plan for the next visit rests on it, or the pull's own date is wrong.",
};
const SEED_RIPENS_OUTSIDE: Rule = Rule {
    name: "seed-ripens-outside-season",
    grade: Grade::Doubt,
    title: "The day on which seed ripens lies in another year than the season.",
    why: "All of the season's effort and removal would count as before seed, or none of it.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (STAGE_GOES_BACK, stage_goes_back),
    (FRUIT_AGAINST_STAGE, fruit_against_stage),
    (PULL_AFTER_RIPE_SEED, pull_after_ripe_seed),
    (RETURN_BEFORE_PULL, return_before_pull),
    (SEED_RIPENS_OUTSIDE, seed_ripens_outside),
];

/// A row with a stage, in the order of growth.
struct Grown<'a> {
    date: NaiveDate,
    stage: usize,
    pull: &'a Pull,
    row: &'a PullRow,
}

fn stage_goes_back(season: &Season, findings: &mut Vec<Finding>) {
    let order = &season.settings.method.stages;
    let mut sites: BTreeMap<&str, Vec<Grown<'_>>> = BTreeMap::new();
    for pull in &season.pulls {
        let (Some(site), Some(date)) = (season.site_of(pull), pull.date()) else {
            continue;
        };
        // A day outside the season is wrong itself, and says nothing of growth.
        if !(season.settings.starts..=season.settings.ends).contains(&date) {
            continue;
        }
        // The furthest stage of an outing is compared: seedlings among grown plants are no step back.
        let furthest = pull
            .rows
            .iter()
            .filter_map(|row| {
                let stage = row.stage.as_deref()?;
                let stage = order
                    .iter()
                    .position(|known| value::fold(known) == value::fold(stage))?;
                Some(Grown {
                    date,
                    stage,
                    pull,
                    row,
                })
            })
            .max_by_key(|grown| grown.stage);
        if let Some(furthest) = &furthest {
            far_behind(order, pull, furthest, findings);
        }
        sites.entry(&site.id).or_default().extend(furthest);
    }
    for grown in sites.values_mut() {
        grown.sort_by_key(|one| one.date);
        while let Some((index, others)) = worst(grown) {
            let one = grown.remove(index);
            // Removing an item shifts those behind it.
            let other = grown.get(if others >= index {
                others.saturating_sub(1)
            } else {
                others
            });
            let Some(other) = other else { break };
            let word = |stage: usize| order.get(stage).map_or("", String::as_str);
            findings.push(
                STAGE_GOES_BACK
                    .on(
                        &one.row.row,
                        Some("stage"),
                        words!(
                            "Pull {pull} has {stage} on {date}; pull {other} had {other_stage} on {other_date}.",
                            pull = &one.pull.id,
                            stage = word(one.stage),
                            date = one.date.to_string(),
                            other = &other.pull.id,
                            other_stage = word(other.stage),
                            other_date = other.date.to_string()
                        ),
                        words!("Correct the stage of one of the two, from the field sheets or the photos; if young plants have come again, accept \
                         the finding."),
                    )
                    .with([other.row.row.place()]),
            );
        }
    }
}

/// Plants of one outing differ by a stage; by two they are another water's, or the row's stage is a slip (common practice, no source).
const FAR_BEHIND: usize = 2;

fn far_behind(order: &[String], pull: &Pull, furthest: &Grown<'_>, findings: &mut Vec<Finding>) {
    for row in &pull.rows {
        let stage = row.stage.as_deref().and_then(|stage| {
            order
                .iter()
                .position(|known| value::fold(known) == value::fold(stage))
        });
        if let Some(stage) = stage
            && stage + FAR_BEHIND <= furthest.stage
        {
            let word = |stage: usize| order.get(stage).map_or("", String::as_str);
            findings.push(
                STAGE_GOES_BACK
                    .on(
                        &row.row,
                        Some("stage"),
                        words!(
                            "Pull {pull} has {stage} here and {other} in another row.",
                            pull = &pull.id,
                            stage = word(stage),
                            other = word(furthest.stage)
                        ),
                        words!(
                            "Correct the stage of one of the two, from the field sheet or the photos; if both grew there, accept the finding."
                        ),
                    )
                    .with([furthest.row.row.place()]),
            );
        }
    }
}

/// The row that is out of order with most others, the later of two that are equal, with the first that it disagrees with.
fn worst(grown: &[Grown<'_>]) -> Option<(usize, usize)> {
    let disagree = |a: usize, b: usize| match (grown.get(a.min(b)), grown.get(a.max(b))) {
        // Two outings of a day have no order.
        (Some(earlier), Some(later)) => earlier.date < later.date && earlier.stage > later.stage,
        _ => false,
    };
    let all = 0..grown.len();
    all.clone()
        .map(|index| {
            let others: Vec<usize> = all
                .clone()
                .filter(|other| *other != index && disagree(index, *other))
                .collect();
            (others.len(), index, others.first().copied())
        })
        .filter_map(|(number, index, first)| Some((number, index, first?)))
        .max_by_key(|(number, index, _)| (*number, *index))
        .map(|(_, index, first)| (index, first))
}

fn fruit_against_stage(season: &Season, findings: &mut Vec<Finding>) {
    for (_, row) in rows(season) {
        let (Some(fruit), Some(stage)) = (row.fruit, row.stage.as_deref()) else {
            continue;
        };
        // The default stages, whose meaning is known; a group's own words are left alone.
        let wrong = match (value::fold(stage).as_str(), fruit) {
            ("seedling" | "rosette", fruit) => fruit != Fruit::None,
            ("flowering", Fruit::Ripe | Fruit::Dropped) => true,
            ("fruiting" | "ripe", Fruit::None) => true,
            ("ripe", Fruit::Green) => true,
            _ => false,
        };
        if wrong {
            let fruit = match fruit {
                Fruit::None => words!("no fruit"),
                Fruit::Green => words!("green fruit"),
                Fruit::Ripe => words!("ripe fruit"),
                Fruit::Dropped => words!("dropped fruit"),
            };
            findings.push(FRUIT_AGAINST_STAGE.on(
                &row.row,
                Some("fruit"),
                words!("The stage is {stage}, with {fruit}.", stage, fruit),
                words!("Correct the one that is wrong from the field sheet or the photos."),
            ));
        }
    }
}

fn pull_after_ripe_seed(season: &Season, findings: &mut Vec<Finding>) {
    let ripens = season.settings.seed_ripens;
    for pull in &season.pulls {
        let some = |value: Option<f64>| value.is_some_and(|value| value > 0.0);
        let caught = |row: &&PullRow| some(row.containers) || some(row.mass) || some(row.plants);
        let ripe = |row: &PullRow| {
            matches!(row.fruit, Some(Fruit::Ripe | Fruit::Dropped))
                || row
                    .stage
                    .as_deref()
                    .is_some_and(|stage| matches!(value::fold(stage).as_str(), "ripe" | "dropped"))
        };
        let Some(row) = pull.rows.iter().find(caught) else {
            continue;
        };
        let (column, message) =
            if let Some(row) = pull.rows.iter().filter(caught).find(|row| ripe(row)) {
                let column = if row.fruit.is_some_and(|fruit| fruit >= Fruit::Ripe) {
                    "fruit"
                } else {
                    "stage"
                };
                (
                    column,
                    words!(
                        "Pull {pull} took out plants whose seed was ripe or had dropped.",
                        pull = &pull.id
                    ),
                )
            } else if let (Some(date), Some(ripens)) = (pull.date(), ripens)
            && date > ripens
            // Where the fruit was looked at, that is the better word.
            && pull.rows.iter().all(|row| row.fruit.is_none())
            {
                (
                    "date",
                    words!(
                        "Pull {pull} was on {date}; season.toml lets seed ripen on {ripens}.",
                        pull = &pull.id,
                        date = date.to_string(),
                        ripens = ripens.to_string()
                    ),
                )
            } else {
                continue;
            };
        findings.push(PULL_AFTER_RIPE_SEED.on(
            &row.row,
            Some(column),
            message,
            words!("Nothing, if it is so; come earlier next year. Ripe seeds pierce gloves and shoes: thick gloves, hard soles, a net below each \
             plant, and whatever local rules say of carrying live seed."),
        ));
    }
}

fn return_before_pull(season: &Season, findings: &mut Vec<Finding>) {
    for (pull, row) in rows(season) {
        if let (Some(back), Some(date)) = (row.return_by, row.date.or(pull.date()))
            && back < date
        {
            findings.push(RETURN_BEFORE_PULL.on(
                &row.row,
                Some("return_by"),
                words!(
                    "The pull was on {date} and says to return by {back}.",
                    date = date.to_string(),
                    back = back.to_string()
                ),
                words!("Correct the one that is wrong from the field sheet."),
            ));
        }
    }
}

fn seed_ripens_outside(season: &Season, findings: &mut Vec<Finding>) {
    use chrono::Datelike;
    let settings = &season.settings;
    if let Some(ripens) = settings.seed_ripens
        && settings.year != 0
        && ripens.year() != settings.year
    {
        findings.push(SEED_RIPENS_OUTSIDE.at(
            Place::key(SETTINGS_FILE, "seed_ripens"),
            words!(
                "seed_ripens is {ripens}, the season is {year}.",
                ripens = ripens.to_string(),
                year = settings.year.to_string()
            ),
            words!(
                "Write seed_ripens = {day}, or the day on which ripe seed was first seen this year.",
                day = format!("{}-{:02}-{:02}", settings.year, ripens.month(), ripens.day())
            ),
        ));
    }
}
