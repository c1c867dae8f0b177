//! Initial number from two or three passes by formula.
//!
//! Takes the catches, gives the number that the short formulas of the handbooks give, to set
//! beside [`super::removal`]. They carry no interval: the usual value ± 2 standard errors covers
//! far too seldom.

use super::removal::Passes;
use super::{Estimate, Outcome, Refusal};
use crate::phrase;
use crate::words;
use crate::words::Words;

const NO_INTERVAL: &str =
    phrase!("This short formula has no honest interval: use the profile likelihood.");

/// c₁² ÷ (c₁ − c₂), standard error c₁ c₂ √(c₁ + c₂) ÷ (c₁ − c₂)². Refuses a second catch that is
/// not smaller than the first.
///
/// Source: Seber & Le Cren 1967, "Estimating population parameters from catches large relative
/// to the population", Journal of Animal Ecology 36.
pub fn two_passes(first: u64, second: u64) -> Outcome {
    let passes = Passes::of(&[first, second])?;
    let (c1, c2) = (first as f64, second as f64);
    if second >= first {
        return Err(not_falling(&passes));
    }
    let fall = c1 - c2;
    let mut estimate = Estimate::bare(
        c1 * c1 / fall,
        2,
        words!("two passes by formula; no interval"),
    );
    estimate.standard_error =
        Some(c1 * c2 * (c1 + c2).sqrt() / (fall * fall)).filter(|error| *error > 0.0);
    estimate.caution.push(Words::fixed(NO_INTERVAL));
    estimate.checked()
}

/// Most likely number for three passes in closed form, with X = 2c₁ + c₂ and the total Y.
///
/// Source: Junge & Libosvárský 1965, "Effects of size selectivity on population estimates based
/// on successive removals with electrical fishing gear", Zoologické Listy 14 (from memory).
pub fn three_passes(catches: [u64; 3]) -> Outcome {
    let passes = Passes::of(&catches)?;
    let (x, y) = (passes.early, passes.caught);
    if x <= y {
        return Err(not_falling(&passes));
    }
    let root = (y * y + 6.0 * x * y - 3.0 * x * x).max(0.0).sqrt();
    let value = (6.0 * x * x - 3.0 * x * y - y * y + y * root) / (18.0 * (x - y));
    let mut estimate = Estimate::bare(
        value.max(y),
        3,
        words!("three passes by formula; no standard error and no interval"),
    );
    estimate.caution.push(Words::fixed(NO_INTERVAL));
    estimate.checked()
}

fn not_falling(passes: &Passes) -> Refusal {
    Refusal::new(words!(
        "What was taken does not fall from pass to pass, so the passes can't show how many \
         there were: at least the {caught} taken, no upper limit.",
        caught = passes.caught
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seber 1982, example 7.4: 79, 28 gives 122.37 (8.797); Cowx 1983 p. 75: 72, 56 gives 324
    /// (178.19) and 72, 56, 46 gives 353.35.
    #[test]
    fn handbook_examples() {
        let two = two_passes(79, 28).unwrap();
        assert!((two.value - 122.37).abs() < 0.005);
        assert!((two.standard_error.unwrap() - 8.797).abs() < 0.0005);
        let two = two_passes(72, 56).unwrap();
        assert!((two.value - 324.0).abs() < 1e-9);
        assert!((two.standard_error.unwrap() - 178.19).abs() < 0.005);
        let three = three_passes([72, 56, 46]).unwrap();
        assert!((three.value - 353.35).abs() < 0.01, "{}", three.value);
    }

    /// The chance of capture of Seber's example 7.4, 1 − c₂/c₁ = .6456.
    #[test]
    fn seber_two_pass_chance() {
        let passes = Passes::of(&[79, 28]).unwrap();
        let initial = two_passes(79, 28).unwrap().value;
        assert!((passes.probability(initial) - 0.6456).abs() < 5e-5);
    }

    #[test]
    fn what_does_not_fall_is_refused() {
        assert!(two_passes(5, 5).is_err());
        assert!(two_passes(0, 0).is_err());
        assert!(three_passes([5, 7, 8]).is_err());
        assert_eq!(two_passes(9, 0).unwrap().standard_error, None);
    }
}
