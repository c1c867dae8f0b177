//! The report: a season's figures, findings and pictures typeset as a PDF.
//!
//! Takes values of the rooms before it, gives bytes. Computes no figure: every number is text made by [`number`] from the
//! ledger.

mod digits;
pub mod number;
