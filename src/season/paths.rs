//! File names in tables, as people type and systems store them: back slashes, capitals, accents in one piece or in two.
//!
//! Takes what a cell says and the list of files; gives the file that is meant. Opens nothing.

use std::cell::OnceCell;

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

/// Numbers of files, each list in the order of what it is by: as maps of texts, three of a hundred thousand files take fifty megabytes.
struct Loose {
    /// What is left of each file's path.
    keys: Vec<String>,
    by_key: Vec<u32>,
    /// Of those in the folder, by the name alone.
    by_name: Vec<u32>,
    /// Of those in the folder, by the name without its ending.
    by_stem: Vec<u32>,
}

/// The name alone of a key.
fn name(key: &str) -> &str {
    key.rsplit('/').next().unwrap_or(key)
}

/// The name without its ending; nothing where it has none.
fn stem(key: &str) -> Option<&str> {
    name(key).rsplit_once('.').map(|(stem, _)| stem)
}

impl Loose {
    fn of(files: &[&str], folder: &str) -> Self {
        let keys: Vec<String> = files
            .iter()
            .map(|path| {
                let mut key = key(path);
                key.shrink_to_fit();
                key
            })
            .collect();
        let sorted = |by: fn(&str) -> Option<&str>, among: &str| {
            let among = |key: &&String| key.starts_with(among) && by(key).is_some();
            let numbers = keys.iter().zip(0..).filter(|(key, _)| among(key));
            let mut numbers: Vec<u32> = numbers.map(|(_, number)| number).collect();
            // The sort is stable, so that equal ones stay in the order of the files.
            numbers.sort_by_key(|number| keys.get(*number as usize).and_then(|key| by(key)));
            numbers
        };
        Self {
            by_key: sorted(|key| Some(key), ""),
            by_name: sorted(|key| Some(name(key)), folder),
            by_stem: sorted(stem, folder),
            keys,
        }
    }

    /// Those of a list for which `by` gives the text.
    fn equal<'s>(
        &'s self,
        list: &'s [u32],
        by: impl Fn(&str) -> Option<&str>,
        text: &str,
    ) -> &'s [u32] {
        let of = |number: &u32| self.keys.get(*number as usize).and_then(|key| by(key));
        let from = list.partition_point(|number| of(number) < Some(text));
        let to = list.partition_point(|number| of(number) <= Some(text));
        list.get(from..to).unwrap_or_default()
    }
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
        let loose = self
            .loose
            .get_or_init(|| Loose::of(&self.files, self.folder));
        let below = format!("{}{wanted}", self.folder);
        let by_key = |text: &str| loose.equal(&loose.by_key, |key| Some(key), text);
        let ways = [
            [by_key(&wanted), by_key(&below)].concat(),
            loose
                .equal(&loose.by_name, |key| Some(name(key)), name(&wanted))
                .to_vec(),
            loose.equal(&loose.by_stem, stem, name(&wanted)).to_vec(),
        ];
        for mut numbers in ways {
            numbers.sort_unstable();
            let file = |number: &u32| file(&(*number as usize));
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
