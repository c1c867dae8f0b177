//! Log-linear models for counts and amounts, with an offset, by weighted least squares.
//!
//! Takes a design matrix, responses and offsets; gives coefficients with their covariance up to
//! dispersion. Serves the trend and the density; knows neither.

use statrs::function::gamma::digamma;

use super::distribution::turning_point;
use super::number::sum;

/// How the variance grows with the mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Variance {
    /// In proportion to the mean.
    Poisson,
    /// mean + mean² ÷ θ.
    NegativeBinomial(f64),
}

/// Rows of covariates with a response and a known logarithm of exposure each: three lists of one
/// length, all rows of one width. The indices below stay within these lengths, which are private
/// to this room and built in one place for each model.
#[derive(Debug, Clone, Default)]
pub struct Design {
    pub rows: Vec<Vec<f64>>,
    pub response: Vec<f64>,
    pub offset: Vec<f64>,
}

#[derive(Debug, Clone)]
pub struct Fit {
    pub coefficients: Vec<f64>,
    /// Inverse of X'WX: the covariance for a dispersion of 1.
    pub covariance: Vec<Vec<f64>>,
    pub fitted: Vec<f64>,
}

impl Fit {
    /// Standard error of a coefficient for a dispersion of 1.
    pub fn error(&self, coefficient: usize) -> Option<f64> {
        let variance = *self.covariance.get(coefficient)?.get(coefficient)?;
        (variance.is_finite() && variance >= 0.0).then(|| variance.sqrt())
    }

    /// Linear predictor at a row of covariates, without offset, and its variance for a dispersion of 1; `None` where either is no
    /// number.
    pub fn at(&self, row: &[f64]) -> Option<(f64, f64)> {
        let log = sum(row.iter().zip(&self.coefficients).map(|(x, b)| x * b));
        let variance = sum(row.iter().zip(&self.covariance).flat_map(|(a, line)| {
            row.iter()
                .zip(line)
                .map(move |(b, covariance)| a * b * covariance)
        }));
        (log.is_finite() && variance.is_finite() && variance >= 0.0).then_some((log, variance))
    }

    /// Pearson's statistic Σ (y − μ)² ÷ V(μ).
    pub fn pearson(&self, response: &[f64], variance: Variance) -> f64 {
        sum(response.iter().zip(&self.fitted).map(|(y, mean)| {
            let spread = match variance {
                Variance::Poisson => *mean,
                Variance::NegativeBinomial(theta) => mean + mean * mean / theta,
            };
            (y - mean).powi(2) / spread
        }))
    }
}

/// Steps after which a fit that still moves is given up.
const STEPS: usize = 200;
/// Largest linear predictor worth following: beyond it a coefficient runs away, as it does when
/// a whole season has nothing.
const LARGEST: f64 = 300.0;

/// Maximum likelihood by iterated weighted least squares; `None` where it does not settle.
///
/// Source: McCullagh & Nelder 1989, Generalized Linear Models, section 2.5 (from memory).
pub fn fit(design: &Design, variance: Variance) -> Option<Fit> {
    let typical = sum(design.response.iter().copied()) / design.response.len() as f64;
    let mut predictor: Vec<f64> = design
        .response
        .iter()
        .map(|y| (0.5 * (y + typical)).ln())
        .collect();
    let mut coefficients: Vec<f64> = Vec::new();
    for _ in 0..STEPS {
        let fitted: Vec<f64> = predictor.iter().map(|eta| eta.exp()).collect();
        let weight = |mean: f64| match variance {
            Variance::Poisson => mean,
            Variance::NegativeBinomial(theta) => mean / (1.0 + mean / theta),
        };
        let weights: Vec<f64> = fitted.iter().map(|mean| weight(*mean)).collect();
        let working: Vec<f64> = (0..fitted.len())
            .map(|row| {
                predictor[row] - design.offset[row]
                    + (design.response[row] - fitted[row]) / fitted[row]
            })
            .collect();
        let (next, covariance) = weighted_least_squares(&design.rows, &working, &weights)?;
        predictor = design
            .rows
            .iter()
            .zip(&design.offset)
            .map(|(row, offset)| offset + row.iter().zip(&next).map(|(x, b)| x * b).sum::<f64>())
            .collect();
        if !predictor.iter().all(|eta| eta.abs() < LARGEST) {
            return None;
        }
        let settled = coefficients.len() == next.len()
            && next
                .iter()
                .zip(&coefficients)
                .all(|(new, old)| (new - old).abs() <= 1e-12 * (1.0 + new.abs()));
        coefficients = next;
        if settled {
            return Some(Fit {
                coefficients,
                covariance,
                fitted: predictor.iter().map(|eta| eta.exp()).collect(),
            });
        }
    }
    None
}

/// Coefficients and (X'WX)⁻¹; `None` where the columns say the same twice.
fn weighted_least_squares(
    rows: &[Vec<f64>],
    response: &[f64],
    weights: &[f64],
) -> Option<(Vec<f64>, Vec<Vec<f64>>)> {
    let width = rows.first()?.len();
    let mut matrix = vec![vec![0.0; width]; width];
    let mut right = vec![0.0; width];
    for ((row, y), weight) in rows.iter().zip(response).zip(weights) {
        for (i, a) in row.iter().enumerate() {
            right[i] += weight * a * y;
            for (j, b) in row.iter().enumerate() {
                matrix[i][j] += weight * a * b;
            }
        }
    }
    let inverse = inverse(matrix)?;
    let coefficients = inverse
        .iter()
        .map(|line| line.iter().zip(&right).map(|(a, b)| a * b).sum())
        .collect();
    Some((coefficients, inverse))
}

/// Inverse of a symmetric positive matrix by Gauss–Jordan elimination with pivoting. Indices run
/// over the width of a square matrix that the caller has just built.
fn inverse(mut matrix: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let width = matrix.len();
    let scale = matrix
        .iter()
        .flatten()
        .fold(0.0_f64, |largest, value| largest.max(value.abs()));
    let mut inverse: Vec<Vec<f64>> = (0..width)
        .map(|i| (0..width).map(|j| if i == j { 1.0 } else { 0.0 }).collect())
        .collect();
    for column in 0..width {
        let pivot = (column..width).max_by(|a, b| {
            matrix[*a][column]
                .abs()
                .total_cmp(&matrix[*b][column].abs())
        })?;
        let size = matrix[pivot][column].abs();
        if size.is_nan() || size <= 1e-14 * scale {
            return None;
        }
        matrix.swap(column, pivot);
        inverse.swap(column, pivot);
        let divisor = matrix[column][column];
        for j in 0..width {
            matrix[column][j] /= divisor;
            inverse[column][j] /= divisor;
        }
        for i in (0..width).filter(|i| *i != column) {
            let factor = matrix[i][column];
            for j in 0..width {
                let (m, v) = (matrix[column][j], inverse[column][j]);
                matrix[i][j] -= factor * m;
                inverse[i][j] -= factor * v;
            }
        }
    }
    Some(inverse)
}

/// Beyond this θ the negative binomial is a Poisson to all purposes.
const POISSON_FROM: f64 = 1e6;

/// Most likely θ for given means; `None` where the counts vary no more than Poisson counts.
pub fn dispersion(counts: &[f64], means: &[f64]) -> Option<f64> {
    let score = |theta: f64| {
        sum(counts.iter().zip(means).map(|(y, mean)| {
            digamma(theta + y) - digamma(theta) + theta.ln() + 1.0
                - (theta + mean).ln()
                - (y + theta) / (mean + theta)
        }))
    };
    let lowest = 1e-6_f64;
    if score(POISSON_FROM) >= 0.0 || score(lowest) <= 0.0 {
        return None;
    }
    let log = turning_point(lowest.ln(), POISSON_FROM.ln(), |log| score(log.exp()) < 0.0);
    Some(log.exp())
}

/// Large-sample standard error of θ from its observed information.
pub fn dispersion_error(counts: &[f64], means: &[f64], theta: f64) -> Option<f64> {
    let information = sum(counts.iter().zip(means).map(|(y, mean)| {
        trigamma(theta) - trigamma(theta + y) - 1.0 / theta + 2.0 / (mean + theta)
            - (y + theta) / (mean + theta).powi(2)
    }));
    (information > 0.0).then(|| 1.0 / information.sqrt())
}

/// Negative binomial regression: coefficients and θ in turn until both settle. `None` where
/// counts vary no more than Poisson counts, or nothing settles.
///
/// Source: Venables & Ripley 2002, Modern Applied Statistics with S, section 7.4 (from memory).
pub fn negative_binomial(design: &Design) -> Option<(Fit, f64)> {
    let first = fit(design, Variance::Poisson)?;
    let mut theta = dispersion(&design.response, &first.fitted)?;
    for _ in 0..STEPS {
        let current = fit(design, Variance::NegativeBinomial(theta))?;
        let next = dispersion(&design.response, &current.fitted)?;
        if (next - theta).abs() <= 1e-10 * theta {
            return Some((current, next));
        }
        theta = next;
    }
    None
}

/// Second derivative of ln Γ, x > 0: shifted up by recurrence, then its asymptotic series.
///
/// Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 6.4.6 and 6.4.12.
fn trigamma(mut x: f64) -> f64 {
    let mut total = 0.0;
    while x < 20.0 {
        total += 1.0 / (x * x);
        x += 1.0;
    }
    let inverse = 1.0 / (x * x);
    total
        + 1.0 / x
        + 0.5 * inverse
        + inverse / x * (1.0 / 6.0 - inverse * (1.0 / 30.0 - inverse / 42.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::reference::*;

    fn close(found: f64, expected: f64, tolerance: f64) {
        assert!(
            (found - expected).abs() <= tolerance,
            "{found} is not {expected}"
        );
    }

    /// MASS ships (McCullagh & Nelder 1989, section 6.3): type, year of building, period of
    /// service, months of service, damages; months above zero.
    const SHIPS: [(usize, usize, usize, f64, f64); 34] = [
        (0, 0, 0, 127.0, 0.0),
        (0, 0, 1, 63.0, 0.0),
        (0, 1, 0, 1095.0, 3.0),
        (0, 1, 1, 1095.0, 4.0),
        (0, 2, 0, 1512.0, 6.0),
        (0, 2, 1, 3353.0, 18.0),
        (0, 3, 1, 2244.0, 11.0),
        (1, 0, 0, 44882.0, 39.0),
        (1, 0, 1, 17176.0, 29.0),
        (1, 1, 0, 28609.0, 58.0),
        (1, 1, 1, 20370.0, 53.0),
        (1, 2, 0, 7064.0, 12.0),
        (1, 2, 1, 13099.0, 44.0),
        (1, 3, 1, 7117.0, 18.0),
        (2, 0, 0, 1179.0, 1.0),
        (2, 0, 1, 552.0, 1.0),
        (2, 1, 0, 781.0, 0.0),
        (2, 1, 1, 676.0, 1.0),
        (2, 2, 0, 783.0, 6.0),
        (2, 2, 1, 1948.0, 2.0),
        (2, 3, 1, 274.0, 1.0),
        (3, 0, 0, 251.0, 0.0),
        (3, 0, 1, 105.0, 0.0),
        (3, 1, 0, 288.0, 0.0),
        (3, 1, 1, 192.0, 0.0),
        (3, 2, 0, 349.0, 2.0),
        (3, 2, 1, 1208.0, 11.0),
        (3, 3, 1, 2051.0, 4.0),
        (4, 0, 0, 45.0, 0.0),
        (4, 1, 0, 789.0, 7.0),
        (4, 1, 1, 437.0, 7.0),
        (4, 2, 0, 1157.0, 5.0),
        (4, 2, 1, 2161.0, 12.0),
        (4, 3, 1, 542.0, 1.0),
    ];

    /// Quasi-Poisson with offset: dispersion 1.6910101, deviance 38.69505 on 25 degrees of
    /// freedom, intercept −6.4059016 (.2827618), later period .3844670 (.1537998): R glm with
    /// epsilon = 1e-15. At its own default R stops early and prints 1.6910277 (.2827632,
    /// .1538005).
    #[test]
    fn damage_to_ships() {
        let is = |found: usize, wanted: usize| f64::from(u8::from(found == wanted));
        let design = Design {
            rows: SHIPS
                .iter()
                .map(|(kind, year, period, ..)| {
                    let mut row = vec![1.0];
                    row.extend((1..5).map(|k| is(*kind, k)));
                    row.extend((1..4).map(|y| is(*year, y)));
                    row.push(is(*period, 1));
                    row
                })
                .collect(),
            response: SHIPS.iter().map(|ship| ship.4).collect(),
            offset: SHIPS.iter().map(|ship| ship.3.ln()).collect(),
        };
        let fit = fit(&design, Variance::Poisson).unwrap();
        let dispersion = fit.pearson(&design.response, Variance::Poisson) / 25.0;
        close(dispersion, 1.691_010_125, 1e-8);
        close(fit.coefficients[0], -6.405_901_561, 1e-8);
        close(fit.coefficients[8], 0.384_466_958_2, 1e-9);
        close(
            fit.error(0).unwrap() * dispersion.sqrt(),
            0.282_761_805,
            1e-8,
        );
        close(
            fit.error(8).unwrap() * dispersion.sqrt(),
            0.153_799_754,
            1e-8,
        );
        let deviance: f64 = design
            .response
            .iter()
            .zip(&fit.fitted)
            .map(|(y, m)| 2.0 * (if *y > 0.0 { y * (y / m).ln() } else { 0.0 } - (y - m)))
            .sum();
        close(deviance, 38.695_051_5, 1e-6);
    }

    /// MASS quine, Days ~ Sex/(Age + Eth*Lrn): theta 1.597991, intercept 3.0191882 (.2970622)
    /// (R glm.nb); standard error of theta .2128689 (R theta.ml with eps = 1e-12 at the fitted
    /// means; glm.nb's own stops a step early at .2128654).
    #[test]
    fn absence_from_school() {
        let rows: Vec<Vec<f64>> = ABSENCE_GROUPS
            .iter()
            .map(|code| {
                let (origin, sex) = (code / 1000, code / 100 % 10);
                let (age, learning) = (code / 10 % 10, code % 10);
                let mut row = vec![1.0, f64::from(sex)];
                for side in 0..2 {
                    let here = f64::from(u8::from(sex == side));
                    row.extend((1..4).map(|a| here * f64::from(u8::from(age == a))));
                    let (o, l) = (f64::from(origin), f64::from(learning));
                    row.extend([here * o, here * l, here * o * l]);
                }
                row
            })
            .collect();
        let design = Design {
            offset: vec![0.0; rows.len()],
            rows,
            response: reals(&ABSENCE_DAYS),
        };
        let (fit, theta) = negative_binomial(&design).unwrap();
        close(theta, 1.597_990_735, 1e-8);
        let error = dispersion_error(&design.response, &fit.fitted, theta).unwrap();
        close(error, 0.212_868_887, 1e-8);
        close(fit.coefficients[0], 3.019_188_19, 2e-6);
        close(fit.error(0).unwrap(), 0.297_062_2, 2e-6);
    }

    #[test]
    fn trigamma_at_one_is_pi_squared_over_six() {
        close(trigamma(1.0), std::f64::consts::PI.powi(2) / 6.0, 1e-13);
    }

    #[test]
    fn columns_that_repeat_each_other_do_not_settle() {
        let design = Design {
            rows: vec![vec![1.0, 2.0]; 4],
            response: vec![1.0, 2.0, 3.0, 4.0],
            offset: vec![0.0; 4],
        };
        assert!(fit(&design, Variance::Poisson).is_none());
    }
}
