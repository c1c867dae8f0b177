use super::*;
use crate::estimate::{Estimate, Interval};
use crate::figure::LeftOuts;
use crate::place::Places;
use crate::season::PrintUnits;

fn figure(measure: Measure, outturn: Outturn) -> Figure {
    Figure {
        name: "a.figure".into(),
        label: "A figure".into(),
        kind: "A figure".into(),
        counts: None,
        measure,
        outturn,
        method: String::new().into(),
        assumptions: Vec::new(),
        places: Places::default(),
        left_out: LeftOuts::default(),
    }
}

fn estimated(value: f64, error: Option<f64>, bounds: Option<(f64, f64)>) -> Outturn {
    Outturn::Estimated(Estimate {
        value,
        standard_error: error,
        degrees_of_freedom: None,
        interval: bounds.map(|(lower, upper)| Interval {
            lower,
            upper,
            level: 0.95,
        }),
        caution: Vec::new(),
        method: String::new().into(),
        observations: 1,
        population: None,
    })
}

fn style(units: PrintUnits) -> Style {
    Style {
        units,
        currency: "USD".into(),
        language: Language::English,
    }
}

fn text(measure: Measure, outturn: Outturn, units: PrintUnits) -> String {
    print(&figure(measure, outturn), &style(units))
        .text
        .replace('\u{a0}', " ")
}

#[test]
fn exact_records() {
    use Measure::*;
    let metric = |measure, value| text(measure, Outturn::Exact(value), PrintUnits::Metric);
    assert_eq!(metric(Count, 1_600.0), "1,600");
    assert_eq!(metric(Count, 2.5), "2.5");
    assert_eq!(metric(Time, 412.0), "412 h");
    assert_eq!(metric(Time, 412.25), "412.2 h");
    assert_eq!(metric(Mass, 742.6), "742.6 kg");
    assert_eq!(metric(Area, 12_500.0), "1.25 ha");
    assert_eq!(metric(Area, 25.0), "0.0025 ha");
    assert_eq!(metric(Area, 0.0), "0.00 ha");
    assert_eq!(metric(Percent, 33.333), "33.3%");
    let us = |measure, value| text(measure, Outturn::Exact(value), PrintUnits::Us);
    assert_eq!(us(Mass, 453.592_37), "1,000.0 lb");
    assert_eq!(us(Area, 4_046.856_422_4), "1.00 acres");
    assert_eq!(us(MassPerTime, 4.535_923_7), "10.00 lb/h");
}

#[test]
fn estimates_are_rounded_by_their_standard_error() {
    use Measure::*;
    use PrintUnits::Metric;
    let mass = |value, error, bounds| text(Mass, estimated(value, error, bounds), Metric);
    assert_eq!(
        mass(1_234.56, Some(61.7), Some((1_099.2, 1_400.9))),
        "1,235 kg (95% interval 1,099 to 1,401 kg)"
    );
    assert_eq!(
        mass(12_345.6, Some(1_234.0), Some((9_800.0, 14_999.0))),
        "12,300 kg (95% interval 9,800 to 15,000 kg)"
    );
    assert_eq!(
        mass(10.0, Some(0.0), Some((10.0, 10.0))),
        "10.0 kg",
        "a census is exact"
    );
    assert_eq!(
        mass(1_234.56, None, None),
        "about 1,230 kg (no interval)",
        "three digits where nothing is known"
    );
    assert_eq!(
        text(
            MassPerTime,
            estimated(4.321, Some(0.5), Some((3.1, f64::INFINITY))),
            Metric
        ),
        "4.32 kg/h (95% interval from 3.10 kg/h, without upper limit)"
    );
    assert_eq!(
        text(
            PercentPoints,
            estimated(-43.21, Some(3.3), Some((-50.0, -36.4))),
            Metric
        ),
        "−43.2 percentage points (95% interval −50.0 to −36.4 percentage points)"
    );
    assert_eq!(
        text(Percent, estimated(12.3, None, Some((8.0, 16.0))), Metric),
        "12.3% (95% interval 8.0 to 16.0%)"
    );
}

#[test]
fn money_and_refusals() {
    let amount: Decimal = "-1234.5".parse().unwrap();
    assert_eq!(
        text(Measure::Money, Outturn::Amount(amount), PrintUnits::Us),
        "−$1,234.50"
    );
    let francs = Style {
        currency: "chf".into(),
        ..style(PrintUnits::Us)
    };
    assert_eq!(money(amount, &francs), "−CHF\u{a0}1,234.50");
    let refused = print(
        &figure(
            Measure::Mass,
            Outturn::Refused("No bag was weighed.".into()),
        ),
        &style(PrintUnits::Us),
    );
    assert_eq!(refused.value, NO_VALUE);
    assert_eq!(refused.text, "not known: no bag was weighed");
    assert_eq!(refused.refusal.as_deref(), Some("No bag was weighed."));
}

#[test]
fn suppositions_are_told_as_such() {
    let supposed = |measure, lower, middle, upper| {
        let range = Supposed {
            lower,
            middle,
            upper,
            share: None,
            caution: Vec::new(),
        };
        text(measure, Outturn::Supposed(range), PrintUnits::Metric)
    };
    assert_eq!(
        supposed(Measure::Count, 0.02, Some(57_890.0), 2_712_000.0),
        "58,000 (scenarios less than 1 to 2,700,000)"
    );
    assert_eq!(
        supposed(Measure::Percent, 0.0834, None, 81.2),
        "0.083 to 81%, by what was supposed"
    );
    assert_eq!(
        supposed(Measure::Years, 5.0, None, f64::INFINITY),
        "from 5 years, without upper limit, by what was supposed"
    );
}

#[test]
fn marks_signs_and_units_follow_the_language() {
    let said = |language, measure, outturn| {
        let style = Style {
            language,
            ..style(PrintUnits::Us)
        };
        print(&figure(measure, outturn), &style)
    };
    let mass = || estimated(560.0, Some(36.0), Some((500.0, 620.0)));
    let french = said(Language::French, Measure::Mass, mass());
    assert_eq!(french.value, "1\u{a0}235");
    assert!(french.interval.is_some_and(|it| it.contains("1\u{a0}102")));
    let share = estimated(12.3, Some(2.1), Some((8.0, 16.0)));
    let spanish = said(Language::Spanish, Measure::Percent, share);
    assert_eq!(spanish.with_unit(), "12,3\u{a0}%");
    assert_eq!(spanish.level.as_deref(), Some("95\u{a0}%"));
    let amount = |language| {
        said(
            language,
            Measure::Money,
            Outturn::Amount("-1234.5".parse().unwrap()),
        )
        .text
    };
    assert_eq!(amount(Language::English), "−$1,234.50");
    assert_eq!(amount(Language::Spanish), "−$1\u{a0}234,50");
    assert_eq!(amount(Language::French), "−1\u{a0}234,50\u{a0}$");
}

#[test]
fn no_number_however_broken_panics() {
    for value in [
        0.0,
        -0.0,
        f64::NAN,
        f64::INFINITY,
        f64::MIN,
        f64::MAX,
        5e-324,
    ] {
        for measure in [
            Measure::Count,
            Measure::Money,
            Measure::Area,
            Measure::PercentPoints,
        ] {
            for outturn in [
                Outturn::Exact(value),
                estimated(value, Some(value), None),
                estimated(value, None, Some((value, value))),
            ] {
                assert!(!text(measure, outturn, PrintUnits::Us).is_empty());
            }
        }
    }
}
