//! A camera's clock against the hours of the pulls that it photographed, and against the other cameras that were there.
//!
//! Takes a season, gives what speaks against a clock that no satellite time can be held against. Each photo has a window in which it
//! should lie: the hours of its pull, or, where these are not logged, the time in which cameras with a sound clock took photos of the
//! same pull, or into the same folder. A clock is doubted only if most of its photos lie outside their windows and one correction brings
//! nearly all of them in. Must not correct anything.

use std::collections::BTreeMap;

use chrono::{NaiveDateTime, TimeDelta};

use super::clocks::{clock_error, clock_runs, timings};
use super::matching::hours;
use super::value::fold;
use super::{Pull, Season};
use crate::photo::clock;
use crate::shared::Shared;

/// Fewer photos than this carry no estimate: it is also what an interval of 95 % for a median takes.
const FEWEST: usize = 6;

/// A crew takes photos a while before it starts and after it ends (common practice, no source).
const AROUND_HOURS: TimeDelta = TimeDelta::minutes(30);

/// Other cameras' photos show only part of the time that the crew was there.
const AROUND_PHOTOS: TimeDelta = TimeDelta::minutes(60);

/// Photos in one folder are one outing's when the sound clocks among them span no more than this.
const LONGEST_OUTING: TimeDelta = TimeDelta::hours(12);

/// Zones lie at most this far apart, so that a wrong zone moves a photo no farther from its pull.
const MOST_ZONES_APART: TimeDelta = TimeDelta::hours(26);

/// One correction has to bring this share of the photos into their windows.
const FITTING_SHARE: f64 = 0.8;

/// A clock that does not fit its company.
#[derive(Debug, Clone, PartialEq)]
pub struct ByOthers {
    pub camera: String,
    /// Numbers of the photos that were compared.
    pub photos: Vec<usize>,
    /// How many lie in their windows as the clock is, and how many would with the suggestion.
    pub fitting_now: usize,
    pub fitting_then: usize,
    /// Median of the photos' differences from the middle of their windows in seconds, positive when the camera is ahead, with an
    /// interval of 95 %.
    pub median_s: f64,
    pub interval_s: Option<(f64, f64)>,
    /// All differences in seconds that bring as many photos into their windows.
    pub range_s: (f64, f64),
    /// The one of them that looks likeliest: whole hours if one is among them, else the middle.
    pub suggested_s: f64,
}

/// A photo's distance from the middle of its window, and half the window's width, in seconds.
#[derive(Debug, Clone, Copy)]
struct Offset {
    photo: usize,
    from_middle: f64,
    half: f64,
}

impl Offset {
    fn fits(&self, ahead: f64) -> bool {
        (self.from_middle - ahead).abs() <= self.half
    }
}

/// All clocks that don't fit their company, by camera.
pub fn clocks_by_others(season: &Season) -> Vec<ByOthers> {
    let timings = timings(season);
    let runs = clock_runs(&season.photos, &timings);
    let mut sound: Vec<(usize, NaiveDateTime)> = Vec::new();
    let mut asked: BTreeMap<String, Vec<(usize, NaiveDateTime)>> = BTreeMap::new();
    for (index, (photo, timing)) in season.photos.iter().zip(&timings).enumerate() {
        let (Some(camera), Some(local)) = (photo.device(), timing.local) else {
            continue;
        };
        if clock_error(photo, timing, &runs).is_some() {
            sound.push((index, local));
        }
        if !runs.contains_key(&camera) {
            asked.entry(camera).or_default().push((index, local));
        }
    }
    let company = Company::of(season, &sound);
    asked
        .into_iter()
        .filter_map(|(camera, photos)| {
            let offsets: Vec<Offset> = photos
                .iter()
                .filter_map(|&(photo, local)| company.offset(season, photo, local, &camera))
                .collect();
            judge(camera, &offsets)
        })
        .collect()
}

/// A span of time with the cameras that it rests on.
#[derive(Default)]
struct Spans(BTreeMap<String, BTreeMap<String, (NaiveDateTime, NaiveDateTime)>>);

impl Spans {
    fn add(&mut self, key: String, camera: String, local: NaiveDateTime) {
        self.0
            .entry(key)
            .or_default()
            .entry(camera)
            .and_modify(|(first, last)| {
                *first = local.min(*first);
                *last = local.max(*last);
            })
            .or_insert((local, local));
    }

    /// The span of all cameras but one.
    fn without(&self, key: &str, camera: &str) -> Option<(NaiveDateTime, NaiveDateTime)> {
        let others = self
            .0
            .get(key)?
            .iter()
            .filter(|(other, _)| *other != camera);
        others
            .map(|(_, span)| *span)
            .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }
}

/// What sound clocks tell of pulls and folders.
struct Company<'a> {
    pulls: BTreeMap<Shared, Vec<&'a Pull>>,
    by_id: BTreeMap<String, &'a Pull>,
    by_pull: Spans,
    by_folder: Spans,
}

impl<'a> Company<'a> {
    fn of(season: &'a Season, sound: &[(usize, NaiveDateTime)]) -> Self {
        let mut pulls: BTreeMap<Shared, Vec<&Pull>> = BTreeMap::new();
        for pull in season.pulls.iter().filter(|pull| !pull.is_empty()) {
            if let Some(site) = season.site_of(pull) {
                pulls.entry(site.id.clone()).or_default().push(pull);
            }
        }
        let (mut by_pull, mut by_folder) = (Spans::default(), Spans::default());
        for &(index, local) in sound {
            let (Some(photo), Some(one)) = (season.photos.get(index), season.matches.get(index))
            else {
                continue;
            };
            let Some(camera) = photo.device() else {
                continue;
            };
            if let Some(pull) = &one.pull {
                by_pull.add(fold(pull), camera.clone(), local);
            }
            if let Some(folder) = folder(&photo.path) {
                by_folder.add(folder.to_owned(), camera, local);
            }
        }
        Self {
            pulls,
            by_id: season.pulls_by_id(),
            by_pull,
            by_folder,
        }
    }

    fn offset(
        &self,
        season: &Season,
        photo: usize,
        local: NaiveDateTime,
        camera: &str,
    ) -> Option<Offset> {
        let (start, end) = self.window(season, photo, local, camera)?;
        let half = (end - start) / 2;
        let seconds = |time: TimeDelta| time.num_milliseconds() as f64 / 1000.0;
        Some(Offset {
            photo,
            from_middle: seconds(local - (start + half)),
            half: seconds(half),
        })
    }

    /// When the photo should have been taken.
    fn window(
        &self,
        season: &Season,
        photo: usize,
        local: NaiveDateTime,
        camera: &str,
    ) -> Option<(NaiveDateTime, NaiveDateTime)> {
        let path = &season.photos.get(photo)?.path;
        let one = season.matches.get(photo)?;
        let of_pull = |pull: &Pull| {
            let around =
                |span: (NaiveDateTime, NaiveDateTime), by: TimeDelta| (span.0 - by, span.1 + by);
            hours(pull)
                .filter(|(start, end)| end > start)
                .map(|span| around(span, AROUND_HOURS))
                .or_else(|| {
                    let span = self.by_pull.without(&fold(&pull.id), camera)?;
                    Some(around(span, AROUND_PHOTOS))
                })
        };
        if let Some(said) = season
            .note_on(path)
            .and_then(|note| note.pull.as_deref())
            .and_then(|id| self.by_id.get(&fold(id)))
        {
            return of_pull(said);
        }
        if let Some(site) = &one.site {
            return self
                .pulls
                .get(site)?
                .iter()
                .filter_map(|pull| of_pull(pull))
                .map(|(start, end)| {
                    let apart = (local - (start + (end - start) / 2)).abs();
                    (apart, start, end)
                })
                .filter(|(apart, _, _)| *apart <= MOST_ZONES_APART)
                .min()
                .map(|(_, start, end)| (start, end));
        }
        let (start, end) = self.by_folder.without(folder(path)?, camera)?;
        (end - start <= LONGEST_OUTING).then(|| (start - AROUND_PHOTOS, end + AROUND_PHOTOS))
    }
}

/// The folder of a photo below photos/; `None` for photos/ itself, where everything lies together.
fn folder(path: &str) -> Option<&str> {
    let (folder, _) = path.rsplit_once('/')?;
    (folder != "photos").then_some(folder)
}

fn judge(camera: String, offsets: &[Offset]) -> Option<ByOthers> {
    if offsets.len() < FEWEST {
        return None;
    }
    let fitting = |ahead: f64| offsets.iter().filter(|one| one.fits(ahead)).count();
    let fitting_now = fitting(0.0);
    if 2 * fitting_now > offsets.len() {
        return None;
    }
    let (range_s, fitting_then) = best(offsets)?;
    if (fitting_then as f64) < FITTING_SHARE * offsets.len() as f64 {
        return None;
    }
    let differences: Vec<TimeDelta> = offsets
        .iter()
        .filter_map(|one| TimeDelta::try_seconds(one.from_middle.round() as i64))
        .collect();
    let (median_s, interval_s) = clock::median_with_interval(&differences)?;
    Some(ByOthers {
        camera,
        photos: offsets.iter().map(|one| one.photo).collect(),
        fitting_now,
        fitting_then,
        median_s,
        interval_s,
        range_s,
        suggested_s: suggestion(range_s),
    })
}

/// The differences that bring the most photos into their windows, and how many. Of several stretches, the one nearest to no difference.
fn best(offsets: &[Offset]) -> Option<(Range, usize)> {
    // Every window opens and closes at a difference; between two such points nothing changes.
    let mut turns: Vec<(f64, i64)> = offsets
        .iter()
        .flat_map(|one| {
            [
                (one.from_middle - one.half, -1),
                (one.from_middle + one.half, 1),
            ]
        })
        .collect();
    // Windows open before others close at the same point.
    turns.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut open = 0;
    let mut best: Option<(Range, i64)> = None;
    for pair in turns.windows(2) {
        let &[(from, turn), (to, _)] = pair else {
            continue;
        };
        open -= turn;
        let far = |range: Range| range.0.abs().min(range.1.abs());
        let better = best.is_none_or(|(range, most)| {
            open > most || (open == most && far((from, to)) < far(range))
        });
        if better {
            best = Some(((from, to), open));
        }
    }
    best.map(|(range, most)| (range, most.unsigned_abs() as usize))
}

/// From one difference in seconds to another.
type Range = (f64, f64);

/// Whole hours where just one lies in the range, half hours likewise, else its middle to the minute.
fn suggestion((low, high): Range) -> f64 {
    for unit in [3600.0, 1800.0] {
        let (first, last) = ((low / unit).ceil(), (high / unit).floor());
        if first == last && first != 0.0 {
            return first * unit;
        }
    }
    (0.5 * (low + high) / 60.0).round() * 60.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn offsets(minutes: &[f64], half: f64) -> Vec<Offset> {
        minutes
            .iter()
            .enumerate()
            .map(|(photo, minutes)| Offset {
                photo,
                from_middle: minutes * 60.0,
                half: half * 60.0,
            })
            .collect()
    }

    #[test]
    fn a_clock_hours_off_is_found_and_a_crew_that_comes_early_is_not() {
        // Windows of two hours; photos spread over them, five hours late.
        let late = judge(
            "A".into(),
            &offsets(&[250.0, 270.0, 290.0, 310.0, 330.0, 345.0], 60.0),
        )
        .unwrap();
        assert_eq!((late.fitting_now, late.fitting_then), (0, 6));
        assert_eq!(late.suggested_s, 5.0 * 3600.0);
        assert!(late.range_s.0 <= 18_000.0 && late.range_s.1 >= 18_000.0);
        assert_eq!(late.interval_s, Some((15_000.0, 20_700.0)));
        let early = judge(
            "A".into(),
            &offsets(&[-55.0, -50.0, -40.0, -59.0, -30.0, -45.0], 60.0),
        );
        assert_eq!(early, None);
    }

    #[test]
    fn five_photos_or_photos_of_no_one_mind_carry_nothing() {
        assert_eq!(judge("A".into(), &offsets(&[300.0; 5], 60.0)), None);
        let scattered = offsets(&[-900.0, 300.0, 700.0, -400.0, 100.0, 1200.0], 60.0);
        assert_eq!(judge("A".into(), &scattered), None);
    }

    #[test]
    fn one_whole_hour_in_the_range_is_suggested() {
        assert_eq!(suggestion((3000.0, 4000.0)), 3600.0);
        assert_eq!(suggestion((-4000.0, -3000.0)), -3600.0);
        assert_eq!(suggestion((1000.0, 2000.0)), 1800.0);
        assert_eq!(suggestion((100.0, 1700.0)), 900.0);
        assert_eq!(
            suggestion((3000.0, 12_000.0)),
            7500.0_f64.div_euclid(60.0) * 60.0
        );
    }
}
