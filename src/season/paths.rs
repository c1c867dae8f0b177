//! File names in tables, as people type and systems store them: back slashes, capitals, accents in one piece or in two.
//!
//! Takes what a cell says and the list of files; gives the file that is meant. Opens nothing.

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

/// Finds the file that a cell means: below the season folder or below `folder` (`photos/`). The nearer a spelling is to a file's own
/// path, the sooner it is taken: as it stands; but for slashes, capitals and accents; by the name alone; by the name without its
/// ending.
pub fn resolve<'a>(
    files: impl Iterator<Item = &'a str> + Clone,
    written: &str,
    folder: &str,
) -> Resolved {
    let exact = files
        .clone()
        .find(|path| *path == written || path.strip_prefix(folder) == Some(written));
    if let Some(path) = exact {
        return Resolved::Exact(path.to_owned());
    }
    let wanted = key(written);
    if wanted.is_empty() || wanted.ends_with('/') {
        return Resolved::Nothing;
    }
    let name = wanted.rsplit('/').next().unwrap_or(&wanted);
    let ways: [&dyn Fn(&str) -> bool; 3] = [
        &|path| path == wanted || path.strip_prefix(folder) == Some(wanted.as_str()),
        &|path| path.starts_with(folder) && path.rsplit('/').next() == Some(name),
        &|path| {
            path.starts_with(folder)
                && path
                    .rsplit('/')
                    .next()
                    .and_then(|file| file.rsplit_once('.'))
                    .is_some_and(|(stem, _)| stem == name)
        },
    ];
    for fits in ways {
        let found: Vec<&str> = files.clone().filter(|path| fits(&key(path))).collect();
        match found.as_slice() {
            [] => {}
            [only] => return Resolved::Loose((*only).to_owned()),
            several => {
                return Resolved::Several(several.iter().map(|path| (*path).to_owned()).collect());
            }
        }
    }
    Resolved::Nothing
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
        let at = |written| resolve(files.iter().copied(), written, "photos/");
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
