//! Rates per unit of effort: clumped finds, uneven effort, 5 to 40 clusters.

use windrow::estimate::{Cluster, Random, fieller, rate, rate_bootstrap};

use crate::compare::{LEVEL, bias_corrected, on_log, percentile, plain, resampled, t};
use crate::draw::{gamma, log_normal, poisson};
use crate::tally::{Tally, heading};

type Law = fn(&mut Random, f64, f64) -> f64;

/// Redraws a bootstrap; enough to see coverage, where the tool takes more.
const RESAMPLES: usize = 499;
/// The bootstraps are slow and are tried on every fifth season.
const EVERY: u32 = 5;

pub fn run(draws: u32) {
    heading("Rates per unit of effort");
    let laws: [(&str, Law); 2] = [("gamma", gamma), ("log-normal", log_normal)];
    for (name, law) in laws {
        for variation in [0.4, 0.8, 1.2] {
            for pulls in [5, 10, 20, 40] {
                design(
                    &format!("{pulls} pulls, {name} rates, CV {variation}"),
                    pulls,
                    |random, effort| {
                        let rate = law(random, 3.0, variation);
                        poisson(random, rate * effort) as f64
                    },
                    3.0,
                    draws,
                );
            }
        }
    }
    for pulls in [5, 10, 20] {
        // Long outings are slower by the hour: the amount grows with the square root of effort.
        // E √x ÷ E x for gamma effort of mean 8 and variation 0.6: Γ(a + ½) ÷ (Γ(a) a^½) ÷ √8.
        let shape: f64 = 1.0 / 0.36;
        let truth = 12.0
            * (statrs::function::gamma::ln_gamma(shape + 0.5)
                - statrs::function::gamma::ln_gamma(shape))
            .exp()
            / (shape * 8.0).sqrt();
        design(
            &format!("{pulls} pulls, slower when long, gamma, CV 0.6"),
            pulls,
            |random, effort| gamma(random, 12.0, 0.6) * effort.sqrt(),
            truth,
            draws,
        );
    }
    for pulls in [5, 10, 20] {
        design(
            &format!("{pulls} pulls, nothing found on half of them"),
            pulls,
            |random, effort| {
                if random.uniform() < 0.5 {
                    0.0
                } else {
                    gamma(random, 6.0, 0.5) * effort
                }
            },
            3.0,
            draws,
        );
    }
}

fn design(
    label: &str,
    pulls: usize,
    mut amount: impl FnMut(&mut Random, f64) -> f64,
    truth: f64,
    draws: u32,
) {
    let mut random = Random::seeded(12);
    let mut tally = Tally::new(label);
    for draw in 0..draws {
        let clusters: Vec<Cluster> = (0..pulls)
            .map(|_| {
                let effort = gamma(&mut random, 8.0, 0.6).max(0.25);
                Cluster {
                    amount: amount(&mut random, effort),
                    effort,
                }
            })
            .collect();
        let Ok(found) = rate(&clusters, 0.0, LEVEL) else {
            continue;
        };
        tally.note("offered", truth, found.interval);
        let Some(error) = found.standard_error else {
            continue;
        };
        let n = pulls as f64;
        let critical = t(n - 1.0);
        let effort: f64 = clusters.iter().map(|c| c.effort).sum();
        let squares: f64 = clusters
            .iter()
            .map(|c| (c.amount - found.value * c.effort).powi(2))
            .sum();
        let linearised = (n / (n - 1.0) * squares).sqrt() / effort;
        tally.note(
            "log-t, linearised SE",
            truth,
            on_log(found.value, linearised, critical),
        );
        tally.note(
            "log-t, jackknife SE",
            truth,
            on_log(found.value, error, critical),
        );
        tally.note(
            "plain t, jackknife SE",
            truth,
            plain(found.value, error, critical),
        );
        tally.note(
            "plain z, jackknife SE",
            truth,
            plain(found.value, error, 1.96),
        );
        let pairs: Vec<(f64, f64)> = clusters.iter().map(|c| (c.effort, c.amount)).collect();
        if let Ok(found) = fieller(&pairs, LEVEL) {
            tally.note("Fieller", truth, found.interval);
        }
        if draw % EVERY == 0 {
            if let Ok(found) = rate_bootstrap(&clusters, RESAMPLES, u64::from(draw), LEVEL) {
                tally.note("bootstrap-t on the log scale", truth, found.interval);
            }
            let ratios = resampled(&clusters, RESAMPLES, u64::from(draw));
            tally.note("percentile bootstrap", truth, percentile(&ratios, None));
            let (_, _, bca) = bias_corrected(&clusters, &ratios, None);
            tally.note("BCa bootstrap", truth, bca);
        }
    }
    tally.print();
}
