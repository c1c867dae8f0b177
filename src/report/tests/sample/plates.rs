//! The plates and findings of a sample.

use chrono::NaiveDate;

use crate::finding::{Acceptance, Finding, Grade};
use crate::place::{Place, Spot};
use crate::report::{Pair, PairGrade, Plates, Shot, Single};
use crate::season::Role;

pub fn findings() -> Vec<Finding> {
    let finding = |name, grade, row, message: &str, accepted: Option<&str>| Finding {
        name,
        grade,
        place: Place {
            file: "pulls.csv".into(),
            spot: Spot::Row { sheet: None, row },
        },
        also: Vec::new(),
        message: message.into(),
        why: "Hours would count twice".into(),
        mend: "Strike one of the two rows, or accept the finding with a reason".into(),
        quote: None,
        stake: None,
        alike: 0,
        accepted: accepted.map(|reason| {
            Box::new(Acceptance {
                reason: reason.into(),
                by: Some("coordinator".into()),
                on: NaiveDate::from_ymd_opt(2025, 11, 20),
            })
        }),
    };
    vec![
        finding(
            "pull-logged-twice",
            Grade::Doubt,
            14,
            "P09 and P10 have the same day, site, crew and catch",
            Some(
                "Two boats worked side by side and logged alike; the sign-in sheet shows both crews",
            ),
        ),
        finding(
            "container-kind-missing",
            Grade::Doubt,
            15,
            "six containers without a kind",
            None,
        ),
        finding(
            "photo-without-position",
            Grade::Remark,
            3,
            "no position",
            None,
        ),
    ]
}

pub fn plates() -> Plates {
    let shot = |index: u8, taken: &str, bearing| Shot {
        photo: format!("photos/s{index}.jpg"),
        taken: taken.into(),
        bearing,
        position: None,
    };
    Plates {
        by_rule: true,
        pairs: vec![
            Pair {
                station: "S0".into(),
                site: Some("site-0".into()),
                before: shot(0, "12 June 2025, 09:40", Some(12.0)),
                after: shot(1, "12 June 2025, 13:05", Some(9.0)),
                distance: Some(3.4),
                grade: PairGrade::Matched,
                reason: "Same station and bearing; the water stood alike".into(),
                caption: Some("Heron Bay from the dock.".into()),
                other_years: Vec::new(),
            },
            Pair {
                station: "S1".into(),
                site: Some("site-1".into()),
                before: shot(2, "3 July 2025, 10:12", None),
                after: shot(3, "19 August 2025, 10:40", Some(50.0)),
                distance: Some(21.0),
                grade: PairGrade::Partial,
                reason: "Seven weeks apart, and one picture has no bearing".into(),
                caption: None,
                other_years: Vec::new(),
            },
            Pair {
                station: "S2".into(),
                site: Some("site-2".into()),
                before: shot(4, "3 July 2025, 10:12", None),
                after: shot(3, "19 August 2025, 10:40", None),
                distance: None,
                grade: PairGrade::Illustrative,
                reason: "Neither picture has a position".into(),
                caption: None,
                other_years: Vec::new(),
            },
        ],
        singles: vec![
            Single {
                photo: "photos/s2.jpg".into(),
                taken: Some("3 July 2025, 11:30".into()),
                site: Some("site-1".into()),
                role: Some(Role::Catch),
                caption: Some("Forty bags on the landing".into()),
            },
            Single {
                photo: "photos/s5.jpg".into(),
                taken: None,
                site: None,
                role: None,
                caption: Some("Must not be seen".into()),
            },
        ],
    }
}
