//! The index of photos: what each says of itself and where it belongs, a row a photo. Part of the ledger's files in the archive.

use std::collections::BTreeMap;
use std::io::Write;

use super::evidence::pull_evidence;
use crate::hash::hex;
use crate::photo::{BearingReference, CapturedSource, is_video_name};
use crate::season::{Consent, Corrected, Placed, PositionSource, Season};

const HEADINGS: [&str; 27] = [
    "path",
    "sha256",
    "bytes",
    "format",
    "width",
    "height",
    "camera",
    "captured_local",
    "captured_utc",
    "time_source",
    "latitude",
    "longitude",
    "altitude_m",
    "position_error_m",
    "position_source",
    "bearing",
    "bearing_reference",
    "site",
    "distance_m",
    "nearest_site",
    "pull",
    "station",
    "role",
    "consent",
    "evidence",
    "pull_grade",
    "reason",
];

/// Writes the index as CSV: photos in the order of their paths, then films in the order of theirs.
///
/// # Errors
/// Whatever `out` says.
pub fn photo_index(season: &Season, out: impl Write) -> Result<(), csv::Error> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(HEADINGS)?;
    let evidence = pull_evidence(season);
    let grades: BTreeMap<&str, &str> = evidence
        .iter()
        .map(|one| (one.pull.as_str(), one.grade.letter()))
        .collect();
    for (photo, one) in season.photos.iter().zip(season.matches.iter()) {
        let note = season.note_on(&photo.path);
        let number = |value: Option<f64>, places: usize| {
            value
                .map(|value| format!("{value:.places$}"))
                .unwrap_or_default()
        };
        let placed = one.placed.as_ref();
        writer.write_record([
            photo.path.to_string(),
            hex(&photo.sha256),
            photo.bytes.to_string(),
            photo
                .format
                .map(|format| format.to_string())
                .unwrap_or_default(),
            photo
                .dimensions
                .map(|size| size.0.to_string())
                .unwrap_or_default(),
            photo
                .dimensions
                .map(|size| size.1.to_string())
                .unwrap_or_default(),
            photo.camera.as_deref().unwrap_or_default().to_owned(),
            one.local
                .map(|local| local.format("%Y-%m-%dT%H:%M:%S").to_string())
                .unwrap_or_default(),
            one.utc
                .map(|utc| utc.format("%Y-%m-%dT%H:%M:%SZ").to_string())
                .unwrap_or_default(),
            time_source(photo, one.corrected),
            // A ten-millionth of a degree is a centimetre.
            number(placed.map(|placed| placed.latitude), 7),
            number(placed.map(|placed| placed.longitude), 7),
            number(photo.position.and_then(|position| position.altitude_m), 1),
            number(placed.map(|placed| placed.error_m), 1),
            position_source(photo, placed),
            number(photo.bearing.map(|bearing| bearing.degrees), 1),
            photo
                .bearing
                .map(|bearing| match bearing.reference {
                    BearingReference::True => "true",
                    BearingReference::Magnetic => "magnetic",
                    BearingReference::Unknown => "unknown",
                })
                .unwrap_or_default()
                .to_owned(),
            one.site.as_deref().unwrap_or_default().to_owned(),
            number(one.distance_m, 1),
            one.nearest
                .as_ref()
                .map(|(site, metres)| format!("{site}, {metres:.0} m"))
                .unwrap_or_default(),
            one.pull.as_deref().unwrap_or_default().to_owned(),
            one.station.as_deref().unwrap_or_default().to_owned(),
            one.role
                .map(|role| format!("{role:?}").to_lowercase())
                .unwrap_or_default(),
            match note.and_then(|note| note.consent) {
                Some(Consent::Yes) => "yes",
                Some(Consent::No) => "no",
                Some(Consent::Unknown) => "unknown",
                None => "",
            }
            .to_owned(),
            one.support.word().to_owned(),
            one.pull
                .as_deref()
                .and_then(|pull| grades.get(pull))
                .copied()
                .unwrap_or_default()
                .to_owned(),
            one.reason.to_string(),
        ])?;
    }
    for film in season.files.iter().filter(|file| is_video_name(&file.path)) {
        let mut row = vec![String::new(); HEADINGS.len()];
        for (heading, cell) in HEADINGS.iter().zip(&mut row) {
            *cell = match *heading {
                "path" => film.path.to_string(),
                "bytes" => film.bytes.to_string(),
                "format" => "film".to_owned(),
                "evidence" => "none".to_owned(),
                "reason" => {
                    "a film, archived and not opened; its hash stands in the manifest".to_owned()
                }
                _ => String::new(),
            };
        }
        writer.write_record(row)?;
    }
    Ok(writer.flush()?)
}

/// Whether the photo says where it was taken, and its error; or a track says it.
fn position_source(photo: &crate::photo::Photo, placed: Option<&Placed>) -> String {
    match placed.map(|placed| &placed.source) {
        None => String::new(),
        Some(PositionSource::Track { file }) => format!("interpolated from {file}"),
        Some(PositionSource::Measured)
            if photo
                .position
                .is_some_and(|position| position.error_m.is_some()) =>
        {
            "measured".to_owned()
        }
        Some(PositionSource::Measured) => "measured, error assumed".to_owned(),
    }
}

fn time_source(photo: &crate::photo::Photo, corrected: Corrected) -> String {
    let Some(captured) = photo.captured else {
        return String::new();
    };
    let tag = match captured.source {
        CapturedSource::DateTimeOriginal => "DateTimeOriginal",
        CapturedSource::DateTimeDigitized => "DateTimeDigitized",
        CapturedSource::DateTime => "DateTime",
    };
    let zone = if captured.offset.is_some() {
        "with its own offset"
    } else {
        "in the season's zone"
    };
    let correction = match corrected {
        Corrected::ByNote => ", corrected by photos.csv",
        Corrected::BySetting => ", corrected by season.toml",
        Corrected::No => "",
    };
    format!("{tag} {zone}{correction}")
}
