//! Small upright copies for print. In work.

use std::path::Path;

/// A small upright copy of a photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thumbnail {
    /// A baseline JPEG in sRGB without any metadata.
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
    Io(std::io::Error),
    /// Photos of this format are not drawn: HEIC pixels are not decoded.
    NotDrawn(super::Format),
    /// The content is no picture of ours.
    NotAPicture,
    /// The picture has more pixels than we are ready to hold in memory.
    TooLarge { width: u32, height: u32 },
    /// The picture is broken; the decoder's words.
    Broken(String),
}

/// Draws the photo upright, its longer edge at most `longest_edge` pixels.
pub fn upright(
    file: &Path,
    orientation: u8,
    longest_edge: u32,
) -> Result<Thumbnail, ThumbnailError> {
    let _ = (file, orientation, longest_edge);
    Err(ThumbnailError::NotAPicture)
}

impl std::fmt::Display for ThumbnailError {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Io(error) => write!(formatter, "could not be read: {error}"),
            Self::NotDrawn(format) => write!(
                formatter,
                "{format} pictures are listed but not drawn; a JPEG copy would be"
            ),
            Self::NotAPicture => formatter.write_str("is not a picture of a known format"),
            Self::TooLarge { width, height } => write!(
                formatter,
                "{width} by {height} pixels are too many to draw safely"
            ),
            Self::Broken(words) => write!(formatter, "could not be drawn: {words}"),
        }
    }
}

impl std::error::Error for ThumbnailError {}
