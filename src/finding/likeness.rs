//! The same picture twice, to the eye: saved again, made smaller, stripped of its metadata by a messaging service, or claimed by two pulls.
//!
//! Files of equal bytes are `photo-twice`. What counts as near-same, and how often it errs, is in docs/photos.md.

use chrono::TimeDelta;

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::photo::Photo;
use crate::photo::grouping;
use crate::photo::likeness::{Look, NEAR};
use crate::place::Place;
use crate::season::{PhotoMatch, Season};
use crate::shared::Shared;
use crate::words;
use crate::words::Words;

const PICTURE_FOR_TWO_PULLS: Rule = Rule {
    name: "picture-for-two-pulls",
    grade: Grade::Doubt,
    title: "One picture stands for two pulls or two sites.",
    why: "If both files show the same moment, one of the two pulls has no photo of its own.",
};
const PICTURE_SAVED_AGAIN: Rule = Rule {
    name: "picture-saved-again",
    grade: Grade::Remark,
    title: "A picture is there twice, once saved again smaller or without its metadata.",
    why: "It would count twice as evidence, and the copy says less than the original.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (PICTURE_FOR_TWO_PULLS, picture_for_two_pulls),
    (PICTURE_SAVED_AGAIN, picture_saved_again),
];

/// Pictures by one camera within this time are a burst: several exposures, and no trouble.
const BURST: TimeDelta = TimeDelta::seconds(60);

/// A photo with what is known of it.
#[derive(Clone, Copy)]
struct Known<'a> {
    photo: &'a Photo,
    one: &'a PhotoMatch,
    look: &'a Look,
}

/// How two near-same pictures stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kinship {
    TwoPulls,
    SavedAgain,
    Harmless,
}

/// Every near-same picture with the one that says most of its group.
fn pairs(season: &Season) -> Vec<(Known<'_>, Known<'_>, Kinship)> {
    let known = |index: usize| -> Option<Known<'_>> {
        Some(Known {
            photo: season.photos.get(index)?,
            one: season.matches.get(index)?,
            look: season.looks.get(index)?.as_ref()?,
        })
    };
    let mut pairs = Vec::new();
    for group in grouping::near_same(&season.looks, NEAR) {
        let mut group: Vec<Known<'_>> = group.into_iter().filter_map(known).collect();
        group.sort_by_key(|one| (std::cmp::Reverse(told(one)), one.one.photo));
        let Some((original, copies)) = group.split_first() else {
            continue;
        };
        for copy in copies {
            // A group is a chain: its ends may have nothing in common.
            if copy.look.distance(original.look) <= NEAR
                && copy.photo.sha256 != original.photo.sha256
            {
                pairs.push((*original, *copy, kinship(original, copy)));
            }
        }
    }
    pairs
}

/// How much a file says, for telling the original from copies: position, time, camera, and then its size in pixels.
fn told(one: &Known<'_>) -> (usize, u64) {
    let photo = one.photo;
    let tags = usize::from(photo.position.is_some())
        + usize::from(photo.captured.is_some())
        + usize::from(photo.camera.is_some());
    (tags, pixels(photo))
}

fn pixels(photo: &Photo) -> u64 {
    photo
        .dimensions
        .map_or(0, |(width, height)| u64::from(width) * u64::from(height))
}

fn kinship(original: &Known<'_>, copy: &Known<'_>) -> Kinship {
    let differ = |a: &Option<Shared>, b: &Option<Shared>| {
        a.as_ref().zip(b.as_ref()).is_some_and(|(a, b)| a != b)
    };
    let same_station = original.one.station.is_some() && original.one.station == copy.one.station;
    // Photos from one station are meant to look alike.
    if !same_station
        && (differ(&original.one.pull, &copy.one.pull)
            || differ(&original.one.site, &copy.one.site))
    {
        return Kinship::TwoPulls;
    }
    let (a, b) = (original.photo, copy.photo);
    let apart = original
        .one
        .utc
        .zip(copy.one.utc)
        .map(|(a, b)| (a - b).abs());
    let is_burst = a.device().is_some()
        && a.device() == b.device()
        && apart.is_some_and(|apart| apart <= BURST && apart > TimeDelta::zero());
    let says_less = told(copy) < told(original);
    // Two times of one camera are two exposures, however much alike.
    let two_exposures = apart.is_some_and(|apart| apart > TimeDelta::zero());
    // The very moment of the same camera in other bytes is one exposure saved twice.
    let same_exposure = a.device().is_some()
        && a.device() == b.device()
        && apart.is_some_and(|apart| apart.is_zero());
    if is_burst || same_station || two_exposures || !(says_less || same_exposure) {
        Kinship::Harmless
    } else {
        Kinship::SavedAgain
    }
}

fn picture_for_two_pulls(season: &Season, findings: &mut Vec<Finding>) {
    for (original, copy, kinship) in pairs(season) {
        if kinship != Kinship::TwoPulls {
            continue;
        }
        findings.push(
            PICTURE_FOR_TWO_PULLS
                .at(
                    Place::whole(&copy.photo.path),
                    words!(
                        "It looks the same as {photo} ({marks} of 256 marks differ), and stands for {this} where that stands for {that}.",
                        photo = &original.photo.path,
                        marks = copy.look.distance(original.look),
                        this = stands_for(copy.one),
                        that = stands_for(original.one)
                    ),
                    words!("Look at both. If they are one picture, take the copy out or name its true pull in photos.csv; if they are two of one \
                     view, accept the finding."),
                )
                .with([Place::whole(&original.photo.path)]),
        );
    }
}

fn stands_for(one: &PhotoMatch) -> Words {
    match (&one.pull, &one.site) {
        (Some(pull), Some(site)) => words!("pull {pull} at {site}", pull, site),
        (Some(pull), None) => words!("pull {pull}", pull),
        (None, Some(site)) => words!("no pull at {site}", site),
        (None, None) => words!("no pull"),
    }
}

fn picture_saved_again(season: &Season, findings: &mut Vec<Finding>) {
    for (original, copy, kinship) in pairs(season) {
        if kinship != Kinship::SavedAgain {
            continue;
        }
        let lost: Vec<Words> = [
            (
                original.photo.position.is_some() && copy.photo.position.is_none(),
                words!("without its position"),
            ),
            (
                original.photo.captured.is_some() && copy.photo.captured.is_none(),
                words!("without its time"),
            ),
            (
                pixels(copy.photo) < pixels(original.photo),
                words!("smaller##of a picture"),
            ),
        ]
        .into_iter()
        .filter(|(lost, _)| *lost)
        .map(|(_, words)| words)
        .collect();
        findings.push(
            PICTURE_SAVED_AGAIN
                .at(
                    Place::whole(&copy.photo.path),
                    if lost.is_empty() {
                        words!(
                            "The picture of {photo} saved again.",
                            photo = &original.photo.path
                        )
                    } else {
                        words!(
                            "The picture of {photo} saved again, {lost}.",
                            photo = &original.photo.path,
                            lost = Words::joined(lost, ", ")
                        )
                    },
                    words!("Keep the original; the copy may go."),
                )
                .with([Place::whole(&original.photo.path)]),
        );
    }
}
