//! The season folder of a sample: settings, ground, pull log and drawn photos.

use std::io::Write;
use std::path::Path;

use chrono::NaiveDate;

use super::Recipe;

const NAMES: [&str; 8] = [
    "Heron Bay",
    "Mill Cove",
    "Lower Narrows",
    "Ice House Pond, the northern arm",
    "Otter Reach",
    "The Sluice",
    "Cattail Flats",
    "Old Bridge",
];

impl Recipe {
    pub fn write(&self, root: &Path) {
        let write = |name: &str, text: String| {
            let path = root.join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::File::create(path)
                .unwrap()
                .write_all(text.as_bytes())
                .unwrap();
        };
        let print = if self.metric { "metric" } else { "us" };
        write(
            "season.toml",
            format!(
                r#"programme = "Alder Chain Ponds Trust"
title = "Hand-pulling water chestnut on the Alder Chain"
year = 2025
starts = 2025-05-01
ends = 2025-09-30
time_zone = "America/New_York"
species = "water chestnut"
scientific_name = "Trapa natans"
notice = "Invented data, for testing"
seed_ripens = 2025-08-05

[units]
print = "{print}"
paper = "{}"
currency = "USD"

[[grants]]
id = "pond-fund"
funder = "The Pond Fund"
title = "Two seasons of hand-pulling"
federal = true
starts = 2025-04-01
ends = 2025-12-31
match_required = "6000.00"

[[grants.budget]]
line = "wages"
amount = "9000.00"

[[grants.budget]]
line = "boats and safety gear"
amount = "2400.00"

[[rates]]
kind = "volunteer"
per_hour = "31.00"
year = 2025
source = "An invented rate for testing"
authority = "the trust's board, 2025-03-04"
"#,
                self.paper
            ),
        );
        if self.sites > 0 {
            write("sites.geojson", self.sites_geojson());
        }
        write("pulls.csv", self.pulls_csv());
        write(
            "history.csv",
            "year,site,effort_hours,removed,unit,comparable,reason\n2021,,210,1800,kg,no,Bags were not drained\n2022,,240,2100,kg,yes,\n"
                .to_owned(),
        );
        if self.pulls > 0 {
            write("narrative/summary.typ", self.narrative.to_owned());
            write(
                "narrative/lessons.typ",
                "= Earlier is lighter\n\nA bag in June weighs half of what it weighs in August. We start a week earlier next year.\n"
                    .to_owned(),
            );
            let mut photos = String::from("file,station,role,consent,withheld,reason\n");
            for index in 0..6u8 {
                let path = root.join(format!("photos/s{index}.jpg"));
                std::fs::create_dir_all(path.parent().unwrap()).unwrap();
                draw_photo(&path, index);
            }
            photos.push_str(
                "photos/s4.jpg,S2,crew,no,,\nphotos/s5.jpg,S2,other,,yes,shows a private garden\n",
            );
            write("photos.csv", photos);
        }
    }

    fn name(&self, index: usize) -> String {
        let name = NAMES[index % NAMES.len()];
        match index / NAMES.len() {
            0 => name.to_owned(),
            round => format!("{name} {}", round + 1),
        }
    }

    fn sites_geojson(&self) -> String {
        let mut features = Vec::new();
        for index in 0..self.sites {
            let (x, y) = self.corner(index);
            let ring: Vec<String> = (0..=12)
                .map(|step| {
                    let angle = f64::from(step % 12) / 12.0 * std::f64::consts::TAU;
                    let reach = 0.0016 + 0.0005 * (angle * 3.0 + index as f64).sin();
                    format!(
                        "[{:.6},{:.6}]",
                        x + reach * 1.3 * angle.cos(),
                        y + reach * angle.sin()
                    )
                })
                .collect();
            features.push(format!(
                r#"{{"type":"Feature","properties":{{"id":"site-{index}","name":"{}","waterbody":"{}"}},"geometry":{{"type":"Polygon","coordinates":[[{}]]}}}}"#,
                self.name(index),
                if index % 2 == 0 { "Upper Pond" } else { "Lower Pond" },
                ring.join(",")
            ));
            features.push(format!(
                r#"{{"type":"Feature","properties":{{"id":"S{index}","site":"site-{index}","bearing":{}}},"geometry":{{"type":"Point","coordinates":[{:.6},{:.6}]}}}}"#,
                (index * 47) % 360,
                x + 0.002,
                y - 0.0012
            ));
        }
        let (x, y) = (-40.0, 30.0);
        let shore: Vec<String> = (0..=60)
            .map(|step| {
                let angle = f64::from(step % 60) / 60.0 * std::f64::consts::TAU;
                format!(
                    "[{:.6},{:.6}]",
                    x + 0.010 + 0.021 * angle.cos() * (1.0 + 0.08 * (angle * 5.0).sin()),
                    y + 0.004 + 0.011 * angle.sin()
                )
            })
            .collect();
        features.push(format!(
            r#"{{"type":"Feature","properties":{{"kind":"shoreline"}},"geometry":{{"type":"LineString","coordinates":[{}]}}}}"#,
            shore.join(",")
        ));
        format!(
            r#"{{"type":"FeatureCollection","features":[{}]}}"#,
            features.join(",")
        )
    }

    /// Middle of a site: in rows of five, in the open ocean.
    pub fn corner(&self, index: usize) -> (f64, f64) {
        (
            -40.0 + 0.0055 * (index % 5) as f64,
            30.0 + 0.0052 * (index / 5) as f64 + 0.0012 * (index % 3) as f64,
        )
    }

    fn pulls_csv(&self) -> String {
        let mut text = String::from(
            "pull,date,site,start,end,staff,volunteers,container,containers,stage,disposal,gear_cleaned,incident,bloom_seen,other_species\n",
        );
        for index in 0..self.pulls {
            let day = 12 + index * 125 / self.pulls.max(1);
            let date = NaiveDate::from_ymd_opt(2025, 5, 1).unwrap() + chrono::Days::new(day as u64);
            let end = if index % 17 == 5 { "" } else { "12:30" };
            let containers = if index % 11 == 3 {
                0
            } else {
                6 + index * 5 % 23
            };
            let incident = if index % 29 == 2 {
                "A spine through a glove; washed and dressed on shore"
            } else {
                ""
            };
            text.push_str(&format!(
                "P{:02},{date},site-{},9:00,{end},{},{},bag,{containers},rosette,\"Compost yard above the flood plain\",{},{incident},,{}\n",
                index + 1,
                index % self.sites.max(1),
                index % 3,
                2 + index * 7 % 9,
                if index % 7 == 6 { "" } else { "yes" },
                if index == 1 { "Curly pondweed at the outlet" } else { "" },
            ));
        }
        text
    }
}

/// Water, sky and leaves in plain colours; tall where the index is 2, so that both shapes are met. An EXIF marker is put in, so that
/// a test can look whether it comes out again.
fn draw_photo(path: &Path, index: u8) {
    let (width, height) = if index == 2 { (360, 480) } else { (640, 480) };
    let image = image::RgbImage::from_fn(width, height, |x, y| {
        let horizon = height / 3;
        if y < horizon {
            image::Rgb([176, 200, 214])
        } else if (x / 13 + y / 9 + u32::from(index)).is_multiple_of(3) && index.is_multiple_of(2) {
            image::Rgb([72, 112, 58])
        } else {
            image::Rgb([70, 104, 120])
        }
    });
    let mut jpeg = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 85)
        .encode_image(&image)
        .unwrap();
    let exif = b"Exif\0\0II*\0\x08\0\0\0\0\0\0\0\0\0";
    let mut marked = jpeg[..2].to_vec();
    marked.extend([0xff, 0xe1]);
    marked.extend(u16::try_from(exif.len() + 2).unwrap().to_be_bytes());
    marked.extend(exif);
    marked.extend(&jpeg[2..]);
    std::fs::write(path, marked).unwrap();
}
