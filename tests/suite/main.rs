//! The integration tests, one binary: a module a theme, `support` beside them.

mod archive;
mod figures;
mod findings;
mod fuzzing;
mod handover;
#[cfg(unix)]
mod hostile_season;
mod killed;
mod main_job;
mod nonsense;
mod recompute;
mod support;
