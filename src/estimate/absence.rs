//! What finding nothing says about absence.
//!
//! Takes hours searched without a find, and ranges for how fast a searcher would find what is
//! there and how likely it was there beforehand; gives the chance that it is there still.

use super::Refusal;
use super::seed_bank::Range;
use crate::words;
use crate::words::Words;

/// The chance that something remains though nothing was found, as a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Absence {
    /// Chance that a search of this length misses what is there.
    pub missed: Range,
    /// Chance that something is there after all, given that nothing was found.
    pub present: Range,
}

/// `hours` searched, nothing found; `rate` the finds per hour of search that presence would
/// bring; `before` the chance of presence before the search. Missed: exp(−rate × hours).
/// Present: Bayes' rule.
///
/// Assumes that finds come evenly in time and that `rate` fits the least that would matter.
/// Zero is never certain: the chance only shrinks. Refuses ends out of order, negative numbers,
/// chances outside 0 to 1.
///
/// Source: McArdle 1990, "When are rare species not there?", Oikos 57; Wintle and others 2012,
/// "Designing occupancy surveys and interpreting non-detection when observations are imperfect",
/// Diversity and Distributions 18 (both from memory).
pub fn absence(hours: f64, rate: Range, before: Range) -> Result<Absence, Refusal> {
    if !hours.is_finite() || hours < 0.0 {
        return Err(Refusal::new(words!(
            "The hours searched must be zero or more."
        )));
    }
    check(rate, f64::MAX, words!("The finds per hour"))?;
    check(before, 1.0, words!("The chance beforehand"))?;
    let missed = |rate: f64| (-rate * hours).exp();
    let present = |before: f64, missed: f64| {
        let both = before * missed;
        let nothing_found = both + (1.0 - before);
        // Certain beforehand and never found however long: it stays certain.
        if nothing_found > 0.0 {
            both / nothing_found
        } else {
            1.0
        }
    };
    let missed = Range {
        low: missed(rate.high),
        high: missed(rate.low),
    };
    Ok(Absence {
        missed,
        present: Range {
            low: present(before.low, missed.low),
            high: present(before.high, missed.high),
        },
    })
}

/// Hours of search without a find after which the chance of presence is at most `wanted`, as a
/// range over the ends of `rate` and `before`; `None` at an end that no search can reach.
pub fn hours_for_absence(
    wanted: f64,
    rate: Range,
    before: Range,
) -> Result<(Option<f64>, Option<f64>), Refusal> {
    check(rate, f64::MAX, words!("The finds per hour"))?;
    check(before, 1.0, words!("The chance beforehand"))?;
    if !(wanted > 0.0 && wanted < 1.0) {
        return Err(Refusal::new(words!(
            "The chance wanted must lie between 0 and 1."
        )));
    }
    let hours = |rate: f64, before: f64| {
        if before <= wanted {
            return Some(0.0);
        }
        let odds = wanted / (1.0 - wanted) * (1.0 - before) / before;
        let hours = -odds.ln() / rate;
        hours.is_finite().then_some(hours.max(0.0))
    };
    Ok((hours(rate.high, before.low), hours(rate.low, before.high)))
}

fn check(range: Range, most: f64, name: Words) -> Result<(), Refusal> {
    let ordered = range.low >= 0.0 && range.low <= range.high && range.high <= most;
    if ordered && range.high.is_finite() {
        Ok(())
    } else {
        Err(Refusal::new(words!(
            "{name} needs two ends in order, none below zero.",
            name
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: Range = Range {
        low: 0.1,
        high: 0.5,
    };
    const BEFORE: Range = Range {
        low: 0.5,
        high: 0.8,
    };

    /// McArdle 1990: searches needed for confidence 1 − α are ln α ÷ ln(1 − p); with 30 hours at
    /// a rate of 0.1 the miss is e⁻³ = 4.98 %, the 'rule of three'.
    #[test]
    fn thirty_hours() {
        let found = absence(30.0, RATE, BEFORE).unwrap();
        assert!((found.missed.high - 0.049_787_07).abs() < 1e-8);
        // 0.8 · 0.0497871 ÷ (0.8 · 0.0497871 + 0.2), by hand.
        assert!((found.present.high - 0.166_075_5).abs() < 1e-6, "{found:?}");
        assert!(found.present.low < found.present.high);
    }

    #[test]
    fn hours_and_chance_are_each_others_inverse() {
        let (least, most) = hours_for_absence(0.05, RATE, BEFORE).unwrap();
        let found = absence(most.unwrap(), RATE, BEFORE).unwrap();
        assert!((found.present.high - 0.05).abs() < 1e-12);
        let found = absence(least.unwrap(), RATE, BEFORE).unwrap();
        assert!((found.present.low - 0.05).abs() < 1e-12);
    }

    #[test]
    fn no_search_and_certainty_change_nothing() {
        let found = absence(0.0, RATE, BEFORE).unwrap();
        assert!((found.present.high - 0.8).abs() < 1e-12);
        let certain = Range {
            low: 1.0,
            high: 1.0,
        };
        assert_eq!(absence(1e9, RATE, certain).unwrap().present.high, 1.0);
        assert_eq!(hours_for_absence(0.05, RATE, certain).unwrap().1, None);
        assert!(absence(f64::NAN, RATE, BEFORE).is_err());
        assert!(
            absence(
                1.0,
                RATE,
                Range {
                    low: 0.5,
                    high: 1.5
                }
            )
            .is_err()
        );
    }
}
