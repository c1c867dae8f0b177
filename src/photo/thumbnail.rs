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
