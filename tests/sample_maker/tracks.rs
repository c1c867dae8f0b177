//! Boat tracks of three outings as GPX 1.1.
//!
//! Takes sites and pulls; gives texts by path. A track wanders through its site and never leaves it.

use crate::outlines::Point;
use crate::places::{self, Site};
use crate::scenario::{self, Pull};
use crate::seed::Chance;

/// Pulls whose lead canoe carried a receiver.
const TRACKED: [&str; 3] = ["P05", "P10", "P21"];
/// Seconds between two points.
const STEP: u32 = 75;
/// Hours from Eastern Daylight Time to universal time; the whole season lies within daylight time.
pub const TO_UNIVERSAL: u32 = 4;

pub fn all() -> Vec<(String, String)> {
    let sites = places::sites();
    TRACKED
        .iter()
        .filter_map(|id| scenario::pull(id))
        .filter_map(|pull| {
            sites
                .iter()
                .find(|site| site.id == pull.site)
                .map(|site| (pull, site))
        })
        .map(|(pull, site)| {
            (
                format!("tracks/{}-{}.gpx", pull.date, pull.site),
                track(pull, site),
            )
        })
        .collect()
}

fn track(pull: &Pull, site: &Site) -> String {
    let mut chance = Chance::named(&format!("track {}", pull.id));
    let (start, end) = (
        scenario::minutes(pull.start) * 60,
        scenario::minutes(pull.end) * 60,
    );
    let mut at = site.somewhere(&mut chance, 12.0);
    let mut heading = f64::from(chance.unit()) * std::f64::consts::TAU;
    let mut points = String::new();
    let mut second = start;
    while second <= end {
        let (east, north) = places::degrees(at);
        let altitude = 61.0 + f64::from(chance.between(-0.8, 0.8));
        let universal = second + TO_UNIVERSAL * 3_600;
        points += &format!(
            "      <trkpt lat=\"{north:.6}\" lon=\"{east:.6}\"><ele>{altitude:.1}</ele>\
             <time>{}T{:02}:{:02}:{:02}Z</time></trkpt>\n",
            pull.date,
            universal / 3_600,
            universal / 60 % 60,
            universal % 60
        );
        (at, heading) = stroke(site, at, heading, &mut chance);
        second += STEP;
    }
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <gpx version=\"1.1\" creator=\"make-sample (invented data)\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n\
         \x20 <metadata><name>{} at {}, lead canoe (invented)</name></metadata>\n\
         \x20 <trk>\n    <name>{}</name>\n    <trkseg>\n{points}    </trkseg>\n  </trk>\n</gpx>\n",
        pull.id, site.name, pull.id
    )
}

/// The next point: a few metres on, turning away from the outline where it comes near.
fn stroke(site: &Site, at: Point, heading: f64, chance: &mut Chance) -> (Point, f64) {
    let length = f64::from(chance.between(2.5, 9.0));
    let mut turn = f64::from(chance.normal()) * 0.35;
    for _ in 0..40 {
        let next = (
            at.0 + length * (heading + turn).cos(),
            at.1 + length * (heading + turn).sin(),
        );
        if site.depth_inside(next) > 5.0 {
            return (next, heading + turn);
        }
        turn += 0.4;
    }
    (at, heading + std::f64::consts::PI)
}
