//! Words of a group's own for sites, kinds, payers and the like: each unknown one has the nearest known one proposed, and the line that settles it
//! is pasted as it stands.

use super::support::folder::Folder;

/// The line of a mend that goes below `[names]`.
fn line(folder: &Folder, place: &str) -> String {
    let findings = folder.findings();
    let finding = findings
        .iter()
        .find(|finding| finding.place.to_string() == place)
        .unwrap_or_else(|| panic!("nothing at {place}: {findings:#?}"));
    let mend = finding.mend.to_string();
    let (_, line) = mend
        .split_once("below [names]: ")
        .unwrap_or_else(|| panic!("{}", finding.mend));
    line.to_owned()
}

#[test]
fn a_line_for_each_unknown_name_settles_it() {
    let folder = Folder::clean();
    folder
        .replace("pulls.csv", "P1,2025-06-14,north", "P1,2025-06-14,N. Cove")
        .replace("pulls.csv", "P4,2025-08-02,south", "P4,2025-08-02,Cove (South)")
        .replace("pulls.csv", "2,6,fund", "2,6,the fund")
        .replace("pulls.csv", "own funds,bag,8", "own fnds,bagg,8")
        .replace("pulls.csv", "fund,bag,10,,,counted,rosette", "fund,bag,10,,,counted,rossette")
        .replace("weighings.csv", "P1,bag,11.2", "P-01,bag,11.2")
        .replace("weighings.csv", "P3,bag,14.2", "P3,bagg,14.2")
        .replace("spending.csv", "fund,wages", "fund,wage")
        .write(
            "photos.csv",
            "file,station,pull\nphotos/p1.jpg,S-01,P1\nphotos/p2.jpg,,2\n",
        )
        .write(
            "cover.csv",
            "date,site,plot,when,percent\n2025-06-14,nroth,A,before,70\n2025-08-02,north,A,after,5\n",
        );
    let places = [
        ("pulls.csv row 2, site", "\"N. Cove\" = \"North Cove\""),
        ("pulls.csv row 6, site", "\"Cove (South)\" = \"South Cove\""),
        ("pulls.csv row 3, paid_by", "\"the fund\" = \"fund\""),
        ("pulls.csv row 4, paid_by", "\"own fnds\" = \"own funds\""),
        ("pulls.csv row 4, container", "\"bagg\" = \"bag\""),
        ("pulls.csv row 2, stage", "\"rossette\" = \"rosette\""),
        ("weighings.csv row 2, pull", "\"P-01\" = \"P1\""),
        ("spending.csv row 2, line", "\"wage\" = \"wages\""),
        ("photos.csv row 2, station", "\"S-01\" = \"S1\""),
        ("photos.csv row 3, pull", "\"2\" = \"P2\""),
        ("cover.csv row 2, site", "\"nroth\" = \"north\""),
    ];
    let mut lines = String::from("\n[names]\n");
    for (place, expected) in places {
        let line = line(&folder, place);
        assert_eq!(line, expected, "{place}");
        lines.push_str(&line);
        lines.push('\n');
    }
    folder.append("season.toml", &lines);
    let left: Vec<String> = folder
        .findings()
        .iter()
        .map(|finding| format!("{} at {}", finding.name, finding.place))
        .collect();
    // A photo from before at a station asks for one from after, however the station is spelt.
    assert_eq!(left, ["station-without-after at photos/p1.jpg"]);
    let clean = Folder::clean();
    let (clean, settled) = (clean.ledger(), folder.ledger());
    // The clean folder has neither covers nor notes on photos.
    let of_the_log = ["effort.", "removal.", "money.", "match."];
    for figure in clean.figures().filter(|figure| {
        of_the_log
            .iter()
            .any(|theme| figure.name.starts_with(theme))
    }) {
        let same = settled.figures().find(|other| other.name == figure.name);
        assert_eq!(
            same.and_then(|same| same.value()),
            figure.value(),
            "{}",
            figure.name
        );
    }
}

#[test]
fn a_name_like_no_other_gets_the_line_to_fill_in() {
    let folder = Folder::clean();
    folder.replace(
        "pulls.csv",
        "P1,2025-06-14,north",
        "P1,2025-06-14,The Narrows",
    );
    let findings = folder.findings();
    let told = findings
        .iter()
        .find(|finding| finding.name == "site-unknown")
        .unwrap();
    assert!(
        told.mend.to_string().contains("north, south"),
        "{}",
        told.mend
    );
    assert!(
        told.mend.to_string().ends_with("\"The Narrows\" = \"…\""),
        "{}",
        told.mend
    );
    folder.append(
        "season.toml",
        "\n[names]\n\"the narrows\" = \"North Cove\"\n",
    );
    assert_eq!(folder.findings().len(), 0);
}

#[test]
fn a_file_that_is_not_there_gets_the_nearest() {
    let folder = Folder::clean();
    folder
        .replace("spending.csv", "june.txt", "june receipt.txt")
        .write("photos.csv", "file,station\nphotos/p-01.jpeg,S1\n");
    let findings = folder.findings();
    let mend = |place: &str| {
        findings
            .iter()
            .find(|finding| finding.place.to_string() == place)
            .map(|finding| finding.mend.to_string())
            .unwrap()
    };
    assert!(mend("spending.csv row 2, receipt").contains("papers/june.txt"));
    assert!(mend("photos.csv row 2, file").contains("photos/p1.jpg"));
}
