//! The page in HTML by the program itself: asked for, refused, closed, packed, and worked out again.

use std::fs;
use std::path::Path;
use std::process::Output;

use super::support::folder::Folder;
use super::support::program::windrow;

fn told(run: &Output) -> String {
    String::from_utf8_lossy(&run.stdout).into_owned() + &String::from_utf8_lossy(&run.stderr)
}

fn html_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".html"))
        .collect();
    names.sort();
    names
}

#[test]
fn a_page_is_made_of_the_board_and_the_public_edition_alone() {
    let folder = Folder::clean();
    let season = folder.path();
    let season = season.to_str().unwrap();
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("page.html");
    let path = path.to_str().unwrap();
    for (more, edition) in [
        (&[][..], "Board edition"),
        (&["--edition", "public"], "Public edition"),
    ] {
        let words = [
            &["report", season, "--format", "html", "--output", path],
            more,
        ]
        .concat();
        let run = windrow(&words);
        assert_eq!(run.status.code(), Some(0), "{}", told(&run));
        let page = fs::read_to_string(path).unwrap();
        assert!(page.starts_with("<!DOCTYPE html>\n<html lang=\"en\">"));
        assert!(page.contains(edition), "{edition}");
        fs::remove_file(path).unwrap();
    }
    for edition in ["funder", "auditor"] {
        let run = windrow(&[
            "report",
            season,
            "--format",
            "html",
            "--edition",
            edition,
            "--output",
            path,
        ]);
        assert_eq!(run.status.code(), Some(2), "{}", told(&run));
        assert!(told(&run).contains(&format!("no HTML page of the {edition} edition")));
        assert!(!Path::new(path).exists());
    }
    let run = windrow(&[
        "report",
        season,
        "--format",
        "html",
        "--language",
        "fr",
        "--output",
        path,
    ]);
    assert_eq!(run.status.code(), Some(0), "{}", told(&run));
    assert!(
        fs::read_to_string(path)
            .unwrap()
            .contains("<html lang=\"fr\">")
    );
}

#[test]
fn close_makes_pages_only_where_they_are_asked_for_and_they_follow_from_the_archive() {
    let folder = Folder::clean();
    let place = tempfile::tempdir().unwrap();
    let close = |settings: &str, out: &Path| {
        if !settings.is_empty() {
            folder.append("season.toml", settings);
        }
        let run = windrow(&[
            "close",
            folder.path().to_str().unwrap(),
            "--output",
            out.to_str().unwrap(),
        ]);
        assert_eq!(run.status.code(), Some(0), "{}", told(&run));
        html_in(out)
    };
    assert!(close("", &place.path().join("without")).is_empty());
    let out = place.path().join("with");
    let settings = "\n[report]\neditions = [\"funder\", \"public\"]\npage = true\n";
    let names = close(settings, &out);
    assert_eq!(names.len(), 2, "{names:?}");
    assert!(names[0].ends_with("-board.html") && names[1].ends_with("-public.html"));

    // The same bytes by itself, and in the archive.
    let alone = place.path().join("alone.html");
    let run = windrow(&[
        "report",
        folder.path().to_str().unwrap(),
        "--format",
        "html",
        "--output",
        alone.to_str().unwrap(),
    ]);
    assert_eq!(run.status.code(), Some(0), "{}", told(&run));
    let board = fs::read(out.join(&names[0])).unwrap();
    assert!(board == fs::read(&alone).unwrap());
    let archive = fs::read_dir(&out)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .find(|path| path.extension().is_some_and(|end| end == "zip"))
        .unwrap();
    let mut zip = zip::ZipArchive::new(fs::File::open(&archive).unwrap()).unwrap();
    let inside: Vec<String> = zip
        .file_names()
        .map(|name| name.unwrap().to_string())
        .collect();
    let path = inside
        .iter()
        .find(|name| name.ends_with(&format!("data/report/{}", names[0])))
        .unwrap_or_else(|| panic!("{inside:?}"));
    let mut bytes = Vec::new();
    std::io::Read::read_to_end(&mut zip.by_name(path).unwrap(), &mut bytes).unwrap();
    assert!(bytes == board);
    let run = windrow(&["verify", "--recompute", archive.to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(0), "{}", told(&run));
    assert!(
        told(&run).contains("come out the same to the byte"),
        "{}",
        told(&run)
    );
}
