//! How a figure is printed: on a page, in a terminal, in a chart's label. One function family, so that no number ever stands
//! in two spellings.
//!
//! Takes a figure and a [`Style`], gives texts. Must not compute anything but the change of unit and the rounding.

mod style;
#[cfg(test)]
mod tests;

use rust_decimal::Decimal;

pub use style::{Style, money, percent, unit_of};

use self::style::joined;
use super::digits;
use crate::figure::{Figure, Measure, Outturn, Supposed};
use crate::words;
use crate::words::{Language, number};

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
