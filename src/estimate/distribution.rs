//! Tail areas and quantiles of the few distributions that the estimators need.
//!
//! Takes probabilities and parameters that the callers have checked, gives finite numbers.
//! Quantiles are found by bisection of the tail area: slower than the closed approximations,
//! but it can neither hang nor panic, whatever the tail.

use statrs::function::{beta::checked_beta_reg, erf, gamma};

/// Halvings of a bracket: a double has 1,075 binary places between its largest and smallest
/// numbers at most, and 200 halvings exhaust the brackets used here.
const HALVINGS: usize = 200;

/// From here on the normal distribution stands for Student's t: they agree to 1e-7.
const NORMAL_FROM: f64 = 1e7;

/// Finds where `rises`, false below and true above some point, turns true within the bracket.
pub fn turning_point(mut low: f64, mut high: f64, rises: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle = low + 0.5 * (high - low);
        if middle <= low || middle >= high {
            break;
        }
        if rises(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    low + 0.5 * (high - low)
}

/// Natural logarithm of the gamma function, x > 0.
pub fn ln_gamma(x: f64) -> f64 {
    gamma::ln_gamma(x)
}

/// Natural logarithm of the binomial coefficient, 0 <= k <= n.
pub fn ln_choose(n: f64, k: f64) -> f64 {
    if k <= 0.0 || k >= n {
        return 0.0;
    }
    ln_gamma(n + 1.0) - ln_gamma(k + 1.0) - ln_gamma(n - k + 1.0)
}

/// Regularised incomplete beta function, a, b > 0, x in 0 to 1.
///
/// Within the reach of the library's continued fraction that is used; beyond it (large a + b,
/// where it stops short) the same fraction is carried on here.
pub fn beta_cumulative(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    // The library stops after 140 terms; about the square root of the larger parameter is needed.
    const LIBRARY_REACH: f64 = 2_000.0;
    if a.max(b) < LIBRARY_REACH {
        return checked_beta_reg(a, b, x).unwrap_or(f64::NAN);
    }
    let front = a * x.ln() + b * (-x).ln_1p() + ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b);
    if x < (a + 1.0) / (a + b + 2.0) {
        (front.exp() * beta_fraction(a, b, x) / a).clamp(0.0, 1.0)
    } else {
        (1.0 - front.exp() * beta_fraction(b, a, 1.0 - x) / b).clamp(0.0, 1.0)
    }
}

/// Continued fraction of the incomplete beta function by the modified Lentz method.
///
/// Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 26.5.8 (from memory).
fn beta_fraction(a: f64, b: f64, x: f64) -> f64 {
    /// Keeps a denominator off zero.
    const TINY: f64 = 1e-300;
    /// Enough for parameters of 1e9.
    const TERMS: usize = 200_000;
    let away = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / away(1.0 - (a + b) * x / (a + 1.0));
    let mut fraction = d;
    for term in 1..=TERMS {
        let m = term as f64;
        for coefficient in [
            m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0)),
        ] {
            d = 1.0 / away(1.0 + coefficient * d);
            c = away(1.0 + coefficient / c);
            fraction *= d * c;
        }
        if (d * c - 1.0).abs() < 1e-15 {
            break;
        }
    }
    fraction
}

/// The x below which the beta distribution has the area `probability`.
pub fn beta_quantile(a: f64, b: f64, probability: f64) -> f64 {
    turning_point(0.0, 1.0, |x| beta_cumulative(a, b, x) >= probability)
}

/// Two-sided critical value of Student's t: |T| stays below it with probability `level`.
/// Never infinite; `degrees` > 0.
pub fn student_critical(level: f64, degrees: f64) -> f64 {
    if degrees >= NORMAL_FROM {
        return normal_critical(level);
    }
    let outside = 1.0 - level;
    let area = |t: f64| beta_cumulative(0.5 * degrees, 0.5, degrees / (degrees + t * t));
    let mut high = 1.0;
    while area(high) > outside && high < 1e150 {
        high *= 2.0;
    }
    turning_point(0.0, high, |t| area(t) <= outside)
}

/// Two-sided critical value of the normal distribution.
pub fn normal_critical(level: f64) -> f64 {
    std::f64::consts::SQRT_2 * erf::erfc_inv(1.0 - level)
}

/// Area of the standard normal distribution below z.
pub fn normal_cumulative(z: f64) -> f64 {
    0.5 * erf::erfc(-z / std::f64::consts::SQRT_2)
}

/// The z below which the standard normal distribution has the area `probability`.
pub fn normal_quantile(probability: f64) -> f64 {
    -std::f64::consts::SQRT_2 * erf::erfc_inv(2.0 * probability)
}

/// Area of the chi-squared distribution above x.
pub fn chi_squared_above(x: f64, degrees: f64) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    gamma::checked_gamma_ur(0.5 * degrees, 0.5 * x).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, expected: f64, tolerance: f64) {
        assert!(
            (found - expected).abs() <= tolerance * expected.abs().max(1.0),
            "{found} is not {expected}"
        );
    }

    /// Fisher & Yates, Statistical Tables, table of t (from memory): 12.706, 2.776, 2.228.
    #[test]
    fn critical_values_match_the_printed_tables() {
        close(student_critical(0.95, 1.0), 12.706, 5e-5);
        close(student_critical(0.95, 4.0), 2.776, 2e-4);
        close(student_critical(0.95, 10.0), 2.228, 2e-4);
        close(normal_critical(0.95), 1.959_963_985, 1e-9);
        close(student_critical(0.95, 1e8), 1.959_963_985, 1e-6);
        close(chi_squared_above(3.841_458_821, 1.0), 0.05, 1e-8);
        close(normal_quantile(0.975), 1.959_963_985, 1e-9);
        close(normal_cumulative(-1.959_963_985), 0.025, 1e-9);
    }

    #[test]
    fn the_carried_on_fraction_agrees_with_the_library_where_both_reach() {
        for (a, b, x) in [(30.0, 2.0, 0.9), (150.0, 80.0, 0.6), (900.0, 12.0, 0.99)] {
            let front: f64 =
                a * f64::ln(x) + b * f64::ln(1.0 - x) + ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b);
            let own = if x < (a + 1.0) / (a + b + 2.0) {
                front.exp() * beta_fraction(a, b, x) / a
            } else {
                1.0 - front.exp() * beta_fraction(b, a, 1.0 - x) / b
            };
            close(own, beta_cumulative(a, b, x), 1e-10);
        }
    }

    #[test]
    fn extreme_tails_end() {
        for degrees in [0.01, 1.0, 3.0, 1e6] {
            assert!(student_critical(0.999_999_999, degrees).is_finite());
        }
        assert!(beta_quantile(1e-3, 1e6, 1e-12) >= 0.0);
        assert!(beta_quantile(1e6, 1e-3, 0.999_999) <= 1.0);
    }
}
