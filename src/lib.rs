//! windrow turns a season folder into a checked, computed, typeset and packed account of the season.
//!
//! Data flows one way: season → findings → figures → report → archive → verdict. Each room takes the values of the
//! rooms before it and returns a value; only the two ends touch files. DEVELOPERS.md draws the house.

pub mod archive;
pub mod begin;
pub mod cli;
pub mod daylight;
pub mod deflated;
pub mod estimate;
pub mod figure;
pub mod finding;
pub mod hash;
pub mod interrupt;
pub mod output;
pub mod photo;
pub mod place;
pub mod plan;
pub mod report;
pub mod season;
pub mod shared;
pub mod stamp;
pub mod units;
pub mod verify;
pub mod words;
