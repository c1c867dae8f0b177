//! In work.
