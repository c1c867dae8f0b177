//! Folders as groups keep them: the clean folder, with its tables in the shapes of real life and a fault or two in each. The figures
//! are those of the clean folder, each fault is found where it is, and there is nothing else to find.

use windrow::finding::Finding;

use super::support::folder::Folder;
use super::support::workbook::{Cell, Sheet, ods, xlsx};

/// Columns of the clean log, from 0.
const START: usize = 3;
const END: usize = 4;
const STAFF_HOURS: usize = 7;
const VOLUNTEER_HOURS: usize = 8;
const CONTAINERS: usize = 11;

fn listed(findings: &[Finding]) -> Vec<String> {
    findings
        .iter()
        .map(|finding| format!("{} at {}", finding.name, finding.place))
        .collect()
}

/// Holds a folder against the clean one.
fn holds(folder: &Folder, expected: &[&str]) {
    assert_eq!(listed(&folder.findings()), expected);
    let (clean, messy) = (Folder::clean().ledger(), folder.ledger());
    assert_eq!(clean.figures().count(), messy.figures().count());
    for (a, b) in clean.figures().zip(messy.figures()) {
        assert_eq!(a.name, b.name);
        assert_eq!(a.value(), b.value(), "{}", a.name);
    }
}

/// A printed-looking log: a title over all columns, an empty row, and totals by formula below, one of them wrong.
fn titled() -> Folder {
    let folder = Folder::clean();
    let mut sheet = Sheet::of("Log 2025", &folder.read("pulls.csv"));
    sheet.say(6, 0, "TOTALS");
    sheet.put(6, STAFF_HOURS, Cell::Formula("=SUM(H2:H6)", "6"));
    sheet.put(6, VOLUNTEER_HOURS, Cell::Number(21.0));
    sheet.put(6, CONTAINERS, Cell::Formula("=SUM(L2:L6)", "26"));
    sheet.above(&[]);
    sheet.above(&["Test Pond Trust (invented): pull log"]);
    sheet.merge((0, 0), (0, 15));
    folder
        .remove("pulls.csv")
        .write("Pulls.xlsx", xlsx(&[sheet]));
    folder
}

#[test]
fn a_title_above_and_totals_below() {
    holds(
        &titled(),
        &[
            "total-differs at Pulls.xlsx sheet Log 2025 cell I9, volunteer_hours",
            "rows-above-headings at Pulls.xlsx sheet Log 2025 row 1",
            "totals-row at Pulls.xlsx sheet Log 2025 row 9",
        ],
    );
}

/// As a spreadsheet on a Windows machine of continental Europe exports it.
fn continental() -> Folder {
    let folder = Folder::clean();
    let mut text = String::from("Outing;Container kind;Weight (kg);Plants;Notes\r\n");
    for line in folder.read("weighings.csv").lines().skip(1) {
        text.push_str(&line.replace(',', ";").replace('.', ","));
        text.push_str(";d\u{e9}j\u{e0} drained\r\n");
    }
    // The letter O in the place of a zero.
    let text = text.replacen("10,6", "1O,6", 1);
    let (bytes, _, unfit) = encoding_rs::WINDOWS_1252.encode(&text);
    assert!(!unfit);
    folder.write("weighings.csv", &*bytes);
    folder
}

#[test]
fn semicolons_decimal_commas_and_windows_letters() {
    holds(
        &continental(),
        &[
            "letter-in-number at weighings.csv row 6, Weight (kg)",
            "text-not-utf8 at weighings.csv",
        ],
    );
}

/// A workbook with a sheet a month, the day of an outing merged over its rows, and a summary that is nobody's table.
fn monthly() -> Folder {
    let folder = Folder::clean();
    let text = folder.read("pulls.csv");
    let lines: Vec<&str> = text.lines().collect();
    let month = |name: &str, rows: &[usize]| {
        let chosen: Vec<&str> = std::iter::once(lines[0])
            .chain(rows.iter().map(|row| lines[*row]))
            .collect();
        Sheet::of(name, &chosen.join("\n"))
    };
    let mut july = month("July", &[3, 4]);
    for column in 0..3 {
        july.merge((1, column), (2, column));
    }
    let mut august = month("August", &[5]);
    // A letter in the place of the zero that says: searched, and nothing found.
    august.say(1, CONTAINERS, "O");
    let sheets = [
        month("June", &[1, 2]),
        july,
        august,
        Sheet::of(
            "Summary",
            "Site,Bags,Hours\nNorth Cove,18,\nSouth Cove,6,\n",
        ),
    ];
    folder
        .remove("pulls.csv")
        .write("pulls.xlsx", xlsx(&sheets));
    folder
}

#[test]
fn a_sheet_a_month_with_merged_days() {
    holds(
        &monthly(),
        &[
            "letter-in-number at pulls.xlsx sheet August cell L2, containers",
            "sheet-not-read at pulls.xlsx",
            "sheets-joined at pulls.xlsx",
            "cell-merged-down at pulls.xlsx sheet July cell A2, pull",
            "cell-merged-down at pulls.xlsx sheet July cell B2, date",
            "cell-merged-down at pulls.xlsx sheet July cell C2, site",
        ],
    );
}

/// An .ods in which every time is a text, each in another spelling, and hours are hours and minutes.
fn spelt_out() -> Folder {
    let folder = Folder::clean();
    let mut sheet = Sheet::of("Sheet1", &folder.read("pulls.csv"));
    for (row, start, end) in [
        (1, "9.00 am", "noon"),
        (2, "0900", "11h"),
        (3, "9", "12:00 pm"),
        (5, "9:00 a.m.", "10.00"),
    ] {
        sheet.say(row, START, start).say(row, END, end);
    }
    sheet.say(1, STAFF_HOURS, "180 min");
    sheet.say(1, VOLUNTEER_HOURS, "12:00");
    sheet.say(2, VOLUNTEER_HOURS, "6 h");
    sheet.put(2, CONTAINERS, Cell::Formula("=3+3", "6"));
    folder.remove("pulls.csv").write("pulls.ods", ods(&[sheet]));
    folder
}

#[test]
fn times_as_texts_in_an_ods() {
    holds(
        &spelt_out(),
        &["hours-converted at pulls.ods sheet Sheet1 cell H2, staff_hours"],
    );
}

/// A download from an online sheet: dates month first, a guess with its mark.
fn online() -> Folder {
    let folder = Folder::clean();
    let mut text = folder.read("pulls.csv").replacen("bag,6,", "bag,~6,", 1);
    for (iso, american) in [
        ("2025-06-14", "6/14/2025"),
        ("2025-06-21", "6/21/2025"),
        ("2025-07-12", "7/12/2025"),
        ("2025-08-02", "8/2/2025"),
    ] {
        text = text.replace(iso, american);
    }
    folder.write("pulls.csv", text.replace('\n', "\r\n"));
    folder
}

#[test]
fn american_dates_and_rough_numbers() {
    let folder = online();
    let findings = folder.findings();
    let dates = findings
        .iter()
        .find(|finding| finding.name == "date-ambiguous")
        .unwrap();
    assert_eq!(dates.place.to_string(), "pulls.csv row 4, date");
    // The mend proposes what the other dates of the column show. Pasted, it leaves the guess alone.
    let line = dates.mend.to_string();
    let line = line.split("below [dates]: ").nth(1).unwrap();
    folder.append("season.toml", &format!("\n[dates]\n{line}\n"));
    holds(&folder, &["number-doubtful at pulls.csv row 3, containers"]);
}

/// A log under the group's own headings, mapped but for one that is theirs alone and one that is mistyped.
fn own_words() -> Folder {
    let folder = Folder::clean();
    let text = folder.read("pulls.csv");
    let (_, rows) = text.split_once('\n').unwrap();
    let head = "Trip,When was it?,Which cove,Time in,Time out,Paid crew,# Vols,Paid hrs,Volunter hours,Funded by,Kind,How many out,\
                Wet weight (kg),Rosettes,How known,Growth Stage,Sky\n";
    let rows: String = rows.lines().map(|line| format!("{line},grey\n")).collect();
    folder
        .write("pulls.csv", format!("{head}{rows}"))
        .append(
            "season.toml",
            "\n[headings]\n\"when was it\" = \"date\"\n\"WHICH COVE\" = \"site\"\nKind = \"container\"\n\"How many out\" = \"containers\"\n",
        );
    folder
}

#[test]
fn headings_in_the_groups_own_words() {
    let folder = own_words();
    let findings = folder.findings();
    let typo = findings
        .iter()
        .find(|finding| finding.place.to_string() == "pulls.csv heading Volunter hours")
        .unwrap();
    assert_eq!(typo.name, "heading-unknown");
    let line = typo.mend.to_string();
    let line = line.split("below [headings]: ").nth(1).unwrap();
    folder.append("season.toml", &format!("{line}\n"));
    holds(&folder, &["heading-unknown at pulls.csv heading Sky"]);
}
