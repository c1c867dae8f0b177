//! The columns that a table may have: their names, the trade's words for them, and how their cells add up.

use crate::units::Dimension;

/// What adding up the cells of a column means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sums {
    /// The cells are words, dates, or numbers that nobody adds.
    No,
    /// Hours and areas: the rows of one pull share them.
    PerPull,
    /// Amounts: each row has its own.
    PerRow,
}

/// A column that a table may have.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    pub name: &'static str,
    /// Must the heading be there?
    pub must: bool,
    /// For a column that holds a quantity with a unit.
    pub quantity: Option<Dimension>,
    pub sums: Sums,
    /// Other words for it, common in the trade (common practice, no source).
    pub also: &'static [&'static str],
}

impl Column {
    /// The same column, with what adding up its cells means.
    pub const fn summing(self, sums: Sums) -> Self {
        Self { sums, ..self }
    }
}

/// A column of text, or of numbers without unit.
pub const fn text(name: &'static str, also: &'static [&'static str]) -> Column {
    Column {
        name,
        must: false,
        quantity: None,
        sums: Sums::No,
        also,
    }
}

/// A column that must be there.
pub const fn must(name: &'static str, also: &'static [&'static str]) -> Column {
    Column {
        must: true,
        ..text(name, also)
    }
}

/// A column that holds a quantity. Time and area are shared by the rows of a pull, mass is each row's own, unless said otherwise.
pub const fn quantity(
    name: &'static str,
    dimension: Dimension,
    also: &'static [&'static str],
) -> Column {
    Column {
        quantity: Some(dimension),
        sums: match dimension {
            Dimension::Mass => Sums::PerRow,
            Dimension::Area | Dimension::Time => Sums::PerPull,
        },
        ..text(name, also)
    }
}
