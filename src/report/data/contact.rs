//! Contact sheets: every photo small, with number, time and site; and all their pictures in one file.
//!
//! One file for all, since the compiler keeps a list of paths for the whole process that holds no more than some ten thousand.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::report::input::Input;
use crate::report::number::Style;
use crate::report::pictures::Picture;
use crate::report::words::sentence;
use crate::words;

/// Path of the pictures in the report's world.
pub const PATH: &str = "/contact.bin";

/// The pictures one behind the other, in the order of their photos' paths.
pub fn together(pictures: BTreeMap<String, Picture>) -> Vec<u8> {
    let mut all = Vec::new();
    for picture in pictures.into_values() {
        if let Picture::Shown { jpeg, .. } = picture {
            all.extend(jpeg);
        }
    }
    all
}

/// A line a photo: its number, when and where, and where its picture lies in the file of all.
pub fn all(input: &Input<'_>, pictures: &BTreeMap<String, Picture>, style: &Style) -> Value {
    let season = input.season;
    let mut start = 0;
    let mut places: BTreeMap<&str, Value> = BTreeMap::new();
    for (path, picture) in pictures {
        let value = match picture {
            Picture::Shown { jpeg, .. } => {
                let value = json!({"start": start, "count": jpeg.len()});
                start += jpeg.len();
                value
            }
            Picture::Absent(reason) => json!({"absent": sentence(&style.say(reason))}),
        };
        places.insert(path.as_str(), value);
    }
    let photos = season.photos.iter().zip(season.matches.iter()).enumerate();
    photos
        .filter_map(|(index, (photo, one))| {
            let picture = places.get(photo.path.as_str())?;
            let number = super::schedules::photo_number(index);
            let taken = one.local.map(|local| style.moment(local));
            let site = one.site.as_deref().map(|id| {
                season
                    .ground
                    .site(id)
                    .map_or_else(|| id.to_owned(), |site| site.name.clone())
            });
            let number_of = number.as_str();
            let alt = match (&site, &taken) {
                (Some(site), Some(taken)) => words!(
                    "Small picture of photo {number} at {site}, taken {taken}.",
                    number = number_of,
                    site,
                    taken
                ),
                (Some(site), None) => words!(
                    "Small picture of photo {number} at {site}.",
                    number = number_of,
                    site
                ),
                (None, Some(taken)) => words!(
                    "Small picture of photo {number}, taken {taken}.",
                    number = number_of,
                    taken
                ),
                (None, None) => words!("Small picture of photo {number}.", number = number_of),
            };
            Some(json!({
                "number": number,
                "taken": taken,
                "site": site,
                "picture": picture,
                "alt": style.say(alt),
            }))
        })
        .collect()
}
