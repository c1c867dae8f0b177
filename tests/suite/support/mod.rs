//! What the tests share: a clean invented season folder and photos to put into it.

pub mod earlier;
pub mod folder;
pub mod photo;
