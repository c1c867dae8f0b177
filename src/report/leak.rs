//! Is anything in a finished file that must not be there?
//!
//! Takes the bytes of a PDF or the text of another file and a season's secrets; gives what leaks. Reads the file by another library
//! than the one that wrote it, down to every stream and string, and trusts nothing of how it was made.

use std::collections::BTreeMap;
use std::fmt;

use image::imageops;

use super::privacy::Secrets;
use super::readback::{self, PdfContent, StoredPicture};
use crate::photo::likeness::{self, Look};
use crate::season::Season;

/// One thing that must not be there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Leak {
    /// What it is: `the name of a withheld photo`.
    pub what: String,
    /// The thing itself, so that a person finds it.
    pub found: String,
    /// Where: `the text`, `an attachment`.
    pub place: String,
}

impl fmt::Display for Leak {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, in {}: {}", self.what, self.place, self.found)
    }
}

/// Marks by which metadata in a picture is known: the headers of Exif, XMP and Photoshop's blocks.
const METADATA: [&[u8]; 4] = [
    b"Exif\0",
    b"http://ns.adobe.com/xap",
    b"8BIM",
    b"Photoshop 3.0",
];

/// The looks of the photos that must not be seen, by their paths. A photo that can't be drawn can't be shown either.
pub fn looks(season: &Season, secrets: &Secrets) -> BTreeMap<String, Look> {
    use rayon::prelude::*;
    secrets
        .photos
        .par_iter()
        .filter_map(|path| {
            let file = season.file(path)?;
            let photo = season.photo(path)?;
            let look = likeness::look(&file.on_disk(), photo.orientation).ok()??;
            Some((path.clone(), look))
        })
        .collect()
}

/// Everything that leaks from a PDF. An unreadable PDF leaks by itself: nobody knows what is in it.
pub fn in_pdf(pdf: &[u8], secrets: &Secrets, looks: &BTreeMap<String, Look>) -> Vec<Leak> {
    let Some(content) = readback::read(pdf) else {
        return vec![Leak {
            what: "a file that can't be read back".into(),
            found: "PDF".into(),
            place: "the file".into(),
        }];
    };
    in_content(&content, secrets, looks)
}

fn in_content(
    content: &PdfContent,
    secrets: &Secrets,
    looks: &BTreeMap<String, Look>,
) -> Vec<Leak> {
    let mut leaks = Vec::new();
    for (number, text) in content.texts.iter().enumerate() {
        let place = if number < content.pages {
            format!("the text of page {}", number + 1)
        } else {
            "the text of a drawing".to_owned()
        };
        leaks.extend(in_text(text, &place, secrets));
    }
    for text in &content.strings {
        leaks.extend(in_text(text, "a text beside the pages", secrets));
    }
    for bytes in &content.streams {
        match std::str::from_utf8(bytes) {
            Ok(text) => leaks.extend(in_text(text, "an attachment or the metadata", secrets)),
            Err(_) => leaks.push(Leak {
                what: "an attachment that can't be looked into".to_owned(),
                found: format!("{} bytes", bytes.len()),
                place: "the file".to_owned(),
            }),
        }
    }
    for (number, picture) in content.pictures.iter().enumerate() {
        leaks.extend(in_picture(
            picture,
            &format!("picture {}", number + 1),
            looks,
        ));
    }
    leaks.sort();
    leaks.dedup();
    leaks
}

/// Everything that leaks from a text.
pub fn in_text(text: &str, place: &str, secrets: &Secrets) -> Vec<Leak> {
    let mut leaks = words_in(text, place, secrets);
    // Drawings are lettered sign by sign, and columns set the decimals apart: a number is looked for across runs too.
    let joined: String = text.chars().filter(|c| *c != '\n').collect();
    let mut numbers = degrees_in(text);
    numbers.extend(degrees_in(&joined));
    for (found, degrees, decimals) in numbers {
        if decimals < secrets.decimals {
            continue;
        }
        // Rounded or cut off, it lies within one unit of its last decimal.
        let step = 10f64.powi(-i32::try_from(decimals).unwrap_or(i32::MAX));
        if secrets
            .degrees
            .iter()
            .any(|secret| (secret - degrees).abs() <= 1.01 * step)
        {
            leaks.push(Leak {
                what: "a position of a sensitive site".into(),
                found,
                place: place.to_owned(),
            });
        }
    }
    leaks
}

/// The words that leak from a text; numbers are not looked at.
pub fn words_in(text: &str, place: &str, secrets: &Secrets) -> Vec<Leak> {
    // Lines break and ligatures part words: both sides are compared without blanks and hyphens.
    let bare = bare(text);
    secrets
        .words
        .iter()
        .filter(|(word, _)| bare.contains(&self::bare(word)))
        .map(|(word, what)| Leak {
            what: (*what).to_owned(),
            found: word.clone(),
            place: place.to_owned(),
        })
        .collect()
}

fn bare(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '\u{ad}' | '\u{2010}' | '\u{2011}'))
        .flat_map(char::to_lowercase)
        .collect()
}

/// Numbers in a text that may be degrees: as written, in degrees, and with how many decimals. `43° 12′ 34″` counts as
/// four decimals, since a second of arc is 31 m.
fn degrees_in(text: &str) -> Vec<(String, f64, usize)> {
    let mut found = Vec::new();
    for token in text.split(|c: char| !(c.is_ascii_digit() || c == '.')) {
        let token = token.trim_matches('.');
        if let Some((whole, fraction)) = token.split_once('.')
            && whole.len() <= 3
            && !fraction.contains('.')
            && let Ok(degrees) = token.parse::<f64>()
            && degrees <= 180.0
        {
            found.push((token.to_owned(), degrees, fraction.len()));
        }
    }
    let numbers = |part: &str| -> Option<f64> {
        let digits: String = part
            .trim()
            .chars()
            .take_while(|c| c.is_ascii_digit() || *c == '.')
            .collect();
        digits.parse().ok()
    };
    for (at, _) in text.match_indices('°') {
        let (before, after) = text.split_at(at);
        let whole: String = before
            .trim_end()
            .chars()
            .rev()
            .take_while(char::is_ascii_digit)
            .collect::<Vec<_>>()
            .into_iter()
            .rev()
            .collect();
        let rest = after.trim_start_matches('°');
        let Some((minutes, rest)) = rest.split_once(['′', '\'', '’']) else {
            continue;
        };
        let (Ok(whole), Some(minutes)) = (whole.parse::<f64>(), numbers(minutes)) else {
            continue;
        };
        let seconds = rest
            .split_once(['″', '"', '”'])
            .filter(|(seconds, _)| seconds.len() < 12)
            .and_then(|(seconds, _)| numbers(seconds));
        // A minute of arc is 1.9 km: two decimals; with decimals of a minute or with seconds, four.
        let exact = seconds.is_some() || minutes.fract() != 0.0;
        let degrees = whole + minutes / 60.0 + seconds.unwrap_or(0.0) / 3600.0;
        found.push((
            format!("{whole}° {minutes}′"),
            degrees,
            if exact { 4 } else { 2 },
        ));
    }
    found
}

/// Metadata in a picture, and a picture that must not be seen.
pub fn in_picture(
    picture: &StoredPicture,
    place: &str,
    looks: &BTreeMap<String, Look>,
) -> Vec<Leak> {
    let mut leaks = Vec::new();
    let leak = |what: &str, found: &str| Leak {
        what: what.to_owned(),
        found: found.to_owned(),
        place: place.to_owned(),
    };
    if METADATA.iter().any(|mark| {
        picture
            .bytes
            .windows(mark.len())
            .any(|window| window == *mark)
    }) {
        leaks.push(leak("metadata of a camera", "Exif, XMP or the like"));
    }
    if looks.is_empty() {
        return leaks;
    }
    match &picture.pixels {
        Some(pixels) => {
            if let Some(look) = Look::of(&imageops::grayscale(pixels)) {
                for (path, other) in looks {
                    if look.distance(other) <= likeness::NEAR {
                        leaks.push(leak("a withheld photo, or one that looks the same", path));
                    }
                }
            }
        }
        None => leaks.push(leak("a picture that can't be read back", "unknown")),
    }
    leaks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn secrets() -> Secrets {
        Secrets {
            words: vec![("IMG_0417.jpg".into(), "the name of a withheld photo")],
            degrees: vec![43.217_86, 71.500_91],
            decimals: 3,
            photos: Vec::new(),
        }
    }

    #[test]
    fn names_are_found_across_lines_and_in_any_case() {
        let found = |text: &str| in_text(text, "a text", &secrets()).len();
        assert_eq!(found("see img_04\n17.JPG there"), 1);
        assert_eq!(found("see IMG_0418.jpg there"), 0);
    }

    #[test]
    fn positions_finer_than_the_grid_are_found_and_coarser_ones_are_not() {
        let found = |text: &str| !in_text(text, "a text", &secrets()).is_empty();
        for text in [
            "at 43.2178",
            "at 43.218 north",
            "71.5009 W",
            "43° 13′ 4″",
            "4\n3\n.\n2\n1\n7\n8",
            "lat=43.21786,",
        ] {
            assert!(found(text), "{text}");
        }
        for text in [
            "at 43.2",
            "at 43.22",
            "43.117",
            "1,743.217.86",
            "version 43",
            "43° 13′",
        ] {
            assert!(!found(text), "{text}");
        }
    }

    #[test]
    fn what_is_no_pdf_is_not_let_pass() {
        assert_eq!(in_pdf(b"no PDF", &secrets(), &BTreeMap::new()).len(), 1);
    }
}
