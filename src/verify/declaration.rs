//! bagit.txt: which version of BagIt, and how the other tag files are encoded (RFC 8493, 2.1.1).

use encoding_rs::{Encoding, UTF_8};

use super::fault::{Fault, Warning};
use super::text;
use crate::archive::profile::BAGIT;

/// What bagit.txt declares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Declaration {
    pub version: (u32, u32),
    pub encoding: &'static Encoding,
}

impl Default for Declaration {
    /// What holds where bagit.txt is missing or can't be read: the strictest.
    fn default() -> Self {
        Self {
            version: NEWEST,
            encoding: UTF_8,
        }
    }
}

impl Declaration {
    /// Whether the rules of RFC 8493 hold, and not those of the drafts before it.
    pub(super) fn is_rfc(&self) -> bool {
        self.version >= NEWEST
    }
}

const NEWEST: (u32, u32) = (1, 0);
/// The first draft that was public.
const OLDEST: (u32, u32) = (0, 93);

/// Reads bagit.txt.
pub(super) fn read(
    bytes: &[u8],
    faults: &mut Vec<Fault>,
    warnings: &mut Vec<Warning>,
) -> Declaration {
    let fault = |what: &str| Fault::tag_file(BAGIT, what);
    let text = text::decode(BAGIT, bytes, UTF_8, faults);
    let lines: Vec<&str> = text::lines(&text).collect();
    if lines.len() != 2 {
        faults.push(fault("it must have exactly two lines"));
    }
    let mut declared = Declaration::default();
    let version = value(lines.first(), "BagIt-Version");
    match version.and_then(|(value, plain)| Some((parse_version(value)?, value, plain))) {
        Some((version, value, plain)) if (OLDEST..=NEWEST).contains(&version) => {
            declared.version = version;
            if version < NEWEST {
                warnings.push(Warning::OldVersion {
                    version: value.into(),
                });
            } else if !plain {
                faults.push(fault(
                    "its first line must be 'BagIt-Version: 1.0' to the letter",
                ));
            }
        }
        Some(_) => faults.push(fault(
            "it states a version that windrow doesn't know (0.93 to 1.0)",
        )),
        None => faults.push(fault(
            "its first line must be 'BagIt-Version: ' and a version such as 1.0",
        )),
    }
    let encoding = value(lines.get(1), "Tag-File-Character-Encoding");
    match encoding.and_then(|(name, plain)| Some((Encoding::for_label(name.as_bytes())?, plain))) {
        Some((encoding, plain)) => {
            declared.encoding = encoding;
            if !plain && declared.is_rfc() {
                faults.push(fault(
                    "its second line must be 'Tag-File-Character-Encoding: ' and the encoding, to the letter",
                ));
            }
        }
        None => faults.push(fault(
            "its second line must be 'Tag-File-Character-Encoding: ' and an encoding such as UTF-8",
        )),
    }
    declared
}

/// The value of a line `label: value`, and whether it is written just so, without further white space.
fn value<'a>(line: Option<&&'a str>, label: &str) -> Option<(&'a str, bool)> {
    let (found, value) = line?.split_once(':')?;
    let trimmed = value.trim();
    let plain = found == label && value.strip_prefix(' ') == Some(trimmed);
    (found.trim() == label).then_some((trimmed, plain))
}

fn parse_version(text: &str) -> Option<(u32, u32)> {
    let number = |part: &str| {
        let digits = !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        digits.then(|| part.parse().ok()).flatten()
    };
    let (major, minor) = text.split_once('.')?;
    Some((number(major)?, number(minor)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judge(text: &str) -> (Declaration, usize, usize) {
        let (mut faults, mut warnings) = (Vec::new(), Vec::new());
        let declared = read(text.as_bytes(), &mut faults, &mut warnings);
        (declared, faults.len(), warnings.len())
    }

    #[test]
    fn the_exact_declaration_passes() {
        let plain = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";
        assert_eq!(judge(plain), (Declaration::default(), 0, 0));
        assert_eq!(judge(&plain.replace('\n', "\r\n")).1, 0);
        assert_eq!(judge(plain.trim_end()).1, 0);
    }

    #[test]
    fn white_space_is_free_before_1_0_only() {
        let spaced = "BagIt-Version : 1.0\nTag-File-Character-Encoding : UTF-8\n";
        assert_eq!(judge(spaced).1, 2);
        let old = spaced.replace("1.0", "0.97");
        let (declared, faults, warnings) = judge(&old);
        assert_eq!((declared.version, faults, warnings), ((0, 97), 0, 1));
        assert_eq!(
            judge("BagIt-Version: 1.0 \nTag-File-Character-Encoding: UTF-8\n").1,
            1
        );
    }

    #[test]
    fn what_is_no_declaration_is_a_fault() {
        let encoding = "Tag-File-Character-Encoding: UTF-8\n";
        for text in [
            "",
            "BagIt-Version: 1.0\n",
            &format!("BagIt-Version: .97\n{encoding}"),
            &format!("BagIt-Version: 2.0\n{encoding}"),
            &format!("bagit-version: 1.0\n{encoding}"),
            &format!("BagIt-Version: 1.0\n{encoding}x\n"),
            &format!("\u{feff}BagIt-Version: 1.0\n{encoding}"),
            "BagIt-Version: 1.0\nTag-File-Character-Encoding: klingon\n",
        ] {
            assert!(judge(text).1 > 0, "{text:?}");
        }
    }
}
