//! Makes a season folder with any number of photos, quickly: `cargo run --release --example many-photos -- FOLDER NUMBER [large | bare]`.
//!
//! All is invented and nothing is random: the same words give the same bytes. Every photo has metadata of its own, as phones
//! write them; the pictures behind are a few, drawn once. With the word `large` each photo has 12 megapixels and three to four
//! megabytes, as from a phone; else it is small, for measuring what a photo costs by itself. With the word `bare` it is a small picture
//! without any metadata, as messaging apps leave it.

use std::error::Error;
use std::fs;
use std::path::Path;

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, RgbImage};
use rayon::prelude::*;

// What the sample season's phones write is real EXIF; there need be only one such writer.
#[path = "../../tests/sample_maker/exif.rs"]
mod exif;

/// Pictures that the photos share.
const PICTURES: u32 = 8;
/// Pulls of the season, one a day and site, three days apart.
const PULLS: usize = 40;
/// In the open ocean, so that no real shore is meant: the middles of the sites.
const SITES: [(&str, f64, f64); 4] = [
    ("north", 38.5005, -45.0005),
    ("south", 38.4905, -45.0005),
    ("east", 38.5005, -44.9905),
    ("west", 38.5005, -45.0105),
];
const PHONES: [&str; 4] = ["Phone A", "Phone B", "Phone C", "Phone D"];

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let (folder, number, kind) = match words.as_slice() {
        [folder, number] => (folder, number, Kind::Small),
        [folder, number, kind] if kind == "large" => (folder, number, Kind::Large),
        [folder, number, kind] if kind == "bare" => (folder, number, Kind::Bare),
        _ => return Err("usage: many-photos FOLDER NUMBER [large | bare]".into()),
    };
    let (folder, number) = (Path::new(folder), number.parse::<usize>()?);
    fs::create_dir_all(folder)?;
    fs::write(folder.join("season.toml"), SETTINGS)?;
    fs::write(folder.join("sites.geojson"), outlines())?;
    fs::write(folder.join("pulls.csv"), pulls())?;
    fs::write(folder.join("weighings.csv"), weighings())?;
    fs::write(folder.join("photos.csv"), plates(number))?;
    for pull in 0..PULLS {
        fs::create_dir_all(folder.join("photos").join(day(pull)))?;
    }
    let (width, height, quality) = match kind {
        Kind::Large => (4032, 3024, 88),
        Kind::Small | Kind::Bare => (320, 240, 80),
    };
    let pictures = (0..PICTURES)
        .into_par_iter()
        .map(|picture| drawn(picture, width, height, quality))
        .collect::<Result<Vec<_>, _>>()?;
    (0..number)
        .into_par_iter()
        .try_for_each(|photo| -> Result<(), Box<dyn Error + Send + Sync>> {
            let pull = photo % PULLS;
            let name = format!("photos/{}", name(photo));
            let picture = &pictures[photo % pictures.len()];
            // No two photos of a season look the same; the small copies inside, by which they are compared, don't either.
            let small = drawn(PICTURES + photo as u32, 160, 120, 70)?;
            let bytes = match kind {
                Kind::Bare => small,
                Kind::Large | Kind::Small => {
                    exif::with_record(picture, &record(photo, pull, (width, height), small))
                }
            };
            Ok(fs::write(folder.join(name), bytes)?)
        })
        .map_err(|error| error as Box<dyn Error>)?;
    Ok(())
}

#[derive(Clone, Copy)]
enum Kind {
    Small,
    Large,
    Bare,
}

const SETTINGS: &str = r#"programme = "Made Pond Trust (invented, for measuring)"
year = 2025
starts = 2025-05-01
ends = 2025-09-30
time_zone = "America/New_York"
"#;

/// Pictures that the report prints.
const PLATES: usize = 60;

fn plates(number: usize) -> String {
    let rows = (0..number.min(PLATES))
        .map(|photo| format!("{},catch,Bags of pull {},yes\n", name(photo), photo % PULLS));
    format!("file,role,caption,plate\n{}", rows.collect::<String>())
}

/// Below photos/.
fn name(photo: usize) -> String {
    format!("{}/IMG_{photo:06}.jpg", day(photo % PULLS))
}

/// The day of a pull, in a season of 30-day months.
fn day(pull: usize) -> String {
    format!("2025-{:02}-{:02}", 5 + pull * 3 / 28, 1 + pull * 3 % 28)
}

fn outlines() -> String {
    let features = SITES.map(|(site, north, east)| {
        let (n, s) = (north + 0.0005, north - 0.0005);
        let (e, w) = (east + 0.0005, east - 0.0005);
        format!(
            r#"{{"type": "Feature", "properties": {{"id": "{site}", "name": "{site}", "waterbody": "Made Pond"}},
  "geometry": {{"type": "Polygon", "coordinates": [[[{w}, {s}], [{e}, {s}], [{e}, {n}], [{w}, {n}], [{w}, {s}]]]}}}}"#
        )
    });
    format!(
        "{{\"type\": \"FeatureCollection\", \"features\": [\n{}\n]}}\n",
        features.join(",\n")
    )
}

fn pulls() -> String {
    let mut table = String::from(
        "pull,date,site,start,end,staff,volunteers,staff_hours,volunteer_hours,container,containers,plants,basis,stage\n",
    );
    for pull in 0..PULLS {
        let site = SITES[pull % SITES.len()].0;
        let bags = 4 + pull * 7 % 11;
        let date = day(pull);
        table +=
            &format!("P{pull},{date},{site},9:00,12:00,1,4,3,12,bag,{bags},,counted,rosette\n");
    }
    table
}

fn weighings() -> String {
    let mut table = String::from("pull,container,mass_kg\n");
    for pull in (0..PULLS).step_by(2) {
        table += &format!("P{pull},bag,{}.5\n", 11 + pull * 5 % 7);
    }
    table
}

/// Waves of five lengths in five directions, another set for each number, under grain that a JPEG can't make small.
fn drawn(picture: u32, width: u32, height: u32, quality: u8) -> Result<Vec<u8>, image::ImageError> {
    let mut state = 0x9e37_79b9_u32.wrapping_mul(picture + 1);
    let mut chance = || {
        // Xorshift (G. Marsaglia, 2003): waves and grain need no better.
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        f64::from(state >> 8) / f64::from(1 << 24)
    };
    let waves: [[f64; 3]; 5] = std::array::from_fn(|_| [(); 3].map(|()| (chance() - 0.5) * 30.0));
    let mut pixels = RgbImage::new(width, height);
    for (x, y, pixel) in pixels.enumerate_pixels_mut() {
        let (x, y) = (
            f64::from(x) / f64::from(width),
            f64::from(y) / f64::from(height),
        );
        let wave: f64 = waves
            .iter()
            .map(|[across, down, turn]| (across * x + down * y + turn).sin())
            .sum();
        let grain = chance() - 0.5;
        let part = |middle: f64| (middle + wave * 24.0 + grain * 24.0).clamp(0.0, 255.0) as u8;
        pixel.0 = [part(110.0), part(140.0), part(120.0)];
    }
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, quality).encode(
        &pixels,
        width,
        height,
        ExtendedColorType::Rgb8,
    )?;
    Ok(jpeg)
}

fn record(photo: usize, pull: usize, size: (u32, u32), small: Vec<u8>) -> exif::Record {
    let (_, north, east) = SITES[pull % SITES.len()];
    let date = day(pull).replace('-', ":");
    let (minute, second) = (photo / PULLS / 60 % 170, photo / PULLS % 60);
    let hour = 9 + minute / 60;
    // Within some 30 metres of the middle.
    let aside = |step: usize| ((photo * step) % 61) as f64 * 1e-5 - 3e-4;
    exif::Record {
        make: "Invented",
        model: PHONES[photo % PHONES.len()],
        orientation: [1, 1, 6, 3][photo % 4],
        size,
        taken: format!("{date} {hour:02}:{:02}:{second:02}", minute % 60),
        offset: Some("-04:00"),
        subsec: Some(format!("{:03}", photo % 1000)),
        fix: (!photo.is_multiple_of(20)).then(|| exif::Fix {
            latitude: north + aside(7),
            longitude: east + aside(13),
            altitude_m: 61.0,
            error_m: 4.0 + (photo % 9) as f64,
            bearing: (!photo.is_multiple_of(3)).then_some((photo * 37 % 360) as f64),
            date,
            time: (hour as u32 + 4, minute as u32 % 60, second as u32),
        }),
        thumbnail: Some(small),
    }
}
