//! What a phone writes into a photo: an APP1 segment with a little-endian TIFF structure.
//!
//! Takes a `Record`; gives JPEG bytes with the segment put right after the start marker, as
//! the Exif standard (CIPA DC-008) asks. Must not know who took the photo or why.

/// The fields of one photo.
pub struct Record {
    pub make: &'static str,
    pub model: &'static str,
    /// 1, 3, 6 or 8: how the stored pixels must be turned to stand upright.
    pub orientation: u16,
    /// Stored pixels, wide and high.
    pub size: (u32, u32),
    /// `2025:07:04 09:30:00`, the camera's own clock.
    pub taken: String,
    /// `-04:00`, where the phone writes it.
    pub offset: Option<&'static str>,
    pub subsec: Option<String>,
    pub fix: Option<Fix>,
    /// A small JPEG of the picture, as phones put it in.
    pub thumbnail: Option<Vec<u8>>,
}

/// A satellite fix.
pub struct Fix {
    /// Degrees north and east, WGS 84.
    pub latitude: f64,
    pub longitude: f64,
    pub altitude_m: f64,
    pub error_m: f64,
    /// Degrees from true north, where the phone knew it.
    pub bearing: Option<f64>,
    /// Coordinated universal time: `2025:07:04` and hours, minutes, seconds.
    pub date: String,
    pub time: (u32, u32, u32),
}

enum Value {
    Text(String),
    Bytes(Vec<u8>),
    Opaque(Vec<u8>),
    Short(u16),
    Long(u32),
    Ratios(Vec<(u32, u32)>),
}

impl Value {
    fn kind(&self) -> u16 {
        match self {
            Value::Bytes(_) => 1,
            Value::Text(_) => 2,
            Value::Short(_) => 3,
            Value::Long(_) => 4,
            Value::Ratios(_) => 5,
            Value::Opaque(_) => 7,
        }
    }

    fn count(&self) -> u32 {
        match self {
            Value::Text(text) => text.len() as u32 + 1,
            Value::Bytes(bytes) | Value::Opaque(bytes) => bytes.len() as u32,
            Value::Short(_) | Value::Long(_) => 1,
            Value::Ratios(ratios) => ratios.len() as u32,
        }
    }

    fn bytes(&self) -> Vec<u8> {
        match self {
            Value::Text(text) => [text.as_bytes(), &[0]].concat(),
            Value::Bytes(bytes) | Value::Opaque(bytes) => bytes.clone(),
            Value::Short(number) => number.to_le_bytes().to_vec(),
            Value::Long(number) => number.to_le_bytes().to_vec(),
            Value::Ratios(ratios) => ratios
                .iter()
                .flat_map(|(over, under)| [over.to_le_bytes(), under.to_le_bytes()].concat())
                .collect(),
        }
    }
}

type Directory = Vec<(u16, Value)>;

/// `jpeg` with the record in it.
pub fn with_record(jpeg: &[u8], record: &Record) -> Vec<u8> {
    let tiff = tiff(record);
    // Two bytes of length count themselves; six spell the segment's name.
    let length = u16::try_from(tiff.len() + 8).unwrap_or(u16::MAX);
    let mut out = Vec::with_capacity(jpeg.len() + tiff.len() + 10);
    out.extend_from_slice(&[0xff, 0xd8, 0xff, 0xe1]);
    out.extend_from_slice(&length.to_be_bytes());
    out.extend_from_slice(b"Exif\0\0");
    out.extend_from_slice(&tiff);
    out.extend_from_slice(jpeg.get(2..).unwrap_or_default());
    out
}

fn tiff(record: &Record) -> Vec<u8> {
    let text = |words: &str| Value::Text(words.to_string());
    let mut first: Directory = vec![
        (
            0x010e,
            text("Drawn by a program. Invented data, no photograph."),
        ),
        (0x010f, text(record.make)),
        (0x0110, text(record.model)),
        (0x0112, Value::Short(record.orientation)),
        (0x011a, Value::Ratios(vec![(72, 1)])),
        (0x011b, Value::Ratios(vec![(72, 1)])),
        (0x0128, Value::Short(2)),
        (0x0132, text(&record.taken)),
        (0x0213, Value::Short(1)),
    ];
    let mut exif: Directory = vec![
        (0x9000, Value::Opaque(b"0232".to_vec())),
        (0x9003, text(&record.taken)),
        (0x9004, text(&record.taken)),
        (0x9101, Value::Opaque(vec![1, 2, 3, 0])),
        (0x920a, Value::Ratios(vec![(57, 10)])),
        (0xa000, Value::Opaque(b"0100".to_vec())),
        (0xa001, Value::Short(1)),
        (0xa002, Value::Long(record.size.0)),
        (0xa003, Value::Long(record.size.1)),
        (0xa405, Value::Short(26)),
    ];
    if let Some(offset) = record.offset {
        exif.push((0x9010, text(offset)));
        exif.push((0x9011, text(offset)));
        exif.push((0x9012, text(offset)));
    }
    if let Some(subsec) = &record.subsec {
        exif.push((0x9290, text(subsec)));
        exif.push((0x9291, text(subsec)));
        exif.push((0x9292, text(subsec)));
    }
    exif.sort_by_key(|(tag, _)| *tag);
    let gps = record.fix.as_ref().map(gps_directory);

    // Offsets of the sub-directories depend on the length of the first: write it with holes, measure, fill.
    first.push((0x8769, Value::Long(0)));
    if gps.is_some() {
        first.push((0x8825, Value::Long(0)));
    }
    let exif_at = 8 + length_of(&first);
    let gps_at = exif_at + length_of(&exif);
    for (tag, value) in &mut first {
        match tag {
            0x8769 => *value = Value::Long(exif_at),
            0x8825 => *value = Value::Long(gps_at),
            _ => {}
        }
    }
    let mut out = b"II\x2a\0\x08\0\0\0".to_vec();
    append(&mut out, &first);
    append(&mut out, &exif);
    if let Some(gps) = &gps {
        append(&mut out, gps);
    }
    if let Some(thumbnail) = &record.thumbnail {
        // The first directory ends in the place of the next one.
        let second = out.len() as u32;
        let next = 8 + 2 + 12 * first.len();
        if let Some(place) = out.get_mut(next..next + 4) {
            place.copy_from_slice(&second.to_le_bytes());
        }
        let mut directory = vec![
            (0x0103, Value::Short(6)),
            (0x0201, Value::Long(0)),
            (0x0202, Value::Long(thumbnail.len() as u32)),
        ];
        let at = second + length_of(&directory);
        if let Some((_, value)) = directory.get_mut(1) {
            *value = Value::Long(at);
        }
        append(&mut out, &directory);
        out.extend_from_slice(thumbnail);
    }
    out
}

fn gps_directory(fix: &Fix) -> Directory {
    let hemisphere = |value: f64, plus: &str, minus: &str| {
        Value::Text(if value < 0.0 { minus } else { plus }.to_string())
    };
    let (hours, minutes, seconds) = fix.time;
    let mut directory = vec![
        (0x0000, Value::Bytes(vec![2, 3, 0, 0])),
        (0x0001, hemisphere(fix.latitude, "N", "S")),
        (0x0002, degrees(fix.latitude)),
        (0x0003, hemisphere(fix.longitude, "E", "W")),
        (0x0004, degrees(fix.longitude)),
        (0x0005, Value::Bytes(vec![u8::from(fix.altitude_m < 0.0)])),
        (0x0006, Value::Ratios(vec![(tenths(fix.altitude_m), 10)])),
        (
            0x0007,
            Value::Ratios(vec![(hours, 1), (minutes, 1), (seconds, 1)]),
        ),
        (0x0012, Value::Text("WGS-84".to_string())),
        (0x001d, Value::Text(fix.date.clone())),
        (0x001f, Value::Ratios(vec![(tenths(fix.error_m), 10)])),
    ];
    if let Some(bearing) = fix.bearing {
        directory.push((0x0010, Value::Text("T".to_string())));
        directory.push((0x0011, Value::Ratios(vec![(tenths(bearing), 10)])));
    }
    directory.sort_by_key(|(tag, _)| *tag);
    directory
}

fn tenths(value: f64) -> u32 {
    (value.abs() * 10.0).round() as u32
}

/// Degrees, minutes and ten-thousandths of a second: some three millimetres.
fn degrees(value: f64) -> Value {
    let parts = (value.abs() * 36_000_000.0).round() as u64;
    let (whole, rest) = (parts / 36_000_000, parts % 36_000_000);
    let (minutes, seconds) = (rest / 600_000, rest % 600_000);
    Value::Ratios(vec![
        (whole as u32, 1),
        (minutes as u32, 1),
        (seconds as u32, 10_000),
    ])
}

/// Bytes that a directory takes with the values that don't fit into its entries.
fn length_of(directory: &Directory) -> u32 {
    let outside: usize = directory
        .iter()
        .map(|(_, value)| value.bytes().len())
        .filter(|length| *length > 4)
        .map(|length| length + length % 2)
        .sum();
    (2 + 12 * directory.len() + 4 + outside) as u32
}

fn append(out: &mut Vec<u8>, directory: &Directory) {
    let mut free = out.len() + 2 + 12 * directory.len() + 4;
    let mut outside = Vec::new();
    out.extend_from_slice(&(directory.len() as u16).to_le_bytes());
    for (tag, value) in directory {
        let mut bytes = value.bytes();
        out.extend_from_slice(&tag.to_le_bytes());
        out.extend_from_slice(&value.kind().to_le_bytes());
        out.extend_from_slice(&value.count().to_le_bytes());
        if bytes.len() <= 4 {
            bytes.resize(4, 0);
            out.extend_from_slice(&bytes);
        } else {
            out.extend_from_slice(&(free as u32).to_le_bytes());
            // TIFF wants every value to begin at an even offset.
            bytes.resize(bytes.len() + bytes.len() % 2, 0);
            free += bytes.len();
            outside.extend_from_slice(&bytes);
        }
    }
    out.extend_from_slice(&[0; 4]);
    out.extend_from_slice(&outside);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_library_reads_it_back() {
        let record = Record {
            make: "Invented",
            model: "Invented Phone A",
            orientation: 6,
            size: (1200, 900),
            taken: "2025:07:04 09:30:15".into(),
            offset: Some("-04:00"),
            subsec: Some("250".into()),
            fix: Some(Fix {
                latitude: 38.501_25,
                longitude: -45.002_5,
                altitude_m: 61.4,
                error_m: 4.7,
                bearing: Some(215.5),
                date: "2025:07:04".into(),
                time: (13, 30, 15),
            }),
            thumbnail: Some(vec![0xff, 0xd8, 7, 0xff, 0xd9]),
        };
        let jpeg = with_record(&[0xff, 0xd8, 0xff, 0xd9], &record);
        let read = exif::Reader::new()
            .read_from_container(&mut std::io::Cursor::new(jpeg))
            .expect("the segment is readable");
        let shown = |tag| {
            read.get_field(tag, exif::In::PRIMARY)
                .map(|field| field.display_value().to_string())
                .unwrap_or_default()
        };
        assert_eq!(shown(exif::Tag::DateTimeOriginal), "2025-07-04 09:30:15");
        assert_eq!(shown(exif::Tag::OffsetTimeOriginal), "\"-04:00\"");
        assert_eq!(shown(exif::Tag::SubSecTimeOriginal), "\"250\"");
        assert_eq!(shown(exif::Tag::GPSLatitude), "38 deg 30 min 4.5 sec");
        assert_eq!(shown(exif::Tag::GPSLongitudeRef), "W");
        assert_eq!(shown(exif::Tag::GPSImgDirection), "215.5");
        assert_eq!(shown(exif::Tag::GPSHPositioningError), "4.7");
        assert_eq!(shown(exif::Tag::GPSTimeStamp), "13:30:15");
        assert_eq!(shown(exif::Tag::PixelXDimension), "1200");
        let small = |tag| read.get_field(tag, exif::In::THUMBNAIL);
        let number = |tag| {
            small(tag)
                .and_then(|field| field.value.get_uint(0))
                .unwrap() as usize
        };
        let at = number(exif::Tag::JPEGInterchangeFormat);
        let length = number(exif::Tag::JPEGInterchangeFormatLength);
        assert_eq!(read.buf()[at..at + length], [0xff, 0xd8, 7, 0xff, 0xd9]);
    }
}
