//! Which files stay out of a copy to hand over, and why: a photo without consent, one that the programme withholds, and
//! whatever shows where a sensitive site is.
//!
//! Takes a season; gives reasons by path below `data/`. Touches no files. The report is not looked into: it is the packer's
//! to hand over an edition that may be seen.

use std::collections::BTreeMap;

use super::stages::INDEX;
use crate::archive::Withheld;
use crate::season::{Consent, SITES_FILE, Season};

const NO_CONSENT: &str = "a person in it has not consented to being shown";
const MINORS: &str = "there are people under age in it, and no consent is recorded";
const NOT_ASKED: &str = "it is not known whether the people in it consented to being shown";
const WITHHELD: &str = "withheld by the programme";
const SENSITIVE_PHOTO: &str = "it was taken at a sensitive site and holds its position";
const SENSITIVE_OUTLINE: &str = "it holds the position of a sensitive site";
const SENSITIVE_TRACK: &str = "it may show the way to a sensitive site";
const NAMES_OTHERS: &str = "it names files whose names are withheld";
/// Tables of what people say about photos, and our index of them: they name every photo.
const NAME_PHOTOS: [&str; 4] = [
    "season/photos.csv",
    "season/photos.xlsx",
    "season/photos.ods",
    INDEX,
];

/// What stays out. `hide_names`: photos are told by the hash of their leaf alone, and the tables that name them stay out
/// as well.
pub fn withheld(season: &Season, hide_names: bool) -> BTreeMap<String, Withheld> {
    let mut files = BTreeMap::new();
    let mut add = |path: String, reason: &str, hidden: bool| {
        let reason = reason.to_owned();
        files.entry(path).or_insert(Withheld { reason, hidden });
    };
    let sensitive = |site: Option<&str>| {
        site.and_then(|site| season.ground.site(site))
            .is_some_and(|site| site.sensitive)
    };
    let mut any_photo = false;
    let mut position_told = false;
    for (photo, one) in season.photos.iter().zip(season.matches.iter()) {
        let note = season.note_on(&photo.path);
        let reason = match note {
            Some(note) if note.withheld => Some(note.reason.as_deref().unwrap_or(WITHHELD)),
            Some(note) if note.consent == Some(Consent::No) => Some(NO_CONSENT),
            Some(note) if note.minors == Some(true) && note.consent != Some(Consent::Yes) => {
                Some(MINORS)
            }
            Some(note) if note.consent == Some(Consent::Unknown) => Some(NOT_ASKED),
            _ => None,
        };
        let shows_site = photo.position.is_some() && sensitive(one.site.as_deref());
        position_told |= shows_site;
        if let Some(reason) = reason.or(shows_site.then_some(SENSITIVE_PHOTO)) {
            any_photo = true;
            add(format!("season/{}", photo.path), reason, hide_names);
        }
    }
    if season.ground.sites.iter().any(|site| site.sensitive) {
        add(format!("season/{SITES_FILE}"), SENSITIVE_OUTLINE, false);
        for file in season.files.iter() {
            if file.path.starts_with("tracks/") {
                add(format!("season/{}", file.path), SENSITIVE_TRACK, false);
            }
        }
    }
    if position_told {
        add(INDEX.to_owned(), SENSITIVE_OUTLINE, false);
    }
    if hide_names && any_photo {
        for path in NAME_PHOTOS {
            add(path.to_owned(), NAMES_OTHERS, false);
        }
    }
    files
}
