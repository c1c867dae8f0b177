//! Trends over a few seasons, counts more or less overdispersed, effort uneven.

use windrow::estimate::{Random, SeasonRow, trend_negative_binomial, trend_quasi_poisson};

use crate::compare::{LEVEL, plain};
use crate::draw::{clumped, gamma, poisson};
use crate::tally::{Tally, heading};

pub fn run(draws: u32) {
    heading("Trend over seasons (slope of the logarithm)");
    for seasons in [3, 4, 5, 8, 12] {
        for (kind, k) in [
            ("chance alone", None),
            ("k 20", Some(20.0)),
            ("k 3", Some(3.0)),
        ] {
            for mean in [20.0, 300.0] {
                design(seasons, kind, k, mean, draws);
            }
        }
    }
}

fn design(seasons: usize, kind: &str, k: Option<f64>, mean: f64, draws: u32) {
    let mut random = Random::seeded(15);
    let mut tally = Tally::new(format!("{seasons} seasons, counts near {mean}, {kind}"));
    let truth = -0.15;
    for _ in 0..draws {
        let rows: Vec<SeasonRow> = (0..seasons)
            .map(|season| {
                let time = season as f64;
                let effort = gamma(&mut random, 100.0, 0.3);
                let expected = mean * effort / 100.0 * (truth * time).exp();
                let count = match k {
                    None => poisson(&mut random, expected),
                    Some(k) => clumped(&mut random, expected, k),
                };
                SeasonRow {
                    time,
                    amount: count as f64,
                    effort,
                }
            })
            .collect();
        let quasi = trend_quasi_poisson(&rows, LEVEL).ok();
        let binomial = trend_negative_binomial(&rows, LEVEL).ok();
        let slope = |trend: &Option<windrow::estimate::Trend>| {
            trend.as_ref().and_then(|trend| trend.slope.interval)
        };
        tally.note("offered (quasi-Poisson, t)", truth, slope(&quasi));
        tally.note("negative binomial, t", truth, slope(&binomial));
        tally.note(
            "quasi-Poisson, z",
            truth,
            quasi
                .as_ref()
                .and_then(|trend| plain(trend.slope.value, trend.slope.standard_error?, 1.96)),
        );
        tally.note(
            "Poisson, z",
            truth,
            quasi.as_ref().and_then(|trend| {
                let error = trend.slope.standard_error? / trend.dispersion.sqrt();
                plain(trend.slope.value, error, 1.96)
            }),
        );
    }
    tally.print();
}
