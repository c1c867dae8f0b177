//! A small generator of random numbers whose sequence is the same on every machine.
//!
//! Takes a seed, gives numbers. Reads no clock and no system randomness: the seed is handed in.

use super::distribution::normal_quantile;

/// xoshiro256++ seeded through SplitMix64.
///
/// Source: Blackman & Vigna 2021, "Scrambled linear pseudorandom number generators", ACM
/// Transactions on Mathematical Software 47; Steele, Lea & Flood 2014, "Fast splittable
/// pseudorandom number generators", OOPSLA (both algorithms from memory, held against their
/// known first outputs, from memory too).
#[derive(Debug, Clone)]
pub struct Random {
    state: [u64; 4],
}

fn split_mix(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut mixed = *state;
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ (mixed >> 31)
}

impl Random {
    pub fn seeded(seed: u64) -> Self {
        let mut mixer = seed;
        Self {
            state: std::array::from_fn(|_| split_mix(&mut mixer)),
        }
    }

    /// The next 64 random bits.
    pub fn bits(&mut self) -> u64 {
        let [a, b, c, d] = &mut self.state;
        let result = a.wrapping_add(*d).rotate_left(23).wrapping_add(*a);
        let shifted = *b << 17;
        *c ^= *a;
        *d ^= *b;
        *b ^= *c;
        *a ^= *d;
        *c ^= shifted;
        *d = d.rotate_left(45);
        result
    }

    /// Uniform between 0 and 1, both excluded.
    pub fn uniform(&mut self) -> f64 {
        // The top 52 bits, put in the middle of their cell, so that neither end is met.
        const CELLS: f64 = (1_u64 << 52) as f64;
        ((self.bits() >> 12) as f64 + 0.5) / CELLS
    }

    /// Uniform between two ends.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// A whole number below `count`, each as likely; 0 where `count` is 0.
    pub fn below(&mut self, count: usize) -> usize {
        if count == 0 {
            return 0;
        }
        let range = count as u64;
        // Values beyond the last whole multiple of `range` would favour small results.
        let limit = u64::MAX - u64::MAX % range;
        loop {
            let bits = self.bits();
            if bits < limit {
                return (bits % range) as usize;
            }
        }
    }

    /// Standard normal, by inversion.
    pub fn normal(&mut self) -> f64 {
        normal_quantile(self.uniform())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// First outputs for seed 1234567 (published with the algorithm; from memory).
    #[test]
    fn split_mix_gives_its_known_sequence() {
        let mut state = 1_234_567;
        assert_eq!(split_mix(&mut state), 6_457_827_717_110_365_317);
        assert_eq!(split_mix(&mut state), 3_203_168_211_198_807_973);
    }

    /// First outputs from the state 1, 2, 3, 4 (from memory).
    #[test]
    fn xoshiro_gives_its_known_sequence() {
        let mut random = Random {
            state: [1, 2, 3, 4],
        };
        assert_eq!(random.bits(), 41_943_041);
        assert_eq!(random.bits(), 58_720_359);
        assert_eq!(random.bits(), 3_588_806_011_781_223);
    }

    #[test]
    fn moments_are_right() {
        let mut random = Random::seeded(1);
        let draws: Vec<f64> = (0..20_000).map(|_| random.normal()).collect();
        let mean = crate::estimate::number::mean(&draws).unwrap();
        let variance = crate::estimate::number::variance(&draws).unwrap();
        assert!(mean.abs() < 0.03 && (variance - 1.0).abs() < 0.05);
        assert!((0..1000).all(|_| random.below(3) < 3));
        assert_eq!(random.below(0), 0);
    }
}
