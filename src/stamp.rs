//! What the file system says of a file without opening it: another stamp, another content.
//!
//! Takes metadata that somebody else asked for; opens and judges nothing. A stamp is a reason to read again, or to call a
//! file changed; that a stamp is the same proves nothing to an auditor.

use std::fs::Metadata;
use std::time::UNIX_EPOCH;

use serde::{Deserialize, Serialize};

/// Length, times and number of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    pub bytes: u64,
    /// When the content was last written: nanoseconds since 1970, as far as the file system counts them.
    pub modified: i64,
    /// When anything of the file was last changed, its name and times included; programs can't set it. 0 where unknown.
    pub changed: i64,
    /// The file's number within its file system. 0 where unknown.
    pub inode: u64,
}

impl Stamp {
    pub fn of(metadata: &Metadata) -> Self {
        let modified = metadata.modified().map_or(0, |time| {
            // Times beyond the year 2262 count as that year.
            let nanoseconds =
                |span: std::time::Duration| i64::try_from(span.as_nanos()).unwrap_or(i64::MAX);
            match time.duration_since(UNIX_EPOCH) {
                Ok(after) => nanoseconds(after),
                Err(before) => -nanoseconds(before.duration()),
            }
        });
        let (changed, inode) = unix(metadata);
        Self {
            bytes: metadata.len(),
            modified,
            changed,
            inode,
        }
    }

    /// Whether the content may be another. Some network file systems number their files anew at will, and a changed name
    /// or permission is no changed content, so that neither counts.
    pub fn content_differs(&self, other: &Self) -> bool {
        (self.bytes, self.modified) != (other.bytes, other.modified)
    }
}

#[cfg(unix)]
fn unix(metadata: &Metadata) -> (i64, u64) {
    use std::os::unix::fs::MetadataExt;
    let seconds = metadata.ctime().saturating_mul(1_000_000_000);
    let changed = seconds.saturating_add(metadata.ctime_nsec());
    (changed, metadata.ino())
}

#[cfg(not(unix))]
fn unix(_: &Metadata) -> (i64, u64) {
    (0, 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, SystemTime};

    #[test]
    fn a_stamp_changes_with_length_time_and_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("pulls.csv");
        let stamp = || Stamp::of(&std::fs::metadata(&path).unwrap());
        std::fs::write(&path, "one").unwrap();
        let first = stamp();
        assert_eq!(first, stamp());

        let file = std::fs::File::options().write(true).open(&path).unwrap();
        for time in [
            SystemTime::now() + Duration::from_secs(60),
            UNIX_EPOCH - Duration::from_secs(60),
        ] {
            file.set_modified(time).unwrap();
            assert!(stamp().content_differs(&first));
        }
        std::fs::write(&path, "three").unwrap();
        assert!(stamp().content_differs(&first));

        // Another file of the same length under the same name, with the time of the first.
        std::fs::remove_file(&path).unwrap();
        std::fs::write(folder.path().join("holds the number"), "").unwrap();
        std::fs::write(&path, "two").unwrap();
        let file = std::fs::File::options().write(true).open(&path).unwrap();
        file.set_modified(
            UNIX_EPOCH + Duration::from_nanos(u64::try_from(first.modified).unwrap()),
        )
        .unwrap();
        assert!(!stamp().content_differs(&first));
        if cfg!(unix) {
            assert_ne!(stamp(), first);
        }
    }
}
