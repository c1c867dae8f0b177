//! Hours and heads of a pull.

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use super::{brought_something, rows};
use crate::season::{Effort, Pull, PullRow, Season};
use crate::words;
use crate::words::{Words, number};

const HOURS_MISSING: Rule = Rule {
    name: "hours-missing",
    grade: Grade::Doubt,
    title: "A pull has no person-hours, and they don't follow from heads, start and end.",
    why: "The pull is left out of the person-hours and, with its catch, out of every rate per hour.",
};
const HOURS_ZERO: Rule = Rule {
    name: "hours-zero",
    grade: Grade::Error,
    title: "A pull that brought something in took no time.",
    why: "Its catch would raise the catch per hour for nothing.",
};
const HOURS_IMPOSSIBLE: Rule = Rule {
    name: "hours-impossible",
    grade: Grade::Error,
    title: "A pull has more person-hours than its people can have worked in a day.",
    why: "The season's person-hours would be too high, and the catch per hour too low.",
};
const HEADS_SILENT: Rule = Rule {
    name: "heads-silent",
    grade: Grade::Remark,
    title: "A pull tells the hours of one kind of people and nothing of the other.",
    why: "The other kind is read as none.",
};
const COUNT_IMPOSSIBLE: Rule = Rule {
    name: "count-impossible",
    grade: Grade::Doubt,
    title: "A count is beyond anything one outing brings.",
    why: "A slip of one digit here outweighs all other pulls together.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (HOURS_MISSING, hours_missing),
    (HOURS_ZERO, hours_zero),
    (HOURS_IMPOSSIBLE, hours_impossible),
    (HEADS_SILENT, heads_silent),
    (COUNT_IMPOSSIBLE, count_impossible),
];

fn hours_missing(season: &Season, findings: &mut Vec<Finding>) {
    for pull in season.pulls.iter().filter(|pull| !pull.is_empty()) {
        if pull.person_hours().is_none()
            && let Some(first) = pull.rows.first()
        {
            let (staff, volunteers) = pull.effort();
            let (who, column) = match (staff, volunteers) {
                (Effort::Missing, Effort::Missing) => {
                    (words!("staff and volunteers"), "staff_hours")
                }
                (Effort::Missing, _) => (words!("staff"), "staff_hours"),
                _ => (words!("volunteers"), "volunteer_hours"),
            };
            // Hours, heads or times that stand there and can't be read have been told by the reader.
            let unread = pull.rows.iter().any(|row| {
                let said = |column| row.row.text(column).is_some();
                said(column)
                    || (said("start") && row.start.is_none())
                    || (said("end") && row.end.is_none())
            });
            if unread {
                continue;
            }
            findings.push(HOURS_MISSING.on(
                &first.row,
                Some(column),
                words!("Pull {pull} has no hours of {who}.", pull = &pull.id, who),
                words!(
                    "Fill in the hours, or heads with start and end, from the field sheet; write 0 where nobody of that kind was there."
                ),
            ));
        }
    }
}

fn hours_zero(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        if pull.person_hours() == Some(0.0)
            && brought_something(pull)
            && let Some(first) = pull.rows.first()
        {
            findings.push(HOURS_ZERO.on(
                &first.row,
                Some("staff_hours"),
                words!(
                    "Pull {pull} brought something in with 0 person-hours.",
                    pull = &pull.id
                ),
                words!(
                    "Fill in the hours from the field sheet; leave them empty if nobody noted them."
                ),
            ));
        }
    }
}

/// More than this in one day by one person is no field day (common practice, no source).
pub(super) const LONGEST_DAY_H: f64 = 16.0;

/// A crew larger than this has most likely its hours in the column of heads (common practice, no source).
const LARGEST_CREW: u32 = 150;

/// Containers of one kind from one outing (common practice, no source).
const MOST_CONTAINERS: f64 = 2000.0;

/// Plants of one row that anybody has counted one by one (common practice, no source).
const MOST_PLANTS: f64 = 100_000.0;

/// Kilograms of one row: ten loads of a small truck (common practice, no source).
const MOST_MASS_KG: f64 = 30_000.0;

/// The person-hours of a row by who gave them: the column, the hours, the heads of the pull, and the word for them.
pub(super) fn by_giver(
    pull: &Pull,
    row: &PullRow,
) -> [(&'static str, Option<f64>, Option<u32>, Words); 2] {
    [
        (
            "staff_hours",
            row.staff_hours,
            pull.staff(),
            words!("staff"),
        ),
        (
            "volunteer_hours",
            row.volunteer_hours,
            pull.volunteers(),
            words!("volunteers"),
        ),
    ]
}

fn hours_impossible(season: &Season, findings: &mut Vec<Finding>) {
    for (pull, row) in rows(season) {
        for (column, hours, heads, who) in by_giver(pull, row) {
            let Some(hours) = hours else { continue };
            // Without heads the whole crew's limit holds.
            let most = f64::from(heads.unwrap_or(LARGEST_CREW)) * LONGEST_DAY_H;
            if hours > most {
                findings.push(HOURS_IMPOSSIBLE.on(
                    &row.row,
                    Some(column),
                    match heads {
                        Some(heads) => words!(
                            "{hours} person-hours by {heads} {who} in one day.",
                            hours = number(hours.to_string()),
                            heads,
                            who
                        ),
                        None => words!(
                            "{hours} person-hours by {who} in one day.",
                            hours = number(hours.to_string()),
                            who
                        ),
                    },
                    words!(
                        "Correct the hours or the heads; minutes need the unit min in the heading."
                    ),
                ));
            }
        }
    }
}

fn heads_silent(season: &Season, findings: &mut Vec<Finding>) {
    for pull in &season.pulls {
        let (staff, volunteers) = pull.effort();
        let (column, who) = match (staff, volunteers) {
            (Effort::Silent, _) => ("staff_hours", words!("staff")),
            (_, Effort::Silent) => ("volunteer_hours", words!("volunteers")),
            _ => continue,
        };
        if let Some(first) = pull.rows.first() {
            findings.push(HEADS_SILENT.on(
                &first.row,
                Some(column),
                words!(
                    "Pull {pull} says nothing of {who}; read as none.",
                    pull = &pull.id,
                    who = &who
                ),
                words!("Write 0, or the hours of {who}.", who),
            ));
        }
    }
}

fn count_impossible(season: &Season, findings: &mut Vec<Finding>) {
    for (_, row) in rows(season) {
        let counts = [
            ("staff", row.staff.map(f64::from), f64::from(LARGEST_CREW)),
            (
                "volunteers",
                row.volunteers.map(f64::from),
                f64::from(LARGEST_CREW),
            ),
            ("boats", row.boats.map(f64::from), f64::from(LARGEST_CREW)),
            ("containers", row.containers, MOST_CONTAINERS),
            ("plants", row.plants, MOST_PLANTS),
            ("mass", row.mass, MOST_MASS_KG),
        ];
        for (column, value, most) in counts {
            if let Some(value) = value
                && value > most
            {
                findings.push(COUNT_IMPOSSIBLE.on(
                    &row.row,
                    Some(column),
                    words!(
                        "{value} under {column} is more than {most}, beyond anything one outing brings.",
                        value = number(value.to_string()),
                        column,
                        most = number(most.to_string())
                    ),
                    words!(
                        "Correct it from the field sheet, or accept the finding if it is right."
                    ),
                ));
            }
        }
    }
}
