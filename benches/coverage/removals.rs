//! Repeated passes: constant, falling and uneven chance of capture; and Leslie's line.

use windrow::estimate::{
    CatchEffort, Interval, Random, carle_strub, leslie, possible_initial, removal,
};

use crate::compare::{LEVEL, interval, plain, t};
use crate::draw::{binomial, gamma};
use crate::tally::{Tally, heading};

pub fn run(draws: u32) {
    heading("Initial number from repeated passes");
    for passes in [3, 4] {
        for initial in [30, 100, 400] {
            for chance in [0.3, 0.5, 0.7] {
                design(
                    &format!("{initial} at first, {passes} passes, chance {chance}"),
                    initial,
                    passes,
                    |_, _| chance,
                    false,
                    draws,
                );
            }
        }
    }
    for initial in [100, 400] {
        design(
            &format!("{initial} at first, 3 passes, chance .5 falling by .85 a pass"),
            initial,
            3,
            |_, pass| 0.5 * 0.85_f64.powi(pass),
            false,
            draws,
        );
        design(
            &format!("{initial} at first, 3 passes, chance of each its own, .5 ± .2"),
            initial,
            3,
            |random, _| {
                // Beta with mean .5 and standard deviation .2, from two gammas of shape 2.625.
                let variation = 1.0 / 2.625_f64.sqrt();
                let (a, b) = (gamma(random, 1.0, variation), gamma(random, 1.0, variation));
                a / (a + b)
            },
            true,
            draws,
        );
    }
    heading("Initial amount from catch per effort (Leslie)");
    for visits in [4, 6, 10] {
        for share in [0.6, 0.85] {
            for noise in [0.0, 0.3] {
                line(visits, share, noise, draws);
            }
        }
    }
}

fn design(
    label: &str,
    initial: u64,
    passes: i32,
    mut chance: impl FnMut(&mut Random, i32) -> f64,
    each: bool,
    draws: u32,
) {
    let mut random = Random::seeded(13);
    let mut tally = Tally::new(label);
    let truth = initial as f64;
    for _ in 0..draws {
        let catches = if each {
            let mut catches = vec![0; passes as usize];
            for _ in 0..initial {
                let own = chance(&mut random, 0);
                if let Some(pass) = (0..passes as usize).find(|_| random.uniform() < own) {
                    catches[pass] += 1;
                }
            }
            catches
        } else {
            let mut left = initial;
            (0..passes)
                .map(|pass| {
                    let p = chance(&mut random, pass);
                    let caught = binomial(&mut random, left, p);
                    left -= caught;
                    caught
                })
                .collect()
        };
        let found = removal(&catches, LEVEL);
        tally.note(
            "offered (profile)",
            truth,
            found.as_ref().ok().and_then(|found| found.initial.interval),
        );
        tally.note(
            "profile, refused ones too",
            truth,
            possible_initial(&catches, LEVEL).ok(),
        );
        if let Ok(found) = &found {
            if let Some(fit) = found.fit {
                tally.note(
                    "offered, where the fit is not rejected",
                    truth,
                    found.initial.interval.filter(|_| fit.p_value >= 0.05),
                );
            }
            let wald = found
                .initial
                .standard_error
                .and_then(|error| plain(found.initial.value, error, 1.96));
            tally.note("value ± 1.96 SE", truth, wald);
        }
        if let Ok((number, _)) = carle_strub(&catches, LEVEL) {
            let wald = number
                .standard_error
                .and_then(|error| plain(number.value, error, 1.96));
            tally.note("Carle–Strub ± 1.96 SE", truth, wald);
        }
    }
    tally.print();
}

fn line(visits: usize, share: f64, noise: f64, draws: u32) {
    let mut random = Random::seeded(14);
    let mut tally = Tally::new(format!(
        "{visits} visits taking {share} in all, catch noise CV {noise}"
    ));
    let truth = 500.0;
    let effort = 8.0;
    let per_visit = 1.0 - (1.0_f64 - share).powf(1.0 / visits as f64);
    for _ in 0..draws {
        let mut left = 500;
        let catches: Vec<CatchEffort> = (0..visits)
            .map(|_| {
                let luck = if noise > 0.0 {
                    gamma(&mut random, 1.0, noise)
                } else {
                    1.0
                };
                let caught = binomial(&mut random, left, (per_visit * luck).min(1.0));
                left -= caught;
                CatchEffort {
                    amount: caught as f64,
                    effort,
                }
            })
            .collect();
        let found = leslie(&catches, false, LEVEL).ok();
        tally.note(
            "offered (Fieller)",
            truth,
            found.as_ref().and_then(|f| f.initial.interval),
        );
        let wald: Option<Interval> = found.as_ref().and_then(|f| {
            let reach = t(visits as f64 - 2.0) * f.initial.standard_error?;
            interval(f.initial.value - reach, f.initial.value + reach)
        });
        tally.note("value ± t SE", truth, wald);
        let ricker = leslie(&catches, true, LEVEL).ok();
        tally.note(
            "Fieller, Ricker's form",
            truth,
            ricker.and_then(|f| f.initial.interval),
        );
    }
    tally.print();
}
