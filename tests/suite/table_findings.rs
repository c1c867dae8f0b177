//! The rules on the reading of tables: a change of the clean folder that triggers each, and a near miss that does not.

use super::findings::{Case, nothing};
use super::support::folder::Folder;
use super::support::workbook::{Cell, Sheet, patched, xlsx};

/// The clean folder's log as a workbook with one change.
fn pulls_as(folder: &Folder, change: impl FnOnce(&mut Sheet)) {
    let mut sheet = Sheet::of("pulls", &folder.read("pulls.csv"));
    change(&mut sheet);
    workbook(folder, &[sheet]);
}

fn workbook(folder: &Folder, sheets: &[Sheet]) {
    folder.remove("pulls.csv").write("pulls.xlsx", xlsx(sheets));
}

/// The log's heading and some of its rows, counted from 1 below the heading.
fn part(folder: &Folder, name: &str, rows: std::ops::RangeInclusive<usize>) -> Sheet {
    let text = folder.read("pulls.csv");
    let lines: Vec<&str> = text
        .lines()
        .enumerate()
        .filter(|(at, _)| *at == 0 || rows.contains(at))
        .map(|(_, line)| line)
        .collect();
    Sheet::of(name, &lines.join("\n"))
}

/// Columns of the clean log, from 0.
const START: usize = 3;
const STAFF: usize = 5;
const STAFF_HOURS: usize = 7;
const CONTAINERS: usize = 11;

pub(super) const CASES: &[Case] = &[
    Case {
        rule: "rows-above-headings",
        place: "pulls.csv row 1",
        trigger: |folder| {
            let text = folder.read("pulls.csv");
            folder.write("pulls.csv", format!("Pull log 2025\n\n{text}"));
        },
        near_miss: |folder| {
            let text = folder.read("pulls.csv");
            folder.write("pulls.csv", format!("\n\n{text}"));
        },
    },
    Case {
        rule: "units-below-headings",
        place: "weighings.csv row 2",
        trigger: |folder| {
            folder.replace(
                "weighings.csv",
                "mass_kg,plants\n",
                "mass,plants\n,,(kg),\n",
            );
        },
        near_miss: |folder| {
            folder.replace("weighings.csv", "mass_kg,plants\n", "Mass (kg),plants\n");
        },
    },
    Case {
        rule: "heading-joined",
        place: "pulls.xlsx sheet pulls row 2 heading Staff",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.say(0, STAFF_HOURS, "Staff");
                sheet.say(0, STAFF_HOURS + 1, "Volunteers");
                sheet.say(0, STAFF, "Staff heads");
                sheet.say(0, STAFF + 1, "Vols");
                sheet.above(&["", "", "", "", "", "", "", "Hours", ""]);
                sheet.merge((0, STAFF_HOURS), (0, STAFF_HOURS + 1));
            });
        },
        near_miss: |folder| {
            pulls_as(folder, |sheet| {
                sheet.above(&["Pull log"]);
                sheet.merge((0, 0), (0, 15));
            });
        },
    },
    Case {
        rule: "heading-grouped",
        place: "pulls.xlsx sheet pulls row 2 heading start",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.above(&["", "", "", "Hours", ""]);
                sheet.merge((0, START), (0, START + 1));
            });
        },
        near_miss: |folder| {
            pulls_as(folder, |sheet| {
                sheet.above(&["", "", "", "On the water", ""]);
                sheet.merge((0, START), (0, START + 1));
            });
        },
    },
    Case {
        rule: "heading-ambiguous",
        place: "pulls.csv heading Crew size",
        trigger: |folder| {
            folder.replace("pulls.csv", ",volunteers,", ",Crew size,");
        },
        near_miss: |folder| {
            folder
                .replace("pulls.csv", ",volunteers,", ",Crew size,")
                .append(
                    "season.toml",
                    "\n[headings]\n\"crew size\" = \"volunteers\"\n",
                );
        },
    },
    Case {
        rule: "headings-again",
        place: "weighings.csv row 5",
        trigger: |folder| {
            folder.replace(
                "weighings.csv",
                "P2,bag,12.1",
                "pull,container,mass_kg,plants\nP2,bag,12.1",
            );
        },
        near_miss: nothing,
    },
    Case {
        rule: "word-between-rows",
        place: "pulls.csv row 4",
        trigger: |folder| {
            folder.replace(
                "pulls.csv",
                "P3,2025-07-12,North Cove",
                "July,,,\nP3,2025-07-12,North Cove",
            );
        },
        near_miss: |folder| {
            folder.replace(
                "pulls.csv",
                "P3,2025-07-12,North Cove",
                "July,2025-07-01,,\nP3,2025-07-12,North Cove",
            );
        },
    },
    Case {
        rule: "totals-row",
        place: "pulls.csv row 7",
        trigger: |folder| {
            folder.append("pulls.csv", "Season total,,,,,,,,,,,26,,,,\n");
        },
        // A record with such an id is one.
        near_miss: |folder| {
            folder.replace("pulls.csv", "P4,2025", "Total,2025");
        },
    },
    Case {
        rule: "total-differs",
        place: "pulls.csv row 7, containers",
        trigger: |folder| {
            folder.append("pulls.csv", "Total,,,,,,,,,,,27,,,,\n");
        },
        near_miss: |folder| {
            folder.append("pulls.csv", "Total,,,,,,,,,,,26,,,,\n");
        },
    },
    Case {
        rule: "cell-merged-down",
        place: "pulls.xlsx sheet pulls cell B4, date",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.merge((3, 1), (4, 1));
            });
        },
        near_miss: |folder| {
            pulls_as(folder, |_| {});
        },
    },
    Case {
        rule: "amount-merged",
        place: "pulls.xlsx sheet pulls cell L4, containers",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.merge((3, CONTAINERS), (4, CONTAINERS));
            });
        },
        // Hours of one pull count once anyway.
        near_miss: |folder| {
            pulls_as(folder, |sheet| {
                sheet.put(3, STAFF_HOURS, Cell::Number(6.0));
                sheet.merge((3, STAFF_HOURS), (4, STAFF_HOURS));
            });
        },
    },
    Case {
        rule: "formula-error",
        place: "pulls.xlsx sheet pulls cell L2, containers",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.put(1, CONTAINERS, Cell::Formula("=L99/0", "#REF!"));
            });
        },
        near_miss: |folder| {
            pulls_as(folder, |sheet| {
                sheet.put(1, CONTAINERS, Cell::Formula("=4+6", "10"));
            });
        },
    },
    Case {
        rule: "formula-without-value",
        place: "pulls.xlsx sheet pulls cell L2, containers",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.put(1, CONTAINERS, Cell::Formula("=4+6", "4711"));
            });
            let bytes = std::fs::read(folder.path().join("pulls.xlsx")).unwrap();
            folder.write(
                "pulls.xlsx",
                patched(&bytes, "xl/worksheets/sheet1.xml", "<v>4711</v>", ""),
            );
        },
        near_miss: |folder| {
            pulls_as(folder, |sheet| {
                sheet.put(1, CONTAINERS, Cell::Formula("=4+6", "10"));
            });
        },
    },
    Case {
        rule: "column-without-heading",
        place: "weighings.csv row 1",
        trigger: |folder| {
            folder.replace(
                "weighings.csv",
                "mass_kg,plants\nP1,bag,11.2,120",
                "mass_kg,plants,\nP1,bag,11.2,120,wet",
            );
        },
        near_miss: |folder| {
            folder.replace("weighings.csv", "mass_kg,plants\n", "mass_kg,plants,\n");
        },
    },
    Case {
        rule: "cell-far-away",
        place: "pulls.xlsx sheet pulls cell WC3",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.say(2, 600, "x");
            });
        },
        near_miss: |folder| {
            pulls_as(folder, |sheet| {
                sheet.say(2, 20, "x");
            });
        },
    },
    Case {
        rule: "table-too-large",
        place: "cover.csv row 50000",
        // Lines of a single word are no rows, so that only their number matters here.
        trigger: |folder| {
            folder.write(
                "cover.csv",
                format!("date,site,plot,percent\n{}", "x\n".repeat(50_000)),
            );
        },
        near_miss: |folder| {
            folder.write(
                "cover.csv",
                format!("date,site,plot,percent\n{}", "x\n".repeat(100)),
            );
        },
    },
    Case {
        rule: "sheet-not-read",
        place: "pulls.xlsx",
        trigger: |folder| {
            let log = Sheet::of("pulls", &folder.read("pulls.csv"));
            workbook(folder, &[log, Sheet::of("To do", "buy gloves\n")]);
        },
        near_miss: |folder| {
            let log = Sheet::of("pulls", &folder.read("pulls.csv"));
            workbook(folder, &[log, Sheet::of("Sheet2", "")]);
        },
    },
    Case {
        rule: "sheet-nearly-fits",
        place: "pulls.xlsx sheet August row 1",
        trigger: |folder| {
            let log = part(folder, "June", 1..=4);
            let mut august = part(folder, "August", 5..=5);
            august.say(0, 2, "whereabouts");
            workbook(folder, &[log, august]);
        },
        near_miss: |folder| {
            let sheets = [part(folder, "June", 1..=4), part(folder, "August", 5..=5)];
            workbook(folder, &sheets);
        },
    },
    Case {
        rule: "sheets-joined",
        place: "pulls.xlsx",
        trigger: |folder| {
            let sheets = [part(folder, "June", 1..=2), part(folder, "July", 3..=5)];
            workbook(folder, &sheets);
        },
        near_miss: |folder| {
            let log = part(folder, "June", 1..=5);
            workbook(folder, &[log]);
        },
    },
    Case {
        rule: "sheet-hidden",
        place: "pulls.xlsx sheet July row 1",
        trigger: |folder| {
            let sheets = [
                part(folder, "June", 1..=2),
                part(folder, "July", 3..=5).hidden(),
            ];
            workbook(folder, &sheets);
        },
        near_miss: |folder| {
            let sheets = [
                part(folder, "June", 1..=5),
                Sheet::of("lists", "bag\nbasket\n").hidden(),
            ];
            workbook(folder, &sheets);
        },
    },
    Case {
        rule: "rows-in-two-sheets",
        place: "pulls.xlsx sheet Copy row 2",
        trigger: |folder| {
            let sheets = [part(folder, "June", 1..=5), part(folder, "Copy", 2..=2)];
            workbook(folder, &sheets);
        },
        near_miss: |folder| {
            let sheets = [part(folder, "June", 1..=2), part(folder, "July", 3..=5)];
            workbook(folder, &sheets);
        },
    },
    Case {
        rule: "table-in-workbook",
        place: "season.xlsx sheet Pull log row 1",
        trigger: |folder| {
            let log = part(folder, "Pull log", 1..=5);
            folder
                .remove("pulls.csv")
                .write("season.xlsx", xlsx(&[log]));
        },
        near_miss: |folder| {
            let log = part(folder, "Pull log", 1..=5);
            workbook(folder, &[log]);
        },
    },
    Case {
        rule: "table-elsewhere",
        place: "Our pulls 2025.csv",
        trigger: |folder| {
            let text = folder.read("pulls.csv");
            folder.remove("pulls.csv").write("Our pulls 2025.csv", text);
        },
        near_miss: |folder| {
            let text = folder.read("pulls.csv");
            folder.remove("pulls.csv").write("Pulls.CSV", text);
        },
    },
    Case {
        rule: "table-format-unreadable",
        place: "pulls.xls",
        trigger: |folder| {
            folder.remove("pulls.csv").write("pulls.xls", "old");
        },
        near_miss: |folder| {
            folder.write("papers/pulls.xls", "old");
        },
    },
    Case {
        rule: "quote-open",
        place: "weighings.csv row 10",
        trigger: |folder| {
            folder.append("weighings.csv", "P3,bag,\"14,60\nP3,bag,9,9\n");
        },
        near_miss: |folder| {
            folder.append("weighings.csv", "P3,\"bag\",14.1,60\n");
        },
    },
    Case {
        rule: "number-as-text",
        place: "pulls.xlsx sheet pulls cell L2, containers",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.say(1, CONTAINERS, "10");
            });
        },
        near_miss: |folder| {
            pulls_as(folder, |_| {});
        },
    },
    Case {
        rule: "letter-in-number",
        place: "pulls.csv row 2, containers",
        trigger: |folder| {
            folder.replace("pulls.csv", "bag,10", "bag,1O");
        },
        near_miss: nothing,
    },
    Case {
        rule: "number-mark-ambiguous",
        place: "weighings.csv row 2, plants",
        trigger: |folder| {
            folder.write(
                "weighings.csv",
                "pull;container;mass_kg;plants\nP1;bag;11,2;1.120\nP1;bag;12,5;120\n",
            );
        },
        near_miss: |folder| {
            folder.write(
                "weighings.csv",
                "pull;container;mass_kg;plants\nP1;bag;11,2;1120\nP1;bag;12,5;120\n",
            );
        },
    },
    Case {
        rule: "number-turned-date",
        place: "pulls.xlsx sheet pulls cell L2, containers",
        trigger: |folder| {
            pulls_as(folder, |sheet| {
                sheet.put(1, CONTAINERS, Cell::Date(2025, 1, 2));
            });
        },
        near_miss: |folder| {
            pulls_as(folder, |sheet| {
                sheet.say(1, CONTAINERS, "10 1/2");
            });
        },
    },
    Case {
        rule: "date-serial",
        place: "pulls.csv row 2, date",
        trigger: |folder| {
            folder.replace("pulls.csv", "2025-06-14", "45822");
        },
        near_miss: nothing,
    },
    Case {
        rule: "time-serial",
        place: "pulls.csv row 2, start",
        trigger: |folder| {
            folder.replace("pulls.csv", "north,9:00,12:00", "north,0.375,12:00");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "north,9:00,12:00", "north,9.00,12:00");
        },
    },
    Case {
        rule: "date-without-year",
        place: "pulls.csv row 2, date",
        trigger: |folder| {
            folder.replace("pulls.csv", "2025-06-14", "14-Jun");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "2025-06-14", "14-Jun-25");
        },
    },
    Case {
        rule: "weekday-differs",
        place: "pulls.csv row 2, date",
        trigger: |folder| {
            folder.replace("pulls.csv", "2025-06-14", "Sun 14 June 2025");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "2025-06-14", "Sat 14 June 2025");
        },
    },
    Case {
        rule: "time-rough",
        place: "pulls.csv row 2, start",
        trigger: |folder| {
            folder.replace("pulls.csv", "north,9:00,12:00", "north,9.3,12:00");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "north,9:00,12:00", "north,9.30,12:00");
        },
    },
    Case {
        rule: "table-below",
        place: "pulls.csv row 8",
        trigger: |folder| {
            folder.append(
                "pulls.csv",
                "\npull,container,mass_kg\nP1,bag,11\nP2,bag,12\n",
            );
        },
        // The table's own headings in another order.
        near_miss: |folder| {
            folder.append(
                "pulls.csv",
                "\nDate,Site,Pull,Staff hours,Volunteer hours\n2025-08-03,north,P5,1,2\n",
            );
        },
    },
    Case {
        rule: "rows-below-table",
        place: "pulls.csv row 8",
        trigger: |folder| {
            folder.append(
                "pulls.csv",
                "\nSite,Bags,Hours\nNorth Cove,18,\nSouth Cove,6,\n",
            );
        },
        near_miss: |folder| {
            folder.append("pulls.csv", "\nSeason total,,,,,,,,,,,26,,,,\n");
        },
    },
    Case {
        rule: "times-decimal",
        place: "pulls.csv row 2, start",
        trigger: |folder| {
            folder.replace("pulls.csv", "north,9:00,12:00", "north,9.25,12.75");
        },
        near_miss: |folder| {
            folder
                .replace("pulls.csv", "north,9:00,12:00", "north,9.25,12.75")
                .append("season.toml", "\n[dates]\ntimes = \"decimal\"\n");
        },
    },
    Case {
        rule: "hours-rough",
        place: "pulls.csv row 2, staff_hours",
        trigger: |folder| {
            folder.replace("pulls.csv", "1,4,3,12", "1,4,2.45,12");
        },
        // Another cell can be no minutes, so that hours are decimal.
        near_miss: |folder| {
            folder
                .replace("pulls.csv", "1,4,3,12", "1,4,2.45,12")
                .replace("pulls.csv", "1,3,2,6", "1,3,1.75,6");
        },
    },
    Case {
        rule: "cover-scale-unclear",
        place: "cover.csv row 2, percent",
        trigger: |folder| {
            folder.write("cover.csv", "date,site,plot,when,percent\n2025-06-14,north,A,before,0.7\n2025-08-02,north,A,after,0\n");
        },
        near_miss: |folder| {
            folder.write("cover.csv", "date,site,plot,when,percent\n2025-06-14,north,A,before,0.7\n2025-08-02,north,A,after,1.5\n");
        },
    },
    Case {
        rule: "hours-converted",
        place: "pulls.csv row 2, staff_hours",
        trigger: |folder| {
            folder.replace("pulls.csv", "1,4,3,12", "1,4,180 min,12");
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "1,4,3,12", "1,4,3:00,12");
        },
    },
    Case {
        rule: "kind-from-heading",
        place: "pulls.csv heading Bags",
        trigger: |folder| {
            folder.write(
                "pulls.csv",
                "pull,date,site,staff,volunteers,staff_hours,volunteer_hours,Bags,stage\n\
                 P1,2025-06-14,north,1,4,3,12,10,rosette\n",
            );
        },
        near_miss: |folder| {
            folder.replace("pulls.csv", "container,containers", "container,# Bags");
        },
    },
    Case {
        rule: "amount-of-several-kinds",
        place: "pulls.csv row 2, mass_kg",
        trigger: |folder| {
            folder.write(
                "pulls.csv",
                "pull,date,site,staff,volunteers,staff_hours,volunteer_hours,Bags,Baskets,mass_kg,stage\n\
                 P1,2025-06-14,north,1,4,3,12,10,2,50,rosette\n",
            );
        },
        near_miss: |folder| {
            folder.write(
                "pulls.csv",
                "pull,date,site,staff,volunteers,staff_hours,volunteer_hours,Bags,Baskets,mass_kg,stage\n\
                 P1,2025-06-14,north,1,4,3,12,10,2,,rosette\n",
            );
        },
    },
    Case {
        rule: "path-spelt-otherwise",
        place: "photos.csv row 2, file",
        trigger: |folder| {
            folder.write("photos.csv", "file,site\n.\\Photos\\P1.JPG,north\n");
        },
        near_miss: |folder| {
            folder.write("photos.csv", "file,site\nphotos/p1.jpg,north\n");
        },
    },
    Case {
        rule: "path-ambiguous",
        place: "spending.csv row 2, receipt",
        trigger: |folder| {
            folder
                .write("papers/a/x.txt", "one")
                .write("papers/b/x.txt", "two")
                .replace("spending.csv", "june.txt", "x.txt");
        },
        near_miss: |folder| {
            folder
                .write("papers/a/x.txt", "one")
                .write("papers/b/x.txt", "two")
                .replace("spending.csv", "june.txt", "a/x.txt");
        },
    },
];
