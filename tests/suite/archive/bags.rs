//! Bags of other makers, judged by RFC 8493 (J. Kunze, J. Littman, E. Madden, J. Scancella, C. Adams, 2018) alone.
//! Section numbers are those of the RFC.

use std::fs;
use std::path::Path;

use windrow::verify::{Expected, Kind, Verdict, verify};

use super::zip_maker::{Entry, Zip};
use super::{judge, told};

const DECLARATION: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";
const OLD: &str = "BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n";

/// Sums of the five bytes "hello", as coreutils' md5sum, sha1sum, sha256sum and sha512sum (9.1) print them.
const MD5: &str = "5d41402abc4b2a76b9719d911017c592";
const SHA1: &str = "aaf4c61ddcc5e8a2dabede0f3b482cd9aea9434d";
const SHA256: &str = "2cf24dba5fb0a30e26e83b2ac5b9e29e1b161e5c1fa7425e73043362938b9824";
const SHA512: &str = "9b71d224bd62f3785d96d46ad3ea3d73319bfbc2890caadae2dff72519673ca72323c3d99ba5c11d7c7acc6e14b8c5da0c4663475c2e5c3adef46f73bcdec043";

/// Writes a bag of files and judges it as a folder.
fn bag(files: &[(&str, &str)]) -> Verdict {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), files);
    judge(folder.path())
}

fn write(base: &Path, files: &[(&str, &str)]) {
    for (path, content) in files {
        let path = base.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
    }
}

fn warned(verdict: &Verdict) -> Vec<&'static str> {
    verdict
        .warnings
        .iter()
        .map(|warning| warning.name())
        .collect()
}

#[test]
fn all_four_sums_of_the_standard_are_read() {
    for (algorithm, sum) in [
        ("md5", MD5),
        ("sha1", SHA1),
        ("sha256", SHA256),
        ("sha512", SHA512),
    ] {
        let manifest = format!("manifest-{algorithm}.txt");
        for sum in [sum.to_owned(), sum.to_uppercase()] {
            let line = format!("{sum}\t data/a\n");
            let verdict = bag(&[
                ("bagit.txt", DECLARATION),
                ("data/a", "hello"),
                (&manifest, &line),
            ]);
            assert_eq!(told(&verdict), Vec::<String>::new(), "{algorithm}");
            assert_eq!(verdict.kind, Kind::OtherBagFolder);
            assert_eq!((verdict.root, verdict.files, verdict.bytes), (None, 1, 5));
        }
        let line = format!("{}  data/a\n", sum.replace('2', "3"));
        let verdict = bag(&[
            ("bagit.txt", DECLARATION),
            ("data/a", "hello"),
            (&manifest, &line),
        ]);
        assert_eq!(told(&verdict), ["changed data/a"]);
    }
    let verdict = bag(&[
        ("bagit.txt", DECLARATION),
        ("data/a", "hello"),
        ("manifest-crc32.txt", "x"),
    ]);
    assert_eq!(
        told(&verdict),
        [
            "added data/a",
            "structure the bag",
            "tag-file manifest-crc32.txt"
        ]
    );
}

#[test]
fn weak_sums_and_missing_tag_manifests_are_warned_of() {
    let line = format!("{MD5}  data/a\n");
    let verdict = bag(&[
        ("bagit.txt", DECLARATION),
        ("data/a", "hello"),
        ("manifest-md5.txt", &line),
    ]);
    assert_eq!(
        warned(&verdict),
        ["other-maker", "no-tag-manifest", "weak-sums"]
    );
}

/// Section 2.1.3: LF, CR and % in a path are percent-encoded in a manifest of 1.0, and nothing else is.
#[cfg(unix)]
#[test]
fn percent_encoding_follows_the_standard() {
    for (file, listed) in [
        ("data/a\nb", "data/a%0Ab"),
        ("data/a\rb", "data/a%0Db"),
        ("data/50%", "data/50%25"),
        ("data/%0A", "data/%250A"),
    ] {
        let line = format!("{SHA256}  {listed}\n");
        let files = [
            ("bagit.txt", DECLARATION),
            (file, "hello"),
            ("manifest-sha256.txt", &line),
        ];
        assert_eq!(told(&bag(&files)), Vec::<String>::new(), "{listed}");
    }
    let line = format!("{SHA256}  data/50%\n");
    let files = [
        ("bagit.txt", DECLARATION),
        ("data/50%", "hello"),
        ("manifest-sha256.txt", &line),
    ];
    assert_eq!(
        told(&bag(&files)),
        ["added data/50%", "tag-file manifest-sha256.txt"]
    );
    let files = [
        ("bagit.txt", OLD),
        ("data/50%", "hello"),
        ("manifest-sha256.txt", &line),
    ];
    assert_eq!(told(&bag(&files)), Vec::<String>::new());
}

/// Section 3: from 1.0 on every payload manifest lists every payload file; before, one was enough.
#[test]
fn every_manifest_lists_everything_from_1_0_on() {
    let md5 = format!("{MD5}  data/a\n{MD5}  data/b\n");
    let sha1 = format!("{SHA1}  data/a\n");
    let files = |declaration| {
        [
            ("bagit.txt", declaration),
            ("data/a", "hello"),
            ("data/b", "hello"),
            ("manifest-md5.txt", md5.as_str()),
            ("manifest-sha1.txt", sha1.as_str()),
        ]
    };
    assert_eq!(
        told(&bag(&files(DECLARATION))),
        ["tag-file manifest-sha1.txt"]
    );
    assert_eq!(told(&bag(&files(OLD))), Vec::<String>::new());
}

#[test]
fn tag_manifests_are_held_to_their_rules() {
    use sha2::Digest;
    let sum = |text: &str| windrow::archive::tree::hex(&sha2::Sha256::digest(text));
    let manifest = format!("{SHA256}  data/a\n");
    let judge_tags = |declaration: &str, lines: &[(&str, &str)]| {
        let tags: String = lines
            .iter()
            .map(|(content, path)| format!("{}  {path}\n", sum(content)))
            .collect();
        bag(&[
            ("bagit.txt", declaration),
            ("bag-info.txt", "Contact-Name: Nobody\n"),
            ("data/a", "hello"),
            ("manifest-sha256.txt", &manifest),
            ("tagmanifest-sha256.txt", &tags),
        ])
    };
    let whole = judge_tags(
        DECLARATION,
        &[
            (DECLARATION, "bagit.txt"),
            (&manifest, "manifest-sha256.txt"),
        ],
    );
    assert_eq!(told(&whole), Vec::<String>::new());
    assert_eq!(warned(&whole), ["other-maker", "uncovered"]);
    assert!(whole.fingerprint.is_some());
    // Section 2.2.1: it must list every payload manifest.
    let short = judge_tags(DECLARATION, &[(DECLARATION, "bagit.txt")]);
    assert_eq!(told(&short), ["tag-file tagmanifest-sha256.txt"]);
    assert_eq!(
        told(&judge_tags(OLD, &[(OLD, "bagit.txt")])),
        Vec::<String>::new()
    );
    let changed = judge_tags(
        DECLARATION,
        &[("x", "bagit.txt"), (&manifest, "manifest-sha256.txt")],
    );
    assert_eq!(told(&changed), ["changed bagit.txt"]);
    let payload = judge_tags(
        DECLARATION,
        &[("hello", "data/a"), (&manifest, "manifest-sha256.txt")],
    );
    assert_eq!(told(&payload), ["tag-file tagmanifest-sha256.txt"]);
    let missing = judge_tags(
        DECLARATION,
        &[("x", "notes.txt"), (&manifest, "manifest-sha256.txt")],
    );
    assert_eq!(told(&missing), ["missing notes.txt"]);
}

#[test]
fn other_encodings_of_tag_files_are_read() {
    let folder = tempfile::tempdir().unwrap();
    let declaration = DECLARATION.replace("UTF-8", "ISO-8859-1");
    write(
        folder.path(),
        &[("bagit.txt", &declaration), ("data/süd", "hello")],
    );
    let mut line = format!("{SHA256}  data/s").into_bytes();
    line.extend(b"\xFCd\n");
    fs::write(folder.path().join("manifest-sha256.txt"), line).unwrap();
    assert_eq!(told(&judge(folder.path())), Vec::<String>::new());
}

/// Section 2.2.3.
#[test]
fn files_to_be_fetched_are_noted_and_missed() {
    let line = format!("{SHA256}  data/a\n{SHA256}  data/b\n");
    let with = |fetch: &str| {
        bag(&[
            ("bagit.txt", DECLARATION),
            ("data/a", "hello"),
            ("manifest-sha256.txt", &line),
            ("fetch.txt", fetch),
        ])
    };
    let verdict = with("https://example.org/b 5 data/b\n");
    assert_eq!(told(&verdict), ["missing data/b"]);
    assert!(warned(&verdict).contains(&"fetch-list"));
    assert_eq!(
        told(&with("https://example.org/c - data/c\n")),
        ["missing data/b", "tag-file fetch.txt"]
    );
    assert_eq!(
        told(&with("https://example.org/c - ../../etc/x\n")),
        ["missing data/b", "tag-file fetch.txt"]
    );
}

#[test]
fn bags_of_others_in_a_zip_are_read_in_their_usual_forms() {
    let line = format!("{SHA256}  data/a\n");
    let entries = |base: &str| {
        vec![
            Entry::deflated(&format!("{base}bagit.txt"), DECLARATION.as_bytes()),
            Entry::deflated(&format!("{base}data/a"), b"hello"),
            Entry::new(&format!("{base}manifest-sha256.txt"), line.as_bytes()),
        ]
    };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bag.zip");
    let judge_zip = |entries: Vec<Entry>, comment: &[u8]| {
        let zip = Zip {
            entries,
            comment: comment.into(),
            ..Zip::default()
        };
        fs::write(&path, zip.build()).unwrap();
        judge(&path)
    };
    let verdict = judge_zip(entries("bag/"), b"");
    assert_eq!(told(&verdict), Vec::<String>::new());
    assert_eq!(verdict.kind, Kind::OtherBagZip);
    // With folders' own entries, times in extra fields, and a comment.
    let mut common = entries("bag/");
    common.insert(0, Entry::new("bag/", b""));
    common[0].external = Some((0o040_755 << 16) | 0x10);
    common[1].extra = vec![0x55, 0x54, 1, 0, 7];
    let verdict = judge_zip(common, b"made by hand");
    assert_eq!(told(&verdict), Vec::<String>::new());
    assert!(warned(&verdict).contains(&"comment"));
    // With data descriptors, as writers make that can't go back.
    let mut streamed = entries("bag/");
    for entry in &mut streamed {
        let size = entry.size.unwrap_or(entry.data.len() as u32);
        let crc = entry.crc.unwrap_or_else(|| crc32fast::hash(&entry.data));
        entry.flags |= 1 << 3;
        entry.local_crc = Some(0);
        entry.local_size = Some(0);
        entry.after = b"PK\x07\x08".to_vec();
        for value in [crc, entry.data.len() as u32, size] {
            entry.after.extend(value.to_le_bytes());
        }
    }
    assert_eq!(
        told(&judge_zip(streamed.clone(), b"")),
        Vec::<String>::new()
    );
    streamed[1].after[5] ^= 1;
    assert_eq!(told(&judge_zip(streamed, b"")), ["structure bag/data/a"]);
    // Section 4: a ZIP holds one bag in one folder.
    let verdict = judge_zip(entries(""), b"");
    assert_eq!(told(&verdict), Vec::<String>::new());
    assert!(warned(&verdict).contains(&"no-base-folder"));
    let mut two = entries("bag/");
    two.push(Entry::new("__MACOSX/bag/._a", b"x"));
    assert_eq!(told(&judge_zip(two, b"")), ["structure __MACOSX/bag/._a"]);
    // Hostile in any guise.
    let mut link = entries("bag/");
    link[1].external = Some(0o120_777 << 16);
    assert_eq!(told(&judge_zip(link, b"")), ["refused bag/data/a"]);
}

#[test]
fn a_root_can_not_be_had_from_a_bag_of_another_maker() {
    let folder = tempfile::tempdir().unwrap();
    let line = format!("{SHA256}  data/a\n");
    write(
        folder.path(),
        &[
            ("bagit.txt", DECLARATION),
            ("data/a", "hello"),
            ("manifest-sha256.txt", &line),
        ],
    );
    let expected = Expected {
        root: Some([0; 32]),
        ..Expected::default()
    };
    let verdict = verify(folder.path(), &expected, &mut |_, _| {}).unwrap();
    assert_eq!(told(&verdict), ["wrong-root the archive"]);
}
