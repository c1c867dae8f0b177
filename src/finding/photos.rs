//! Photos against the log and the outlines.

use std::collections::BTreeSet;

use chrono::Datelike;

use super::Check;
use super::core::{Finding, Grade};
use super::few::Few;
use super::naming::{Known, Proposals, Stations};
use super::rule::Rule;
use super::weighings::{of_pulls, pull_mend};
use crate::photo::{Photo, TroubleKind, grouping, is_video_name};
use crate::place::Place;
use crate::season::{ASSUMED_POSITION_ERROR_M, PhotoMatch, PositionSource, Season, Support, value};
use crate::shared::Shared;
use crate::words;
use crate::words::{Fill, Words, number, quoted};

const PULL_WITHOUT_PHOTO: Rule = Rule {
    name: "pull-without-photo",
    grade: Grade::Doubt,
    title: "No photo was taken on a pull.",
    why: "Nothing but the log shows that the pull took place.",
};
const PHOTO_WITHOUT_PULL: Rule = Rule {
    name: "photo-without-pull",
    grade: Grade::Doubt,
    title: "A photo belongs to no pull of the log.",
    why: "Either a pull is missing from the log, or the photo's time or position is wrong.",
};
const PHOTO_BETWEEN_PULLS: Rule = Rule {
    name: "photo-between-pulls",
    grade: Grade::Doubt,
    title: "A photo may belong to several pulls.",
    why: "It counts as evidence for none of them.",
};
const PHOTO_WITHOUT_TIME: Rule = Rule {
    name: "photo-without-time",
    grade: Grade::Doubt,
    title: "A photo does not say when it was taken.",
    why: "It can't be held against the log.",
};
const PHOTO_WITHOUT_POSITION: Rule = Rule {
    name: "photo-without-position",
    grade: Grade::Doubt,
    title: "A photo does not say where it was taken.",
    why: "It shows that something was done on that day, not where.",
};
const PHOTO_PLACED_BY_TRACK: Rule = Rule {
    name: "photo-placed-by-track",
    grade: Grade::Remark,
    title: "A photo has no position of its own, and a track tells where its boat was.",
    why: "It counts as taken there, and is told apart from photos that say so themselves.",
};
const PHOTO_OUTSIDE_SITE: Rule = Rule {
    name: "photo-outside-site",
    grade: Grade::Doubt,
    title: "A photo lies outside its site by more than its position may be off.",
    why: "Either the photo belongs elsewhere, or the outline does not hold the place that was worked.",
};
const PHOTO_TWICE: Rule = Rule {
    name: "photo-twice",
    grade: Grade::Doubt,
    title: "The same photo is there twice, byte for byte.",
    why: "It would count twice as evidence.",
};
const FILM_NOT_OPENED: Rule = Rule {
    name: "film-not-opened",
    grade: Grade::Remark,
    title: "There are films in the folder.",
    why: "They are archived with their hash and listed; time and place are not read from them, and none is shown.",
};
const PHOTO_DAMAGED: Rule = Rule {
    name: "photo-damaged",
    grade: Grade::Doubt,
    title: "A photo can't be read as a picture, or ends too early.",
    why: "It is archived and can't be shown, and may lack time or position.",
};
const PHOTO_METADATA_ODD: Rule = Rule {
    name: "photo-metadata-odd",
    grade: Grade::Remark,
    title: "Something in a photo's metadata could not be believed.",
    why: "The entry is left out, the rest of the photo's metadata is used.",
};
const PHOTO_NOTE_STRAY: Rule = Rule {
    name: "photo-note-stray",
    grade: Grade::Doubt,
    title: "photos.csv speaks of a photo, station or pull that is not there.",
    why: "What it says has no effect: a withheld photo might be printed.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (PULL_WITHOUT_PHOTO, pull_without_photo),
    (PHOTO_WITHOUT_PULL, photo_without_pull),
    (PHOTO_BETWEEN_PULLS, photo_between_pulls),
    (PHOTO_WITHOUT_TIME, photo_without_time),
    (PHOTO_WITHOUT_POSITION, photo_without_position),
    (PHOTO_PLACED_BY_TRACK, photo_placed_by_track),
    (PHOTO_OUTSIDE_SITE, photo_outside_site),
    (PHOTO_TWICE, photo_twice),
    (PHOTO_DAMAGED, photo_damaged),
    (PHOTO_METADATA_ODD, photo_metadata_odd),
    (PHOTO_NOTE_STRAY, photo_note_stray),
    (FILM_NOT_OPENED, film_not_opened),
];

fn matched(season: &Season) -> impl Iterator<Item = (&Photo, &PhotoMatch)> {
    season.photos.iter().zip(season.matches.iter())
}

fn pull_without_photo(season: &Season, findings: &mut Vec<Finding>) {
    let shown: BTreeSet<&Shared> = season
        .matches
        .iter()
        .flat_map(|one| one.pull.iter().chain(&one.candidates))
        .collect();
    for pull in season.pulls.iter().filter(|pull| !pull.is_empty()) {
        if !shown.contains(&pull.id)
            && let Some(first) = pull.rows.first()
        {
            findings.push(PULL_WITHOUT_PHOTO.on(
                &first.row,
                None,
                words!("No photo of pull {pull}.", pull = &pull.id),
                words!(
                    "Ask the crew for photos as they came from the phone; if there are some, name their pull in photos.csv."
                ),
            ));
        }
    }
}

fn photo_without_pull(season: &Season, findings: &mut Vec<Finding>) {
    for (photo, one) in matched(season) {
        // A photo of an earlier year from a station is there to be compared with.
        let of_earlier_year = one
            .local
            .is_some_and(|local| local.year() < season.settings.starts.year());
        if of_earlier_year && one.station.is_some() {
            continue;
        }
        if one.support == Support::None && one.candidates.is_empty() && one.local.is_some() {
            findings.push(PHOTO_WITHOUT_PULL.at(
                Place::whole(&photo.path),
                taken(one),
                words!(
                    "Add the pull to the log; or name the pull in photos.csv: file {photo}, pull ….",
                    photo = &photo.path
                ),
            ));
        }
    }
}

/// When and where a photo was taken, and why it belongs to no pull.
fn taken(one: &PhotoMatch) -> Words {
    let moment = one
        .local
        .map(|local| local.format("%Y-%m-%d %H:%M").to_string())
        .unwrap_or_default();
    let reason = &one.reason;
    match (one.site.as_deref(), &one.nearest) {
        (Some(site), Some((nearest, metres))) => words!(
            "Taken {moment} at {site}, {distance} from {nearest}, the nearest site: {reason}.",
            moment,
            site,
            distance = away(*metres),
            nearest,
            reason
        ),
        (Some(site), None) => words!("Taken {moment} at {site}: {reason}.", moment, site, reason),
        (None, Some((nearest, metres))) => words!(
            "Taken {moment}, {distance} from {nearest}, the nearest site: {reason}.",
            moment,
            distance = away(*metres),
            nearest,
            reason
        ),
        (None, None) => words!("Taken {moment}: {reason}.", moment, reason),
    }
}

/// A distance to the nearest site.
fn away(metres: f64) -> Fill {
    if metres < 10_000.0 {
        number(format!("{metres:.0} m"))
    } else {
        number(format!("{:.0} km", metres / 1000.0))
    }
}

fn photo_between_pulls(season: &Season, findings: &mut Vec<Finding>) {
    for (photo, one) in matched(season) {
        if one.pull.is_none() && !one.candidates.is_empty() {
            let candidates: BTreeSet<&Shared> = one.candidates.iter().collect();
            findings.push(
                PHOTO_BETWEEN_PULLS
                    .at(
                        Place::whole(&photo.path),
                        words!(
                            "It may belong to {pulls}.",
                            pulls = one.candidates.join(", ")
                        ),
                        words!(
                            "Name the pull in photos.csv: file {photo}, pull ….",
                            photo = &photo.path
                        ),
                    )
                    .with(
                        season
                            .pulls
                            .iter()
                            .filter(|pull| candidates.contains(&pull.id))
                            .map(crate::season::Pull::place),
                    ),
            );
        }
    }
}

fn photo_without_time(season: &Season, findings: &mut Vec<Finding>) {
    let mut few = Few::among(findings, season);
    for (photo, one) in matched(season) {
        if one.local.is_none() {
            few.push(PHOTO_WITHOUT_TIME.at(
                Place::tag(&photo.path, "DateTimeOriginal"),
                words!("The photo has no time of capture."),
                words!(
                    "Messaging apps strip it: ask for the file itself. Else name the pull in photos.csv: file {photo}, pull ….",
                    photo = &photo.path
                ),
            ));
        }
    }
}

fn photo_without_position(season: &Season, findings: &mut Vec<Finding>) {
    let mut few = Few::among(findings, season);
    for (photo, one) in matched(season) {
        // A place that photos.csv names is a person's answer to the question.
        let said = season.note_on(&photo.path).is_some_and(|note| {
            note.site.is_some() || note.station.is_some() || note.pull.is_some()
        });
        if one.placed.is_none() && !said {
            few.push(PHOTO_WITHOUT_POSITION.at(
                Place::tag(&photo.path, "GPSLatitude"),
                match one.pull.as_deref() {
                    Some(pull) => words!(
                        "The photo has no position; its time puts it to pull {pull}.",
                        pull
                    ),
                    None => words!("The photo has no position."),
                },
                words!(
                    "Messaging apps strip it: ask for the file itself. Else name the site in photos.csv: file {photo}, site ….",
                    photo = &photo.path
                ),
            ));
        }
    }
}

fn photo_placed_by_track(season: &Season, findings: &mut Vec<Finding>) {
    let mut few = Few::among(findings, season);
    for (photo, one) in matched(season) {
        let Some(placed) = &one.placed else { continue };
        if let PositionSource::Track { file } = &placed.source {
            few.push(
                PHOTO_PLACED_BY_TRACK
                    .at(
                        Place::tag(&photo.path, "GPSLatitude"),
                        words!(
                            "At its moment the boat of {file} was at {latitude}, {longitude}, give or take {error} m: {reason}.",
                            file,
                            latitude = number(format!("{:.5}", placed.latitude)),
                            longitude = number(format!("{:.5}", placed.longitude)),
                            error = number(format!("{:.0}", placed.error_m)),
                            reason = &one.reason
                        ),
                        words!(
                            "Nothing, if the photo was taken from that boat; else name the site in photos.csv: file {photo}, site ….",
                            photo = &photo.path
                        ),
                    )
                    .with([Place::whole(file)]),
            );
        }
    }
}

fn photo_outside_site(season: &Season, findings: &mut Vec<Finding>) {
    for (photo, one) in matched(season) {
        let (Some(site), Some(distance), Some(position)) =
            (one.site.as_deref(), one.distance_m, photo.position)
        else {
            continue;
        };
        let error = position.error_m.unwrap_or(ASSUMED_POSITION_ERROR_M);
        // A station may stand on the shore: its own mark, not the outline, says where its photos are taken.
        let at_station = one
            .station
            .as_deref()
            .and_then(|id| season.ground.station(id))
            .is_some();
        if distance > error && !at_station {
            findings.push(
                PHOTO_OUTSIDE_SITE
                    .at(
                        Place::tag(&photo.path, "GPSLatitude"),
                        words!(
                            "{distance} m outside {site}, with a position error of {error} m.",
                            distance = number(format!("{distance:.0}")),
                            site,
                            error = number(format!("{error:.0}"))
                        ),
                        words!(
                            "Widen the outline if the place was worked; or name the right site in photos.csv."
                        ),
                    )
                    .with(season.ground.site(site).map(|site| site.place.clone())),
            );
        }
    }
}

fn photo_twice(season: &Season, findings: &mut Vec<Finding>) {
    for group in grouping::same_bytes(&season.photos) {
        let mut photos = group.iter().filter_map(|index| season.photos.get(*index));
        let Some(first) = photos.next() else { continue };
        for copy in photos {
            findings.push(
                PHOTO_TWICE
                    .at(
                        Place::whole(&copy.path),
                        words!("The same bytes as {photo}.", photo = &first.path),
                        words!("Move one of the two out of the season folder."),
                    )
                    .with([Place::whole(&first.path)]),
            );
        }
    }
}

fn film_not_opened(season: &Season, findings: &mut Vec<Finding>) {
    let mut films = season.files.iter().filter(|file| is_video_name(&file.path));
    let Some(first) = films.next() else { return };
    let others: Vec<Place> = films.map(|film| Place::whole(&film.path)).collect();
    let message = match others.len() {
        0 => words!("A film is archived and not opened."),
        more => words!(
            "{films} films are archived and not opened.",
            films = more + 1
        ),
    };
    findings.push(
        FILM_NOT_OPENED
            .at(
                Place::whole(&first.path),
                message,
                words!(
                    "Nothing. If a film shows what no photo does, save a still from it beside the film, and name its pull in photos.csv."
                ),
            )
            .with(others),
    );
}

/// Is the picture itself in trouble, and not just a tag?
fn is_damage(kind: TroubleKind) -> bool {
    matches!(
        kind,
        TroubleKind::Empty
            | TroubleKind::NotAPicture
            | TroubleKind::Truncated
            | TroubleKind::Damaged
    )
}

fn photo_damaged(season: &Season, findings: &mut Vec<Finding>) {
    for photo in season.photos.iter() {
        if let Some(trouble) = photo
            .troubles
            .iter()
            .find(|trouble| is_damage(trouble.kind))
        {
            findings.push(PHOTO_DAMAGED.at(
                Place::whole(&photo.path),
                trouble.words(),
                words!("Copy it again from the phone or the card."),
            ));
        }
    }
}

fn photo_metadata_odd(season: &Season, findings: &mut Vec<Finding>) {
    let mut few = Few::among(findings, season);
    for photo in season.photos.iter() {
        for trouble in photo
            .troubles
            .iter()
            .filter(|trouble| !is_damage(trouble.kind))
        {
            few.push(PHOTO_METADATA_ODD.at(
                Place::tag(&photo.path, &trouble.tag),
                trouble.words(),
                words!(
                    "Nothing, unless the photo needs it: photos.csv can name site, station and pull."
                ),
            ));
        }
    }
}

/// The files below a folder, to be proposed.
pub(super) fn of_files<'a>(season: &'a Season, folder: &'a str) -> Proposals<'a> {
    let files = season.files.iter();
    Proposals::of(Known::new(
        files.filter_map(move |entry| entry.path.strip_prefix(folder)),
    ))
}

/// How to settle a path in a table that leads to no file; `proposals` are the files of the folder.
pub(super) fn near_path(said: &str, folder: &str, proposals: &mut Proposals<'_>) -> Words {
    match proposals.nearest(said.strip_prefix(folder).unwrap_or(said)) {
        Some(near) => words!(
            "Write {path}, if that is meant; or put the file into {folder}.",
            path = format!("{folder}{near}"),
            folder
        ),
        None => words!(
            "Put the file into {folder}, and write its path as it is below the season folder.",
            folder
        ),
    }
}

fn photo_note_stray(season: &Season, findings: &mut Vec<Finding>) {
    let mut few = Few::among(findings, season);
    let pulls = season.pulls_by_id();
    let mut files = of_files(season, "photos/");
    let mut of_pulls = of_pulls(season);
    let stations = Stations::of(season);
    for note in season.photo_notes.iter() {
        if let Some(file) = note.file.as_deref()
            && !season.has_file(file, "photos/")
        {
            few.push(PHOTO_NOTE_STRAY.on(
                &note.row,
                Some("file"),
                words!("There is no file {file}.", file = quoted(file)),
                near_path(file, "photos/", &mut files),
            ));
        }
        if let Some(station) = note.station.as_deref()
            && season.ground.station(station).is_none()
        {
            let (message, mend) = stations.unknown(station);
            few.push(PHOTO_NOTE_STRAY.on(&note.row, Some("station"), message, mend));
        }
        if let Some(pull) = note.pull.as_deref()
            && !pulls.contains_key(&value::fold(pull))
        {
            few.push(PHOTO_NOTE_STRAY.on(
                &note.row,
                Some("pull"),
                words!("The log has no pull {pull}.", pull = quoted(pull)),
                pull_mend(pull, &mut of_pulls),
            ));
        }
    }
}
