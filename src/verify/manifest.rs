//! Payload manifests and tag manifests, line by line (RFC 8493, 2.1.3 and 2.2.1).
//!
//! Takes a manifest's text; gives the sum stated for each path. Compares nothing with files, but before 1.0 it asks
//! which of two readings of a name exists.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::digest::{Algorithm, Sum};
use super::fault::{Fault, Warning};
use super::names::check_inside;
use super::text;
use crate::archive::profile;

/// A manifest, read.
#[derive(Debug)]
pub(super) struct Manifest {
    /// Its own name, such as `manifest-sha256.txt`.
    pub path: String,
    pub algorithm: Algorithm,
    /// The sum of each path.
    pub lines: BTreeMap<String, Sum>,
    /// Whether it is written in the profile's one way: sorted, lower-case, two spaces, LF.
    pub canonical: bool,
}

/// What a manifest's name says: its algorithm's name. None if it is no manifest's name.
pub(super) fn algorithm_name<'a>(path: &'a str, start: &str) -> Option<&'a str> {
    let name = path.strip_prefix(start)?.strip_suffix(".txt")?;
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit();
    (!name.is_empty() && name.bytes().all(plain)).then_some(name)
}

/// How to read a manifest.
pub(super) struct Reading<'a> {
    pub path: &'a str,
    pub algorithm: Algorithm,
    /// A tag manifest lists tag files; a payload manifest lists what is below `data/`.
    pub is_tag: bool,
    /// By the rules of 1.0.
    pub is_rfc: bool,
    /// Whether a file of that path is in the bag.
    pub exists: &'a dyn Fn(&str) -> bool,
}

impl Reading<'_> {
    pub(super) fn read(
        &self,
        content: &str,
        faults: &mut Vec<Fault>,
        warnings: &mut Vec<Warning>,
    ) -> Manifest {
        let mut manifest = Manifest {
            path: self.path.into(),
            algorithm: self.algorithm,
            lines: BTreeMap::new(),
            canonical: !content.contains('\r') && (content.is_empty() || content.ends_with('\n')),
        };
        for (number, line) in (1..).zip(text::lines(content)) {
            if number > profile::MAX_FILES {
                faults.push(Fault::refused(
                    self.path,
                    format!("it has more than {} lines", profile::MAX_FILES),
                ));
                break;
            }
            match self.read_line(line, warnings) {
                Ok((path, sum)) => self.add(&mut manifest, line, path, sum, faults, warnings),
                Err(what) => {
                    manifest.canonical = false;
                    faults.push(Fault::tag_file(self.path, format!("line {number}: {what}")));
                }
            }
        }
        manifest
    }

    fn read_line(&self, line: &str, warnings: &mut Vec<Warning>) -> Result<(String, Sum), String> {
        let gap = line
            .find([' ', '\t'])
            .ok_or("it is not a sum, a space and a path")?;
        // The gap starts with a byte of its own, so the line splits there.
        let (sum, rest) = line.split_at_checked(gap).unwrap_or_default();
        let sum = parse_sum(sum, self.algorithm)
            .ok_or_else(|| format!("it does not start with {} sum", self.article()))?;
        let mut path = rest.trim_start_matches([' ', '\t']);
        if let Some(plain) = path.strip_prefix('*') {
            warnings.push(Warning::style(
                self.path,
                "paths are marked with '*', as checksum tools do",
            ));
            path = plain;
        }
        if let Some(plain) = path.strip_prefix("./") {
            warnings.push(Warning::style(self.path, "paths begin with './'"));
            path = plain;
        }
        let path = self.decode(path)?;
        check_inside(&path).map_err(|what| format!("{}: {what}", path.escape_debug()))?;
        let payload = path.starts_with(profile::PAYLOAD);
        if self.is_tag && payload {
            return Err(format!(
                "{} is a payload file; a tag manifest must not list those",
                path.escape_debug()
            ));
        }
        if !self.is_tag && !payload {
            return Err(format!(
                "{} is outside data/; a manifest must not list that",
                path.escape_debug()
            ));
        }
        Ok((path.into_owned(), sum))
    }

    fn article(&self) -> String {
        format!(
            "a {} hexadecimal digit {}",
            self.algorithm.bytes() * 2,
            self.algorithm
        )
    }

    /// From 1.0 on `%0A`, `%0D` and `%25` stand for LF, CR and `%`, and no other `%` may be there. Before, `%` was
    /// itself; where no file of that name is there, LF and CR may be meant.
    fn decode<'a>(&self, path: &'a str) -> Result<Cow<'a, str>, String> {
        if !path.contains('%') {
            return Ok(path.into());
        }
        if self.is_rfc {
            return decode_percent(path)
                .map(Cow::Owned)
                .ok_or_else(|| format!("{}: a '%' must be written as %25", path.escape_debug()));
        }
        let decoded = path
            .replace("%0A", "\n")
            .replace("%0a", "\n")
            .replace("%0D", "\r")
            .replace("%0d", "\r");
        if decoded != path && !(self.exists)(path) && (self.exists)(&decoded) {
            return Ok(decoded.into());
        }
        Ok(path.into())
    }

    fn add(
        &self,
        manifest: &mut Manifest,
        line: &str,
        path: String,
        sum: Sum,
        faults: &mut Vec<Fault>,
        warnings: &mut Vec<Warning>,
    ) {
        let sorted = manifest
            .lines
            .last_key_value()
            .is_none_or(|(last, _)| *last < path);
        let plain = line.len() == sum.len() * 2 + 2 + path.len()
            && line.ends_with(&path)
            && line
                .get(sum.len() * 2..)
                .is_some_and(|rest| rest.starts_with("  "))
            && !line
                .get(..sum.len() * 2)
                .is_some_and(|sum| sum.contains(|c: char| c.is_ascii_uppercase()));
        manifest.canonical &= sorted && plain;
        match manifest.lines.get(&path) {
            None => {
                manifest.lines.insert(path, sum);
            }
            Some(former) if !self.is_rfc && *former == sum => {
                warnings.push(Warning::style(
                    self.path,
                    format!("{} is listed twice", path.escape_debug()),
                ));
            }
            Some(_) => faults.push(Fault::tag_file(
                self.path,
                format!("{} is listed twice", path.escape_debug()),
            )),
        }
    }
}

fn parse_sum(text: &str, algorithm: Algorithm) -> Option<Sum> {
    if text.len() != algorithm.bytes() * 2 {
        return None;
    }
    let digit = |byte: &u8| char::from(*byte).to_digit(16);
    let sum: Option<Vec<u8>> = text
        .as_bytes()
        .chunks(2)
        .map(|pair| {
            let value = pair
                .iter()
                .try_fold(0, |value, byte| Some(value * 16 + digit(byte)?))?;
            u8::try_from(value).ok()
        })
        .collect();
    sum.map(Vec::into_boxed_slice)
}

/// Undoes the three escapes of 1.0; None at any other `%`.
pub(super) fn decode_percent(path: &str) -> Option<String> {
    let mut parts = path.split('%');
    let mut decoded = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let (code, rest) = part.split_at_checked(2)?;
        decoded.push(match code {
            "0A" | "0a" => '\n',
            "0D" | "0d" => '\r',
            "25" => '%',
            _ => return None,
        });
        decoded.push_str(rest);
    }
    Some(decoded)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SUM: &str = "900150983cd24fb0d6963f7d28e17f72";

    fn read(content: &str, is_rfc: bool) -> (Manifest, Vec<Fault>, Vec<Warning>) {
        let (mut faults, mut warnings) = (Vec::new(), Vec::new());
        let manifest = Reading {
            path: "manifest-md5.txt",
            algorithm: Algorithm::Md5,
            is_tag: false,
            is_rfc,
            exists: &|path| path == "data/a\nb" || path == "data/50%",
        }
        .read(content, &mut faults, &mut warnings);
        (manifest, faults, warnings)
    }

    fn paths(content: &str, is_rfc: bool) -> Vec<String> {
        read(content, is_rfc).0.lines.into_keys().collect()
    }

    #[test]
    fn the_canonical_form_is_told_from_others() {
        let plain = format!("{SUM}  data/a\n{SUM}  data/b\n");
        assert!(read(&plain, true).0.canonical);
        for other in [
            plain.replace("  ", " "),
            plain.to_uppercase().replace("DATA", "data"),
            plain.replace('\n', "\r\n"),
            plain.trim_end().to_owned(),
            format!("{SUM}  data/b\n{SUM}  data/a\n"),
        ] {
            let (manifest, faults, _) = read(&other, true);
            assert!(!manifest.canonical, "{other:?}");
            assert_eq!(faults, [], "the standard allows {other:?}");
        }
    }

    #[test]
    fn percent_follows_the_version() {
        let line = |path: &str| format!("{SUM}  {path}\n");
        assert_eq!(paths(&line("data/a%0Ab"), true), ["data/a\nb"]);
        assert_eq!(paths(&line("data/a%0db"), true), ["data/a\rb"]);
        assert_eq!(paths(&line("data/50%25"), true), ["data/50%"]);
        assert_eq!(paths(&line("data/%250A"), true), ["data/%0A"]);
        assert_eq!(read(&line("data/50%"), true).1.len(), 1);
        assert_eq!(read(&line("data/%7Ea"), true).1.len(), 1);
        assert_eq!(read(&line("data/%2é"), true).1.len(), 1);
        assert_eq!(paths(&line("data/50%"), false), ["data/50%"]);
        assert_eq!(paths(&line("data/a%0Ab"), false), ["data/a\nb"]);
        assert_eq!(paths(&line("data/c%0Ad"), false), ["data/c%0Ad"]);
    }

    #[test]
    fn lines_that_are_none_are_faults() {
        for line in [
            "",
            SUM,
            &format!("{SUM}  "),
            &format!("{SUM}  elsewhere/x"),
            &format!("{SUM}  /etc/x"),
            &format!("{SUM}  data/../../x"),
            &format!("{SUM}  ~/x"),
            "beef  data/x",
            &format!("{}  data/x", "g".repeat(32)),
        ] {
            assert_eq!(read(&format!("{line}\n"), true).1.len(), 1, "{line:?}");
        }
    }

    #[test]
    fn a_path_may_not_come_twice() {
        let same = format!("{SUM} data/a\n{SUM} data/a\n");
        assert_eq!(read(&same, true).1.len(), 1);
        let (_, faults, warnings) = read(&same, false);
        assert_eq!((faults.len(), warnings.len()), (0, 1));
        let other = format!("{SUM} data/a\n{} data/a\n", SUM.replace('9', "8"));
        assert_eq!(read(&other, false).1.len(), 1);
    }

    #[test]
    fn marks_of_other_tools_are_read_with_a_warning() {
        let (manifest, faults, warnings) = read(&format!("{SUM} *./data/a\n"), true);
        assert!(manifest.lines.contains_key("data/a"));
        assert_eq!((faults.len(), warnings.len()), (0, 2));
    }

    #[test]
    fn names_of_manifests() {
        assert_eq!(
            algorithm_name("manifest-sha256.txt", "manifest-"),
            Some("sha256")
        );
        assert_eq!(algorithm_name("manifest-.txt", "manifest-"), None);
        assert_eq!(algorithm_name("manifest-SHA256.txt", "manifest-"), None);
        assert_eq!(algorithm_name("x/manifest-md5.txt", "manifest-"), None);
    }
}
