//! Bytes that wait in memory, deflated until somebody needs them.
//!
//! Takes what a function writes, gives it back as it was. Knows no file and no format.

use std::io::{self, BufRead, BufWriter, Write};

use flate2::Compression;
use flate2::bufread::DeflateDecoder;
use flate2::write::DeflateEncoder;

/// What was written; of the texts of a report, in less than a third of their room.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Deflated(Vec<u8>);

impl Deflated {
    /// Holds what `write` writes.
    ///
    /// # Errors
    /// What `write` says; this side has none, as it writes to memory.
    pub fn of(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<Self> {
        let mut deflated = DeflateEncoder::new(Vec::new(), Compression::fast());
        // What writes may write a letter at a time.
        let mut buffered = BufWriter::new(&mut deflated);
        write(&mut buffered)?;
        buffered.flush()?;
        drop(buffered);
        let mut bytes = deflated.finish()?;
        bytes.shrink_to_fit();
        Ok(Self(bytes))
    }

    /// What was written, from its beginning.
    pub fn plain(&self) -> DeflateDecoder<impl BufRead + '_> {
        DeflateDecoder::new(self.0.as_slice())
    }
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    #[test]
    fn what_is_written_comes_back_and_takes_less_room() {
        let held = Deflated::of(|out| {
            (0..20_000).try_for_each(|row| writeln!(out, "\"unit\": \"kg\", \"value\": {row},"))
        });
        let held = held.unwrap();
        let wanted: String = (0..20_000)
            .map(|row| format!("\"unit\": \"kg\", \"value\": {row},\n"))
            .collect();
        for _ in 0..2 {
            let mut text = String::new();
            held.plain().read_to_string(&mut text).unwrap();
            assert_eq!(text, wanted);
        }
        assert!(held.0.len() * 3 < wanted.len());
        let refused = Deflated::of(|_| Err(io::Error::other("no more")));
        assert_eq!(refused.unwrap_err().to_string(), "no more");
    }
}
