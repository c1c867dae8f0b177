//! A new season folder: what `new` writes, what the reader makes of it, and what it refuses.

use std::fs;
use std::io::{Cursor, Write};
use std::path::Path;
use std::process::{Command, Output};

use proptest::prelude::*;
use windrow::begin::{self, Choices, Row, filled_table};
use windrow::season::form::{TABLES, TableForm};
use windrow::season::{self, PrintUnits, Season};

use super::support::folder::contents;

fn windrow(words: &[&str], folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windrow"))
        .args(words)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn told(run: &Output) -> String {
    format!(
        "{}{}",
        String::from_utf8_lossy(&run.stdout),
        String::from_utf8_lossy(&run.stderr)
    )
}

/// Files by their paths below a folder.
fn below(folder: &Path) -> Vec<(std::path::PathBuf, Vec<u8>)> {
    contents(folder)
        .into_iter()
        .map(|(path, bytes)| (path.strip_prefix(folder).unwrap().to_owned(), bytes))
        .collect()
}

fn choices() -> Choices {
    Choices {
        programme: "Test Pond Trust (invented)".into(),
        year: 2025,
        time_zone: "America/New_York".into(),
        units: PrintUnits::Metric,
        paper: None,
        csv: true,
    }
}

#[test]
fn a_new_folder_is_clean_the_same_twice_and_never_overwrites() {
    let place = tempfile::tempdir().unwrap();
    let words = [
        "--programme",
        "Pond Friends",
        "--year",
        "2026",
        "--time-zone",
        "America/New_York",
    ];
    for name in ["one", "two"] {
        let run = windrow(&[&["new", name], words.as_slice()].concat(), place.path());
        assert_eq!(run.status.code(), Some(0), "{}", told(&run));
    }
    assert!(below(&place.path().join("one")) == below(&place.path().join("two")));
    let run = windrow(&["check", "one"], place.path());
    assert!(
        told(&run).contains("0 errors, 0 doubts, 0 remarks"),
        "{}",
        told(&run)
    );
    assert!(
        told(&run).contains("next  draw your sites"),
        "{}",
        told(&run)
    );

    let before = contents(&place.path().join("one"));
    let run = windrow(&["new", "one"], place.path());
    assert_eq!(run.status.code(), Some(2));
    assert!(told(&run).contains("READ-ME-FIRST.txt"), "{}", told(&run));
    assert!(before == contents(&place.path().join("one")));
    // An empty folder is as good as none.
    fs::create_dir(place.path().join("three")).unwrap();
    let run = windrow(&["new", "three", "--csv"], place.path());
    assert_eq!(run.status.code(), Some(0), "{}", told(&run));
    assert!(place.path().join("three/pulls.csv").is_file());
    let names = fs::read_dir(place.path()).unwrap().count();
    assert_eq!(names, 3, "something unfinished was left behind");
}

#[test]
fn a_zone_that_is_none_is_told_with_the_one_that_is_meant() {
    let place = tempfile::tempdir().unwrap();
    let run = windrow(
        &["new", "s", "--time-zone", "America/NewYork"],
        place.path(),
    );
    assert_eq!(run.status.code(), Some(2));
    assert!(told(&run).contains("America/New_York"), "{}", told(&run));
    assert!(!place.path().join("s").exists());
}

/// Random cells for a column: what a careful person types, or nothing.
fn cell(table: &'static str, column: &'static str) -> BoxedStrategy<String> {
    let closed = season::form::words(table, column);
    if !closed.is_empty() {
        return prop::sample::select(closed).prop_map(str::to_owned).boxed();
    }
    match column {
        "date" | "return_by" => (1_u32..=12, 1_u32..=28)
            .prop_map(|(month, day)| format!("2025-{month:02}-{day:02}"))
            .boxed(),
        "start" | "end" => (0_u32..24, 0_u32..60)
            .prop_map(|(hour, minute)| format!("{hour:02}:{minute:02}"))
            .boxed(),
        "finished" | "gear_cleaned" | "bloom_seen" | "comparable" | "withheld" | "plate"
        | "minors" => prop::sample::select(vec!["yes", "no"])
            .prop_map(str::to_owned)
            .boxed(),
        "pass" | "staff" | "volunteers" | "boats" | "plants" | "year" => {
            (0_u32..3000).prop_map(|count| count.to_string()).boxed()
        }
        "staff_hours" | "volunteer_hours" | "travel_hours" | "searched_area" | "treated_area"
        | "containers" | "mass" | "plot_area" | "percent" | "effort" | "removed" | "amount" => {
            (0_u32..40_000)
                .prop_map(|cents| format!("{}.{:02}", cents / 100, cents % 100))
                .boxed()
        }
        "clock_correction" => (-4000_i32..4000)
            .prop_map(|seconds| seconds.to_string())
            .boxed(),
        _ => "[A-Za-z][A-Za-z ,;é\"']{0,14}[a-z]".boxed(),
    }
}

fn row(table: &'static TableForm) -> BoxedStrategy<Row> {
    let cells: Vec<BoxedStrategy<Option<(&'static str, String)>>> = table
        .columns
        .iter()
        .map(|column| {
            let name = column.name;
            let filled = cell(table.name, name).prop_map(move |text| Some((name, text)));
            // A row without what it must have may be taken for something else than a row of the table.
            if column.must {
                filled.boxed()
            } else {
                prop_oneof![4 => filled, 1 => Just(None)].boxed()
            }
        })
        .collect();
    cells
        .prop_map(|cells| cells.into_iter().flatten().collect())
        .boxed()
}

fn write(folder: &Path, files: &[(String, Vec<u8>)]) {
    fs::create_dir_all(folder).unwrap();
    let settings = begin::fresh(&choices()).unwrap();
    let settings = settings
        .into_iter()
        .find(|file| file.path == "season.toml")
        .unwrap();
    fs::write(folder.join("season.toml"), settings.bytes).unwrap();
    for (path, bytes) in files {
        fs::write(folder.join(path), bytes).unwrap();
    }
}

/// The records without their places: those differ by format, and only by that.
fn records(season: &Season) -> String {
    let pulls: Vec<_> = season
        .pulls
        .iter()
        .flat_map(|pull| pull.rows.clone())
        .map(|one| {
            (
                (one.pull, one.date, one.site, one.crew, one.pass),
                (one.start, one.end),
                (
                    one.staff,
                    one.volunteers,
                    one.staff_hours,
                    one.volunteer_hours,
                ),
                (one.travel_hours, one.paid_by, one.boats, one.searched_area),
                (one.treated_area, one.container, one.containers, one.mass),
                (one.plants, one.basis, one.stage, one.fruit, one.water_level),
                (one.finished, one.return_by, one.disposal, one.gear_cleaned),
                (one.bloom_seen, one.other_species, one.incident, one.notes),
            )
        })
        .collect();
    let weighings: Vec<_> = season
        .weighings
        .iter()
        .cloned()
        .map(|one| {
            (
                (one.pull, one.date, one.site, one.container),
                (one.mass, one.plants, one.stage),
            )
        })
        .collect();
    let cover: Vec<_> = season
        .cover
        .iter()
        .cloned()
        .map(|one| {
            (
                (one.date, one.site, one.plot, one.station, one.when),
                (one.class, one.percent, one.plants, one.plot_area),
            )
        })
        .collect();
    let photos: Vec<_> = season
        .photo_notes
        .iter()
        .cloned()
        .map(|one| {
            (
                (one.file, one.site, one.station, one.role, one.caption),
                (one.consent, one.clock_correction, one.withheld, one.reason),
                (one.pull, one.plate, one.minors),
            )
        })
        .collect();
    let history: Vec<_> = season
        .history
        .iter()
        .cloned()
        .map(|one| {
            (
                (one.year, one.site, one.effort, one.removed, one.unit),
                (one.comparable, one.reason),
            )
        })
        .collect();
    let spending: Vec<_> = season
        .spending
        .iter()
        .cloned()
        .map(|one| {
            (
                (
                    one.date,
                    one.grant,
                    one.line,
                    one.amount.map(|it| it.normalize()),
                ),
                (one.receipt, one.kind, one.notes),
            )
        })
        .collect();
    format!("{pulls:#?}\n{weighings:#?}\n{cover:#?}\n{photos:#?}\n{history:#?}\n{spending:#?}")
}

/// A table as an OpenDocument spreadsheet (ODF 1.3, part 3: sections 9.1 and 19.385), dates and numbers typed as such.
fn ods(name: &str, csv: &[u8]) -> Vec<u8> {
    let escaped = |text: &str| {
        text.replace('&', "&amp;")
            .replace('<', "&lt;")
            .replace('"', "&quot;")
    };
    let mut rows = String::new();
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(csv);
    for record in reader.records() {
        rows.push_str("<table:table-row>");
        for text in record.unwrap().iter() {
            let shown = escaped(text);
            let value = if text.is_empty() {
                rows.push_str("<table:table-cell/>");
                continue;
            } else if text.len() == 10 && text.parse::<chrono::NaiveDate>().is_ok() {
                format!("office:value-type=\"date\" office:date-value=\"{text}\"")
            } else if text.parse::<f64>().is_ok() {
                format!("office:value-type=\"float\" office:value=\"{text}\"")
            } else {
                "office:value-type=\"string\"".to_owned()
            };
            rows.push_str(&format!(
                "<table:table-cell {value}><text:p>{shown}</text:p></table:table-cell>"
            ));
        }
        rows.push_str("</table:table-row>");
    }
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" office:version=\"1.3\"><office:body><office:spreadsheet>\
         <table:table table:name=\"{name}\">{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
    );
    let manifest = "<?xml version=\"1.0\" encoding=\"UTF-8\"?><manifest:manifest \
         xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\" manifest:version=\"1.3\"><manifest:file-entry \
         manifest:full-path=\"/\" manifest:media-type=\"application/vnd.oasis.opendocument.spreadsheet\"/><manifest:file-entry \
         manifest:full-path=\"content.xml\" manifest:media-type=\"text/xml\"/></manifest:manifest>";
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (path, text) in [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", content.as_str()),
        ("META-INF/manifest.xml", manifest),
    ] {
        zip.start_file(path, stored).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn all_tables() -> BoxedStrategy<Vec<Vec<Row>>> {
    TABLES
        .iter()
        .map(|table| prop::collection::vec(row(table), 0..5).boxed())
        .collect::<Vec<_>>()
        .boxed()
}

static LEAKED: std::sync::OnceLock<season::Settings> = std::sync::OnceLock::new();

fn settings() -> &'static season::Settings {
    LEAKED.get_or_init(|| {
        let text = begin::fresh(&choices())
            .unwrap()
            .into_iter()
            .find(|file| file.path == "season.toml")
            .unwrap();
        season::read_settings(std::str::from_utf8(&text.bytes).unwrap()).unwrap()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// The same rows give the same season from .csv, .xlsx and .ods.
    #[test]
    fn what_is_filled_in_reads_the_same_in_every_format(tables in all_tables()) {
        let place = tempfile::tempdir().unwrap();
        let ground = season::Ground::default();
        let mut files: [Vec<(String, Vec<u8>)>; 3] = Default::default();
        for (table, rows) in TABLES.iter().zip(&tables) {
            let csv = filled_table(table, settings(), &ground, true, rows).unwrap();
            files[2].push((format!("{}.ods", table.name), ods(table.name, &csv.1)));
            files[0].push(csv);
            files[1].push(filled_table(table, settings(), &ground, false, rows).unwrap());
        }
        let seasons: Vec<Season> = files.iter().zip(["csv", "xlsx", "ods"]).map(|(files, name)| {
            let folder = place.path().join(name);
            write(&folder, files);
            season::load(&folder, &|_| {}).unwrap()
        }).collect();
        prop_assert_eq!(records(&seasons[0]), records(&seasons[1]));
        prop_assert_eq!(records(&seasons[0]), records(&seasons[2]));
        let rows: usize = tables.iter().take(1).map(Vec::len).sum();
        prop_assert_eq!(seasons[0].pulls.iter().map(|pull| pull.rows.len()).sum::<usize>(), rows);
    }
}

#[test]
fn manual_pages_and_completions_name_every_command() {
    let place = tempfile::tempdir().unwrap();
    let run = windrow(&["man", "pages"], place.path());
    assert_eq!(run.status.code(), Some(0), "{}", told(&run));
    let page = |name: &str| fs::read_to_string(place.path().join("pages").join(name)).unwrap();
    assert!(page("windrow.1").contains(".TH"));
    assert!(page("windrow-close.1").contains("windrow close sample\\-season"));
    let script = told(&windrow(&["completions", "bash"], place.path()));
    let help = told(&windrow(&["--help"], place.path()));
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| !line.starts_with("Commands:"))
        .skip(1)
        .take_while(|line| line.starts_with("  "))
        .filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next())
        .filter(|word| word.chars().all(char::is_lowercase) && *word != "help")
        .filter(|word| {
            place
                .path()
                .join(format!("pages/windrow-{word}.1"))
                .is_file()
        })
        .collect();
    assert!(commands.len() >= 15, "{commands:?}");
    for command in commands {
        assert!(script.contains(&format!("windrow,{command})")), "{command}");
        let help = told(&windrow(&[command, "--help"], place.path()));
        assert!(help.contains("Example"), "{command} has no example\n{help}");
    }
}
