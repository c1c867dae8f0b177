//! What the profile fixes in a ZIP's fields. Every difference is a deviation: a fault of an evidence archive only.

use super::central::Header;
use super::end::THE_END;
use super::record::{self, Common};
use super::{Directory, Scan, ZIP64_EXTRA};
use crate::archive::profile::zip as fixed;
use crate::verify::fault::Fault;

/// Notes a field that isn't as the profile says.
pub(super) fn deviates(scan: &mut Scan, place: &str, field: &str, found: u64, wanted: u64) {
    if found != wanted {
        scan.deviations.push(Fault::structure(
            place,
            format!("its field '{field}' is {found}, not {wanted} as the profile says"),
        ));
    }
}

/// What the profile fixes in a header and what local and central header share.
fn note_common_deviations(name: &str, common: &Common, size: u64, scan: &mut Scan) {
    let flags = if name.is_ascii() {
        fixed::FLAGS_ASCII
    } else {
        fixed::FLAGS_UTF8
    };
    for (field, found, wanted) in [
        ("version needed", common.needed, version(size)),
        ("flags", common.flags, flags),
        ("method", common.method, fixed::STORED),
        ("time", common.time, fixed::TIME),
        ("date", common.date, fixed::DATE),
    ] {
        deviates(scan, name, field, found.into(), wanted.into());
    }
}

fn version(size: u64) -> u16 {
    if size >= fixed::ZIP64_FROM {
        fixed::VERSION_ZIP64
    } else {
        fixed::VERSION
    }
}

/// What the profile fixes in a central header.
pub(super) fn note_central_deviations(header: &Header, extra: &[u8], scan: &mut Scan) {
    let (name, central) = (header.name.as_str(), &header.central);
    note_common_deviations(name, &central.common, header.size, scan);
    let made_by = fixed::HOST_UNIX | version(header.size);
    for (field, found, wanted) in [
        ("version made by", central.made_by.into(), made_by.into()),
        ("internal attributes", central.internal.into(), 0),
        (
            "external attributes",
            central.external.into(),
            fixed::ATTRIBUTES.into(),
        ),
        ("comment length", central.comment_bytes.into(), 0),
    ] {
        deviates(scan, name, field, found, wanted);
    }
    let large = header.size >= fixed::ZIP64_FROM;
    let far = header.offset >= fixed::ZIP64_FROM;
    let mut values = Vec::new();
    if large {
        values.extend([header.size, header.compressed]);
    }
    if far {
        values.push(header.offset);
    }
    if extra != zip64_field(&values) {
        scan.deviations.push(Fault::structure(
            name,
            "its extra fields in the directory are not those of the profile",
        ));
    }
}

/// The one extra field that the profile knows, or nothing for no values.
pub(super) fn zip64_field(values: &[u64]) -> Vec<u8> {
    let mut bytes = Vec::new();
    if !values.is_empty() {
        bytes.extend(ZIP64_EXTRA.to_le_bytes());
        // Three values at most.
        bytes.extend(
            u16::try_from(values.len() * 8)
                .unwrap_or_default()
                .to_le_bytes(),
        );
        values
            .iter()
            .for_each(|value| bytes.extend(value.to_le_bytes()));
    }
    bytes
}

/// The profile's fixed rule for when the Zip64 end records are there, and what the plain one then holds.
pub(super) fn note_zip64_rule(
    directory: &Directory,
    end: &record::End,
    wide: bool,
    scan: &mut Scan,
) {
    let must = directory.count > fixed::ENTRIES_WITHOUT_ZIP64
        || directory.bytes.max(directory.offset) > fixed::ZIP64_FROM;
    if wide != must {
        scan.deviations.push(Fault::structure(
            THE_END,
            "the Zip64 records are there without need, or are needed and not there",
        ));
    }
    if wide {
        let count = directory.count.min(fixed::ENTRIES_WITHOUT_ZIP64);
        let offset = directory.offset.min(fixed::ZIP64_FROM);
        deviates(scan, THE_END, "count", end.count.into(), count);
        deviates(scan, THE_END, "size", end.bytes.into(), fixed::ZIP64_FROM);
        deviates(scan, THE_END, "offset", end.offset.into(), offset);
    }
}

/// The Zip64 end record's versions are both the largest that any entry needs.
pub(super) fn note_end_versions(directory: &Directory, scan: &mut Scan) {
    let largest = scan.entries.iter().map(|entry| version(entry.size)).max();
    let wanted = largest.unwrap_or(fixed::VERSION);
    for found in directory.versions.into_iter().flatten() {
        deviates(scan, THE_END, "version", found.into(), wanted.into());
    }
}
