//! Words for what the photo room found in a file: it hands on English text, which its cache keeps, and it knows no catalogue.
//!
//! A text that none of the sentences is like stays as it is; a test reads the photo room's sources for such.

use crate::photo::Trouble;
use crate::phrase;
use crate::words;
use crate::words::{Words, recognised};

/// What may be found, the longer ones of equal beginnings first.
const FOUND: &[&str] = &[
    // The file.
    phrase!("has no bytes: the copy failed, or is still under way"),
    phrase!("begins with {beginning}"),
    phrase!("is named as {promised} but holds {format}"),
    phrase!("states no width and height"),
    phrase!("ends before the picture does"),
    phrase!("ends before the picture begins"),
    phrase!("ends within a box"),
    phrase!("ends within a segment"),
    phrase!("ends within its header"),
    phrase!("ends before its table of tags"),
    phrase!("has {bytes} bytes of the {stated} that it states"),
    phrase!("has no table of its items"),
    phrase!("has a box of no size at byte {offset}"),
    phrase!("has a table of items larger than any camera writes"),
    phrase!("has more boxes than any camera writes"),
    phrase!("names an EXIF block but not its place"),
    phrase!("has an EXIF block that lies outside the file"),
    phrase!("says that the picture ends before it begins"),
    phrase!("has no marker at byte {offset}, where one must be"),
    phrase!("has a segment of no length at byte {offset}"),
    phrase!("has more segments than any camera writes"),
    phrase!("has more chunks than any picture needs"),
    phrase!("is a BigTIFF, whose tags are not read"),
    phrase!("has more tags than any camera writes"),
    phrase!("has its tags too far from its beginning to be read"),
    // Its tags.
    phrase!("the block is broken, so that no tag can be read"),
    phrase!("the block has more tags than any camera writes"),
    phrase!("a table of tags is cut, so that some may be missing"),
    phrase!("points to byte {start}, outside the block"),
    phrase!("points outside the block"),
    phrase!("has the type {kind}, which it can't have"),
    phrase!("claims a length of {length} bytes"),
    phrase!("can't be read"),
    phrase!("is no text"),
    phrase!("is no number"),
    phrase!("is no fraction"),
    phrase!("is {number}/0"),
    phrase!("is missing, though the other angle is there"),
    phrase!("is missing, so that the sign is unknown"),
    phrase!("is missing, though GPSDateStamp is there"),
    phrase!("is missing, though GPSTimeStamp is there"),
    phrase!("the position is 0° N 0° E, which a device writes when it has none"),
    phrase!("is V: the fix was interrupted, so that the position may be an old one"),
    phrase!("is {number}, outside 1 to 8; the picture is taken as upright"),
    phrase!("is {degrees} degrees, outside 0 to 360"),
    phrase!("is {number}, outside 0 to 3"),
    phrase!("is {metres} m, where no one takes photos"),
    phrase!("is {metres} m, below zero"),
    phrase!("is “{text}”, neither {one} nor {other}"),
    phrase!("is “{datum}”, not WGS-84, so that the position may be some metres off"),
];

/// A trouble as a sentence.
pub(super) fn word(trouble: &Trouble) -> Words {
    let found = FOUND
        .iter()
        .find_map(|pattern| recognised(pattern, &trouble.found))
        .unwrap_or_else(|| Words::own(&trouble.found));
    words!("{tag}: {found}.", tag = &trouble.tag, found)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    /// Texts of the photo room that tell what was found, by how they begin; what can't be drawn or opened is an error, not a finding.
    #[test]
    fn all_that_the_photo_room_finds_is_known() {
        const BEGINNINGS: [&str; 12] = [
            "begins with",
            "can't be",
            "claims ",
            "ends ",
            "has ",
            "is ",
            "names ",
            "points ",
            "says ",
            "states ",
            "the block ",
            "the position ",
        ];
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/photo");
        let mut met = 0;
        for entry in walkdir::WalkDir::new(folder).into_iter().flatten() {
            let path = entry.path();
            let name = path.to_string_lossy();
            if !name.ends_with(".rs") || name.contains("tests") || name.ends_with("thumbnail.rs") {
                continue;
            }
            let source = std::fs::read_to_string(path).unwrap();
            let code = source.split("#[cfg(test)]").next().unwrap();
            for text in code.lines().filter(|line| !line.trim().starts_with("//")) {
                let Some((text, _)) = text
                    .split_once('"')
                    .and_then(|(_, text)| text.split_once('"'))
                else {
                    continue;
                };
                if !BEGINNINGS.iter().any(|start| text.starts_with(start))
                    || text.starts_with("is not ")
                {
                    continue;
                }
                // Any value may stand in a place.
                let filled: String = crate::words::pieces(text)
                    .into_iter()
                    .map(|piece| match piece {
                        crate::words::Piece::Text(text) => text,
                        _ => "7",
                    })
                    .collect();
                assert!(
                    FOUND
                        .iter()
                        .any(|pattern| recognised(pattern, &filled).is_some()),
                    "{text} in {name}"
                );
                met += 1;
            }
        }
        assert!(met > 30, "{met}");
    }
}
