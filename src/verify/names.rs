//! Whether a name, of any maker, stays inside the bag. The profile's own, stricter rules are in `archive::profile`.

/// The longest name looked at, in bytes: no common system can hold a longer path.
pub(super) const MOST_BYTES: usize = 4096;

/// Judges a path with `/` between its parts.
///
/// # Errors
/// In plain words, why the name could lead outside or mislead.
pub(super) fn check_inside(path: &str) -> Result<(), &'static str> {
    if path.len() > MOST_BYTES {
        return Err("the name is longer than any system can hold");
    }
    if path.contains('\0') {
        return Err("the name holds a zero byte, at which some readers stop");
    }
    if path.starts_with(['/', '\\']) {
        return Err("the name starts at the root of the disk");
    }
    if path.starts_with('~') {
        return Err("the name starts with '~', which can mean a home folder");
    }
    let mut letters = path.chars();
    if letters
        .next()
        .is_some_and(|first| first.is_ascii_alphabetic())
        && letters.next() == Some(':')
    {
        return Err("the name starts with a drive of Windows");
    }
    for part in path.split('/') {
        match part {
            ".." => return Err("the name leads out of its folder"),
            "." => return Err("the name has a part that is only a dot"),
            "" => return Err("the name has an empty part"),
            // On Windows a backslash separates as well.
            part if part.split('\\').any(|piece| piece == "..") => {
                return Err("the name leads out of its folder");
            }
            _ => {}
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_outside_are_told() {
        for path in [
            "/etc/passwd",
            "\\\\server\\share",
            "~/x",
            "~root/x",
            "C:/x",
            "c:x",
            "data/../../x",
            "data\\..\\x",
            "..",
            "data//x",
            "data/",
            "",
            "a/./b",
            "a\0b",
        ] {
            assert!(check_inside(path).is_err(), "{path:?}");
        }
        assert!(check_inside(&"x".repeat(MOST_BYTES + 1)).is_err());
    }

    #[test]
    fn names_that_stay_inside_pass() {
        for path in [
            "data/x", "data/..x", "data/x..", "data/~x", "ab:c", "data/50%",
        ] {
            assert_eq!(check_inside(path), Ok(()), "{path:?}");
        }
    }
}
