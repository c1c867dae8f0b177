//! File names in tables, as people type and systems store them: back slashes, capitals, accents in one piece or in two.
//!
//! Takes what a cell says and the list of files; gives the file that is meant. Opens nothing.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use unicode_normalization::UnicodeNormalization;

/// What a written path comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Resolved {
    /// A file of exactly that path.
    Exact(String),
    /// The only file that fits.
    Loose(String),
    /// Files that fit equally well.
    Several(Vec<String>),
    Nothing,
}

/// `.\Photos\IMG_1.JPG` → `photos/img_1.jpg`, with accented letters in one piece.
fn key(path: &str) -> String {
    let slashed = path.trim().replace('\\', "/");
    let mut rest = slashed.as_str();
    while let Some(shorter) = rest.strip_prefix("./").or_else(|| rest.strip_prefix('/')) {
        rest = shorter;
    }
    rest.nfc().flat_map(char::to_lowercase).collect()
}

/// A season's files, to be found by what cells say of them. Made once for a table: there may be a row for each of thousands.
pub struct Paths<'a> {
    /// Where such files lie: `photos/`.
    folder: &'a str,
    /// In the order of their bytes.
    files: Vec<&'a str>,
    /// Made when the first spelling doesn't fit.
    loose: OnceCell<Loose>,
}

/// Numbers of files, in their order, by what is left of their paths.
#[derive(Default)]
struct Loose {
    by_key: BTreeMap<String, Vec<usize>>,
    /// Of those in the folder, by the name alone.
    by_name: BTreeMap<String, Vec<usize>>,
    /// Of those in the folder, by the name without its ending.
    by_stem: BTreeMap<String, Vec<usize>>,
}

impl<'a> Paths<'a> {
    /// Takes the files in the order of their paths' bytes.
    pub fn of(files: impl Iterator<Item = &'a str>, folder: &'a str) -> Self {
        Self {
            folder,
            files: files.collect(),
            loose: OnceCell::new(),
        }
    }

    /// Finds the file that a cell means: below the season folder or below the files' own. The nearer a spelling is to a file's own
    /// path, the sooner it is taken: as it stands; but for slashes, capitals and accents; by the name alone; by the name without its
    /// ending.
    pub fn resolve(&self, written: &str) -> Resolved {
        let below = format!("{}{written}", self.folder);
        let exact = [written, below.as_str()].map(|path| self.files.binary_search(&path).ok());
        let file = |number: &usize| self.files.get(*number).map(|path| (*path).to_owned());
        if let Some(path) = exact.iter().flatten().min().and_then(file) {
            return Resolved::Exact(path);
        }
        let wanted = key(written);
        if wanted.is_empty() || wanted.ends_with('/') {
            return Resolved::Nothing;
        }
        let name = wanted.rsplit('/').next().unwrap_or(&wanted);
        let loose = self.loose.get_or_init(|| self.loose());
        let below = format!("{}{wanted}", self.folder);
        let ways = [
            vec![loose.by_key.get(&wanted), loose.by_key.get(&below)],
            vec![loose.by_name.get(name)],
            vec![loose.by_stem.get(name)],
        ];
        for way in ways {
            let mut numbers: Vec<usize> = way.into_iter().flatten().flatten().copied().collect();
            numbers.sort_unstable();
            let mut found: Vec<String> = numbers.iter().filter_map(file).collect();
            match (found.len(), found.pop()) {
                (1, Some(only)) => return Resolved::Loose(only),
                (_, Some(last)) => {
                    found.push(last);
                    return Resolved::Several(found);
                }
                (_, None) => {}
            }
        }
        Resolved::Nothing
    }

    fn loose(&self) -> Loose {
        let mut loose = Loose::default();
        for (number, path) in self.files.iter().enumerate() {
            let key = key(path);
            if key.starts_with(self.folder) {
                let name = key.rsplit('/').next().unwrap_or(&key);
                let stem = name.rsplit_once('.').map(|(stem, _)| stem);
                for (by, what) in [(&mut loose.by_name, Some(name)), (&mut loose.by_stem, stem)] {
                    if let Some(what) = what {
                        by.entry(what.to_owned()).or_default().push(number);
                    }
                }
            }
            loose.by_key.entry(key).or_default().push(number);
        }
        loose
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spellings_of_windows_and_macos_find_their_file() {
        let files = [
            "papers/IMG_1.JPG",
            "photos/2025/IMG_1.JPG",
            "photos/Bäume.jpg",
            "photos/a/x.jpg",
            "photos/b/x.jpg",
        ];
        let paths = Paths::of(files.iter().copied(), "photos/");
        let at = |written| paths.resolve(written);
        let loose = |path: &str| Resolved::Loose(path.to_owned());
        assert_eq!(
            at("photos/2025/IMG_1.JPG"),
            Resolved::Exact("photos/2025/IMG_1.JPG".into())
        );
        assert_eq!(
            at("2025/IMG_1.JPG"),
            Resolved::Exact("photos/2025/IMG_1.JPG".into())
        );
        for written in [
            "photos\\2025\\IMG_1.JPG",
            ".\\photos\\2025\\img_1.jpg",
            "./photos/2025/IMG_1.JPG",
            "Photos/2025/img_1.jpg",
            "IMG_1.JPG",
            "img_1",
            "C:\\Users\\someone\\season\\photos\\2025\\IMG_1.JPG",
        ] {
            assert_eq!(at(written), loose("photos/2025/IMG_1.JPG"), "{written}");
        }
        assert_eq!(at("Ba\u{308}ume.jpg"), loose("photos/Bäume.jpg"));
        assert_eq!(
            at("x.jpg"),
            Resolved::Several(vec!["photos/a/x.jpg".into(), "photos/b/x.jpg".into()])
        );
        for nothing in ["", "/", "photos/", "y.jpg"] {
            assert_eq!(at(nothing), Resolved::Nothing, "{nothing}");
        }
    }
}
