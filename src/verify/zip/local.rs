//! The entries of a ZIP at their places: local headers against the directory, and no byte left over between.

use std::fs::File;

use super::central::{Header, check_other_name, resolve_zip64};
use super::record::{self, Common};
use super::rule::zip64_field;
use super::{
    DEFLATED, Directory, ELSEWHERE_32, Entry, HAS_DESCRIPTOR, Scan, Stop, read_at, refuse, stop,
};
use crate::archive::profile::zip as fixed;
use crate::verify::fault::Fault;

/// Follows the entries through the file: each must start where the one before ends, the first at 0, and the last must
/// end where the directory starts.
pub(super) fn read(
    file: &mut File,
    headers: &[Header],
    directory: &Directory,
    scan: &mut Scan,
) -> Result<(), Stop> {
    let mut order: Vec<&Header> = headers.iter().collect();
    order.sort_by_key(|header| header.offset);
    if !headers.is_sorted_by_key(|header| header.offset) {
        scan.deviations.push(Fault::structure(
            "the ZIP's directory",
            "it lists the entries in another order than they lie",
        ));
    }
    let first = order
        .first()
        .map_or(directory.offset, |header| header.offset);
    if first != 0 {
        return stop(
            "the start of the ZIP",
            format!("the first {first} bytes belong to no file"),
        );
    }
    let mut order = order.into_iter().peekable();
    while let Some(header) = order.next() {
        // Another entry's place may be a lie, and beyond the file's end.
        let next = order
            .peek()
            .map_or(directory.offset, |next| next.offset.min(directory.offset));
        let entry = read_local(file, header, next, scan)?;
        scan.entries.push(entry);
    }
    Ok(())
}

/// Reads the local header at its place, compares it with the directory, and makes sure that the content ends at
/// `next`.
fn read_local(file: &mut File, header: &Header, next: u64, scan: &mut Scan) -> Result<Entry, Stop> {
    let name = header.name.as_str();
    let start = header.offset;
    let room = next.saturating_sub(start);
    if room < record::LOCAL_BYTES as u64 {
        return refuse(name, "it overlaps another entry");
    }
    let Some(local) = record::local(&read_at(file, start, record::LOCAL_BYTES)?) else {
        return stop(
            name,
            "there is no local header where the directory states it",
        );
    };
    let variable = usize::from(local.name_bytes) + usize::from(local.extra_bytes);
    let data = start + (record::LOCAL_BYTES + variable) as u64;
    if data > next {
        return refuse(name, "it overlaps another entry");
    }
    let bytes = read_at(file, start + record::LOCAL_BYTES as u64, variable)?;
    // The name's length is part of `variable`, so this can't be beyond the end.
    let (local_name, extra) = bytes
        .split_at_checked(local.name_bytes.into())
        .unwrap_or_default();
    if local_name != name.as_bytes() {
        return stop(
            name,
            format!(
                "its local header names it '{}'",
                String::from_utf8_lossy(local_name).escape_debug()
            ),
        );
    }
    compare_headers(header, &local, extra, scan)?;
    let Some(end) = data
        .checked_add(header.compressed)
        .filter(|end| *end <= next)
    else {
        return refuse(name, "it overlaps another entry, or its size is a lie");
    };
    check_rest(file, header, end, next)?;
    if header.central.common.method == fixed::STORED && header.compressed != header.size {
        return stop(name, "it is stored, but its two sizes differ");
    }
    Ok(Entry {
        name: header.name.clone(),
        data,
        compressed: header.compressed,
        size: header.size,
        crc: header.central.common.crc,
        deflated: header.central.common.method == DEFLATED,
        folder: name.ends_with('/'),
    })
}

fn compare_headers(
    header: &Header,
    local: &Common,
    extra: &[u8],
    scan: &mut Scan,
) -> Result<(), Stop> {
    let (name, central) = (header.name.as_str(), &header.central.common);
    let differs = |field: &str| {
        Fault::structure(
            name,
            format!("local header and directory disagree in '{field}'"),
        )
    };
    let Some(fields) = record::extra_fields(extra) else {
        return stop(name, "the lengths of its local extra fields don't add up");
    };
    check_other_name(name, &fields)?;
    if local.flags != central.flags {
        scan.faults.push(differs("flags"));
    }
    if local.method != central.method {
        scan.faults.push(differs("method"));
    }
    // Other makers set these carelessly, and no reader acts on them.
    for (field, one, other) in [
        ("version needed", local.needed, central.needed),
        ("time", local.time, central.time),
        ("date", local.date, central.date),
    ] {
        if one != other {
            scan.deviations.push(differs(field));
        }
    }
    let sizes = if local.flags & HAS_DESCRIPTOR == 0 {
        resolve_zip64(local, None, &fields)
    } else {
        // The true values follow the data; here may stand zero, or a place-holder.
        let narrow = |value: u32, truth: u64| match value {
            0 | ELSEWHERE_32 => truth,
            value => value.into(),
        };
        Some((
            narrow(local.compressed, header.compressed),
            narrow(local.size, header.size),
            None,
        ))
    };
    let Some((compressed, size, _)) = sizes else {
        return stop(name, "its local Zip64 field doesn't fit what it stands for");
    };
    let crc_later = local.flags & HAS_DESCRIPTOR != 0 && local.crc == 0;
    if local.crc != central.crc && !crc_later {
        scan.faults.push(differs("check sum"));
    }
    if compressed != header.compressed {
        scan.faults.push(differs("packed size"));
    }
    if size != header.size {
        scan.faults.push(differs("size"));
    }
    let wanted = if header.size >= fixed::ZIP64_FROM {
        zip64_field(&[header.size, header.compressed])
    } else {
        Vec::new()
    };
    if extra != wanted {
        scan.deviations.push(Fault::structure(
            name,
            "its local extra fields are not those of the profile",
        ));
    }
    Ok(())
}

/// Between the content and the next header may stand a data descriptor, if the flags say so, and nothing else.
fn check_rest(file: &mut File, header: &Header, end: u64, next: u64) -> Result<(), Stop> {
    let name = header.name.as_str();
    let rest = next - end;
    if header.central.common.flags & HAS_DESCRIPTOR == 0 {
        return if rest == 0 {
            Ok(())
        } else {
            stop(
                name,
                format!("{rest} bytes after its content belong to no file"),
            )
        };
    }
    // The longest descriptor has 24 bytes.
    let rest = usize::try_from(rest).unwrap_or(usize::MAX);
    if rest > 24 {
        return stop(name, "bytes after its content belong to no file");
    }
    match record::descriptor(&read_at(file, end, rest)?) {
        Some((crc, compressed, size))
            if crc == header.central.common.crc
                && compressed == header.compressed
                && size == header.size =>
        {
            Ok(())
        }
        _ => stop(
            name,
            "what follows its content disagrees with the directory",
        ),
    }
}
