//! Change of a rate over seasons, with effort as offset.
//!
//! Takes a time, an amount and an effort a row, gives the change per unit of time in per cent.
//! Says nothing of causes.

use super::distribution::student_critical;
use super::loglinear::{Design, Fit, Variance, fit, negative_binomial};
use super::number::{check_level, mean, sum};
use super::{Estimate, Interval, Refusal};
use crate::words;
use crate::words::Words;

/// One row: several may share a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonRow {
    /// Such as the year.
    pub time: f64,
    /// What was taken, zero or more.
    pub amount: f64,
    /// What went into it, above zero.
    pub effort: f64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// Change of the rate per unit of time in per cent, −100 to any height.
    pub change: Estimate,
    /// The same as a change of the natural logarithm.
    pub slope: Estimate,
    /// Variance of the amounts about the line, in units of the mean. For counts 1 is what chance
    /// alone makes; above it they vary more (overdispersion).
    pub dispersion: f64,
    /// Negative binomial only: θ, where the variance is mean + mean² ÷ θ.
    pub theta: Option<f64>,
    /// Quasi-Poisson only: the trend's own rate at each time of a row, in order of time. The interval is for the line, not for what a
    /// season's rate may turn out to be about it.
    pub line: Vec<(f64, Estimate)>,
}

/// Log-linear trend with variance in proportion to the mean (quasi-Poisson), for counts or other
/// amounts; Student's t with n − 2 degrees of freedom.
///
/// Refuses fewer than three different times, fewer than three rows, effort not above zero, and
/// nothing taken at all. Rows exactly on a line give a value without interval.
///
/// Source: McCullagh & Nelder 1989, Generalized Linear Models, chapter 6.
pub fn trend_quasi_poisson(rows: &[SeasonRow], level: f64) -> Result<Trend, Refusal> {
    let design = design(rows, level)?;
    let fit = fit(&design, Variance::Poisson).ok_or_else(unsettled)?;
    let degrees = rows.len() as f64 - 2.0;
    let dispersion = fit.pearson(&design.response, Variance::Poisson) / degrees;
    // Pearson's statistic below this share of the total is rounding.
    let total = sum(design.response.iter().copied());
    let error = if dispersion > 1e-20 * total {
        fit.error(1).map(|error| error * dispersion.sqrt())
    } else {
        None
    };
    let mut trend = build(
        rows,
        fit.coefficients.get(1).copied().unwrap_or(f64::NAN),
        error,
        level,
        dispersion,
        None,
        words!(
            "log-linear trend with effort as offset; quasi-Poisson standard error; Student's t with \
         n − 2 degrees of freedom"
        ),
    )?;
    if error.is_some() {
        trend.line = line(rows, &design, &fit, dispersion, level)?;
    }
    Ok(trend)
}

/// The fitted rate at each time: exp(x'b), with the interval of x'b by x'Cx times the dispersion, brought back by exp.
///
/// Source: McCullagh & Nelder 1989, Generalized Linear Models, section 2.5 (the covariance of the coefficients; from memory).
fn line(
    rows: &[SeasonRow],
    design: &Design,
    fit: &Fit,
    dispersion: f64,
    level: f64,
) -> Result<Vec<(f64, Estimate)>, Refusal> {
    let mut times: Vec<f64> = rows.iter().map(|row| row.time).collect();
    times.sort_by(f64::total_cmp);
    let centred: Vec<f64> = design
        .rows
        .iter()
        .filter_map(|row| row.get(1).copied())
        .collect();
    let degrees = rows.len() as f64 - 2.0;
    let reach = student_critical(level, degrees);
    let mut all: Vec<(f64, Estimate)> = Vec::new();
    // The design's rows are sorted by time too.
    for (time, centred) in times.into_iter().zip(centred) {
        if all.last().is_some_and(|(last, _)| *last == time) {
            continue;
        }
        let Some((log, variance)) = fit.at(&[1.0, centred]) else {
            continue;
        };
        let error = (variance * dispersion).sqrt();
        let mut estimate = Estimate::bare(
            log.exp(),
            rows.len(),
            words!(
                "fitted rate of the log-linear trend; Student's t on the logarithm with n − 2 degrees of freedom"
            ),
        );
        estimate.standard_error = Some(log.exp() * error);
        estimate.degrees_of_freedom = Some(degrees);
        estimate.interval = Some(Interval {
            lower: (log - reach * error).exp(),
            upper: (log + reach * error).exp(),
            level,
        });
        all.push((time, estimate.checked()?));
    }
    Ok(all)
}

/// Log-linear trend of whole counts with negative binomial variance, Student's t with n − 2
/// degrees of freedom widened by √(n ÷ (n − 2)), to set beside [`trend_quasi_poisson`]. Covers
/// more than its level where counts are nearly even.
///
/// Refuses what that refuses, amounts that are no whole counts, and counts that vary no more
/// than chance alone makes them (then the other one serves).
///
/// Source: Venables & Ripley 2002, Modern Applied Statistics with S, section 7.4 (from memory).
pub fn trend_negative_binomial(rows: &[SeasonRow], level: f64) -> Result<Trend, Refusal> {
    let design = design(rows, level)?;
    if rows.iter().any(|row| row.amount.fract() != 0.0) {
        return Err(Refusal::new(words!(
            "This trend is for whole counts; weights and the like need the other one."
        )));
    }
    let (fit, theta) = negative_binomial(&design).ok_or_else(|| {
        Refusal::new(words!(
            "The counts vary no more about the trend than chance alone makes them, so this \
             model adds nothing."
        ))
    })?;
    let variance = Variance::NegativeBinomial(theta);
    let dispersion = fit.pearson(&design.response, variance) / (rows.len() as f64 - 2.0);
    build(
        rows,
        fit.coefficients.get(1).copied().unwrap_or(f64::NAN),
        fit.error(1),
        level,
        dispersion,
        Some(theta),
        words!(
            "log-linear trend with effort as offset; negative binomial standard error; Student's t \
         with n − 2 degrees of freedom, widened by √(n ÷ (n − 2)) for few seasons"
        ),
    )
}

fn unsettled() -> Refusal {
    Refusal::new(words!(
        "No line fits these seasons: what was taken is too uneven, such as nothing at all at one \
         end."
    ))
}

fn design(rows: &[SeasonRow], level: f64) -> Result<Design, Refusal> {
    check_level(level)?;
    let usable = |row: &SeasonRow| {
        row.time.is_finite()
            && row.amount.is_finite()
            && row.amount >= 0.0
            && row.effort.is_finite()
            && row.effort > 0.0
    };
    if let Some(index) = rows.iter().position(|row| !usable(row)) {
        return Err(Refusal::new(words!(
            "Row {number} lacks a time, an amount of zero or more, or an effort above zero.",
            number = index + 1
        )));
    }
    let mut sorted = rows.to_vec();
    // A fixed order, so that the order of the input changes nothing.
    sorted.sort_by(|a, b| {
        a.time
            .total_cmp(&b.time)
            .then(a.amount.total_cmp(&b.amount))
            .then(a.effort.total_cmp(&b.effort))
    });
    let mut times: Vec<f64> = sorted.iter().map(|row| row.time).collect();
    let centre = mean(&times).unwrap_or(0.0);
    times.dedup();
    if times.len() < 3 {
        return Err(Refusal::new(words!(
            "A trend needs at least three seasons: two always lie on a line."
        )));
    }
    if sorted.iter().all(|row| row.amount == 0.0) {
        return Err(Refusal::new(words!(
            "Nothing was taken in any season, so there is no rate to follow."
        )));
    }
    Ok(Design {
        rows: sorted
            .iter()
            .map(|row| vec![1.0, row.time - centre])
            .collect(),
        response: sorted.iter().map(|row| row.amount).collect(),
        offset: sorted.iter().map(|row| row.effort.ln()).collect(),
    })
}

fn build(
    rows: &[SeasonRow],
    slope: f64,
    error: Option<f64>,
    level: f64,
    dispersion: f64,
    theta: Option<f64>,
    method: Words,
) -> Result<Trend, Refusal> {
    let degrees = rows.len() as f64 - 2.0;
    let per_cent = |slope: f64| 100.0 * slope.exp_m1();
    let mut on_log = Estimate::bare(slope, rows.len(), &method);
    let mut change = Estimate::bare(per_cent(slope), rows.len(), &method);
    match error {
        Some(error) => {
            // θ by maximum likelihood is fitted without regard to the two coefficients, which
            // makes few counts look too even: the factor gives the two rows back.
            let small = theta.map_or(1.0, |_| (rows.len() as f64 / degrees).sqrt());
            let reach = student_critical(level, degrees) * error * small;
            on_log.standard_error = Some(error);
            change.standard_error = Some(100.0 * slope.exp() * error);
            on_log.interval = Some(Interval {
                lower: slope - reach,
                upper: slope + reach,
                level,
            });
            change.interval = Some(Interval {
                lower: per_cent(slope - reach),
                upper: per_cent(slope + reach),
                level,
            });
        }
        None => change.caution.push(words!(
            "The seasons lie exactly on the trend, which is no proof of certainty: there is no \
             interval."
        )),
    }
    on_log.degrees_of_freedom = Some(degrees);
    change.degrees_of_freedom = Some(degrees);
    if change
        .interval
        .is_some_and(|interval| !interval.upper.is_finite())
    {
        change.interval = None;
        change.caution.push(words!(
            "The uncertainty is so large that no interval can be computed."
        ));
    }
    on_log.caution.clone_from(&change.caution);
    if !dispersion.is_finite() {
        return Err(unsettled());
    }
    Ok(Trend {
        change: change.checked()?,
        slope: on_log.checked()?,
        dispersion,
        theta,
        line: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows() -> Vec<SeasonRow> {
        [
            (2019.0, 410.0, 120.0),
            (2020.0, 395.0, 150.0),
            (2021.0, 260.0, 135.0),
            (2022.0, 290.0, 180.0),
            (2023.0, 150.0, 160.0),
        ]
        .map(|(time, amount, effort)| SeasonRow {
            time,
            amount,
            effort,
        })
        .to_vec()
    }

    /// R 4.2: glm(y ~ t + offset(log(e)), quasipoisson) on the made-up rows above.
    #[test]
    fn quasi_poisson_as_in_r() {
        let trend = trend_quasi_poisson(&rows(), 0.95).unwrap();
        assert!((trend.slope.value + 0.294_360_257).abs() < 1e-8);
        assert!((trend.slope.standard_error.unwrap() - 0.028_189_322).abs() < 1e-8);
        assert!((trend.dispersion - 2.192_664_604).abs() < 1e-7);
        assert!((trend.change.value + 25.499_199_5).abs() < 1e-5);
        let interval = trend.change.interval.unwrap();
        assert!((interval.lower + 31.891_711).abs() < 1e-5, "{interval:?}");
        assert!((interval.upper + 18.506_690).abs() < 1e-5, "{interval:?}");
    }

    /// The line at the mean effort-weighted year passes through the data: with an intercept, fitted amounts add up to those taken
    /// (McCullagh & Nelder 1989, section 4.4, from memory), and its steps are the trend's change.
    #[test]
    fn the_line_adds_up_to_what_was_taken_and_steps_as_the_trend_says() {
        let rows = rows();
        let trend = trend_quasi_poisson(&rows, 0.95).unwrap();
        assert_eq!(trend.line.len(), 5);
        let fitted: f64 = trend
            .line
            .iter()
            .zip(&rows)
            .map(|((_, rate), row)| rate.value * row.effort)
            .sum();
        assert!((fitted - 1505.0).abs() < 1e-6, "{fitted}");
        let step = trend.line[1].1.value / trend.line[0].1.value;
        assert!((100.0 * (step - 1.0) - trend.change.value).abs() < 1e-9);
        let width = |index: usize| {
            let interval = trend.line[index].1.interval.unwrap();
            (interval.upper / interval.lower).ln()
        };
        assert!(width(0) > width(1) && width(4) > width(2));
    }

    /// R 4.2: MASS glm.nb(y ~ t + offset(log(e))) on made-up rows.
    #[test]
    fn negative_binomial_as_in_r() {
        let amounts = [300.0, 120.0, 260.0, 90.0, 200.0, 60.0, 150.0, 20.0];
        let efforts = [100.0, 90.0, 120.0, 80.0, 110.0, 100.0, 95.0, 105.0];
        let rows: Vec<SeasonRow> = (0..8)
            .map(|year| SeasonRow {
                time: 2016.0 + year as f64,
                amount: amounts[year],
                effort: efforts[year],
            })
            .collect();
        let trend = trend_negative_binomial(&rows, 0.95).unwrap();
        assert!((trend.slope.value + 0.201_084_925).abs() < 1e-7);
        assert!((trend.slope.standard_error.unwrap() - 0.080_707_041).abs() < 1e-7);
        assert!((trend.theta.unwrap() - 3.776_574_3).abs() < 1e-5);
    }

    #[test]
    fn two_seasons_or_nothing_taken_are_refused() {
        assert!(trend_quasi_poisson(&rows()[..2], 0.95).is_err());
        let mut same = rows();
        same.iter_mut().for_each(|row| row.time = 2020.0);
        assert!(trend_quasi_poisson(&same, 0.95).is_err());
        let mut none = rows();
        none.iter_mut().for_each(|row| row.amount = 0.0);
        assert!(trend_quasi_poisson(&none, 0.95).is_err());
        let mut idle = rows();
        idle[1].effort = 0.0;
        assert!(trend_quasi_poisson(&idle, 0.95).is_err());
    }

    #[test]
    fn rows_on_a_line_give_no_interval() {
        let exact: Vec<SeasonRow> = (0..4)
            .map(|year| SeasonRow {
                time: f64::from(year),
                amount: 80.0 * 0.5_f64.powi(year),
                effort: 1.0,
            })
            .collect();
        let trend = trend_quasi_poisson(&exact, 0.95).unwrap();
        assert!((trend.change.value + 50.0).abs() < 1e-9);
        assert_eq!(trend.change.interval, None);
    }

    #[test]
    fn a_last_season_without_anything_is_no_panic() {
        let mut empty = rows();
        empty[4].amount = 0.0;
        empty[3].amount = 0.0;
        let _ = trend_quasi_poisson(&empty, 0.95);
        let one = [(1.0, 5.0), (2.0, 0.0), (3.0, 0.0)].map(|(time, amount)| SeasonRow {
            time,
            amount,
            effort: 1.0,
        });
        let _ = trend_quasi_poisson(&one, 0.95);
        let _ = trend_negative_binomial(&one, 0.95);
    }

    #[test]
    fn weights_are_no_counts() {
        let mut weights = rows();
        weights[0].amount = 410.5;
        assert!(trend_negative_binomial(&weights, 0.95).is_err());
        assert!(trend_quasi_poisson(&weights, 0.95).is_ok());
    }
}
