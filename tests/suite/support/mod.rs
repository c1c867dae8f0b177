//! What the tests share: a clean invented season folder, photos to put into it, the program to run on it.

pub mod chance;
pub mod earlier;
pub mod folder;
pub mod photo;
pub mod program;
pub mod workbook;
