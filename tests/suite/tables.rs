//! The three formats of tables read alike, and none of them can hurt: nothing panics, and time and memory are bounded.

use std::time::{Duration, Instant};

use proptest::prelude::*;

use super::support::folder::Folder;
use super::support::workbook::{Cell, Sheet, ods, ods_of, patched, xlsx, zipped};

/// Each table of the clean folder in a format.
fn in_format(folder: &Folder, ending: &str, make: impl Fn(&str, &str) -> Vec<u8>) {
    for name in ["pulls", "weighings", "spending"] {
        let text = folder.read(&format!("{name}.csv"));
        folder
            .remove(&format!("{name}.csv"))
            .write(&format!("{name}.{ending}"), make(name, &text));
    }
}

/// What was read, without where it stood.
fn records(folder: &Folder) -> Vec<String> {
    let season = folder.season();
    let mut records = Vec::new();
    for pull in &season.pulls {
        for row in &pull.rows {
            let mut row = row.clone();
            row.row = bare(&row.row);
            records.push(format!("{row:?}"));
        }
    }
    for weighing in &season.weighings {
        let mut weighing = weighing.clone();
        weighing.row = bare(&weighing.row);
        records.push(format!("{weighing:?}"));
    }
    for row in &season.spending {
        let mut row = row.clone();
        row.row = bare(&row.row);
        records.push(format!("{row:?}"));
    }
    records
}

/// Nothing of the row: cells are spelt differently from format to format, and formats count empty lines differently.
fn bare(row: &windrow::season::Row) -> windrow::season::Row {
    let mut row = row.clone();
    row.number = 0;
    row.cells = Vec::new();
    row.natures = Vec::new();
    let head = windrow::season::Head {
        file: "".into(),
        sheet: None,
        from_1904: false,
        headings: Vec::new(),
        sums: Vec::new(),
    };
    row.head = head.into();
    row
}

#[test]
fn a_season_reads_alike_from_every_format() {
    let clean = Folder::clean();
    let expected = records(&clean);
    assert_eq!(expected.len(), 5 + 8 + 1);
    let ledger = clean.ledger();
    type Maker = fn(&str, &str) -> Vec<u8>;
    let makers: [(&str, Maker); 6] = [
        ("xlsx", |name, text| xlsx(&[Sheet::of(name, text)])),
        ("xlsx", |name, text| xlsx(&[Sheet::of_texts(name, text)])),
        ("ods", |name, text| ods(&[Sheet::of(name, text)])),
        ("ods", |name, text| ods(&[Sheet::of_texts(name, text)])),
        ("csv", |_, text| text.replace(',', ";").into_bytes()),
        ("tsv", |_, text| text.replace(',', "\t").into_bytes()),
    ];
    for (ending, make) in makers {
        let folder = Folder::clean();
        in_format(&folder, ending, make);
        assert_eq!(records(&folder), expected, "{ending}");
        for (a, b) in ledger.figures().zip(folder.ledger().figures()) {
            assert_eq!(a.value(), b.value(), "{ending} {}", a.name);
        }
        let findings = folder.findings();
        assert!(
            findings
                .iter()
                .all(|finding| finding.name == "number-as-text"),
            "{findings:?}"
        );
    }
}

#[test]
fn dates_of_the_1904_system_are_the_same_days() {
    let folder = Folder::clean();
    let expected = records(&folder);
    let mut sheet = Sheet::of("pulls", &folder.read("pulls.csv"));
    for row in &mut sheet.rows {
        for cell in row {
            // 1462 days lie between the two systems' first days (ECMA-376, from memory of the standard).
            if let Cell::Date(..) = cell {
                let Cell::Date(year, month, day) = *cell else {
                    continue;
                };
                *cell = Cell::Date(year - 4, month, day - 1);
            }
        }
    }
    let bytes = patched(
        &xlsx(&[sheet]),
        "xl/workbook.xml",
        "<workbookPr ",
        "<workbookPr date1904=\"1\" ",
    );
    folder.remove("pulls.csv").write("pulls.xlsx", bytes);
    assert_eq!(records(&folder), expected);
}

#[test]
fn merged_cells_and_formulas_read_alike_from_ods() {
    for make in [xlsx, ods] {
        let folder = Folder::clean();
        let expected = records(&folder);
        let mut sheet = Sheet::of("pulls", &folder.read("pulls.csv"));
        sheet.put(1, 11, Cell::Formula("=4+6", "10"));
        for column in 0..3 {
            sheet.merge((3, column), (4, column));
        }
        let bytes = make(&[sheet]);
        let ending = if bytes.windows(11).any(|w| w == b"content.xml") {
            "ods"
        } else {
            "xlsx"
        };
        folder
            .remove("pulls.csv")
            .write(&format!("pulls.{ending}"), bytes);
        // The site is merged too, and said by another of its names.
        let read = records(&folder);
        assert_eq!(read.len(), expected.len());
        let findings = folder.findings();
        let names: Vec<&str> = findings.iter().map(|finding| finding.name).collect();
        assert_eq!(names, ["cell-merged-down"; 3], "{findings:?}");
        assert_eq!(
            folder.ledger().get("effort.person-hours").unwrap().value(),
            Folder::clean()
                .ledger()
                .get("effort.person-hours")
                .unwrap()
                .value()
        );
    }
}

#[test]
fn formulas_without_value_or_with_an_error_are_found_in_ods() {
    let folder = Folder::clean();
    let mut sheet = Sheet::of("pulls", &folder.read("pulls.csv"));
    sheet.put(1, 11, Cell::Formula("=1/0", "#DIV/0!"));
    sheet.put(2, 11, Cell::Formula("=4+2", ""));
    folder.remove("pulls.csv").write("pulls.ods", ods(&[sheet]));
    let found: Vec<String> = folder
        .findings()
        .iter()
        .filter(|finding| finding.name.starts_with("formula"))
        .map(|finding| format!("{} {}", finding.name, finding.place))
        .collect();
    assert_eq!(
        found,
        [
            "formula-error pulls.ods sheet pulls cell L2, containers",
            "formula-without-value pulls.ods sheet pulls cell L3, containers"
        ]
    );
}

/// Long enough for a busy machine, and far shorter than an unbounded reader would take.
const PATIENCE: Duration = Duration::from_secs(60);

/// Reads the folder in bounded time and gives the findings on the table.
fn hostile(name: &str, bytes: Vec<u8>) -> Vec<String> {
    let folder = Folder::clean();
    folder.remove("pulls.csv").write(name, bytes);
    let start = Instant::now();
    let season = folder.season();
    assert!(start.elapsed() < PATIENCE);
    let findings = windrow::finding::find(&season, Vec::new());
    let names = findings
        .into_iter()
        .filter(|finding| finding.place.file == name)
        .map(|finding| finding.name.to_owned())
        .collect();
    assert!(start.elapsed() < PATIENCE);
    names
}

/// A ZIP whose part unpacks to far more than it holds packed.
fn bomb(part: &str, others: &[(&str, &str)]) -> Vec<u8> {
    use std::io::Write as _;
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let deflated = zip::write::SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated);
    for (name, text) in others {
        writer.start_file(*name, deflated).unwrap();
        writer.write_all(text.as_bytes()).unwrap();
    }
    writer.start_file(part, deflated).unwrap();
    let block = vec![b' '; 1 << 20];
    for _ in 0..80 {
        writer.write_all(&block).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

#[test]
fn a_part_that_unpacks_beyond_all_measure_is_refused() {
    for (name, part) in [
        ("pulls.xlsx", "xl/sharedStrings.xml"),
        ("pulls.ods", "content.xml"),
    ] {
        let bytes = bomb(part, &[("mimetype", "x")]);
        assert!(bytes.len() < 1 << 20);
        assert_eq!(hostile(name, bytes), ["file-unreadable"]);
    }
}

#[test]
fn a_million_columns_are_bounded() {
    let wide = format!(
        "pull,date,site{}\nP1,2025-06-14,north\n",
        ",x".repeat(1_000_000)
    );
    let found = hostile("pulls.csv", wide.into_bytes());
    assert!(found.len() < 1100, "{}", found.len());
    assert!(found.iter().any(|name| name == "heading-unknown"));
}

#[test]
fn the_farthest_cell_of_a_sheet_is_told_and_takes_no_room() {
    let folder = Folder::clean();
    let sheet = Sheet::of("pulls", &folder.read("pulls.csv"));
    let bytes = patched(
        &xlsx(&[sheet]),
        "xl/worksheets/sheet1.xml",
        "</sheetData>",
        "<row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row></sheetData>",
    );
    assert_eq!(hostile("pulls.xlsx", bytes), ["cell-far-away"]);
}

#[test]
fn rows_and_cells_repeated_without_end_are_bounded() {
    let cell = "<table:table-cell office:value-type=\"string\" table:number-columns-repeated=\"1000000000\"><text:p>x</text:p></table:table-cell>";
    let tables = format!(
        "<table:table table:name=\"a\"><table:table-row table:number-rows-repeated=\"1000000000\">{}</table:table-row></table:table>",
        cell.repeat(100)
    );
    assert!(!hostile("pulls.ods", ods_of(&tables)).is_empty());
    let one = "<table:table table:name=\"pulls\"><table:table-row table:number-rows-repeated=\"4000000000\"><table:table-cell \
               office:value-type=\"string\"><text:p>x</text:p></table:table-cell></table:table-row></table:table>";
    assert!(!hostile("pulls.ods", ods_of(one)).is_empty());
}

#[test]
fn one_long_text_shown_in_many_cells_is_bounded() {
    let long = "x".repeat(30_000);
    let mut sheet = Sheet::of("pulls", "pull,date,site\n");
    sheet.say(1, 0, &long);
    let bytes = xlsx(&[sheet]);
    // The library stores the text once and names it by its number.
    let mut more = String::new();
    for row in 3..20_000 {
        more.push_str(&format!(
            "<row r=\"{row}\"><c r=\"A{row}\" t=\"s\"><v>3</v></c></row>"
        ));
    }
    let bytes = patched(
        &bytes,
        "xl/worksheets/sheet1.xml",
        "</sheetData>",
        &format!("{more}</sheetData>"),
    );
    let found = hostile("pulls.xlsx", bytes);
    assert!(
        found.iter().any(|name| name == "table-too-large"),
        "{found:?}"
    );
}

#[test]
fn more_rows_than_any_season_has_are_told_and_not_read() {
    let folder = Folder::clean();
    let rows: String = (0..6_003)
        .map(|number| format!("2025-06-{:02},pond-fund,{number}\n", number % 28 + 1))
        .collect();
    folder.write("spending.csv", format!("date,grant,amount\n{rows}"));
    let season = folder.season();
    assert_eq!(season.spending.len(), 6_000);
    let problems = season.problems.iter();
    let cut: Vec<String> = problems
        .filter(|problem| format!("{:?}", problem.kind).contains("Cut"))
        .map(|problem| problem.place.to_string())
        .collect();
    assert_eq!(cut, ["spending.csv row 6002"]);
}

#[test]
fn workbooks_that_are_no_workbooks_say_so() {
    for (bytes, word) in [
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1".to_vec(), "password"),
        (b"<html>".to_vec(), "no workbook"),
        (
            zipped(&[("a.txt".to_owned(), b"x".to_vec())]),
            "can't be read",
        ),
    ] {
        let folder = Folder::clean();
        folder.remove("pulls.csv").write("pulls.xlsx", bytes);
        let findings = folder.findings();
        let finding = findings
            .iter()
            .find(|finding| finding.name == "file-unreadable")
            .unwrap();
        assert!(
            finding.message.to_string().contains(word),
            "{}",
            finding.message
        );
    }
}

#[test]
fn a_table_of_any_name_is_found_with_its_workbook() {
    let folder = Folder::clean();
    let sheets: Vec<Sheet> = ["pulls", "weighings", "spending"]
        .iter()
        .map(|name| Sheet::of(name, &folder.read(&format!("{name}.csv"))))
        .chain([Sheet::of("Read me", "Ask before you sort\n")])
        .collect();
    let expected = records(&folder);
    for name in ["pulls", "weighings", "spending"] {
        folder.remove(&format!("{name}.csv"));
    }
    folder.write("Pond log 2025.xlsx", xlsx(&sheets));
    assert_eq!(records(&folder), expected);
    let found: Vec<String> = folder
        .findings()
        .iter()
        .map(|finding| format!("{} {}", finding.name, finding.place))
        .collect();
    assert_eq!(
        found,
        [
            "sheet-not-read Pond log 2025.xlsx",
            "table-in-workbook Pond log 2025.xlsx sheet pulls row 1",
            "table-in-workbook Pond log 2025.xlsx sheet spending row 1",
            "table-in-workbook Pond log 2025.xlsx sheet weighings row 1",
        ]
    );
}

fn any_cell() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        "[ -~½é]{0,8}",
        "[0-9]{1,4}([.,][0-9]{1,3})?",
        "20(24|25)-0[5-9]-[0-2][0-9]",
        "[0-2]?[0-9]:[0-5][0-9]",
        Just("Total".to_owned()),
        Just("#REF!".to_owned()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Any texts read alike from the three formats.
    #[test]
    fn random_tables_read_alike(cells in prop::collection::vec(any_cell(), 0..96)) {
        let head = "pull,date,site,pass,start,end,staff,staff_hours,container,containers,mass_kg,plants\n";
        let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
        for row in cells.chunks_exact(12) {
            writer.write_record(row).unwrap();
        }
        let text = format!("{head}{}", String::from_utf8(writer.into_inner().unwrap()).unwrap());
        let folder = Folder::clean();
        folder.write("pulls.csv", &text);
        let expected = records(&folder);
        for (name, bytes) in [
            ("pulls.xlsx", xlsx(&[Sheet::of_texts("pulls", &text)])),
            ("pulls.ods", ods(&[Sheet::of_texts("pulls", &text)])),
        ] {
            let folder = Folder::clean();
            folder.remove("pulls.csv").write(name, bytes);
            prop_assert_eq!(records(&folder), expected.clone());
        }
    }

    /// Workbooks with bytes changed.
    #[test]
    fn harmed_workbooks_never_panic(
        at in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        which in any::<bool>(),
        cut in any::<Option<prop::sample::Index>>(),
    ) {
        let text = "pull,date,site,containers\nP1,2025-06-14,north,10\n";
        let mut sheet = Sheet::of("pulls", text);
        sheet.say(2, 0, "P2").merge((1, 1), (2, 1));
        let (name, mut bytes) = if which {
            ("pulls.xlsx", xlsx(&[sheet]))
        } else {
            ("pulls.ods", ods(&[sheet]))
        };
        for (index, byte) in at {
            let place = index.index(bytes.len());
            bytes[place] = byte;
        }
        if let Some(cut) = cut {
            let length = cut.index(bytes.len());
            bytes.truncate(length);
        }
        let folder = Folder::clean();
        folder.remove("pulls.csv").write(name, bytes);
        let _ = folder.findings();
    }

    /// Workbooks whose XML has been changed and whose checksums hold.
    #[test]
    fn harmed_sheets_never_panic(
        at in prop::collection::vec((any::<prop::sample::Index>(), "[0-9a-zA-Z<>/\" =:!]{0,4}"), 1..8),
        which in 0..4usize,
    ) {
        let text = "pull,date,site,containers\nP1,2025-06-14,north,10\n";
        let mut sheet = Sheet::of("pulls", text);
        sheet.put(1, 3, Cell::Formula("=4+6", "10")).say(2, 0, "P2").merge((1, 1), (2, 1));
        let part = ["xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/styles.xml", "content.xml"][which];
        let (name, book) = if which == 3 {
            ("pulls.ods", ods(&[sheet]))
        } else {
            ("pulls.xlsx", xlsx(&[sheet]))
        };
        let whole = super::support::workbook::text_of(&book, part);
        let mut letters: Vec<char> = whole.chars().collect();
        for (index, more) in at {
            let place = index.index(letters.len());
            letters.splice(place..=place, more.chars());
        }
        let changed: String = letters.into_iter().collect();
        let folder = Folder::clean();
        folder.remove("pulls.csv").write(name, patched(&book, part, &whole, &changed));
        let _ = folder.findings();
    }

    /// Random bytes under a workbook's name.
    #[test]
    fn random_bytes_are_no_workbook(bytes in prop::collection::vec(any::<u8>(), 0..300), zip in any::<bool>()) {
        let folder = Folder::clean();
        let bytes = if zip { [b"PK\x03\x04".to_vec(), bytes].concat() } else { bytes };
        folder.remove("pulls.csv").write("pulls.xlsx", &bytes).write("weighings.ods", &bytes);
        let _ = folder.findings();
    }
}
