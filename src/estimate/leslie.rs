//! How many there were at first, from catch per unit of effort against what was taken before.
//!
//! Takes catches with their efforts in order of time, gives the initial number and the share
//! that one unit of effort takes. Assumes a closed population and a catch rate in proportion to
//! what is left.

use super::distribution::student_critical;
use super::number::{check_amounts, check_level, mean, sum};
use super::{Estimate, Interval, Refusal};
use crate::words;
use crate::words::Words;

/// One visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CatchEffort {
    /// What was taken, zero or more.
    pub amount: f64,
    /// What went into it, above zero.
    pub effort: f64,
}

/// What the fall of catch per effort tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Leslie {
    /// Amount before the first visit; the interval's upper end may be infinite.
    pub initial: Estimate,
    /// Share of what is present that one unit of effort takes.
    pub catchability: Estimate,
    /// Share of the initial amount that all visits together took.
    pub share_removed: Estimate,
}

/// Straight line of catch per effort on the amount taken before; `ricker` adds half of the
/// visit's own catch to what was taken before.
///
/// The initial amount is where the line meets zero, and its interval is Fieller's for that
/// point: every amount at which a line through zero is not rejected. Its upper end is infinite
/// where the fall itself is in doubt. n − 2 degrees of freedom. Refuses fewer than three visits,
/// effort not above zero, and a line that doesn't fall.
///
/// Source: Leslie & Davis 1939, "An attempt to determine the absolute number of rats on a given
/// area", Journal of Animal Ecology 8; Ricker 1975, Computation and Interpretation of Biological
/// Statistics of Fish Populations, section 6.3; Fieller's interval for a calibration: Seber
/// 1982, The Estimation of Animal Abundance, section 7.3 (from memory).
pub fn leslie(visits: &[CatchEffort], ricker: bool, level: f64) -> Result<Leslie, Refusal> {
    check_level(level)?;
    let amounts: Vec<f64> = visits.iter().map(|visit| visit.amount).collect();
    check_amounts(&amounts)?;
    if visits.len() < 3 {
        return Err(Refusal::new(words!(
            "Fewer than three visits can't show how fast the catch falls."
        )));
    }
    if visits
        .iter()
        .any(|v| !v.effort.is_finite() || v.effort <= 0.0)
    {
        return Err(Refusal::new(words!(
            "A visit has no effort, so its catch can't be compared."
        )));
    }
    let line = Line::of(visits, ricker);
    let caught = sum(amounts.iter().copied());
    if line.slope >= 0.0 || !line.slope.is_finite() {
        return Err(Refusal::new(words!(
            "The catch for the same effort does not fall from visit to visit, so the visits \
             can't show how much there was: at least the {caught} taken, no upper limit.",
            caught
        )));
    }
    let zero = line.meets_zero();
    if zero < caught {
        return Err(Refusal::new(words!(
            "The catch for the same effort falls so fast that less than what was taken would \
             have been there: the visits don't fit the method."
        )));
    }
    let method = if ricker {
        words!(
            "Leslie's line of catch per effort on what was taken before, Ricker's form; Fieller's interval with \
             n − 2 degrees of freedom"
        )
    } else {
        words!(
            "Leslie's line of catch per effort on what was taken before; Fieller's interval with n − 2 degrees of freedom"
        )
    };
    let degrees = visits.len() as f64 - 2.0;
    let caution: Vec<Words> = vec![words!(
        "Approximate: assumes that the same effort always takes the same share of what is left."
    )];
    let build = |value: f64, error: Option<f64>, ends: Option<(f64, f64)>| {
        let mut estimate = Estimate::bare(value, visits.len(), &method);
        estimate.standard_error = error;
        estimate.degrees_of_freedom = Some(degrees);
        estimate.interval = ends.map(|(lower, upper)| Interval {
            lower: lower.min(value),
            upper: upper.max(value),
            level,
        });
        estimate.caution.clone_from(&caution);
        if ends.is_none() {
            estimate.caution.push(words!(
                "The points lie exactly on a line, which is no proof of certainty: no interval."
            ));
        }
        estimate.checked_open()
    };
    let t = student_critical(level, degrees);
    let spread = line.residual > 0.0;
    let ends = spread
        .then(|| line.fieller(t))
        .map(|(lower, upper)| (lower.max(caught), upper));
    let slope_error = spread.then_some(line.slope_error());
    Ok(Leslie {
        initial: build(zero, spread.then_some(line.zero_error()), ends)?,
        catchability: build(
            -line.slope,
            slope_error,
            slope_error.map(|error| ((-line.slope - t * error).max(0.0), -line.slope + t * error)),
        )?,
        share_removed: build(
            caught / zero,
            None,
            ends.map(|(lower, upper)| (caught / upper, (caught / lower).min(1.0))),
        )?,
    })
}

/// A least-squares line with what its intervals need.
struct Line {
    n: f64,
    x_mean: f64,
    y_mean: f64,
    squares: f64,
    slope: f64,
    /// Residual variance, n − 2 degrees of freedom; zero where it is only rounding.
    residual: f64,
}

impl Line {
    fn of(visits: &[CatchEffort], ricker: bool) -> Self {
        let mut before = 0.0;
        let mut x = Vec::with_capacity(visits.len());
        let mut y = Vec::with_capacity(visits.len());
        for visit in visits {
            x.push(before + if ricker { 0.5 * visit.amount } else { 0.0 });
            y.push(visit.amount / visit.effort);
            before += visit.amount;
        }
        let n = visits.len() as f64;
        let x_mean = mean(&x).unwrap_or(0.0);
        let y_mean = mean(&y).unwrap_or(0.0);
        let squares = sum(x.iter().map(|x| (x - x_mean).powi(2)));
        let products = sum(x.iter().zip(&y).map(|(x, y)| (x - x_mean) * (y - y_mean)));
        let slope = if squares > 0.0 {
            products / squares
        } else {
            0.0
        };
        let residuals = sum(x
            .iter()
            .zip(&y)
            .map(|(x, y)| (y - y_mean - slope * (x - x_mean)).powi(2)));
        let all = sum(y.iter().map(|y| y * y));
        // Residuals below this share of y are rounding.
        const ROUNDING: f64 = 1e-12;
        Self {
            n,
            x_mean,
            y_mean,
            squares,
            slope,
            residual: if residuals > ROUNDING * ROUNDING * all {
                residuals / (n - 2.0)
            } else {
                0.0
            },
        }
    }

    fn meets_zero(&self) -> f64 {
        self.x_mean - self.y_mean / self.slope
    }

    fn slope_error(&self) -> f64 {
        (self.residual / self.squares).sqrt()
    }

    fn zero_error(&self) -> f64 {
        let away = (self.meets_zero() - self.x_mean).powi(2) / self.squares;
        (self.residual * (1.0 / self.n + away)).sqrt() / self.slope.abs()
    }

    /// All x at which a height of zero is not rejected; the upper end may be infinite.
    fn fieller(&self, t: f64) -> (f64, f64) {
        // (ȳ + b d)² <= t² s² (1/n + d²/S), solved for d = x − x̄.
        let noise = t * t * self.residual;
        let a = self.slope * self.slope - noise / self.squares;
        let b = self.slope * self.y_mean;
        let c = self.y_mean * self.y_mean - noise / self.n;
        let root = (b * b - a * c).max(0.0).sqrt();
        if a > 0.0 {
            (self.x_mean + (-b - root) / a, self.x_mean + (-b + root) / a)
        } else if c > 0.0 {
            // The slope is in doubt: everything from the positive root upwards stays.
            (self.x_mean + c / (-b + root), f64::INFINITY)
        } else {
            (f64::NEG_INFINITY, f64::INFINITY)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ricker_example() -> Vec<CatchEffort> {
        [131.0, 69.0, 99.0, 78.0, 56.0, 76.0, 49.0, 42.0, 63.0, 47.0]
            .map(|amount| CatchEffort {
                amount,
                effort: 7.0,
            })
            .to_vec()
    }

    /// Ricker 1975, example 6.1 p. 151: 1060.30 (169.27), q .014844 (.0035205); value ± t · SE
    /// 669.96 to 1450.63; Ricker's form 1077.57 (printed 1078).
    #[test]
    fn ten_traps_of_smallmouth_bass() {
        let found = leslie(&ricker_example(), false, 0.95).unwrap();
        assert!((found.initial.value - 1060.30).abs() < 0.005);
        let error = found.initial.standard_error.unwrap();
        assert!((error - 169.27).abs() < 0.005);
        assert!((found.catchability.value - 0.014_844).abs() < 5e-7);
        assert!((found.catchability.standard_error.unwrap() - 0.003_520_5).abs() < 5e-8);
        let wald =
            crate::estimate::interval::student(found.initial.value, error, 8.0, 0.95).unwrap();
        assert!((wald.lower - 669.96).abs() < 0.01 && (wald.upper - 1450.63).abs() < 0.01);
        let half = leslie(&ricker_example(), true, 0.95).unwrap();
        assert!((half.initial.value - 1077.57).abs() < 0.005);
        // Fieller's interval leans upwards, as the amount left is the less known the more it is.
        let interval = found.initial.interval.unwrap();
        assert!(
            interval.upper > wald.upper && interval.lower >= 710.0,
            "{interval:?}"
        );
    }

    #[test]
    fn a_catch_that_does_not_fall_is_refused() {
        let mut rising = ricker_example();
        rising.reverse();
        assert!(leslie(&rising, false, 0.95).is_err());
        assert!(leslie(&ricker_example()[..2], false, 0.95).is_err());
        let idle = [CatchEffort {
            amount: 1.0,
            effort: 0.0,
        }; 4];
        assert!(leslie(&idle, false, 0.95).is_err());
        let nothing = [CatchEffort {
            amount: 0.0,
            effort: 1.0,
        }; 4];
        assert!(leslie(&nothing, false, 0.95).is_err());
    }

    #[test]
    fn a_doubtful_fall_has_no_upper_limit() {
        let found = leslie(&ricker_example()[..4], false, 0.95).unwrap();
        assert_eq!(found.initial.interval.unwrap().upper, f64::INFINITY);
        assert_eq!(found.share_removed.interval.unwrap().lower, 0.0);
    }

    #[test]
    fn an_exact_line_gives_no_interval() {
        let visits = [80.0, 40.0, 20.0, 10.0].map(|amount| CatchEffort {
            amount,
            effort: 1.0,
        });
        let found = leslie(&visits, false, 0.95).unwrap();
        assert!((found.initial.value - 160.0).abs() < 1e-9);
        assert_eq!(found.initial.interval, None);
    }
}
