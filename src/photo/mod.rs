//! Photos: what one picture file says of itself.
//!
//! Takes a file and its path within the season folder. Gives a [`Photo`]: hash, format, size, time, position,
//! bearing and camera, with a [`Trouble`] for everything that could not be read. Beside it stand the camera's clock
//! ([`clock`]), what it looks like ([`likeness`]), which are the same ([`grouping`]) and small upright copies for print ([`thumbnail`]).
//!
//! Must not: judge a photo (findings do), change a file, look at the machine's clock, or panic on any bytes.

pub mod clock;
mod container;
mod embedded;
mod found;
pub mod grouping;
pub mod likeness;
mod metadata;
mod name;
mod outline;
mod position;
pub mod quality;
mod read;
mod record;
mod reduced;
mod source;
mod tags;
#[cfg(test)]
mod tests;
pub mod thumbnail;
mod time;

pub use found::{Foreign, Found};
pub use name::{is_photo_name, is_video_name};
pub use read::{Taker, read, read_and_hand_on, read_and_look};
pub use record::{
    Bearing, BearingReference, Captured, CapturedSource, Format, Photo, Position, Resolved,
    Trouble, TroubleKind,
};
