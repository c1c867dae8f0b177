//! fetch.txt: files of the payload that are kept elsewhere (RFC 8493, 2.2.3). windrow fetches nothing.

use super::fault::Fault;
use super::manifest::decode_percent;
use super::names::check_inside;
use super::text;
use crate::archive::profile::PAYLOAD;

/// Its name.
pub(super) const FETCH: &str = "fetch.txt";

/// The paths that fetch.txt lists. Lines of another form, and paths that lead outside, are faults.
pub(super) fn read(content: &str, is_rfc: bool, faults: &mut Vec<Fault>) -> Vec<String> {
    let mut paths = Vec::new();
    for (number, line) in (1..).zip(text::lines(content)) {
        match read_line(line, is_rfc) {
            Ok(path) => paths.push(path),
            Err(what) => faults.push(Fault::tag_file(FETCH, format!("line {number}: {what}"))),
        }
    }
    paths
}

fn read_line(line: &str, is_rfc: bool) -> Result<String, String> {
    const FORM: &str = "it is not an address, a length and a path";
    let space = [' ', '\t'];
    let (url, rest) = line.split_once(space).ok_or(FORM)?;
    let (length, path) = rest
        .trim_start_matches(space)
        .split_once(space)
        .ok_or(FORM)?;
    let path = path.trim_start_matches(space);
    if !is_absolute(url) {
        return Err("its address is not an absolute URI".into());
    }
    if length != "-" && (length.is_empty() || !length.bytes().all(|byte| byte.is_ascii_digit())) {
        return Err("its length is neither a number nor '-'".into());
    }
    let path = path.strip_prefix("./").unwrap_or(path);
    let path = if is_rfc {
        decode_percent(path).ok_or("a '%' must be written as %25")?
    } else {
        path.to_owned()
    };
    check_inside(&path).map_err(|what| format!("{}: {what}", path.escape_debug()))?;
    if path.starts_with(PAYLOAD) {
        Ok(path)
    } else {
        Err(format!("{} is outside data/", path.escape_debug()))
    }
}

/// Whether it begins with a scheme (RFC 3986, 3.1) and goes on.
fn is_absolute(url: &str) -> bool {
    url.split_once(':').is_some_and(|(scheme, rest)| {
        scheme.starts_with(|first: char| first.is_ascii_alphabetic())
            && scheme
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || b"+-.".contains(&byte))
            && !rest.is_empty()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_read_and_bad_lines_told() {
        let mut faults = Vec::new();
        let paths = read(
            "https://example.org/a - data/a b\nhttps://example.org/b\t12\tdata/b\n",
            true,
            &mut faults,
        );
        assert_eq!(paths, ["data/a b", "data/b"]);
        assert_eq!(faults, []);
        for line in [
            "https://example.org/a",
            "https://example.org/a x data/a",
            "example - data/a",
            "https://example.org/a - bag-info.txt",
            "https://example.org/a - /tmp/x",
            "https://example.org/a - data/../../x",
            "https://example.org/a - ~/x",
        ] {
            let mut faults = Vec::new();
            read(line, true, &mut faults);
            assert_eq!(faults.len(), 1, "{line:?}");
        }
    }
}
