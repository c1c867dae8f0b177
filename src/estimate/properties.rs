//! Properties that hold whatever the numbers: units, order, census, hostile input. Test builds
//! only.

use proptest::prelude::*;

use super::*;

fn amounts(least: usize) -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(0.01..1e4_f64, least..12)
}

fn clusters() -> impl Strategy<Value = Vec<Cluster>> {
    prop::collection::vec((0.0..1e4_f64, 0.1..100.0_f64), 1..12).prop_map(|pairs| {
        pairs
            .into_iter()
            .map(|(amount, effort)| Cluster { amount, effort })
            .collect()
    })
}

/// Any double, the broken ones among them.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>(),
        Just(0.0),
        Just(f64::NAN),
        Just(f64::INFINITY),
        Just(f64::MAX),
        Just(f64::MIN_POSITIVE),
        Just(-1.0),
        0.0..10.0_f64,
    ]
}

fn alike(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// No NaN anywhere, nothing infinite but perhaps the upper end, the value inside its interval.
fn sound(outcome: &Outcome, upper_may_be_infinite: bool) -> bool {
    let Ok(estimate) = outcome else {
        return outcome
            .as_ref()
            .is_err_and(|refusal| !refusal.reason.is_empty());
    };
    estimate.value.is_finite()
        && estimate
            .standard_error
            .is_none_or(|error| error.is_finite() && error >= 0.0)
        && estimate.degrees_of_freedom.is_none_or(f64::is_finite)
        && (estimate.interval.is_some()
            || !estimate.caution.is_empty()
            || estimate.standard_error.is_some())
        && estimate.interval.is_none_or(|interval| {
            interval.lower.is_finite()
                && !interval.upper.is_nan()
                && (interval.upper.is_finite() || upper_may_be_infinite)
                && interval.lower <= estimate.value
                && estimate.value <= interval.upper
        })
}

proptest! {
    // A failing case is printed; files of old failures would only litter the tree.
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_total_scales_with_its_unit(observed in amounts(2), more in 1.0..50.0_f64, unit in 0.001..1e3_f64) {
        let population = observed.len() as f64 + more;
        let scaled: Vec<f64> = observed.iter().map(|y| y * unit).collect();
        let one = stratified_total(&[Stratum { population, observed: &observed }], 3.0, 0.95);
        let two = stratified_total(&[Stratum { population, observed: &scaled }], 3.0 * unit, 0.95);
        let (one, two) = (one.unwrap(), two.unwrap());
        prop_assert!(alike(one.value * unit, two.value));
        if let (Some(a), Some(b)) = (one.interval, two.interval) {
            prop_assert!(alike(a.lower * unit, b.lower) && alike(a.upper * unit, b.upper));
        }
    }

    #[test]
    fn a_rate_scales_with_both_units(clusters in clusters(), amount in 0.01..100.0_f64, effort in 0.01..100.0_f64) {
        let scaled: Vec<Cluster> = clusters
            .iter()
            .map(|c| Cluster { amount: c.amount * amount, effort: c.effort * effort })
            .collect();
        let one = rate(&clusters, 0.0, 0.95).unwrap();
        let two = rate(&scaled, 0.0, 0.95).unwrap();
        prop_assert!(alike(one.value * amount / effort, two.value));
        if let (Some(a), Some(b)) = (one.interval, two.interval) {
            prop_assert!((a.upper * amount / effort / b.upper - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn order_changes_no_bit(mut observed in amounts(2), mut clusters in clusters(), seed in any::<u64>()) {
        let total = |observed: &[f64]| {
            stratified_total(&[Stratum { population: 40.0, observed }], 1.0, 0.95)
        };
        let filled = |observed: &[f64]| {
            impute_total(&[Gap { observed, missing: 7 }], 30, seed, 0.95)
        };
        let before = (total(&observed), filled(&observed), rate(&clusters, 0.1, 0.95));
        observed.reverse();
        observed.rotate_left(1);
        clusters.reverse();
        let after = (total(&observed), filled(&observed), rate(&clusters, 0.1, 0.95));
        prop_assert_eq!(before, after);
    }

    #[test]
    fn the_order_of_strata_changes_no_bit(a in amounts(2), b in amounts(2)) {
        let one = Stratum { population: 20.0, observed: &a };
        let two = Stratum { population: 30.0, observed: &b };
        let forth = stratified_total(&[one, two], 0.0, 0.95).unwrap();
        let back = stratified_total(&[two, one], 0.0, 0.95).unwrap();
        prop_assert_eq!((forth.value, forth.interval), (back.value, back.interval));
    }

    #[test]
    fn a_census_has_no_error(a in amounts(1), b in amounts(1)) {
        let strata = [
            Stratum { population: a.len() as f64, observed: &a },
            Stratum { population: b.len() as f64, observed: &b },
        ];
        let total = stratified_total(&strata, 0.0, 0.95).unwrap();
        prop_assert_eq!(total.standard_error, Some(0.0));
        let interval = total.interval.unwrap();
        prop_assert_eq!((interval.lower, interval.upper), (total.value, total.value));
        prop_assert!(alike(total.value, a.iter().chain(&b).sum()));
    }

    /// Rows of one cluster are summed before they come here; two halves of a row are one cluster.
    #[test]
    fn splitting_a_row_and_merging_it_again_changes_nothing(clusters in clusters()) {
        let merged: Vec<Cluster> = clusters
            .iter()
            .map(|c| {
                let half = Cluster { amount: c.amount / 2.0, effort: c.effort / 2.0 };
                Cluster { amount: half.amount + half.amount, effort: half.effort + half.effort }
            })
            .collect();
        prop_assert_eq!(rate(&clusters, 0.0, 0.95), rate(&merged, 0.0, 0.95));
    }

    #[test]
    fn more_weighed_at_the_same_spread_never_widens(observed in amounts(3)) {
        prop_assume!(observed.windows(2).any(|pair| pair[0] != pair[1]));
        let twice: Vec<f64> = observed.iter().chain(&observed).copied().collect();
        let width = |observed: &[f64]| {
            let total = stratified_total(&[Stratum { population: 60.0, observed }], 0.0, 0.95);
            total.unwrap().interval.map(|i| i.upper - i.lower)
        };
        if let (Some(few), Some(many)) = (width(&observed), width(&twice)) {
            prop_assert!(many <= few);
        }
    }

    #[test]
    fn any_numbers_end_in_a_sound_estimate_or_a_refusal(
        x in prop::collection::vec(any_number(), 0..8),
        y in prop::collection::vec(any_number(), 0..8),
        number in any_number(),
        level in prop_oneof![Just(0.95), any_number()],
    ) {
        let strata = [Stratum { population: number, observed: &x }, Stratum { population: 9.0, observed: &y }];
        let clusters: Vec<Cluster> = x.iter().zip(&y)
            .map(|(amount, effort)| Cluster { amount: *amount, effort: *effort }).collect();
        let pairs: Vec<(f64, f64)> = x.iter().copied().zip(y.iter().copied()).collect();
        let paired = [PairedStratum { population: number, total_x: number, pairs: &pairs }];
        let rows: Vec<SeasonRow> = x.iter().zip(&y).enumerate()
            .map(|(t, (amount, effort))| SeasonRow { time: t as f64, amount: *amount, effort: *effort }).collect();
        let visits: Vec<CatchEffort> = x.iter().zip(&y)
            .map(|(amount, effort)| CatchEffort { amount: *amount, effort: *effort }).collect();
        let intervals: Vec<Interval> = x.iter().zip(&y)
            .map(|(lower, upper)| Interval { lower: *lower, upper: *upper, level: 0.95 }).collect();
        let gaps = [Gap { observed: &x, missing: 3 }, Gap { observed: &y, missing: 0 }];
        for outcome in [
            stratified_total(&strata, number, level),
            stratified_mean(&strata, level),
            rate(&clusters, number, level),
            rate_bootstrap(&clusters, 199, 1, level),
            rate_if_none(number, level),
            paired_change(&x, &y, level),
            ratio(&pairs, Some(number), level),
            ratio(&pairs, None, level),
            separate_ratio_total(&paired, RatioForm::SampleMean, level),
            combined_ratio_total(&paired, RatioForm::PopulationMean, level),
            double_sampling_total(&x, &pairs, number, level),
            fieller(&pairs, level),
            impute_total(&gaps, 20, 1, level),
            pool(&pairs, Some(number), level),
            censored_mean(&intervals, level),
        ] {
            prop_assert!(sound(&outcome, false), "{outcome:?}");
        }
        let trends = [trend_quasi_poisson(&rows, level), trend_negative_binomial(&rows, level)];
        for trend in trends.into_iter().flatten() {
            prop_assert!(sound(&Ok(trend.change.clone()), false), "{trend:?}");
            prop_assert!(sound(&Ok(trend.slope.clone()), false), "{trend:?}");
        }
        if let Ok(found) = leslie(&visits, false, level) {
            for estimate in [found.initial, found.catchability, found.share_removed] {
                prop_assert!(sound(&Ok(estimate.clone()), true), "{estimate:?}");
            }
        }
        let range = Range { low: number, high: number };
        if let Ok(found) = absence(number, range, range) {
            prop_assert!(found.present.high.is_finite() && found.missed.high.is_finite());
        }
    }

    #[test]
    fn any_counts_end_in_a_sound_estimate_or_a_refusal(
        counts in prop::collection::vec(prop_oneof![0..50_u64, any::<u64>()], 0..7),
        one in prop_oneof![0..100_u64, any::<u64>()],
        two in prop_oneof![0..100_u64, any::<u64>()],
        level in prop_oneof![Just(0.95), any_number()],
    ) {
        for outcome in [
            clopper_pearson(one, two, level),
            wilson(one, two, level),
            audit_bound(Some(one), two, 0, level),
            audit_bound(None, one, two, level),
            density(&counts, 0.5, level),
            clumping(&counts),
            two_passes(one, two),
        ] {
            prop_assert!(sound(&outcome, false), "{outcome:?}");
        }
        let _ = audit_size(Some(one), 0.05, level, two);
        if let Ok(found) = removal(&counts, level) {
            for estimate in [found.initial, found.capture_probability, found.share_removed] {
                prop_assert!(sound(&Ok(estimate.clone()), true), "{estimate:?}");
            }
        }
        if let Ok((number, chance)) = carle_strub(&counts, level) {
            prop_assert!(sound(&Ok(number.clone()), true), "{number:?}");
            prop_assert!(sound(&Ok(chance.clone()), true), "{chance:?}");
        }
        if let Ok(bound) = possible_initial(&counts, level) {
            prop_assert!(bound.lower.is_finite() && bound.upper >= bound.lower);
        }
    }
}
