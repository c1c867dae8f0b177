//! spending.csv: money and gifts in kind.

use chrono::NaiveDate;
use rust_decimal::Decimal;
use serde::Serialize;

use super::problem::{Problem, ProblemKind};
use super::table::{Column, Row, Sums, TableProblem, Taker, each, must, text};
use super::value::{self, DateHabits};
use crate::phrase;

pub const COLUMNS: &[Column] = &[
    must(
        "date",
        &["day", "date paid", "invoice date", "receipt date"],
    ),
    text("grant", &["award", "fund"]),
    text("line", &["budget line", "category"]),
    must(
        "amount",
        &["cost", "amount paid", "paid", "total cost", "price"],
    )
    .summing(Sums::PerRow),
    text("receipt", &["receipt file"]),
    text("kind", &["cash or in kind", "type"]),
    text("notes", &["note", "remarks", "comments", "description"]),
];

/// Was money paid, or something given?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SpendingKind {
    Cash,
    InKind,
}

pub(super) const KINDS: &[(&str, SpendingKind)] = &[
    ("cash", SpendingKind::Cash),
    ("in-kind", SpendingKind::InKind),
];

/// One amount, in the season's currency.
#[derive(Debug, Clone, PartialEq)]
pub struct SpendingRow {
    pub row: Row,
    pub date: Option<NaiveDate>,
    pub grant: Option<String>,
    pub line: Option<String>,
    pub amount: Option<Decimal>,
    pub receipt: Option<String>,
    pub kind: SpendingKind,
    pub notes: Option<String>,
}

/// Reads the rows. Cash where the kind is not said.
pub fn read(rows: &[Row], dates: DateHabits, problems: &mut Vec<Problem>) -> Vec<SpendingRow> {
    each(rows, dates, problems, |take| SpendingRow {
        date: {
            take.needed("date");
            take.date("date")
        },
        grant: take.text("grant"),
        line: take.text("line"),
        amount: amount(take),
        receipt: take.text("receipt"),
        kind: take.choice("kind", KINDS).unwrap_or(SpendingKind::Cash),
        notes: take.text("notes"),
        row: take.row.clone(),
    })
}

/// Money is read as a decimal, so that no cent is lost. A refund may be negative.
fn amount(take: &mut Taker<'_>) -> Option<Decimal> {
    let found = take.needed("amount")?;
    let signed: String = found
        .chars()
        .filter(|c| !matches!(c, '$' | '€' | '£'))
        .collect();
    let signed = signed.trim();
    // Bookkeepers write a refund as -12.50 or as (12.50).
    let (magnitude, negative) = match signed
        .strip_prefix('(')
        .and_then(|inner| inner.strip_suffix(')'))
    {
        Some(inner) => (inner.trim(), true),
        None => match signed.strip_prefix(['-', '−', '–']) {
            Some(rest) => (rest.trim_start(), true),
            None => (signed, false),
        },
    };
    let plain = value::plain(magnitude, take.marks);
    if let Some(value::Plain {
        text,
        other: Some(other),
    }) = &plain
    {
        take.problem(
            "amount",
            ProblemKind::Table(TableProblem::MarkAmbiguous {
                found: found.clone(),
                read_as: text.clone(),
                other: other.clone(),
            }),
        );
    }
    let amount = plain
        .and_then(|plain| plain.text.parse::<Decimal>().ok())
        .map(|amount| if negative { -amount } else { amount });
    if amount.is_none() {
        take.problem(
            "amount",
            ProblemKind::NotANumber {
                found,
                expected: phrase!("an amount of money such as 1250.00"),
            },
        );
    }
    amount
}
