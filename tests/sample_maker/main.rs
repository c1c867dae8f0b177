//! Makes `sample-season/`, the invented season that tests, docs and first-time users work with.
//!
//! Rerun it with
//!
//! ```text
//! cargo run --release --example make-sample -- sample-season
//! ```
//!
//! The folder in the repository equals what this program writes: change the folder by changing the
//! program. There is no clock and no outside source of chance in it, so two runs on one machine give the
//! same bytes. (Pictures go through `sin`, `exp` and `powf`; another platform's mathematics library may
//! round some pixel the other way.)
//!
//! Where to look:
//!
//! | module | gives |
//! | --- | --- |
//! | `scenario` | the season's story: pulls, weighings, cover, history, money |
//! | `shots` | which photo was taken when, by which phone, of what |
//! | `places` | shoreline, site outlines, stations, all in the open ocean |
//! | `tables` | the story as CSV and GeoJSON, GPX |
//! | `papers` | permits, sign-in sheets and receipts |
//! | `paint` | the pictures |
//! | `exif` | what a phone writes into a photo |
//! | `seed` | the seeded generator of chance |
//! | `files` | writing the folder, with a refusal to touch anyone else's |
//!
//! The honest troubles that are left in stand in one list at the head of `scenario`.

mod exif;
mod files;
mod outlines;
mod paint;
mod papers;
mod photos;
mod places;
mod scenario;
mod seed;
mod shots;
mod tables;
mod tracks;

use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let (Some(folder), None) = (words.next(), words.next()) else {
        eprintln!("usage: make-sample FOLDER");
        return ExitCode::from(2);
    };
    match files::write_season(Path::new(&folder), &files::whole_season()) {
        Ok(count) => {
            println!("{count} files written to {folder}");
            ExitCode::SUCCESS
        }
        Err(problem) => {
            eprintln!("make-sample: {problem}");
            ExitCode::from(3)
        }
    }
}
