//! Money: what an amount may be counted for, and how often.

use rust_decimal::Decimal;

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::place::Place;
use crate::season::{Grant, SETTINGS_FILE, Season, SpendingKind, SpendingRow, value};
use crate::words;
use crate::words::number;

const RECEIPT_OUTSIDE_GRANT: Rule = Rule {
    name: "receipt-outside-grant",
    grade: Grade::Doubt,
    title: "An amount is dated outside the period of its grant.",
    why: "It counts as spent from the grant; a funder pays, as a rule, for nothing before or after its period.",
};
const SPENDING_OVER_LINE: Rule = Rule {
    name: "spending-over-line",
    grade: Grade::Doubt,
    title: "More was spent on a budget line than it holds.",
    why: "The report shows the line as overspent; many awards ask for leave before money moves between lines.",
};
const SPENDING_BOOKED_TWICE: Rule = Rule {
    name: "spending-booked-twice",
    grade: Grade::Error,
    title: "One amount is booked twice.",
    why: "The spending of the grant, or of two of them, would be too high by it.",
};
const MATCH_COUNTED_TWICE: Rule = Rule {
    name: "match-counted-twice",
    grade: Grade::Error,
    title: "The same gift would count twice as match.",
    why: "The match would be too high; a gift serves one award, once.",
};
const GRANT_ENDS_BEFORE_START: Rule = Rule {
    name: "grant-ends-before-start",
    grade: Grade::Error,
    title: "A grant's period ends before it starts.",
    why: "No amount can be told to lie inside it.",
};
const RATE_OF_ANOTHER_YEAR: Rule = Rule {
    name: "rate-of-another-year",
    grade: Grade::Remark,
    title: "An hour given in kind is valued at the rate of another year.",
    why: "The match is valued by it; rates are published year by year.",
};
const RATE_WITHOUT_SOURCE: Rule = Rule {
    name: "rate-without-source",
    grade: Grade::Doubt,
    title: "A rate for hours in kind names no source.",
    why: "An auditor can't tell where the value of the match comes from.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (RECEIPT_OUTSIDE_GRANT, receipt_outside_grant),
    (SPENDING_OVER_LINE, spending_over_line),
    (SPENDING_BOOKED_TWICE, spending_booked_twice),
    (MATCH_COUNTED_TWICE, match_counted_twice),
    (GRANT_ENDS_BEFORE_START, grant_ends_before_start),
    (RATE_OF_ANOTHER_YEAR, rate_of_another_year),
    (RATE_WITHOUT_SOURCE, rate_without_source),
];

fn grant_of<'a>(season: &'a Season, row: &SpendingRow) -> Option<&'a Grant> {
    season.settings.grant(row.grant.as_deref()?)
}

fn receipt_outside_grant(season: &Season, findings: &mut Vec<Finding>) {
    for row in &season.spending {
        let (Some(grant), Some(date)) = (grant_of(season, row), row.date) else {
            continue;
        };
        let early = grant.starts.filter(|starts| date < *starts).map(|starts| {
            words!(
                "The amount is of {date}; {grant} begins on {starts}.",
                date = date.to_string(),
                grant = &grant.id,
                starts = starts.to_string()
            )
        });
        let late = grant.ends.filter(|ends| date > *ends).map(|ends| {
            words!(
                "The amount is of {date}; {grant} ends on {ends}.",
                date = date.to_string(),
                grant = &grant.id,
                ends = ends.to_string()
            )
        });
        if let Some(message) = early.or(late) {
            findings.push(RECEIPT_OUTSIDE_GRANT.on(
                &row.row,
                Some("date"),
                message,
                words!(
                    "Correct the date from the receipt, book the amount elsewhere, or accept the finding with the funder's leave as the reason."
                ),
            ));
        }
    }
}

fn spending_over_line(season: &Season, findings: &mut Vec<Finding>) {
    for grant in &season.settings.grants {
        for line in &grant.budget {
            let rows: Vec<&SpendingRow> = season
                .spending
                .iter()
                .filter(|row| {
                    row.kind == SpendingKind::Cash
                        && row
                            .grant
                            .as_deref()
                            .is_some_and(|id| value::fold(id) == value::fold(&grant.id))
                        && row
                            .line
                            .as_deref()
                            .is_some_and(|own| value::fold(own) == value::fold(&line.line))
                })
                .collect();
            let mut sum = Decimal::ZERO;
            // The row with which the line runs over.
            let mut over: Option<&SpendingRow> = None;
            for row in &rows {
                sum = sum.saturating_add(row.amount.unwrap_or_default());
                if sum > line.amount && over.is_none() {
                    over = Some(row);
                } else if sum <= line.amount {
                    over = None;
                }
            }
            if let Some(over) = over {
                findings.push(
                    SPENDING_OVER_LINE
                        .on(
                            &over.row,
                            Some("amount"),
                            words!(
                                "{sum} was spent on the line {line} of {grant}, which holds {amount}.",
                                sum = number(sum.to_string()),
                                line = &line.line,
                                grant = &grant.id,
                                amount = number(line.amount.to_string())
                            ),
                            words!(
                                "Look for an amount on the wrong line or with a slip; or accept the finding with the funder's leave as the reason."
                            ),
                        )
                        .with(rows.iter().filter(|row| row.row.number != over.row.number).map(|row| row.row.place())),
                );
            }
        }
    }
}

fn same(a: Option<&str>, b: Option<&str>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => value::fold(a) == value::fold(b),
        (None, None) => true,
        _ => false,
    }
}

/// Are two rows one amount? Same amount and kind, and the same receipt; without receipts, the same day, line and words.
fn one_amount(a: &SpendingRow, b: &SpendingRow) -> bool {
    let paid = a.amount.is_some_and(|amount| !amount.is_zero());
    if !paid || a.amount != b.amount || a.kind != b.kind {
        return false;
    }
    match (a.receipt.as_deref(), b.receipt.as_deref()) {
        // File names may differ in nothing but punctuation, so that they are compared as they are.
        (Some(a), Some(b)) => a == b,
        (None, None) => {
            a.date.is_some()
                && a.date == b.date
                && same(a.line.as_deref(), b.line.as_deref())
                && same(a.notes.as_deref(), b.notes.as_deref())
        }
        _ => false,
    }
}

fn twins(
    season: &Season,
    kind: SpendingKind,
) -> impl Iterator<Item = (&SpendingRow, &SpendingRow)> {
    season
        .spending
        .iter()
        .enumerate()
        .filter_map(move |(index, row)| {
            let twin = season
                .spending
                .iter()
                .take(index)
                .find(|earlier| one_amount(earlier, row))?;
            (row.kind == kind).then_some((row, twin))
        })
}

fn spending_booked_twice(season: &Season, findings: &mut Vec<Finding>) {
    for (row, twin) in twins(season, SpendingKind::Cash) {
        let amount = row.amount.unwrap_or_default();
        findings.push(
            SPENDING_BOOKED_TWICE
                .on(
                    &row.row,
                    Some("amount"),
                    words!(
                        "{amount} stands in row {row} already, with the same receipt or day and words.",
                        amount = number(amount.to_string()),
                        row = twin.row.number.to_string()
                    ),
                    words!(
                        "Take one of the two out; if it was paid twice, name each receipt, or accept the finding."
                    ),
                )
                .with([twin.row.place()]),
        );
    }
}

/// Does a text speak of hours that volunteers gave?
fn speaks_of_volunteer_hours(text: &str) -> bool {
    let text = text.to_lowercase();
    text.contains("volunteer")
        && ["hour", "time", "labour", "labor", "work"]
            .iter()
            .any(|word| text.contains(word))
}

fn match_counted_twice(season: &Season, findings: &mut Vec<Finding>) {
    for (row, twin) in twins(season, SpendingKind::InKind) {
        let amount = row.amount.unwrap_or_default();
        findings.push(
            MATCH_COUNTED_TWICE
                .on(
                    &row.row,
                    Some("amount"),
                    words!(
                        "The gift of {amount} stands in row {row} already.",
                        amount = number(amount.to_string()),
                        row = twin.row.number.to_string()
                    ),
                    words!(
                        "Take one of the two out, so that the gift is match for one grant only."
                    ),
                )
                .with([twin.row.place()]),
        );
    }
    for row in season
        .spending
        .iter()
        .filter(|row| row.kind == SpendingKind::InKind)
    {
        let Some(grant) = grant_of(season, row) else {
            continue;
        };
        let rated = season.settings.rates_volunteers(grant);
        let text = format!(
            "{} {}",
            row.line.as_deref().unwrap_or_default(),
            row.notes.as_deref().unwrap_or_default()
        );
        if grant.asks_for_match() && rated && speaks_of_volunteer_hours(&text) {
            findings.push(MATCH_COUNTED_TWICE.on(
                &row.row,
                Some("amount"),
                words!("Volunteer hours are match by the log and the rate already."),
                words!(
                    "Take the row out; if these hours are not in pulls.csv, log them there, or accept the finding and say which they are."
                ),
            ));
        }
    }
}

fn grant_ends_before_start(season: &Season, findings: &mut Vec<Finding>) {
    for grant in &season.settings.grants {
        if let (Some(starts), Some(ends)) = (grant.starts, grant.ends)
            && ends < starts
        {
            findings.push(GRANT_ENDS_BEFORE_START.at(
                Place::key(SETTINGS_FILE, format!("grants.{}.ends", grant.id)),
                words!(
                    "{grant} ends on {ends} and starts on {starts}.",
                    grant = &grant.id,
                    ends = ends.to_string(),
                    starts = starts.to_string()
                ),
                words!("Correct the one that is wrong from the award."),
            ));
        }
    }
}

fn rate_key(index: usize, what: &str) -> Place {
    Place::key(SETTINGS_FILE, format!("rates.{}.{what}", index + 1))
}

fn rate_of_another_year(season: &Season, findings: &mut Vec<Finding>) {
    for (index, rate) in season.settings.rates.iter().enumerate() {
        if let Some(year) = rate.year
            && year != season.settings.year
        {
            findings.push(RATE_OF_ANOTHER_YEAR.at(
                rate_key(index, "year"),
                words!(
                    "The rate is of {year}, the season of {season}.",
                    year = year.to_string(),
                    season = season.settings.year.to_string()
                ),
                words!(
                    "Look for the rate of the season's year; nothing, if the award names this one."
                ),
            ));
        }
    }
}

fn rate_without_source(season: &Season, findings: &mut Vec<Finding>) {
    for (index, rate) in season.settings.rates.iter().enumerate() {
        if rate
            .source
            .as_deref()
            .is_none_or(|source| source.trim().is_empty())
        {
            findings.push(RATE_WITHOUT_SOURCE.at(
                rate_key(index, "source"),
                words!(
                    "The rate of {rate} an hour has no source.",
                    rate = number(rate.per_hour.to_string())
                ),
                words!(
                    "Add source = \"…\" to it: the table, letter or agreement that the rate is from."
                ),
            ));
        }
    }
}
