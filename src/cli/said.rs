//! What `check` said of a folder in which nothing has changed since: said again without reading anything.
//!
//! Takes the folder's listing and the command's words, gives the text of the last time if both are as they were. It lies beside the
//! cache of photos, under the same rules: outside the season folder, deleted at any time, worth nothing if damaged or of another
//! build, and never asked by what packs or verifies. A season that names an earlier archive is not kept, since that lies elsewhere.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use sha2::{Digest, Sha256};

use super::args::Check;
use super::cache;
use super::exit::Exit;
use crate::hash::Hash;
use crate::season;

/// How the file begins; the number changes with what follows.
const HEAD: &[u8] = b"windrow said 1\n";
/// More than a terminal's reader ever scrolls through; a longer text is worked out anew each time.
const LONGEST: u64 = 16 << 20;

/// What was said under which circumstances.
pub struct Said {
    file: PathBuf,
    /// Hash of all that the text follows from.
    circumstances: Hash,
}

impl Said {
    /// Of a folder as it is now; nothing where there is no place for it, or where a file was written so lately that it might be
    /// written again without a sign.
    pub fn of(folder: &Path, words: &Check, shape: (bool, usize)) -> Option<Self> {
        Self::at(
            cache::named(&cache::file(folder)?, "said"),
            folder,
            words,
            shape,
            SystemTime::now(),
        )
    }

    fn at(
        file: PathBuf,
        folder: &Path,
        words: &Check,
        shape: (bool, usize),
        now: SystemTime,
    ) -> Option<Self> {
        let (files, problems) = season::listing(folder);
        if !files.iter().all(|file| cache::is_settled(now, &file.stamp)) {
            return None;
        }
        let mut hasher = Sha256::new();
        let options = (words.json, words.all, words.language, &words.season);
        // Each part with its length or in quotes, so that no two circumstances read alike.
        hasher.update(format!(
            "{:?}{options:?}{shape:?}{problems:?}",
            cache::build()
        ));
        for file in &files {
            hasher.update(format!("{:?}{:?}", file.path, file.stamp));
        }
        Some(Self {
            file,
            circumstances: hasher.finalize().into(),
        })
    }

    /// The text and the end of the last time, if nothing has changed.
    pub fn again(&self) -> Option<(String, Exit)> {
        let body = cache::take(&self.file, HEAD, LONGEST)?;
        let (circumstances, rest) = body.split_first_chunk::<32>()?;
        let (end, text) = rest.split_first()?;
        let end = match end {
            b'0' => Exit::Well,
            b'1' => Exit::NotWell,
            _ => return None,
        };
        let text = std::str::from_utf8(text).ok()?.to_owned();
        (*circumstances == self.circumstances).then_some((text, end))
    }

    /// Keeps a text. What can't be kept is no trouble of the season's.
    pub fn keep(&self, text: &str, end: &Exit) {
        let end = match end {
            Exit::Well => b'0',
            Exit::NotWell => b'1',
            _ => return,
        };
        if (text.len() as u64) < LONGEST / 2 {
            let body = [&self.circumstances[..], &[end], text.as_bytes()].concat();
            // None where there is no room for it.
            let _ = cache::put(&self.file, HEAD, &body);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;
    use std::fs;
    use std::time::Duration;

    #[derive(Parser)]
    struct Line {
        #[command(flatten)]
        check: Check,
    }

    fn words(words: &[&str]) -> Check {
        Line::parse_from(["check"].iter().chain(words)).check
    }

    fn said(place: &tempfile::TempDir, line: &[&str], later: Duration) -> Option<Said> {
        let folder = place.path().join("season");
        let now = SystemTime::now() + later;
        Said::at(
            place.path().join("said"),
            &folder,
            &words(line),
            (false, 80),
            now,
        )
    }

    const LATER: Duration = Duration::from_secs(60);

    #[test]
    fn only_the_same_words_about_the_same_files_are_answered_the_same() {
        let place = tempfile::tempdir().unwrap();
        let file = place.path().join("season/pulls.csv");
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, "pull\n").unwrap();
        let again = |line: &[&str]| {
            said(&place, line, LATER)
                .unwrap()
                .again()
                .map(|(text, _)| text)
        };
        assert!(
            said(&place, &["s"], Duration::ZERO).is_none(),
            "just written"
        );
        assert_eq!(again(&["s"]), None);
        said(&place, &["s"], LATER)
            .unwrap()
            .keep("well", &Exit::Well);
        assert_eq!(again(&["s"]).as_deref(), Some("well"));
        assert_eq!(again(&["s", "--all"]), None);
        assert_eq!(again(&["s", "--json"]), None);
        assert_eq!(again(&["t"]), None);
        fs::create_dir(place.path().join("season/empty")).unwrap();
        assert_eq!(again(&["s"]), None);
        fs::remove_dir(place.path().join("season/empty")).unwrap();
        assert_eq!(again(&["s"]).as_deref(), Some("well"));
        fs::write(&file, "PULL\n").unwrap();
        assert_eq!(again(&["s"]), None);
    }

    #[test]
    fn a_damaged_text_counts_as_none() {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir(place.path().join("season")).unwrap();
        let said = said(&place, &["s"], LATER).unwrap();
        said.keep("not well", &Exit::NotWell);
        let path = place.path().join("said");
        let whole = fs::read(&path).unwrap();
        assert!(matches!(said.again(), Some((_, Exit::NotWell))));
        for at in 0..whole.len() {
            let mut flipped = whole.clone();
            flipped[at] ^= 1;
            fs::write(&path, flipped).unwrap();
            assert!(said.again().is_none(), "byte {at}");
            fs::write(&path, &whole[..at]).unwrap();
            assert!(said.again().is_none(), "{at} bytes");
        }
    }
}
