//! Figures by hand on the clean folder, their properties on folders drawn at random, and the words of those that are refused.

use proptest::prelude::*;

use windrow::figure::{self, Figure, Ledger, Outturn};

use super::support::folder::Folder;

fn value(ledger: &Ledger, name: &str) -> f64 {
    let figure = ledger
        .get(name)
        .unwrap_or_else(|| panic!("no figure {name}"));
    figure
        .value()
        .unwrap_or_else(|| panic!("{name}: {:?}", figure.refusal()))
}

fn refusal(ledger: &Ledger, name: &str) -> String {
    let figure = ledger
        .get(name)
        .unwrap_or_else(|| panic!("no figure {name}"));
    figure
        .refusal()
        .unwrap_or_else(|| panic!("{name} is not refused: {:?}", figure.outturn))
        .to_string()
}

fn close(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= 1e-9 * expected.abs().max(1.0)
}

#[track_caller]
fn expect(ledger: &Ledger, name: &str, expected: f64) {
    let found = value(ledger, name);
    assert!(
        close(found, expected),
        "{name}: {found}, by hand {expected}"
    );
}

/// The log of the clean folder, by hand: P1 15 h, P2 8 h, P3 6 heads for 3 h, P4 3 h. Bags: 16 of rosettes, five weighed at
/// 57.2 kg; 8 in flower, three weighed at 43.1 kg; one row of baskets weighed at 9.5 kg.
#[test]
fn the_clean_folder_by_hand() {
    let ledger = Folder::clean().ledger();
    expect(&ledger, "effort.person-hours", 44.0);
    expect(&ledger, "effort.staff-hours", 12.0);
    expect(&ledger, "effort.person-hours/north", 33.0);
    expect(&ledger, "effort.person-hours-by-month/2025-06", 23.0);
    expect(&ledger, "effort.person-hours-by-month/2025-07/north", 18.0);
    expect(&ledger, "effort.person-hours-by-stage/fruiting", 3.0);
    expect(&ledger, "effort.person-hours-by-waterbody/test-pond", 44.0);
    expect(&ledger, "removal.containers/bag", 24.0);
    let rosettes = 16.0 * 57.2 / 5.0;
    let flowering = 8.0 * 43.1 / 3.0;
    expect(&ledger, "stratum.wet-mass/bag/rosette", rosettes);
    expect(&ledger, "removal.wet-mass", rosettes + flowering + 9.5);
    expect(&ledger, "removal.wet-mass-weighed", 57.2 + 43.1 + 9.5);
    expect(
        &ledger,
        "removal.wet-mass-by-stage/flowering",
        flowering + 9.5,
    );
    expect(&ledger, "removal.wet-mass-by-container/basket", 9.5);
    expect(&ledger, "removal.wet-mass-by-month/2025-08", 0.0);
    // P1: three of ten bags weighed, 34.5 kg; the other seven at the season's mean.
    let north = 34.5 + 7.0 * 57.2 / 5.0 + flowering + 9.5;
    expect(&ledger, "removal.wet-mass/north", north);
    let p1 = ledger.get("removal.wet-mass-by-month/2025-06").unwrap();
    // N² (1 − n/N) s²/n with s² = Σ(x − 11.44)²/4 = 11.412/4.
    let s2: f64 = [11.2, 13.9, 9.4, 12.1, 10.6]
        .iter()
        .map(|x: &f64| (x - 11.44).powi(2))
        .sum::<f64>()
        / 4.0;
    assert!(close(
        p1.standard_error().unwrap(),
        (16.0 * 11.0 * s2 / 5.0).sqrt()
    ));
    // P4 found nothing, and counts in the rate all the same.
    expect(
        &ledger,
        "rate.mass-per-hour",
        (rosettes + flowering + 9.5) / 44.0,
    );
    expect(&ledger, "absence.search-hours/south", 3.0);
    expect(&ledger, "deliverable.chance/fund/hours", 100.0);
}

#[test]
fn every_part_sums_to_the_whole() {
    let ledger = Folder::clean().ledger();
    for (stem, by) in [
        (
            "effort.person-hours",
            ["month", "stage", "waterbody"].as_slice(),
        ),
        (
            "removal.wet-mass",
            &["month", "stage", "waterbody", "container"],
        ),
    ] {
        let whole = value(&ledger, stem);
        for by in by {
            let stem = format!("{stem}-by-{by}");
            let sum: f64 = ledger
                .parts(&stem)
                .filter(|figure| !figure.part().unwrap().contains('/'))
                .filter_map(Figure::value)
                .sum();
            assert!(close(sum, whole), "{stem}: {sum}, and {whole} in all");
        }
    }
}

/// A container counted out of a row that was counted itself is in that row already.
#[test]
fn nothing_is_counted_twice() {
    let folder = Folder::clean();
    folder.replace(
        "pulls.csv",
        "fund,bag,10,,,counted",
        "fund,bag,10,,1180,counted",
    );
    let ledger = folder.ledger();
    let rosettes = 6.0 * (118.0 + 125.0) / 2.0;
    expect(
        &ledger,
        "removal.plants-by-stage/rosette",
        1180.0 + rosettes,
    );
    expect(
        &ledger,
        "removal.plants-counted/north",
        1180.0 + 60.0 + 71.0 + 66.0,
    );
}

// ---------------------------------------------------------------- seeds

#[test]
fn before_and_after_the_first_ripe_seed() {
    let folder = Folder::clean();
    assert!(refusal(&folder.ledger(), "effort.before-seed-share").contains("seed_ripens = "));
    folder.replace(
        "season.toml",
        "[units]",
        "seed_ripens = 2025-07-01\n[units]",
    );
    let ledger = folder.ledger();
    expect(&ledger, "effort.before-seed-share", 100.0 * 23.0 / 44.0);
    let (before, after) = (16.0 * 57.2 / 5.0, 8.0 * 43.1 / 3.0 + 9.5);
    expect(&ledger, "removal.wet-mass-before-seed", before);
    expect(&ledger, "removal.wet-mass-after-seed", after);
    expect(
        &ledger,
        "removal.wet-mass-before-seed-share",
        100.0 * before / (before + after),
    );
    let share = ledger.get("removal.wet-mass-before-seed-share").unwrap();
    let interval = share.interval().unwrap();
    assert!(0.0 < interval.lower && interval.upper < 100.0);
}

const SUPPOSED: &str = "
[absence]
finds_per_hour = [0.5, 1.0]
chance_before = { low = 0.5, high = 0.9, source = \"invented\" }

[seed_bank]
began = 2025
seeds_per_m2 = 70
germinating = 0.7
surviving = 0.5
establishing = 0.7
seeds_per_rosette = [2, 3]
removed = 1
years_ahead = 12
";

#[test]
fn suppositions_are_asked_for_and_followed() {
    let folder = Folder::clean();
    let ledger = folder.ledger();
    for (name, word) in [
        ("absence.chance-remaining/south", "`[absence]`"),
        ("outlook.follow-up-years", "`[seed_bank]`"),
        ("outlook.seeds-kept", "`[seed_bank]`"),
    ] {
        assert!(refusal(&ledger, name).contains(word), "{name}");
    }
    folder.append("season.toml", SUPPOSED);
    folder.replace("pulls.csv", "basis,stage", "basis,stage,treated_area_m2");
    folder.replace(
        "pulls.csv",
        "counted,rosette\nP2",
        "counted,rosette,1000\nP2",
    );
    let ledger = folder.ledger();
    assert_eq!(folder.season().problems, []);
    let range = |name: &str| match &ledger.get(name).unwrap().outturn {
        Outturn::Supposed(supposed) => (supposed.lower, supposed.middle, supposed.upper),
        other => panic!("{name}: {other:?}"),
    };
    // Three hours: missed exp(−3) to exp(−1.5).
    let bayes =
        |before: f64, missed: f64| 100.0 * before * missed / (before * missed + 1.0 - before);
    let (lower, _, upper) = range("absence.chance-remaining/south");
    assert!(
        close(lower, bayes(0.5, (-3.0_f64).exp())) && close(upper, bayes(0.9, (-1.5_f64).exp()))
    );
    // All pulled: 70 · 0.15 seeds are left a square metre after one year; 0.49 of them grow up on 1000 m².
    let (lower, middle, upper) = range("outlook.rosettes-same-effort/2026");
    assert!(close(middle.unwrap(), 70.0 * 0.15 * 490.0), "{middle:?}");
    assert!(close(lower, upper));
    // 34300 · 0.15ᵗ falls below 1 at t = 6, which is five years after the first of them.
    assert_eq!(range("outlook.follow-up-years"), (5.0, Some(5.0), 5.0));
    assert!(
        folder.ledger().to_json() == ledger.to_json(),
        "the same draws every time"
    );
}

#[test]
fn a_find_on_the_day_of_an_empty_search_counts_where_the_log_does_not_tell_which_came_first() {
    let folder = Folder::clean();
    let empty = "P5,2025-08-30,south,{},{},1,2,1,2,own funds,bag,0,,,counted,fruiting\n";
    let find = "P6,2025-08-30,south,{},{},1,2,1,2,own funds,bag,1,,,counted,fruiting\n";
    let at =
        |row: &str, start: &str, end: &str| row.replacen("{}", start, 1).replacen("{}", end, 1);
    let log = folder.read("pulls.csv");
    let hours = |rows: [String; 2]| {
        folder.write("pulls.csv", format!("{log}{}", rows.concat()));
        let ledger = folder.ledger();
        ledger
            .get("absence.search-hours/south")
            .and_then(Figure::value)
    };
    assert_eq!(hours([at(find, "", ""), at(empty, "", "")]), None);
    assert_eq!(hours([at(empty, "", ""), at(find, "", "")]), None);
    assert_eq!(
        hours([at(empty, "11:00", "12:00"), at(find, "9:00", "10:00")]),
        Some(3.0)
    );
    assert_eq!(
        hours([at(find, "11:00", "12:00"), at(empty, "9:00", "10:00")]),
        None
    );
}

// ---------------------------------------------------------------- seasons

fn with_history(rows: &str) -> Ledger {
    let folder = Folder::clean();
    folder.write(
        "history.csv",
        format!("year,site,effort_hours,removed,unit,comparable,reason\n{rows}"),
    );
    folder.ledger()
}

#[test]
fn only_like_seasons_are_compared() {
    let rows = "2022,north,30,300,kg,yes,\n2022,south,10,100,kg,yes,\n2023,north,30,270,kg,yes,\n2023,south,10,220,lb,yes,\n\
                2024,north,30,40,bag,yes,\n2024,south,10,90,kg,yes,\n2021,north,20,500,kg,no,Other water\n";
    let ledger = with_history(rows);
    expect(&ledger, "history.rate/2022", 10.0);
    expect(
        &ledger,
        "history.rate/2023",
        (270.0 + 220.0 * 0.453_592_37) / 40.0,
    );
    expect(&ledger, "history.rate/2021/north", 25.0);
    assert!(refusal(&ledger, "history.rate/2024").contains("bag"));
    let trend = ledger.get("trend.rate").unwrap();
    assert!(trend.value().unwrap() < 0.0);
    let reasons: Vec<String> = trend
        .left_out
        .by_reason()
        .iter()
        .map(|out| out.why.reason.to_string())
        .collect();
    for word in [
        "containers (bag)",
        "not comparable: Other water",
        "2024 has no figure for North Cove",
    ] {
        assert!(
            reasons.iter().any(|reason| reason.contains(word)),
            "{word}: {reasons:?}"
        );
    }
}

#[test]
fn two_seasons_make_no_trend() {
    let ledger = with_history("2024,north,30,300,kg,yes,\n");
    assert!(refusal(&ledger, "trend.rate/north").contains("three seasons"));
    assert!(Folder::clean().ledger().get("trend.rate").is_none());
}

#[test]
fn counts_are_followed_by_both_models() {
    let ledger = with_history(
        "2022,,40,900,plants,yes,\n2023,,50,700,plants,yes,\n2024,,45,300,plants,yes,\n",
    );
    expect(&ledger, "history.rate/2022", 22.5);
    let trend = ledger.get("trend.rate").unwrap();
    assert!(matches!(&trend.outturn, Outturn::Estimated(estimate)
        if estimate.caution.iter().any(|caution| caution.to_string().contains("as much as chance"))));
    assert!(ledger.get("trend.rate-negative-binomial").is_some());
}

// ---------------------------------------------------------------- passes

fn with_passes(catches: &[(&str, &str)]) -> Ledger {
    let folder = Folder::clean();
    folder.replace("pulls.csv", "basis,stage", "basis,stage,pass");
    let mut rows = String::new();
    for (pass, (plants, hours)) in catches.iter().enumerate() {
        let pass = pass + 1;
        rows += &format!(
            "Q{pass},2025-07-19,north,,,2,0,{hours},0,fund,bag,5,,{plants},counted,flowering,{pass}\n"
        );
    }
    folder.append("pulls.csv", &rows);
    folder.ledger()
}

/// Carle and Strub 1978, Biometrics 34: catches 38, 26, 12; the maximum-likelihood number of Moran's model is 92.15 (computed
/// with R, as in the estimator's own test).
#[test]
fn passes_of_a_published_example() {
    let ledger = with_passes(&[("38", "4"), ("26", "4"), ("12", "4")]);
    let initial = value(&ledger, "passes.initial/north/2025-07-19");
    assert!((initial - 92.15).abs() < 0.01, "{initial}");
    expect(
        &ledger,
        "passes.share-removed/north/2025-07-19",
        7600.0 / initial,
    );
    expect(&ledger, "passes.catch/north/2025-07-19/2", 26.0);
}

#[test]
fn passes_that_can_not_tell() {
    let part = "north/2025-07-19";
    let rising = with_passes(&[("10", "4"), ("20", "4"), ("30", "4")]);
    assert!(refusal(&rising, &format!("passes.initial/{part}")).contains("at least the 60"));
    let nothing = with_passes(&[("0", "4"), ("0", "4")]);
    assert!(refusal(&nothing, &format!("passes.initial/{part}")).contains("Nothing was taken"));
    let uneven = with_passes(&[("38", "4"), ("12", "9")]);
    assert!(refusal(&uneven, &format!("passes.initial/{part}")).contains("different hours (4, 9)"));
    assert!(refusal(&uneven, &format!("passes.initial-mass/{part}")).contains("three visits"));
    let alone = with_passes(&[("38", "4")]);
    assert!(alone.get(&format!("passes.initial/{part}")).is_none());
}

// ------------------------------------------------------------- degenerate

#[test]
fn one_weighed_bag_has_no_interval() {
    let folder = Folder::clean();
    folder.write(
        "weighings.csv",
        "pull,container,mass_kg\nP1,bag,11.0\nP3,bag,14\n",
    );
    let ledger = folder.ledger();
    expect(&ledger, "removal.wet-mass-by-stage/rosette", 176.0);
    let figure = ledger.get("removal.wet-mass-by-stage/rosette").unwrap();
    assert!(figure.interval().is_none());
    assert!(
        figure.cautions()[0]
            .to_string()
            .contains("only one measured unit"),
        "{:?}",
        figure.cautions()
    );
}

#[test]
fn nothing_weighed_is_refused_and_not_zero() {
    let folder = Folder::clean();
    folder.write("weighings.csv", "pull,container,mass_kg\n");
    let ledger = folder.ledger();
    assert!(refusal(&ledger, "removal.wet-mass-by-stage/rosette").contains("Nothing was weighed"));
    assert!(
        refusal(&ledger, "stratum.wet-mass/bag/rosette")
            .contains("No bag at the stage rosette was weighed")
    );
    // South: six bags that can't be converted, and a search that found nothing.
    assert!(refusal(&ledger, "removal.wet-mass/south").contains("Nothing was weighed"));
}

#[test]
fn no_catch_is_a_rate_of_zero_without_interval() {
    let folder = Folder::clean();
    folder.write(
        "pulls.csv",
        "pull,date,site,staff_hours,container,containers\nP1,2025-06-14,north,3,bag,0\nP2,2025-06-21,north,4,bag,0\n",
    );
    let ledger = folder.ledger();
    expect(&ledger, "rate.mass-per-hour", 0.0);
    assert!(
        ledger
            .get("rate.mass-per-hour")
            .unwrap()
            .interval()
            .is_none()
    );
    expect(&ledger, "absence.search-hours/north", 7.0);
}

#[test]
fn empty_boats_stand_for_no_others() {
    let folder = Folder::clean();
    folder.write(
        "pulls.csv",
        "pull,date,site,staff_hours,container,containers,basis,stage\nP1,2025-06-14,north,3,bag,0,counted,rosette\n\
         P2,2025-06-21,north,4,bag,5,counted,rosette\n",
    );
    folder.write("weighings.csv", "pull,container,mass_kg,plants,notes\n");
    let ledger = folder.ledger();
    assert!(refusal(&ledger, "rate.mass-per-hour").contains("pulls that brought nothing"));
}

#[test]
fn hours_of_nought_and_hours_not_logged() {
    let folder = Folder::clean();
    folder.write(
        "pulls.csv",
        "pull,date,site,staff_hours,container,containers,basis,stage\nP1,2025-06-14,north,0,bag,10,counted,rosette\n",
    );
    let ledger = folder.ledger();
    expect(&ledger, "effort.person-hours", 0.0);
    assert!(refusal(&ledger, "rate.mass-per-hour").contains("Nothing was observed"));
    assert!(refusal(&ledger, "evidence.effort-share").contains("no person-hours"));

    let folder = Folder::clean();
    folder.replace("pulls.csv", "9:00,12:00,2,4,,,own funds", ",,,,,,own funds");
    let ledger = folder.ledger();
    // North has P1 alone to fill the gap from: a value, and no interval.
    expect(&ledger, "effort.person-hours", 26.0);
    expect(&ledger, "effort.person-hours-imputed", 26.0 + 15.0);
    assert!(
        ledger
            .get("effort.person-hours-imputed")
            .unwrap()
            .interval()
            .is_none()
    );
    assert!(
        Folder::clean()
            .ledger()
            .get("effort.person-hours-imputed")
            .is_none()
    );
}

/// P5 at North Cove says nothing of what came out: P1's bags of rosettes are the one row like it, with another beside them it has an
/// interval.
#[test]
fn a_catch_not_logged_is_filled_in_beside_the_total() {
    assert!(
        Folder::clean()
            .ledger()
            .get("removal.wet-mass-imputed")
            .is_none()
    );
    let folder = Folder::clean();
    folder.append(
        "pulls.csv",
        "P5,2025-06-28,north,9:00,11:00,1,3,2,6,fund,bag,,,,,rosette\n",
    );
    let ledger = folder.ledger();
    let total = value(&ledger, "removal.wet-mass");
    let p1 = 34.5 + 7.0 * 57.2 / 5.0;
    expect(
        &ledger,
        "removal.wet-mass-imputed/north",
        value(&ledger, "removal.wet-mass/north") + p1,
    );
    assert!(
        ledger
            .get("removal.wet-mass-imputed")
            .unwrap()
            .interval()
            .is_none()
    );
    folder.append(
        "pulls.csv",
        "P6,2025-06-29,north,9:00,11:00,1,3,2,6,fund,bag,4,,,counted,rosette\n",
    );
    let ledger = folder.ledger();
    let mean = (p1 + 4.0 * 57.2 / 5.0) / 2.0;
    expect(&ledger, "removal.wet-mass", total + 4.0 * 57.2 / 5.0);
    expect(
        &ledger,
        "removal.wet-mass-imputed",
        total + 4.0 * 57.2 / 5.0 + mean,
    );
    let error = |name: &str| ledger.get(name).unwrap().standard_error().unwrap();
    assert!(error("removal.wet-mass-imputed") > error("removal.wet-mass"));
}

// ---------------------------------------------------------------- tracks

#[test]
fn a_track_bears_out_the_pull_that_it_passed() {
    let folder = Folder::clean();
    folder.write("weighings.csv", "pull,container,mass_kg\n");
    folder.remove("photos/p2.jpg");
    let before = value(&folder.ledger(), "evidence.effort-share");
    let track = |time: &str, latitude: &str| {
        format!(
            "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"invented\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\
             <trkpt lat=\"{latitude}\" lon=\"-45.0005\"><time>{time}</time></trkpt></trkseg></trk></gpx>"
        )
    };
    // Two hundred metres south of the cove, then thirty; then the day before.
    for (time, latitude, counts) in [
        ("2025-06-21T14:00:00Z", "38.4882", 0.0),
        ("2025-06-20T14:00:00Z", "38.4898", 0.0),
        ("2025-06-21T14:00:00Z", "38.4898", 1.0),
    ] {
        folder.write("tracks/one.gpx", track(time, latitude));
        let ledger = folder.ledger();
        expect(&ledger, "evidence.pulls-with-track", counts);
        let gained = value(&ledger, "evidence.effort-share") - before;
        assert!(close(gained, counts * 100.0 * 8.0 / 44.0), "{gained}");
    }
}

// ----------------------------------------------------------------- names

/// Each figure's workings can be told, and its name leads back to it.
#[test]
fn every_figure_can_be_traced() {
    let folder = Folder::clean();
    folder.append("season.toml", SUPPOSED);
    let season = folder.season();
    let ledger = figure::compute(&season);
    for figure in ledger.figures() {
        let workings = figure::workings(&season, &ledger, figure);
        assert!(!workings.steps.is_empty(), "{}", figure.name);
        assert_eq!(workings.records.len(), figure.places.len());
        assert_eq!(ledger.near_names(&figure.name, 1), [figure.name.as_str()]);
    }
    let figure = ledger.get("effort.person-hours/north").unwrap();
    let workings = figure::workings(&season, &ledger, figure);
    assert!(
        workings
            .steps
            .contains(&"P1: staff 3 h logged + volunteers 12 h logged = 15 h".to_owned())
    );
    assert!(
        workings.records[0]
            .cells
            .contains(&("staff_hours".into(), "3".into()))
    );
    assert_eq!(workings.photos.len(), 2);
    assert!(
        ledger
            .near_names("effort.person-hour", 3)
            .contains(&"effort.person-hours")
    );
    assert!(
        ledger
            .near_names("removal.wetmass", 3)
            .contains(&"removal.wet-mass")
    );
    assert_eq!(ledger.near_names("xyzzy", 3), Vec::<&str>::new());
}

// ------------------------------------------------------------- properties

/// A pull of a drawn season: site, day, hours, bags, stage.
#[derive(Debug, Clone)]
struct Drawn {
    north: bool,
    day: u32,
    hours: u32,
    bags: u32,
    stage: usize,
}

const STAGES: [&str; 3] = ["rosette", "flowering", "fruiting"];

fn drawn() -> impl Strategy<Value = Vec<Drawn>> {
    let pull = (any::<bool>(), 1..29u32, 1..40u32, 0..12u32, 0..STAGES.len()).prop_map(
        |(north, day, hours, bags, stage)| Drawn {
            north,
            day,
            hours,
            bags,
            stage,
        },
    );
    prop::collection::vec(pull, 1..9)
}

/// Rows of the log; `split` writes the bags of each pull in two rows, but a single bag: its other half would be a row of none,
/// which says that nothing was found.
fn log(pulls: &[Drawn], split: bool) -> Vec<String> {
    let mut rows = Vec::new();
    for (number, pull) in pulls.iter().enumerate() {
        let site = if pull.north { "north" } else { "south" };
        let stage = STAGES[pull.stage];
        let day = format!("2025-07-{:02}", pull.day);
        let split = split && pull.bags > 1;
        let first = if split { pull.bags / 2 } else { pull.bags };
        rows.push(format!(
            "P{number},{day},{site},{},bag,{first},counted,{stage}",
            pull.hours
        ));
        if split {
            rows.push(format!(
                "P{number},{day},{site},,bag,{},counted,{stage}",
                pull.bags - first
            ));
        }
    }
    rows
}

/// Weighings of the first three bags of each pull; `unit` pounds or kilograms of the same number.
fn weighings(pulls: &[Drawn], unit: &str) -> Vec<String> {
    let mut rows = vec![format!("pull,container,mass_{unit}")];
    for (number, pull) in pulls.iter().enumerate() {
        for bag in 0..pull.bags.min(3) {
            rows.push(format!(
                "P{number},bag,{}",
                8 + (number * 7 + bag as usize * 5) % 11
            ));
        }
    }
    rows
}

fn ledger_of(log: &[String], weighings: &[String]) -> Ledger {
    let folder = Folder::bare();
    folder.write("sites.geojson", Folder::clean().read("sites.geojson"));
    folder.write(
        "pulls.csv",
        format!(
            "pull,date,site,staff_hours,container,containers,basis,stage\n{}\n",
            log.join("\n")
        ),
    );
    folder.write("weighings.csv", weighings.join("\n"));
    folder.ledger()
}

/// All numbers of a ledger, by name, but for those of some stems.
fn numbers(ledger: &Ledger, without: &[&str]) -> Vec<(String, Vec<f64>)> {
    ledger
        .figures()
        .filter(|figure| !without.contains(&figure.stem()))
        .map(|figure| {
            let interval = figure.interval();
            let all = [
                figure.value(),
                figure.standard_error(),
                interval.map(|interval| interval.lower),
                interval.map(|interval| interval.upper),
            ];
            (figure.name.clone(), all.into_iter().flatten().collect())
        })
        .collect()
}

fn same(a: &[(String, Vec<f64>)], b: &[(String, Vec<f64>)]) -> Result<(), TestCaseError> {
    prop_assert_eq!(a.len(), b.len());
    for ((name, ours), (other, theirs)) in a.iter().zip(b) {
        prop_assert_eq!(name, other);
        prop_assert_eq!(ours.len(), theirs.len(), "{}", name);
        for (x, y) in ours.iter().zip(theirs) {
            prop_assert!(close(*x, *y), "{}: {} and {}", name, x, y);
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 60,
        // No files of past failures in the tree.
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn order_of_rows_is_irrelevant(pulls in drawn()) {
        let rows = log(&pulls, true);
        let mut turned = rows.clone();
        turned.reverse();
        // The first row of a pull gives its hours; reversed, it is the second.
        let scales = weighings(&pulls, "kg");
        let mut other = scales[1..].to_vec();
        other.reverse();
        other.insert(0, scales[0].clone());
        same(&numbers(&ledger_of(&rows, &scales), &[]), &numbers(&ledger_of(&turned, &other), &[]))?;
    }

    #[test]
    fn splitting_a_row_changes_no_total(pulls in drawn()) {
        let scales = weighings(&pulls, "kg");
        let whole = ledger_of(&log(&pulls, false), &scales);
        let split = ledger_of(&log(&pulls, true), &scales);
        same(&numbers(&whole, &[]), &numbers(&split, &[]))?;
    }

    #[test]
    fn units_scale(pulls in drawn()) {
        let rows = log(&pulls, false);
        let kilograms = ledger_of(&rows, &weighings(&pulls, "kg"));
        let pounds = ledger_of(&rows, &weighings(&pulls, "lb"));
        for figure in kilograms.figures().filter(|figure| figure.stem().contains("mass") && !figure.stem().ends_with("share")) {
            let other = pounds.get(&figure.name).unwrap();
            prop_assert_eq!(figure.value().is_some(), other.value().is_some());
            if let (Some(a), Some(b)) = (figure.value(), other.value()) {
                prop_assert!(close(a * 0.453_592_37, b), "{}: {} kg, {} lb", figure.name, a, b);
            }
            if let (Some(a), Some(b)) = (figure.interval(), other.interval()) {
                prop_assert!(close(a.lower * 0.453_592_37, b.lower) && close(a.upper * 0.453_592_37, b.upper));
            }
        }
    }

    #[test]
    fn sites_sum_to_the_season_and_intervals_hold_their_value(pulls in drawn()) {
        let ledger = ledger_of(&log(&pulls, false), &weighings(&pulls, "kg"));
        for stem in ["effort.person-hours", "effort.pulls", "removal.wet-mass"] {
            let parts: Vec<&Figure> = ledger.parts(stem).collect();
            let Some(whole) = ledger.get(stem).and_then(Figure::value) else { continue };
            let sum: f64 = parts.iter().filter_map(|figure| figure.value()).sum();
            prop_assert!(close(sum, whole), "{}: {} by sites, {} in all", stem, sum, whole);
        }
        for figure in ledger.figures() {
            if let (Some(value), Some(interval)) = (figure.value(), figure.interval()) {
                prop_assert!(interval.lower <= value && value <= interval.upper, "{}", figure.name);
            }
        }
    }
}
