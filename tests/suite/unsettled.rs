//! Cells that can be read in two ways: what the file itself says of them, what other cells show, and what one line of season.toml settles.

use windrow::finding::{Finding, Grade};

use super::support::folder::Folder;
use super::support::workbook::{Cell, Sheet, ods, xlsx};

fn named<'a>(findings: &'a [Finding], name: &str) -> Vec<&'a Finding> {
    findings
        .iter()
        .filter(|finding| finding.name == name)
        .collect()
}

fn grave(findings: &[Finding]) -> Vec<String> {
    findings
        .iter()
        .filter(|finding| finding.grade != Grade::Remark)
        .map(|finding| format!("{} at {}", finding.name, finding.place))
        .collect()
}

const COVER: &str =
    "date,site,plot,when,percent\n2025-06-14,north,A,before,\n2025-08-02,north,A,after,\n";

fn covers(folder: &Folder) -> Vec<Option<f64>> {
    folder
        .season()
        .cover
        .iter()
        .map(|row| row.percent)
        .collect()
}

#[test]
fn a_cell_shown_as_a_percentage_is_read_as_shown() {
    let mut sheet = Sheet::of("cover", COVER);
    sheet.put(1, 4, Cell::Percent(0.57));
    sheet.put(2, 4, Cell::Percent(0.005));
    for (name, bytes) in [
        ("cover.xlsx", xlsx(&[sheet.clone()])),
        ("cover.ods", ods(&[sheet.clone()])),
    ] {
        let folder = Folder::clean();
        folder.write(name, bytes);
        assert_eq!(covers(&folder), [Some(57.0), Some(0.5)], "{name}");
        assert_eq!(grave(&folder.findings()), [""; 0], "{name}");
    }
}

#[test]
fn a_percentage_where_none_belongs_is_an_error_and_no_number() {
    let folder = Folder::clean();
    let mut sheet = Sheet::of("pulls", &folder.read("pulls.csv"));
    // Bags, and kilograms.
    sheet.put(1, 11, Cell::Percent(0.1));
    sheet.put(4, 12, Cell::Percent(0.095));
    folder
        .remove("pulls.csv")
        .write("pulls.xlsx", xlsx(&[sheet]));
    let findings = folder.findings();
    let places: Vec<String> = named(&findings, "number-unreadable")
        .iter()
        .map(|finding| finding.place.to_string())
        .collect();
    assert_eq!(
        places,
        [
            "pulls.xlsx sheet pulls cell L2, containers",
            "pulls.xlsx sheet pulls cell M5, mass_kg"
        ]
    );
}

#[test]
fn covers_below_one_are_settled_by_a_line() {
    let folder = Folder::clean();
    folder.write(
        "cover.csv",
        "date,site,plot,when,percent\n2025-06-14,north,A,before,0.7\n2025-08-02,north,A,after,5%\n",
    );
    let findings = folder.findings();
    let told = named(&findings, "cover-scale-unclear");
    assert_eq!(told.len(), 1);
    assert!(told[0].mend.to_string().contains("cover = \"share\""));
    assert_eq!(covers(&folder), [Some(0.7), Some(5.0)]);
    folder.replace("season.toml", "[units]\n", "[units]\ncover = \"share\"\n");
    assert_eq!(covers(&folder), [Some(70.0), Some(5.0)]);
    assert_eq!(grave(&folder.findings()), [""; 0]);
    // A number that is no share then is none.
    folder.replace("cover.csv", "0.7", "70");
    assert_eq!(covers(&folder), [None, Some(5.0)]);
    assert_eq!(
        grave(&folder.findings())[0],
        "number-unreadable at cover.csv row 2, percent"
    );
}

/// Start and end of the first pull.
fn first_outing(folder: &Folder) -> String {
    let season = folder.season();
    let row = &season.pulls[0].rows[0];
    let show = |time: Option<chrono::NaiveTime>| {
        time.map_or_else(|| "-".to_owned(), |time| time.format("%H:%M").to_string())
    };
    format!("{} {}", show(row.start), show(row.end))
}

#[test]
fn times_with_a_point_follow_the_column_or_the_setting() {
    for (start, end, read, told) in [
        ("9.25", "12.75", "09:15 12:45", "times-decimal"),
        ("9.5", "12.75", "09:30 12:45", "times-decimal"),
        ("9,5", "12,75", "09:30 12:45", "times-decimal"),
        ("9.25", "12.20", "09:25 12:20", ""),
        ("9.25", "12.00", "09:25 12:00", "time-rough"),
        ("9.3", "12", "09:30 12:00", "time-rough"),
        ("9.5", "12", "09:30 12:00", "time-rough"),
    ] {
        let folder = Folder::clean();
        folder.replace(
            "pulls.csv",
            "north,9:00,12:00",
            &format!("north,\"{start}\",\"{end}\""),
        );
        assert_eq!(first_outing(&folder), read, "{start} {end}");
        let findings = folder.findings();
        for name in ["times-decimal", "time-rough"] {
            assert_eq!(
                !named(&findings, name).is_empty(),
                name == told,
                "{start} {end}"
            );
        }
    }
    let folder = Folder::clean();
    folder
        .replace("pulls.csv", "north,9:00,12:00", "north,9.25,12.5")
        .append("season.toml", "\n[dates]\ntimes = \"clock\"\n");
    assert_eq!(first_outing(&folder), "09:25 12:50");
    folder.replace("season.toml", "\"clock\"", "\"decimal\"");
    assert_eq!(first_outing(&folder), "09:15 12:30");
    assert_eq!(named(&folder.findings(), "time-rough").len(), 0);
}

#[test]
fn hours_with_a_point_are_hours_and_minutes_where_the_season_says_so() {
    let folder = Folder::clean();
    folder.replace("pulls.csv", "1,4,3,12", "1,4,2.45,11.30");
    let hours = |folder: &Folder| {
        let row = &folder.season().pulls[0].rows[0];
        (row.staff_hours, row.volunteer_hours)
    };
    assert_eq!(hours(&folder), (Some(2.45), Some(11.3)));
    let findings = folder.findings();
    assert_eq!(named(&findings, "hours-rough").len(), 2);
    folder.append("season.toml", "\n[dates]\nhours = \"clock\"\n");
    assert_eq!(hours(&folder), (Some(2.75), Some(11.5)));
    assert_eq!(named(&folder.findings(), "hours-rough").len(), 0);
}

/// Columns of hours are each by themselves: decimals of travel say nothing of how the volunteers' hours are written.
#[test]
fn hours_are_settled_by_their_own_column() {
    let folder = Folder::clean();
    folder.write(
        "pulls.csv",
        "pull,date,site,volunteer_hours,travel_hours\nP1,2025-06-14,north,12.30,2.5\nP2,2025-06-21,south,6,1.5\n",
    );
    let findings = folder.findings();
    let told = named(&findings, "hours-rough");
    assert_eq!(told.len(), 1);
    assert_eq!(
        told[0].place.to_string(),
        "pulls.csv row 2, volunteer_hours"
    );
    folder.append("season.toml", "\n[dates]\nhours = \"clock\"\n");
    let hours: Vec<(Option<f64>, Option<f64>)> = folder
        .season()
        .pulls
        .iter()
        .map(|pull| (pull.rows[0].volunteer_hours, pull.travel_hours()))
        .collect();
    assert_eq!(hours, [(Some(12.5), Some(2.5)), (Some(6.0), Some(1.5))]);
}

/// One order of day and month for a whole column is one question.
#[test]
fn dates_of_unknown_order_are_told_once_a_column() {
    let folder = Folder::clean();
    let text = folder.read("pulls.csv");
    let text = ["2025-06-14", "2025-06-21", "2025-07-12", "2025-08-02"]
        .iter()
        .zip(["14.6.25", "21.6.25", "12.7.25", "2.8.25"])
        .fold(text, |text, (iso, typed)| text.replace(iso, typed));
    folder.write("pulls.csv", text);
    let findings = folder.findings();
    let told = named(&findings, "date-ambiguous");
    assert_eq!(told.len(), 1, "{told:#?}");
    // Two rows of one pull, and another pull.
    assert_eq!(told[0].also.len(), 2);
    assert_eq!(grave(&findings).len(), 1, "{:?}", grave(&findings));
    folder.append("season.toml", "\n[dates]\norder = \"dmy\"\n");
    assert_eq!(grave(&folder.findings()), [""; 0]);
}

/// A log in two blocks on one sheet, the second with its columns in another order.
#[test]
fn a_second_block_under_the_same_headings_is_read_under_its_own() {
    let text = Folder::clean().read("pulls.csv");
    let lines: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
    let turned = |line: &[&str]| line.iter().rev().copied().collect::<Vec<_>>().join(",");
    let plain = |line: &[&str]| line.join(",");
    let blocks = [
        plain(&lines[0]),
        plain(&lines[1]),
        plain(&lines[2]),
        String::new(),
        turned(&lines[0]),
        turned(&lines[3]),
        turned(&lines[4]),
        turned(&lines[5]),
    ];
    let clean = Folder::clean();
    for name in ["pulls.csv", "pulls.xlsx"] {
        let folder = Folder::clean();
        folder.remove("pulls.csv");
        let csv = blocks.join("\n");
        if name == "pulls.csv" {
            folder.write(name, &csv);
        } else {
            // The reader of the helper passes over empty lines.
            let mut sheet = Sheet::of("pulls", &csv);
            sheet.rows.insert(3, Vec::new());
            folder.write(name, xlsx(&[sheet]));
        }
        assert_eq!(grave(&folder.findings()), [""; 0], "{name}");
        let figure = |folder: &Folder, name: &str| {
            let ledger = folder.ledger();
            let figure = ledger.figures().find(|figure| figure.name == name);
            figure.and_then(|figure| figure.value())
        };
        for name in ["effort.person-hours", "removal.wet-mass"] {
            assert!(figure(&clean, name).is_some());
            assert_eq!(figure(&folder, name), figure(&clean, name), "{name}");
        }
    }
}

/// Another table below: none of its rows is read as a row of the log, whatever its headings.
#[test]
fn another_table_below_is_told_and_not_read() {
    for (block, rule) in [
        ("pull,container,mass_kg\nP1,bag,11\n", "table-below"),
        (
            "date,site,plot,percent\n2025-06-14,north,A,30\n",
            "table-below",
        ),
        (
            "Date,Where,Site,Bags\n2025-08-03,by the inlet,north,5\n",
            "table-below",
        ),
        (
            "Site,Bags,Volunteer hours\nNorth Cove,18,16\n",
            "rows-below-table",
        ),
        ("Code,Meaning\nB,bag\nK,basket\n", "rows-below-table"),
    ] {
        let folder = Folder::clean();
        folder.append("pulls.csv", &format!("\n{block}"));
        let findings = folder.findings();
        let told: Vec<String> = findings
            .iter()
            .map(|finding| format!("{} at {}", finding.name, finding.place))
            .collect();
        assert_eq!(told, [format!("{rule} at pulls.csv row 8")], "{block}");
        assert_eq!(folder.season().pulls.len(), 4, "{block}");
    }
}

/// After another table the log may go on.
#[test]
fn a_log_that_goes_on_below_another_table_is_read_on() {
    let folder = Folder::clean();
    folder.append(
        "pulls.csv",
        "\nItem,Price,Shop\ngloves,12,corner\n\nSite,Date,Pull,Staff hours,Volunteer hours\nnorth,2025-08-03,P5,1,2\n",
    );
    let season = folder.season();
    assert_eq!(season.pulls.len(), 5);
    assert_eq!(season.pulls[4].site_text(), Some("north"));
    assert_eq!(named(&folder.findings(), "rows-below-table").len(), 1);
}

/// Old formats are never read; beside a table that is read they are told all the same.
#[test]
fn an_old_workbook_is_told_wherever_it_stands() {
    let folder = Folder::clean();
    folder
        .write("pulls.xls", b"\xd0\xcf\x11\xe0old")
        .write("Weighings.xls", "old");
    assert_eq!(
        grave(&folder.findings()),
        [
            "table-in-two-formats at Weighings.xls",
            "table-in-two-formats at pulls.xls"
        ]
    );
    let folder = Folder::clean();
    folder
        .remove("pulls.csv")
        .write("Pull log 2025.xls", b"\xd0\xcf\x11\xe0old");
    let findings = folder.findings();
    let told = named(&findings, "table-format-unreadable");
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].place.to_string(), "Pull log 2025.xls");
    assert!(told[0].mend.to_string().contains("pulls.xlsx"));
    let folder = Folder::clean();
    let sheet = Sheet::of("pulls", &folder.read("pulls.csv"));
    folder.write("pulls.xlsx", xlsx(&[sheet]));
    assert_eq!(
        grave(&folder.findings()),
        ["table-in-two-formats at pulls.xlsx"]
    );
}

/// Every spelling of a unit, in a heading and in a cell.
#[test]
fn units_as_people_spell_them() {
    const POUND: f64 = 0.453_592_37;
    let mass = |heading: &str, cell: &str| {
        let folder = Folder::clean();
        folder.write(
            "weighings.csv",
            format!("pull,container,\"{heading}\"\nP1,bag,\"{cell}\"\n"),
        );
        folder.season().weighings[0].mass
    };
    for (heading, cell, kilograms) in [
        ("Weight (lbs)", "12", 12.0 * POUND),
        ("Weight, lb.", "12", 12.0 * POUND),
        ("weight_LBS", "12", 12.0 * POUND),
        ("Weight in pounds", "12", 12.0 * POUND),
        ("Pounds", "12", 12.0 * POUND),
        ("Weight (lbs)", "12 lbs 4 oz", 12.25 * POUND),
        ("Weight (lbs)", "12 lb. 4 oz.", 12.25 * POUND),
        ("Weight (lbs)", "12#", 12.0 * POUND),
        ("Weight (lbs)", "12 Pounds", 12.0 * POUND),
        ("Weight (oz.)", "16", POUND),
        ("Wet weight (kgs)", "12", 12.0),
        ("Wet weight [KG]", "12 kilos", 12.0),
        ("Mass (g)", "500", 0.5),
        ("Weight (US tons)", "0.5", 1000.0 * POUND),
        ("Weight (short tons)", "0.5", 1000.0 * POUND),
        ("Weight (metric tons)", "0.5", 500.0),
        ("Weight (tonnes)", "0.5", 500.0),
    ] {
        let read = mass(heading, cell).unwrap_or_else(|| panic!("{heading}: {cell}"));
        assert!((read - kilograms).abs() < 1e-9, "{heading}: {cell}: {read}");
    }
    assert_eq!(mass("Weight (tons)", "0.5"), None);
    let pull = |headings: &str, cells: &str| {
        let folder = Folder::clean();
        folder.write(
            "pulls.csv",
            format!("pull,date,site,{headings}\nP1,2025-06-14,north,{cells}\n"),
        );
        folder.season().pulls[0].rows[0].clone()
    };
    const ACRE: f64 = 4_046.856_422_4;
    for (heading, cell, square_metres) in [
        ("Area treated (ac.)", "2", 2.0 * ACRE),
        ("Treated acres", "2", 2.0 * ACRE),
        ("Area treated (acres)", "2 ac", 2.0 * ACRE),
        ("Area treated (sq m)", "500", 500.0),
        ("Area treated (Sq. M.)", "500", 500.0),
        ("Area treated (m²)", "500 m2", 500.0),
        ("Area treated (m^2)", "500", 500.0),
        ("Area treated (sq ft)", "1000", 92.903_04),
        ("Area treated (Sq. Ft.)", "1000 square feet", 92.903_04),
        ("Area treated (hectares)", "0.5", 5000.0),
        ("Area treated (HA)", "0.5", 5000.0),
    ] {
        let read = pull(heading, cell)
            .treated_area
            .unwrap_or_else(|| panic!("{heading}: {cell}"));
        assert!(
            (read - square_metres).abs() < 1e-6,
            "{heading}: {cell}: {read}"
        );
    }
    for (heading, cell, hours) in [
        ("Volunteer hrs", "2.5", 2.5),
        ("Volunteer hours", "2h30", 2.5),
        ("Volunteer hours", "2 h 30 min", 2.5),
        ("Volunteer hours", "2 hrs 30 mins", 2.5),
        ("Volunteer hours", "2 hr. 30 min.", 2.5),
        ("Volunteer hours", "1:30", 1.5),
        ("Volunteer hours", "1.5 hrs", 1.5),
        ("Volunteer hours", "2½ h", 2.5),
        ("Volunteer hours", "2 1/2 hours", 2.5),
        ("Vol hrs", "90 mins", 1.5),
        ("Volunteer time (min)", "90", 1.5),
        ("Volunteer time (minutes)", "90", 1.5),
        ("Volunteer time (hr)", "1.5", 1.5),
    ] {
        let read = pull(heading, cell)
            .volunteer_hours
            .unwrap_or_else(|| panic!("{heading}: {cell}"));
        assert!((read - hours).abs() < 1e-9, "{heading}: {cell}: {read}");
    }
    for (heading, kind) in [
        ("Gals", "gallon"),
        ("gal.", "gallon"),
        ("# of gallons", "gallon"),
        ("Bu", "bushel"),
        ("bushels", "bushel"),
        ("Litres", "litre"),
        ("liters", "litre"),
    ] {
        let row = pull(heading, "7");
        assert_eq!(row.container.as_deref(), Some(kind), "{heading}");
        assert_eq!((row.containers, row.mass), (Some(7.0), None), "{heading}");
    }
}
