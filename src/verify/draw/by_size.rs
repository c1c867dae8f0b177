//! Drawing with a chance in proportion to size: every gram, or every cent, has the same chance, so a heavy item is drawn
//! more often than a light one.
//!
//! Systematic: the items in the order of their ranks are laid end to end; the first hit falls at a start that follows from
//! the seed, the others at even steps from there. Whole numbers throughout, so that a second
//! program comes to the same items. An item longer than a step is always hit, perhaps more than once.
//!
//! Source: D. Leslie, A. Teitlebaum, R. Anderson 1979, Dollar-Unit Sampling: A Practical Guide for Auditors (from memory);
//! AICPA 2017, Audit Guide: Audit Sampling, chapter on monetary unit sampling (from memory).

use super::rule::rank;

/// The item whose rank gives the start. No item of an archive can have this name: it has no row and no folder.
const START: &str = "start";

/// How often each item is hit, by its position in `sizes`.
///
/// `order` is the order in which the items lie end to end; `sizes` their sizes in whole parts; hit number k (from 0) of
/// `hits` falls on part floor((k + f) × total ÷ hits), where f is the first 8 hexadecimal digits of the rank of "start",
/// divided by 2³².
pub fn hits(seed: &str, order: &[usize], sizes: &[u64], hits: u64) -> Vec<u64> {
    let mut counts = vec![0; sizes.len()];
    let total: u128 = sizes.iter().map(|size| u128::from(*size)).sum();
    if total == 0 || hits == 0 {
        return counts;
    }
    let [a, b, c, d, ..] = rank(seed, START);
    let fraction = u128::from(u32::from_be_bytes([a, b, c, d]));
    let part = |hit: u64| (((u128::from(hit) << 32) + fraction) * total / u128::from(hits)) >> 32;
    let (mut hit, mut end) = (0, 0_u128);
    for position in order {
        let Some(size) = sizes.get(*position) else {
            continue;
        };
        end += u128::from(*size);
        while hit < hits && part(hit) < end {
            if let Some(count) = counts.get_mut(*position) {
                *count += 1;
            }
            hit += 1;
        }
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_hits_land_and_a_long_item_is_hit_for_each_step_it_covers() {
        let sizes = [10, 1000, 10, 0, 980];
        let counts = hits("seed", &[0, 1, 2, 3, 4], &sizes, 20);
        assert_eq!(counts.iter().sum::<u64>(), 20);
        // Steps of 100: 1000 parts hold ten, 980 nine or ten.
        assert_eq!(counts[1], 10);
        assert!((9..=10).contains(&counts[4]));
        assert_eq!(counts[3], 0);
    }

    #[test]
    fn sizes_at_the_limit_don_t_run_over() {
        let sizes = vec![super::super::population::MOST_PARTS; 100];
        let order: Vec<usize> = (0..100).collect();
        assert_eq!(
            hits("x", &order, &sizes, 100_000).iter().sum::<u64>(),
            100_000
        );
        assert_eq!(hits("x", &[0], &[], 5), Vec::<u64>::new());
        assert_eq!(hits("x", &[0], &[0], 5), [0]);
    }

    /// Over many seeds an item is hit in proportion to its size: within four standard errors of a share of 4,000 draws.
    #[test]
    fn chances_go_by_size() {
        const SEEDS: u32 = 4000;
        let sizes = [100, 200, 300, 400];
        let mut counts = [0_u32; 4];
        for seed in 0..SEEDS {
            let seed = format!("seed {seed}");
            let names = ["a", "b", "c", "d"];
            let order: Vec<usize> = super::super::rule::ordered(&seed, names.into_iter())
                .into_iter()
                .map(|(_, position)| position)
                .collect();
            for (count, hit) in counts.iter_mut().zip(hits(&seed, &order, &sizes, 1)) {
                *count += u32::try_from(hit).unwrap();
            }
        }
        for (count, size) in counts.into_iter().zip(sizes) {
            let share = size as f64 / 1000.0;
            let error = (share * (1.0 - share) / f64::from(SEEDS)).sqrt();
            let found = f64::from(count) / f64::from(SEEDS);
            assert!((found - share).abs() < 4.0 * error, "{found} for {share}");
        }
    }
}
