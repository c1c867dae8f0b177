//! What the tags of one photo mean: orientation, camera, and the way to clock and position.
//!
//! Takes a block of tags. Fills a [`Photo`], with troubles for what can't be read. Must not judge what a value means
//! for the season.
//!
//! Source of every tag's meaning: CIPA DC-008-2019 (EXIF 2.32), tables 4 (primary), 7 (Exif) and 15 (GPS); numbering
//! of tables from memory. The tags' numbers are kamadak-exif's.

use exif::Tag;

use super::found::Found;
use super::record::{Photo, TroubleKind};
use super::tags::Tags;
use super::{position, time};

/// Reads everything that we want from a block of tags into `photo`.
pub(super) fn fill(block: Vec<u8>, photo: &mut Photo) {
    let Some(mut tags) = Tags::open(block, &mut photo.troubles) else {
        return;
    };
    photo.orientation = orientation(&mut tags);
    photo.captured = time::captured(&mut tags);
    photo.gps_time = time::gps_time(&mut tags);
    photo.position = position::position(&mut tags);
    photo.bearing = position::bearing(&mut tags);
    photo.camera = camera(&mut tags).map(Into::into);
    photo.serial = tags
        .text(Tag::BodySerialNumber)
        .map(|text| tidy(&text))
        .filter(|serial| serial.chars().any(|character| character != '0'))
        .map(Into::into);
}

fn orientation(tags: &mut Tags<'_>) -> u8 {
    match tags.number(Tag::Orientation) {
        None => 1,
        Some(number @ 1..=8) => number as u8,
        Some(number) => {
            let found = Found::ImpossibleOrientation(number);
            tags.trouble(TroubleKind::OutOfRange, Tag::Orientation, found);
            1
        }
    }
}

fn camera(tags: &mut Tags<'_>) -> Option<String> {
    let mut name = |tag| tags.text(tag).map(|text| tidy(&text)).unwrap_or_default();
    let (make, model) = (name(Tag::Make), name(Tag::Model));
    joined(&make, &model)
}

/// Make and model in one name. The make is left out where the model begins with its first word.
fn joined(make: &str, model: &str) -> Option<String> {
    let first_word = |text: &str| text.split(' ').next().map(str::to_lowercase);
    match (make, model) {
        ("", "") => None,
        (make, "") => Some(make.to_owned()),
        ("", model) => Some(model.to_owned()),
        (make, model) if first_word(make) == first_word(model) => Some(model.to_owned()),
        (make, model) => Some(format!("{make} {model}")),
    }
}

/// A name fit for print: single blanks, no control characters, bounded length.
fn tidy(text: &str) -> String {
    /// Longer than any name of a camera.
    const LONGEST: usize = 100;
    let printable: String = text
        .chars()
        .map(|character| {
            if character.is_control() {
                ' '
            } else {
                character
            }
        })
        .take(LONGEST)
        .collect();
    printable.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_make_is_not_repeated() {
        for (make, model, expected) in [
            ("Heron Optical", "Wader 3", Some("Heron Optical Wader 3")),
            ("HERON OPTICAL", "Heron Wader 3", Some("Heron Wader 3")),
            ("", "Wader 3", Some("Wader 3")),
            ("Heron Optical", "", Some("Heron Optical")),
            ("", "", None),
        ] {
            assert_eq!(joined(make, model).as_deref(), expected);
        }
    }

    #[test]
    fn names_are_tidied() {
        assert_eq!(tidy("  Heron \u{7} \n Optical "), "Heron Optical");
        assert_eq!(tidy(&"x".repeat(5000)).len(), 100);
    }
}
