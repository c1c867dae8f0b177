//! Tests of the whole room: files built by readable code, read through the public function.

mod formats;
mod hostile;
pub(super) mod support;
mod tags;
