//! Degrees of freedom of a sum of estimated variances.

use super::number::sum;
use crate::words;
use crate::words::Words;

/// Satterthwaite's degrees of freedom (Σv)² ÷ Σ(v²/d) of variances v with d degrees each;
/// parts without variance or degrees are passed over. 0 where nothing is left.
///
/// Source: Satterthwaite 1946, "An approximate distribution of estimates of variance
/// components", Biometrics Bulletin 2.
pub fn satterthwaite(parts: &[(f64, f64)]) -> f64 {
    // Dividing by the largest keeps squares within the range of doubles.
    let largest = parts.iter().map(|part| part.0).fold(0.0, f64::max);
    if largest <= 0.0 || !largest.is_finite() {
        return 0.0;
    }
    let used = || parts.iter().filter(|part| part.0 > 0.0 && part.1 > 0.0);
    let total = sum(used().map(|part| part.0 / largest));
    let weighted = sum(used().map(|part| (part.0 / largest).powi(2) / part.1));
    if weighted > 0.0 {
        total * total / weighted
    } else {
        0.0
    }
}

/// What to say where hardly any degrees of freedom carry the interval.
pub fn thin(degrees: f64) -> Option<Words> {
    (degrees < 2.0).then(|| {
        words!("Approximate and very wide: nearly all of the uncertainty comes from a group of which only \
         two units were measured. Measure more of it.")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two equal variances with d degrees each have 2d; one alone has its own. By the formula.
    #[test]
    fn simple_cases() {
        assert!((satterthwaite(&[(3.0, 4.0), (3.0, 4.0)]) - 8.0).abs() < 1e-12);
        assert!((satterthwaite(&[(3.0, 4.0), (0.0, 0.0)]) - 4.0).abs() < 1e-12);
        assert_eq!(satterthwaite(&[]), 0.0);
        assert!((satterthwaite(&[(1e300, 4.0), (1e300, 4.0)]) - 8.0).abs() < 1e-9);
    }

    /// Welch's test on Student's sleep data, unpaired: 17.776 degrees of freedom
    /// (R: t.test(extra ~ group, data = sleep)).
    #[test]
    fn sleep_data_unpaired() {
        let parts = [(3.200_556 / 10.0, 9.0), (4.009 / 10.0, 9.0)];
        assert!((satterthwaite(&parts) - 17.776).abs() < 1e-3);
    }
}
