//! The ledger of a sample: exact, estimated, open and refused figures, for the season and for each site.

use rust_decimal::Decimal;

use super::Recipe;
use crate::estimate::{Estimate, Interval};
use crate::figure::{Deliverable, Figure, Ledger, LeftOut, Measure, Outturn, Standing};
use crate::place::{Place, Spot};
use crate::season::Season;

impl Recipe {
    pub fn ledger(&self, season: &Season) -> Ledger {
        let mut ledger = Ledger::default();
        if self.pulls == 0 {
            ledger.add(figure(
                "effort.pulls",
                "Pulls",
                Measure::Count,
                Outturn::Exact(0.0),
            ));
            ledger.add(figure(
                "removal.wet-mass",
                "Wet mass removed",
                Measure::Mass,
                Outturn::Refused("The pull log is empty.".into()),
            ));
            return ledger;
        }
        let n = self.pulls as f64;
        let seasonal: Vec<(&str, &str, Measure, Outturn)> = vec![
            ("effort.pulls", "Pulls", Measure::Count, Outturn::Exact(n)),
            (
                "effort.person-hours",
                "Person-hours on the water",
                Measure::Time,
                Outturn::Exact(n * 19.5),
            ),
            (
                "effort.staff-hours",
                "Hours of paid people",
                Measure::Time,
                Outturn::Exact(n * 3.5),
            ),
            (
                "effort.volunteer-hours",
                "Hours of volunteers",
                Measure::Time,
                Outturn::Exact(n * 16.0),
            ),
            (
                "effort.travel-hours",
                "Hours of travel",
                Measure::Time,
                Outturn::Exact(n * 2.25),
            ),
            (
                "removal.wet-mass",
                "Wet mass removed",
                Measure::Mass,
                estimate(n * 96.4, n * 7.1, true),
            ),
            (
                "removal.wet-mass-weighed",
                "Wet mass weighed",
                Measure::Mass,
                Outturn::Exact(n * 21.3),
            ),
            (
                "removal.wet-mass-converted",
                "Wet mass converted",
                Measure::Mass,
                estimate(n * 75.1, n * 7.1, true),
            ),
            (
                "removal.wet-mass-guessed",
                "Wet mass guessed",
                Measure::Mass,
                Outturn::Exact(64.0),
            ),
            (
                "removal.plants",
                "Plants removed",
                Measure::Count,
                Outturn::Refused(
                    "No container was counted out, so containers can't be turned into plants."
                        .into(),
                ),
            ),
            (
                "removal.containers/bag",
                "Bags",
                Measure::Count,
                Outturn::Exact(n * 14.0),
            ),
            (
                "rate.mass-per-hour",
                "Wet mass removed per person-hour",
                Measure::MassPerTime,
                estimate(4.94, 0.41, true),
            ),
            (
                "cover.before",
                "Cover before",
                Measure::Percent,
                estimate(62.4, 5.2, true),
            ),
            (
                "cover.after",
                "Cover after",
                Measure::Percent,
                estimate(8.1, 2.1, true),
            ),
            (
                "cover.change",
                "Change of cover",
                Measure::PercentPoints,
                estimate(-54.3, 5.9, true),
            ),
            (
                "area.treated",
                "Area treated",
                Measure::Area,
                Outturn::Exact(23_450.0),
            ),
            (
                "area.searched",
                "Area searched",
                Measure::Area,
                Outturn::Exact(61_200.0),
            ),
            (
                "evidence.pulls-with-photo",
                "Pulls with a photo",
                Measure::Count,
                Outturn::Exact((n * 0.8).floor()),
            ),
            (
                "match.volunteer-hours/pond-fund",
                "Hours counted as match",
                Measure::Time,
                Outturn::Exact(n * 16.0),
            ),
            (
                "match.value/pond-fund",
                "Value of match",
                Measure::Money,
                Outturn::Amount(Decimal::from(self.pulls) * Decimal::from(496)),
            ),
            (
                "spending.cash/pond-fund",
                "Cash spent",
                Measure::Money,
                Outturn::Amount("10218.37".parse().unwrap()),
            ),
            (
                "spending.line/pond-fund/wages",
                "Wages",
                Measure::Money,
                Outturn::Amount("8122.50".parse().unwrap()),
            ),
            (
                "spending.line/pond-fund/boats-and-safety-gear",
                "Boats and safety gear",
                Measure::Money,
                Outturn::Amount("2095.87".parse().unwrap()),
            ),
        ];
        for (name, label, measure, outturn) in seasonal {
            ledger.add(figure(name, label, measure, outturn));
        }
        for (index, site) in season.ground.sites.iter().enumerate() {
            self.site_figures(&mut ledger, index, &site.id, &site.name);
        }
        for (year, rate) in [(2022, 5.8), (2023, 5.1), (2024, 5.3), (2025, 4.94)] {
            ledger.add(figure(
                &format!("history.mass-per-hour/{year}"),
                "Wet mass removed per person-hour",
                Measure::MassPerTime,
                estimate(rate, 0.4, year > 2023),
            ));
        }
        ledger.deliverables = deliverables();
        ledger
    }

    fn site_figures(&self, ledger: &mut Ledger, index: usize, id: &str, name: &str) {
        let share = (self.pulls as f64 / self.sites as f64).ceil();
        let weight = share * (30.0 + 29.0 * (index % 5) as f64);
        let mass = match index % 6 {
            5 => Outturn::Refused("No bag of this stage was weighed.".into()),
            4 => Outturn::Estimated(Estimate {
                interval: Some(Interval {
                    lower: weight * 0.6,
                    upper: f64::INFINITY,
                    level: 0.95,
                }),
                ..plain(weight, weight * 0.3)
            }),
            _ => estimate(weight, weight * 0.12, true),
        };
        let mut add = |stem: &str, label: &str, measure, outturn| {
            ledger.add(figure(
                &format!("{stem}/{id}"),
                &format!("{label}, {name}"),
                measure,
                outturn,
            ));
        };
        add(
            "effort.pulls",
            "Pulls",
            Measure::Count,
            Outturn::Exact(share),
        );
        add(
            "effort.person-hours",
            "Person-hours on the water",
            Measure::Time,
            Outturn::Exact(share * 19.5 + index as f64 * 0.25),
        );
        add("removal.wet-mass", "Wet mass removed", Measure::Mass, mass);
        add(
            "area.treated",
            "Area treated",
            Measure::Area,
            Outturn::Exact(900.0 + 1_700.0 * index as f64),
        );
        if index % 3 != 2 {
            let before = 80.0 - 6.0 * (index % 7) as f64;
            add(
                "cover.before",
                "Cover before",
                Measure::Percent,
                estimate(before, 6.0, true),
            );
            add(
                "cover.after",
                "Cover after",
                Measure::Percent,
                estimate(before * 0.15, 3.1, true),
            );
            add(
                "cover.change",
                "Change of cover",
                Measure::PercentPoints,
                estimate(-before * 0.85, 6.6, true),
            );
        }
    }
}

fn plain(value: f64, error: f64) -> Estimate {
    Estimate {
        value,
        standard_error: Some(error),
        degrees_of_freedom: Some(9.0),
        interval: None,
        caution: Vec::new(),
        method: "mean of the weighed containers times the containers, interval by Student's t"
            .into(),
        observations: 12,
        population: Some(200.0),
    }
}

fn estimate(value: f64, error: f64, interval: bool) -> Outturn {
    Outturn::Estimated(Estimate {
        interval: interval.then_some(Interval {
            lower: value - 2.26 * error,
            upper: value + 2.26 * error,
            level: 0.95,
        }),
        ..plain(value, error)
    })
}

fn figure(name: &str, label: &str, measure: Measure, outturn: Outturn) -> Figure {
    let place = |row| Place {
        file: "pulls.csv".into(),
        spot: Spot::Row { sheet: None, row },
    };
    Figure {
        name: name.into(),
        label: label.into(),
        kind: label.split(", ").next().unwrap_or_default().into(),
        counts: None,
        measure,
        outturn,
        method: "Sum over the pulls of the season, each counted once".into(),
        assumptions: vec!["weighed containers are like those that were not weighed".into()],
        places: (2..14).chain(17..19).map(place).collect(),
        left_out: [LeftOut::new(place(15), "no container kind")]
            .into_iter()
            .collect(),
    }
}

fn deliverables() -> Vec<Deliverable> {
    [
        (
            "hours",
            "At least 400 person-hours of hand-pulling",
            "effort.person-hours",
            400.0,
            Standing::Met,
        ),
        (
            "mass",
            "At least two and a half short tons of wet plants taken out of the ponds",
            "removal.wet-mass",
            2_268.0,
            Standing::Uncertain,
        ),
        (
            "cover",
            "Cover lowered by at least 60 points",
            "cover.change",
            -60.0,
            Standing::Missed,
        ),
        (
            "plants",
            "Plants counted",
            "removal.plants",
            5_000.0,
            Standing::Unknown,
        ),
    ]
    .into_iter()
    .map(|(id, text, figure, target, standing)| Deliverable {
        grant: "pond-fund".into(),
        id: id.into(),
        text: text.into(),
        figure: figure.into(),
        target,
        at_most: target < 0.0,
        standing,
        place: Place::key("season.toml", "grants.pond-fund"),
    })
    .collect()
}
