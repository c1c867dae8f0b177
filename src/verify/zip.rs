//! A strict scan of a ZIP's structure, before a byte of content is believed.
//!
//! Takes the file; gives its entries, with every byte of the file accounted for: local header, name, data, the next
//! header, the directory, the end. What no ZIP should be is a fault; what only the profile forbids is a deviation, to
//! be held against an evidence archive and not against a bag of another maker. Reads no content.

use std::fs::File;
use std::io::{self, BufReader, Read, Seek, SeekFrom};

use super::fault::Fault;
use super::names::{self, check_inside};
use super::zip_record::{self as record, Central, Common};
use crate::archive::profile::{self, zip as fixed};

/// Deflate (APPNOTE 4.4.5): the one compression that bags of other makers may use.
const DEFLATED: u16 = 8;
/// Flags that mean encryption: bits 0, 6 and 13 (4.4.4).
const ENCRYPTED: u16 = 1 | 1 << 6 | 1 << 13;
/// Flag bit 3: check sum and sizes follow the data.
const HAS_DESCRIPTOR: u16 = 1 << 3;
/// Flag bit 5: patch data, which is no file.
const PATCH: u16 = 1 << 5;
/// Extra field with the 64-bit sizes (4.5.3).
const ZIP64_EXTRA: u16 = 1;
/// Extra field with another name (4.6.9), by which readers disagree on what the file is called.
const UNICODE_PATH_EXTRA: u16 = 0x7075;
/// A 16-bit or 32-bit field whose value stands in a Zip64 record.
const ELSEWHERE_16: u16 = u16::MAX;
const ELSEWHERE_32: u32 = u32::MAX;
/// Unix file types in the upper half of the external attributes, and Windows' mark of a link in the lower.
const TYPE_MASK: u32 = 0o170_000;
const TYPE_FILE: u32 = 0o100_000;
const TYPE_FOLDER: u32 = 0o040_000;
const WINDOWS_LINK: u32 = 0x400;
/// Unpacked content may be this many times the ZIP, and a further [`ROOM`], before it is taken for a bomb.
const MOST_SWELL: u64 = 200;
const ROOM: u64 = 1 << 30;

const THE_END: &str = "the end of the ZIP";

/// One entry, its content not looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    pub name: String,
    /// Where its content starts.
    pub data: u64,
    /// Bytes of content as they stand in the ZIP.
    pub compressed: u64,
    /// Bytes of content unpacked.
    pub size: u64,
    pub crc: u32,
    pub deflated: bool,
    pub folder: bool,
}

/// What the scan found.
#[derive(Debug, Default)]
pub(super) struct Scan {
    pub entries: Vec<Entry>,
    /// Wrong in any ZIP.
    pub faults: Vec<Fault>,
    /// Wrong in an evidence archive only.
    pub deviations: Vec<Fault>,
    pub comment: bool,
}

/// Why the scan stopped.
#[derive(Debug)]
pub(super) enum Stop {
    /// The structure can't be followed, or shouldn't be.
    Fault(Fault),
    /// The file can't be read.
    Io(io::Error),
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}

fn stop<T>(place: impl Into<String>, what: impl Into<String>) -> Result<T, Stop> {
    Err(Stop::Fault(Fault::structure(place, what)))
}

fn refuse<T>(place: impl Into<String>, what: impl Into<String>) -> Result<T, Stop> {
    Err(Stop::Fault(Fault::refused(place, what)))
}

/// The directory's place, as the end records say.
struct Directory {
    count: u64,
    offset: u64,
    bytes: u64,
}

/// Scans a ZIP of `length` bytes.
///
/// # Errors
/// [`Stop`], if the structure can't be followed to its end.
pub(super) fn scan(file: &mut File, length: u64) -> Result<Scan, Stop> {
    let mut scan = Scan::default();
    let directory = read_end(file, length, &mut scan)?;
    let headers = read_directory(file, &directory, &mut scan)?;
    place_entries(file, &headers, &directory, &mut scan)?;
    let total: u128 = scan
        .entries
        .iter()
        .map(|entry| u128::from(entry.size))
        .sum();
    if total > u128::from(length) * u128::from(MOST_SWELL) + u128::from(ROOM) {
        return refuse(
            "the ZIP",
            format!("{length} bytes would unpack to {total}: a bomb"),
        );
    }
    Ok(scan)
}

fn read_at(file: &mut File, offset: u64, bytes: usize) -> io::Result<Vec<u8>> {
    let mut buffer = vec![0; bytes];
    file.seek(SeekFrom::Start(offset))?;
    file.read_exact(&mut buffer)?;
    Ok(buffer)
}

/// Finds the end record, and the Zip64 one before it, and makes sure that they fit each other and the file.
fn read_end(file: &mut File, length: u64, scan: &mut Scan) -> Result<Directory, Stop> {
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
    };
    note_zip64_rule(&wide, end, true, scan);
    if end64.needed != end64.made_by
        || ![fixed::VERSION, fixed::VERSION_ZIP64].contains(&end64.needed)
    {
        deviates(
            scan,
            THE_END,
            "version",
            end64.needed.into(),
            fixed::VERSION.into(),
        );
    }
    Ok((wide, end64_at))
}

/// The profile's fixed rule for when the Zip64 end records are there, and what the plain one then holds.
fn note_zip64_rule(directory: &Directory, end: &record::End, wide: bool, scan: &mut Scan) {
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

/// A central header with its name and what its extra fields say.
struct Header {
    name: String,
    central: Central,
    compressed: u64,
    size: u64,
    offset: u64,
}

fn read_directory(
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
        if former.as_ref().is_some_and(|former| *former >= header.name) {
            scan.deviations.push(Fault::structure(
                &header.name,
                "it is not in the order of names, or twice in the directory",
            ));
        }
        former = Some(header.name.clone());
        headers.push(header);
    }
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
fn check_other_name(name: &str, fields: &[(u16, &[u8])]) -> Result<(), Stop> {
    for (kind, content) in fields {
        if *kind == UNICODE_PATH_EXTRA && content.get(5..) != Some(name.as_bytes()) {
            return refuse(name, "an extra field gives it another name");
        }
    }
    Ok(())
}

/// Sizes (compressed, plain) and offset as the Zip64 field has them where the header says so. The field must hold
/// exactly what the header leaves to it, and must not be there otherwise.
fn resolve_zip64(
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

fn deviates(scan: &mut Scan, place: &str, field: &str, found: u64, wanted: u64) {
    if found != wanted {
        scan.deviations.push(Fault::structure(
            place,
            format!("its field '{field}' is {found}, not {wanted} as the profile says"),
        ));
    }
}

/// What the profile fixes in a header, local or central.
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

fn note_central_deviations(header: &Header, extra: &[u8], scan: &mut Scan) {
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
fn zip64_field(values: &[u64]) -> Vec<u8> {
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

/// Follows the entries through the file: each must start where the one before ends, the first at 0, and the last must
/// end where the directory starts.
fn place_entries(
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
        let next = order.peek().map_or(directory.offset, |next| next.offset);
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
