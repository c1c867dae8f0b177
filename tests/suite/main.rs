//! The integration tests, one binary: a module a theme, `support` beside them.

mod archive;
mod chain;
mod evening;
mod explain;
mod figures;
mod findings;
mod handover;
mod main_job;
mod nonsense;
mod recompute;
mod support;
