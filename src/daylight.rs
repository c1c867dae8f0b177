//! When the sun rises and sets.
//!
//! Takes a day and a position, gives moments in UTC. Knows no season and reads no clock. The formula is the one of the Almanac for
//! Computers, 1990 (Nautical Almanac Office, U.S. Naval Observatory), pages B5 to B8: good to a minute or two below the polar circles.

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Utc};

/// How far below the zenith the sun's centre stands at a limit of the day, in degrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The upper rim on the horizon, refraction included: 90° 50′.
    Sunrise,
    /// Civil twilight, in which outdoor work is still possible: 96°.
    CivilTwilight,
}

impl Limit {
    fn zenith(self) -> f64 {
        match self {
            Limit::Sunrise => 90.0 + 50.0 / 60.0,
            Limit::CivilTwilight => 96.0,
        }
    }
}

/// A day's light at a position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Light {
    Between {
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    },
    /// The sun stays above the limit all day.
    Always,
    /// The sun stays below it.
    Never,
}

impl Light {
    /// Hours of light, 0 to 24.
    pub fn hours(self) -> f64 {
        match self {
            Light::Between { from, to } => (to - from).num_seconds() as f64 / 3600.0,
            Light::Always => 24.0,
            Light::Never => 0.0,
        }
    }
}

/// The light of a day by the local calendar; latitude and longitude in degrees, north and east positive.
pub fn light(day: NaiveDate, latitude: f64, longitude: f64, limit: Limit) -> Light {
    match (
        moment(day, latitude, longitude, limit, true),
        moment(day, latitude, longitude, limit, false),
    ) {
        (Ok(from), Ok(to)) if to > from => Light::Between { from, to },
        (Err(always), _) | (_, Err(always)) if always => Light::Always,
        _ => Light::Never,
    }
}

/// Sunrise or sunset; where there is none, whether the sun is up all day.
fn moment(
    day: NaiveDate,
    latitude: f64,
    longitude: f64,
    limit: Limit,
    rising: bool,
) -> Result<DateTime<Utc>, bool> {
    let sin = |degrees: f64| degrees.to_radians().sin();
    let cos = |degrees: f64| degrees.to_radians().cos();
    // 15 degrees of longitude are an hour.
    let east_hours = longitude / 15.0;
    let about = if rising { 6.0 } else { 18.0 };
    let days = f64::from(day.ordinal()) + (about - east_hours) / 24.0;
    let anomaly = 0.9856 * days - 3.289;
    let true_longitude =
        (anomaly + 1.916 * sin(anomaly) + 0.020 * sin(2.0 * anomaly) + 282.634).rem_euclid(360.0);
    // The right ascension lies in the quadrant of the longitude, which the two-argument arc tangent keeps.
    let ascension_hours = (0.91764 * sin(true_longitude))
        .atan2(cos(true_longitude))
        .to_degrees()
        .rem_euclid(360.0)
        / 15.0;
    let sin_declination = 0.39782 * sin(true_longitude);
    let cos_declination = sin_declination.asin().cos();
    let cos_hour_angle =
        (cos(limit.zenith()) - sin_declination * sin(latitude)) / (cos_declination * cos(latitude));
    if !cos_hour_angle.is_finite() || cos_hour_angle > 1.0 {
        return Err(false);
    }
    if cos_hour_angle < -1.0 {
        return Err(true);
    }
    let half = cos_hour_angle.acos().to_degrees();
    let hour_angle = if rising { 360.0 - half } else { half } / 15.0;
    let local_mean = (hour_angle + ascension_hours - 0.06571 * days - 6.622).rem_euclid(24.0);
    let seconds = ((local_mean - east_hours) * 3600.0).round();
    let midnight = day.and_time(chrono::NaiveTime::MIN).and_utc();
    // Two days of seconds at most.
    midnight
        .checked_add_signed(TimeDelta::seconds(seconds as i64))
        .ok_or(false)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    fn hours(of: NaiveDate, moment: DateTime<Utc>) -> f64 {
        (moment - of.and_time(chrono::NaiveTime::MIN).and_utc()).num_seconds() as f64 / 3600.0
    }

    #[test]
    fn the_almanacs_worked_example() {
        // Almanac for Computers 1990, page B7: 25 June, 40.9° N, 74.3° W, sunrise at 9.441 h UT (5:26 summer time). From memory.
        let of = day(1990, 6, 25);
        let Light::Between { from, .. } = light(of, 40.9, -74.3, Limit::Sunrise) else {
            panic!("the sun rises there");
        };
        assert!((hours(of, from) - 9.441).abs() < 0.005);
    }

    #[test]
    fn the_tables_of_sunrise_and_sunset() {
        // The Astronomical Almanac, section A, sunrise and sunset on the meridian of Greenwich, to the minute; from memory.
        for (date, latitude, rise, set) in [
            (day(2025, 6, 21), 40.0, (4, 31), (19, 33)),
            (day(2025, 6, 21), 0.0, (5, 58), (18, 6)),
            (day(2025, 12, 22), 40.0, (7, 19), (16, 38)),
        ] {
            let Light::Between { from, to } = light(date, latitude, 0.0, Limit::Sunrise) else {
                panic!("the sun rises there");
            };
            let clock = |(hour, minute): (i32, i32)| f64::from(hour) + f64::from(minute) / 60.0;
            let two_minutes = 2.0 / 60.0;
            assert!(
                (hours(date, from) - clock(rise)).abs() <= two_minutes,
                "{from}"
            );
            assert!((hours(date, to) - clock(set)).abs() <= two_minutes, "{to}");
        }
    }

    #[test]
    fn beyond_the_polar_circle_and_on_broken_positions() {
        assert_eq!(
            light(day(2025, 6, 21), 75.0, 20.0, Limit::Sunrise),
            Light::Always
        );
        assert_eq!(
            light(day(2025, 12, 21), 75.0, 20.0, Limit::Sunrise),
            Light::Never
        );
        assert_eq!(
            light(day(2025, 6, 21), f64::NAN, 0.0, Limit::Sunrise),
            Light::Never
        );
    }
}
