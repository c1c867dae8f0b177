//! Each rule has a change of the clean folder that triggers it, and a near miss that does not.

use std::collections::BTreeSet;

use windrow::finding::{self, Finding, Grade};

use super::support::folder::{Folder, NORTH_COVE, SOUTH_COVE};
use super::support::photo::Phone;

type Change = fn(&Folder);

/// Rule, a change that triggers it, where it is then found, a near miss that does not.
struct Case {
    rule: &'static str,
    place: &'static str,
    trigger: Change,
    near_miss: Change,
}

fn nothing(_: &Folder) {}

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
                "P3,2025-07-12,North Cove,9:00,noon",
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

#[test]
fn a_clean_folder_gives_no_errors_and_no_doubts() {
    let findings = Folder::clean().findings();
    assert_eq!(findings, []);
}

#[test]
fn every_trigger_is_found_where_it_is_and_no_near_miss_is() {
    let mut wrong = Vec::new();
    for case in CASES {
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
        .chain(windrow::figure::RULES)
        .chain(windrow::report::RULES)
        .map(|rule| rule.name)
        .collect();
    let cases: BTreeSet<&str> = CASES.iter().map(|case| case.rule).collect();
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
