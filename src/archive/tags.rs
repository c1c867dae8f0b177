//! The bag's tag files as text: bag-info.txt, the manifests, HOW-TO-VERIFY.txt, verify.html.
//!
//! Takes values and gives text; writes nothing.

use super::profile;
use super::tree::{self, Hash};

/// What bag-info.txt says of the bag. Nothing here is read from a clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BagDescription {
    /// Name of the one folder in the ZIP: `heron-ponds-2026-evidence`. The ZIP should bear it too.
    pub base: String,
    /// Title of the season: `Heron Ponds, season 2026`.
    pub season: String,
    /// The programme, or who runs it.
    pub organisation: String,
    /// What the bag holds and whence, in a sentence.
    pub description: String,
    /// Day of packing, as YYYY-MM-DD.
    pub bagging_date: String,
    /// Version of windrow: `0.1.0`.
    pub tool_version: String,
}

impl BagDescription {
    /// bag-info.txt (RFC 8493, 2.2.2), each label once.
    pub(super) fn bag_info(
        &self,
        root: &Hash,
        previous: Option<&Hash>,
        bytes: u64,
        files: usize,
    ) -> String {
        let mut text = String::new();
        for (label, value) in [
            (profile::LABEL_ORGANISATION, one_line(&self.organisation)),
            (profile::LABEL_DESCRIPTION, one_line(&self.description)),
            (profile::LABEL_DATE, one_line(&self.bagging_date)),
            (profile::LABEL_OXUM, format!("{bytes}.{files}")),
            (profile::LABEL_PROFILE, profile::PROFILE_IDENTIFIER.into()),
            (
                profile::LABEL_SOFTWARE,
                format!("windrow {}", one_line(&self.tool_version)),
            ),
            (profile::LABEL_SEASON, one_line(&self.season)),
            (profile::LABEL_ROOT, tree::hex(root)),
            (
                profile::LABEL_PREVIOUS,
                previous.map_or_else(|| profile::NO_PREVIOUS.into(), |hash| tree::hex(hash)),
            ),
        ] {
            text.push_str(label);
            text.push_str(": ");
            text.push_str(&value);
            text.push('\n');
        }
        text
    }

    /// HOW-TO-VERIFY.txt: what to do with a computer's own tools. Its lines end as Windows wants them, which every
    /// editor on the other systems reads too.
    pub(super) fn how_to_verify(&self, root: &Hash, withheld: usize) -> String {
        let withheld = if withheld == 0 {
            String::new()
        } else {
            WITHHELD.replace("{number}", &withheld.to_string())
        };
        HOW_TO
            .replace("{withheld}", &withheld)
            .replace("{season}", &one_line(&self.season))
            .replace("{root}", &tree::hex(root))
            .replace('\n', "\r\n")
    }
}

/// A manifest (RFC 8493, 2.1.3): hash, two spaces, path, a line each, in the order given.
pub(super) fn manifest<'a>(lines: impl IntoIterator<Item = (&'a str, &'a Hash)>) -> String {
    let mut text = String::new();
    for (path, hash) in lines {
        text.push_str(&tree::hex(hash));
        text.push_str("  ");
        text.push_str(path);
        text.push('\n');
    }
    text
}

/// A value for bag-info.txt: on one line, trimmed, and never empty.
pub(super) fn one_line(text: &str) -> String {
    let words: Vec<&str> = text
        .split(|character: char| character.is_whitespace() || character.is_control())
        .filter(|word| !word.is_empty())
        .collect();
    if words.is_empty() {
        "not given".into()
    } else {
        words.join(" ")
    }
}

/// verify.html: the page that verifies in a browser. The same in every archive of a version.
pub(super) const VERIFY_PAGE: &str = include_str!("../../templates/verify.html");

const HOW_TO: &str = "\
HOW TO VERIFY THIS ARCHIVE

Season: {season}
Root:   {root}

The root is a hash over every file of the season folder and the ledger of
figures. The report prints it. If it is the same here and in a copy of the
report that came to you by another way, and the steps below find nothing,
then no file below data/season or data/ledger has changed since that report
was made.

{withheld}That is all an archive can say. It can't say that a photo shows what its
caption claims: the time and place inside a photo can be edited before packing.

With windrow

    windrow verify ARCHIVE.zip

checks everything below and the root at once, and names each fault.

With a browser

Open verify.html, which lies in the archive, and choose the ZIP or the folder
into which you unpacked it. The page needs no network. As it came with the
archive, whoever forges one can forge the other: use a page from an archive
that you trust where it matters. All archives that one version of windrow
makes hold the same page.

With what your computer already has

Unpack the ZIP into an empty folder first. There must be one folder in it.
Open a terminal in that folder, where bagit.txt lies.

Linux:

    sha256sum --quiet --check tagmanifest-sha256.txt
    sha256sum --quiet --check manifest-sha256.txt

macOS:

    shasum -a 256 --check tagmanifest-sha256.txt | grep -v ': OK$'
    shasum -a 256 --check manifest-sha256.txt | grep -v ': OK$'

Windows (PowerShell):

    foreach ($list in 'tagmanifest-sha256.txt', 'manifest-sha256.txt') {
      foreach ($line in Get-Content -Encoding UTF8 $list) {
        $hash, $path = $line -split '  ', 2
        if ((Get-FileHash -Algorithm SHA256 -LiteralPath $path).Hash -ne $hash) {
          Write-Output \"CHANGED OR MISSING: $path\"
        }
      }
    }

Nothing printed means that every listed file is there and unchanged. A printed
line names a file that isn't.

One file alone, on Windows:

    certutil -hashfile \"data\\season\\pulls.csv\" SHA256

and compare with its line in manifest-sha256.txt.

Look also for what the lists do not name: every file below data/ must be in
manifest-sha256.txt. On Linux and macOS the two numbers here must be the same:

    find data -type f | wc -l
    wc -l < manifest-sha256.txt

On Windows (PowerShell):

    (Get-ChildItem data -Recurse -File -Force).Count
    (Get-Content manifest-sha256.txt).Count

Someone who changes a file can also write new lists. So compare the fingerprint
of the archive with one that came by another way (the packer's message, minutes
of a meeting): it is the SHA-256 of tagmanifest-sha256.txt.

    Linux:   sha256sum tagmanifest-sha256.txt
    macOS:   shasum -a 256 tagmanifest-sha256.txt
    Windows: certutil -hashfile tagmanifest-sha256.txt SHA256

The folder seal, if there is one

The lists can't name it, as what lies in it was made over them: a signature
(seal/fingerprint.sig), a time stamp (seal/fingerprint.tsr), or both. The
archive can be whole without them. windrow checks them; so do common tools.

That the signature fits this archive:

    ssh-keygen -Y check-novalidate -n windrow-evidence -s seal/fingerprint.sig < tagmanifest-sha256.txt

That it is by the key of a certain person, whose public key you have by another
way, in a file named allowed, one folder up, with the one line
name@example.org ssh-ed25519 AAAA...

    ssh-keygen -Y verify -f ../allowed -I name@example.org -n windrow-evidence -s seal/fingerprint.sig < tagmanifest-sha256.txt

That the time stamp is over this archive, by an authority whose root certificate
you have from the authority, in a file named root.pem, one folder up:

    openssl ts -verify -in seal/fingerprint.tsr -data tagmanifest-sha256.txt -CAfile ../root.pem

PowerShell knows no < in a command: there, put the command in quotation marks
after cmd /c.

A signature says who stands for the archive, if the key is theirs; a time stamp
says that it was there at that time, if the authority is to be trusted. Neither
says that anything in it is true.
";

/// Put into the instructions of a copy that leaves files out.
const WITHHELD: &str = "\
This is a copy to hand over. {number} of the files stay out of it; evidence.json
lists them with the reason for each. Their hashes are still in the tree, so
the root is the one that the report prints.

";

#[cfg(test)]
mod tests {
    use super::*;

    fn description() -> BagDescription {
        BagDescription {
            base: "invented-2026-evidence".into(),
            season: "Invented Ponds\n2026".into(),
            organisation: " ".into(),
            description: "Records of hand-pulling".into(),
            bagging_date: "2026-10-01".into(),
            tool_version: "0.1.0".into(),
        }
    }

    #[test]
    fn bag_info_has_each_label_once_on_one_line() {
        let text = description().bag_info(&[0xab; 32], None, 12, 3);
        assert_eq!(
            text,
            format!(
                "Source-Organization: not given\n\
                 External-Description: Records of hand-pulling\n\
                 Bagging-Date: 2026-10-01\n\
                 Payload-Oxum: 12.3\n\
                 BagIt-Profile-Identifier: {}\n\
                 Bag-Software-Agent: windrow 0.1.0\n\
                 Windrow-Season: Invented Ponds 2026\n\
                 Windrow-Root: {}\n\
                 Windrow-Previous: none\n",
                profile::PROFILE_IDENTIFIER,
                "ab".repeat(32)
            )
        );
        let text = description().bag_info(&[0xab; 32], Some(&[0xcd; 32]), 12, 3);
        assert!(text.ends_with(&format!("Windrow-Previous: {}\n", "cd".repeat(32))));
    }

    #[test]
    fn a_manifest_is_what_sha256sum_reads() {
        assert_eq!(
            manifest([("data/season/a b", &[0; 32])]),
            format!("{}  data/season/a b\n", "00".repeat(32))
        );
    }

    /// The page can't read the profile, so it says the same once more; here both are held together.
    #[test]
    fn the_page_means_the_same_profile() {
        let list = |names: &[&str]| format!("['{}'];", names.join("', '"));
        let wanted = [
            format!("const TAGS = {}", list(&profile::TAG_FILES)),
            format!("const SEALS = {}", list(&profile::SEAL_FILES)),
            format!("const LABELS = {}", list(&profile::LABELS)),
            format!("const LEDGER = {}", list(&profile::LEDGER_FILES)),
            format!("const PROFILE = '{}';", profile::PROFILE_IDENTIFIER),
            format!("const BAGIT = '{}';", profile::BAGIT_TEXT.escape_default()),
            format!("const MOST_FILES = {}", profile::MAX_FILES),
            format!("MOST_LIST = {}", profile::MAX_LIST_BYTES),
            format!("MOST_TEXT = {}", profile::MAX_TEXT_BYTES),
            format!("document.format !== '{}'", profile::EVIDENCE_FORMAT),
            format!("document.tree !== '{}'", profile::TREE_NAME),
            format!("path.length > {})", profile::MAX_PATH_UNITS),
            format!("parts.length > {})", profile::MAX_PARTS),
            format!("leaf.reason.length > {} ", profile::MAX_REASON_UNITS),
        ];
        for text in wanted {
            assert!(VERIFY_PAGE.contains(&text), "{text}");
        }
        // In the page as a pattern, whose question marks make what stands before them optional.
        let endings = "jpe?g|jpe|jfif|heic|heif|hif|png|tiff?|webp";
        assert!(VERIFY_PAGE.contains(&format!(r"\.({endings})$/i")));
        let mut endings: Vec<String> = endings
            .split('|')
            .flat_map(|ending| match ending.split_once('?') {
                Some((start, end)) => vec![
                    format!("{start}{end}"),
                    format!("{}{end}", &start[..start.len() - 1]),
                ],
                None => vec![ending.to_owned()],
            })
            .collect();
        let mut known = profile::PICTURE_ENDINGS;
        endings.sort();
        known.sort();
        assert_eq!(endings, known);
        let words = VERIFY_PAGE.split("const WORDS = `").nth(1).unwrap();
        let words: Vec<&str> = words
            .split('`')
            .next()
            .unwrap()
            .split_whitespace()
            .collect();
        let bytes: Vec<u8> = words
            .chunks(32)
            .flat_map(|part| super::super::words::from_words(&part.join(" ")).unwrap())
            .collect();
        assert_eq!(bytes, (0..=255).collect::<Vec<u8>>());
        assert!((VERIFY_PAGE.len() as u64) < profile::MAX_TEXT_BYTES);
    }

    #[test]
    fn the_page_fetches_nothing() {
        assert!(VERIFY_PAGE.contains("default-src 'none'"));
        for text in [
            "http:",
            "https:",
            "src=\"",
            "@import",
            "url(",
            "fetch(",
            "innerHTML",
        ] {
            assert!(!VERIFY_PAGE.contains(text), "{text}");
        }
    }

    #[test]
    fn the_instructions_are_filled_in() {
        let text = description().how_to_verify(&[0xab; 32], 0);
        assert!(text.contains(&"ab".repeat(32)));
        assert!(text.contains("Invented Ponds 2026"));
        assert!(!text.contains("{withheld}"));
        assert!(!text.contains("{season}") && !text.contains("{root}"));
        assert!(!text.contains("stay out of it"));
        let text = description().how_to_verify(&[0xab; 32], 7);
        assert!(text.contains("7 of the files stay out of it"));
    }
}
