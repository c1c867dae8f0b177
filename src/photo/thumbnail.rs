//! Small upright copies of photos for print.
//!
//! Takes a picture file, its orientation and the longest edge wanted. Gives a JPEG in sRGB that carries pixels and
//! nothing else: no position, no camera, no time. Must not allocate what a header merely claims.
//!
//! HEIC is decoded by heifer, all other formats by image; a JPEG of which less than half is wanted by [`super::reduced`]. What was
//! tried is in docs/photos.md.
//!
//! Pictures are made smaller in linear light (IEC 61966-2-1, the sRGB curve), so that glare on water and dark leaves
//! keep their weight: first by whole factors, by averaging, while the pixels are walked once; then by a cubic filter.

use std::fmt;
use std::fs::File;
use std::io::{self, BufRead, BufReader, Cursor, Read, Seek, SeekFrom};
use std::path::Path;
use std::sync::LazyLock;

use fast_image_resize::images::{TypedImage, TypedImageRef};
use fast_image_resize::pixels::U16x3;
use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer};
use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{
    DynamicImage, ExtendedColorType, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage,
    Rgba, RgbaImage,
};
use moxcms::{ColorProfile, DataColorSpace, Layout, TransformOptions};

use super::container::format;
use super::found::printable;
use super::record::Format;
use super::reduced;

/// Quality of the JPEG on the encoder's scale of 1 to 100: at this one no blocks show in print.
pub const QUALITY: u8 = 85;

/// The most bytes that a picture may take as decoded: 130 megapixels in three bytes each.
pub(super) const MOST_DECODED: u64 = 400_000_000;

/// The most bytes that a decoder may take beside, for example for the coefficients of a progressive JPEG.
const MOST_WORKSPACE: u64 = 800_000_000;

/// The longest file that is decoded. JPEG decoders hold the whole file.
const LONGEST_FILE: u64 = 400_000_000;

/// The largest block whose mean is taken: the sum of 256 × 256 numbers of 16 bits still fits into 32.
const LARGEST_FACTOR: u64 = 256;

/// A small upright copy of a photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thumbnail {
    /// A baseline JPEG in sRGB without any metadata, at [`QUALITY`].
    pub jpeg: Vec<u8>,
    /// Width in pixels, after the orientation is applied.
    pub width: u32,
    /// Height in pixels, after the orientation is applied.
    pub height: u32,
}

/// Why there is no thumbnail.
#[derive(Debug)]
pub enum ThumbnailError {
    /// The file could not be opened or read.
    Io(io::Error),
    /// The content is no picture of ours.
    NotAPicture,
    /// The file is longer than we are ready to decode.
    TooLong { bytes: u64 },
    /// The picture has more pixels than we are ready to hold in memory.
    TooLarge { width: u32, height: u32 },
    /// The picture is broken; the decoder's words.
    Broken(String),
}

impl fmt::Display for ThumbnailError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Io(error) => write!(formatter, "could not be read: {error}"),
            Self::NotAPicture => formatter.write_str("is not a picture of a known format"),
            Self::TooLong { bytes } => {
                write!(formatter, "{bytes} bytes are too many to draw safely")
            }
            Self::TooLarge { width, height } => write!(
                formatter,
                "{width} by {height} pixels are too many to draw safely"
            ),
            Self::Broken(words) => write!(formatter, "could not be drawn: {words}"),
        }
    }
}

impl std::error::Error for ThumbnailError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Io(error) => Some(error),
            _ => None,
        }
    }
}

/// Draws the photo upright, its longer edge at most `longest_edge` pixels. Pictures are never enlarged.
///
/// `orientation` is that of EXIF, 1 to 8; any other number leaves the picture as it is stored. For a HEIC it does not
/// count: the file states its turns beside EXIF, and these are what binds a reader (ISO/IEC 23008-12, annex A; from
/// memory).
///
/// # Errors
/// See [`ThumbnailError`].
pub fn upright(
    file: &Path,
    orientation: u8,
    longest_edge: u32,
) -> Result<Thumbnail, ThumbnailError> {
    let picture = small(file, orientation, longest_edge)?;
    let (width, height) = picture.dimensions();
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
        .encode(picture.as_raw(), width, height, ExtendedColorType::Rgb8)
        .map_err(broken)?;
    Ok(Thumbnail {
        jpeg,
        width,
        height,
    })
}

/// The same as pixels.
pub(super) fn small(
    file: &Path,
    orientation: u8,
    longest_edge: u32,
) -> Result<RgbImage, ThumbnailError> {
    let Decoded {
        picture,
        profile,
        is_upright,
    } = decode(file, longest_edge)?;
    let mut small = shrink(picture, longest_edge.max(1))?;
    if let Some(profile) = profile {
        small = into_srgb(small, &profile);
    }
    let mut turned = DynamicImage::ImageRgb8(small);
    let orientation = Orientation::from_exif(orientation).filter(|_| !is_upright);
    turned.apply_orientation(orientation.unwrap_or(Orientation::NoTransforms));
    Ok(turned.into_rgb8())
}

/// A picture as its file has it.
struct Decoded {
    picture: RgbImage,
    /// The colour profile, if the file has one.
    profile: Option<Vec<u8>>,
    /// Whether the decoder has turned it already.
    is_upright: bool,
}

/// The picture, or one that is still larger than is wanted.
fn decode(file: &Path, longest_edge: u32) -> Result<Decoded, ThumbnailError> {
    let mut file = File::open(file).map_err(ThumbnailError::Io)?;
    let bytes = file.metadata().map_err(ThumbnailError::Io)?.len();
    let mut head = Vec::new();
    // Enough for every signature, and for the list of brands of a HEIC.
    file.by_ref()
        .take(256)
        .read_to_end(&mut head)
        .map_err(ThumbnailError::Io)?;
    file.seek(SeekFrom::Start(0)).map_err(ThumbnailError::Io)?;
    let format = format(&head).ok_or(ThumbnailError::NotAPicture)?;
    if bytes > LONGEST_FILE {
        return Err(ThumbnailError::TooLong { bytes });
    }
    match format {
        Format::Heic => decode_heic(file),
        Format::Jpeg => {
            let mut bytes = Vec::new();
            // The length was looked at before, but the file may have grown.
            file.take(LONGEST_FILE)
                .read_to_end(&mut bytes)
                .map_err(ThumbnailError::Io)?;
            decode_jpeg(&bytes, longest_edge)
        }
        Format::Png => decode_whole(BufReader::new(file), ImageFormat::Png),
        Format::Tiff => decode_whole(BufReader::new(file), ImageFormat::Tiff),
        Format::WebP => decode_whole(BufReader::new(file), ImageFormat::WebP),
    }
}

fn decode_jpeg(bytes: &[u8], longest_edge: u32) -> Result<Decoded, ThumbnailError> {
    match reduced::decode(bytes, longest_edge, MOST_DECODED) {
        Some(reduced) => Ok(Decoded {
            picture: reduced.picture,
            profile: reduced.profile,
            is_upright: false,
        }),
        None => decode_whole(Cursor::new(bytes), ImageFormat::Jpeg),
    }
}

fn decode_whole(bytes: impl BufRead + Seek, coded: ImageFormat) -> Result<Decoded, ThumbnailError> {
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_WORKSPACE);
    let mut reader = ImageReader::with_format(bytes, coded);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(broken)?;
    let (width, height) = decoder.dimensions();
    if decoder.total_bytes() > MOST_DECODED {
        return Err(ThumbnailError::TooLarge { width, height });
    }
    if width == 0 || height == 0 {
        return Err(ThumbnailError::Broken("it has no pixels".to_owned()));
    }
    // A broken profile is as good as none: the picture is then taken as sRGB, as most are.
    let profile = decoder.icc_profile().unwrap_or(None);
    let picture = DynamicImage::from_decoder(decoder).map_err(broken)?;
    Ok(Decoded {
        picture: on_white(picture),
        profile,
        is_upright: false,
    })
}

/// The primary picture of a HEIC.
fn decode_heic(file: File) -> Result<Decoded, ThumbnailError> {
    let mut bytes = Vec::new();
    // The length was looked at before, but the file may have grown.
    file.take(LONGEST_FILE)
        .read_to_end(&mut bytes)
        .map_err(ThumbnailError::Io)?;
    let options = heifer::Options {
        // The caller draws many pictures at once.
        max_threads: 1,
        max_pixels: MOST_DECODED / 3,
    };
    // The decoder is young. No changed file made it panic (docs/photos.md); if one does, one picture is missing.
    let decoded = std::panic::catch_unwind(|| heifer::decode_rgba8(&bytes, &options))
        .map_err(|_| broken("the decoder gave up"))?
        .map_err(broken)?;
    let pixels = RgbaImage::from_raw(decoded.width, decoded.height, decoded.data)
        .filter(|pixels| !pixels.is_empty())
        .ok_or_else(|| broken("it has no pixels"))?;
    // As with other formats, a broken profile is as good as none.
    let metadata = heifer::read_metadata(&bytes).ok();
    Ok(Decoded {
        picture: on_white(DynamicImage::ImageRgba8(pixels)),
        profile: metadata.and_then(|metadata| metadata.icc_profile),
        is_upright: true,
    })
}

/// The picture without transparency: what was transparent is white, like paper.
fn on_white(picture: DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.into_rgb8();
    }
    let picture = picture.into_rgba8();
    let mut flat = RgbImage::new(picture.width(), picture.height());
    for (flat, &Rgba([red, green, blue, alpha])) in flat.pixels_mut().zip(picture.pixels()) {
        let mix = |part: u8| {
            let (part, alpha) = (u32::from(part), u32::from(alpha));
            // At most 255 × 255, so that the quotient fits a byte.
            ((part * alpha + 255 * (255 - alpha) + 127) / 255) as u8
        };
        flat.0 = [mix(red), mix(green), mix(blue)];
    }
    flat
}

/// Scales the picture down so that its longer edge is at most `longest_edge`.
pub(super) fn shrink(picture: RgbImage, longest_edge: u32) -> Result<RgbImage, ThumbnailError> {
    let (width, height) = picture.dimensions();
    let longest = width.max(height);
    if longest <= longest_edge {
        return Ok(picture);
    }
    let scaled = |side: u32| {
        let side = (u64::from(side) * u64::from(longest_edge) + u64::from(longest) / 2)
            / u64::from(longest);
        // The longer side becomes `longest_edge` itself, so that both fit 32 bits.
        (side as u32).max(1)
    };
    let (small_width, small_height) = (scaled(width), scaled(height));
    // The whole factor leaves at least one and a half times the pixels wanted, which the filter needs to stay sharp.
    let factor = u64::from(longest) * 2 / (u64::from(longest_edge) * 3);
    let factor = factor.clamp(1, LARGEST_FACTOR) as u32;
    let (pixels, width, height) = averaged(&picture, factor);
    drop(picture);
    let source = TypedImageRef::new(width, height, &pixels).map_err(broken)?;
    let mut small = TypedImage::<U16x3>::new(small_width, small_height);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::CatmullRom));
    Resizer::new()
        .resize_typed(&source, &mut small, &options)
        .map_err(broken)?;
    Ok(coded(&small, small_width, small_height))
}

/// Means of blocks of `factor` by `factor` pixels in linear light, with width and height of the result. Blocks at the
/// right and lower edge may be narrower. `factor` is at most [`LARGEST_FACTOR`].
fn averaged(picture: &RgbImage, factor: u32) -> (Vec<U16x3>, u32, u32) {
    let (width, height) = picture.dimensions();
    let linear = &*LINEAR;
    if factor == 1 {
        // The tables have an entry for every byte. Nothing is to be divided, which would take most of the time.
        let pixels = picture.pixels();
        let pixels = pixels.map(|pixel| U16x3::new(pixel.0.map(|part| linear[usize::from(part)])));
        return (pixels.collect(), width, height);
    }
    let (across, down) = (width.div_ceil(factor), height.div_ceil(factor));
    let factor = factor as usize;
    let row_bytes = width as usize * 3;
    let mut pixels = Vec::with_capacity(across as usize * down as usize);
    let mut sums = vec![[0u32; 3]; across as usize];
    for rows in picture.as_raw().chunks(row_bytes * factor) {
        sums.fill([0; 3]);
        for row in rows.chunks_exact(row_bytes) {
            let (row, _) = row.as_chunks::<3>();
            for (sum, block) in sums.iter_mut().zip(row.chunks(factor)) {
                for pixel in block {
                    for (sum, &part) in sum.iter_mut().zip(pixel) {
                        // The table has an entry for every byte.
                        *sum += u32::from(linear[usize::from(part)]);
                    }
                }
            }
        }
        // No division by zero, no overflow: a picture has pixels, and block number `place` begins inside it.
        let high = rows.len() / row_bytes;
        for (place, sum) in sums.iter().enumerate() {
            let wide = factor.min(width as usize - place * factor);
            let count = (wide * high) as u32;
            // A mean of 16-bit numbers is one.
            pixels.push(U16x3::new(
                sum.map(|sum| ((sum + count / 2) / count) as u16),
            ));
        }
    }
    (pixels, across, down)
}

/// Linear light, 0 to 65535, of every 8-bit value of sRGB (IEC 61966-2-1, section 5.2).
static LINEAR: LazyLock<[u16; 256]> = LazyLock::new(|| {
    std::array::from_fn(|value| {
        let value = value as f64 / 255.0;
        let linear = if value <= 0.040_45 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        };
        (linear * 65_535.0).round() as u16
    })
});

/// The 8-bit value of sRGB of every linear light, 0 to 65535.
static CODED: LazyLock<Vec<u8>> = LazyLock::new(|| {
    (0..=u16::MAX)
        .map(|linear| {
            let linear = f64::from(linear) / 65_535.0;
            let value = if linear <= 0.003_130_8 {
                linear * 12.92
            } else {
                1.055 * linear.powf(1.0 / 2.4) - 0.055
            };
            (value * 255.0).round() as u8
        })
        .collect()
});

/// The picture in eight bits of sRGB, from linear light.
fn coded(image: &TypedImage<'_, U16x3>, width: u32, height: u32) -> RgbImage {
    let mut picture = RgbImage::new(width, height);
    for (coded, linear) in picture.pixels_mut().zip(image.pixels()) {
        // The table has an entry for every 16-bit number.
        coded.0 = linear.0.map(|part| CODED[usize::from(part)]);
    }
    picture
}

/// The picture in sRGB, from the colours of its own profile. A profile that can't be used leaves it as it is.
///
/// Phones write wider colours than sRGB; taken as sRGB, their greens turn dull. This comes after scaling, because the
/// curves of such profiles are near enough to that of sRGB, and the picture is then small.
fn into_srgb(picture: RgbImage, profile: &[u8]) -> RgbImage {
    let transform = ColorProfile::new_from_slice(profile)
        .ok()
        .filter(|profile| profile.color_space == DataColorSpace::Rgb)
        .and_then(|profile| {
            profile
                .create_transform_8bit(
                    Layout::Rgb,
                    &ColorProfile::new_srgb(),
                    Layout::Rgb,
                    TransformOptions::default(),
                )
                .ok()
        });
    let mut turned = RgbImage::new(picture.width(), picture.height());
    match transform.map(|transform| transform.transform(picture.as_raw(), &mut turned)) {
        Some(Ok(())) => turned,
        _ => picture,
    }
}

fn broken(error: impl fmt::Display) -> ThumbnailError {
    ThumbnailError::Broken(printable(&error.to_string()))
}
