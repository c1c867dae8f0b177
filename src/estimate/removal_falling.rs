//! What repeated passes would mean if later passes took a smaller share than the first.
//!
//! Takes the catches and a supposed fall of the chance of capture from pass to pass, gives the
//! initial number under that supposition. A what-if beside [`super::removal`], whose interval
//! does not allow for such a fall, and which can hardly see one in three or four passes.

use super::distribution::turning_point;
use super::removal::Passes;
use super::{Estimate, Outcome, Refusal};
use crate::words;

/// Initial number if each pass takes `fall` times the share of the pass before it (1 for no
/// fall), by maximum likelihood of the catches given their sum. No interval: the fall is a
/// supposition and not estimated.
///
/// Refuses one pass, no catch, a `fall` outside 0 to 1, and catches that fall too little even
/// for that.
///
/// Source: Seber 1982, The Estimation of Animal Abundance, section 7.2 for the likelihood given
/// the sum of catches (from memory), with chances p · fallⁱ.
pub fn removal_if_falling(catches: &[u64], fall: f64) -> Outcome {
    let passes = Passes::of(catches)?;
    if !(fall > 0.0 && fall <= 1.0) {
        return Err(Refusal::new(words!(
            "The supposed fall from pass to pass must be a share above 0, at most 1."
        )));
    }
    // The likelihood has one hill in p: it is climbed by the sign of its slope, taken by steps.
    let slope = |p: f64| {
        let step = 1e-5;
        log_likelihood(catches, (p + step).min(1.0), fall)
            - log_likelihood(catches, (p - step).max(0.0), fall)
    };
    const LEAST: f64 = 1e-4;
    const MOST: f64 = 1.0 - 1e-6;
    if slope(LEAST) <= 0.0 {
        return Err(Refusal::new(words!(
            "What was taken falls too little from pass to pass: at least the {caught} taken, no upper \
             limit.",
            caught = passes.caught
        )));
    }
    let p = turning_point(LEAST, MOST, |p| slope(p) <= 0.0);
    let mut estimate = Estimate::bare(
        passes.caught / taken(catches.len(), p, fall),
        catches.len(),
        words!(
            "what if: each pass takes {fall} times the share of the pass before; maximum \
             likelihood, no interval",
            fall
        ),
    );
    estimate.caution.push(words!(
        "Holds only if the supposed fall is true; these passes can't show whether it is."
    ));
    estimate.checked()
}

/// Chance that an individual is taken in any pass.
fn taken(passes: usize, p: f64, fall: f64) -> f64 {
    let mut missed = 1.0;
    let mut chance = p;
    for _ in 0..passes {
        missed *= 1.0 - chance;
        chance *= fall;
    }
    1.0 - missed
}

/// Log-likelihood of the catches given their sum.
fn log_likelihood(catches: &[u64], p: f64, fall: f64) -> f64 {
    let all = taken(catches.len(), p, fall);
    let mut present = 1.0;
    let mut chance = p;
    let mut total = 0.0;
    for caught in catches {
        if *caught > 0 {
            total += *caught as f64 * (present * chance / all).ln();
        }
        present *= 1.0 - chance;
        chance *= fall;
    }
    total
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{removal, three_passes};

    /// Catches as expected from 1,000 at a chance of .5 falling by .85 a pass give 1,000 back,
    /// where constant chance would say fewer. Computed by hand from the model.
    #[test]
    fn expected_catches_give_the_number_back() {
        let mut left = 1_000_000.0;
        let catches: Vec<u64> = (0..4)
            .map(|pass| {
                let caught = f64::round(left * 0.5 * 0.85_f64.powi(pass));
                left -= caught;
                caught as u64
            })
            .collect();
        let found = removal_if_falling(&catches, 0.85).unwrap();
        assert!((found.value / 1e6 - 1.0).abs() < 1e-3, "{}", found.value);
        let constant = removal(&catches, 0.95).unwrap().initial.value;
        assert!(constant < 0.97e6, "{constant}");
    }

    /// Without a fall it is the closed form of Junge & Libosvárský 1965: Cowx 1983 p. 75, 72, 56,
    /// 46 gives 353.35.
    #[test]
    fn without_a_fall_it_is_the_closed_form() {
        let found = removal_if_falling(&[72, 56, 46], 1.0).unwrap();
        assert!((found.value - 353.35).abs() < 0.01, "{}", found.value);
        let found = removal_if_falling(&[38, 26, 12], 1.0).unwrap();
        let closed = three_passes([38, 26, 12]).unwrap();
        assert!((found.value - closed.value).abs() < 1e-3);
        let falling = removal_if_falling(&[38, 26, 12], 0.9).unwrap();
        assert!(falling.value > found.value);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(removal_if_falling(&[5, 7, 8], 1.0).is_err());
        assert!(removal_if_falling(&[5], 1.0).is_err());
        assert!(removal_if_falling(&[9, 3], 0.0).is_err());
        assert!(removal_if_falling(&[9, 3], f64::NAN).is_err());
        assert!(removal_if_falling(&[9, 0, 0], 0.8).is_ok());
    }
}
