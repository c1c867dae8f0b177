//! Carle and Strub's weighted likelihood for repeated passes.
//!
//! Takes the catches pass by pass, gives whole numbers that exist even where catches don't
//! fall. Stands beside [`super::removal`] for comparison with published figures.

use super::number::check_level;
use super::removal::{Passes, initial_error, probability_error, removal};
use super::{Estimate, Interval, Refusal};
use crate::words;

/// Initial number and chance of capture by Carle and Strub's weights (both 1).
///
/// The interval is that of the unweighted likelihood, since the weighted one has none of its
/// own; its upper end may be infinite. Where catches don't fall there is no interval, and a
/// caution says that the number comes from the weights and not from the data. Refuses one pass
/// and no catch.
///
/// Source: Carle & Strub 1978, "A new method for estimating population size from removal data",
/// Biometrics 34.
pub fn carle_strub(catches: &[u64], level: f64) -> Result<(Estimate, Estimate), Refusal> {
    check_level(level)?;
    let passes = Passes::of(catches)?;
    let initial = smallest(&passes)?;
    let p = passes.probability(initial);
    let method = words!(
        "Carle and Strub's weighted likelihood for repeated passes; interval from the \
         unweighted profile likelihood"
    );
    let mut number = Estimate::bare(initial, catches.len(), &method);
    let mut chance = Estimate::bare(p, catches.len(), method);
    if passes.decline() {
        number.standard_error = initial_error(passes.count, initial, p);
        chance.standard_error = probability_error(passes.count, initial, p);
        let plain = removal(catches, level)?;
        let around = |interval: Option<Interval>, value: f64| {
            interval.map(|interval| Interval {
                lower: interval.lower.min(value),
                upper: interval.upper.max(value),
                ..interval
            })
        };
        number.interval = around(plain.initial.interval, initial);
        chance.interval = around(plain.capture_probability.interval, p);
        number.caution.clone_from(&plain.initial.caution);
        chance.caution = plain.initial.caution;
    } else {
        for estimate in [&mut number, &mut chance] {
            estimate.caution.push(words!(
                "What was taken does not fall from pass to pass: this number comes from the \
                 method's weights and not from the data."
            ));
        }
    }
    for estimate in [&mut number, &mut chance] {
        // A standard error of zero would claim certainty where nothing was left to find.
        estimate.standard_error = estimate.standard_error.filter(|error| *error > 0.0);
    }
    Ok((number.checked_open()?, chance.checked_open()?))
}

/// Smallest whole n with ((n + 1)/(n − T + 1)) Π ((kn − X − T + 1 + k − i)/(kn − X + 2 + k − i))
/// not above 1, the product over i = 1 … k.
fn smallest(passes: &Passes) -> Result<f64, Refusal> {
    let reached = |n: f64| {
        let free = passes.count * n - passes.early;
        let passes_left = (0..passes.count as usize).map(|left| left as f64);
        let product: f64 = passes_left
            .map(|left| (free - passes.caught + 1.0 + left).ln() - (free + 2.0 + left).ln())
            .sum();
        ((n + 1.0) / (n - passes.caught + 1.0)).ln() + product <= 0.0
    };
    // The left side passes through 1 once: double the step, then halve it.
    let mut step = 1.0;
    while !reached(passes.caught + step) {
        step *= 2.0;
        if step > 1e15 {
            return Err(Refusal::new(words!("The passes can't be computed with.")));
        }
    }
    let (mut low, mut high) = (passes.caught - 1.0, passes.caught + step);
    while high - low > 1.0 {
        let middle = ((low + high) / 2.0).floor();
        if reached(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Carle & Strub 1978 (38, 26, 12 and 5, 7, 8, printed; standard error R), Cowx 1983,
    /// "Review of the methods for estimating fish population size from survey removal data",
    /// Fisheries Management 14, p. 77 (the five-pass runs).
    #[test]
    fn published_runs() {
        for (catches, initial, p, digits) in [
            (&[38, 26, 12][..], 91.0, 0.4444, 5e-5),
            (&[5, 7, 8], 44.0, 0.174, 5e-4),
            (&[72, 56, 46, 30, 24], 298.0, 0.250, 5e-4),
            (&[8, 23, 17, 8, 6], 95.0, 0.187, 5e-4),
        ] {
            let (number, chance) = carle_strub(catches, 0.95).unwrap();
            assert_eq!(number.value, initial, "{catches:?}");
            assert!((chance.value - p).abs() <= digits, "{}", chance.value);
        }
        let (number, _) = carle_strub(&[38, 26, 12], 0.95).unwrap();
        assert!((number.standard_error.unwrap() - 9.687).abs() < 0.0005);
    }

    #[test]
    fn rising_catches_carry_a_caution_and_no_interval() {
        let (number, _) = carle_strub(&[5, 7, 8], 0.95).unwrap();
        assert_eq!(number.interval, None);
        assert!(number.caution[0].to_string().contains("weights"));
    }
}
