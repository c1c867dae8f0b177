//! Each rule has a change of the clean folder that triggers it, and a near miss that does not.

use std::collections::BTreeSet;

use windrow::archive::Packed;
use windrow::archive::tree::hex;
use windrow::archive::words::to_words;
use windrow::finding::{self, Finding, Grade};

use super::support::earlier::archive;
use super::support::folder::{Folder, NORTH_COVE, SOUTH_COVE};
use super::support::photo::Phone;

type Change = fn(&Folder);

/// Rule, a change that triggers it, where it is then found, a near miss that does not.
pub(super) struct Case {
    pub rule: &'static str,
    pub place: &'static str,
    pub trigger: Change,
    pub near_miss: Change,
}

pub(super) fn nothing(_: &Folder) {}

/// The cases of all themes; those of the reading of tables stand in a file of their own.
fn cases() -> impl Iterator<Item = &'static Case> {
    CASES.iter().chain(super::table_findings::CASES)
}

fn photo_at(taken: &'static str, position: (f64, f64)) -> Phone {
    Phone::at(taken, position)
}

/// Photos of a camera without satellites of two outings, whose first is taken at this hour of its own clock.
fn other_camera(folder: &Folder, hour: u32) {
    let mut rows = String::from("file,site\n");
    for (number, (day, minute)) in [(14, 0), (14, 30), (14, 55), (21, 5), (21, 40), (21, 50)]
        .into_iter()
        .enumerate()
    {
        let site = if day == 14 { "north" } else { "south" };
        let taken = format!("2025:06:{day} {hour:02}:{minute:02}:00").leak();
        let camera = Phone {
            model: "Invented Camera C",
            offset: None,
            position: None,
            ..photo_at(taken, NORTH_COVE)
        };
        folder.write(&format!("photos/b{number}.jpg"), camera.jpeg());
        rows.push_str(&format!("b{number}.jpg,{site}\n"));
    }
    folder.write("photos.csv", rows);
}

/// A photo without position at a moment that a track holds; `offset` is from UTC.
fn on_a_track(folder: &Folder, offset: &'static str) {
    let phone = Phone {
        position: None,
        offset: (!offset.is_empty()).then_some(offset),
        model: "Invented Camera C",
        ..photo_at("2025:06:14 11:00:30", NORTH_COVE)
    };
    folder.write("photos/p5.jpg", phone.jpeg()).write(
        "tracks/one.gpx",
        "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"invented\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\
         <trkpt lat=\"38.5004\" lon=\"-45.0005\"><time>2025-06-14T15:00:00Z</time></trkpt>\
         <trkpt lat=\"38.5006\" lon=\"-45.0005\"><time>2025-06-14T15:01:00Z</time></trkpt></trkseg></trk></gpx>",
    );
}

const CASES: &[Case] = &[
    Case {
        rule: "file-unreadable",
        place: "weighings.csv",
        trigger: |folder| {
            folder.write("weighings.csv", b"\0\0\0");
        },
        near_miss: |folder| {
            folder.append("weighings.csv", "\n\n");
        },
    },
    Case {
        rule: "file-missing",
        place: "pulls.csv",
        trigger: |folder| {
            folder.remove("pulls.csv");
        },
        near_miss: |folder| {
            folder.remove("spending.csv");
        },
    },
    Case {
        rule: "table-in-two-formats",
        place: "pulls.xlsx",
        trigger: |folder| {
            folder.write("pulls.xlsx", b"whatever");
        },
        near_miss: |folder| {
            folder.write("papers/pulls.xlsx", b"whatever");
        },
    },
    Case {
        rule: "folder-empty",
        place: "papers/permits",
        trigger: |folder| std::fs::create_dir(folder.path().join("papers/permits")).unwrap(),
        near_miss: |folder| {
            folder.write("papers/permits/one.txt", "invented");
        },
    },
    Case {
        rule: "heading-missing",
        place: "pulls.csv row 1",
        trigger: |folder| {
            folder.replace("pulls.csv", "pull,date,site", "pull,date,whereabouts");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "pull,date,site", "PULL ,Date,Location");
        },
    },
    Case {
        rule: "heading-unknown",
        place: "pulls.csv heading weather",
        trigger: |folder| {
            folder.replace("pulls.csv", "basis,stage", "weather,stage");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "basis,stage", "How known?,growth stage");
        },
    },
    Case {
        rule: "heading-twice",
        place: "pulls.csv heading growth_stage",
        trigger: |folder| {
            folder.replace("pulls.csv", "stage\n", "stage,growth_stage\n");
        },
        near_miss: nothing,
    },
    Case {
        rule: "unit-missing",
        place: "pulls.csv heading mass",
        trigger: |folder| {
            folder.replace("pulls.csv", "mass_kg", "mass");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "mass_kg", "mass").replace(
                "season.toml",
                "[units]",
                "[units]\nmass = \"kg\"",
            );
        },
    },
    Case {
        rule: "unit-unknown",
        place: "pulls.csv heading mass_stone",
        trigger: |folder| {
            folder.replace("pulls.csv", "mass_kg", "mass_stone");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "mass_kg", "mass_lb");
        },
    },
    Case {
        rule: "units-mixed",
        place: "weighings.csv row 2, mass_kg",
        trigger: |folder| {
            folder.replace("weighings.csv", "11.2", "24.7 lb");
        },
        near_miss: |folder| {
            folder.replace("weighings.csv", "11.2", "11.2 kg");
        },
    },
    Case {
        rule: "value-missing",
        place: "pulls.csv row 3, date",
        trigger: |folder| {
            folder.replace("pulls.csv", "P2,2025-06-21", "P2,");
        },
        near_miss: nothing,
    },
    Case {
        rule: "number-unreadable",
        place: "pulls.csv row 2, containers",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", "bag,ten");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,10", "bag,\"10,0\"");
        },
    },
    Case {
        rule: "number-doubtful",
        place: "pulls.csv row 2, containers",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", "bag,~10");
        },
        near_miss: nothing,
    },
    Case {
        rule: "number-negative",
        place: "pulls.csv row 2, containers",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", "bag,-10");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,0", "bag,0.0");
        },
    },
    Case {
        rule: "date-unreadable",
        place: "pulls.csv row 2, date",
        trigger: |folder| {
            folder.replace("pulls.csv", "2025-06-14", "2025-06-31");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "2025-06-14", "14 June 2025");
        },
    },
    Case {
        rule: "date-ambiguous",
        place: "pulls.csv row 4, date",
        trigger: |folder| {
            folder.replace("pulls.csv", "2025-07-12", "7/12/2025");
        },
        near_miss: |folder| {
            folder
                .replace("pulls.csv", "2025-07-12", "7/12/2025")
                .replace(
                    "season.toml",
                    "[units]",
                    "[dates]\norder = \"mdy\"\n[units]",
                );
        },
    },
    Case {
        rule: "time-unreadable",
        place: "pulls.csv row 4, end",
        trigger: |folder| {
            folder.replace(
                "pulls.csv",
                "P3,2025-07-12,North Cove,9:00,12:00",
                "P3,2025-07-12,North Cove,9:00,lunch",
            );
        },
        near_miss: |folder| {
            folder.replace(
                "pulls.csv",
                "P3,2025-07-12,North Cove,9:00,12:00",
                "P3,2025-07-12,North Cove,9 am,12 pm",
            );
        },
    },
    Case {
        rule: "answer-unreadable",
        place: "pulls.csv row 2, finished",
        trigger: |folder| {
            folder.write(
                "pulls.csv",
                "pull,date,site,staff,volunteers,staff_hours,volunteer_hours,container,containers,stage,finished\n\
                 P1,2025-06-14,north,1,4,3,12,bag,10,rosette,nearly\n",
            );
        },
        near_miss: |folder| {
            folder.write(
                "pulls.csv",
                "pull,date,site,staff,volunteers,staff_hours,volunteer_hours,container,containers,stage,finished\n\
                 P1,2025-06-14,north,1,4,3,12,bag,10,rosette,Y\n",
            );
        },
    },
    Case {
        rule: "word-unknown",
        place: "pulls.csv row 5, basis",
        trigger: |folder| {
            folder.replace("pulls.csv", "weighed", "weighted");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "weighed", "Weighed");
        },
    },
    Case {
        rule: "row-too-wide",
        place: "weighings.csv row 2",
        trigger: |folder| {
            folder.replace("weighings.csv", "11.2,120", "11,2,120");
        },
        near_miss: |folder| {
            folder.replace("weighings.csv", "11.2,120", "\"11,2\",120,");
        },
    },
    Case {
        rule: "text-not-utf8",
        place: "weighings.csv",
        trigger: |folder| {
            let mut bytes = folder.read("weighings.csv").into_bytes();
            bytes.extend(b"# n\xe9ant\n");
            bytes.splice(
                ..,
                b"pull,container,mass_kg,notes\nP1,bag,11.2,caf\xe9\nP1,bag,12.2,\n".to_vec(),
            );
            folder.write("weighings.csv", bytes);
        },
        near_miss: |folder| {
            folder.write(
                "weighings.csv",
                "\u{feff}pull,container,mass_kg,notes\nP1,bag,11.2,café\n",
            );
        },
    },
    Case {
        rule: "setting-unknown",
        place: "season.toml key programe",
        trigger: |folder| {
            folder.replace(
                "season.toml",
                "year = 2025",
                "year = 2025\nprograme = \"x\"",
            );
        },
        near_miss: |folder| {
            folder.replace("season.toml", "year = 2025", "year = 2025\ntitle = \"x\"");
        },
    },
    Case {
        rule: "setting-missing",
        place: "season.toml key time_zone",
        trigger: |folder| {
            folder.replace("season.toml", "time_zone = \"America/New_York\"", "");
        },
        near_miss: |folder| {
            folder.replace("season.toml", "time_zone", "timezone");
        },
    },
    Case {
        rule: "setting-wrong",
        place: "season.toml key time_zone",
        trigger: |folder| {
            folder.replace("season.toml", "America/New_York", "Eastern");
        },
        near_miss: |folder| {
            folder.replace("season.toml", "America/New_York", "Etc/GMT+4");
        },
    },
    Case {
        rule: "outline-wrong",
        place: "sites.geojson feature south",
        trigger: |folder| {
            folder.replace("sites.geojson", "[[-45.001, 38.49]", "[[-45.001, 138.49]");
        },
        near_miss: |folder| {
            folder.replace("sites.geojson", "[[-45.001, 38.49]", "[[-45.0011, 38.49]");
        },
    },
    Case {
        rule: "site-unknown",
        place: "pulls.csv row 3, site",
        trigger: |folder| {
            folder.replace("pulls.csv", "2025-06-21,south", "2025-06-21,soth");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "2025-06-21,south", "2025-06-21,SOUTH cove");
        },
    },
    Case {
        rule: "date-outside-season",
        place: "pulls.csv row 6, date",
        trigger: |folder| {
            folder.replace("pulls.csv", "2025-08-02", "2024-08-02");
        },
        near_miss: |folder| {
            folder
                .replace("pulls.csv", "2025-08-02", "2025-09-30")
                .write(
                    "photos/p4.jpg",
                    photo_at("2025:09:30 09:30:00", SOUTH_COVE).jpeg(),
                );
        },
    },
    Case {
        rule: "end-before-start",
        place: "pulls.csv row 2, end",
        trigger: |folder| {
            folder.replace("pulls.csv", "9:00,12:00", "9:00,1:00");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "9:00,12:00", "9:00,1:00 pm");
        },
    },
    Case {
        rule: "pull-empty",
        place: "pulls.csv row 7",
        trigger: |folder| {
            folder.append("pulls.csv", "P5,2025-08-09,north,9:00,10:00,,,,,,,,,,,\n");
        },
        near_miss: |folder| {
            folder
                .append(
                    "pulls.csv",
                    "P5,2025-08-09,north,9:00,10:00,1,0,,,,bag,0,,,,\n",
                )
                .write(
                    "photos/p5.jpg",
                    photo_at("2025:08:09 09:30:00", NORTH_COVE).jpeg(),
                );
        },
    },
    Case {
        rule: "hours-missing",
        place: "pulls.csv row 4, staff_hours",
        trigger: |folder| {
            folder.replace("pulls.csv", "North Cove,9:00,12:00", "North Cove,,");
        },
        near_miss: |folder| {
            folder.replace(
                "pulls.csv",
                "North Cove,9:00,12:00,2,4,,",
                "North Cove,,,2,4,6,12",
            );
        },
    },
    Case {
        rule: "hours-zero",
        place: "pulls.csv row 2, staff_hours",
        trigger: |folder| {
            folder.replace("pulls.csv", "1,4,3,12", "1,4,0,0");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "1,2,1,2", "0,0,0,0");
        },
    },
    Case {
        rule: "hours-impossible",
        place: "pulls.csv row 2, volunteer_hours",
        trigger: |folder| {
            folder.replace("pulls.csv", "1,4,3,12", "1,4,3,120");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "1,4,3,12", "1,4,3,32");
        },
    },
    Case {
        rule: "heads-silent",
        place: "pulls.csv row 2, volunteer_hours",
        trigger: |folder| {
            folder.replace("pulls.csv", "1,4,3,12", "1,,3,");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "1,4,3,12", "1,0,3,");
        },
    },
    Case {
        rule: "count-impossible",
        place: "pulls.csv row 2, containers",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", "bag,10000");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,10", "bag,1000");
        },
    },
    Case {
        rule: "pull-logged-twice",
        place: "pulls.csv row 7",
        trigger: |folder| {
            folder.append(
                "pulls.csv",
                "P5,2025-06-14,north,9:00,12:00,1,4,3,12,fund,bag,10,,,counted,rosette\n",
            );
        },
        near_miss: |folder| {
            // A second crew in the same hours, with a catch of its own.
            folder
                .append(
                    "pulls.csv",
                    "P5,2025-06-14,north,9:00,12:00,1,4,3,12,fund,bag,7,,,counted,rosette\n",
                )
                .write(
                    "photos.csv",
                    "file,pull\nphotos/p1.jpg,P1\nphotos/p5.jpg,P5\n",
                )
                .write(
                    "photos/p5.jpg",
                    photo_at("2025:06:14 10:10:00", NORTH_COVE).jpeg(),
                );
        },
    },
    Case {
        rule: "row-logged-twice",
        place: "pulls.csv row 7",
        trigger: |folder| {
            folder.append(
                "pulls.csv",
                "P1,2025-06-14,north,,,,,,,,bag,10,,,counted,rosette\n",
            );
        },
        near_miss: |folder| {
            folder.append(
                "pulls.csv",
                "P1,2025-06-14,north,,,,,,,,bag,9,,,counted,rosette\n",
            );
        },
    },
    Case {
        rule: "pull-contradicts-itself",
        place: "pulls.csv row 5, site",
        trigger: |folder| {
            folder.replace("pulls.csv", "P3,2025-07-12,north", "P3,2025-07-12,south");
        },
        near_miss: nothing,
    },
    Case {
        rule: "payer-unknown",
        place: "pulls.csv row 2, paid_by",
        trigger: |folder| {
            folder.replace("pulls.csv", "3,12,fund", "3,12,the state");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "3,12,fund", "3,12,Partner");
        },
    },
    Case {
        rule: "container-unknown",
        place: "pulls.csv row 2, container",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", "begs,10");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,10", "Bags,10");
        },
    },
    Case {
        rule: "container-without-kind",
        place: "pulls.csv row 2, container",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", ",10");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,0", ",0");
        },
    },
    Case {
        rule: "stage-unknown",
        place: "pulls.csv row 2, stage",
        trigger: |folder| {
            folder.replace("pulls.csv", "rosette\n", "rossette\n");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "rosette\n", "Rosette\n");
        },
    },
    Case {
        rule: "stage-missing",
        place: "pulls.csv row 3, stage",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,6,,,counted,rosette", "bag,6,,,counted,");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,0,,,counted,fruiting", "bag,0,,,counted,");
        },
    },
    Case {
        rule: "amount-missing",
        place: "pulls.csv row 3, containers",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,6", "bag,");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,6", "bag,0");
        },
    },
    Case {
        rule: "basis-missing",
        place: "pulls.csv row 5, mass_kg",
        trigger: |folder| {
            folder.replace("pulls.csv", "weighed", "");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "counted", "");
        },
    },
    Case {
        rule: "weighed-without-mass",
        place: "pulls.csv row 2, mass_kg",
        trigger: |folder| {
            folder.replace("pulls.csv", "counted,rosette", "weighed,rosette");
        },
        near_miss: nothing,
    },
    Case {
        rule: "weighed-row-disagrees",
        place: "pulls.csv row 5, mass_kg",
        trigger: |folder| {
            folder.append("weighings.csv", "P3,basket,4.1,\nP3,basket,6.4,\n");
        },
        near_miss: |folder| {
            folder.append("weighings.csv", "P3,basket,4.1,\nP3,basket,5.4,\n");
        },
    },
    Case {
        rule: "weighing-without-pull",
        place: "weighings.csv row 10, pull",
        trigger: |folder| {
            folder.append("weighings.csv", "P9,bag,12.0,\n");
        },
        near_miss: |folder| {
            folder.append("weighings.csv", "p2,Bags,12.0,\n");
        },
    },
    Case {
        rule: "weighing-empty",
        place: "weighings.csv row 10, mass_kg",
        trigger: |folder| {
            folder.append("weighings.csv", "P2,bag,,\n");
        },
        near_miss: |folder| {
            folder.append("weighings.csv", "P2,bag,,117\n");
        },
    },
    Case {
        rule: "weighings-exceed-containers",
        place: "weighings.csv row 9",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,8", "bag,2");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,8", "bag,3");
        },
    },
    Case {
        rule: "stratum-not-weighed",
        place: "pulls.csv row 6, containers",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,0", "bag,2");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,0,,,counted", "bag,2,20.5,,weighed");
        },
    },
    Case {
        rule: "stratum-weighed-once",
        place: "weighings.csv row 10",
        trigger: |folder| {
            folder
                .replace("pulls.csv", "bag,0", "bag,2")
                .append("weighings.csv", "P4,bag,10.0,\n");
        },
        near_miss: |folder| {
            folder
                .replace("pulls.csv", "bag,0", "bag,1")
                .append("weighings.csv", "P4,bag,10.0,\n");
        },
    },
    Case {
        rule: "pull-without-photo",
        place: "pulls.csv row 3",
        trigger: |folder| {
            folder.remove("photos/p2.jpg");
        },
        near_miss: |folder| {
            let phone = Phone {
                position: None,
                ..photo_at("2025:06:21 10:00:00", SOUTH_COVE)
            };
            folder.write("photos/p2.jpg", phone.jpeg());
        },
    },
    Case {
        rule: "photo-without-pull",
        place: "photos/p5.jpg",
        trigger: |folder| {
            folder.write(
                "photos/p5.jpg",
                photo_at("2025:06:15 10:00:00", NORTH_COVE).jpeg(),
            );
        },
        near_miss: |folder| {
            folder.write(
                "photos/p5.jpg",
                photo_at("2025:06:14 11:00:00", NORTH_COVE).jpeg(),
            );
        },
    },
    Case {
        rule: "photo-between-pulls",
        place: "photos/p5.jpg",
        trigger: |folder| {
            folder
                .append(
                    "pulls.csv",
                    "P5,2025-06-14,north,9:00,12:00,1,2,3,6,fund,bag,7,,,counted,rosette\n",
                )
                .write("photos.csv", "file,pull\nphotos/p1.jpg,P1\n")
                .write(
                    "photos/p5.jpg",
                    photo_at("2025:06:14 11:00:00", NORTH_COVE).jpeg(),
                );
        },
        near_miss: |folder| {
            folder
                .append(
                    "pulls.csv",
                    "P5,2025-06-14,north,14:00,15:00,1,2,1,2,fund,bag,7,,,counted,rosette\n",
                )
                .write(
                    "photos/p5.jpg",
                    photo_at("2025:06:14 14:30:00", NORTH_COVE).jpeg(),
                );
        },
    },
    Case {
        rule: "photo-without-time",
        place: "photos/p5.jpg tag DateTimeOriginal",
        trigger: |folder| {
            let phone = Phone {
                taken: None,
                ..photo_at("2025:06:14 11:00:00", NORTH_COVE)
            };
            folder.write("photos/p5.jpg", phone.jpeg());
        },
        near_miss: |folder| {
            let phone = Phone {
                offset: None,
                ..photo_at("2025:06:14 11:00:00", NORTH_COVE)
            };
            folder.write("photos/p5.jpg", phone.jpeg());
        },
    },
    Case {
        rule: "photo-without-position",
        place: "photos/p5.jpg tag GPSLatitude",
        trigger: |folder| {
            let phone = Phone {
                position: None,
                ..photo_at("2025:06:14 11:00:00", NORTH_COVE)
            };
            folder.write("photos/p5.jpg", phone.jpeg());
        },
        near_miss: |folder| {
            let phone = Phone {
                position: None,
                ..photo_at("2025:06:14 11:00:00", NORTH_COVE)
            };
            folder
                .write("photos/p5.jpg", phone.jpeg())
                .write("photos.csv", "file,site\np5.jpg,north\n");
        },
    },
    Case {
        rule: "photo-outside-site",
        place: "photos/p5.jpg tag GPSLatitude",
        trigger: |folder| {
            // About 11 m beyond the outline.
            folder.write(
                "photos/p5.jpg",
                photo_at("2025:06:14 11:00:00", (38.5011, -45.0005)).jpeg(),
            );
        },
        near_miss: |folder| {
            let phone = Phone {
                error_m: 20,
                ..photo_at("2025:06:14 11:00:00", (38.5011, -45.0005))
            };
            folder.write("photos/p5.jpg", phone.jpeg());
        },
    },
    Case {
        rule: "clock-against-gps",
        place: "photos/p5.jpg tag GPSTimeStamp",
        trigger: |folder| {
            let phone = Phone {
                gps_time: Some((14, 0, 5)),
                ..photo_at("2025:06:14 11:00:00", NORTH_COVE)
            };
            folder.write("photos/p5.jpg", phone.jpeg());
        },
        near_miss: |folder| {
            let phone = Phone {
                gps_time: Some((14, 59, 20)),
                ..photo_at("2025:06:14 11:00:00", NORTH_COVE)
            };
            folder.write("photos/p5.jpg", phone.jpeg());
        },
    },
    Case {
        rule: "clock-against-others",
        place: "photos/b0.jpg tag DateTimeOriginal",
        trigger: |folder| other_camera(folder, 14),
        near_miss: |folder| other_camera(folder, 9),
    },
    Case {
        rule: "clock-setting-stray",
        place: "season.toml key clocks.1",
        trigger: |folder| {
            folder.append(
                "season.toml",
                "\n[[clocks]]\ncamera = \"Invented Phone X\"\ncorrection = \"-1:00:00\"\n",
            );
        },
        near_miss: |folder| {
            folder.append(
                "season.toml",
                "\n[[clocks]]\ncamera = \"Invented Phone T\"\nfrom = 2025-07-12\nuntil = 2025-07-12\ncorrection = 60\n",
            );
        },
    },
    Case {
        rule: "photo-placed-by-track",
        place: "photos/p5.jpg tag GPSLatitude",
        trigger: |folder| on_a_track(folder, "-04:00"),
        // Without an offset nothing says that the clock is right.
        near_miss: |folder| on_a_track(folder, ""),
    },
    Case {
        rule: "photo-twice",
        place: "photos/p5.jpg",
        trigger: |folder| {
            folder.write(
                "photos/p5.jpg",
                photo_at("2025:06:14 10:00:00", NORTH_COVE).jpeg(),
            );
        },
        near_miss: |folder| {
            folder.write(
                "photos/p5.jpg",
                photo_at("2025:06:14 10:00:01", NORTH_COVE).jpeg(),
            );
        },
    },
    Case {
        rule: "station-without-after",
        place: "photos/p5.jpg",
        trigger: |folder| {
            folder
                .write(
                    "photos/p5.jpg",
                    photo_at("2025:06:14 09:05:00", NORTH_COVE).jpeg(),
                )
                .write("photos.csv", "file,station,role\np5.jpg,S1,before\n");
        },
        near_miss: |folder| {
            folder
                .write(
                    "photos/p5.jpg",
                    photo_at("2025:06:14 09:05:00", NORTH_COVE).jpeg(),
                )
                .write(
                    "photos/p6.jpg",
                    photo_at("2025:06:14 11:55:00", NORTH_COVE).jpeg(),
                )
                .write(
                    "photos.csv",
                    "file,station,role\np5.jpg,S1,before\np6.jpg,S1,after\n",
                );
        },
    },
    Case {
        rule: "station-pair-turned",
        place: "photos/p6.jpg tag GPSImgDirection",
        trigger: |folder| station_pair(folder, 90, 111),
        near_miss: |folder| station_pair(folder, 90, 110),
    },
    Case {
        rule: "station-pair-apart",
        place: "photos/p6.jpg tag GPSLatitude",
        // Sixteen metres, and five and five that the two may be off; then nine.
        trigger: |folder| station_pair_at(folder, (38.500_645, -45.0005)),
        near_miss: |folder| station_pair_at(folder, (38.500_58, -45.0005)),
    },
    Case {
        rule: "picture-for-two-pulls",
        place: "photos/p5.jpg",
        trigger: |folder| {
            let copy = Phone {
                shade: photo_at("2025:06:14 10:00:00", NORTH_COVE).shade,
                ..photo_at("2025:06:21 10:20:00", SOUTH_COVE)
            };
            folder.write("photos/p5.jpg", copy.jpeg());
        },
        near_miss: |folder| {
            let burst = Phone {
                shade: photo_at("2025:06:14 10:00:00", NORTH_COVE).shade,
                ..photo_at("2025:06:14 10:00:02", NORTH_COVE)
            };
            folder.write("photos/p5.jpg", burst.jpeg());
        },
    },
    Case {
        rule: "picture-saved-again",
        place: "photos/p5.jpg",
        trigger: |folder| {
            let shade = photo_at("2025:06:14 10:00:00", NORTH_COVE).shade;
            folder.write("photos/p5.jpg", super::support::photo::picture(shade));
        },
        near_miss: |folder| {
            folder.write("photos/p5.jpg", super::support::photo::picture(77));
        },
    },
    Case {
        rule: "film-not-opened",
        place: "photos/IMG_0001.MOV",
        trigger: |folder| {
            folder.write("photos/IMG_0001.MOV", b"a film");
        },
        near_miss: |folder| {
            folder.write("photos/IMG_0001.MOV.txt", b"about a film");
        },
    },
    Case {
        rule: "photo-damaged",
        place: "photos/p1.jpg",
        trigger: |folder| {
            let jpeg = photo_at("2025:06:14 10:00:00", NORTH_COVE).jpeg();
            folder.write("photos/p1.jpg", &jpeg[..jpeg.len() - 40]);
        },
        near_miss: |folder| {
            let mut jpeg = photo_at("2025:06:14 10:00:00", NORTH_COVE).jpeg();
            jpeg.extend(b"a trailer that a phone put behind the picture");
            folder.write("photos/p1.jpg", jpeg);
        },
    },
    Case {
        rule: "photo-metadata-odd",
        place: "photos/p5.jpg tag GPSLatitude",
        trigger: |folder| {
            folder.write(
                "photos/p5.jpg",
                photo_at("2025:06:14 11:00:00", (0.0, 0.0)).jpeg(),
            );
        },
        near_miss: |folder| {
            folder.write(
                "photos/p5.jpg",
                photo_at("2025:06:14 11:00:00", (38.5004, -45.0005)).jpeg(),
            );
        },
    },
    Case {
        rule: "photo-note-stray",
        place: "photos.csv row 2, file",
        trigger: |folder| {
            folder.write("photos.csv", "file,site\nphotos/p9.jpg,north\n");
        },
        near_miss: |folder| {
            folder.write("photos.csv", "file,site\nphotos\\p1.jpg,north\n");
        },
    },
    Case {
        rule: "spending-grant-unknown",
        place: "spending.csv row 2, grant",
        trigger: |folder| {
            folder.replace("spending.csv", ",fund,", ",find,");
        },
        near_miss: |folder| {
            folder.replace("spending.csv", ",fund,", ",Fund,");
        },
    },
    Case {
        rule: "spending-line-unknown",
        place: "spending.csv row 2, line",
        trigger: |folder| {
            folder.replace("spending.csv", "wages", "food");
        },
        near_miss: |folder| {
            folder.replace("spending.csv", "wages", "Wages");
        },
    },
    Case {
        rule: "receipt-not-there",
        place: "spending.csv row 2, receipt",
        trigger: |folder| {
            folder.replace("spending.csv", "june.txt", "july.txt");
        },
        near_miss: |folder| {
            folder.replace("spending.csv", "june.txt", "papers/june.txt");
        },
    },
    Case {
        rule: "rate-missing",
        place: "season.toml key grants.fund.match_required",
        trigger: |folder| {
            folder.replace("season.toml", "kind = \"volunteer\"", "kind = \"staff\"");
        },
        near_miss: |folder| {
            folder
                .replace("season.toml", "kind = \"volunteer\"", "kind = \"staff\"")
                .replace("season.toml", "match_required = \"500.00\"", "");
        },
    },
    Case {
        rule: "match-shared",
        place: "season.toml key grants",
        trigger: |folder| {
            folder.append(
                "season.toml",
                "\n[[grants]]\nid = \"other\"\nmatch_required = \"10.00\"\n",
            );
        },
        near_miss: |folder| {
            folder.append(
                "season.toml",
                "\n[[grants]]\nid = \"other\"\nmatch_required = \"0.00\"\n",
            );
        },
    },
    Case {
        rule: "deliverable-without-target",
        place: "season.toml key grants.fund.deliverables.hours",
        trigger: |folder| {
            folder.replace("season.toml", "at_least = 40", "");
        },
        near_miss: |folder| {
            folder.replace("season.toml", "at_least = 40", "at_most = 40");
        },
    },
    Case {
        rule: "template-colour-faint",
        place: "template/look.toml key colours.muted",
        trigger: |folder| {
            folder.write("template/look.toml", "[colours]\nmuted = \"#8a969c\"\n");
        },
        near_miss: |folder| {
            folder.write("template/look.toml", "[colours]\nmuted = \"#4a5a61\"\n");
        },
    },
    Case {
        rule: "deliverable-figure-unknown",
        place: "season.toml key grants.fund.deliverables.hours",
        trigger: |folder| {
            folder.replace("season.toml", "effort.person-hours", "effort.persons-hours");
        },
        near_miss: |folder| {
            folder.replace(
                "season.toml",
                "effort.person-hours",
                "effort.person-hours/north",
            );
        },
    },
    Case {
        rule: "deliverable-unit-wrong",
        place: "season.toml key grants.fund.deliverables.hours",
        trigger: |folder| {
            folder.replace("season.toml", "unit = \"h\"", "unit = \"kg\"");
        },
        near_miss: |folder| {
            folder.replace("season.toml", "unit = \"h\"", "unit = \"min\"");
        },
    },
    Case {
        rule: "name-unfit-for-archive",
        place: "papers/aux.txt",
        trigger: |folder| {
            folder.write("papers/aux.txt", "invented");
        },
        near_miss: |folder| {
            folder.write("papers/auxiliary permit, 2025 (copy).txt", "invented");
        },
    },
    Case {
        rule: "accepted-in-vain",
        place: "season.toml key accepted.1",
        trigger: |folder| {
            folder.append(
                "season.toml",
                "\n[[accepted]]\nfinding = \"hours-missing\"\nplace = \"pulls.csv row 2\"\nreason = \"x\"\n",
            );
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,10", ",10").append(
                "season.toml",
                "\n[[accepted]]\nfinding = \"container-without-kind\"\nplace = \"pulls.csv row 2\"\nreason = \"x\"\n",
            );
        },
    },
    Case {
        rule: "previous-archive-missing",
        place: "season.toml key previous.archive",
        trigger: |folder| name_earlier(folder, None),
        near_miss: follow,
    },
    Case {
        rule: "previous-archive-not-whole",
        place: "season.toml key previous.archive",
        trigger: |folder| {
            follow(folder);
            let file = folder.path().join("papers/earlier.zip");
            let mut bytes = std::fs::read(&file).unwrap();
            let at = bytes.len() / 2;
            bytes[at] ^= 1;
            std::fs::write(file, bytes).unwrap();
        },
        near_miss: follow,
    },
    Case {
        rule: "previous-root-differs",
        place: "season.toml key previous.root",
        trigger: |folder| {
            earlier_archive(folder, 2024);
            name_earlier(folder, Some(&"ab".repeat(32)));
        },
        near_miss: |folder| {
            let packed = earlier_archive(folder, 2024);
            name_earlier(folder, Some(&to_words(&packed.root).join(" ")));
        },
    },
    Case {
        rule: "previous-not-earlier",
        place: "season.toml key previous.archive",
        trigger: |folder| {
            earlier_archive(folder, 2025);
            name_earlier(folder, None);
        },
        near_miss: |folder| {
            earlier_archive(folder, 2019);
            name_earlier(folder, None);
        },
    },
    Case {
        rule: "previous-root-not-named",
        place: "season.toml key previous.archive",
        trigger: |folder| {
            earlier_archive(folder, 2024);
            name_earlier(folder, None);
        },
        near_miss: follow,
    },
    Case {
        rule: "history-differs-from-archive",
        place: "history.csv row 2, removed",
        trigger: |folder| {
            follow(folder);
            folder.write(
                "history.csv",
                "year,site,effort_hours,removed,unit\n2024,north,30,420,kg\n",
            );
        },
        near_miss: |folder| {
            follow(folder);
            // Another unit, rounding, another year, a site that the ledger lacks.
            folder.write(
                "history.csv",
                "year,site,effort_hours,removed,unit\n2024,North Cove,30,887,lb\n2024,north,30,33,bag\n2023,north,9,1,kg\n2024,south,9,1,kg\n",
            );
        },
    },
    Case {
        rule: "photo-from-earlier-season",
        place: "photos/p5.jpg",
        trigger: |folder| {
            follow(folder);
            let photo = photo_at("2024:06:14 11:00:00", NORTH_COVE).jpeg();
            folder.write("photos/p5.jpg", photo);
        },
        near_miss: |folder| {
            follow(folder);
            let photo = photo_at("2024:06:14 11:00:00", NORTH_COVE).jpeg();
            folder.write("papers/then.jpg", photo);
        },
    },
    // Hours, heads and crews.
    Case {
        rule: "hours-beyond-daylight",
        place: "pulls.csv row 6, volunteer_hours",
        trigger: |folder| {
            // 15.5 hours each on 2 August, where civil twilight lasts 15.
            folder.replace("pulls.csv", "9:00,10:00,1,2,1,2", ",,1,2,1,31");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "9:00,10:00,1,2,1,2", ",,1,2,1,28");
        },
    },
    Case {
        rule: "pull-in-the-dark",
        place: "pulls.csv row 6, end",
        trigger: |folder| {
            folder.replace("pulls.csv", "9:00,10:00", "9:00,22:00");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "9:00,10:00", "9:00,18:00");
        },
    },
    Case {
        rule: "heads-against-hours",
        place: "pulls.csv row 2, volunteer_hours",
        trigger: |folder| {
            // The length of the outing in the place of the hours of all four.
            folder.replace("pulls.csv", "1,4,3,12", "1,4,3,3");
        },
        near_miss: |folder| {
            // One of the four left half way.
            folder.replace("pulls.csv", "1,4,3,12", "1,4,3,10.5");
        },
    },
    Case {
        rule: "crew-in-two-places",
        place: "pulls.csv row 7, start",
        trigger: |folder| two_sites_on_a_day(folder, "11:00"),
        // A kilometre on, a quarter of an hour later.
        near_miss: |folder| two_sites_on_a_day(folder, "12:15"),
    },
    Case {
        rule: "more-boats-than-heads",
        place: "pulls.csv row 2, boats",
        trigger: |folder| with_column(folder, "boats", "6"),
        near_miss: |folder| with_column(folder, "boats", "5"),
    },
    // Growth.
    Case {
        rule: "stage-goes-back",
        place: "pulls.csv row 6, stage",
        trigger: |folder| {
            folder
                .replace("pulls.csv", "south,9:00,10:00", "north,9:00,10:00")
                .replace("pulls.csv", "fruiting", "seedling")
                .write(
                    "photos/p4.jpg",
                    photo_at("2025:08:02 09:30:00", NORTH_COVE).jpeg(),
                );
        },
        near_miss: |folder| {
            folder
                .replace("pulls.csv", "south,9:00,10:00", "north,9:00,10:00")
                .replace("pulls.csv", "fruiting", "flowering")
                .write(
                    "photos/p4.jpg",
                    photo_at("2025:08:02 09:30:00", NORTH_COVE).jpeg(),
                );
        },
    },
    Case {
        rule: "fruit-against-stage",
        place: "pulls.csv row 2, fruit",
        trigger: |folder| with_column(folder, "fruit", "ripe"),
        near_miss: |folder| with_column(folder, "fruit", "none"),
    },
    Case {
        rule: "pull-after-ripe-seed",
        place: "pulls.csv row 4, date",
        trigger: |folder| {
            folder.replace(
                "season.toml",
                "year = 2025",
                "year = 2025\nseed_ripens = 2025-07-10",
            );
        },
        near_miss: |folder| {
            // The only later pull found nothing.
            folder.replace(
                "season.toml",
                "year = 2025",
                "year = 2025\nseed_ripens = 2025-07-20",
            );
        },
    },
    Case {
        rule: "return-before-pull",
        place: "pulls.csv row 2, return_by",
        trigger: |folder| with_column(folder, "return_by", "2025-05-28"),
        near_miss: |folder| with_column(folder, "return_by", "2025-06-28"),
    },
    Case {
        rule: "seed-ripens-outside-season",
        place: "season.toml key seed_ripens",
        trigger: |folder| {
            folder.replace(
                "season.toml",
                "year = 2025",
                "year = 2025\nseed_ripens = 2024-08-20",
            );
        },
        near_miss: |folder| {
            folder.replace(
                "season.toml",
                "year = 2025",
                "year = 2025\nseed_ripens = 2025-08-20",
            );
        },
    },
    // Care.
    Case {
        rule: "bloom-and-went-on",
        place: "pulls.csv row 2, bloom_seen",
        trigger: |folder| {
            with_columns(folder, "bloom_seen,notes", "yes,Green scum along the wall.")
        },
        near_miss: |folder| {
            with_columns(
                folder,
                "bloom_seen,notes",
                "yes,Green scum. Everybody out of the water at once.",
            );
        },
    },
    Case {
        rule: "gear-not-cleaned",
        place: "pulls.csv row 2, gear_cleaned",
        trigger: |folder| {
            with_column(folder, "gear_cleaned", "no");
            folder.replace(
                "sites.geojson",
                "\"South Cove\", \"waterbody\": \"Test Pond\"",
                "\"South Cove\", \"waterbody\": \"Mill Race\"",
            );
        },
        // The next pull is in the same pond.
        near_miss: |folder| with_column(folder, "gear_cleaned", "no"),
    },
    Case {
        rule: "disposal-unknown",
        place: "pulls.csv row 2, disposal",
        trigger: |folder| with_column(folder, "disposal", "unknown"),
        near_miss: |folder| with_column(folder, "disposal", "compost yard"),
    },
    Case {
        rule: "disposal-on-flood-plain",
        place: "pulls.csv row 2, disposal",
        trigger: |folder| with_column(folder, "disposal", "heap on the flood plain"),
        near_miss: |folder| with_column(folder, "disposal", "heap off the flood plain"),
    },
    // Weights.
    Case {
        rule: "container-too-heavy",
        place: "pulls.csv row 5, mass_kg",
        trigger: |folder| {
            folder.replace("pulls.csv", "basket,2,9.5", "basket,2,950");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "basket,2,9.5", "basket,2,95");
        },
    },
    Case {
        rule: "container-unlike-weighed",
        place: "pulls.csv row 2, mass_kg",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10,,,counted", "bag,10,12,,weighed");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,10,,,counted", "bag,10,120,,weighed");
        },
    },
    Case {
        rule: "weighing-far-out",
        place: "weighings.csv row 2, mass_kg",
        trigger: |folder| {
            // Pounds under a heading of kilograms.
            folder.replace("weighings.csv", "11.2", "24.7");
        },
        near_miss: |folder| {
            folder.replace("weighings.csv", "11.2", "16.2");
        },
    },
    // Outlines.
    Case {
        rule: "outline-crosses-itself",
        place: "sites.geojson feature south",
        trigger: |folder| {
            folder.replace(
                "sites.geojson",
                "[[-45.001, 38.49], [-45.0, 38.49], [-45.0, 38.491], [-45.001, 38.491]",
                "[[-45.001, 38.49], [-45.0, 38.491], [-45.0, 38.49], [-45.001, 38.491]",
            );
        },
        near_miss: |folder| {
            // The other way round is a shape too.
            folder.replace(
                "sites.geojson",
                "[[-45.001, 38.49], [-45.0, 38.49], [-45.0, 38.491], [-45.001, 38.491]",
                "[[-45.001, 38.49], [-45.001, 38.491], [-45.0, 38.491], [-45.0, 38.49]",
            );
        },
    },
    Case {
        rule: "outlines-overlap",
        place: "sites.geojson feature south",
        trigger: |folder| {
            folder.replace(
                "sites.geojson",
                "[-45.0, 38.491], [-45.001, 38.491]",
                "[-45.0, 38.5005], [-45.001, 38.5005]",
            );
        },
        near_miss: |folder| {
            // The two share a border.
            folder.replace(
                "sites.geojson",
                "[-45.0, 38.491], [-45.001, 38.491]",
                "[-45.0, 38.5], [-45.001, 38.5]",
            );
        },
    },
    Case {
        rule: "outline-swapped",
        place: "sites.geojson feature south",
        trigger: |folder| {
            folder.replace(
                "sites.geojson",
                "[[[-45.001, 38.49], [-45.0, 38.49], [-45.0, 38.491], [-45.001, 38.491], [-45.001, 38.49]]]",
                "[[[38.49, -45.001], [38.49, -45.0], [38.491, -45.0], [38.491, -45.001], [38.49, -45.001]]]",
            );
        },
        near_miss: |folder| {
            // Far from all else, and not among it the other way round either.
            folder.replace(
                "sites.geojson",
                "[[[-45.001, 38.49], [-45.0, 38.49], [-45.0, 38.491], [-45.001, 38.491], [-45.001, 38.49]]]",
                "[[[-35.001, 38.49], [-35.0, 38.49], [-35.0, 38.491], [-35.001, 38.491], [-35.001, 38.49]]]",
            );
        },
    },
    Case {
        rule: "station-outside-site",
        place: "sites.geojson feature S1",
        trigger: |folder| {
            folder.replace("sites.geojson", "[-45.0005, 38.5005]", "[-45.0005, 38.55]");
        },
        near_miss: |folder| {
            folder.replace("sites.geojson", "[-45.0005, 38.5005]", "[-45.0005, 38.51]");
        },
    },
    Case {
        rule: "station-site-unknown",
        place: "sites.geojson feature S1",
        trigger: |folder| {
            folder.replace("sites.geojson", "\"site\": \"north\"", "\"site\": \"nord\"");
        },
        near_miss: |folder| {
            folder.replace(
                "sites.geojson",
                "\"site\": \"north\"",
                "\"site\": \"North Cove\"",
            );
        },
    },
    Case {
        rule: "waterbody-misspelt",
        place: "sites.geojson feature south",
        trigger: |folder| {
            folder.replace(
                "sites.geojson",
                "\"South Cove\", \"waterbody\": \"Test Pond\"",
                "\"South Cove\", \"waterbody\": \"Tset Pond\"",
            );
        },
        near_miss: |folder| {
            folder.replace(
                "sites.geojson",
                "\"South Cove\", \"waterbody\": \"Test Pond\"",
                "\"South Cove\", \"waterbody\": \"Mill Race\"",
            );
        },
    },
    // Areas, cover, earlier seasons.
    Case {
        rule: "treated-beyond-searched",
        place: "pulls.csv row 2, treated_area_m2",
        trigger: |folder| with_columns(folder, "searched_area_m2,treated_area_m2", "2000,3000"),
        near_miss: |folder| with_columns(folder, "searched_area_m2,treated_area_m2", "3000,3000"),
    },
    Case {
        rule: "area-beyond-site",
        place: "pulls.csv row 2, searched_area_ha",
        // The site has about 0.97 ha.
        trigger: |folder| with_column(folder, "searched_area_ha", "2.4"),
        near_miss: |folder| with_column(folder, "searched_area_ha", "1.2"),
    },
    Case {
        rule: "cover-impossible",
        place: "cover.csv row 2, percent",
        trigger: |folder| {
            folder.write("cover.csv", "date,site,plot,when,percent\n2025-06-14,north,A,before,700\n2025-08-02,north,A,after,10\n");
        },
        near_miss: |folder| {
            folder.write("cover.csv", "date,site,plot,when,percent\n2025-06-14,north,A,before,100\n2025-08-02,north,A,after,10\n");
        },
    },
    Case {
        rule: "cover-station-unknown",
        place: "cover.csv row 2, station",
        trigger: |folder| {
            folder.write("cover.csv", "date,site,plot,station,when,percent\n2025-06-14,north,A,S2,before,70\n2025-08-02,north,A,,after,10\n");
        },
        near_miss: |folder| {
            folder.write("cover.csv", "date,site,plot,station,when,percent\n2025-06-14,north,A,s-1,before,70\n2025-08-02,north,A,,after,10\n");
        },
    },
    Case {
        rule: "cover-empty",
        place: "cover.csv row 2",
        trigger: |folder| {
            folder.write("cover.csv", "date,site,plot,when,percent\n2025-06-14,north,A,before,\n2025-08-02,north,A,after,10\n");
        },
        near_miss: |folder| {
            folder.write("cover.csv", "date,site,plot,when,percent\n2025-06-14,north,A,before,0\n2025-08-02,north,A,after,0\n");
        },
    },
    Case {
        rule: "weighing-on-another-day",
        place: "weighings.csv row 2, date",
        trigger: |folder| {
            folder.write(
                "weighings.csv",
                "pull,date,container,mass_kg\nP1,2025-06-16,bag,11.2\nP1,,bag,12.1\n",
            );
        },
        near_miss: |folder| {
            folder.write(
                "weighings.csv",
                "pull,date,container,mass_kg\nP1,14 June 2025,bag,11.2\nP1,,bag,12.1\n",
            );
        },
    },
    Case {
        rule: "history-not-earlier",
        place: "history.csv row 3, year",
        trigger: |folder| {
            folder.write(
                "history.csv",
                "year,site,effort_h,removed,unit\n2023,north,30,200,kg\n2025,north,30,180,kg\n",
            );
        },
        near_miss: |folder| {
            folder.write(
                "history.csv",
                "year,site,effort_h,removed,unit\n2023,north,30,200,kg\n2024,north,30,180,kg\n",
            );
        },
    },
    Case {
        rule: "history-twice",
        place: "history.csv row 3",
        trigger: |folder| {
            folder.write("history.csv", "year,site,effort_h,removed,unit\n2024,north,30,200,kg\n2024,North Cove,30,180,kg\n");
        },
        near_miss: |folder| {
            folder.write(
                "history.csv",
                "year,site,effort_h,removed,unit\n2024,north,30,200,kg\n2024,south,30,180,kg\n",
            );
        },
    },
    // Money.
    Case {
        rule: "receipt-outside-grant",
        place: "spending.csv row 2, date",
        trigger: |folder| {
            folder.replace(
                "season.toml",
                "id = \"fund\"",
                "id = \"fund\"\nends = 2025-06-29",
            );
        },
        near_miss: |folder| {
            folder.replace(
                "season.toml",
                "id = \"fund\"",
                "id = \"fund\"\nends = 2025-06-30",
            );
        },
    },
    Case {
        rule: "spending-over-line",
        place: "spending.csv row 3, amount",
        trigger: |folder| {
            folder.append("spending.csv", "2025-07-31,fund,wages,549.76,,cash\n");
        },
        near_miss: |folder| {
            folder.append("spending.csv", "2025-07-31,fund,wages,549.75,,cash\n");
        },
    },
    Case {
        rule: "spending-booked-twice",
        place: "spending.csv row 3, amount",
        trigger: |folder| {
            folder.append(
                "spending.csv",
                "2025-07-02,fund,wages,450.25,june.txt,cash\n",
            );
        },
        near_miss: |folder| {
            // One receipt, two amounts on it.
            folder.append(
                "spending.csv",
                "2025-06-30,fund,wages,120.00,june.txt,cash\n",
            );
        },
    },
    Case {
        rule: "match-counted-twice",
        place: "spending.csv row 3, amount",
        trigger: |folder| {
            folder
                .replace("spending.csv", "receipt,kind\n", "receipt,kind,notes\n")
                .append(
                    "spending.csv",
                    "2025-07-31,fund,,360.00,,in-kind,12 volunteer hours in June\n",
                );
        },
        near_miss: |folder| {
            folder
                .replace("spending.csv", "receipt,kind\n", "receipt,kind,notes\n")
                .append(
                    "spending.csv",
                    "2025-07-31,fund,,360.00,,in-kind,canoe loan\n",
                );
        },
    },
    Case {
        rule: "grant-ends-before-start",
        place: "season.toml key grants.fund.ends",
        trigger: |folder| {
            folder.replace(
                "season.toml",
                "id = \"fund\"",
                "id = \"fund\"\nstarts = 2025-04-01\nends = 2024-12-31",
            );
        },
        near_miss: |folder| {
            folder.replace(
                "season.toml",
                "id = \"fund\"",
                "id = \"fund\"\nstarts = 2025-04-01\nends = 2025-12-31",
            );
        },
    },
    Case {
        rule: "rate-of-another-year",
        place: "season.toml key rates.1.year",
        trigger: |folder| {
            folder.replace(
                "season.toml",
                "per_hour = \"30.00\"\nyear = 2025",
                "per_hour = \"30.00\"\nyear = 2022",
            );
        },
        near_miss: |folder| {
            folder.replace(
                "season.toml",
                "per_hour = \"30.00\"\nyear = 2025",
                "per_hour = \"30.00\"",
            );
        },
    },
    Case {
        rule: "rate-without-source",
        place: "season.toml key rates.1.source",
        trigger: |folder| {
            folder.replace("season.toml", "source = \"invented\"", "");
        },
        near_miss: |folder| {
            folder.replace(
                "season.toml",
                "source = \"invented\"",
                "source = \"wage table\"",
            );
        },
    },
    // Prose.
    Case {
        rule: "prose-number-typed",
        place: "narrative/summary.typ line 2",
        trigger: |folder| {
            // 15 + 8 + 18 + 3 hours.
            folder.write(
                "narrative/summary.typ",
                "A good season.\nCrews gave 44 person-hours.\n",
            );
        },
        near_miss: |folder| {
            folder.write(
                "narrative/summary.typ",
                "A good season.\nCrews gave #figure-text(\"effort.person-hours\"). // 44 person-hours\nFrom 9:00 on 14 June 2025, P1 first.\n",
            );
        },
    },
    Case {
        rule: "prose-number-unbacked",
        place: "narrative/summary.typ line 1",
        trigger: |folder| {
            folder.write("narrative/summary.typ", "We took out 1,250 kg.\n");
        },
        near_miss: |folder| {
            // The grant's target is a promise.
            folder.write(
                "narrative/summary.typ",
                "The grant asks for 40 hours, in 3 passes.\n",
            );
        },
    },
    Case {
        rule: "prose-figure-unknown",
        place: "narrative/summary.typ line 1",
        trigger: |folder| {
            folder.write(
                "narrative/summary.typ",
                "We gave #figure-text(\"effort.persons-hours\").\n",
            );
        },
        near_miss: |folder| {
            folder.write(
                "narrative/summary.typ",
                "We gave #figure-text(\"effort.person-hours/north\").\n",
            );
        },
    },
    Case {
        rule: "acceptance-lapsed",
        place: "season.toml key accepted.1",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", ",10");
            accept(folder, "container-without-kind", "pulls.csv row 2");
            // Somebody logs more of them afterwards.
            folder.replace("pulls.csv", ",10,,,counted", ",14,,,counted");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,10", ",10");
            accept(folder, "container-without-kind", "pulls.csv row 2");
            // Another row changes, and a row above moves this one.
            folder.replace("pulls.csv", "bag,6", "bag,7");
        },
    },
    Case {
        rule: "accepted-for-good",
        place: "season.toml key accepted.1",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", ",10").append(
                "season.toml",
                "\n[[accepted]]\nfinding = \"container-without-kind\"\nplace = \"pulls.csv row 2\"\nreason = \"x\"\n",
            );
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "bag,10", ",10");
            accept(folder, "container-without-kind", "pulls.csv row 2");
        },
    },
    Case {
        rule: "date-against-photos",
        place: "pulls.csv row 3, date",
        trigger: |folder| {
            folder.replace("pulls.csv", "P2,2025-06-21", "P2,2025-07-21");
        },
        near_miss: |folder| {
            // No photo at all: nothing contradicts the date.
            folder
                .replace("pulls.csv", "P2,2025-06-21", "P2,2025-07-21")
                .remove("photos/p2.jpg");
        },
    },
    Case {
        rule: "catch-far-out",
        place: "pulls.csv row 7, containers",
        trigger: |folder| many_pulls(folder, 70),
        near_miss: |folder| many_pulls(folder, 17),
    },
];

/// Before and after of a station, the latter at this place.
fn station_pair_at(folder: &Folder, after: (f64, f64)) {
    let at = |taken, position| Phone {
        bearing: Some(90),
        ..photo_at(taken, position)
    };
    folder
        .write(
            "photos/p5.jpg",
            at("2025:06:14 09:05:00", NORTH_COVE).jpeg(),
        )
        .write("photos/p6.jpg", at("2025:06:14 11:55:00", after).jpeg())
        .write(
            "photos.csv",
            "file,station,role\np5.jpg,S1,before\np6.jpg,S1,after\n",
        );
}

/// The archive of 2024 in the folder, named in season.toml with its root.
fn follow(folder: &Folder) {
    let packed = earlier_archive(folder, 2024);
    name_earlier(folder, Some(&hex(&packed.root)));
}

fn earlier_archive(folder: &Folder, year: i32) -> Packed {
    let figures = [
        ("effort.person-hours/north", 30.0),
        ("removal.wet-mass/north", 402.3),
        ("removal.containers/bag/north", 33.0),
    ];
    let photo = photo_at("2024:06:14 11:00:00", NORTH_COVE).jpeg();
    let output = folder.path().join("papers/earlier.zip");
    archive(&output, year, &figures, &[("photos/then.jpg", photo)])
}

fn name_earlier(folder: &Folder, root: Option<&str>) {
    let root = root.map_or(String::new(), |root| format!("root = \"{root}\"\n"));
    folder.append(
        "season.toml",
        &format!("\n[previous]\narchive = \"papers/earlier.zip\"\n{root}"),
    );
}

/// Pastes the lines that check prints for accepting a finding.
pub fn accept(folder: &Folder, name: &str, place: &str) {
    let wanted = finding::Wanted {
        name,
        place,
        reason: "Looked up on the field sheet.",
        by: None,
        on: chrono::NaiveDate::from_ymd_opt(2025, 11, 2).unwrap(),
    };
    let (lines, _) = finding::lines_to_paste(&folder.season(), &folder.findings(), &wanted)
        .unwrap_or_else(|| panic!("no {name} at {place}"));
    folder.append("season.toml", &format!("\n{lines}"));
}

/// Adds a column to the log with a value in its first row.
fn with_column(folder: &Folder, heading: &str, first: &str) {
    with_columns(folder, heading, first);
}

/// Adds columns to the log with values in its first row, and none in the others.
pub fn with_columns(folder: &Folder, headings: &str, first: &str) {
    let commas = ",".repeat(headings.matches(',').count() + 1);
    let rows: Vec<String> = folder
        .read("pulls.csv")
        .lines()
        .enumerate()
        .map(|(index, line)| match index {
            0 => format!("{line},{headings}"),
            1 => format!("{line},{first}"),
            // Other pulls say where their plants went and that all was well, as far as the column goes.
            _ if headings == "disposal" => format!("{line},compost yard"),
            _ => format!("{line}{commas}"),
        })
        .collect();
    folder.write("pulls.csv", rows.join("\n") + "\n");
}

/// A fifth pull at the other site on the day of the first, by a crew of the same heads.
fn two_sites_on_a_day(folder: &Folder, start: &str) {
    folder
        .append(
            "pulls.csv",
            &format!("P5,2025-06-14,south,{start},14:00,1,4,2.5,10,fund,bag,5,,,counted,rosette\n"),
        )
        .write(
            "photos/p5.jpg",
            photo_at("2025:06:14 13:30:00", SOUTH_COVE).jpeg(),
        );
}

/// Three more pulls of an hour or two, the first of which brings so many bags.
fn many_pulls(folder: &Folder, bags: u32) {
    for (number, day, bags) in [(5, 28, bags), (6, 29, 6), (7, 30, 8)] {
        folder
            .append(
                "pulls.csv",
                &format!("P{number},2025-06-{day},north,9:00,12:00,1,4,3,12,fund,bag,{bags},,,counted,rosette\n"),
            )
            .write(
                &format!("photos/p{number}.jpg"),
                Phone::at(
                    match number {
                        5 => "2025:06:28 10:00:00",
                        6 => "2025:06:29 10:00:00",
                        _ => "2025:06:30 10:00:00",
                    },
                    NORTH_COVE,
                )
                .jpeg(),
            );
    }
}

fn station_pair(folder: &Folder, before: u32, after: u32) {
    let photo = |taken, bearing| Phone {
        bearing: Some(bearing),
        ..photo_at(taken, NORTH_COVE)
    };
    folder
        .write("photos/p5.jpg", photo("2025:06:14 09:05:00", before).jpeg())
        .write("photos/p6.jpg", photo("2025:06:14 11:55:00", after).jpeg())
        .write(
            "photos.csv",
            "file,station,role\np5.jpg,S1,before\np6.jpg,S1,after\n",
        );
}

fn of_rule<'a>(findings: &'a [Finding], rule: &str) -> Vec<&'a Finding> {
    findings
        .iter()
        .filter(|finding| finding.name == rule)
        .collect()
}

/// An example of each rule: the first finding that its trigger brings at the place of the case.
#[cfg(target_os = "linux")]
pub fn examples() -> std::collections::BTreeMap<String, finding::Example> {
    let example = |folder: &Folder, rule: &str, place: Option<&str>| {
        let findings = folder.findings();
        let found = of_rule(&findings, rule)
            .into_iter()
            .find(|finding| place.is_none_or(|place| finding.place.to_string() == place));
        finding::Example::from(found.unwrap_or_else(|| panic!("{rule} is not found")))
    };
    let mut examples: std::collections::BTreeMap<String, finding::Example> = cases()
        .map(|case| {
            let folder = Folder::clean();
            (case.trigger)(&folder);
            (
                case.rule.to_owned(),
                example(&folder, case.rule, Some(case.place)),
            )
        })
        .collect();
    let folder = Folder::clean();
    let outside = folder.beside("elsewhere.jpg");
    std::fs::write(&outside, photo_at("2025:06:14 11:00:00", NORTH_COVE).jpeg()).unwrap();
    std::os::unix::fs::symlink(&outside, folder.path().join("photos/link.jpg")).unwrap();
    folder.write("papers/June.txt", "another receipt");
    for rule in ["link-in-folder", "names-collide"] {
        examples.insert(rule.to_owned(), example(&folder, rule, None));
    }
    examples
}

#[test]
fn a_clean_folder_gives_no_errors_and_no_doubts() {
    let findings = Folder::clean().findings();
    assert_eq!(findings, []);
}

#[test]
fn a_folder_that_follows_a_whole_archive_is_clean() {
    let folder = Folder::clean();
    follow(&folder);
    assert_eq!(folder.findings(), []);
}

#[test]
fn every_trigger_is_found_where_it_is_and_no_near_miss_is() {
    let mut wrong = Vec::new();
    for case in cases() {
        let folder = Folder::clean();
        (case.trigger)(&folder);
        let findings = folder.findings();
        let found = of_rule(&findings, case.rule);
        if !found
            .iter()
            .any(|finding| finding.place.to_string() == case.place)
        {
            let places: Vec<String> = findings
                .iter()
                .map(|finding| format!("{} at {}", finding.name, finding.place))
                .collect();
            wrong.push(format!(
                "{} is not found at {}; found: {places:?}",
                case.rule, case.place
            ));
        }
        if found.iter().any(|finding| {
            finding.message.is_empty() || finding.why.is_empty() || finding.mend.is_empty()
        }) {
            wrong.push(format!("{} lacks words", case.rule));
        }
        let folder = Folder::clean();
        (case.near_miss)(&folder);
        let findings = folder.findings();
        if !of_rule(&findings, case.rule).is_empty() {
            wrong.push(format!("{} is found in its near miss", case.rule));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_rule_has_its_case() {
    let rules: BTreeSet<&str> = finding::rules()
        .iter()
        .chain(&windrow::figure::rules())
        .chain(windrow::report::RULES)
        .map(|rule| rule.name)
        .collect();
    let cases: BTreeSet<&str> = cases().map(|case| case.rule).collect();
    // Links, and names that differ in capitals alone, can't be made on every system; they have tests of their own.
    let by_itself = BTreeSet::from(["link-in-folder", "names-collide"]);
    let covered: BTreeSet<&str> = cases.union(&by_itself).copied().collect();
    assert_eq!(rules, covered);
}

#[cfg(unix)]
#[test]
fn a_link_is_told_and_not_followed() {
    let folder = Folder::clean();
    let outside = folder.beside("elsewhere.jpg");
    std::fs::write(&outside, photo_at("2025:06:14 11:00:00", NORTH_COVE).jpeg()).unwrap();
    std::os::unix::fs::symlink(&outside, folder.path().join("photos/link.jpg")).unwrap();
    let findings = folder.findings();
    assert_eq!(of_rule(&findings, "link-in-folder").len(), 1);
    assert_eq!(folder.season().photos.len(), 4);
}

#[cfg(target_os = "linux")]
#[test]
fn names_that_differ_in_capitals_alone_collide() {
    let folder = Folder::clean();
    folder.write("papers/June.txt", "another receipt");
    let findings = folder.findings();
    assert_eq!(of_rule(&findings, "names-collide").len(), 1);
}

#[test]
fn the_row_is_quoted_with_its_cell_marked() {
    let folder = Folder::clean();
    folder.replace("pulls.csv", "bag,10", "bag,ten");
    let findings = folder.findings();
    let finding = of_rule(&findings, "number-unreadable")[0];
    let quote = finding.quote.as_ref().unwrap();
    let (start, end) = quote.mark.unwrap();
    assert_eq!(&quote.text[start..end], "ten");
    assert!(quote.text.starts_with("P1, 2025-06-14, north"));
}

#[test]
fn an_accepted_finding_is_kept_with_its_reason_and_stands_in_nobodys_way() {
    let folder = Folder::clean();
    folder.replace("pulls.csv", "9:00,12:00", "9:00,1:00").append(
        "season.toml",
        "\n[[accepted]]\nfinding = \"end-before-start\"\nplace = \"pulls.csv row 2, end\"\nreason = \"The watch had stopped.\"\n\
         by = \"coordinator\"\non = 2025-11-02\n",
    );
    let findings = folder.findings();
    let finding = of_rule(&findings, "end-before-start")[0];
    assert_eq!(
        finding.accepted.as_ref().unwrap().reason,
        "The watch had stopped."
    );
    assert_eq!(finding::open(&findings, Grade::Error), 0);
}

#[test]
fn findings_come_all_at_once_and_the_gravest_first() {
    let folder = Folder::clean();
    folder
        .replace("pulls.csv", "bag,10", "bag,ten")
        .replace("pulls.csv", "2025-06-21,south", "2025-06-21,soth")
        .replace(
            "season.toml",
            "year = 2025",
            "year = 2025\nprograme = \"x\"",
        )
        .remove("photos/p4.jpg");
    let findings = folder.findings();
    for rule in [
        "number-unreadable",
        "site-unknown",
        "setting-unknown",
        "pull-without-photo",
    ] {
        assert!(!of_rule(&findings, rule).is_empty(), "{rule}");
    }
    assert!(findings.is_sorted_by_key(|finding| finding.grade));
}

/// A near miss of the rules on consent and choice of plates: what may be printed, and by whom it was chosen.
#[test]
fn plates_are_chosen_by_rule_until_a_person_names_one_and_never_show_who_did_not_agree() {
    let folder = Folder::clean();
    folder.write("photos.csv", "file,role,consent,minors\np1.jpg,crew,,\n");
    let chosen = |folder: &Folder| windrow::report::chosen_by_rule(&folder.season());
    // The crew of the north, and of the south the sharper of two that nobody described.
    let by_rule = chosen(&folder);
    assert_eq!(by_rule.len(), 2);
    assert_eq!(by_rule[0], "photos/p1.jpg");
    for kept_back in ["crew,no,", "crew,,yes", "crew,unknown,yes"] {
        folder.write(
            "photos.csv",
            format!("file,role,consent,minors\np1.jpg,{kept_back}\n"),
        );
        assert!(
            !chosen(&folder).contains(&"photos/p1.jpg".to_owned()),
            "{kept_back}"
        );
    }
    folder.write(
        "photos.csv",
        "file,role,consent,minors\np1.jpg,crew,yes,yes\n",
    );
    assert!(chosen(&folder).contains(&"photos/p1.jpg".to_owned()));
    folder.write("photos.csv", "file,plate\np4.jpg,yes\n");
    assert!(chosen(&folder).is_empty());
}

#[test]
fn consent_says_who_may_see_a_photo() {
    use windrow::season::{Role, showing};
    let folder = Folder::clean();
    let seen = |row: &str, role: Option<Role>| {
        folder.write(
            "photos.csv",
            format!("file,role,consent,minors,withheld\np1.jpg,{row}\n"),
        );
        let showing = showing(&folder.season(), "photos/p1.jpg", role);
        (showing.in_closed_editions(), showing.in_public())
    };
    for (row, expected) in [
        ("crew,yes,,", (true, true)),
        ("crew,yes,yes,", (true, true)),
        ("crew,,,", (true, false)),
        ("crew,unknown,,", (true, false)),
        ("catch,unknown,,", (true, false)),
        ("catch,,,", (true, true)),
        (",,,", (true, false)),
        ("catch,,yes,", (false, false)),
        ("crew,no,,", (false, false)),
        ("crew,yes,,yes", (false, false)),
    ] {
        assert_eq!(seen(row, None), expected, "{row}");
    }
    // A role that follows from a station counts like one that a person gave.
    assert_eq!(seen(",,,", Some(Role::Before)), (true, true));
}

#[test]
fn photos_of_other_years_stand_beside_a_stations_pair() {
    let folder = Folder::clean();
    station_pair_at(&folder, NORTH_COVE);
    for (name, taken) in [
        ("y1.jpg", "2023:06:20 10:00:00"),
        ("y2.jpg", "2023:09:01 10:00:00"),
    ] {
        let phone = Phone {
            bearing: Some(92),
            ..photo_at(taken, NORTH_COVE)
        };
        folder.write(&format!("photos/{name}"), phone.jpeg());
    }
    let season = folder.season();
    let pairs = windrow::season::station_pairs(&season);
    let path = |index: usize| season.photos[index].path.as_str();
    assert_eq!(path(pairs[0].before.unwrap()), "photos/p5.jpg");
    assert_eq!(path(pairs[0].after.unwrap()), "photos/p6.jpg");
    let years: Vec<&str> = pairs[0].other_years.iter().map(|at| path(*at)).collect();
    assert_eq!(years, ["photos/y1.jpg"]);
    assert!(of_rule(&folder.findings(), "photo-without-pull").is_empty());
}

#[test]
fn summer_time_that_a_camera_missed_is_told_as_such() {
    let folder = Folder::clean();
    folder.replace("season.toml", "ends = 2025-09-30", "ends = 2025-11-30");
    // The clocks of New York went back on 2 November 2025; this camera writes no offset and stayed as it was.
    for (name, taken, gps) in [
        ("c1.jpg", "2025:10:25 10:00:00", (14, 0, 0)),
        ("c2.jpg", "2025:10:26 10:00:00", (14, 0, 0)),
        ("c3.jpg", "2025:11:08 11:00:00", (15, 0, 0)),
        ("c4.jpg", "2025:11:09 11:00:00", (15, 0, 0)),
    ] {
        let phone = Phone {
            model: "Invented Camera D",
            offset: None,
            gps_time: Some(gps),
            ..photo_at(taken, NORTH_COVE)
        };
        folder.write(&format!("photos/{name}"), phone.jpeg());
    }
    let findings = folder.findings();
    let found = of_rule(&findings, "clock-against-gps");
    assert_eq!(found.len(), 1);
    assert!(
        found[0]
            .message
            .to_string()
            .contains("the clocks were put back on 2025-11-02 and this one was not"),
        "{}",
        found[0].message
    );
}
