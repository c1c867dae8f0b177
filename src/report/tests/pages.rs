//! The whole report, set.

use super::sample::{Recipe, Sample};
use crate::report::{ReportError, Step, render};

fn set(sample: &Sample) -> Vec<u8> {
    match render(&sample.input(), None, &|_| ()) {
        Ok(pdf) => pdf,
        Err(error) => panic!("{error}"),
    }
}

/// Writes the PDF where WINDROW_LOOK says, for a person to look at.
pub fn keep(name: &str, pdf: &[u8]) {
    if let Ok(folder) = std::env::var("WINDROW_LOOK") {
        std::fs::write(std::path::Path::new(&folder).join(name), pdf).unwrap();
    }
}

#[test]
fn the_same_season_gives_the_same_bytes() {
    let sample = Recipe::new(4, 18).build();
    let first = set(&sample);
    assert!(first.starts_with(b"%PDF-1.7"));
    assert!(first == set(&sample), "two runs differ");
    keep("usual.pdf", &first);
}

#[test]
fn no_metadata_of_a_photo_comes_through() {
    let sample = Recipe::new(4, 18).build();
    let pdf = set(&sample);
    let holds = |wanted: &[u8]| pdf.windows(wanted.len()).any(|window| window == wanted);
    // JPEG data stands in a PDF as it is, so that a leak would be seen.
    assert!(holds(b"DCTDecode"), "no picture was embedded");
    assert!(!holds(b"Exif"));
}

#[test]
fn an_empty_season_comes_out_on_both_papers() {
    for paper in ["letter", "a4"] {
        let mut recipe = Recipe::new(0, 0);
        recipe.paper = paper;
        let pdf = set(&recipe.build());
        keep(&format!("empty-{paper}.pdf"), &pdf);
    }
}

#[test]
fn a_tiny_season_comes_out_on_both_papers() {
    for (paper, metric) in [("letter", false), ("a4", true)] {
        let mut recipe = Recipe::new(1, 3);
        recipe.paper = paper;
        recipe.metric = metric;
        let pdf = set(&recipe.build());
        keep(&format!("tiny-{paper}.pdf"), &pdf);
    }
}

#[test]
fn a_large_season_comes_out_on_both_papers() {
    for (paper, metric) in [("letter", false), ("a4", true)] {
        let mut recipe = Recipe::new(40, 600);
        recipe.paper = paper;
        recipe.metric = metric;
        let pdf = set(&recipe.build());
        keep(&format!("large-{paper}.pdf"), &pdf);
    }
}

#[test]
fn progress_is_told_to_the_end() {
    let steps = std::sync::Mutex::new(Vec::new());
    let sample = Recipe::new(2, 6).build();
    render(&sample.input(), None, &|step| {
        steps.lock().unwrap().push(step)
    })
    .unwrap();
    let steps = steps.into_inner().unwrap();
    assert!(steps.contains(&Step::Pictures { done: 6, total: 6 }));
    assert_eq!(steps.last(), Some(&Step::Writing));
}

#[test]
fn a_misspelt_figure_in_prose_is_shown_with_its_line() {
    let mut recipe = Recipe::new(1, 3);
    recipe.narrative = "First line.\n\nWe pulled #figure-text(\"removal.wetmass\") in all.\n";
    let sample = recipe.build();
    let error = render(&sample.input(), None, &|_| ()).unwrap_err();
    let ReportError::Template(mistakes) = &error else {
        panic!("{error}")
    };
    let spot = mistakes[0].spot.as_ref().unwrap();
    assert_eq!(
        (spot.file.as_str(), spot.line, spot.column),
        ("narrative/summary.typ", 3, 12)
    );
    assert!(spot.text.starts_with("We pulled"));
    assert!(
        mistakes[0]
            .hints
            .iter()
            .any(|hint| hint.contains("removal.wet-mass")),
        "{error}"
    );
    assert!(error.to_string().contains("^^^"), "{error}");
}

#[test]
fn a_slip_in_prose_is_shown_with_its_line() {
    let mut recipe = Recipe::new(1, 3);
    recipe.narrative = "First line.\nAn #unknown-word here.\n";
    let sample = recipe.build();
    let error = render(&sample.input(), None, &|_| ())
        .unwrap_err()
        .to_string();
    assert!(
        error.starts_with("narrative/summary.typ, line 2, column 5: unknown variable"),
        "{error}"
    );
}

#[test]
fn packages_are_refused() {
    let mut recipe = Recipe::new(1, 3);
    recipe.narrative = "#import \"@preview/anything:1.0.0\": *\n";
    let sample = recipe.build();
    let error = render(&sample.input(), None, &|_| ())
        .unwrap_err()
        .to_string();
    assert!(error.contains("packages can't be used"), "{error}");
}

#[test]
fn the_sample_season_comes_out() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-season");
    let season = crate::season::load(&folder, &|_| ()).unwrap();
    let ledger = crate::figure::compute(&season);
    let findings = crate::figure::findings(&season, &ledger, Vec::new());
    let plates = crate::report::plates(&season);
    let marks = crate::report::marks(&season);
    let input = crate::report::Input {
        season: &season,
        ledger: &ledger,
        findings: &findings,
        plates: &plates,
        pull_marks: &marks,
        evidence_root: std::array::from_fn(|at| (at * 37 + 11) as u8),
        evidence_leaves: 57,
        archive_name: "sample-season-evidence.zip",
        tool_version: "0.1.0",
        edition: crate::season::Edition::Funder,
        date: chrono::NaiveDate::from_ymd_opt(2025, 12, 2).unwrap(),
    };
    match render(&input, None, &|_| ()) {
        Ok(pdf) => keep("sample.pdf", &pdf),
        Err(error) => panic!("{error}"),
    }
    if let Ok(folder) = std::env::var("WINDROW_LOOK") {
        let style = crate::report::Style::of(&season.settings);
        let text: String = ledger
            .figures()
            .map(|figure| {
                let printed = crate::report::number::print(figure, &style);
                format!("{} | {} | {}\n", figure.name, figure.label, printed.text)
            })
            .collect();
        std::fs::write(std::path::Path::new(&folder).join("names.txt"), text).unwrap();
    }
}

#[test]
fn a_report_with_open_errors_says_that_it_is_a_draft() {
    let mut sample = Recipe::new(1, 3).build();
    sample.findings[1].grade = crate::finding::Grade::Error;
    let value = sample.data();
    assert_eq!(
        value["findings"]["draft"],
        "Draft: 1\u{a0}error in the records is open."
    );
    keep("draft.pdf", &set(&sample));
}
