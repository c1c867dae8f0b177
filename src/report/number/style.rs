//! In which units, money and language numbers are printed, and what follows from that for every one of them.
//!
//! Takes the settings, gives a [`Style`] that says digits, moments and money, and the unit of each measure. Must not know how a figure
//! came about.

use chrono::NaiveDateTime;
use rust_decimal::Decimal;

use crate::figure::Measure;
use crate::phrase;
use crate::report::digits;
use crate::season::{PrintUnits, Settings};
use crate::units::Unit;
use crate::words;
use crate::words::{Language, Words};

/// In which units and which money numbers are printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Style {
    pub units: PrintUnits,
    /// ISO 4217 code, or whatever the season calls its money.
    pub currency: String,
    pub language: Language,
}

impl Style {
    pub fn of(settings: &Settings) -> Self {
        let units = settings.units.print;
        let currency = settings
            .units
            .currency
            .clone()
            .unwrap_or_else(|| match units {
                PrintUnits::Us => "USD".to_owned(),
                // Nobody said, so no currency is claimed.
                PrintUnits::Metric => String::new(),
            });
        Self {
            units,
            currency,
            language: settings.report.language,
        }
    }

    /// Words in the style's language.
    pub fn say(&self, words: impl Into<Words>) -> String {
        words.into().say(self.language)
    }

    /// Digits of [`digits`] as the style's language writes them.
    pub fn digits(&self, text: &str) -> String {
        match text {
            digits::NO_LIMIT => self.language.of(digits::NO_LIMIT).to_owned(),
            digits::NO_NUMBER => self.language.of(digits::NO_NUMBER).to_owned(),
            text => words::digits(text, self.language),
        }
    }

    /// A number with as many decimals as it has, at most `most`.
    pub fn trimmed(&self, value: f64, most: i32) -> String {
        self.digits(&digits::trimmed(value, most))
    }

    /// A moment for a table: `5 Aug, 09:40`.
    pub fn moment(&self, local: NaiveDateTime) -> String {
        let day = words::short_day(local.date(), self.language);
        format!("{day}, {}", local.format("%H:%M"))
    }

    /// A count.
    pub fn count(&self, value: usize) -> String {
        self.digits(&digits::count(value))
    }
}

/// Factor from the ledger's base unit to the printed one, and the printed unit in the style's language.
pub fn unit_of(measure: Measure, style: &Style) -> (f64, &'static str) {
    let us = style.units == PrintUnits::Us;
    let said = |unit: &'static str| style.language.of(unit);
    match measure {
        Measure::Mass if us => (1.0 / Unit::Pound.factor(), Unit::Pound.symbol()),
        Measure::Mass => (1.0, Unit::Kilogram.symbol()),
        // Spelt as it is read aloud: the acre has no symbol.
        Measure::Area if us => (1.0 / Unit::Acre.factor(), said(phrase!("acres"))),
        Measure::Area => (1.0 / Unit::Hectare.factor(), Unit::Hectare.symbol()),
        Measure::MassPerTime if us => (1.0 / Unit::Pound.factor(), "lb/h"),
        Measure::MassPerTime => (1.0, "kg/h"),
        Measure::Time => (1.0, "h"),
        Measure::CountPerTime => (1.0, said(phrase!("per hour"))),
        // Plots are laid out in square metres, whatever the rest is printed in (common practice, no source).
        Measure::CountPerArea => (1.0, said(phrase!("per m²"))),
        Measure::Percent | Measure::PercentPerYear => (1.0, "%"),
        Measure::PercentPerHour => (1.0, said(phrase!("% per hour"))),
        Measure::Years => (1.0, said(phrase!("years"))),
        Measure::PercentPoints => (1.0, said(phrase!("percentage points"))),
        Measure::Count | Measure::Money => (1.0, ""),
    }
}

/// Money to the cent with its currency: `$1,234.50`, `CHF 1,234.50`; `$1 234,50` in Spanish, `1 234,50 $` in French.
///
/// Where the sign stands: Unicode CLDR, standard currency patterns of en, es-US and es-ES, fr (from memory). Spanish sets the dollar
/// before, as is usual where the dollar is, and the rest behind.
pub fn money(amount: Decimal, style: &Style) -> String {
    let digits = digits::cents(amount);
    let (sign, digits) = match digits.strip_prefix(digits::MINUS) {
        Some(rest) => (digits::MINUS.to_string(), rest),
        None => (String::new(), digits.as_str()),
    };
    let digits = style.digits(digits);
    let code = style.currency.trim().to_uppercase();
    let symbol = match code.as_str() {
        "USD" => "$",
        "EUR" => "€",
        "GBP" => "£",
        code => code,
    };
    let before = match style.language {
        Language::English => true,
        Language::Spanish => symbol == "$",
        Language::French => false,
    };
    match symbol.chars().count() {
        0 => format!("{sign}{digits}"),
        1 if before => format!("{sign}{symbol}{digits}"),
        _ if before => format!("{sign}{symbol}\u{a0}{digits}"),
        _ => format!("{sign}{digits}\u{a0}{symbol}"),
    }
}

/// A share such as 0.95 as `95%`.
pub fn percent(share: f64, language: Language) -> String {
    words::digits(&format!("{}%", digits::trimmed(share * 100.0, 2)), language)
}

/// Digits and unit; a no-break space between, none before the per cent sign of English.
pub(super) fn joined(value: &str, unit: &str, language: Language) -> String {
    match unit {
        "" => value.to_owned(),
        "%" if language == Language::English => format!("{value}%"),
        unit => format!("{value}\u{a0}{unit}"),
    }
}
