//! The integration tests, one binary: a module a theme, `support` beside them.

mod archive;
mod begin;
mod figures;
mod findings;
mod first_evening;
mod handover;
mod main_job;
mod nonsense;
mod recompute;
mod support;
