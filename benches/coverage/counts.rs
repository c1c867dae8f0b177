//! Density from plots, shares, the audit's bound, and change of cover read in classes.

use windrow::estimate::{
    CoverClass, DAUBENMIRE, Random, audit_bound, class_change, clopper_pearson, density,
    paired_change, wilson,
};

use crate::compare::{LEVEL, on_log, plain, t};
use crate::draw::{binomial, choice, clumped, gamma};
use crate::tally::{Tally, heading};

pub fn run(draws: u32) {
    heading("Density from clumped counts");
    for plots in [5, 10, 20, 40] {
        for k in [0.5, 1.0, 3.0] {
            for mean in [2.0, 10.0] {
                plots_design(plots, k, mean, draws);
            }
        }
    }
    heading("Shares and the audit's upper bound");
    for trials in [10, 25, 100] {
        for share in [0.02, 0.1, 0.4] {
            shares(trials, share, draws);
        }
    }
    for (items, checked) in [(50, 20), (200, 51), (200, 120), (1000, 60)] {
        for share in [0.02, 0.1] {
            audit(items, checked, share, draws);
        }
    }
    heading("Change of cover, percentage points");
    for plots in [5, 8, 15, 30] {
        for (kind, before, after) in [
            ("85 to 15 %", 0.85, 0.15),
            ("50 to 30 %", 0.5, 0.3),
            ("60 to 2 %", 0.6, 0.02),
        ] {
            cover(plots, kind, before, after, draws);
        }
    }
}

fn plots_design(plots: usize, k: f64, mean: f64, draws: u32) {
    let mut random = Random::seeded(16);
    let mut tally = Tally::new(format!("{plots} plots, mean {mean}, k {k}"));
    for _ in 0..draws {
        let counts: Vec<u64> = (0..plots).map(|_| clumped(&mut random, mean, k)).collect();
        let Ok(found) = density(&counts, 1.0, LEVEL) else {
            continue;
        };
        tally.note("offered", mean, found.interval);
        if let Some(error) = found.standard_error {
            let critical = t(plots as f64 - 1.0);
            tally.note("log-t", mean, on_log(found.value, error, critical));
            tally.note("plain t", mean, plain(found.value, error, critical));
        }
    }
    tally.print();
}

fn shares(trials: u64, share: f64, draws: u32) {
    let mut random = Random::seeded(17);
    let mut tally = Tally::new(format!("{trials} observations, share {share}"));
    for _ in 0..draws {
        let yes = binomial(&mut random, trials, share);
        for (name, found) in [
            (
                "offered (Clopper–Pearson)",
                clopper_pearson(yes, trials, LEVEL),
            ),
            ("Wilson", wilson(yes, trials, LEVEL)),
        ] {
            tally.note(name, share, found.ok().and_then(|f| f.interval));
        }
    }
    tally.print();
}

fn audit(items: usize, checked: usize, share: f64, draws: u32) {
    let mut random = Random::seeded(18);
    let wrong = (share * items as f64).round() as usize;
    let mut tally = Tally::new(format!("audit of {checked} of {items}, {wrong} wrong"));
    for _ in 0..draws {
        let found = choice(&mut random, items, checked)
            .into_iter()
            .filter(|item| *item < wrong)
            .count();
        let bound = audit_bound(Some(items as u64), checked as u64, found as u64, LEVEL);
        tally.note(
            "offered (one-sided)",
            wrong as f64 / items as f64,
            bound.ok().and_then(|b| b.interval),
        );
    }
    tally.print();
}

fn read(cover: f64) -> CoverClass {
    let per_cent = 100.0 * cover;
    let classes = DAUBENMIRE.classes;
    classes
        .iter()
        .skip(1)
        .find(|class| per_cent <= class.upper)
        .copied()
        .unwrap_or(classes[0])
}

fn cover(plots: usize, kind: &str, before: f64, after: f64, draws: u32) {
    let mut random = Random::seeded(19);
    let mut tally = Tally::new(format!("{plots} plots, {kind}"));
    let truth = 100.0 * (after - before);
    for draw in 0..draws {
        // Beta cover with the concentration 6 about its mean: well spread over plots.
        let mut beta = |mean: f64| {
            let (a, b) = (6.0 * mean, 6.0 * (1.0 - mean));
            let x = gamma(&mut random, a, 1.0 / a.sqrt());
            x / (x + gamma(&mut random, b, 1.0 / b.sqrt()))
        };
        let pairs: Vec<(f64, f64)> = (0..plots).map(|_| (beta(before), beta(after))).collect();
        let first: Vec<CoverClass> = pairs.iter().map(|p| read(p.0)).collect();
        let second: Vec<CoverClass> = pairs.iter().map(|p| read(p.1)).collect();
        let measured: (Vec<f64>, Vec<f64>) =
            pairs.iter().map(|p| (100.0 * p.0, 100.0 * p.1)).unzip();
        let exact = paired_change(&measured.0, &measured.1, LEVEL);
        tally.note(
            "offered on exact cover (paired t)",
            truth,
            exact.ok().and_then(|e| e.interval),
        );
        let middle = |classes: &[CoverClass]| -> Vec<f64> {
            classes.iter().map(|class| class.midpoint).collect()
        };
        let midpoints = paired_change(&middle(&first), &middle(&second), LEVEL);
        tally.note(
            "offered on midpoints (paired t)",
            truth,
            midpoints.ok().and_then(|e| e.interval),
        );
        // The likelihood of intervals is slow and tried on every fifth season.
        if draw % 5 == 0 {
            let found = class_change(&first, &second, LEVEL).map(|found| found.censored);
            tally.note(
                "offered on classes as intervals",
                truth,
                found.ok().and_then(Result::ok).and_then(|e| e.interval),
            );
        }
    }
    tally.print();
}
