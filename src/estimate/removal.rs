//! How many there were at first, from what repeated passes with equal effort took away.
//!
//! Takes the catches pass by pass, gives the initial number, the chance of capture and the
//! share removed, with profile-likelihood intervals. Assumes a closed population, equal effort,
//! and one and the same chance of capture for every individual in every pass.

use statrs::function::gamma::digamma;

use super::distribution::{chi_squared_above, ln_gamma, normal_critical, turning_point};
use super::number::check_level;
use super::{Estimate, Interval, Refusal};
use crate::words;
use crate::words::Words;

/// What repeated passes tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Removal {
    /// Number before the first pass; the interval's upper end may be infinite.
    pub initial: Estimate,
    /// Chance that an individual present is taken in one pass.
    pub capture_probability: Estimate,
    /// Share of the initial number that all passes together took.
    pub share_removed: Estimate,
    /// Whether the catches fell as the model needs; `None` for two passes, which can't show it.
    pub fit: Option<Fit>,
    /// What each pass takes by the fitted number and chance: N p (1 − p)^(i − 1). Without interval: it stands beside what was taken.
    pub expected: Vec<Estimate>,
}

/// Goodness of fit of the catches to those expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    pub chi_squared: f64,
    pub degrees_of_freedom: f64,
    /// Chance of catches at least as odd if the model holds; small values speak against it.
    pub p_value: f64,
}

/// Sums that the likelihood of a run of catches rests on.
pub(super) struct Passes {
    pub count: f64,
    pub caught: f64,
    /// Σ (k − i) c_i over passes i = 1 … k: large where early passes took most.
    pub early: f64,
}

impl Passes {
    /// Refuses fewer than two passes, no catch at all, and numbers too large to count.
    pub fn of(catches: &[u64]) -> Result<Self, Refusal> {
        /// Above this a double no longer tells neighbouring counts apart in the sums below.
        const MOST: u64 = 1_000_000_000;
        /// More passes than any season has days.
        const MOST_PASSES: usize = 1_000;
        if catches.len() < 2 {
            return Err(Refusal::new(words!(
                "One pass alone can't show how many were left: at least two are needed."
            )));
        }
        if catches.iter().all(|caught| *caught == 0) {
            return Err(Refusal::new(words!(
                "Nothing was taken in any pass, so there is nothing to estimate from."
            )));
        }
        if catches.len() > MOST_PASSES || catches.iter().any(|caught| *caught > MOST) {
            return Err(Refusal::new(words!(
                "The passes are too many or too large to be computed with."
            )));
        }
        let count = catches.len();
        Ok(Self {
            count: count as f64,
            caught: catches.iter().map(|caught| *caught as f64).sum(),
            early: catches
                .iter()
                .enumerate()
                .map(|(pass, caught)| (count - 1 - pass) as f64 * *caught as f64)
                .sum(),
        })
    }

    /// Chance of capture that fits best if there were `initial` at first.
    pub fn probability(&self, initial: f64) -> f64 {
        (self.caught / (self.count * initial - self.early)).clamp(0.0, 1.0)
    }

    /// Logarithm of the likelihood of `initial` with the chance of capture at its best.
    fn log_likelihood(&self, initial: f64) -> f64 {
        let p = self.probability(initial);
        let misses = self.count * initial - self.early - self.caught;
        let missed = if misses > 0.0 {
            misses * (-p).ln_1p()
        } else {
            0.0
        };
        // ln Γ(N + 1) − ln Γ(N − T + 1); for large N by its series, where the difference of two
        // huge numbers would lose every digit.
        let ways = if initial > 1e6 * self.caught.max(1.0) {
            self.caught * initial.ln() - self.caught * (self.caught - 1.0) / (2.0 * initial)
        } else {
            ln_gamma(initial + 1.0) - ln_gamma(initial - self.caught + 1.0)
        };
        ways + self.caught * p.ln() + missed
    }

    /// The same in the limit of an endless population.
    fn log_likelihood_without_end(&self) -> f64 {
        self.caught * (self.caught / self.count).ln() - self.caught
    }

    /// Whether the likelihood falls on at `initial`, so that its peak lies below.
    fn falling(&self, initial: f64) -> bool {
        let p = self.probability(initial);
        let slope = digamma(initial + 1.0) - digamma(initial - self.caught + 1.0)
            + self.count * (-p).ln_1p();
        slope < 0.0
    }

    /// Whether catches fall fast enough for a finite best estimate. From the expansion of the
    /// likelihood in 1/N; a little stricter than X > (T − 1)(k − 1)/2 − 1 of Seber 1982.
    pub fn decline(&self) -> bool {
        2.0 * self.early > (self.count - 1.0) * self.caught - self.count
            && self.early > (self.caught - 1.0) * (self.count - 1.0) / 2.0 - 1.0
    }

    /// Most likely initial number, a real number; `None` where catches don't fall.
    fn best(&self) -> Option<f64> {
        if !self.decline() {
            return None;
        }
        let mut high = self.caught + 1.0;
        while !self.falling(high) {
            high = self.caught + 2.0 * (high - self.caught);
            if high > SEARCHED * self.caught {
                return None;
            }
        }
        Some(turning_point(self.caught, high, |n| self.falling(n)))
    }

    /// Initial numbers whose likelihood is not too far below the best: the profile interval.
    /// `small` widens the cut by 1 + small/T.
    fn profile(&self, level: f64, small: f64) -> Interval {
        let best = self.best();
        let peak = best.map_or(self.log_likelihood_without_end(), |n| {
            self.log_likelihood(n)
        });
        let cut = peak - 0.5 * normal_critical(level).powi(2) * (1.0 + small / self.caught);
        let inside = |n: f64| self.log_likelihood(n) >= cut;
        let middle = best.unwrap_or(SEARCHED * self.caught);
        let lower = if inside(self.caught) {
            self.caught
        } else {
            turning_point(self.caught, middle, inside)
        };
        let upper = if best.is_none() || self.log_likelihood_without_end() >= cut {
            f64::INFINITY
        } else {
            let mut high = middle + 1.0;
            while inside(high) && high < SEARCHED * self.caught {
                high = middle + 2.0 * (high - middle);
            }
            if inside(high) {
                f64::INFINITY
            } else {
                turning_point(middle, high, |n| !inside(n))
            }
        };
        Interval {
            lower,
            upper,
            level,
        }
    }
}

/// The likelihood cut of the profile is widened by 1 + 6/T: the plain cut (0) covered .90 to .93
/// where 30 individuals were to be estimated. Found by measurement, see `docs/methods.md`.
const SMALL_CATCH: f64 = 6.0;

/// How many times the catch an initial number is looked for; beyond it lies 'without end'.
const SEARCHED: f64 = 1e9;

/// Initial numbers that `level` does not rule out, also where no best one exists. The upper end
/// may be infinite. Refuses one pass, and no catch.
pub fn possible_initial(catches: &[u64], level: f64) -> Result<Interval, Refusal> {
    check_level(level)?;
    Ok(Passes::of(catches)?.profile(level, SMALL_CATCH))
}

/// Maximum likelihood for `catches` in passes of equal effort, with profile intervals, a little
/// widened for small catches; the upper
/// end of the initial number may be infinite, and then the lower ends of the capture probability
/// and of the share removed are zero.
///
/// Refuses one pass, no catch, and catches that don't fall (then [`possible_initial`] still
/// gives a lower bound). Cautions where everything came in the first pass, where two passes
/// leave the model untested, where the catches fit the model badly, and always that the chance
/// of capture is taken to be constant.
///
/// Source: Moran 1951, "A mathematical theory of animal trapping", Biometrika 38; Zippin 1956,
/// "An evaluation of the removal method", Biometrics 12 (standard errors, goodness of fit);
/// Seber 1982, The Estimation of Animal Abundance, section 7.2.
pub fn removal(catches: &[u64], level: f64) -> Result<Removal, Refusal> {
    check_level(level)?;
    let passes = Passes::of(catches)?;
    let Some(initial) = passes.best() else {
        return Err(Refusal::new(words!(
            "What was taken does not fall from pass to pass, so the passes can't show how many \
             there were: at least the {caught} taken, no upper limit.",
            caught = passes.caught
        )));
    };
    let interval = passes.profile(level, SMALL_CATCH);
    let p = passes.probability(initial);
    let mut caution: Vec<Words> = Vec::new();
    if passes.count == 2.0 {
        caution.push(words!(
            "Two passes can't show whether each took the same share; if the second took a \
             smaller one, there were more than estimated."
        ));
    }
    if initial - passes.caught < 0.5 && catches.iter().skip(1).all(|caught| *caught == 0) {
        caution.push(words!(
            "Everything came in the first pass. The method then claims that nothing was left, \
             which may only mean that the rest could not be found."
        ));
    }
    if 2.0 * passes.early <= (passes.count - 1.0) * passes.caught {
        caution.push(words!(
            "What was taken hardly falls from pass to pass: the number rests on next to nothing."
        ));
    }
    if interval.upper.is_infinite() {
        caution.push(words!(
            "The passes set no upper limit to how many there were."
        ));
    }
    let fit = fit(catches, initial, p);
    if fit.is_some_and(|fit| fit.p_value < 0.05) {
        caution.push(words!(
            "The catches did not fall evenly, as the method needs: take the result as rough."
        ));
    }
    caution.push(words!(
        "Approximate: if later passes took a smaller share than the first, or some are harder to \
         find than others, there were more than estimated, and the interval does not allow for \
         that. A good fit is no proof against it."
    ));
    let method = words!(
        "maximum likelihood for repeated passes with constant chance of capture; \
         profile-likelihood interval, widened for small catches"
    );
    let with = |value: f64, error: Option<f64>, lower: f64, upper: f64| {
        let mut estimate = Estimate::bare(value, catches.len(), &method);
        estimate.standard_error = error.filter(|error| *error > 0.0);
        estimate.interval = Some(Interval {
            lower: lower.min(value),
            upper: upper.max(value),
            level,
        });
        estimate.caution.clone_from(&caution);
        estimate.checked_open()
    };
    let error = initial_error(passes.count, initial, p);
    let share = |n: f64| passes.caught / n;
    let expected: Result<Vec<Estimate>, Refusal> = (0i32..)
        .zip(catches)
        .map(|(earlier, _)| {
            let value = initial * p * (1.0 - p).powi(earlier);
            Estimate::bare(value, catches.len(), &method).checked()
        })
        .collect();
    Ok(Removal {
        initial: with(initial, error, interval.lower, interval.upper)?,
        capture_probability: with(
            p,
            probability_error(passes.count, initial, p),
            passes.probability(interval.upper),
            passes.probability(interval.lower),
        )?,
        share_removed: with(
            share(initial),
            None,
            share(interval.upper),
            share(interval.lower),
        )?,
        fit,
        expected: expected?,
    })
}

/// Large-sample standard error of the initial number (Zippin 1956; Seber 1982, 7.21).
pub(super) fn initial_error(passes: f64, initial: f64, p: f64) -> Option<f64> {
    let q = 1.0 - p;
    let missed = q.powf(passes);
    let taken = 1.0 - missed;
    let variance =
        initial * taken * missed / (taken * taken - (passes * p).powi(2) * q.powf(passes - 1.0));
    (variance.is_finite() && variance >= 0.0).then(|| variance.sqrt())
}

/// Large-sample standard error of the chance of capture (Zippin 1956; Seber 1982, 7.23).
pub(super) fn probability_error(passes: f64, initial: f64, p: f64) -> Option<f64> {
    let q = 1.0 - p;
    let missed = q.powf(passes);
    let taken = 1.0 - missed;
    let variance =
        (q * p).powi(2) * taken / (initial * (q * taken * taken - (passes * p).powi(2) * missed));
    (variance.is_finite() && variance >= 0.0).then(|| variance.sqrt())
}

/// Pearson's chi-squared over passes, k − 2 degrees of freedom (Zippin 1956).
fn fit(catches: &[u64], initial: f64, p: f64) -> Option<Fit> {
    if catches.len() < 3 || p >= 1.0 {
        return None;
    }
    let mut expected = initial * p;
    let mut chi_squared = 0.0;
    for caught in catches {
        chi_squared += (*caught as f64 - expected).powi(2) / expected;
        expected *= 1.0 - p;
    }
    let degrees_of_freedom = catches.len() as f64 - 2.0;
    chi_squared.is_finite().then(|| Fit {
        chi_squared,
        degrees_of_freedom,
        p_value: chi_squared_above(chi_squared, degrees_of_freedom),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 38, 26, 12: Moran's likelihood 92.15, profile 79.7 to 135.2 (computed with R's optimise
    /// and uniroot); Zippin's standard error at 93 is 10.71.
    #[test]
    fn carle_and_strubs_first_example() {
        let found = removal(&[38, 26, 12], 0.95).unwrap();
        assert!((found.initial.value - 92.15).abs() < 0.01, "{found:?}");
        let plain = |level| Passes::of(&[38, 26, 12]).unwrap().profile(level, 0.0);
        let interval = plain(0.95);
        assert!((interval.lower - 79.7).abs() < 0.06, "{interval:?}");
        assert!((interval.upper - 135.2).abs() < 0.06, "{interval:?}");
        let p = Passes::of(&[38, 26, 12]).unwrap().probability(93.0);
        assert!((initial_error(3.0, 93.0, p).unwrap() - 10.71).abs() < 0.005);
    }

    /// 5, 7, 8: no finite estimate, profile from 25.7 upwards.
    #[test]
    fn rising_catches_are_refused_but_bounded_below() {
        let refusal = removal(&[5, 7, 8], 0.95).unwrap_err();
        assert!(
            refusal.to_string().contains("at least the 20 taken"),
            "{refusal}"
        );
        let bound = possible_initial(&[5, 7, 8], 0.95).unwrap();
        assert!(bound.lower > 20.0 && bound.lower < 25.7);
        let bound = Passes::of(&[5, 7, 8]).unwrap().profile(0.95, 0.0);
        assert!((bound.lower - 25.7).abs() < 0.06, "{bound:?}");
        assert_eq!(bound.upper, f64::INFINITY);
    }

    /// 10, 10, 10 has its peak near 148, far beyond where a bounded search would stop.
    #[test]
    fn level_catches_have_a_far_peak_and_no_upper_limit() {
        let found = removal(&[10, 10, 10], 0.95).unwrap();
        assert!((found.initial.value - 148.0).abs() < 1.0, "{found:?}");
        assert_eq!(found.initial.interval.unwrap().upper, f64::INFINITY);
        assert_eq!(found.share_removed.interval.unwrap().lower, 0.0);
        assert!(
            found
                .initial
                .caution
                .iter()
                .any(|c| c.to_string().contains("hardly falls"))
        );
    }

    /// Van Deventer 1989, p. 13: 124, 61, 35, 14 gives 249, standard error 6.164, p .501 (.035).
    #[test]
    fn four_falling_passes() {
        let found = removal(&[124, 61, 35, 14], 0.95).unwrap();
        assert!((found.initial.value - 249.0).abs() < 1.0, "{found:?}");
        assert!((found.capture_probability.value - 0.501).abs() < 0.003);
        let passes = Passes::of(&[124, 61, 35, 14]).unwrap();
        let p = passes.probability(249.0);
        assert!((p - 0.501).abs() < 0.0005);
        assert!((initial_error(4.0, 249.0, p).unwrap() - 6.164).abs() < 0.0005);
        assert!((probability_error(4.0, 249.0, p).unwrap() - 0.035).abs() < 0.0005);
    }

    /// Schnute 1983, "A new approach to estimating populations by the removal method", Canadian
    /// Journal of Fisheries and Aquatic Sciences 40: model of constant capture.
    #[test]
    fn schnutes_three_runs() {
        for (catches, initial, lower, upper, p) in [
            ([45, 11, 18, 8], 90.6, 83.4, 109.2, 0.44),
            ([88, 22, 11, 2], 123.4, 123.0, 126.7, 0.70),
            ([63, 9, 12, 4], 88.9, 88.0, 93.4, 0.64),
        ] {
            let found = removal(&catches, 0.95).unwrap();
            let interval = Passes::of(&catches).unwrap().profile(0.95, 0.0);
            assert!((found.initial.value - initial).abs() < 0.06);
            assert!((found.capture_probability.value - p).abs() < 0.006);
            assert!((interval.lower - lower).abs() < 0.06, "{interval:?}");
            assert!((interval.upper - upper).abs() < 0.06, "{interval:?}");
        }
    }

    #[test]
    fn false_certainty_is_flagged() {
        let found = removal(&[38, 0, 0], 0.95).unwrap();
        assert!(
            found
                .initial
                .caution
                .iter()
                .any(|c| c.to_string().contains("first pass"))
        );
        assert_eq!(found.initial.standard_error, None);
    }

    #[test]
    fn what_can_not_be_estimated_is_refused() {
        assert!(removal(&[9], 0.95).is_err());
        assert!(removal(&[], 0.95).is_err());
        assert!(removal(&[0, 0, 0], 0.95).is_err());
        assert!(removal(&[u64::MAX, 1], 0.95).is_err());
        assert!(removal(&[1_000_000_000, 999_999_999], 0.95).is_ok());
    }

    /// Zippin 1956: with catches equal to the model's own, chi-squared is near nothing.
    #[test]
    fn the_fit_tells_even_from_uneven_catches() {
        let even = removal(&[500, 250, 125, 62], 0.95).unwrap().fit.unwrap();
        assert!(even.p_value > 0.9 && even.degrees_of_freedom == 2.0);
        let uneven = removal(&[500, 20, 300, 10], 0.95).unwrap();
        assert!(uneven.fit.unwrap().p_value < 0.001);
        assert!(
            uneven
                .initial
                .caution
                .iter()
                .any(|c| c.to_string().contains("evenly"))
        );
    }
}
