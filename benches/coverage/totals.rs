//! Totals from a few measured units: one group and several, even and skewed.

use windrow::estimate::{Gap, Random, Stratum, impute_total, stratified_total};

use crate::compare::{LEVEL, on_log, plain, t};
use crate::draw::{choice, gamma, log_normal};
use crate::tally::{Tally, heading};

type Law = fn(&mut Random, f64, f64) -> f64;

/// Units, measured units, mean and coefficient of variation of each group.
type Group = (usize, usize, f64, f64);

pub fn run(draws: u32) {
    heading("Totals");
    let laws: [(&str, Law); 2] = [("gamma", gamma), ("log-normal", log_normal)];
    for (name, law) in laws {
        for variation in [0.3, 0.5, 0.8, 1.2] {
            for measured in [3, 5, 8, 15] {
                let label = format!("60 units, {measured} measured, {name}, CV {variation}");
                design(&label, &[(60, measured, 10.0, variation)], law, draws);
            }
        }
        design(
            &format!("20 units, 15 measured, {name}, CV 0.8"),
            &[(20, 15, 10.0, 0.8)],
            law,
            draws,
        );
    }
    for (name, law) in laws {
        for (kind, groups) in [
            (
                "2 groups alike, 3 + 3",
                &[(40, 3, 10.0, 0.5), (40, 3, 10.0, 0.5)][..],
            ),
            (
                "2 groups unlike, 3 + 3",
                &[(60, 3, 14.0, 0.7), (20, 3, 4.0, 0.3)],
            ),
            (
                "2 groups unlike, 2 + 5",
                &[(60, 2, 14.0, 0.7), (20, 5, 4.0, 0.3)],
            ),
            (
                "2 groups unlike, 5 + 2",
                &[(60, 5, 14.0, 0.7), (20, 2, 4.0, 0.3)],
            ),
            (
                "3 groups unlike, 5 each",
                &[(60, 5, 14.0, 0.7), (20, 5, 4.0, 0.3), (40, 5, 8.0, 0.5)],
            ),
            (
                "3 groups, one dominant, 3 + 6 + 6",
                &[(90, 3, 14.0, 0.6), (20, 6, 4.0, 0.3), (20, 6, 4.0, 0.3)],
            ),
        ] {
            design(&format!("{kind}, {name}"), groups, law, draws);
        }
    }
}

fn design(label: &str, groups: &[Group], law: Law, draws: u32) {
    let mut random = Random::seeded(11);
    let mut tally = Tally::new(label);
    for draw in 0..draws {
        let mut truth = 0.0;
        let mut samples = Vec::new();
        for (units, measured, mean, variation) in groups {
            let all: Vec<f64> = (0..*units)
                .map(|_| law(&mut random, *mean, *variation))
                .collect();
            truth += all.iter().sum::<f64>();
            let sample: Vec<f64> = choice(&mut random, *units, *measured)
                .into_iter()
                .map(|place| all[place])
                .collect();
            samples.push((*units, sample));
        }
        let strata: Vec<Stratum> = samples
            .iter()
            .map(|(units, observed)| Stratum {
                population: *units as f64,
                observed,
            })
            .collect();
        let Ok(found) = stratified_total(&strata, 0.0, LEVEL) else {
            continue;
        };
        tally.note("offered", truth, found.interval);
        let Some(error) = found.standard_error else {
            continue;
        };
        let parts: Vec<(f64, f64)> = samples
            .iter()
            .map(|(units, sample)| {
                let n = sample.len() as f64;
                let mean = sample.iter().sum::<f64>() / n;
                let spread = sample.iter().map(|y| (y - mean).powi(2)).sum::<f64>() / (n - 1.0);
                let units = *units as f64;
                (units * (units - n) * spread / n, n - 1.0)
            })
            .collect();
        let total: f64 = parts.iter().map(|p| p.0).sum();
        let satterthwaite = total * total / parts.iter().map(|p| p.0 * p.0 / p.1).sum::<f64>();
        let pooled: f64 = parts.iter().map(|p| p.1).sum();
        let value = found.value;
        tally.note("log-t, n − H", truth, on_log(value, error, t(pooled)));
        if groups.len() > 1 {
            tally.note(
                "log-t, Satterthwaite",
                truth,
                on_log(value, error, t(satterthwaite)),
            );
        }
        tally.note("plain t, n − H", truth, plain(value, error, t(pooled)));
        tally.note("plain z", truth, plain(value, error, 1.96));
        // Filling in is slow and tried on every tenth season.
        if draw % 10 == 0 && groups.len() == 1 {
            let gaps: Vec<Gap> = samples
                .iter()
                .map(|(units, observed)| Gap {
                    observed,
                    missing: units - observed.len(),
                })
                .collect();
            let filled = impute_total(&gaps, 200, u64::from(draw), LEVEL);
            if let Ok(filled) = filled {
                tally.note("imputation", truth, filled.interval);
            }
        }
    }
    tally.print();
}
