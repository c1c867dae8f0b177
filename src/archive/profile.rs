//! The profile of the evidence archive: every fixed name, number and naming rule.
//!
//! Shared by the writer and the verifier, so that both mean the same format; docs/archive.md says the same in prose.
//! Pure checks over names: no files are touched, nothing is written.

use std::fmt;

/// Names this profile in bag-info.txt. A UUID made once for this purpose (RFC 9562), so that it needs no web site.
pub const PROFILE_IDENTIFIER: &str = "urn:uuid:6f07ed7b-0c15-4e7d-af25-41096e8673a1";
/// Names the format of evidence.json, and with it the record of a leaf.
pub const EVIDENCE_FORMAT: &str = "windrow evidence 1";
/// Names the tree in evidence.json.
pub const TREE_NAME: &str = "RFC 9162, SHA-256";

/// Names the format of a proof for one file.
pub const PROOF_FORMAT: &str = "windrow proof 1";
/// Names the hash in a proof.
pub const HASH_NAME: &str = "SHA-256";

pub const BAGIT: &str = "bagit.txt";
pub const BAG_INFO: &str = "bag-info.txt";
pub const MANIFEST: &str = "manifest-sha256.txt";
pub const TAG_MANIFEST: &str = "tagmanifest-sha256.txt";
pub const EVIDENCE: &str = "evidence.json";
pub const HOW_TO_VERIFY: &str = "HOW-TO-VERIFY.txt";
pub const VERIFY_PAGE: &str = "verify.html";
/// Every tag file, in the order of name bytes. All must be there, and no other may.
pub const TAG_FILES: [&str; 7] = [
    HOW_TO_VERIFY,
    BAG_INFO,
    BAGIT,
    EVIDENCE,
    MANIFEST,
    TAG_MANIFEST,
    VERIFY_PAGE,
];

/// The exact text of bagit.txt (RFC 8493, 2.1.1).
pub const BAGIT_TEXT: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

/// Signature and time stamp of the fingerprint. They are made over the tag manifest, so no manifest can list them.
pub const SEAL: &str = "seal/";
/// A signature in the SSHSIG format of OpenSSH, armoured, over the bytes of [`TAG_MANIFEST`].
pub const SEAL_SIGNATURE: &str = "seal/fingerprint.sig";
/// The answer of a time-stamp authority (RFC 3161) to a request over the SHA-256 of [`TAG_MANIFEST`], in DER.
pub const SEAL_TIME_STAMP: &str = "seal/fingerprint.tsr";
/// The only names below [`SEAL`]. Each may be there.
pub const SEAL_FILES: [&str; 2] = [SEAL_SIGNATURE, SEAL_TIME_STAMP];
/// How large a seal may be: a time stamp with a chain of certificates has a few thousand bytes.
pub const MAX_SEAL_BYTES: u64 = 64 << 10;
/// The namespace of signatures: one made for another purpose doesn't fit.
pub const SIGNATURE_NAMESPACE: &str = "windrow-evidence";

/// Labels of bag-info.txt in their order. Each stands there exactly once.
pub const LABEL_ORGANISATION: &str = "Source-Organization";
pub const LABEL_DESCRIPTION: &str = "External-Description";
pub const LABEL_DATE: &str = "Bagging-Date";
pub const LABEL_OXUM: &str = "Payload-Oxum";
pub const LABEL_PROFILE: &str = "BagIt-Profile-Identifier";
pub const LABEL_SOFTWARE: &str = "Bag-Software-Agent";
pub const LABEL_SEASON: &str = "Windrow-Season";
pub const LABEL_ROOT: &str = "Windrow-Root";
/// The root of the archive of an earlier season on which this one builds, or [`NO_PREVIOUS`].
pub const LABEL_PREVIOUS: &str = "Windrow-Previous";
/// Stands for the root of an earlier archive where there is none.
pub const NO_PREVIOUS: &str = "none";
pub const LABELS: [&str; 9] = [
    LABEL_ORGANISATION,
    LABEL_DESCRIPTION,
    LABEL_DATE,
    LABEL_OXUM,
    LABEL_PROFILE,
    LABEL_SOFTWARE,
    LABEL_SEASON,
    LABEL_ROOT,
    LABEL_PREVIOUS,
];

/// The payload directory (RFC 8493, 2.1.2).
pub const PAYLOAD: &str = "data/";
/// The season folder, verbatim. Its files are leaves of the tree.
pub const SEASON: &str = "data/season/";
/// The ledger. Its files are leaves of the tree.
pub const LEDGER: &str = "data/ledger/";
/// The ledger as JSON. Its member `previous`, if it has one, is the earlier archive's root.
pub const LEDGER_JSON: &str = "data/ledger/figures.json";
/// The only names below [`LEDGER`].
pub const LEDGER_FILES: [&str; 3] = [
    "data/ledger/figures.csv",
    LEDGER_JSON,
    "data/ledger/photo-index.csv",
];
/// The report. It prints the root, so it can't be a leaf: the manifests cover it.
pub const REPORT: &str = "data/report/";

/// What the names of pictures end in, in any case.
pub const PICTURE_ENDINGS: [&str; 11] = [
    "jpg", "jpeg", "jpe", "jfif", "heic", "heif", "hif", "png", "tif", "tiff", "webp",
];

/// How many files an archive may hold. A season of 50,000 photos fits twice, and a reader can keep so many names in
/// memory; a flood of entries doesn't fit.
pub const MAX_FILES: usize = 100_000;
/// How many UTF-16 units a path below the base directory may have: a Windows path ends at 260, and the folder that
/// somebody unpacks into takes its share.
pub const MAX_PATH_UNITS: usize = 200;
/// How many bytes of UTF-8 one part of a path may have: the limit of common Linux file systems.
pub const MAX_PART_BYTES: usize = 255;
/// How many parts a path may have.
pub const MAX_PARTS: usize = 32;
/// How many bytes the name of the base directory may have.
pub const MAX_BASE_BYTES: usize = 100;
/// How many bytes a list of all files may have: a manifest, evidence.json, the directory of the ZIP. [`MAX_FILES`]
/// with names of ordinary length fit; a reader can hold it in memory.
pub const MAX_LIST_BYTES: u64 = 32 << 20;
/// How many UTF-16 units the reason for withholding a file may have.
pub const MAX_REASON_UNITS: usize = 300;
/// How large each of bag-info.txt, HOW-TO-VERIFY.txt and verify.html may be.
pub const MAX_TEXT_BYTES: u64 = 1 << 20;
/// How large a proof may be: a record with the longest path, and a hash for each of the few levels of a tree.
pub const MAX_PROOF_BYTES: u64 = 64 << 10;

/// The fixed fields of the ZIP's records (PKWARE APPNOTE 6.3.10, sections 4.3 and 4.4).
pub mod zip {
    /// Flags, when the name is ASCII.
    pub const FLAGS_ASCII: u16 = 0;
    /// Flags, when it isn't: bit 11, the name is UTF-8 (4.4.4).
    pub const FLAGS_UTF8: u16 = 1 << 11;
    /// Method 0: stored (4.4.5).
    pub const STORED: u16 = 0;
    /// Time 00:00:00 (4.4.6).
    pub const TIME: u16 = 0;
    /// Date 1980-01-01, the first that the format can say.
    pub const DATE: u16 = (1 << 5) | 1;
    /// Version needed: 1.0 for a stored file (4.4.3.2).
    pub const VERSION: u16 = 10;
    /// Version needed: 4.5 where the sizes stand in a Zip64 field.
    pub const VERSION_ZIP64: u16 = 45;
    /// Host system in the upper byte of 'version made by': 3, Unix (4.4.2).
    pub const HOST_UNIX: u16 = 3 << 8;
    /// External attributes: a regular file that all may read and its owner may write.
    pub const ATTRIBUTES: u32 = 0o100_644 << 16;
    /// A size or offset of this or above stands in a Zip64 field; its 32-bit field then holds just this (4.5.3).
    pub const ZIP64_FROM: u64 = 0xFFFF_FFFF;
    /// With more entries than this, or a directory that starts or measures beyond [`ZIP64_FROM`], the Zip64 end
    /// records are written (4.3.14, 4.3.15).
    pub const ENTRIES_WITHOUT_ZIP64: u64 = 0xFFFF;
}

/// Why a path may not stand in an archive.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case", tag = "name-fault")]
pub enum NameFault {
    /// Nothing between two slashes, or at either end.
    EmptyPart,
    /// A part is `.` or `..`.
    DotPart,
    /// Not in Unicode normalisation form C.
    NotComposed,
    /// Holds a character that some system forbids, or that would break a manifest.
    Forbidden { character: char },
    /// A part is a device name of Windows, such as CON or LPT1.
    Reserved { part: String },
    /// A part ends in a dot or a space; Windows drops them.
    TrailingDotOrSpace { part: String },
    /// A part has too many bytes.
    PartTooLong { bytes: usize },
    /// The whole path has too many UTF-16 units.
    PathTooLong { units: usize },
    /// Too many folders within each other.
    TooDeep { parts: usize },
    /// Two paths, or folders on the way, are the same where case doesn't count.
    Collides { with: String },
    /// Something is a file by this path and a folder by another.
    FileAndFolder { with: String },
    /// Outside the places that the profile knows.
    Misplaced,
}

impl fmt::Display for NameFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::EmptyPart => write!(out, "a part of the path is empty"),
            Self::DotPart => write!(out, "a part of the path is '.' or '..'"),
            Self::NotComposed => write!(
                out,
                "its letters are not in composed form (Unicode NFC); give the file its name anew"
            ),
            Self::Forbidden { character } => write!(
                out,
                "the character {} can't stand in a name on every system",
                character.escape_debug()
            ),
            Self::Reserved { part } => {
                write!(out, "'{part}' is a name that Windows keeps for itself")
            }
            Self::TrailingDotOrSpace { part } => {
                write!(
                    out,
                    "'{part}' ends in a dot or a space, which Windows drops"
                )
            }
            Self::PartTooLong { bytes } => write!(
                out,
                "a part of the path has {bytes} bytes; {MAX_PART_BYTES} are the most"
            ),
            Self::PathTooLong { units } => write!(
                out,
                "the path has {units} characters; {MAX_PATH_UNITS} are the most"
            ),
            Self::TooDeep { parts } => {
                write!(out, "the path has {parts} parts; {MAX_PARTS} are the most")
            }
            Self::Collides { with } => write!(
                out,
                "it is the same as '{with}' where capitals don't count (Windows, macOS)"
            ),
            Self::FileAndFolder { with } => {
                write!(out, "a file and a folder would have one name: '{with}'")
            }
            Self::Misplaced => write!(out, "the profile has no place for it"),
        }
    }
}

/// Judges one path below the base directory, alone. [`super::names::Names`] judges it among the others.
///
/// # Errors
/// The first rule that the path breaks.
pub fn check_path(path: &str) -> Result<(), NameFault> {
    let units = path.encode_utf16().count();
    if units > MAX_PATH_UNITS {
        return Err(NameFault::PathTooLong { units });
    }
    if let Some(character) = path.chars().find(|character| is_forbidden(*character)) {
        return Err(NameFault::Forbidden { character });
    }
    if !unicode_normalization::is_nfc(path) {
        return Err(NameFault::NotComposed);
    }
    let parts = path.split('/').count();
    if parts > MAX_PARTS {
        return Err(NameFault::TooDeep { parts });
    }
    path.split('/').try_for_each(check_part)
}

/// Judges the name of the base directory.
///
/// # Errors
/// The first rule that the name breaks.
pub fn check_base(name: &str) -> Result<(), NameFault> {
    check_path(name)?;
    if name.contains('/') {
        return Err(NameFault::Forbidden { character: '/' });
    }
    if name.len() > MAX_BASE_BYTES {
        return Err(NameFault::PartTooLong { bytes: name.len() });
    }
    Ok(())
}

/// Whether the path is where the profile puts a payload file.
///
/// # Errors
/// [`NameFault::Misplaced`] if it isn't.
pub fn check_place(path: &str) -> Result<(), NameFault> {
    let report =
        |rest: &str| !rest.contains('/') && (rest.ends_with(".pdf") || rest.ends_with(".html"));
    let placed = path.starts_with(SEASON)
        || LEDGER_FILES.contains(&path)
        || path.strip_prefix(REPORT).is_some_and(report);
    if placed {
        Ok(())
    } else {
        Err(NameFault::Misplaced)
    }
}

/// Whether a reason for withholding a file says something, on one line, in bounds.
pub fn is_reason(text: &str) -> bool {
    !text.trim().is_empty()
        && text.encode_utf16().count() <= MAX_REASON_UNITS
        && !text.chars().any(char::is_control)
}

/// Whether a payload file is a leaf of the tree.
pub fn is_leaf(path: &str) -> bool {
    path.starts_with(SEASON) || path.starts_with(LEDGER)
}

/// Whether a payload file, by its path below `data/`, is a photo of the season by its name. In the ZIP those come first, so that they can
/// be written while they are read, before anything is known that rests on them.
pub fn is_photo(path: &str) -> bool {
    let Some(path) = path.strip_prefix("season/photos/") else {
        return false;
    };
    let name = path.rsplit('/').next().unwrap_or(path);
    let Some((stem, ending)) = name.rsplit_once('.') else {
        return false;
    };
    // Some systems leave a companion with such a beginning beside a picture.
    let is_picture = PICTURE_ENDINGS
        .iter()
        .any(|known| known.eq_ignore_ascii_case(ending));
    !stem.is_empty() && !name.starts_with("._") && is_picture
}

fn check_part(part: &str) -> Result<(), NameFault> {
    if part.is_empty() {
        return Err(NameFault::EmptyPart);
    }
    if part == "." || part == ".." {
        return Err(NameFault::DotPart);
    }
    if part.len() > MAX_PART_BYTES {
        return Err(NameFault::PartTooLong { bytes: part.len() });
    }
    if part.ends_with(['.', ' ']) {
        return Err(NameFault::TrailingDotOrSpace { part: part.into() });
    }
    if is_reserved(part) {
        return Err(NameFault::Reserved { part: part.into() });
    }
    Ok(())
}

/// Characters that Windows forbids in names, control characters, `%` (validators disagree on its escape), and
/// invisible ones that turn the direction of text or break its line, by which a name could show as another.
fn is_forbidden(character: char) -> bool {
    matches!(
        character,
        '\\' | ':' | '%' | '<' | '>' | '"' | '|' | '?' | '*'
            | '\u{200E}' | '\u{200F}' | '\u{061C}'
            | '\u{2028}'..='\u{202E}'
            | '\u{2066}'..='\u{2069}'
            | '\u{FEFF}'
    ) || character.is_control()
}

/// Device names of Windows, with any extension; the superscript digits count as digits there.
/// (Microsoft, "Naming Files, Paths, and Namespaces".)
fn is_reserved(part: &str) -> bool {
    let stem = part.split('.').next().unwrap_or(part).trim_end_matches(' ');
    let stem = stem.to_uppercase();
    if matches!(
        stem.as_str(),
        "CON" | "PRN" | "AUX" | "NUL" | "CONIN$" | "CONOUT$"
    ) {
        return true;
    }
    let port = stem
        .strip_prefix("COM")
        .or_else(|| stem.strip_prefix("LPT"));
    port.is_some_and(|rest| {
        let mut digits = rest.chars();
        matches!(digits.next(), Some('0'..='9' | '¹' | '²' | '³')) && digits.next().is_none()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The profile as a file for other programs is held together with the constants.
    #[test]
    fn the_profile_in_json_means_the_same() {
        let text = include_str!("../../docs/bagit-profile.json");
        let value: serde_json::Value = serde_json::from_str(text).unwrap();
        let labels: Vec<&String> = value["Bag-Info"].as_object().unwrap().keys().collect();
        let mut wanted = LABELS.to_vec();
        wanted.sort_unstable();
        let mut found: Vec<&str> = labels.into_iter().map(String::as_str).collect();
        found.sort_unstable();
        assert_eq!(found, wanted);
        for label in LABELS {
            assert_eq!(value["Bag-Info"][label]["required"], true, "{label}");
            assert_eq!(value["Bag-Info"][label]["repeatable"], false, "{label}");
        }
        let info = &value["BagIt-Profile-Info"];
        assert_eq!(info["BagIt-Profile-Identifier"], PROFILE_IDENTIFIER);
        let allowed: Vec<&str> = value["Tag-Files-Allowed"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(serde_json::Value::as_str)
            .collect();
        for path in [HOW_TO_VERIFY, EVIDENCE, VERIFY_PAGE]
            .iter()
            .chain(&SEAL_FILES)
        {
            assert!(allowed.contains(path), "{path}");
        }
        assert_eq!(allowed.len(), 5);
    }

    #[test]
    fn ordinary_names_pass() {
        for path in [
            "data/season/pulls.csv",
            "data/season/photos/2026-07-04/IMG 0001 (copy).jpg",
            "data/season/papers/Genehmigung für Süd.pdf",
            "data/season/.keep",
            "data/season/console.txt",
            "data/season/COM10.txt",
            "data/season/写真/池.jpg",
        ] {
            assert_eq!(check_path(path), Ok(()), "{path}");
            assert_eq!(check_place(path), Ok(()), "{path}");
        }
    }

    #[test]
    fn each_rule_has_a_name_that_breaks_it() {
        let forbidden = |character| NameFault::Forbidden { character };
        let reserved = |part: &str| NameFault::Reserved { part: part.into() };
        let trailing = |part: &str| NameFault::TrailingDotOrSpace { part: part.into() };
        for (path, fault) in [
            ("data//x", NameFault::EmptyPart),
            ("/etc/x", NameFault::EmptyPart),
            ("data/season/", NameFault::EmptyPart),
            ("data/../x", NameFault::DotPart),
            ("data/./x", NameFault::DotPart),
            ("data/season/u\u{308}", NameFault::NotComposed),
            ("data/season/a\nb", forbidden('\n')),
            ("data/season/a\rb", forbidden('\r')),
            ("data/season/50%", forbidden('%')),
            ("C:/x", forbidden(':')),
            ("data\\x", forbidden('\\')),
            ("data/season/pond?.jpg", forbidden('?')),
            ("data/season/gpj.\u{202E}exe", forbidden('\u{202E}')),
            ("data/season/con", reserved("con")),
            ("data/season/NUL.txt", reserved("NUL.txt")),
            ("data/season/lpt1/x", reserved("lpt1")),
            ("data/season/COM¹", reserved("COM¹")),
            ("data/season/x.", trailing("x.")),
            ("data/season/x /y", trailing("x ")),
        ] {
            assert_eq!(check_path(path), Err(fault), "{path}");
        }
        assert_eq!(
            check_path(&format!("data/{}", "ä".repeat(128))),
            Err(NameFault::PartTooLong { bytes: 256 })
        );
        assert_eq!(
            check_path(&"x".repeat(201)),
            Err(NameFault::PathTooLong { units: 201 })
        );
        assert_eq!(
            check_path(&["x"; 33].join("/")),
            Err(NameFault::TooDeep { parts: 33 })
        );
    }

    #[test]
    fn payload_has_its_places() {
        for path in [
            "data/notes.txt",
            "data/ledger/other.csv",
            "data/report/report.docx",
            "data/report/drafts/report.pdf",
            "data/report/drafts/page.html",
            "season/pulls.csv",
        ] {
            assert_eq!(check_place(path), Err(NameFault::Misplaced), "{path}");
        }
        assert_eq!(check_place("data/report/funder.pdf"), Ok(()));
        assert_eq!(check_place("data/report/board.html"), Ok(()));
        assert!(is_leaf("data/ledger/figures.csv") && is_leaf("data/season/x"));
        assert!(!is_leaf("data/report/funder.pdf"));
    }

    #[test]
    fn the_base_is_one_plain_name() {
        assert_eq!(check_base("heron-ponds-2026-evidence"), Ok(()));
        assert!(check_base("a/b").is_err());
        assert!(check_base("..").is_err());
        assert!(check_base(&"x".repeat(101)).is_err());
    }

    #[test]
    fn a_reason_is_a_line_that_says_something() {
        assert!(is_reason("no consent of the person in it"));
        for text in ["", "  ", "two\nlines", &"x".repeat(301)] {
            assert!(!is_reason(text), "{text:?}");
        }
    }

    #[test]
    fn tag_files_are_sorted_by_bytes() {
        assert!(TAG_FILES.is_sorted());
        assert!(LEDGER_FILES.is_sorted());
    }
}
