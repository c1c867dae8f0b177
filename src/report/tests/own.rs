//! A group's own template: it takes the place of one section, and mistakes in it are told.

use super::pages::keep;
use super::sample::{Recipe, Sample};
use crate::report::{ReportError, findings, readback, render, section, sections};
use crate::season::FileEntry;

/// A sample with files in its template folder.
pub fn with(files: &[(&str, &str)]) -> (Sample, tempfile::TempDir) {
    let mut sample = Recipe::new(1, 3).build();
    let folder = tempfile::tempdir().unwrap();
    for (path, text) in files {
        let path = format!("template/{path}");
        let on_disk = folder.path().join(&path);
        std::fs::create_dir_all(on_disk.parent().unwrap()).unwrap();
        std::fs::write(&on_disk, text).unwrap();
        std::sync::Arc::make_mut(&mut sample.season.files).push(FileEntry {
            path: path.into(),
            bytes: text.len() as u64,
            stamp: crate::stamp::Stamp::of(&std::fs::metadata(&on_disk).unwrap()),
            below: folder.path().into(),
        });
    }
    (sample, folder)
}

fn error(files: &[(&str, &str)]) -> String {
    let (sample, _folder) = with(files);
    match render(&sample.input(), None, &|_| ()) {
        Err(error @ ReportError::Template(_)) => error.to_string(),
        Err(error) => panic!("{error}"),
        Ok(_) => panic!("it was set"),
    }
}

#[test]
fn one_section_is_replaced_and_named() {
    let (sample, _folder) = with(&[
        (
            "sections/effort.typ",
            "#import \"/lib/look.typ\": *\n#import \"/lib/contract.typ\": contract\n#import \"/own/parts/greeting.typ\": greeting\n\
             #contract(1)\n= Hours\n#column(greeting)\n",
        ),
        (
            "parts/greeting.typ",
            "#let greeting = [Good morning from the crew.]\n",
        ),
        ("look.toml", "contract = 1\n[colours]\npond = \"#102a54\"\n"),
    ]);
    let pdf = render(&sample.input(), None, &|_| ()).unwrap_or_else(|error| panic!("{error}"));
    keep("own.pdf", &pdf);
    let text = readback::read(&pdf).unwrap().texts.join(" ");
    assert!(text.contains("Good morning from the crew."));
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("templates of its own: effort."), "{words}");
    assert!(findings(&sample.season).is_empty());
}

#[test]
fn every_section_is_printed_as_it_is_and_can_be_put_back() {
    for name in sections() {
        assert!(section(name).is_some(), "{name}");
    }
    assert!(section("nothing").is_none());
    let text = section("effort").unwrap();
    let (sample, _folder) = with(&[("sections/effort.typ", text)]);
    let plain = Recipe::new(1, 3).build();
    let count = |sample: &Sample| {
        let pdf = render(&sample.input(), None, &|_| ()).unwrap();
        readback::read(&pdf).unwrap().pages
    };
    assert_eq!(count(&sample), count(&plain));
}

#[test]
fn mistakes_are_shown_with_file_line_and_caret() {
    let told = error(&[("sections/effort.typ", "= Hours\n\nA #unknown-word here.\n")]);
    assert!(
        told.starts_with("template/sections/effort.typ, line 3, column 4: unknown variable"),
        "{told}"
    );
    assert!(told.contains("^^^"), "{told}");
    // Our own function notices it, and the group's line is shown.
    let told = error(&[(
        "sections/effort.typ",
        "#import \"/lib/figures.typ\": figure-text\n= Hours\n#figure-text(\"effort.person-hour\")\n",
    )]);
    assert!(
        told.starts_with("template/sections/effort.typ, line 3"),
        "{told}"
    );
    assert!(told.contains("did you mean effort.person-hours"), "{told}");
    let told = error(&[("look.toml", "[colours]\npond = #102a54\n")]);
    assert!(
        told.starts_with("template/look.toml, line 2, column"),
        "{told}"
    );
}

#[test]
fn what_a_template_may_not_do_is_told() {
    for (files, words) in [
        (
            vec![("sections/limits.typ", "= Nothing\n")],
            "the section 'limits' can't be replaced",
        ),
        (
            vec![("sections/findings.typ", "")],
            "the section 'findings' can't be replaced",
        ),
        (
            vec![("sections/efort.typ", "= A\n")],
            "did you mean effort.typ?",
        ),
        (
            vec![("look.toml", "contract = 9\n")],
            "made for contract 9, and this windrow keeps contract 1",
        ),
        (
            vec![("look.toml", "[colours]\nblue = \"#000000\"\n")],
            "there is no colour 'blue'",
        ),
        (
            vec![("look.toml", "[colours]\npond = \"navy\"\n")],
            "is no colour",
        ),
        (
            vec![("look.toml", "logo = \"logo.svg\"\n")],
            "there is no picture template/logo.svg",
        ),
        (
            vec![("look.toml", "[fonts]\ntext = \"Nothing\"\n")],
            "no font of the family 'Nothing'",
        ),
        (
            vec![("fonts/a.ttf", "no font")],
            "no font can be read from it",
        ),
        (
            vec![(
                "sections/effort.typ",
                "#import \"/lib/contract.typ\": contract\n#contract(7)\n= A\n",
            )],
            "made for contract 7",
        ),
    ] {
        let told = error(&files);
        assert!(told.contains(words), "{files:?}: {told}");
    }
}

#[test]
fn a_faint_colour_is_a_remark() {
    let (sample, _folder) = with(&[("look.toml", "[colours]\nmuted = \"#9aa5aa\"\n")]);
    let found = findings(&sample.season);
    assert!(!found.is_empty());
    assert_eq!(found[0].name, "template-colour-faint");
    assert!(
        found[0].message.to_string().contains("4.5 is needed"),
        "{}",
        found[0].message
    );
    // It is set all the same.
    assert!(render(&sample.input(), None, &|_| ()).is_ok());
}

/// What the data hold is what docs/templates.md promises.
#[test]
fn the_contract_is_written_down() {
    let sample = Recipe::new(2, 6).build();
    let value = sample.data();
    let documented = include_str!("../../../docs/templates.md");
    for key in value.as_object().unwrap().keys() {
        assert!(
            documented.contains(&format!("| `{key}` |")),
            "{key} is not in docs/templates.md"
        );
    }
    assert!(documented.contains(&format!("contract {}", crate::report::own::CONTRACT)));
    for name in sections() {
        assert!(documented.contains(&format!("`{name}`")), "section {name}");
    }
}
