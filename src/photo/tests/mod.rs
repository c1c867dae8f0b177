//! Tests of the whole room: files built by readable code, read through the public function.

mod drawing;
mod formats;
mod hostile;
mod likeness;
mod support;
mod tags;
