//! Contact sheets: every photo small, with number, time and site; and all their pictures in one file.
//!
//! One file for all, since the compiler keeps a list of paths for the whole process that holds no more than some ten thousand.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::report::input::Input;
use crate::report::pictures::Picture;
use crate::report::words::sentence;

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
pub fn all(input: &Input<'_>, pictures: &BTreeMap<String, Picture>) -> Value {
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
            Picture::Absent(reason) => json!({"absent": sentence(reason)}),
        };
        places.insert(path.as_str(), value);
    }
    let photos = season.photos.iter().zip(&season.matches).enumerate();
    photos
        .filter_map(|(index, (photo, one))| {
            let picture = places.get(photo.path.as_str())?;
            let number = super::schedules::photo_number(index);
            let taken = one
                .local
                .map(|local| local.format("%-d %b, %H:%M").to_string());
            let site = one.site.as_deref().map(|id| {
                season
                    .ground
                    .site(id)
                    .map_or_else(|| id.to_owned(), |site| site.name.clone())
            });
            let mut alt = format!("Small picture of photo {number}");
            if let Some(site) = &site {
                alt.push_str(&format!(" at {site}"));
            }
            if let Some(taken) = &taken {
                alt.push_str(&format!(", taken {taken}"));
            }
            Some(json!({
                "number": number,
                "taken": taken,
                "site": site,
                "picture": picture,
                "alt": sentence(&alt),
            }))
        })
        .collect()
}
