//! ZIPs made to mislead: each is refused or told, whether it poses as an evidence archive or as another's bag.

use std::fs;
use std::time::Instant;

use super::zip_maker::{Entry, Zip};
use super::{BASE, judge, packed, told};

/// Harms an otherwise honest archive and gives its faults.
fn harm(change: impl FnOnce(&mut Zip)) -> Vec<String> {
    let faults = change_and_judge(change);
    assert!(!faults.is_empty());
    faults
}

/// Changes an honest archive and gives its faults, if it has any then.
fn change_and_judge(change: impl FnOnce(&mut Zip)) -> Vec<String> {
    let (folder, packed) = packed();
    let mut zip = Zip::like(&packed.path);
    change(&mut zip);
    let path = folder.path().join("hostile.zip");
    fs::write(&path, zip.build()).unwrap();
    let before = Instant::now();
    let verdict = judge(&path);
    assert!(
        before.elapsed().as_secs() < 5,
        "took {:?}",
        before.elapsed()
    );
    assert_eq!(verdict.whole(), verdict.faults.is_empty());
    told(&verdict)
}

fn pulls() -> String {
    format!("{BASE}/data/season/pulls.csv")
}

/// An extra field of one kind.
fn extra(kind: u16, content: &[u8]) -> Vec<u8> {
    let mut field = kind.to_le_bytes().to_vec();
    field.extend((content.len() as u16).to_le_bytes());
    field.extend(content);
    field
}

#[test]
fn bytes_that_belong_to_no_file() {
    assert_eq!(
        harm(|zip| zip.before = b"#!/bin/sh\n".to_vec()),
        ["structure the start of the ZIP"]
    );
    assert_eq!(
        harm(|zip| zip.after = b"x".to_vec()),
        ["structure the end of the ZIP"]
    );
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").after = b"hidden".to_vec()),
        [format!("structure {}", pulls())]
    );
    assert_eq!(
        harm(|zip| zip.before_end = b"hidden".to_vec()),
        ["structure the end of the ZIP"]
    );
    assert_eq!(
        harm(|zip| {
            zip.before_end = b"hidden".to_vec();
            let honest = Zip {
                before_end: Vec::new(),
                ..zip.clone()
            };
            let length = honest.build().len() - 22;
            let directory: usize = honest
                .entries
                .iter()
                .map(|entry| 46 + entry.name.len())
                .sum();
            zip.directory_offset = Some((length - directory) as u32);
            zip.directory_bytes = Some(directory as u32 + 6);
        }),
        ["structure the ZIP's directory"]
    );
}

#[test]
fn comments() {
    assert_eq!(
        harm(|zip| zip.comment = b"hello".to_vec()),
        ["structure the end of the ZIP"]
    );
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").comment = b"hello".to_vec()),
        [format!("structure {}", pulls())]
    );
    // An inner archive in the comment: a reader that looks from the end finds that one.
    assert_eq!(
        harm(|zip| {
            let inner = Zip {
                entries: vec![Entry::new("x", b"y")],
                ..Zip::default()
            };
            zip.comment = inner.build();
        }),
        ["structure the end of the ZIP"]
    );
    assert_eq!(
        harm(|zip| {
            zip.comment = Zip::default().build();
            zip.comment.extend(b"more");
        }),
        ["structure the end of the ZIP"]
    );
}

#[test]
fn entries_that_overlap() {
    assert_eq!(
        harm(|zip| zip.entry("season.toml").offset = Some(0)),
        [format!("refused {BASE}/data/season/photos/Süd pond.jpg")]
    );
    let faults = harm(|zip| zip.entry("bagit.txt").offset = Some(40));
    assert!(
        faults[0].starts_with("structure") || faults[0].starts_with("refused"),
        "{faults:?}"
    );
    assert_eq!(
        harm(|zip| {
            let entry = zip.entry("pulls.csv");
            entry.compressed = Some(1 << 20);
            entry.size = Some(1 << 20);
            entry.local_size = Some(1 << 20);
        }),
        [format!("refused {}", pulls())]
    );
}

#[test]
fn a_place_beyond_the_file_is_a_lie_and_no_fault_of_the_disk() {
    for place in [1 << 20, u32::MAX - 1] {
        for name in ["HOW-TO-VERIFY.txt", "pulls.csv", "verify.html"] {
            let faults = harm(|zip| zip.entry(name).offset = Some(place));
            assert!(
                faults[0].starts_with("structure") || faults[0].starts_with("refused"),
                "{name}, {place}: {faults:?}"
            );
        }
    }
}

#[test]
fn the_order_of_the_first_archives_is_as_good_and_no_third_one_is() {
    let by_name = |zip: &mut Zip| {
        let entries = &mut zip.entries;
        entries.sort_by(|one, other| one.name.cmp(&other.name));
    };
    assert_eq!(change_and_judge(by_name), [""; 0]);
    let faults = harm(|zip| {
        let photo = zip.entries.remove(0);
        zip.entries.push(photo);
    });
    assert!(
        faults.iter().all(|fault| fault.starts_with("structure")),
        "{faults:?}"
    );
    let faults = harm(|zip| {
        by_name(zip);
        zip.entries.swap(3, 4);
    });
    assert!(
        faults.iter().all(|fault| fault.starts_with("structure")),
        "{faults:?}"
    );
}

#[test]
fn headers_that_disagree() {
    let faults = [format!("structure {}", pulls())];
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").local_name =
            Some(pulls().replace("pulls", "other").into())),
        faults
    );
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").local_crc = Some(1)),
        faults
    );
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").local_size = Some(1)),
        faults
    );
    assert_eq!(harm(|zip| zip.entry("pulls.csv").size = Some(1)), faults);
    assert!(
        harm(|zip| zip.entry("pulls.csv").crc = Some(1))
            .contains(&"damaged data/season/pulls.csv".to_owned())
    );
}

#[test]
fn names_that_are_there_twice_or_nearly() {
    let twice = |name: &str| {
        let name = format!("{BASE}/{name}");
        harm(|zip| {
            zip.entries.push(Entry::new(&name, b"x"));
            zip.sort();
        })
    };
    assert!(twice("data/season/pulls.csv").contains(&"refused data/season/pulls.csv".to_owned()));
    assert!(twice("data/season/PULLS.csv").contains(&"bad-name data/season/pulls.csv".to_owned()));
    assert!(
        twice("data/season/Photos/x")
            .contains(&"bad-name data/season/photos/Süd pond.jpg".to_owned())
    );
    assert!(
        twice("data/season/pulls.csv/x").contains(&"refused data/season/pulls.csv/x".to_owned())
    );
    assert!(
        twice("data/season/Su\u{308}d.csv")
            .contains(&"bad-name data/season/Su\u{308}d.csv".to_owned())
    );
}

#[test]
fn names_that_lead_elsewhere() {
    for name in [
        "/etc/cron.d/x",
        "../x",
        "x/../../y",
        "C:/x",
        "\\\\server\\x",
        "~/x",
        "x\0.jpg",
        "x//y",
        "./x",
        "",
    ] {
        let faults = harm(|zip| zip.entries.push(Entry::new(name, b"x")));
        assert_eq!(faults.len(), 1);
        assert!(faults[0].starts_with("refused"), "{name:?}: {faults:?}");
    }
    for name in ["CON", "x:y", "a\\b", "50%", "x.", "gpj.\u{202E}exe"] {
        let name = format!("{BASE}/data/season/{name}");
        let faults = harm(|zip| {
            zip.entries.push(Entry::new(&name, b"x"));
            zip.sort();
        });
        assert!(
            faults.iter().any(|fault| fault.starts_with("bad-name")),
            "{name:?}: {faults:?}"
        );
    }
    let faults = harm(|zip| {
        let mut entry = Entry::new("x", b"x");
        entry.name = b"\xff\xfe".to_vec();
        zip.entries.push(entry);
    });
    assert!(faults[0].starts_with("structure entry 16"), "{faults:?}");
}

#[test]
fn an_extra_field_that_gives_another_name() {
    let other_name = |name: &str| {
        let mut content = vec![1];
        content.extend(crc32fast::hash(pulls().as_bytes()).to_le_bytes());
        content.extend(name.as_bytes());
        extra(0x7075, &content)
    };
    let refused = [format!("refused {}", pulls())];
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").extra = other_name("evil")),
        refused
    );
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").local_extra = other_name("evil")),
        refused
    );
    // Even a true one is none of the profile's.
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").extra = other_name(&pulls())),
        [format!("structure {}", pulls())]
    );
}

#[test]
fn what_is_no_plain_file() {
    let refused = [format!("refused {}", pulls())];
    for external in [
        0o120_777 << 16,
        0o010_644 << 16,
        0o060_644 << 16,
        0o040_755 << 16,
        0x400,
    ] {
        assert_eq!(
            harm(|zip| zip.entry("pulls.csv").external = Some(external)),
            refused
        );
    }
    for flags in [1, 1 << 5, 1 << 6, 1 << 13] {
        assert_eq!(harm(|zip| zip.entry("pulls.csv").flags = flags), refused);
    }
    for method in [1, 9, 12, 14, 93, 99] {
        assert_eq!(harm(|zip| zip.entry("pulls.csv").method = method), refused);
    }
    let faults = harm(|zip| {
        zip.entries
            .push(Entry::new(&format!("{BASE}/data/season/x/"), b""));
        zip.entry("/x/").external = Some(0o040_755 << 16);
        zip.sort();
    });
    assert!(
        faults.contains(&format!("structure {BASE}/data/season/x/")),
        "{faults:?}"
    );
}

#[test]
fn a_flood_of_entries_is_refused_at_once() {
    let zip64_end = |count: u64, bytes: u64, offset: u64, at: u64| {
        let mut records = b"PK\x06\x06".to_vec();
        records.extend(44_u64.to_le_bytes());
        records.extend([10, 0, 10, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
        for value in [count, count, bytes, offset] {
            records.extend(value.to_le_bytes());
        }
        records.extend(b"PK\x06\x07\0\0\0\0");
        records.extend(at.to_le_bytes());
        records.extend(1_u32.to_le_bytes());
        records
    };
    let lie = |count: u64, bytes: u64, shift: u64| {
        harm(|zip| {
            let start = zip.build().len() as u64 - 22;
            let directory: u64 = zip
                .entries
                .iter()
                .map(|entry| 46 + entry.name.len() as u64)
                .sum();
            zip.before_end = zip64_end(count, bytes, start - directory, start + shift);
            zip.count = Some(u16::MAX);
            zip.directory_bytes = Some(u32::MAX);
        })
    };
    let end = ["refused the end of the ZIP"];
    assert_eq!(lie(1_000_000, 46_000_000, 0), end);
    assert_eq!(lie(u64::MAX, 46_000_000, 0), end);
    assert_eq!(lie(15, u64::MAX, 0), end);
    // The locator points elsewhere.
    assert_eq!(lie(15, 1000, 1), ["structure the end of the ZIP"]);
    // The plain record denies the Zip64 one.
    assert_eq!(
        harm(|zip| {
            let start = zip.build().len() as u64 - 22;
            zip.before_end = zip64_end(3, 100, 0, start);
        }),
        ["structure the end of the ZIP"]
    );
    // More entries stated than there are, and fewer.
    for count in [14, 16, 65_535] {
        let faults = harm(|zip| zip.count = Some(count));
        assert!(faults[0].starts_with("structure"), "{faults:?}");
    }
}

#[test]
fn sizes_that_lie() {
    let structure = [format!("structure {}", pulls())];
    // A Zip64 field without need, one too short, one that is missing.
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").extra = extra(1, &[0; 16])),
        structure
    );
    assert_eq!(
        harm(|zip| {
            let entry = zip.entry("pulls.csv");
            entry.size = Some(u32::MAX);
            entry.extra = extra(1, &[0; 4]);
        }),
        structure
    );
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").size = Some(u32::MAX)),
        structure
    );
    assert_eq!(
        harm(|zip| zip.entry("pulls.csv").extra = vec![1, 0, 9, 0]),
        structure
    );
    // Exabytes by Zip64, to make a sum run over.
    let huge = [u64::MAX.to_le_bytes(), u64::MAX.to_le_bytes()].concat();
    assert_eq!(
        harm(|zip| {
            let entry = zip.entry("pulls.csv");
            entry.size = Some(u32::MAX);
            entry.compressed = Some(u32::MAX);
            entry.local_size = Some(u32::MAX);
            entry.extra = extra(1, &huge);
            entry.local_extra = extra(1, &huge);
        }),
        [format!("refused {}", pulls())]
    );
}

/// Zeros that deflate to next to nothing.
fn zeros(bytes: usize) -> Entry {
    Entry::deflated("bag/data/zeros", &vec![0; bytes])
}

#[test]
fn bombs() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bomb.zip");
    let judge_with = |entry: Entry| {
        let zip = Zip {
            entries: vec![
                Entry::new(
                    "bag/bagit.txt",
                    b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
                ),
                entry,
                Entry::new("bag/manifest-md5.txt", b"beef  data/zeros\n"),
            ],
            ..Zip::default()
        };
        fs::write(&path, zip.build()).unwrap();
        told(&judge(&path))
    };
    // States what it would unpack to.
    let mut stated = zeros(1 << 20);
    stated.size = Some(3 << 30);
    stated.local_size = Some(3 << 30);
    assert_eq!(judge_with(stated), ["refused the ZIP"]);
    // Unpacks to more than it states; reading stops where it goes beyond.
    let mut hidden = zeros(64 << 20);
    hidden.size = Some(10);
    hidden.local_size = Some(10);
    assert!(judge_with(hidden).contains(&"damaged data/zeros".to_owned()));
    // Unpacks to less, or has bytes behind its end.
    let mut short = zeros(10);
    short.size = Some(11);
    short.local_size = Some(11);
    assert!(judge_with(short).contains(&"damaged data/zeros".to_owned()));
    let mut behind = zeros(10);
    behind.data.extend(b"hidden");
    assert!(judge_with(behind).contains(&"damaged data/zeros".to_owned()));
    let mut broken = zeros(1 << 20);
    broken.data[3] ^= 0xff;
    assert!(judge_with(broken).contains(&"damaged data/zeros".to_owned()));
}

#[test]
fn lists_that_are_too_long_or_hold_too_much() {
    let faults = harm(|zip| {
        let entry = zip.entry("bag-info.txt");
        entry.data = vec![b'x'; (1 << 20) + 1];
    });
    assert!(
        faults.contains(&"refused bag-info.txt".to_owned()),
        "{faults:?}"
    );
    let faults = harm(|zip| {
        // 300,000 levels deep: a reader that recurses without bound would fall over.
        zip.entry("evidence.json").data = vec![b'['; 300_000];
    });
    assert!(
        faults.contains(&"tree evidence.json".to_owned()),
        "{faults:?}"
    );
    let faults = harm(|zip| {
        zip.entry("/manifest-sha256.txt").data = b"\n".repeat(300_000);
    });
    assert!(
        faults.contains(&"refused manifest-sha256.txt".to_owned()),
        "{faults:?}"
    );
}
