//! A seeded generator of chance and smooth noise, the same on every run.
//!
//! Takes a name or a number as seed; gives numbers. Must not read a clock or the machine.

/// SplitMix64 (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators", OOPSLA, fig. 17).
#[derive(Clone)]
pub struct Chance(u64);

impl Chance {
    /// A generator whose stream depends on nothing but `name`.
    pub fn named(name: &str) -> Self {
        // FNV-1a with its 64-bit offset and prime; any stirring of the bytes would do.
        Chance(name.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        }))
    }

    #[cfg(test)]
    pub fn numbered(seed: u64) -> Self {
        Chance(seed)
    }

    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        stir(self.0)
    }

    /// A number from 0 up to but without 1.
    pub fn unit(&mut self) -> f32 {
        (self.bits() >> 40) as f32 / (1u64 << 24) as f32
    }

    pub fn between(&mut self, low: f32, high: f32) -> f32 {
        low + (high - low) * self.unit()
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: u32, high: u32) -> u32 {
        low + (self.bits() % u64::from(high - low + 1)) as u32
    }

    pub fn yes(&mut self, share: f32) -> bool {
        self.unit() < share
    }

    /// Roughly normal, mean 0 and standard deviation 1: twelve uniform numbers summed.
    pub fn normal(&mut self) -> f32 {
        (0..12).map(|_| self.unit()).sum::<f32>() - 6.0
    }
}

fn stir(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A fixed number from 0 to 1 for a lattice point.
pub fn lattice(x: i32, y: i32, salt: u32) -> f32 {
    let packed = (x as u32 as u64) | ((y as u32 as u64) << 32);
    (stir(packed.wrapping_add(u64::from(salt).wrapping_mul(0x9e37_79b9_7f4a_7c15))) >> 40) as f32
        / (1u64 << 24) as f32
}

/// Value noise from 0 to 1, smooth between lattice points.
pub fn noise(x: f32, y: f32, salt: u32) -> f32 {
    let (column, row) = (x.floor(), y.floor());
    let ease = |t: f32| t * t * t * (t * (t * 6.0 - 15.0) + 10.0);
    let (u, v) = (ease(x - column), ease(y - row));
    let (i, j) = (column as i32, row as i32);
    let (a, b) = (lattice(i, j, salt), lattice(i.wrapping_add(1), j, salt));
    let (c, d) = (
        lattice(i, j.wrapping_add(1), salt),
        lattice(i.wrapping_add(1), j.wrapping_add(1), salt),
    );
    let top = a + (b - a) * u;
    top + (c + (d - c) * u - top) * v
}

/// `octaves` layers of noise, each half as strong and twice as fine as the one before; from 0 to 1.
pub fn layered(x: f32, y: f32, octaves: u32, salt: u32) -> f32 {
    let (mut sum, mut weight, mut share, mut scale) = (0.0, 0.0, 1.0, 1.0);
    for octave in 0..octaves {
        // Each layer is shifted, or all lattices would meet at the origin.
        let shift = 17.3 * octave as f32;
        sum += share
            * noise(
                x * scale + shift,
                y * scale - shift,
                salt.wrapping_add(octave),
            );
        weight += share;
        share *= 0.5;
        scale *= 2.03;
    }
    sum / weight
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first outputs for seed 1234567, as printed with the public-domain reference code (from memory).
    #[test]
    fn stream_is_splitmix64() {
        let mut chance = Chance::numbered(1_234_567);
        assert_eq!(chance.bits(), 6_457_827_717_110_365_317);
        assert_eq!(chance.bits(), 3_203_168_211_198_807_973);
    }

    #[test]
    fn noise_stays_within_its_range() {
        for step in 0..500 {
            let value = layered(step as f32 * 0.37 - 40.0, step as f32 * 0.11, 4, 9);
            assert!((0.0..=1.0).contains(&value), "{value}");
        }
    }
}
