//! Totals by ratio and by double sampling, where amounts go with a count that is known or cheap.

use windrow::estimate::{
    PairedStratum, Random, RatioForm, combined_ratio_total, double_sampling_total,
    separate_ratio_total,
};

use crate::compare::LEVEL;
use crate::draw::{choice, gamma};
use crate::tally::{Tally, heading};

pub fn run(draws: u32) {
    heading("Totals by ratio and double sampling");
    for measured in [4, 8, 15] {
        for variation in [0.3, 0.6] {
            one(measured, variation, draws);
            two(measured, variation, draws);
        }
    }
}

/// Pairs (x, y) of units: y is x times a ratio of the given mean and variation.
fn units(random: &mut Random, count: usize, ratio: f64, variation: f64) -> Vec<(f64, f64)> {
    (0..count)
        .map(|_| {
            let x = gamma(random, 50.0, 0.5);
            (x, x * gamma(random, ratio, variation))
        })
        .collect()
}

fn sample(random: &mut Random, all: &[(f64, f64)], size: usize) -> Vec<(f64, f64)> {
    choice(random, all.len(), size)
        .into_iter()
        .map(|place| all[place])
        .collect()
}

fn one(measured: usize, variation: f64, draws: u32) {
    let mut random = Random::seeded(20);
    let mut tally = Tally::new(format!(
        "60 units, {measured} measured, ratio CV {variation}"
    ));
    for _ in 0..draws {
        let all = units(&mut random, 60, 0.2, variation);
        let truth: f64 = all.iter().map(|pair| pair.1).sum();
        let pairs = sample(&mut random, &all, measured);
        let stratum = [PairedStratum {
            population: 60.0,
            total_x: all.iter().map(|pair| pair.0).sum(),
            pairs: &pairs,
        }];
        for (name, form) in [
            ("offered (sample-mean form)", RatioForm::SampleMean),
            ("offered (population-mean form)", RatioForm::PopulationMean),
        ] {
            let found = separate_ratio_total(&stratum, form, LEVEL);
            tally.note(name, truth, found.ok().and_then(|f| f.interval));
        }
        let first = sample(&mut random, &all, 30.max(measured));
        let x: Vec<f64> = first.iter().map(|pair| pair.0).collect();
        let found = double_sampling_total(&x, &first[..measured], 60.0, LEVEL);
        tally.note(
            "offered (double sampling, 30 first)",
            truth,
            found.ok().and_then(|f| f.interval),
        );
    }
    tally.print();
}

fn two(measured: usize, variation: f64, draws: u32) {
    let mut random = Random::seeded(21);
    let mut tally = Tally::new(format!("2 groups, {measured} each, ratio CV {variation}"));
    for _ in 0..draws {
        let groups = [
            units(&mut random, 60, 0.3, variation),
            units(&mut random, 30, 0.1, 0.3),
        ];
        let truth: f64 = groups.iter().flatten().map(|pair| pair.1).sum();
        let samples: Vec<Vec<(f64, f64)>> = groups
            .iter()
            .map(|all| sample(&mut random, all, measured))
            .collect();
        let strata: Vec<PairedStratum> = groups
            .iter()
            .zip(&samples)
            .map(|(all, pairs)| PairedStratum {
                population: all.len() as f64,
                total_x: all.iter().map(|pair| pair.0).sum(),
                pairs,
            })
            .collect();
        let separate = separate_ratio_total(&strata, RatioForm::SampleMean, LEVEL);
        tally.note(
            "offered (separate)",
            truth,
            separate.ok().and_then(|f| f.interval),
        );
        let combined = combined_ratio_total(&strata, RatioForm::SampleMean, LEVEL);
        tally.note(
            "offered (combined)",
            truth,
            combined.ok().and_then(|f| f.interval),
        );
    }
    tally.print();
}
