//! The central directory of a ZIP, header by header.

use std::fs::File;
use std::io::{self, BufReader, Read, Seek, SeekFrom};

use super::record::{self, Central, Common};
use super::rule::note_central_deviations;
use super::{
    DEFLATED, Directory, ELSEWHERE_32, HAS_DESCRIPTOR, Scan, Stop, ZIP64_EXTRA, refuse, stop,
};
use crate::archive::profile::{self, zip as fixed};
use crate::verify::fault::Fault;
use crate::verify::names::{self, check_inside};

/// Flags that mean encryption: bits 0, 6 and 13 (4.4.4).
const ENCRYPTED: u16 = 1 | 1 << 6 | 1 << 13;
/// Flag bit 5: patch data, which is no file.
const PATCH: u16 = 1 << 5;
/// Extra field with another name (4.6.9), by which readers disagree on what the file is called.
const UNICODE_PATH_EXTRA: u16 = 0x7075;
/// Unix file types in the upper half of the external attributes, and Windows' mark of a link in the lower.
const TYPE_MASK: u32 = 0o170_000;
const TYPE_FILE: u32 = 0o100_000;
const TYPE_FOLDER: u32 = 0o040_000;
const WINDOWS_LINK: u32 = 0x400;

/// A central header with its name and what its extra fields say.
pub(super) struct Header {
    pub name: String,
    pub central: Central,
    pub compressed: u64,
    pub size: u64,
    pub offset: u64,
}

/// The order in which photos come first: by whether it is none, and by its name.
fn photos_first(name: &str) -> (bool, &str) {
    let below = name.split_once('/').map_or(name, |(_, path)| path);
    let payload = below.strip_prefix(profile::PAYLOAD);
    (!payload.is_some_and(profile::is_photo), name)
}

/// The order of archives that were packed before photos came first.
fn by_name(name: &str) -> (bool, &str) {
    (false, name)
}

/// Entries that don't come after the one before them by `key`.
fn out_of_order(headers: &[Header], key: fn(&str) -> (bool, &str)) -> Vec<Fault> {
    let behind = headers.iter().skip(1);
    let pairs = headers.iter().zip(behind);
    pairs
        .filter(|(one, two)| key(&one.name) >= key(&two.name))
        .map(|(_, two)| {
            let what = "it is not in the order of names, or twice in the directory";
            Fault::structure(&two.name, what)
        })
        .collect()
}

/// Reads all headers of the directory.
///
/// # Errors
/// [`Stop`], at the first that can't be followed.
pub(super) fn read(
    file: &mut File,
    directory: &Directory,
    scan: &mut Scan,
) -> Result<Vec<Header>, Stop> {
    file.seek(SeekFrom::Start(directory.offset))?;
    let mut reader = BufReader::new(file).take(directory.bytes);
    let mut headers = Vec::new();
    let mut former: Option<String> = None;
    for number in 1..=directory.count {
        let after = former
            .as_deref()
            .map_or_else(String::new, |name| format!(" after {name}"));
        let place = format!("entry {number} of the ZIP's directory{after}");
        let Some(header) = read_central(&mut reader, &place, scan)? else {
            return stop(place, "there is no entry where one must be");
        };
        former = Some(header.name.clone());
        headers.push(header);
    }
    // Whichever order is nearer to how they lie.
    let (first, other) = (
        out_of_order(&headers, photos_first),
        out_of_order(&headers, by_name),
    );
    scan.deviations.extend(if other.len() < first.len() {
        other
    } else {
        first
    });
    if reader.limit() > 0 {
        return stop(
            "the ZIP's directory",
            "there are bytes that belong to no entry",
        );
    }
    Ok(headers)
}

/// Reads exactly `bytes`, or None where the directory ends too early.
fn read_part(reader: &mut impl Read, bytes: usize) -> Result<Option<Vec<u8>>, Stop> {
    let mut buffer = vec![0; bytes];
    match reader.read_exact(&mut buffer) {
        Ok(()) => Ok(Some(buffer)),
        Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => Ok(None),
        Err(error) => Err(error.into()),
    }
}

fn read_central(
    reader: &mut impl Read,
    place: &str,
    scan: &mut Scan,
) -> Result<Option<Header>, Stop> {
    let Some(bytes) = read_part(reader, record::CENTRAL_BYTES)? else {
        return Ok(None);
    };
    let Some(central) = record::central(&bytes) else {
        return Ok(None);
    };
    let common = central.common;
    let Some(name) = read_part(reader, common.name_bytes.into())? else {
        return Ok(None);
    };
    let Some(extra) = read_part(reader, common.extra_bytes.into())? else {
        return Ok(None);
    };
    if read_part(reader, central.comment_bytes.into())?.is_none() {
        return Ok(None);
    }
    let Ok(name) = String::from_utf8(name) else {
        return stop(place, "its name is not in UTF-8");
    };
    if let Err(what) = check_inside(name.strip_suffix('/').unwrap_or(&name)) {
        let place = if name.is_empty() || name.len() > names::MOST_BYTES {
            place.to_owned()
        } else {
            name
        };
        return refuse(place, what);
    }
    check_nature(&name, &central)?;
    let Some(fields) = record::extra_fields(&extra) else {
        return stop(name, "the lengths of its extra fields don't add up");
    };
    check_other_name(&name, &fields)?;
    let offset_elsewhere = central.offset == ELSEWHERE_32;
    let Some((compressed, size, offset)) =
        resolve_zip64(&common, offset_elsewhere.then_some(()), &fields)
    else {
        return stop(name, "its Zip64 field doesn't fit what it stands for");
    };
    let offset = offset.unwrap_or_else(|| central.offset.into());
    let header = Header {
        name,
        central,
        compressed,
        size,
        offset,
    };
    note_central_deviations(&header, &extra, scan);
    Ok(Some(header))
}

/// Encryption, patches, links and unknown compressions are refused.
fn check_nature(name: &str, central: &Central) -> Result<(), Stop> {
    let common = central.common;
    if common.flags & ENCRYPTED != 0 {
        return refuse(name, "it is encrypted, so nobody could verify it");
    }
    if common.flags & PATCH != 0 {
        return refuse(name, "it is a patch and no file");
    }
    if common.method != fixed::STORED && common.method != DEFLATED {
        return refuse(
            name,
            format!(
                "it is packed by method {}, which is not allowed",
                common.method
            ),
        );
    }
    if central.disk != 0 {
        return refuse(name, "it says that it lies in another part");
    }
    let kind = (central.external >> 16) & TYPE_MASK;
    let folder = name.ends_with('/');
    let fits = kind == 0 || kind == if folder { TYPE_FOLDER } else { TYPE_FILE };
    if !fits || central.external & WINDOWS_LINK != 0 {
        return refuse(name, "it is a link or something else that is no file");
    }
    if folder && (common.size != 0 || common.compressed != 0) && common.flags & HAS_DESCRIPTOR == 0
    {
        return refuse(name, "it is a folder with content");
    }
    Ok(())
}

/// Refuses an extra field that gives the file another name (4.6.9: version, check sum of the name, the name).
pub(super) fn check_other_name(name: &str, fields: &[(u16, &[u8])]) -> Result<(), Stop> {
    for (kind, content) in fields {
        if *kind == UNICODE_PATH_EXTRA && content.get(5..) != Some(name.as_bytes()) {
            return refuse(name, "an extra field gives it another name");
        }
    }
    Ok(())
}

/// Sizes (compressed, plain) and offset as the Zip64 field has them where the header says so. The field must hold
/// exactly what the header leaves to it, and must not be there otherwise.
pub(super) fn resolve_zip64(
    common: &Common,
    offset_elsewhere: Option<()>,
    fields: &[(u16, &[u8])],
) -> Option<(u64, u64, Option<u64>)> {
    let mut wide = fields.iter().filter(|(kind, _)| *kind == ZIP64_EXTRA);
    let field = wide.next().map(|(_, content)| *content);
    if wide.next().is_some() {
        return None;
    }
    let mut values = record::Fields(field.unwrap_or_default());
    // The plain size comes first (4.5.3).
    let size = match common.size {
        ELSEWHERE_32 => values.u64()?,
        size => size.into(),
    };
    let compressed = match common.compressed {
        ELSEWHERE_32 => values.u64()?,
        compressed => compressed.into(),
    };
    let offset = match offset_elsewhere {
        Some(()) => Some(values.u64()?),
        None => None,
    };
    values.0.is_empty().then_some((compressed, size, offset))
}
