//! What is wrong or doubtful in a season folder.

mod core;

pub use self::core::{Acceptance, Finding, Grade, Quote};
