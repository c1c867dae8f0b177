//! How far a camera's clock stood from true time.
//!
//! Takes pairs of times of one camera: when the camera says that it took a photo, and what the satellites said in the
//! same photo. Gives the median difference, its spread, and what it looks like. Must not change any time.
//!
//! A phone writes the time of its last satellite fix, which may be a minute or so old (common practice, no source):
//! a sound clock is therefore a little ahead of it, never behind by much.

use chrono::{DateTime, TimeDelta, Utc};
use serde::Serialize;

/// Up to here a clock counts as right: the age of a fix, and the hand that set the clock.
const TOLERANCE: TimeDelta = TimeDelta::minutes(2);

/// Beyond this, a difference is no matter of zones: these lie at most 26 hours apart (UTC-12 to UTC+14).
const MOST_ZONES_APART: TimeDelta = TimeDelta::hours(26);

/// The navigation message of GPS counts weeks in ten bits, so that a receiver may take a week for the one 1024 weeks
/// earlier (Interface Specification IS-GPS-200, section 20.3.3.3.1.1; from memory). The camera's clock then seems far ahead.
const ROLL_OVER: TimeDelta = TimeDelta::weeks(1024);

/// How a camera's clock compares with the satellites' time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drift {
    /// Number of photos compared.
    pub photos: usize,
    /// Median of camera time less satellite time, in seconds: positive when the camera is ahead.
    pub median_seconds: f64,
    /// Median distance of the single differences from that median, in seconds.
    pub spread_seconds: f64,
    /// Ends in seconds of an interval that holds the true median with 95 % confidence; `None` for fewer than six photos, which
    /// carry none.
    pub interval_seconds: Option<(f64, f64)>,
    /// What the difference looks like.
    pub cause: Cause,
}

/// What a difference between two clocks looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Cause {
    /// No more than two minutes: the clock was right.
    Right,
    /// Whole or half hours, give or take two minutes: the camera was set to another zone, or its daylight-saving time was
    /// wrong. Minutes, a multiple of 30, positive when the camera is ahead.
    Zone { minutes: i64 },
    /// Less than a day, and no whole or half hours: the clock was set badly or has run away.
    Minutes,
    /// More than a day: the date was set wrongly, or never.
    Days,
    /// 1024 weeks ahead: it is the satellite receiver that has the wrong date.
    WeekRollOver,
    /// The differences don't agree with each other, so that no one correction serves. The clock may have been set
    /// between the photos, or some satellite times may be old.
    Unsteady,
}

/// Compares a camera's clock with the satellites' time, from `(camera, satellite)` pairs of the same photos.
///
/// `None` without any pair.
pub fn drift(pairs: &[(DateTime<Utc>, DateTime<Utc>)]) -> Option<Drift> {
    let differences: Vec<TimeDelta> = pairs
        .iter()
        .map(|(camera, satellite)| camera.signed_duration_since(satellite))
        .collect();
    let median = median(differences.clone())?;
    let distances = differences
        .iter()
        .map(|difference| (*difference - median).abs())
        .collect();
    let spread = self::median(distances)?;
    let cause = if spread > TOLERANCE {
        Cause::Unsteady
    } else {
        cause(median)
    };
    Some(Drift {
        photos: pairs.len(),
        interval_seconds: median_interval(&differences),
        median_seconds: seconds(median),
        spread_seconds: seconds(spread),
        cause,
    })
}

/// The median of differences in seconds, with an interval of 95 % confidence where there are six or more; `None` of nothing.
pub fn median_with_interval(differences: &[TimeDelta]) -> Option<(f64, Option<(f64, f64)>)> {
    let median = seconds(median(differences.to_vec())?);
    Some((median, median_interval(differences)))
}

/// What a steady difference looks like.
pub fn cause(difference: TimeDelta) -> Cause {
    if difference.abs() <= TOLERANCE {
        return Cause::Right;
    }
    if (difference - ROLL_OVER).abs() <= MOST_ZONES_APART {
        return Cause::WeekRollOver;
    }
    if difference.abs() > MOST_ZONES_APART {
        return Cause::Days;
    }
    // Zones lie whole or half hours apart, but for a few islands and mountains.
    let minutes = 30 * (seconds(difference) / 1800.0).round() as i64;
    if (difference - TimeDelta::minutes(minutes)).abs() <= TOLERANCE {
        // A whole day is reached by setting the date wrongly far more often than by zones a day apart.
        return if minutes.abs() >= 24 * 60 {
            Cause::Days
        } else {
            Cause::Zone { minutes }
        };
    }
    if difference.abs() >= TimeDelta::days(1) {
        Cause::Days
    } else {
        Cause::Minutes
    }
}

fn seconds(difference: TimeDelta) -> f64 {
    // Times of four-digit years lie less than 2^53 ms apart, so that nothing is lost.
    difference.num_milliseconds() as f64 / 1000.0
}

/// An interval of at least 95 % confidence for the median, whatever the distribution: from the k-th smallest to the k-th largest
/// value, where k is the largest for which fewer than k of n fall on one side of the median with a chance of at most 2.5 %
/// (Conover 1999, Practical nonparametric statistics, 3rd edition, section 3.2; from memory).
fn median_interval(values: &[TimeDelta]) -> Option<(f64, f64)> {
    let mut values: Vec<TimeDelta> = values.to_vec();
    values.sort();
    let n = values.len();
    // Chance of exactly `k` of `n` below the median, by logarithms so that a thousand photos underflow nothing.
    let mut chance = -(n as f64) * std::f64::consts::LN_2;
    let mut below = 0.0;
    let mut k = 0;
    loop {
        below += chance.exp();
        if below > 0.025 || k >= n {
            break;
        }
        chance += ((n - k) as f64).ln() - ((k + 1) as f64).ln();
        k += 1;
    }
    let low = values.get(k.checked_sub(1)?)?;
    let high = values.get(n.checked_sub(k)?)?;
    Some((seconds(*low), seconds(*high)))
}

/// The middle value; the mean of the two middle ones if the number is even.
fn median(mut values: Vec<TimeDelta>) -> Option<TimeDelta> {
    values.sort();
    let middle = values.len() / 2;
    let upper = *values.get(middle)?;
    if values.len() % 2 == 1 {
        return Some(upper);
    }
    let lower = *values.get(middle.checked_sub(1)?)?;
    Some(lower + (upper - lower) / 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pairs whose camera is so many seconds ahead.
    fn ahead(seconds: &[i64]) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
        let satellite: DateTime<Utc> = "2025-07-12T13:30:00Z".parse().unwrap();
        seconds
            .iter()
            .zip(0..)
            .map(|(&ahead, photo)| {
                let satellite = satellite + TimeDelta::minutes(photo);
                (satellite + TimeDelta::seconds(ahead), satellite)
            })
            .collect()
    }

    #[test]
    fn the_median_ignores_one_stale_fix() {
        let drift = drift(&ahead(&[1, 0, 2, 1, 4000])).unwrap();
        assert_eq!(drift.photos, 5);
        assert_eq!(drift.median_seconds, 1.0);
        assert_eq!(drift.spread_seconds, 1.0);
        assert_eq!(drift.cause, Cause::Right);
    }

    #[test]
    fn an_even_number_takes_the_mean_of_the_middle() {
        let drift = drift(&ahead(&[10, 13])).unwrap();
        assert_eq!((drift.median_seconds, drift.spread_seconds), (11.5, 1.5));
        assert!(super::drift(&[]).is_none());
    }

    #[test]
    fn causes_are_told_apart() {
        for (seconds, expected) in [
            (0, Cause::Right),
            (120, Cause::Right),
            (-120, Cause::Right),
            (121, Cause::Minutes),
            (-17 * 60, Cause::Minutes),
            (3600 + 60, Cause::Zone { minutes: 60 }),
            (-3600 - 120, Cause::Zone { minutes: -60 }),
            (3600 + 121, Cause::Minutes),
            (5 * 3600 + 1800, Cause::Zone { minutes: 330 }),
            (4 * 3600 - 30, Cause::Zone { minutes: 240 }),
            (23 * 3600, Cause::Zone { minutes: 1380 }),
            (24 * 3600, Cause::Days),
            (25 * 3600 + 1800, Cause::Days),
            (-400 * 86_400, Cause::Days),
            (1024 * 7 * 86_400 + 3600, Cause::WeekRollOver),
            (-1024 * 7 * 86_400, Cause::Days),
        ] {
            let drift = drift(&ahead(&[seconds; 3])).unwrap();
            assert_eq!(drift.cause, expected, "{seconds}");
            assert_eq!(drift.median_seconds, seconds as f64);
            assert_eq!(drift.spread_seconds, 0.0);
        }
    }

    #[test]
    fn an_interval_needs_six_photos_and_leaves_out_strays() {
        let interval = |seconds: &[i64]| drift(&ahead(seconds)).unwrap().interval_seconds;
        assert_eq!(interval(&[1, 2, 3, 4, 5]), None);
        // Six: from the least to the greatest, with 1 - 2/64 = 96.9 % confidence.
        assert_eq!(interval(&[1, 2, 3, 4, 5, 6]), Some((1.0, 6.0)));
        // Ten: the second and the ninth (Conover 1999, table A3; from memory), 97.9 %.
        assert_eq!(
            interval(&[1, 2, 3, 4, 5, 6, 7, 8, 9, 5000]),
            Some((2.0, 9.0))
        );
        assert!(interval(&vec![7; 5000]).is_some());
    }

    #[test]
    fn a_clock_set_between_photos_is_unsteady() {
        let drift = drift(&ahead(&[0, 0, 3600, 3600])).unwrap();
        assert_eq!(drift.cause, Cause::Unsteady);
    }

    #[test]
    fn the_ends_of_time_do_not_overflow() {
        let pair = (DateTime::<Utc>::MAX_UTC, DateTime::<Utc>::MIN_UTC);
        assert_eq!(drift(&[pair, pair]).unwrap().cause, Cause::Days);
    }
}
