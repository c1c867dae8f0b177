//! How a figure is printed: on a page, in a terminal, in a chart's label. One function family, so that no number ever stands
//! in two spellings.
//!
//! Takes a figure and a [`Style`], gives texts. Must not compute anything but the change of unit and the rounding.

use rust_decimal::Decimal;

use super::digits;
use crate::figure::{Figure, Measure, Outturn, Supposed};
use crate::season::{PrintUnits, Settings};
use crate::units::Unit;
use crate::words::Language;

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
}

/// A figure as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// Digits alone, such as `1,234.5`; money with its sign; a dash where there is no value.
    pub value: String,
    /// What stands behind the digits: `kg`, `h`, `%`; empty for counts and money.
    pub unit: String,
    /// `1,100 to 1,400 kg`, or `from 1,100 kg, without upper limit`.
    pub interval: Option<String>,
    /// `95%`, where there is an interval.
    pub level: Option<String>,
    /// The whole in one line: `1,234 kg (95% interval 1,100 to 1,400 kg)`, or why there is none.
    pub text: String,
    /// Why there is no value.
    pub refusal: Option<String>,
}

impl Printed {
    /// Digits with their unit: `1,234 kg`.
    pub fn with_unit(&self) -> String {
        joined(&self.value, &self.unit)
    }
}

/// What stands where a value can't: an en dash.
pub const NO_VALUE: &str = "\u{2013}";

/// Factor from the ledger's base unit to the printed one, and the printed unit.
pub fn unit_of(measure: Measure, style: &Style) -> (f64, &'static str) {
    let us = style.units == PrintUnits::Us;
    match measure {
        Measure::Mass if us => (1.0 / Unit::Pound.factor(), Unit::Pound.symbol()),
        Measure::Mass => (1.0, Unit::Kilogram.symbol()),
        // Spelt as it is read aloud: the acre has no symbol.
        Measure::Area if us => (1.0 / Unit::Acre.factor(), "acres"),
        Measure::Area => (1.0 / Unit::Hectare.factor(), Unit::Hectare.symbol()),
        Measure::MassPerTime if us => (1.0 / Unit::Pound.factor(), "lb/h"),
        Measure::MassPerTime => (1.0, "kg/h"),
        Measure::Time => (1.0, "h"),
        Measure::CountPerTime => (1.0, "per hour"),
        // Plots are laid out in square metres, whatever the rest is printed in (common practice, no source).
        Measure::CountPerArea => (1.0, "per m²"),
        Measure::Percent | Measure::PercentPerYear => (1.0, "%"),
        Measure::PercentPerHour => (1.0, "% per hour"),
        Measure::Years => (1.0, "years"),
        Measure::PercentPoints => (1.0, "percentage points"),
        Measure::Count | Measure::Money => (1.0, ""),
    }
}

/// Prints a figure.
pub fn print(figure: &Figure, style: &Style) -> Printed {
    let measure = figure.measure;
    let (factor, unit) = unit_of(measure, style);
    match &figure.outturn {
        Outturn::Refused(reason) => Printed {
            value: NO_VALUE.to_owned(),
            unit: String::new(),
            interval: None,
            level: None,
            text: format!(
                "not known: {}",
                sentence_inside(&reason.say(style.language))
            ),
            refusal: Some(reason.say(style.language)),
        },
        Outturn::Supposed(range) => supposed(range, measure, factor, unit),
        Outturn::Amount(amount) => plain(money(*amount, &style.currency), ""),
        Outturn::Exact(value) if measure == Measure::Money => plain(
            Decimal::from_f64_retain(*value)
                .map_or_else(|| NO_VALUE.to_owned(), |a| money(a, &style.currency)),
            "",
        ),
        Outturn::Exact(value) => plain(exact(value * factor, measure), unit),
        Outturn::Estimated(estimate) => {
            let value = estimate.value * factor;
            let bounds = estimate
                .interval
                .map(|interval| (interval.lower * factor, interval.upper * factor));
            let error = estimate.standard_error.map(|error| error * factor);
            // A census has no sampling error: its result is printed like any other exact record.
            if error == Some(0.0) && bounds.is_none_or(|(lower, upper)| lower == upper) {
                return plain(exact(value, measure), unit);
            }
            let place = error
                .and_then(digits::place_of)
                .or_else(|| bounds.and_then(|bounds| place_of_bounds(value, bounds)))
                .unwrap_or_else(|| three_digits(value));
            let value = digits::rounded(value, place);
            let Some((lower, upper)) = bounds else {
                return Printed {
                    text: format!("about {} (no interval)", joined(&value, unit)),
                    ..plain(value, unit)
                };
            };
            let interval = interval_text(lower, upper, place, unit);
            let level = estimate.interval.map(|interval| percent(interval.level));
            Printed {
                text: format!(
                    "{} ({} interval {interval})",
                    joined(&value, unit),
                    level.as_deref().unwrap_or_default()
                ),
                interval: Some(interval),
                level,
                ..plain(value, unit)
            }
        }
    }
}

/// A range of suppositions: told as such, so that nobody takes it for an interval of something measured.
fn supposed(supposed: &Supposed, measure: Measure, factor: f64, unit: &str) -> Printed {
    // A supposition carries two digits at most.
    let two_digits = |value: f64| {
        let value = value * factor;
        // Nobody supposes a thousandth of anything, nor part of a thing that is counted.
        let least = if measure == Measure::Count {
            1.0
        } else {
            0.001
        };
        match digits::place_of(value.abs()) {
            Some(_) if value > 0.0 && value < least => format!("less than {least}"),
            Some(_) if value.fract() == 0.0 && value.abs() < 100.0 => digits::trimmed(value, 0),
            Some(place) if measure == Measure::Count => digits::rounded(value, place.min(0)),
            Some(place) => digits::rounded(value, place),
            None => "0".to_owned(),
        }
    };
    let lower = two_digits(supposed.lower);
    let range = if supposed.upper.is_finite() {
        joined(&format!("{lower} to {}", two_digits(supposed.upper)), unit)
    } else {
        format!("from {}, without upper limit", joined(&lower, unit))
    };
    match supposed.middle {
        Some(middle) => {
            let value = two_digits(middle);
            Printed {
                text: format!("{} (scenarios {range})", joined(&value, unit)),
                ..plain(value, unit)
            }
        }
        None => Printed {
            text: format!("{range}, by what was supposed"),
            ..plain(NO_VALUE.to_owned(), "")
        },
    }
}

/// A quantity known exactly, given in the base unit of its measure: a target, say.
pub fn quantity(value: f64, measure: Measure, style: &Style) -> String {
    let (factor, unit) = unit_of(measure, style);
    if measure == Measure::Money {
        return Decimal::from_f64_retain(value)
            .map_or_else(|| NO_VALUE.to_owned(), |a| money(a, &style.currency));
    }
    // A promise is mostly a round number: no zeros behind the point.
    joined(&digits::trimmed(value * factor, 2), unit)
}

/// Money to the cent with its currency: `$1,234.50`, `CHF 1,234.50`.
pub fn money(amount: Decimal, currency: &str) -> String {
    let digits = digits::cents(amount);
    let (sign, digits) = match digits.strip_prefix(digits::MINUS) {
        Some(rest) => (digits::MINUS.to_string(), rest),
        None => (String::new(), digits.as_str()),
    };
    match currency.trim().to_uppercase().as_str() {
        "" => format!("{sign}{digits}"),
        "USD" => format!("{sign}${digits}"),
        "EUR" => format!("{sign}€{digits}"),
        "GBP" => format!("{sign}£{digits}"),
        code => format!("{sign}{code}\u{a0}{digits}"),
    }
}

/// A share such as 0.95 as `95%`.
pub fn percent(share: f64) -> String {
    format!("{}%", digits::trimmed(share * 100.0, 2))
}

/// Digits and unit; a no-break space between, none before the per cent sign.
pub fn joined(value: &str, unit: &str) -> String {
    match unit {
        "" => value.to_owned(),
        "%" => format!("{value}%"),
        unit => format!("{value}\u{a0}{unit}"),
    }
}

fn plain(value: String, unit: &str) -> Printed {
    Printed {
        text: joined(&value, unit),
        value,
        unit: unit.to_owned(),
        interval: None,
        level: None,
        refusal: None,
    }
}

/// How fine a sum of records is printed: as fine as such records are kept, which is common practice, no source.
fn exact(value: f64, measure: Measure) -> String {
    match measure {
        Measure::Count => digits::trimmed(value, 2),
        Measure::Mass
        | Measure::Percent
        | Measure::PercentPerYear
        | Measure::PercentPerHour
        | Measure::PercentPoints => digits::rounded(value, 1),
        Measure::Time | Measure::Years => digits::trimmed(value, 1),
        // A plot of a few square metres is a small part of a hectare: two digits of it must stay.
        Measure::Area if value != 0.0 && value.abs() < 0.1 => {
            digits::rounded(value, digits::place_of(value.abs()).unwrap_or(2))
        }
        Measure::Area
        | Measure::MassPerTime
        | Measure::CountPerTime
        | Measure::CountPerArea
        | Measure::Money => digits::rounded(value, 2),
    }
}

/// Where there is an interval without standard error, a quarter of its width stands for it; the lower half alone where the
/// interval is open.
fn place_of_bounds(value: f64, (lower, upper): (f64, f64)) -> Option<i32> {
    let error = if upper.is_finite() {
        (upper - lower) / 4.0
    } else {
        (value - lower) / 2.0
    };
    digits::place_of(error)
}

/// The place that leaves three significant digits, for an estimate whose uncertainty nobody knows.
fn three_digits(value: f64) -> i32 {
    digits::place_of(value.abs()).map_or(0, |place| place.saturating_add(1))
}

fn interval_text(lower: f64, upper: f64, place: i32, unit: &str) -> String {
    let lower = digits::rounded(lower, place);
    if upper.is_finite() {
        joined(
            &format!("{lower} to {}", digits::rounded(upper, place)),
            unit,
        )
    } else {
        format!("from {}, without upper limit", joined(&lower, unit))
    }
}

/// A sentence put inside another: small first letter unless it begins with a name in capitals, no full stop.
pub fn sentence_inside(reason: &str) -> String {
    let reason = reason.trim().trim_end_matches('.');
    let mut letters = reason.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if first.is_uppercase() && second.is_lowercase() => {
            first.to_lowercase().chain(reason.chars().skip(1)).collect()
        }
        _ => reason.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{Estimate, Interval};

    fn figure(measure: Measure, outturn: Outturn) -> Figure {
        Figure {
            name: "a.figure".into(),
            label: "A figure".into(),
            measure,
            outturn,
            method: String::new().into(),
            assumptions: Vec::new(),
            places: Vec::new(),
            left_out: Vec::new(),
        }
    }

    fn estimated(value: f64, error: Option<f64>, bounds: Option<(f64, f64)>) -> Outturn {
        Outturn::Estimated(Estimate {
            value,
            standard_error: error,
            degrees_of_freedom: None,
            interval: bounds.map(|(lower, upper)| Interval {
                lower,
                upper,
                level: 0.95,
            }),
            caution: Vec::new(),
            method: String::new().into(),
            observations: 1,
            population: None,
        })
    }

    fn style(units: PrintUnits) -> Style {
        Style {
            units,
            currency: "USD".into(),
            language: Language::English,
        }
    }

    fn text(measure: Measure, outturn: Outturn, units: PrintUnits) -> String {
        print(&figure(measure, outturn), &style(units))
            .text
            .replace('\u{a0}', " ")
    }

    #[test]
    fn exact_records() {
        use Measure::*;
        let metric = |measure, value| text(measure, Outturn::Exact(value), PrintUnits::Metric);
        assert_eq!(metric(Count, 1_600.0), "1,600");
        assert_eq!(metric(Count, 2.5), "2.5");
        assert_eq!(metric(Time, 412.0), "412 h");
        assert_eq!(metric(Time, 412.25), "412.2 h");
        assert_eq!(metric(Mass, 742.6), "742.6 kg");
        assert_eq!(metric(Area, 12_500.0), "1.25 ha");
        assert_eq!(metric(Area, 25.0), "0.0025 ha");
        assert_eq!(metric(Area, 0.0), "0.00 ha");
        assert_eq!(metric(Percent, 33.333), "33.3%");
        let us = |measure, value| text(measure, Outturn::Exact(value), PrintUnits::Us);
        assert_eq!(us(Mass, 453.592_37), "1,000.0 lb");
        assert_eq!(us(Area, 4_046.856_422_4), "1.00 acres");
        assert_eq!(us(MassPerTime, 4.535_923_7), "10.00 lb/h");
    }

    #[test]
    fn estimates_are_rounded_by_their_standard_error() {
        use Measure::*;
        use PrintUnits::Metric;
        let mass = |value, error, bounds| text(Mass, estimated(value, error, bounds), Metric);
        assert_eq!(
            mass(1_234.56, Some(61.7), Some((1_099.2, 1_400.9))),
            "1,235 kg (95% interval 1,099 to 1,401 kg)"
        );
        assert_eq!(
            mass(12_345.6, Some(1_234.0), Some((9_800.0, 14_999.0))),
            "12,300 kg (95% interval 9,800 to 15,000 kg)"
        );
        assert_eq!(
            mass(10.0, Some(0.0), Some((10.0, 10.0))),
            "10.0 kg",
            "a census is exact"
        );
        assert_eq!(
            mass(1_234.56, None, None),
            "about 1,230 kg (no interval)",
            "three digits where nothing is known"
        );
        assert_eq!(
            text(
                MassPerTime,
                estimated(4.321, Some(0.5), Some((3.1, f64::INFINITY))),
                Metric
            ),
            "4.32 kg/h (95% interval from 3.10 kg/h, without upper limit)"
        );
        assert_eq!(
            text(
                PercentPoints,
                estimated(-43.21, Some(3.3), Some((-50.0, -36.4))),
                Metric
            ),
            "−43.2 percentage points (95% interval −50.0 to −36.4 percentage points)"
        );
        assert_eq!(
            text(Percent, estimated(12.3, None, Some((8.0, 16.0))), Metric),
            "12.3% (95% interval 8.0 to 16.0%)"
        );
    }

    #[test]
    fn money_and_refusals() {
        let amount: Decimal = "-1234.5".parse().unwrap();
        assert_eq!(
            text(Measure::Money, Outturn::Amount(amount), PrintUnits::Us),
            "−$1,234.50"
        );
        assert_eq!(money(amount, "chf"), "−CHF\u{a0}1,234.50");
        let refused = print(
            &figure(
                Measure::Mass,
                Outturn::Refused("No bag was weighed.".into()),
            ),
            &style(PrintUnits::Us),
        );
        assert_eq!(refused.value, NO_VALUE);
        assert_eq!(refused.text, "not known: no bag was weighed");
        assert_eq!(refused.refusal.as_deref(), Some("No bag was weighed."));
    }

    #[test]
    fn suppositions_are_told_as_such() {
        let supposed = |measure, lower, middle, upper| {
            let range = Supposed {
                lower,
                middle,
                upper,
                share: None,
                caution: Vec::new(),
            };
            text(measure, Outturn::Supposed(range), PrintUnits::Metric)
        };
        assert_eq!(
            supposed(Measure::Count, 0.02, Some(57_890.0), 2_712_000.0),
            "58,000 (scenarios less than 1 to 2,700,000)"
        );
        assert_eq!(
            supposed(Measure::Percent, 0.0834, None, 81.2),
            "0.083 to 81%, by what was supposed"
        );
        assert_eq!(
            supposed(Measure::Years, 5.0, None, f64::INFINITY),
            "from 5 years, without upper limit, by what was supposed"
        );
    }

    #[test]
    fn no_number_however_broken_panics() {
        for value in [
            0.0,
            -0.0,
            f64::NAN,
            f64::INFINITY,
            f64::MIN,
            f64::MAX,
            5e-324,
        ] {
            for measure in [
                Measure::Count,
                Measure::Money,
                Measure::Area,
                Measure::PercentPoints,
            ] {
                for outturn in [
                    Outturn::Exact(value),
                    estimated(value, Some(value), None),
                    estimated(value, None, Some((value, value))),
                ] {
                    assert!(!text(measure, outturn, PrintUnits::Us).is_empty());
                }
            }
        }
    }
}
