//! Fieller's interval for a ratio of two means.
//!
//! Takes pairs (x, y), gives the ratio with an interval that allows for error in both means.

use super::distribution::student_critical;
use super::number::{check_finite, check_level, mean, sum, variance};
use super::{Estimate, Interval, Outcome, Refusal};
use crate::words;

/// Mean of y ÷ mean of x with Fieller's interval, n − 1 degrees of freedom, y of either sign.
///
/// Assumes that the means are about normal together. Needs three pairs. Where the mean of x
/// can't be told from zero the set of ratios is unbounded, and there is a value without
/// interval. The standard error is the linearised one.
///
/// Source: Fieller 1954, "Some problems in interval estimation", Journal of the Royal
/// Statistical Society B 16 (from memory).
pub fn fieller(pairs: &[(f64, f64)], level: f64) -> Outcome {
    check_level(level)?;
    let x: Vec<f64> = pairs.iter().map(|pair| pair.0).collect();
    let y: Vec<f64> = pairs.iter().map(|pair| pair.1).collect();
    check_finite(&x)?;
    check_finite(&y)?;
    let (Some(x_mean), Some(y_mean)) = (mean(&x), mean(&y)) else {
        return Err(Refusal::new(words!(
            "Nothing was observed, so there is no ratio."
        )));
    };
    if x_mean == 0.0 {
        return Err(Refusal::new(words!(
            "The quantity to divide by adds up to nothing."
        )));
    }
    let n = pairs.len() as f64;
    let value = y_mean / x_mean;
    let mut estimate = Estimate::bare(
        value,
        pairs.len(),
        words!("ratio of means; no standard error"),
    );
    let (Some(x_spread), Some(y_spread)) = (variance(&x), variance(&y)) else {
        estimate.caution.push(words!(
            "Only one pair was observed, so there is no interval."
        ));
        return estimate.checked();
    };
    let together = sum(pairs.iter().map(|(x, y)| (x - x_mean) * (y - y_mean))) / (n - 1.0);
    let residual = y_spread - 2.0 * value * together + value * value * x_spread;
    let scale = y_spread + value * value * x_spread;
    // Below this share of its parts the difference is rounding.
    const ROUNDING: f64 = 1e-12;
    if pairs.len() < 3 || residual <= ROUNDING * scale {
        estimate.caution.push(words!(
            "There are too few pairs, or they show no spread about the ratio: no interval."
        ));
        return estimate.checked();
    }
    estimate.standard_error = Some((residual / n).sqrt() / x_mean.abs());
    estimate.degrees_of_freedom = Some(n - 1.0);
    estimate.method = words!(
        "ratio of means; linearised standard error; Fieller's interval with n − 1 \
         degrees of freedom"
    );
    estimate.caution.push(words!(
        "Approximate: where amounts are skewed this interval holds the truth less often than it \
         says."
    ));
    let t2 = student_critical(level, n - 1.0).powi(2) / n;
    let a = x_mean * x_mean - t2 * x_spread;
    let b = x_mean * y_mean - t2 * together;
    let c = y_mean * y_mean - t2 * y_spread;
    let root = b * b - a * c;
    if a > 0.0 && root >= 0.0 {
        estimate.interval = Some(Interval {
            lower: (b - root.sqrt()) / a,
            upper: (b + root.sqrt()) / a,
            level,
        });
    } else {
        estimate.caution.push(words!(
            "What is divided by varies so much that it can't be told from zero: no interval."
        ));
    }
    estimate.checked()
}

/// Patch data, Efron & Tibshirani 1993, An Introduction to the Bootstrap, table 10.1.
#[cfg(test)]
pub(super) const PATCH: [(f64, f64); 8] = [
    (8406.0, -1200.0),
    (2342.0, 2601.0),
    (8187.0, -2705.0),
    (8459.0, 1982.0),
    (4795.0, -1290.0),
    (3516.0, 351.0),
    (4796.0, -638.0),
    (10238.0, -2719.0),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::ratio::ratio;

    /// The same data: ratio −.0713061, linearised standard error .1043095, Fieller 90 %
    /// −.24887 to .17023 (printed in the book, section 25.4) and 95 % −.28963 to .25243 (R).
    #[test]
    fn patch_data() {
        for (level, lower, upper) in [(0.90, -0.24887, 0.17023), (0.95, -0.28963, 0.25243)] {
            let found = fieller(&PATCH, level).unwrap();
            assert!((found.value + 0.071_306_1).abs() < 1e-7);
            assert!((found.standard_error.unwrap() - 0.104_309_5).abs() < 1e-7);
            let interval = found.interval.unwrap();
            assert!((interval.lower - lower).abs() < 1e-5, "{interval:?}");
            assert!((interval.upper - upper).abs() < 1e-5, "{interval:?}");
        }
        let linearised = ratio(&PATCH, None, 0.95).unwrap();
        assert!((linearised.standard_error.unwrap() - 0.104_309_5).abs() < 1e-7);
    }

    #[test]
    fn a_divisor_that_may_be_zero_gives_no_interval() {
        let pairs = [(1.0, 2.0), (-1.0, 3.0), (0.1, 2.5), (0.2, 3.1)];
        let found = fieller(&pairs, 0.95).unwrap();
        assert_eq!(found.interval, None);
        assert!(!found.caution.is_empty());
    }
}
