//! The integration tests, one binary: a module a theme, `support` beside them.

mod archive;
mod begin;
mod chain;
mod evening;
mod explain;
mod figures;
mod findings;
mod first_evening;
mod fuzzing;
mod handover;
#[cfg(unix)]
mod hostile_season;
mod kept;
mod killed;
mod main_job;
mod mess;
mod names;
mod nonsense;
mod page;
mod recompute;
#[cfg(unix)]
mod stopped;
mod support;
mod table_findings;
mod tables;
mod unsettled;
mod wording;
