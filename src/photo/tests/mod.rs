//! Tests of the whole room: files built by readable code, read through the public function.

mod drawing;
mod formats;
mod hostile;
mod likeness;
mod reduced;
mod support;
mod tags;
