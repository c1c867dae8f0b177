//! The report as a whole: it comes out, twice the same, whatever the season's size, on both papers.

mod editions;
mod hostile;
mod languages;
mod own;
mod page;
mod pages;
pub mod sample;
