//! Reads one photo file: hash and metadata. In work: at present the hash, and no metadata.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use sha2::{Digest, Sha256};

use super::record::Photo;

/// Reads one photo. `Err` only when the file itself can't be read.
pub fn read(file: &Path, relative: &str) -> io::Result<Photo> {
    let mut file = File::open(file)?;
    let mut hash = Sha256::new();
    let mut bytes = 0;
    let mut block = vec![0; 1 << 16];
    loop {
        let count = file.read(&mut block)?;
        if count == 0 {
            break;
        }
        bytes += count as u64;
        hash.update(block.get(..count).unwrap_or_default());
    }
    Ok(Photo {
        path: relative.to_owned(),
        bytes,
        sha256: hash.finalize().into(),
        format: None,
        dimensions: None,
        orientation: 1,
        captured: None,
        gps_time: None,
        position: None,
        bearing: None,
        camera: None,
        serial: None,
        troubles: Vec::new(),
    })
}
