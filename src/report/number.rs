//! How a figure is printed: on a page, in a terminal, in a chart's label. One function family, so that no number ever stands
//! in two spellings.
//!
//! Takes a figure and a [`Style`], gives texts. Must not compute anything but the change of unit and the rounding.

use chrono::NaiveDateTime;
use rust_decimal::Decimal;

use super::digits;
use crate::figure::{Figure, Measure, Outturn, Supposed};
use crate::season::{PrintUnits, Settings};
use crate::units::Unit;
use crate::words::{Language, Words, number};
use crate::{phrase, words};

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

/// A figure as text, in the style's language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// Digits alone, such as `1,234.5`; money with its sign; a dash where there is no value.
    pub value: String,
    /// What stands behind the digits: `kg`, `h`, `%`; empty for counts and money.
    pub unit: String,
    /// `1,100 to 1,400 kg`, or `from 1,100 kg, without upper limit`.
    pub interval: Option<String>,
    /// The interval for a drawing that shows an open end itself: `1,100 to 1,400 kg`, or `from 1,100 kg`.
    pub brief: Option<String>,
    /// The interval without its unit, for a drawing that names it once: `1,100 to 1,400`, or `from 1,100`.
    pub range: Option<String>,
    /// `95%`, where there is an interval.
    pub level: Option<String>,
    /// The whole in one line: `1,234 kg (95% interval 1,100 to 1,400 kg)`, or why there is none.
    pub text: String,
    /// Why there is no value.
    pub refusal: Option<String>,
    language: Language,
}

impl Printed {
    /// Digits with their unit: `1,234 kg`.
    pub fn with_unit(&self) -> String {
        joined(&self.value, &self.unit, self.language)
    }
}

/// What stands where a value can't: an en dash.
pub const NO_VALUE: &str = "\u{2013}";

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

/// Prints a figure.
pub fn print(figure: &Figure, style: &Style) -> Printed {
    let measure = figure.measure;
    let (factor, unit) = unit_of(measure, style);
    match &figure.outturn {
        Outturn::Refused(reason) => Printed {
            text: style.say(words!(
                "not known: {reason}",
                reason = sentence_inside(&style.say(reason))
            )),
            refusal: Some(style.say(reason)),
            ..plain(NO_VALUE.to_owned(), "", style)
        },
        Outturn::Supposed(range) => supposed(range, measure, factor, unit, style),
        Outturn::Amount(amount) => plain(money(*amount, style), "", style),
        Outturn::Exact(value) if measure == Measure::Money => plain(
            Decimal::from_f64_retain(*value)
                .map_or_else(|| NO_VALUE.to_owned(), |amount| money(amount, style)),
            "",
            style,
        ),
        Outturn::Exact(value) => plain(style.digits(&exact(value * factor, measure)), unit, style),
        Outturn::Estimated(estimate) => {
            let value = estimate.value * factor;
            let bounds = estimate
                .interval
                .map(|interval| (interval.lower * factor, interval.upper * factor));
            let error = estimate.standard_error.map(|error| error * factor);
            // A census has no sampling error: its result is printed like any other exact record.
            if error == Some(0.0) && bounds.is_none_or(|(lower, upper)| lower == upper) {
                return plain(style.digits(&exact(value, measure)), unit, style);
            }
            let place = error
                .and_then(digits::place_of)
                .or_else(|| bounds.and_then(|bounds| place_of_bounds(value, bounds)))
                .unwrap_or_else(|| three_digits(value));
            let value = style.digits(&digits::rounded(value, place));
            let with_unit = joined(&value, unit, style.language);
            let Some(bounds) = bounds else {
                return Printed {
                    text: style.say(words!("about {value} (no interval)", value = with_unit)),
                    ..plain(value, unit, style)
                };
            };
            let interval = Interval::of(bounds, place, unit, style);
            let level = estimate
                .interval
                .map(|interval| percent(interval.level, style.language));
            Printed {
                text: style.say(words!(
                    "{value} ({level} interval {interval})",
                    value = with_unit,
                    level = level.as_deref().unwrap_or_default(),
                    interval = &interval.whole
                )),
                interval: Some(interval.whole),
                brief: Some(interval.brief),
                range: Some(interval.range),
                level,
                ..plain(value, unit, style)
            }
        }
    }
}

/// A range of suppositions: told as such, so that nobody takes it for an interval of something measured.
fn supposed(
    supposed: &Supposed,
    measure: Measure,
    factor: f64,
    unit: &str,
    style: &Style,
) -> Printed {
    // A supposition carries two digits at most.
    let two_digits = |value: f64| {
        let value = value * factor;
        // Nobody supposes a thousandth of anything, nor part of a thing that is counted.
        let least = if measure == Measure::Count {
            1.0
        } else {
            0.001
        };
        style.digits(&match digits::place_of(value.abs()) {
            Some(_) if value > 0.0 && value < least => {
                return style.say(words!(
                    "less than {least}",
                    least = number(least.to_string())
                ));
            }
            Some(_) if value.fract() == 0.0 && value.abs() < 100.0 => digits::trimmed(value, 0),
            Some(place) if measure == Measure::Count => digits::rounded(value, place.min(0)),
            Some(place) => digits::rounded(value, place),
            None => "0".to_owned(),
        })
    };
    let lower = two_digits(supposed.lower);
    let range = if supposed.upper.is_finite() {
        let upper = two_digits(supposed.upper);
        joined(
            &style.say(words!("{lower} to {upper}", lower, upper)),
            unit,
            style.language,
        )
    } else {
        style.say(words!(
            "from {lower}, without upper limit",
            lower = joined(&lower, unit, style.language)
        ))
    };
    match supposed.middle {
        Some(middle) => {
            let value = two_digits(middle);
            Printed {
                text: style.say(words!(
                    "{value} (scenarios {range})",
                    value = joined(&value, unit, style.language),
                    range
                )),
                ..plain(value, unit, style)
            }
        }
        None => Printed {
            text: style.say(words!("{range}, by what was supposed", range)),
            ..plain(NO_VALUE.to_owned(), "", style)
        },
    }
}

/// A quantity known exactly, given in the base unit of its measure: a target, say.
pub fn quantity(value: f64, measure: Measure, style: &Style) -> String {
    let (factor, unit) = unit_of(measure, style);
    if measure == Measure::Money {
        return Decimal::from_f64_retain(value)
            .map_or_else(|| NO_VALUE.to_owned(), |amount| money(amount, style));
    }
    // A promise is mostly a round number: no zeros behind the point.
    joined(&style.trimmed(value * factor, 2), unit, style.language)
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
fn joined(value: &str, unit: &str, language: Language) -> String {
    match unit {
        "" => value.to_owned(),
        "%" if language == Language::English => format!("{value}%"),
        unit => format!("{value}\u{a0}{unit}"),
    }
}

fn plain(value: String, unit: &str, style: &Style) -> Printed {
    Printed {
        text: joined(&value, unit, style.language),
        value,
        unit: unit.to_owned(),
        interval: None,
        brief: None,
        range: None,
        level: None,
        refusal: None,
        language: style.language,
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

/// An interval in its three forms: see [`Printed`].
struct Interval {
    whole: String,
    brief: String,
    range: String,
}

impl Interval {
    fn of((lower, upper): (f64, f64), place: i32, unit: &str, style: &Style) -> Self {
        let lower = style.digits(&digits::rounded(lower, place));
        if upper.is_finite() {
            let upper = style.digits(&digits::rounded(upper, place));
            let range = style.say(words!("{lower} to {upper}", lower, upper));
            let whole = joined(&range, unit, style.language);
            Self {
                brief: whole.clone(),
                whole,
                range,
            }
        } else {
            let with_unit = joined(&lower, unit, style.language);
            Self {
                whole: style.say(words!(
                    "from {lower}, without upper limit",
                    lower = &with_unit
                )),
                brief: style.say(words!("from {lower}", lower = with_unit)),
                range: style.say(words!("from {lower}", lower)),
            }
        }
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
            kind: "A figure".into(),
            counts: None,
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
        let francs = Style {
            currency: "chf".into(),
            ..style(PrintUnits::Us)
        };
        assert_eq!(money(amount, &francs), "−CHF\u{a0}1,234.50");
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
    fn marks_signs_and_units_follow_the_language() {
        let said = |language, measure, outturn| {
            let style = Style {
                language,
                ..style(PrintUnits::Us)
            };
            print(&figure(measure, outturn), &style)
        };
        let mass = || estimated(560.0, Some(36.0), Some((500.0, 620.0)));
        let french = said(Language::French, Measure::Mass, mass());
        assert_eq!(french.value, "1\u{a0}235");
        assert!(french.interval.is_some_and(|it| it.contains("1\u{a0}102")));
        let share = estimated(12.3, Some(2.1), Some((8.0, 16.0)));
        let spanish = said(Language::Spanish, Measure::Percent, share);
        assert_eq!(spanish.with_unit(), "12,3\u{a0}%");
        assert_eq!(spanish.level.as_deref(), Some("95\u{a0}%"));
        let amount = |language| {
            said(
                language,
                Measure::Money,
                Outturn::Amount("-1234.5".parse().unwrap()),
            )
            .text
        };
        assert_eq!(amount(Language::English), "−$1,234.50");
        assert_eq!(amount(Language::Spanish), "−$1\u{a0}234,50");
        assert_eq!(amount(Language::French), "−1\u{a0}234,50\u{a0}$");
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
