//! The rule of drawing: items in the order of the SHA-256 of seed, bar and item; the first ones are the sample.
//!
//! Any program with SHA-256 redoes it. A larger sample from the same seed begins with the smaller one. Nobody can choose
//! a seed for the items that it brings without trying many, so the auditor names it, after the archive is sealed.

use sha2::{Digest, Sha256};

use crate::archive::tree::Hash;

/// Between seed and item.
const BAR: &[u8] = b"|";

/// SHA-256 of the seed, a bar and the item, in UTF-8. Items are taken in the order of it.
pub fn rank(seed: &str, item: &str) -> Hash {
    let mut hasher = Sha256::new();
    hasher.update(seed);
    hasher.update(BAR);
    hasher.update(item);
    hasher.finalize().into()
}

/// The items' positions in the order of their ranks, each with its rank; the same item twice stays in its order.
pub fn ordered<'a>(seed: &str, items: impl Iterator<Item = &'a str>) -> Vec<(Hash, usize)> {
    let mut order: Vec<(Hash, usize)> = items
        .enumerate()
        .map(|(position, item)| (rank(seed, item), position))
        .collect();
    order.sort_unstable();
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::archive::tree::hex;

    /// The SHA-256 of `a|c`, by sha256sum of coreutils.
    #[test]
    fn the_rank_is_plain_sha_256() {
        assert_eq!(
            hex(&rank("a", "c")),
            "8b2fc3e128be670932f1f1b177d0aba203a8d99a9170ba05bbc4750210319c7b"
        );
    }

    #[test]
    fn a_larger_sample_begins_with_the_smaller_one() {
        let items: Vec<String> = (0..50).map(|number| format!("item {number}")).collect();
        let names = || items.iter().map(String::as_str);
        let once = ordered("seed", names());
        assert_eq!(once, ordered("seed", names()));
        assert_ne!(once, ordered("seed 2", names()));
        // Another order of the list gives the same items.
        let turned = ordered("seed", names().rev());
        for (one, other) in once.iter().zip(&turned) {
            assert_eq!((one.0, one.1), (other.0, 49 - other.1));
        }
    }

    /// 4,000 seeds draw 5 of 20 items. Each item's count is about 1,000; the statistic of the 20 counts, scaled for
    /// drawing without replacement by (N - 1) / (N - n) / n seeds' worth, follows chi-square with 19 degrees of freedom.
    /// It passes up to 43.8, the 99.9 % point (NIST/SEMATECH e-Handbook of Statistical Methods, table of critical values
    /// of the chi-square distribution: 43.820).
    #[test]
    fn every_item_has_the_same_chance() {
        const ITEMS: usize = 20;
        const DRAWN: usize = 5;
        const SEEDS: usize = 4000;
        let items: Vec<String> = (0..ITEMS).map(|n| format!("pulls.csv row {n}")).collect();
        let mut counts = [0_u32; ITEMS];
        for seed in 0..SEEDS {
            let order = ordered(&format!("seed {seed}"), items.iter().map(String::as_str));
            for (_, position) in &order[..DRAWN] {
                counts[*position] += 1;
            }
        }
        let chance = DRAWN as f64 / ITEMS as f64;
        let expected = SEEDS as f64 * chance;
        let squares: f64 = counts
            .iter()
            .map(|count| (f64::from(*count) - expected).powi(2))
            .sum();
        // The variance of a count is SEEDS · p · (1 − p); the counts' sum is fixed, which takes one degree of freedom.
        let statistic = squares / (expected * (1.0 - chance)) * (ITEMS as f64 - 1.0) / ITEMS as f64;
        assert!(statistic < 43.820, "{statistic}");
        assert!(counts.iter().all(|count| *count > 0));
    }
}
