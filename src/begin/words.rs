//! The words of a new folder: what to read first, and stubs for the coordinator's prose.

use crate::season::{SITES_FILE, Settings};

pub const READ_ME: &str = "READ-ME-FIRST.txt";

/// sites.geojson before a site is drawn. GeoJSON knows no comments, but members that are not its own are allowed and passed over
/// (RFC 7946, section 6.1).
pub const NO_SITES: &str = r#"{
  "type": "FeatureCollection",
  "about": "Draw each site as a polygon and each photo station as a point in any map program that saves GeoJSON, and put them into features. READ-ME-FIRST.txt shows one of each.",
  "features": []
}
"#;

/// Stubs by section. Comments alone print nothing.
pub const NARRATIVE: [(&str, &str); 7] = [
    (
        "summary",
        r#"
// What happened, in a few sentences. Take the // away and write your own; a file of comments prints nothing.
// A number is never typed but called, so that it can't differ from the figures; `windrow figures` lists the names:
// Crews put in #figure-text("effort.person-hours") on #figure-value("effort.pulls") outings.
"#,
    ),
    (
        "methods",
        r#"
// How the work was done: from which boats, how containers were drained, weighed and counted, how cover was judged.
"#,
    ),
    (
        "partners",
        r#"
// Who helped: owners, agencies, lenders of boats. Name organisations, and people only with their leave.
"#,
    ),
    (
        "outreach",
        r#"
// Talks, signs, school days, early detections that somebody reported.
"#,
    ),
    (
        "changes",
        r#"
// What went otherwise than was promised, and why.
"#,
    ),
    (
        "lessons",
        r#"
// What you would do otherwise next year.
"#,
    ),
    (
        "next",
        r#"
// The plan for next season. `windrow next` on this folder gives the figures for it.
"#,
    ),
];

/// What goes into the folders that are empty at first. An archive carries files only, so that each folder gets one.
pub const FOLDERS: [(&str, &str); 3] = [
    (
        "photos",
        "Photos go here, in folders as you like (by day is handy): JPEG, HEIC, PNG, TIFF or WebP, straight from the phone or camera.\n\
         Messaging programs strip time and position from pictures: send them as a document or file, or copy them by cable.\n\
         Keep the originals as they are. What a photo can't say itself (who may be shown, which station) goes into the table photos.\n",
    ),
    ("tracks", "Boat tracks go here, as GPX files.\n"),
    (
        "papers",
        "Permits, sign-in sheets, receipts and letters go here, as scans or PDFs. They are archived and listed, not read.\n\
         A row of the table spending names its receipt by the path below this folder, as receipts/2026-05-02-gloves.pdf.\n",
    ),
];

/// The file in each of [`FOLDERS`].
pub const WHAT_GOES_HERE: &str = "WHAT-GOES-HERE.txt";

/// The page that a coordinator reads first.
pub fn read_me(settings: &Settings, csv: bool) -> String {
    let ending = if csv { "csv" } else { "xlsx" };
    let (name, year) = (&settings.programme, settings.year);
    let whose = if name.trim().is_empty() {
        String::new()
    } else {
        format!("{name}, ")
    };
    let how = if csv {
        "  The tables are CSV files. Open them in a spreadsheet program or an editor; keep the first line as it is."
    } else {
        "  Each heading has a note (rest the pointer on it), and many cells a list to choose from. Keep the first row as it is. You may\n\
         \x20 save a table as .ods or .csv instead; have only one of each table in the folder."
    };
    format!(
        r#"{whose}season {year}
{rule}

This folder takes all that a season of hand-pulling leaves behind. windrow reads it and never changes it.
Empty it is already right: fill in what you have, and leave the rest.

1. BEFORE THE FIRST OUTING
  Open season.toml in any editor: the group's name, the time zone, the grants. Each setting has a comment.
  Draw your sites into {sites} (below).
  Print sheets/: the field sheet, the cards for photo stations, the sheet of cautions. `windrow sheets` prints them anew once there
  are sites and stations.

2. AFTER EACH OUTING
  pulls.{ending}        one row for each crew, site, outing and kind of container. Nothing found is a row too: containers 0.
  weighings.{ending}    one row for each container that was on the scale. Three of each kind and stage at the very least, ten are better;
                    choose them blindly (every fourth bag, say), not the fine ones.
  photos/           the pictures as they are.

3. NOW AND THEN
  spending.{ending}     money and gifts in kind, with the receipt in papers/.
  cover.{ending}        cover or counts in marked plots, before and after.
  photos.{ending}       what a picture can't say: who may be shown, which station.
  history.{ending}      earlier seasons by site, if you have figures of them.
{how}

4. UNTIL IT IS QUIET
  windrow check .   tells everything that is wrong or doubtful, where it stands and how to mend it.

5. AT THE END
  narrative/        your own words, a file a section.
  windrow close .   report and evidence archive, into the folder beside this one that ends in -out.

`windrow` alone, in this folder, says where you stand and what comes next.


A SITE AND A STATION
  Draw them in any map program that saves GeoJSON, or put your own numbers into this. Longitude comes before latitude. The last corner
  is the first again. These two are invented and lie in the open ocean.

  {{
    "type": "FeatureCollection",
    "features": [
      {{
        "type": "Feature",
        "properties": {{"id": "example-cove", "name": "Example Cove", "waterbody": "Example Pond", "sensitive": false}},
        "geometry": {{"type": "Polygon", "coordinates": [[[-45.001, 38.500], [-45.000, 38.500], [-45.000, 38.501], [-45.001, 38.500]]]}}
      }},
      {{
        "type": "Feature",
        "properties": {{"id": "EC1", "site": "example-cove", "bearing": 90, "name": "The big rock"}},
        "geometry": {{"type": "Point", "coordinates": [-45.0008, 38.5002]}}
      }}
    ]
  }}


TAKE CARE
  Local rules, permits and training come first. The seeds are sharp. Life jackets always; cold water kills. A suspected bloom: stay
  out. Plants that spread by fragments are not pulled. Lift wet bags in pairs. Clean, drain, dry. Herbicide, machines and diving are
  for licensed hands. sheets/cautions.pdf says more.
"#,
        rule = "=".repeat(whose.chars().count() + "season 2026".len()),
        sites = SITES_FILE,
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::season::read_ground;

    /// What the page shows has to be readable as it stands.
    #[test]
    fn the_example_of_a_site_is_one() {
        let settings = crate::season::read_settings(
            "programme = \"X\"\nyear = 2026\ntime_zone = \"America/New_York\"",
        )
        .unwrap();
        let text = read_me(&settings, false);
        let from = text.find("  {\n").unwrap();
        let to = text.find("\n\n\nTAKE CARE").unwrap();
        let ground = read_ground(&text[from..to]);
        assert_eq!(ground.sites.len(), 1);
        assert_eq!(ground.stations.len(), 1);
        assert!(read_ground(NO_SITES).sites.is_empty());
    }
}
