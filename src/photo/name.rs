//! Which files are meant as photos or films, by their names alone.
//!
//! Takes a path relative to the season folder. Gives yes or no. Must not open the file.

use super::record::Format;

/// Extensions of films as phones, cameras and drones write them. They are archived, never opened.
const VIDEO_EXTENSIONS: [&str; 14] = [
    "3g2", "3gp", "avi", "insv", "m2ts", "m4v", "mkv", "mov", "mp4", "mpeg", "mpg", "mts", "webm",
    "wmv",
];

/// Whether the name promises a picture of a format that we read.
pub fn is_photo_name(relative: &str) -> bool {
    extension(relative).is_some_and(|extension| Format::promised_by(&extension).is_some())
}

/// Whether the name promises a film.
pub fn is_video_name(relative: &str) -> bool {
    extension(relative).is_some_and(|extension| VIDEO_EXTENSIONS.contains(&extension.as_str()))
}

/// The lower-case extension of the last part of a path.
///
/// `None` for names without one, and for names that begin with `._`: on cards and shared drives, one operating
/// system leaves a small companion of that name beside each picture, which is no picture itself.
pub(super) fn extension(relative: &str) -> Option<String> {
    let name = relative.rsplit('/').next().unwrap_or(relative);
    if name.starts_with("._") {
        return None;
    }
    let (stem, extension) = name.rsplit_once('.')?;
    (!stem.is_empty()).then(|| extension.to_ascii_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn photos_are_known_by_extension_in_either_case() {
        for name in [
            "photos/IMG_0001.JPG",
            "a.heic",
            "b/c.d/e.Tiff",
            "x.webp",
            "y.png",
            "two.dots.jpeg",
        ] {
            assert!(is_photo_name(name), "{name}");
            assert!(!is_video_name(name), "{name}");
        }
    }

    #[test]
    fn films_and_other_files_are_no_photos() {
        assert!(is_video_name("photos/IMG_0002.MOV"));
        for name in [
            "IMG_0002.mov",
            "jpg",
            ".jpg",
            "a.jpg.txt",
            "photos.jpg/readme",
            "photos/._IMG_0001.jpg",
            "a.jpg/",
            "",
        ] {
            assert!(!is_photo_name(name), "{name}");
        }
    }
}
