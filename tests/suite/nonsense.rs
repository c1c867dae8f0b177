//! Nonsense in any file: findings or a clear error, never a panic, and nothing changed.

use proptest::prelude::*;

use super::support::folder::{Folder, contents};
use super::support::photo::Phone;

/// Runs everything but the typesetting; the report is tried on a few folders below.
fn survives(folder: &Folder) {
    let before = contents(&folder.path());
    let findings = folder.findings();
    assert!(!findings.is_empty());
    let _ = folder.ledger().to_json();
    assert!(before == contents(&folder.path()));
}

const TABLES: [&str; 6] = [
    "pulls.csv",
    "weighings.csv",
    "cover.csv",
    "history.csv",
    "spending.csv",
    "photos.csv",
];

#[test]
fn tables_of_nonsense() {
    let blobs: [&[u8]; 8] = [
        b"",
        b"\n\n\n",
        b"\0\x01\x02\xff\xfe",
        b"pull,date,site\n\"",
        b"pull;date;site\n;;;;;;;;;;;\n",
        b"a\tb\tc\n1\t2\t3\n",
        "pull,date,site,containers,mass_kg\n🦆,🦆,🦆,🦆,🦆\nP1,9999-99-99,north,1e999,-0\n".as_bytes(),
        b"pull,date,site,start,end,staff,staff_hours,container,containers,basis,mass_lb,stage\nP1,2025-06-14,north,23:59,00:00,4294967295,1e308,bag,99999999999999999999,weighed,9e307,rosette\n",
    ];
    for table in TABLES {
        for blob in blobs {
            let folder = Folder::clean();
            folder.write(table, blob);
            let findings = folder.findings();
            let _ = (findings, folder.ledger().to_json());
        }
    }
}

#[test]
fn workbooks_that_are_none() {
    for name in ["pulls.xlsx", "pulls.ods"] {
        for blob in [
            &b""[..],
            b"PK\x03\x04",
            b"PK\x05\x06\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0",
            b"nonsense",
        ] {
            let folder = Folder::clean();
            folder.remove("pulls.csv").write(name, blob);
            survives(&folder);
        }
    }
}

#[test]
fn outlines_and_tracks_of_nonsense() {
    for blob in [
        "",
        "{}",
        "[]",
        "null",
        "{\"type\":\"FeatureCollection\",\"features\":[]}",
        "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":null,\"geometry\":null}]}",
        "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":{\"id\":\"a\"},\"geometry\":{\"type\":\"Polygon\",\"coordinates\":[[]]}}]}",
        "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":{\"id\":\"a\"},\"geometry\":{\"type\":\"Polygon\",\"coordinates\":[[[1e308,1e308],[0,0]]]}}]}",
    ] {
        let folder = Folder::clean();
        folder.write("sites.geojson", blob);
        survives(&folder);
    }
    for blob in [
        "",
        "<gpx>",
        "<gpx version=\"1.1\"><trk><trkseg><trkpt lat=\"999\" lon=\"x\"/></trkseg></trk></gpx>",
    ] {
        let folder = Folder::clean();
        folder.write("tracks/a.gpx", blob);
        survives(&folder);
    }
}

#[test]
fn a_folder_with_only_photos_and_settings() {
    let folder = Folder::bare();
    folder.write(
        "photos/one.jpg",
        Phone::at("2025:06:14 10:00:00", (38.5005, -45.0005)).jpeg(),
    );
    survives(&folder);
    let jpeg = Phone::at("2025:06:14 10:00:00", (38.5005, -45.0005)).jpeg();
    for cut in [0, 1, 2, 3, 20, 100, jpeg.len() / 2, jpeg.len() - 1] {
        folder.write("photos/one.jpg", &jpeg[..cut]);
        survives(&folder);
    }
}

#[test]
fn typing_slips_in_the_settings() {
    for (from, to) in [
        ("year = 2025", "year = \"two thousand\""),
        ("year = 2025", "year = -999999999"),
        ("starts = 2025-05-01", "starts = \"soon\""),
        ("[units]", "[unitss]"),
        ("at_least = 40", "at_least = \"forty\""),
        ("starts = 2025-05-01", "starts = 2025-10-01"),
        ("per_hour = \"30.00\"", "per_hour = \"thirty\""),
        ("print = \"metric\"", "print = 7"),
    ] {
        let folder = Folder::clean();
        folder.replace("season.toml", from, to);
        match windrow::season::load(&folder.path(), &|_| ()) {
            Ok(_) => survives(&folder),
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Random cells under the right headings.
    #[test]
    fn random_cells_never_panic(cells in prop::collection::vec("[ -~½é\"\n]{0,12}", 0..160)) {
        let folder = Folder::clean();
        let head = "pull,date,site,pass,start,end,staff,volunteers,staff_hours,volunteer_hours,travel_hours,paid_by,boats,\
                    searched_area_ha,container,containers,mass_kg,plants,basis,stage\n";
        let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
        for row in cells.chunks(20) {
            writer.write_record(row).unwrap();
        }
        let body = String::from_utf8(writer.into_inner().unwrap()).unwrap();
        folder.write("pulls.csv", format!("{head}{body}"));
        let _ = folder.findings();
        let _ = folder.ledger().to_csv();
    }

    /// Random bytes in the place of a table.
    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400), which in 0..TABLES.len()) {
        let folder = Folder::clean();
        folder.write(TABLES[which], bytes);
        let _ = folder.findings();
        let _ = folder.ledger().to_csv();
    }
}
