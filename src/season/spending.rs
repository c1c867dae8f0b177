//! spending.csv: money and gifts in kind.

use chrono::NaiveDate;
use rust_decimal::Decimal;
use serde::Serialize;

use super::problem::{Problem, ProblemKind};
use super::table::{Column, Row, Taker, each, must, text};
use super::value::DateOrder;

pub const COLUMNS: &[Column] = &[
    must("date", &["day"]),
    text("grant", &["award", "fund"]),
    text("line", &["budget line", "category"]),
    must("amount", &["cost"]),
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
pub fn read(rows: &[Row], order: DateOrder, problems: &mut Vec<Problem>) -> Vec<SpendingRow> {
    each(rows, order, problems, |take| SpendingRow {
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
    let plain: String = found
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '$' | '€' | '£' | '\''))
        .collect();
    let plain = match plain.rsplit_once(',') {
        // Two digits behind the only mark are cents; a comma elsewhere parts thousands.
        Some((whole, cents)) if cents.len() <= 2 && !whole.contains([',', '.']) => {
            format!("{whole}.{cents}")
        }
        _ => plain.replace(',', ""),
    };
    let amount = plain.parse::<Decimal>().ok();
    if amount.is_none() {
        take.problem(
            "amount",
            ProblemKind::NotANumber {
                found,
                expected: "an amount of money such as 1250.00",
            },
        );
    }
    amount
}
