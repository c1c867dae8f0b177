//! Tag files as text: their encoding and their lines.

use encoding_rs::{Encoding, UTF_8};

use super::fault::Fault;

/// The text of a tag file in the bag's encoding. A byte-order mark is a fault in UTF-8 (RFC 8493, 2.3).
pub(super) fn decode(
    path: &str,
    bytes: &[u8],
    encoding: &'static Encoding,
    faults: &mut Vec<Fault>,
) -> String {
    if encoding == UTF_8 && bytes.starts_with(b"\xEF\xBB\xBF") {
        faults.push(Fault::tag_file(path, "it begins with a byte-order mark"));
    }
    let (text, _, broken) = encoding.decode(bytes);
    if broken {
        faults.push(Fault::tag_file(
            path,
            format!("it is not text in {}, as bagit.txt states", encoding.name()),
        ));
    }
    text.into_owned()
}

/// An error of a reader, which may quote what it read: with letters that would do something to a terminal written out.
pub(super) fn shown(error: impl std::fmt::Display) -> String {
    let mut shown = String::new();
    for letter in error.to_string().chars() {
        if letter.is_control() {
            shown.extend(letter.escape_unicode());
        } else {
            shown.push(letter);
        }
    }
    shown
}

/// Lines ended by LF, CR or CR LF (RFC 8493, 2.3); the last may go without.
pub(super) fn lines(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let Some(end) = rest.find(['\n', '\r']) else {
            return Some(std::mem::take(&mut rest));
        };
        // Both marks are one byte, so the text splits there.
        let (line, after) = rest.split_at_checked(end)?;
        rest = after
            .strip_prefix("\r\n")
            .or_else(|| after.strip_prefix(['\n', '\r']))
            .unwrap_or_default();
        Some(line)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_that_quote_are_harmless() {
        assert_eq!(shown("unknown `a\n\x1b[2J`"), "unknown `a\\u{a}\\u{1b}[2J`");
    }

    #[test]
    fn all_three_ends_of_line_count() {
        let all = |text| lines(text).collect::<Vec<_>>();
        assert_eq!(all("a\nb\r\nc\rd"), ["a", "b", "c", "d"]);
        assert_eq!(all("a\n"), ["a"]);
        assert_eq!(all("\n\na"), ["", "", "a"]);
        assert_eq!(all("").len(), 0);
    }

    #[test]
    fn marks_and_wrong_encodings_are_faults() {
        let mut faults = Vec::new();
        assert_eq!(decode("x", b"\xEF\xBB\xBFa", UTF_8, &mut faults), "a");
        assert_eq!(faults.len(), 1);
        decode("x", b"\xFF", UTF_8, &mut faults);
        assert_eq!(faults.len(), 2);
        assert_eq!(
            decode("x", b"s\xFCd", encoding_rs::WINDOWS_1252, &mut faults),
            "süd"
        );
        assert_eq!(faults.len(), 2);
    }
}
