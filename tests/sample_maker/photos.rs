//! From a shot to a JPEG file: picture, turn, record.
//!
//! Takes shots; gives bytes by path.

use std::collections::BTreeMap;

use image::RgbImage;
use image::codecs::jpeg::JpegEncoder;
use image::imageops;

use crate::exif::{self, Fix, Record};
use crate::outlines::{self, Point};
use crate::paint;
use crate::places;
use crate::seed::Chance;
use crate::shots::{self, Phone, Scene, Shot, Trouble};
use crate::tracks::TO_UNIVERSAL;

/// High enough to print, low enough that the whole folder stays small.
const QUALITY: u8 = 72;

pub fn all() -> BTreeMap<String, Vec<u8>> {
    let shots = shots::all();
    // A worker per core; the result does not depend on who drew what.
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        let hands: Vec<_> = (0..workers)
            .map(|first| {
                let shots = &shots;
                scope.spawn(move || {
                    let own = shots.iter().skip(first).step_by(workers);
                    own.map(|shot| (shot.path.clone(), file(shot)))
                        .collect::<Vec<_>>()
                })
            })
            .collect();
        hands
            .into_iter()
            .flat_map(|hand| hand.join().unwrap_or_default())
            .collect()
    })
}

fn file(shot: &Shot) -> Vec<u8> {
    let upright = paint::picture(shot);
    let stored = match shot.turn {
        3 => imageops::rotate180(&upright),
        // The viewer turns the stored pixels clockwise for 6 and the other way for 8.
        6 => imageops::rotate270(&upright),
        8 => imageops::rotate90(&upright),
        _ => upright,
    };
    exif::with_record(&encoded(&stored), &record(shot, stored.dimensions()))
}

fn encoded(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    // Writing to memory fails for no picture of this size; an empty file would be caught by the tests.
    let _ = JpegEncoder::new_with_quality(&mut bytes, QUALITY).encode_image(picture);
    bytes
}

fn record(shot: &Shot, size: (u32, u32)) -> Record {
    let mut chance = Chance::named(&format!("record {}", shot.path));
    let date = shot.pull.date.replace('-', ":");
    let clock = shot.second
        + if shot.trouble == Trouble::HourFast {
            3_600
        } else {
            0
        };
    let universal = shot.second + TO_UNIVERSAL * 3_600;
    let fix = (shot.trouble != Trouble::NoPosition).then(|| {
        let (at, bearing) = stand(shot, &mut chance);
        let (longitude, latitude) = places::degrees(at);
        Fix {
            latitude,
            longitude,
            altitude_m: f64::from(chance.between(60.0, 63.5)),
            error_m: f64::from(chance.between(3.4, 5.6)),
            bearing: Some(bearing),
            date: date.clone(),
            // The fix is a few seconds old when the picture is taken.
            time: parts(universal - chance.whole(0, 8)),
        }
    });
    let (hours, minutes, seconds) = parts(clock);
    Record {
        make: "Invented",
        model: match shot.phone {
            Phone::A => "Invented Phone A",
            Phone::B => "Invented Phone B",
            Phone::C => "Invented Phone C",
        },
        orientation: shot.turn,
        size,
        taken: format!("{date} {hours:02}:{minutes:02}:{seconds:02}"),
        // The oldest of the three phones writes no offset.
        offset: (shot.phone != Phone::C).then_some("-04:00"),
        subsec: (shot.phone == Phone::A).then(|| format!("{:03}", chance.whole(0, 999))),
        fix,
        thumbnail: None,
    }
}

fn parts(second: u32) -> (u32, u32, u32) {
    (second / 3_600, second / 60 % 60, second % 60)
}

/// Where the photographer stood and looked.
fn stand(shot: &Shot, chance: &mut Chance) -> (Point, f64) {
    let anywhere = f64::from(chance.whole(0, 359));
    if let Scene::Station(id, _) = shot.scene
        && let Some(station) = places::stations()
            .into_iter()
            .find(|station| station.id == id)
    {
        // Two metres off at most, and a hand turns by a few degrees.
        let shift = |chance: &mut Chance| f64::from(chance.between(-1.4, 1.4));
        let at = (station.at.0 + shift(chance), station.at.1 + shift(chance));
        return (
            at,
            f64::from(station.bearing) + f64::from(chance.between(-2.0, 2.0)),
        );
    }
    let Some(site) = places::sites()
        .into_iter()
        .find(|site| site.id == shot.pull.site)
    else {
        return ((0.0, 0.0), anywhere);
    };
    // Deep enough that no position error reaches the outline, except where that is the trouble.
    let mut at = site.somewhere(chance, 9.0);
    if shot.trouble == Trouble::Outside {
        let shore = places::shore();
        let inner = at;
        // Some point of the open water nearby; with so many tries one is found.
        for _ in 0..4_000 {
            let sway = |chance: &mut Chance| f64::from(chance.between(-90.0, 90.0));
            at = (inner.0 + sway(chance), inner.1 + sway(chance));
            let beyond = -site.depth_inside(at);
            if OUTSIDE.contains(&beyond) && outlines::inside(&shore, at) {
                break;
            }
        }
    }
    (at, anywhere)
}

/// Metres beyond the outline of the one photo that lies outside: more than twice its position error.
const OUTSIDE: std::ops::Range<f64> = 12.5..16.0;
