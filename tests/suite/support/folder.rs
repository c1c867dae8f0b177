//! A clean season folder, all invented, in which every test changes one thing.

use std::fs;
use std::path::{Path, PathBuf};

use windrow::figure::{self, Ledger};
use windrow::finding::Finding;
use windrow::season::{self, Season};

use super::photo::Phone;

/// In the open ocean, so that no real shore is meant.
pub const NORTH_COVE: (f64, f64) = (38.5005, -45.0005);
pub const SOUTH_COVE: (f64, f64) = (38.4905, -45.0005);

const SETTINGS: &str = r#"
programme = "Test Pond Trust (invented)"
year = 2025
starts = 2025-05-01
ends = 2025-09-30
time_zone = "America/New_York"

[units]
print = "metric"

[[grants]]
id = "fund"
match_required = "500.00"

[[grants.deliverables]]
id = "hours"
text = "At least 40 person-hours"
figure = "effort.person-hours"
at_least = 40
unit = "h"

[[grants.budget]]
line = "wages"
amount = "1000.00"

[[rates]]
kind = "volunteer"
per_hour = "30.00"
year = 2025
source = "invented"
"#;

const SITES: &str = r#"{"type": "FeatureCollection", "features": [
 {"type": "Feature", "properties": {"id": "north", "name": "North Cove", "waterbody": "Test Pond"},
  "geometry": {"type": "Polygon", "coordinates": [[[-45.001, 38.5], [-45.0, 38.5], [-45.0, 38.501], [-45.001, 38.501], [-45.001, 38.5]]]}},
 {"type": "Feature", "properties": {"id": "south", "name": "South Cove", "waterbody": "Test Pond"},
  "geometry": {"type": "Polygon", "coordinates": [[[-45.001, 38.49], [-45.0, 38.49], [-45.0, 38.491], [-45.001, 38.491], [-45.001, 38.49]]]}},
 {"type": "Feature", "properties": {"id": "S1", "site": "north", "bearing": 90},
  "geometry": {"type": "Point", "coordinates": [-45.0005, 38.5005]}}
]}"#;

const PULLS: &str = "\
pull,date,site,start,end,staff,volunteers,staff_hours,volunteer_hours,paid_by,container,containers,mass_kg,plants,basis,stage
P1,2025-06-14,north,9:00,12:00,1,4,3,12,fund,bag,10,,,counted,rosette
P2,2025-06-21,south,9:00,11:00,1,3,2,6,fund,bag,6,,,counted,rosette
P3,2025-07-12,North Cove,9:00,12:00,2,4,,,own funds,bag,8,,,counted,flowering
P3,2025-07-12,north,,,,,,,,basket,2,9.5,,weighed,flowering
P4,2025-08-02,south,9:00,10:00,1,2,1,2,own funds,bag,0,,,counted,fruiting
";

const WEIGHINGS: &str = "\
pull,container,mass_kg,plants
P1,bag,11.2,120
P1,bag,13.9,141
P1,bag,9.4,98
P2,bag,12.1,118
P2,bag,10.6,125
P3,bag,14.2,60
P3,bag,12.8,71
P3,bag,16.1,66
";

const SPENDING: &str = "\
date,grant,line,amount,receipt,kind
2025-06-30,fund,wages,450.25,june.txt,cash
";

/// A folder on disk that is gone when the test ends.
pub struct Folder {
    place: tempfile::TempDir,
}

impl Folder {
    /// The clean folder: no errors, no doubts.
    pub fn clean() -> Self {
        let folder = Self {
            place: tempfile::tempdir().unwrap(),
        };
        for (path, text) in [
            ("season.toml", SETTINGS),
            ("sites.geojson", SITES),
            ("pulls.csv", PULLS),
            ("weighings.csv", WEIGHINGS),
            ("spending.csv", SPENDING),
            ("papers/june.txt", "Invented receipt over 450.25\n"),
        ] {
            folder.write(path, text);
        }
        for (path, taken, position) in [
            ("photos/p1.jpg", "2025:06:14 10:00:00", NORTH_COVE),
            ("photos/p2.jpg", "2025:06:21 10:00:00", SOUTH_COVE),
            ("photos/p3.jpg", "2025:07:12 10:00:00", NORTH_COVE),
            ("photos/p4.jpg", "2025:08:02 09:30:00", SOUTH_COVE),
        ] {
            folder.write(path, Phone::at(taken, position).jpeg());
        }
        folder
    }

    /// A folder with a season.toml and nothing else.
    pub fn bare() -> Self {
        let folder = Self {
            place: tempfile::tempdir().unwrap(),
        };
        folder.write("season.toml", SETTINGS);
        folder
    }

    /// A folder with nothing in it.
    pub fn empty() -> Self {
        let folder = Self {
            place: tempfile::tempdir().unwrap(),
        };
        fs::create_dir(folder.path()).unwrap();
        folder
    }

    pub fn path(&self) -> PathBuf {
        self.place.path().join("season")
    }

    /// Where outputs may go.
    pub fn beside(&self, name: &str) -> PathBuf {
        self.place.path().join(name)
    }

    pub fn write(&self, path: &str, bytes: impl AsRef<[u8]>) -> &Self {
        let file = self.path().join(path);
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(file, bytes).unwrap();
        self
    }

    pub fn remove(&self, path: &str) -> &Self {
        fs::remove_file(self.path().join(path)).unwrap();
        self
    }

    pub fn read(&self, path: &str) -> String {
        fs::read_to_string(self.path().join(path)).unwrap()
    }

    /// Puts `to` in the place of `from`, which has to be there.
    pub fn replace(&self, path: &str, from: &str, to: &str) -> &Self {
        let text = self.read(path);
        assert!(text.contains(from), "{path} holds no {from:?}");
        self.write(path, text.replacen(from, to, 1))
    }

    pub fn append(&self, path: &str, more: &str) -> &Self {
        let text = self.read(path) + more;
        self.write(path, text)
    }

    pub fn season(&self) -> Season {
        let mut season = season::load(&self.path(), &|_| ()).unwrap();
        season.look_at_photos(&season::LookAtFile);
        windrow::verify::join_earlier(&mut season, None, &mut |_, _| ()).unwrap();
        season
    }

    pub fn findings(&self) -> Vec<Finding> {
        let season = self.season();
        let ledger = figure::compute(&season);
        figure::findings(&season, &ledger)
    }

    pub fn ledger(&self) -> Ledger {
        figure::compute(&self.season())
    }
}

/// Every file below a folder with its bytes, for telling that nothing changed.
pub fn contents(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut files: Vec<(PathBuf, Vec<u8>)> = walkdir::WalkDir::new(folder)
        .into_iter()
        .map(Result::unwrap)
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| (entry.path().to_owned(), fs::read(entry.path()).unwrap()))
        .collect();
    files.sort();
    files
}
