//! How many items to check, and what the checks then prove.
//!
//! Takes the number of items, the share of wrong ones to be borne and a confidence; gives a
//! sample size, and after the check the highest share of wrong items that is still possible.

use super::distribution::{beta_cumulative, beta_quantile, ln_choose, turning_point};
use super::number::{check_level, sum};
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// More items than any archive holds; keeps the sums below short and exact enough.
const MOST: u64 = 100_000_000;

/// Fewest items to check at random so that, if no more than `expected_errors` turn up wrong, a
/// share of `tolerable` wrong items or more is ruled out with `confidence`.
///
/// With a `population` by the hypergeometric law, for ceiling(tolerable × population) wrong
/// items; without, by the binomial. Refuses a tolerable share outside 0 to 1, and a population
/// in which no sample can show it.
///
/// Source: AICPA 2017, Audit Guide: Audit Sampling, table A-1 (some of its other cells are
/// inconsistent); Johnson, Kotz & Kemp 1992, Univariate Discrete Distributions, chapter 6.
pub fn audit_size(
    population: Option<u64>,
    tolerable: f64,
    confidence: f64,
    expected_errors: u64,
) -> Result<u64, Refusal> {
    check_level(confidence)?;
    if !(tolerable > 0.0 && tolerable < 1.0) {
        return Err(Refusal::new(words!(
            "The share of wrong items that can be borne must lie between 0 and 1."
        )));
    }
    let risk = 1.0 - confidence;
    let most = population.unwrap_or(MOST);
    if most > MOST || most == 0 || expected_errors >= most {
        return Err(Refusal::new(words!(
            "There must be items to check, more than are expected to be wrong."
        )));
    }
    let enough = |size: u64| match population {
        Some(items) => {
            hypergeometric(expected_errors, items, wrong_items(tolerable, items), size) <= risk
        }
        None => binomial(expected_errors, size, tolerable) <= risk,
    };
    if !enough(most) {
        return Err(Refusal::new(words!(
            "With so many wrong items expected, no sample can show that the share is small \
             enough."
        )));
    }
    let (mut low, mut high) = (expected_errors, most);
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if enough(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(high)
}

/// Share of wrong items after a check of `checked` items at random of which `wrong` were wrong,
/// with the highest share still possible at the one-sided `confidence`.
///
/// With a `population` by inversion of the hypergeometric law; without, by Clopper and Pearson's
/// bound. The interval's lower end is what was found wrong itself, as a share of all items (0
/// without a population). All items checked: exact. Refuses no item checked, more wrong than
/// checked, more checked than there are.
///
/// Source: AICPA 2017, Audit Guide: Audit Sampling, table A-3.
pub fn audit_bound(population: Option<u64>, checked: u64, wrong: u64, confidence: f64) -> Outcome {
    check_level(confidence)?;
    let items = population.unwrap_or(MOST);
    if checked == 0 || wrong > checked || checked > items || items > MOST {
        return Err(Refusal::new(words!(
            "At least one item must be checked, no more than there are, and no more be wrong \
             than were checked."
        )));
    }
    let risk = 1.0 - confidence;
    let value = wrong as f64 / checked as f64;
    let (lower, upper) = match population {
        Some(items) => {
            let (mut possible, mut ruled_out) = (wrong, items - checked + wrong + 1);
            while ruled_out - possible > 1 {
                let middle = possible + (ruled_out - possible) / 2;
                if hypergeometric(wrong, items, middle, checked) > risk {
                    possible = middle;
                } else {
                    ruled_out = middle;
                }
            }
            (wrong as f64 / items as f64, possible as f64 / items as f64)
        }
        None if wrong == checked => (0.0, 1.0),
        None => (
            0.0,
            beta_quantile(wrong as f64 + 1.0, (checked - wrong) as f64, confidence),
        ),
    };
    let mut estimate = Estimate::bare(
        value,
        usize::try_from(checked).unwrap_or(usize::MAX),
        match population {
            Some(_) => words!("share wrong; one-sided upper bound by the hypergeometric law"),
            None => words!("share wrong; one-sided upper bound of Clopper and Pearson"),
        },
    );
    estimate.population = population.map(|items| items as f64);
    if population == Some(checked) {
        estimate.method = words!("every item was checked, so there is no sampling error");
        estimate.standard_error = Some(0.0);
    }
    estimate.interval = Some(Interval {
        lower: lower.min(value),
        upper: upper.max(value),
        level: confidence,
    });
    estimate.checked()
}

/// ceiling(share × items), with the product's last bits forgiven: 7 % of 100 is 7, not 8.
fn wrong_items(share: f64, items: u64) -> u64 {
    let exact = share * items as f64;
    (exact - 1e-9 * exact.max(1.0)).ceil().max(1.0) as u64
}

/// Chance of at most `errors` wrong ones among `size` drawn from `items`, of which `wrong` are.
fn hypergeometric(errors: u64, items: u64, wrong: u64, size: u64) -> f64 {
    let (n, k, s) = (items as f64, wrong as f64, size as f64);
    let fewest = (size + wrong).saturating_sub(items);
    let most = errors.min(size).min(wrong);
    if fewest > most {
        return 0.0;
    }
    if most == size.min(wrong) {
        return 1.0;
    }
    // Far from the mean the answer is known, and the sum would be long.
    let mean = s * k / n;
    let deviation = (mean * (1.0 - k / n) * (n - s) / (n - 1.0).max(1.0)).sqrt();
    let far = 40.0 * (deviation + 1.0);
    if most as f64 > mean + far {
        return 1.0;
    }
    let fewest = fewest.max((mean - far).max(0.0) as u64);
    let all = ln_choose(n, s);
    sum((fewest..=most).map(|errors| {
        let x = errors as f64;
        (ln_choose(k, x) + ln_choose(n - k, s - x) - all).exp()
    }))
    .min(1.0)
}

/// Chance of at most `errors` among `size` independent ones with chance `share` each.
fn binomial(errors: u64, size: u64, share: f64) -> f64 {
    if errors >= size {
        return 1.0;
    }
    beta_cumulative((size - errors) as f64, errors as f64 + 1.0, 1.0 - share)
}

/// The largest share that finding no error in a sample of `checked` leaves open, for planning.
pub fn smallest_provable_share(checked: u64, confidence: f64) -> Result<f64, Refusal> {
    check_level(confidence)?;
    if checked == 0 || checked > MOST {
        return Err(Refusal::new(words!("At least one item must be checked.")));
    }
    let risk = 1.0 - confidence;
    Ok(turning_point(0.0, 1.0, |share| {
        binomial(0, checked, share) <= risk
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// AICPA 2017, table A-1: 95 %, no error expected.
    #[test]
    fn sizes_without_errors() {
        for (per_cent, size) in [
            (2, 149),
            (3, 99),
            (4, 74),
            (5, 59),
            (6, 49),
            (7, 42),
            (8, 36),
            (9, 32),
            (10, 29),
            (15, 19),
            (20, 14),
        ] {
            let share = f64::from(per_cent) / 100.0;
            assert_eq!(audit_size(None, share, 0.95, 0), Ok(size), "{per_cent} %");
        }
    }

    /// R pbinom: 95 %, 5 % tolerable, 0 to 5 errors.
    #[test]
    fn sizes_with_errors() {
        for (errors, size) in [(0, 59), (1, 93), (2, 124), (3, 153), (4, 181), (5, 208)] {
            assert_eq!(audit_size(None, 0.05, 0.95, errors), Ok(size));
        }
    }

    /// R phyper: 95 %, 5 % tolerable, no error, small populations.
    #[test]
    fn sizes_for_small_populations() {
        for (items, size) in [(50, 31), (100, 45), (200, 51), (500, 56), (1000, 57)] {
            assert_eq!(audit_size(Some(items), 0.05, 0.95, 0), Ok(size));
        }
        assert_eq!(wrong_items(0.07, 100), 7);
    }

    /// AICPA 2017, table A-3, which rounds up to a tenth of a per cent.
    #[test]
    fn bounds_after_the_check() {
        for (checked, bounds) in [
            (25, [11.3, 17.7, 23.2, 28.2]),
            (60, [4.9, 7.7, 10.2, 12.5]),
            (100, [3.0, 4.7, 6.2, 7.6]),
        ] {
            for (wrong, printed) in bounds.into_iter().enumerate() {
                let found = audit_bound(None, checked, wrong as u64, 0.95).unwrap();
                let upper = 100.0 * found.interval.unwrap().upper;
                assert!(
                    upper <= printed + 1e-9 && upper > printed - 0.1,
                    "{checked} {wrong}: {upper}"
                );
            }
        }
    }

    /// R phyper: 60 of 200 checked, 0 to 3 wrong: at most 8, 13, 18, 22 in all.
    #[test]
    fn bounds_for_a_small_population() {
        for (wrong, most) in [(0, 8.0), (1, 13.0), (2, 18.0), (3, 22.0)] {
            let found = audit_bound(Some(200), 60, wrong, 0.95).unwrap();
            assert!((found.interval.unwrap().upper * 200.0 - most).abs() < 1e-9);
        }
    }

    #[test]
    fn large_populations_end_and_agree_with_the_binomial() {
        let finite = audit_size(Some(100_000_000), 0.05, 0.95, 5).unwrap();
        assert_eq!(finite, 208);
        let half = audit_bound(Some(100_000_000), 50_000_000, 25_000_000, 0.95).unwrap();
        assert!((half.interval.unwrap().upper - 0.5).abs() < 1e-3);
        assert!(audit_size(Some(100_000_000), 0.05, 0.95, 50_000_000).is_err());
    }

    #[test]
    fn ends_of_the_scale() {
        let all = audit_bound(Some(9), 9, 2, 0.95).unwrap();
        assert_eq!(all.interval.unwrap().upper, 2.0 / 9.0);
        assert_eq!(all.standard_error, Some(0.0));
        let wrong = audit_bound(Some(20), 5, 5, 0.95).unwrap();
        assert_eq!(wrong.interval.unwrap().upper, 1.0);
        assert_eq!(
            audit_bound(None, 5, 5, 0.95)
                .unwrap()
                .interval
                .unwrap()
                .upper,
            1.0
        );
        assert!(audit_bound(Some(4), 5, 0, 0.95).is_err());
        assert!(audit_bound(None, 0, 0, 0.95).is_err());
        assert!(audit_size(Some(10), 0.1, 0.95, 3).is_err());
        assert!(audit_size(None, f64::NAN, 0.95, 0).is_err());
        assert!((smallest_provable_share(59, 0.95).unwrap() - 0.0495).abs() < 1e-4);
    }
}
