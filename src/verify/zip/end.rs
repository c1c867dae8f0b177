//! The end of a ZIP: where the directory is, by the end record and the Zip64 records before it.

use std::fs::File;

use super::record;
use super::rule::note_zip64_rule;
use super::{Directory, ELSEWHERE_16, ELSEWHERE_32, Scan, Stop, read_at, refuse, stop};
use crate::archive::profile;
use crate::verify::fault::Fault;

pub(super) const THE_END: &str = "the end of the ZIP";

/// Finds the end record, and the Zip64 one before it, and makes sure that they fit each other and the file.
pub(super) fn read(file: &mut File, length: u64, scan: &mut Scan) -> Result<Directory, Stop> {
    let longest = (record::END_BYTES + usize::from(u16::MAX)) as u64;
    let tail_start = length.saturating_sub(longest);
    let tail = read_at(
        file,
        tail_start,
        usize::try_from(length - tail_start).unwrap_or_default(),
    )?;
    let signature = record::END.to_le_bytes();
    let found = tail
        .windows(record::END_BYTES)
        .rposition(|window| window.starts_with(&signature));
    let Some(found) = found else {
        return stop(
            THE_END,
            "there is no end record: this is no ZIP, it was cut short, or its end was changed",
        );
    };
    let bytes = tail.get(found..).unwrap_or_default();
    let Some(end) = record::end(bytes) else {
        return stop(THE_END, "the end record can't be read");
    };
    if bytes.len() != record::END_BYTES + usize::from(end.comment_bytes) {
        return stop(
            THE_END,
            "the end record is not the last thing in the file: bytes were added or cut off after it",
        );
    }
    if end.comment_bytes > 0 {
        scan.comment = true;
        scan.deviations
            .push(Fault::structure(THE_END, "there is a comment"));
    }
    let end_at = tail_start + found as u64;
    if end.disk != 0 || end.directory_disk != 0 || end.here != end.count {
        return stop(THE_END, "it says that the ZIP has several parts");
    }
    let (directory, directory_end) = read_end64(file, &end, end_at, scan)?;
    if directory.count > profile::MAX_FILES as u64 {
        return refuse(
            THE_END,
            format!(
                "it states {} entries; {} are the most that are looked at",
                directory.count,
                profile::MAX_FILES
            ),
        );
    }
    if directory.bytes > profile::MAX_LIST_BYTES {
        return refuse(
            THE_END,
            format!(
                "it states a directory of {} bytes, too long to be honest",
                directory.bytes
            ),
        );
    }
    if directory.offset.checked_add(directory.bytes) != Some(directory_end) {
        return stop(
            THE_END,
            "the directory isn't where it states: bytes were put in, cut out, or the record was changed",
        );
    }
    Ok(directory)
}

/// The directory, from the Zip64 records where there are any, and where it must end.
fn read_end64(
    file: &mut File,
    end: &record::End,
    end_at: u64,
    scan: &mut Scan,
) -> Result<(Directory, u64), Stop> {
    let plain = Directory {
        count: end.count.into(),
        offset: end.offset.into(),
        bytes: end.bytes.into(),
        versions: None,
    };
    let locator = match end_at.checked_sub(record::LOCATOR64_BYTES as u64) {
        Some(at) => {
            record::locator64(&read_at(file, at, record::LOCATOR64_BYTES)?).map(|l| (at, l))
        }
        None => None,
    };
    let Some((locator_at, (disk, end64_at, disks))) = locator else {
        note_zip64_rule(&plain, end, false, scan);
        return Ok((plain, end_at));
    };
    let lies = |what: &str| stop(THE_END, format!("the Zip64 records lie: {what}"));
    if disk != 0 || disks != 1 {
        return lies("they state several parts");
    }
    if end64_at.checked_add(record::END64_BYTES as u64) != Some(locator_at) {
        return lies("the end record isn't where the locator points");
    }
    let Some(end64) = record::end64(&read_at(file, end64_at, record::END64_BYTES)?) else {
        return lies("there is no end record where the locator points");
    };
    if end64.record_bytes != (record::END64_BYTES - 12) as u64
        || end64.disk != 0
        || end64.directory_disk != 0
        || end64.here != end64.count
    {
        return lies("the end record states what can't be");
    }
    let agrees = (end.count == ELSEWHERE_16 || u64::from(end.count) == end64.count)
        && (end.bytes == ELSEWHERE_32 || u64::from(end.bytes) == end64.bytes)
        && (end.offset == ELSEWHERE_32 || u64::from(end.offset) == end64.offset);
    if !agrees {
        return lies("the two end records disagree");
    }
    let wide = Directory {
        count: end64.count,
        offset: end64.offset,
        bytes: end64.bytes,
        versions: Some([end64.made_by, end64.needed]),
    };
    note_zip64_rule(&wide, end, true, scan);
    Ok((wide, end64_at))
}
