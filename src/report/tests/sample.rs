//! Seasons and ledgers made by hand for the tests of this room: any number of sites and pulls, with figures of every kind.
//! All of it is invented.

use std::io::Write;
use std::path::Path;

use chrono::NaiveDate;
use rust_decimal::Decimal;

use crate::estimate::{Estimate, Interval};
use crate::figure::{Deliverable, Figure, Ledger, LeftOut, Measure, Outturn, Standing};
use crate::finding::{Acceptance, Finding, Grade};
use crate::place::{Place, Spot};
use crate::report::{Input, Pair, PairGrade, Plates, PullMark, Shot, Single};
use crate::season::{self, Role, Season};

/// A season folder, read; its figures; its plates.
pub struct Sample {
    pub season: Season,
    pub ledger: Ledger,
    pub findings: Vec<Finding>,
    pub plates: Plates,
    pub marks: Vec<PullMark>,
    _folder: tempfile::TempDir,
}

impl Sample {
    pub fn input(&self) -> Input<'_> {
        Input {
            season: &self.season,
            ledger: &self.ledger,
            findings: &self.findings,
            plates: &self.plates,
            pull_marks: &self.marks,
            evidence_root: std::array::from_fn(|at| (at * 37 + 11) as u8),
            archive_name: "alder-chain-2025-evidence.zip",
            tool_version: "0.1.0",
            date: NaiveDate::from_ymd_opt(2025, 12, 2).unwrap(),
        }
    }
}

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

/// What a sample is made of.
pub struct Recipe {
    pub sites: usize,
    pub pulls: usize,
    pub metric: bool,
    pub paper: &'static str,
    pub narrative: &'static str,
}

impl Recipe {
    pub fn new(sites: usize, pulls: usize) -> Self {
        Self {
            sites,
            pulls,
            metric: false,
            paper: "letter",
            narrative: "We pulled #figure-text(\"removal.wet-mass\") in #figure-value(\"effort.pulls\") pulls.\n",
        }
    }

    pub fn build(&self) -> Sample {
        let folder = tempfile::tempdir().unwrap();
        self.write(folder.path());
        let season = season::load(folder.path(), &|_| ()).unwrap();
        let (plates, marks) = if self.pulls == 0 {
            (Plates::default(), Vec::new())
        } else {
            (plates(), self.marks(&season))
        };
        Sample {
            ledger: self.ledger(&season),
            findings: if self.pulls == 0 {
                Vec::new()
            } else {
                findings()
            },
            season,
            plates,
            marks,
            _folder: folder,
        }
    }

    fn write(&self, root: &Path) {
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
    fn corner(&self, index: usize) -> (f64, f64) {
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

    fn marks(&self, season: &Season) -> Vec<PullMark> {
        season
            .pulls
            .iter()
            .enumerate()
            .map(|(index, pull)| {
                let (x, y) = self.corner(index % self.sites.max(1));
                let turn = index as f64 * 2.4;
                PullMark {
                    pull: pull.id.clone(),
                    site: None,
                    latitude: y + 0.0008 * turn.sin(),
                    longitude: x + 0.001 * turn.cos(),
                }
            })
            .collect()
    }

    fn ledger(&self, season: &Season) -> Ledger {
        let mut ledger = Ledger::default();
        if self.pulls == 0 {
            ledger.add(figure(
                "effort.pulls",
                "Pulls",
                Measure::Count,
                Outturn::Exact(0.0),
            ));
            ledger.add(figure(
                "removal.wet-mass",
                "Wet mass removed",
                Measure::Mass,
                Outturn::Refused("The pull log is empty.".into()),
            ));
            return ledger;
        }
        let n = self.pulls as f64;
        let seasonal: Vec<(&str, &str, Measure, Outturn)> = vec![
            ("effort.pulls", "Pulls", Measure::Count, Outturn::Exact(n)),
            (
                "effort.person-hours",
                "Person-hours on the water",
                Measure::Time,
                Outturn::Exact(n * 19.5),
            ),
            (
                "effort.staff-hours",
                "Hours of paid people",
                Measure::Time,
                Outturn::Exact(n * 3.5),
            ),
            (
                "effort.volunteer-hours",
                "Hours of volunteers",
                Measure::Time,
                Outturn::Exact(n * 16.0),
            ),
            (
                "effort.travel-hours",
                "Hours of travel",
                Measure::Time,
                Outturn::Exact(n * 2.25),
            ),
            (
                "removal.wet-mass",
                "Wet mass removed",
                Measure::Mass,
                estimate(n * 96.4, n * 7.1, true),
            ),
            (
                "removal.wet-mass-weighed",
                "Wet mass weighed",
                Measure::Mass,
                Outturn::Exact(n * 21.3),
            ),
            (
                "removal.wet-mass-converted",
                "Wet mass converted",
                Measure::Mass,
                estimate(n * 75.1, n * 7.1, true),
            ),
            (
                "removal.wet-mass-guessed",
                "Wet mass guessed",
                Measure::Mass,
                Outturn::Exact(64.0),
            ),
            (
                "removal.plants",
                "Plants removed",
                Measure::Count,
                Outturn::Refused(
                    "No container was counted out, so containers can't be turned into plants."
                        .into(),
                ),
            ),
            (
                "removal.containers/bag",
                "Bags",
                Measure::Count,
                Outturn::Exact(n * 14.0),
            ),
            (
                "rate.mass-per-hour",
                "Wet mass removed per person-hour",
                Measure::MassPerTime,
                estimate(4.94, 0.41, true),
            ),
            (
                "cover.before",
                "Cover before",
                Measure::Percent,
                estimate(62.4, 5.2, true),
            ),
            (
                "cover.after",
                "Cover after",
                Measure::Percent,
                estimate(8.1, 2.1, true),
            ),
            (
                "cover.change",
                "Change of cover",
                Measure::PercentPoints,
                estimate(-54.3, 5.9, true),
            ),
            (
                "area.treated",
                "Area treated",
                Measure::Area,
                Outturn::Exact(23_450.0),
            ),
            (
                "area.searched",
                "Area searched",
                Measure::Area,
                Outturn::Exact(61_200.0),
            ),
            (
                "evidence.pulls-with-photo",
                "Pulls with a photo",
                Measure::Count,
                Outturn::Exact((n * 0.8).floor()),
            ),
            (
                "match.volunteer-hours/pond-fund",
                "Hours counted as match",
                Measure::Time,
                Outturn::Exact(n * 16.0),
            ),
            (
                "match.value/pond-fund",
                "Value of match",
                Measure::Money,
                Outturn::Amount(Decimal::from(self.pulls) * Decimal::from(496)),
            ),
            (
                "spending.cash/pond-fund",
                "Cash spent",
                Measure::Money,
                Outturn::Amount("10218.37".parse().unwrap()),
            ),
            (
                "spending.line/pond-fund/wages",
                "Wages",
                Measure::Money,
                Outturn::Amount("8122.50".parse().unwrap()),
            ),
            (
                "spending.line/pond-fund/boats-and-safety-gear",
                "Boats and safety gear",
                Measure::Money,
                Outturn::Amount("2095.87".parse().unwrap()),
            ),
        ];
        for (name, label, measure, outturn) in seasonal {
            ledger.add(figure(name, label, measure, outturn));
        }
        for (index, site) in season.ground.sites.iter().enumerate() {
            self.site_figures(&mut ledger, index, &site.id, &site.name);
        }
        for (year, rate) in [(2022, 5.8), (2023, 5.1), (2024, 5.3), (2025, 4.94)] {
            ledger.add(figure(
                &format!("history.mass-per-hour/{year}"),
                "Wet mass removed per person-hour",
                Measure::MassPerTime,
                estimate(rate, 0.4, year > 2023),
            ));
        }
        ledger.deliverables = deliverables();
        ledger
    }

    fn site_figures(&self, ledger: &mut Ledger, index: usize, id: &str, name: &str) {
        let share = (self.pulls as f64 / self.sites as f64).ceil();
        let weight = share * (30.0 + 29.0 * (index % 5) as f64);
        let mass = match index % 6 {
            5 => Outturn::Refused("No bag of this stage was weighed.".into()),
            4 => Outturn::Estimated(Estimate {
                interval: Some(Interval {
                    lower: weight * 0.6,
                    upper: f64::INFINITY,
                    level: 0.95,
                }),
                ..plain(weight, weight * 0.3)
            }),
            _ => estimate(weight, weight * 0.12, true),
        };
        let mut add = |stem: &str, label: &str, measure, outturn| {
            ledger.add(figure(
                &format!("{stem}/{id}"),
                &format!("{label}, {name}"),
                measure,
                outturn,
            ));
        };
        add(
            "effort.pulls",
            "Pulls",
            Measure::Count,
            Outturn::Exact(share),
        );
        add(
            "effort.person-hours",
            "Person-hours on the water",
            Measure::Time,
            Outturn::Exact(share * 19.5 + index as f64 * 0.25),
        );
        add("removal.wet-mass", "Wet mass removed", Measure::Mass, mass);
        add(
            "area.treated",
            "Area treated",
            Measure::Area,
            Outturn::Exact(900.0 + 1_700.0 * index as f64),
        );
        if index % 3 != 2 {
            let before = 80.0 - 6.0 * (index % 7) as f64;
            add(
                "cover.before",
                "Cover before",
                Measure::Percent,
                estimate(before, 6.0, true),
            );
            add(
                "cover.after",
                "Cover after",
                Measure::Percent,
                estimate(before * 0.15, 3.1, true),
            );
            add(
                "cover.change",
                "Change of cover",
                Measure::PercentPoints,
                estimate(-before * 0.85, 6.6, true),
            );
        }
    }
}

fn plain(value: f64, error: f64) -> Estimate {
    Estimate {
        value,
        standard_error: Some(error),
        degrees_of_freedom: Some(9.0),
        interval: None,
        caution: Vec::new(),
        method: "mean of the weighed containers times the containers, interval by Student's t"
            .into(),
        observations: 12,
        population: Some(200.0),
    }
}

fn estimate(value: f64, error: f64, interval: bool) -> Outturn {
    Outturn::Estimated(Estimate {
        interval: interval.then_some(Interval {
            lower: value - 2.26 * error,
            upper: value + 2.26 * error,
            level: 0.95,
        }),
        ..plain(value, error)
    })
}

fn figure(name: &str, label: &str, measure: Measure, outturn: Outturn) -> Figure {
    let place = |row| Place {
        file: "pulls.csv".into(),
        spot: Spot::Row { sheet: None, row },
    };
    Figure {
        name: name.into(),
        label: label.into(),
        measure,
        outturn,
        method: "Sum over the pulls of the season, each counted once".into(),
        assumptions: vec!["weighed containers are like those that were not weighed".into()],
        places: (2..14).chain(17..19).map(place).collect(),
        left_out: vec![LeftOut {
            place: place(15),
            reason: "no container kind".into(),
        }],
    }
}

fn deliverables() -> Vec<Deliverable> {
    [
        (
            "hours",
            "At least 400 person-hours of hand-pulling",
            "effort.person-hours",
            400.0,
            Standing::Met,
        ),
        (
            "mass",
            "At least two and a half short tons of wet plants taken out of the ponds",
            "removal.wet-mass",
            2_268.0,
            Standing::Uncertain,
        ),
        (
            "cover",
            "Cover lowered by at least 60 points",
            "cover.change",
            -60.0,
            Standing::Missed,
        ),
        (
            "plants",
            "Plants counted",
            "removal.plants",
            5_000.0,
            Standing::Unknown,
        ),
    ]
    .into_iter()
    .map(|(id, text, figure, target, standing)| Deliverable {
        grant: "pond-fund".into(),
        id: id.into(),
        text: text.into(),
        figure: figure.into(),
        target,
        at_most: target < 0.0,
        standing,
        place: Place::key("season.toml", "grants.pond-fund"),
    })
    .collect()
}

fn findings() -> Vec<Finding> {
    let finding = |name, grade, row, message: &str, accepted: Option<&str>| Finding {
        name,
        grade,
        place: Place {
            file: "pulls.csv".into(),
            spot: Spot::Row { sheet: None, row },
        },
        also: Vec::new(),
        message: message.into(),
        why: "Hours would count twice".into(),
        mend: "Strike one of the two rows, or accept the finding with a reason".into(),
        quote: None,
        accepted: accepted.map(|reason| Acceptance {
            reason: reason.into(),
            by: Some("coordinator".into()),
            on: NaiveDate::from_ymd_opt(2025, 11, 20),
        }),
    };
    vec![
        finding(
            "pull-logged-twice",
            Grade::Doubt,
            14,
            "P09 and P10 have the same day, site, crew and catch",
            Some(
                "Two boats worked side by side and logged alike; the sign-in sheet shows both crews",
            ),
        ),
        finding(
            "container-kind-missing",
            Grade::Doubt,
            15,
            "six containers without a kind",
            None,
        ),
        finding(
            "photo-without-position",
            Grade::Remark,
            3,
            "no position",
            None,
        ),
    ]
}

fn plates() -> Plates {
    let shot = |index: u8, taken: &str, bearing| Shot {
        photo: format!("photos/s{index}.jpg"),
        taken: taken.into(),
        bearing,
    };
    Plates {
        pairs: vec![
            Pair {
                station: "S0".into(),
                site: Some("site-0".into()),
                before: shot(0, "12 June 2025, 09:40", Some(12.0)),
                after: shot(1, "12 June 2025, 13:05", Some(9.0)),
                distance: Some(3.4),
                grade: PairGrade::Matched,
                reason: "Same station and bearing; the water stood alike".into(),
                caption: Some("Heron Bay from the dock.".into()),
            },
            Pair {
                station: "S1".into(),
                site: Some("site-1".into()),
                before: shot(2, "3 July 2025, 10:12", None),
                after: shot(3, "19 August 2025, 10:40", Some(50.0)),
                distance: Some(21.0),
                grade: PairGrade::Partial,
                reason: "Seven weeks apart, and one picture has no bearing".into(),
                caption: None,
            },
            Pair {
                station: "S2".into(),
                site: Some("site-2".into()),
                before: shot(4, "3 July 2025, 10:12", None),
                after: shot(3, "19 August 2025, 10:40", None),
                distance: None,
                grade: PairGrade::Illustrative,
                reason: "Neither picture has a position".into(),
                caption: None,
            },
        ],
        singles: vec![
            Single {
                photo: "photos/s2.jpg".into(),
                taken: Some("3 July 2025, 11:30".into()),
                site: Some("site-1".into()),
                role: Some(Role::Catch),
                caption: Some("Forty bags on the landing".into()),
            },
            Single {
                photo: "photos/s5.jpg".into(),
                taken: None,
                site: None,
                role: None,
                caption: Some("Must not be seen".into()),
            },
        ],
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
        } else if (x / 13 + y / 9 + u32::from(index)) % 3 == 0 && index % 2 == 0 {
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
