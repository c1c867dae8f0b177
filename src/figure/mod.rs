//! The field's figures, built from estimates, and the ledger that holds them.

mod core;
mod ledger;

pub use self::core::{Deliverable, Figure, LeftOut, Measure, Outturn, Standing};
pub use ledger::{LEDGER_FORMAT, Ledger};
