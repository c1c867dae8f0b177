//! Random harm by the thousand, from one seed: raw bytes, entries, header fields, and hashes redone. Every one is found, and
//! none makes the verifier fall over.
//!
//! `WINDROW_MUTATIONS` says how many (1,000 where it is not set), `WINDROW_SEED` from which seed.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use rayon::prelude::*;
use windrow::archive::tree::hex;
use windrow::archive::{Content, Item};
use windrow::verify::{Expected, verify};

use super::zip_maker::{Entry, Zip};
use super::{BASE, pack_items, packed, season};
use crate::support::chance::{Chance, from_environment};

/// One way of harming: how it is called, and what it makes of the archive's bytes, or of its entries.
type Harm = (&'static str, fn(&[u8], &Zip, &mut Chance) -> Vec<u8>);

const HARMS: [Harm; 25] = [
    ("flip a bit", |bytes, _, chance| {
        let mut bytes = bytes.to_vec();
        let at = chance.below(bytes.len());
        bytes[at] ^= 1 << chance.below(8);
        bytes
    }),
    ("flip many bits", |bytes, _, chance| {
        let mut bytes = bytes.to_vec();
        for _ in 0..2 + chance.below(40) {
            let at = chance.below(bytes.len());
            bytes[at] ^= 1 << chance.below(8);
        }
        bytes
    }),
    ("overwrite", |bytes, _, chance| {
        let mut bytes = bytes.to_vec();
        for at in range(bytes.len(), 300, chance) {
            bytes[at] = chance.byte();
        }
        bytes
    }),
    ("zeros, as of a lost sector", |bytes, _, chance| {
        let mut bytes = bytes.to_vec();
        let part = range(bytes.len(), 4096, chance);
        bytes[part].fill(0);
        bytes
    }),
    ("cut off the end", |bytes, _, chance| {
        bytes[..chance.below(bytes.len())].to_vec()
    }),
    ("cut off the beginning", |bytes, _, chance| {
        bytes[1 + chance.below(bytes.len() - 1)..].to_vec()
    }),
    ("cut out of the middle", |bytes, _, chance| {
        let mut bytes = bytes.to_vec();
        bytes.drain(range(bytes.len(), 5000, chance));
        bytes
    }),
    ("put in", |bytes, _, chance| {
        let mut bytes = bytes.to_vec();
        let at = chance.below(bytes.len() + 1);
        let more: Vec<u8> = (0..1 + chance.below(300)).map(|_| chance.byte()).collect();
        bytes.splice(at..at, more);
        bytes
    }),
    ("repeat a part", |bytes, _, chance| {
        let mut bytes = bytes.to_vec();
        let part = range(bytes.len(), 3000, chance);
        let copy = bytes[part.clone()].to_vec();
        bytes.splice(part.end..part.end, copy);
        bytes
    }),
    ("swap two parts", |bytes, _, chance| {
        let mut bytes = bytes.to_vec();
        let length = 1 + chance.below(400);
        let one = chance.below(bytes.len() / 2 - length);
        let other = bytes.len() / 2 + chance.below(bytes.len() / 2 - length);
        for at in 0..length {
            bytes.swap(one + at, other + at);
        }
        bytes
    }),
    ("drop an entry", |_, zip, chance| {
        let mut zip = zip.clone();
        let which = chance.below(zip.entries.len());
        zip.entries.remove(which);
        zip.build()
    }),
    ("add an entry", |_, zip, chance| {
        let mut zip = zip.clone();
        let folder = *chance.of(&[
            "data/season/",
            "data/ledger/",
            "data/report/",
            "data/",
            "",
            "seal/",
        ]);
        let name = format!("{BASE}/{folder}{}.txt", chance.below(1000));
        zip.entries.push(Entry::new(&name, &some(40, chance)));
        if chance.below(4) > 0 {
            zip.sort();
        }
        zip.build()
    }),
    ("add an entry of a name that is there", |_, zip, chance| {
        let mut zip = zip.clone();
        let mut twin = chance.of(&zip.entries).clone();
        if chance.below(2) == 0 {
            twin.data = some(40, chance);
        }
        zip.entries.push(twin);
        zip.sort();
        zip.build()
    }),
    ("rename an entry", |_, zip, chance| {
        let mut zip = zip.clone();
        let which = chance.below(zip.entries.len());
        let name = &mut zip.entries[which].name;
        let at = BASE.len() + 1 + chance.below(name.len() - BASE.len() - 1);
        name[at] = *chance.of(b"abcxyzABC019-_./");
        if chance.below(2) == 0 {
            zip.sort();
        }
        zip.build()
    }),
    ("swap the names of two", |_, zip, chance| {
        let mut zip = zip.clone();
        let (one, other) = two(zip.entries.len(), chance);
        let name = zip.entries[one].name.clone();
        zip.entries[one].name = std::mem::replace(&mut zip.entries[other].name, name);
        zip.sort();
        zip.build()
    }),
    ("swap the contents of two", |_, zip, chance| {
        let mut zip = zip.clone();
        let (one, other) = two(zip.entries.len(), chance);
        let data = zip.entries[one].data.clone();
        zip.entries[one].data = std::mem::replace(&mut zip.entries[other].data, data);
        zip.build()
    }),
    ("swap two entries", |_, zip, chance| {
        let mut zip = zip.clone();
        let (one, other) = two(zip.entries.len(), chance);
        zip.entries.swap(one, other);
        zip.build()
    }),
    ("change a content", |_, zip, chance| {
        let mut zip = zip.clone();
        let which = chance.below(zip.entries.len());
        change(&mut zip.entries[which].data, chance);
        zip.build()
    }),
    (
        "change a content and its line in the manifest",
        |_, zip, chance| redone(zip, 1, chance),
    ),
    ("change a content and both manifests", |_, zip, chance| {
        redone(zip, 2, chance)
    }),
    (
        "change a content, both manifests and its leaf",
        |_, zip, chance| redone(zip, 3, chance),
    ),
    ("a word of a header", |_, zip, chance| {
        let mut zip = zip.clone();
        let which = chance.below(zip.entries.len());
        let word = chance.next() as u32 >> chance.below(32);
        let entry = &mut zip.entries[which];
        match chance.below(9) {
            0 => entry.flags ^= 1 << chance.below(16),
            1 => entry.method = *chance.of(&[8, 1, 9, 12, 99]),
            2 => entry.crc = Some(word),
            3 => entry.local_crc = Some(word),
            4 => entry.compressed = Some(word),
            5 => entry.size = Some(word),
            6 => entry.local_size = Some(word),
            7 => entry.external = Some(word),
            _ => entry.offset = Some(word),
        }
        zip.build()
    }),
    ("a variable part of a header", |_, zip, chance| {
        let mut zip = zip.clone();
        let which = chance.below(zip.entries.len());
        let bytes = some(30, chance);
        let entry = &mut zip.entries[which];
        match chance.below(5) {
            0 => entry.extra = bytes,
            1 => entry.local_extra = bytes,
            2 => entry.comment = bytes,
            3 => entry.after = bytes,
            _ => entry.local_name = Some(bytes),
        }
        zip.build()
    }),
    ("a field of the end", |_, zip, chance| {
        let mut zip = zip.clone();
        let word = chance.next() as u32 >> chance.below(32);
        match chance.below(7) {
            0 => zip.before = some(30, chance),
            1 => zip.after = some(30, chance),
            2 => zip.before_end = some(80, chance),
            3 => zip.comment = some(30, chance),
            4 => zip.count = Some(word as u16),
            5 => zip.directory_bytes = Some(word),
            _ => zip.directory_offset = Some(word),
        }
        zip.build()
    }),
    ("deflate an entry", |_, zip, chance| {
        let mut zip = zip.clone();
        let which = chance.below(zip.entries.len());
        let former = &zip.entries[which];
        let name = String::from_utf8(former.name.clone()).unwrap();
        zip.entries[which] = Entry::deflated(&name, &former.data);
        zip.build()
    }),
];

fn range(length: usize, most: usize, chance: &mut Chance) -> std::ops::Range<usize> {
    let start = chance.below(length);
    start..(start + 1 + chance.below(most)).min(length)
}

fn some(most: usize, chance: &mut Chance) -> Vec<u8> {
    (0..1 + chance.below(most)).map(|_| chance.byte()).collect()
}

fn two(count: usize, chance: &mut Chance) -> (usize, usize) {
    let one = chance.below(count);
    (one, (one + 1 + chance.below(count - 1)) % count)
}

/// As a person would who wants other figures: a letter, a part, more.
fn change(data: &mut Vec<u8>, chance: &mut Chance) {
    match chance.below(3) {
        0 if !data.is_empty() => {
            let at = chance.below(data.len());
            data[at] = data[at].wrapping_add(1 + chance.below(255) as u8);
        }
        1 if !data.is_empty() => data.truncate(chance.below(data.len())),
        _ => data.extend(some(20, chance)),
    }
}

fn sha256(bytes: &[u8]) -> String {
    use sha2::Digest;
    hex(&sha2::Sha256::digest(bytes))
}

/// A payload file changed, and the lists that state its hash made to agree, as many as `depth` says.
fn redone(zip: &Zip, depth: usize, chance: &mut Chance) -> Vec<u8> {
    let mut zip = zip.clone();
    let payload: Vec<usize> = (0..zip.entries.len())
        .filter(|at| {
            let name = String::from_utf8_lossy(&zip.entries[*at].name).into_owned();
            name.contains("/data/season/") || name.contains("/data/ledger/")
        })
        .collect();
    let which = *chance.of(&payload);
    let old = sha256(&zip.entries[which].data);
    let data = &mut zip.entries[which].data;
    if data.is_empty() {
        data.push(b'x');
    } else {
        // The size stays, so that only hashes tell.
        let at = chance.below(data.len());
        data[at] = data[at].wrapping_add(1 + chance.below(255) as u8);
    }
    let new = sha256(&zip.entries[which].data);
    let replace = |zip: &mut Zip, list: &str, old: &str, new: &str| {
        let entry = zip.entry(list);
        let text = String::from_utf8(entry.data.clone()).unwrap();
        entry.data = text.replace(old, new).into_bytes();
    };
    let manifest = sha256(&zip.entry("/manifest-sha256.txt").data);
    let evidence = sha256(&zip.entry("evidence.json").data);
    replace(&mut zip, "/manifest-sha256.txt", &old, &new);
    if depth >= 3 {
        replace(&mut zip, "evidence.json", &old, &new);
    }
    if depth >= 2 {
        for (list, former) in [
            ("/manifest-sha256.txt", manifest),
            ("evidence.json", evidence),
        ] {
            let now = sha256(&zip.entry(list).data);
            replace(&mut zip, "tagmanifest-sha256.txt", &former, &now);
        }
    }
    zip.build()
}

/// The season packed anew with something changed: every hash is right, and only what the report prints tells.
fn forged(folder: &Path, chance: &mut Chance) -> Vec<u8> {
    let mut items = season();
    let (one, other) = two(items.len(), chance);
    let bytes = |item: &Item| match &item.content {
        Content::Bytes(bytes) => bytes.clone(),
        Content::File(_) | Content::Deflated(_) => Vec::new(),
    };
    match chance.below(4) {
        0 => {
            let mut data = bytes(&items[one]);
            change(&mut data, chance);
            items[one] = Item::from_bytes(items[one].path.clone(), data);
        }
        1 => {
            items.remove(one);
        }
        2 => {
            let path = format!("season/{}.csv", chance.below(1000));
            items.push(Item::from_bytes(path, some(40, chance)));
        }
        _ => {
            let (first, second) = (bytes(&items[one]), bytes(&items[other]));
            items[one] = Item::from_bytes(items[one].path.clone(), second);
            items[other] = Item::from_bytes(items[other].path.clone(), first);
        }
    }
    let output = folder.join("forged.zip");
    fs::read(pack_items(items, &output).path).unwrap()
}

#[test]
fn random_harm_is_always_found() {
    let count = from_environment("WINDROW_MUTATIONS", 1000);
    let seed = from_environment("WINDROW_SEED", 2026);
    let (folder, packed) = packed();
    let bytes = fs::read(&packed.path).unwrap();
    let zip = Zip::like(&packed.path);
    assert!(
        zip.build() == bytes,
        "the maker writes what the writer writes"
    );
    let printed = Expected {
        root: Some(packed.root),
        fingerprint: Some(packed.fingerprint),
        leaves: None,
    };
    let workers = 2;
    let outcomes: Vec<(&str, Option<String>)> = (0..workers)
        .into_par_iter()
        .flat_map_iter(|worker| {
            let own = folder.path().join(format!("worker-{worker}"));
            fs::create_dir(&own).unwrap();
            let path = own.join("harmed.zip");
            let mut outcomes = Vec::new();
            for number in (worker..count).step_by(workers as usize) {
                let mut chance = Chance::new(seed.wrapping_mul(0x1_0000_0001).wrapping_add(number));
                let kind = chance.below(HARMS.len() + 1);
                let (what, harmed, expected) = match HARMS.get(kind) {
                    Some((what, harm)) => {
                        (*what, harm(&bytes, &zip, &mut chance), Expected::default())
                    }
                    None => ("pack anew", forged(&own, &mut chance), printed),
                };
                if harmed == bytes {
                    continue;
                }
                fs::write(&path, &harmed).unwrap();
                let verdict = verify(&path, &expected, &mut |_, _| {}).unwrap();
                let missed = verdict.whole().then(|| format!("number {number}: {what}"));
                for fault in &verdict.faults {
                    assert!(
                        !fault.to_string().contains(char::is_control),
                        "number {number}: {what}: {fault:?}"
                    );
                }
                outcomes.push((what, missed));
            }
            outcomes
        })
        .collect();
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for (what, _) in &outcomes {
        *kinds.entry(what).or_default() += 1;
    }
    println!("{} harms from seed {seed}: {kinds:#?}", outcomes.len());
    let missed: Vec<&String> = outcomes
        .iter()
        .filter_map(|(_, missed)| missed.as_ref())
        .collect();
    assert_eq!(missed, Vec::<&String>::new(), "seed {seed}");
    if count >= 1000 {
        assert_eq!(kinds.len(), HARMS.len() + 1, "every kind had its turn");
    }
}
