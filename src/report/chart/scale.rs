//! Scales and ticks that the charts share.

use crate::report::digits;
use crate::words::{self, Language};

/// From a value to a place on the page, straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Scale {
    /// `low` falls on `from`, `high` on `to`. An empty or broken span becomes 0 to 1.
    pub fn new((low, high): (f64, f64), (from, to): (f64, f64)) -> Self {
        let sound = low.is_finite() && high.is_finite() && high > low;
        let (low, high) = if sound { (low, high) } else { (0.0, 1.0) };
        Self {
            low,
            high,
            from,
            to,
        }
    }

    pub fn at(&self, value: f64) -> f64 {
        self.from + (value - self.low) / (self.high - self.low) * (self.to - self.from)
    }

    /// The same, held within the scale: for bounds without limit.
    pub fn within(&self, value: f64) -> f64 {
        self.at(value.clamp(self.low, self.high))
    }
}

/// Round values from zero to at least `most`, about `wanted` of them, and their texts in the language. `most` is a positive number; anything
/// else counts as 1.
pub fn ticks(most: f64, wanted: f64, language: Language) -> Vec<(f64, String)> {
    // Beyond this an axis in doubles has no round steps left.
    let most = if most.is_finite() && most > 0.0 {
        most.clamp(1e-9, 1e15)
    } else {
        1.0
    };
    let rough = most / wanted.max(1.0);
    let magnitude = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * magnitude)
        .find(|step| *step >= rough * 0.999)
        .unwrap_or(magnitude * 10.0);
    let place = (-(step.log10().floor())).max(0.0);
    let count = (most / step - 1e-9).ceil().max(1.0);
    // At most a few times `wanted`, so that both conversions are exact.
    (0..=count as u32)
        .map(|index| {
            let value = f64::from(index) * step;
            let text = digits::rounded(value, place as i32);
            (value, words::digits(&text, language))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_reach_the_most() {
        let texts = |most| {
            ticks(most, 4.0, Language::English)
                .into_iter()
                .map(|(_, text)| text)
                .collect::<Vec<_>>()
        };
        assert_eq!(texts(37.0), ["0", "10", "20", "30", "40"]);
        assert_eq!(texts(4_000.0), ["0", "1,000", "2,000", "3,000", "4,000"]);
        assert_eq!(texts(0.9), ["0.0", "0.5", "1.0"]);
        for most in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e300, 1e-300, 1.0] {
            let all = ticks(most, 4.0, Language::English);
            assert!((2..=12).contains(&all.len()), "{most}: {}", all.len());
        }
    }

    #[test]
    fn an_empty_span_still_gives_places() {
        let scale = Scale::new((f64::NAN, 3.0), (0.0, 100.0));
        assert!(scale.at(0.5).is_finite());
        assert_eq!(scale.within(f64::INFINITY), 100.0);
    }
}
