//! Mean of a normal law of which each observation is known only to lie in an interval.
//!
//! Takes intervals, gives the most likely mean with a profile-likelihood interval.

use super::distribution::{normal_cumulative, student_critical, turning_point};
use super::number::{check_level, sum};
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// More intervals than any season reads; bounds the work.
const MOST: usize = 5_000;

/// Fewer intervals say nothing of the law's shape.
const FEWEST: usize = 5;

/// Most likely mean of a normal law given one interval an observation, profile-likelihood
/// interval scaled so that it is Student's where the intervals shrink to points.
///
/// Refuses fewer than five observations, ends that are no numbers or out of order, and
/// intervals so wide that one value lies in all of them: they show no spread.
///
/// Source: Pawitan 2001, In All Likelihood, section 11.4 (from memory); scaling n ln(1 + t²/(n − 1))
/// is the exact one for points.
pub fn censored_mean(intervals: &[Interval], level: f64) -> Outcome {
    check_level(level)?;
    let sound = |i: &Interval| i.lower.is_finite() && i.upper.is_finite() && i.lower <= i.upper;
    if intervals.len() < FEWEST || !intervals.iter().all(sound) {
        return Err(Refusal::new(words!(
            "At least {fewest} observations, each with a lower and an upper end, are needed.",
            fewest = FEWEST
        )));
    }
    if intervals.len() > MOST {
        return Err(Refusal::new(words!(
            "There are too many observations for this method."
        )));
    }
    let highest_lower = intervals.iter().map(|i| i.lower).fold(f64::MIN, f64::max);
    let lowest_upper = intervals.iter().map(|i| i.upper).fold(f64::MAX, f64::min);
    if highest_lower <= lowest_upper {
        return Err(Refusal::new(words!(
            "The classes are so wide that all observations may be the same: no spread to be seen."
        )));
    }
    let low = intervals.iter().map(|i| i.lower).fold(f64::MAX, f64::min);
    let high = intervals.iter().map(|i| i.upper).fold(f64::MIN, f64::max);
    let spread = high - low;
    let profile = |mean: f64| best_spread(intervals, mean, spread);
    let value = peak(low, high, |mean| profile(mean).0);
    let (top, deviation) = profile(value);
    let n = intervals.len() as f64;
    let t = student_critical(level, n - 1.0);
    let cut = top - 0.5 * n * (t * t / (n - 1.0)).ln_1p();
    let reach = 10.0 * t * spread;
    let lower = turning_point(value - reach, value, |mean| profile(mean).0 >= cut);
    let upper = turning_point(value, value + reach, |mean| profile(mean).0 < cut);
    let mut estimate = Estimate::bare(
        value,
        intervals.len(),
        words!(
            "most likely mean of a normal law seen in classes; profile-likelihood interval scaled to \
         Student's t"
        ),
    );
    estimate.caution.push(words!(
        "Approximate: takes what was read in classes to follow a normal law."
    ));
    estimate.standard_error = Some(deviation / n.sqrt()).filter(|error| *error > 0.0);
    estimate.degrees_of_freedom = Some(n - 1.0);
    estimate.interval = Some(Interval {
        lower,
        upper,
        level,
    });
    estimate.checked()
}

/// Highest log-likelihood over the deviation, and that deviation.
fn best_spread(intervals: &[Interval], mean: f64, spread: f64) -> (f64, f64) {
    // From a thousandth of the data's span, below which classes can't tell, to where any mean
    // within the search is as good as any other.
    let (low, high) = ((1e-3 * spread).ln(), (1e3 * spread).ln());
    let log = peak(low, high, |log| likelihood(intervals, mean, log.exp()));
    (likelihood(intervals, mean, log.exp()), log.exp())
}

/// Log-likelihood; an interval of no width counts by its density.
fn likelihood(intervals: &[Interval], mean: f64, deviation: f64) -> f64 {
    // Keeps the logarithm finite far out in the tails.
    const LEAST: f64 = 1e-300;
    sum(intervals.iter().map(|interval| {
        let a = (interval.lower - mean) / deviation;
        let b = (interval.upper - mean) / deviation;
        if interval.lower == interval.upper {
            return -0.5 * a * a - deviation.ln() - 0.5 * std::f64::consts::TAU.ln();
        }
        // Both ends are turned into the left tail, where differences keep their digits.
        let chance = if a > 0.0 {
            normal_cumulative(-a) - normal_cumulative(-b)
        } else {
            normal_cumulative(b) - normal_cumulative(a)
        };
        chance.max(LEAST).ln()
    }))
}

/// Where a function with one hill is highest, by golden section.
fn peak(mut low: f64, mut high: f64, height: impl Fn(f64) -> f64) -> f64 {
    /// Each step leaves 61.8 %: 60 leave 1e-12 of the bracket, the most that the flat top of a
    /// likelihood can tell.
    const STEPS: usize = 60;
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let mut inner = (high - golden * (high - low), low + golden * (high - low));
    let mut heights = (height(inner.0), height(inner.1));
    for _ in 0..STEPS {
        if heights.0 >= heights.1 {
            high = inner.1;
            inner = (high - golden * (high - low), inner.0);
            heights = (height(inner.0), heights.0);
        } else {
            low = inner.0;
            inner = (inner.1, low + golden * (high - low));
            heights = (heights.1, height(inner.1));
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn intervals(ends: &[(f64, f64)]) -> Vec<Interval> {
        ends.iter()
            .map(|(lower, upper)| Interval {
                lower: *lower,
                upper: *upper,
                level: 0.95,
            })
            .collect()
    }

    /// R 4.2, survival: survreg(Surv(lo, hi, type = "interval2") ~ 1, dist = "gaussian") on
    /// made-up intervals: mean −19.8005302, deviation 11.0283290.
    #[test]
    fn eight_intervals_as_in_r() {
        let ends = [
            (-50.0, 0.0),
            (-25.0, 20.0),
            (-50.0, -5.0),
            (-75.0, -30.0),
            (-25.0, 20.0),
            (-50.0, 0.0),
            (-20.0, 25.0),
            (-45.0, 0.0),
        ];
        let found = censored_mean(&intervals(&ends), 0.95).unwrap();
        assert!((found.value + 19.800_530_2).abs() < 1e-3, "{found:?}");
        let deviation = found.standard_error.unwrap() * 8.0_f64.sqrt();
        assert!((deviation - 11.028_329_0).abs() < 1e-3, "{deviation}");
    }

    /// Where the intervals are points the result is Student's own: sleep data 1908,
    /// −2.459886 to −.700114.
    #[test]
    fn points_give_students_interval() {
        let changes = [-1.2, -2.4, -1.3, -1.3, 0.0, -1.0, -1.8, -0.8, -4.6, -1.4];
        let ends: Vec<(f64, f64)> = changes.iter().map(|change| (*change, *change)).collect();
        let found = censored_mean(&intervals(&ends), 0.95).unwrap();
        let interval = found.interval.unwrap();
        assert!((found.value + 1.58).abs() < 1e-5);
        assert!((interval.lower + 2.459_886).abs() < 1e-4, "{interval:?}");
        assert!((interval.upper + 0.700_114).abs() < 1e-4, "{interval:?}");
    }

    #[test]
    fn wide_classes_and_broken_ends_are_refused() {
        assert!(censored_mean(&intervals(&[(0.0, 5.0); 6]), 0.95).is_err());
        assert!(censored_mean(&intervals(&[(0.0, 5.0); 3]), 0.95).is_err());
        assert!(censored_mean(&intervals(&[(5.0, 0.0); 6]), 0.95).is_err());
        assert!(censored_mean(&intervals(&[(f64::NAN, 0.0); 6]), 0.95).is_err());
    }
}
