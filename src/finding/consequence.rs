//! Findings that follow from another finding are not told: one slip, one finding.
//!
//! A misspelt site leaves its photos without a pull; that is no second fault, and whoever mends the first will hear of the second only if
//! it is one. What is dropped comes back by itself if it is still there when the cause is mended. Accepted findings are never dropped.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::core::Finding;
use super::naming::Known;
use crate::place::{Place, Spot};
use crate::season::{Pull, Season, value};
use crate::shared::Shared;

/// Slips that leave a pull without its day or its site.
const UNPLACED: &[&str] = &[
    "date-ambiguous",
    "date-outside-season",
    "date-unreadable",
    "pull-contradicts-itself",
    "site-unknown",
    "value-missing",
];

/// Slips that give a row's containers another kind or stage than they have.
const UNSORTED: &[&str] = &[
    "container-unknown",
    "fruit-against-stage",
    "number-unreadable",
    "stage-goes-back",
    "stage-unknown",
    "word-unknown",
];

/// Slips that leave a whole table, or a column of it, unread.
const UNREAD: &[&str] = &[
    "file-missing",
    "file-unreadable",
    "heading-missing",
    "heading-twice",
    "sheet-nearly-fits",
    "table-below",
    "table-format-unreadable",
    "table-in-two-formats",
    "unit-missing",
    "unit-unknown",
];

/// Slips that leave a whole table, or a part of it, unread.
const LOST: &[&str] = &[
    "file-missing",
    "file-unreadable",
    "heading-missing",
    "sheet-nearly-fits",
    "table-below",
    "table-format-unreadable",
    "table-in-two-formats",
];

/// Slips of an outline.
const MISDRAWN: &[&str] = &[
    "outline-crosses-itself",
    "outline-swapped",
    "outline-wrong",
    "outlines-overlap",
];

/// Takes out what follows from other findings.
pub fn drop_consequences(season: &Season, findings: &mut Vec<Finding>) {
    let causes = Causes::of(season, findings);
    findings.retain(|finding| finding.accepted.is_some() || !causes.explain(season, finding));
}

struct Causes<'a> {
    /// The ids of the log.
    pulls: Known<'a>,
    /// Numbers of pulls without a sure day or site.
    unplaced: BTreeSet<usize>,
    /// Their days and sites, as far as these are sure.
    days_and_sites: BTreeSet<(Option<NaiveDate>, Option<&'a str>)>,
    /// Days of pulls at sites with a fault in their outline.
    days_at_misdrawn: BTreeSet<Option<NaiveDate>>,
    /// Numbers of pulls with a row of unsure kind or stage.
    unsorted: BTreeSet<usize>,
    /// Their ids, folded.
    ids_of_unsorted: BTreeSet<String>,
    /// Ids of pulls that are told to be one with another.
    twice: BTreeSet<Shared>,
    /// Rows whose clock or hours are told to be wrong.
    clock: BTreeSet<Place>,
    /// Rows whose stage is told to be out of order.
    back: BTreeSet<Place>,
    /// Rows whose date its photos contradict, and those photos.
    misdated: BTreeSet<Place>,
    booked_twice: BTreeSet<Place>,
    log_lost: bool,
    log_unread: bool,
    weighings_unread: bool,
    /// Ids of sites with a fault in their outline.
    misdrawn: BTreeSet<Shared>,
    /// Is a feature of sites.geojson no site at all?
    site_lost: bool,
}

impl<'a> Causes<'a> {
    fn of(season: &'a Season, findings: &[Finding]) -> Self {
        let open = |names: &'static [&'static str]| {
            findings
                .iter()
                .filter(move |finding| finding.accepted.is_none() && names.contains(&finding.name))
        };
        let pulls_with = |names| -> BTreeSet<usize> {
            let rows: BTreeSet<_> = open(names)
                .flat_map(|finding| std::iter::once(&finding.place).chain(&finding.also))
                .map(Place::row_only)
                .collect();
            if rows.is_empty() {
                return BTreeSet::new();
            }
            season
                .pulls
                .iter()
                .enumerate()
                .filter(|(_, pull)| pull.places().iter().any(|place| rows.contains(place)))
                .map(|(index, _)| index)
                .collect()
        };
        let rows_of = |names| -> BTreeSet<Place> {
            open(names)
                .map(|finding| finding.place.row_only())
                .collect()
        };
        let files: BTreeSet<&str> = season
            .pulls
            .iter()
            .flat_map(|pull| &pull.rows)
            .map(|row| row.row.head.file.as_str())
            .collect();
        let of_weighings: BTreeSet<&str> = season
            .weighings
            .iter()
            .map(|row| row.row.head.file.as_str())
            .collect();
        // A table may stand in a workbook of any name.
        let unread = |table: &str, names| {
            let read_from = if table == "pulls" {
                &files
            } else {
                &of_weighings
            };
            open(names).any(|finding| {
                let file = finding.place.file.as_str();
                read_from.contains(file)
                    || file
                        .rsplit_once('.')
                        .is_some_and(|(name, _)| value::fold(name) == table)
            })
        };
        let twice: BTreeSet<usize> = pulls_with(&["pull-logged-twice"]);
        let (unplaced, unsorted) = (pulls_with(UNPLACED), pulls_with(UNSORTED));
        let (starts, ends) = (season.settings.starts, season.settings.ends);
        let day_and_site = |pull: &Pull| {
            let day = pull.date().filter(|date| (starts..=ends).contains(date));
            (day, season.site_of(pull).map(|site| site.id.as_str()))
        };
        let faults: BTreeSet<&Place> = open(MISDRAWN).map(|finding| &finding.place).collect();
        let misdrawn: BTreeSet<Shared> = season
            .ground
            .sites
            .iter()
            .filter(|site| faults.contains(&site.place))
            .map(|site| site.id.clone())
            .collect();
        Self {
            pulls: Known::new(season.pulls.iter().map(|pull| pull.id.as_str())),
            days_and_sites: unplaced
                .iter()
                .filter_map(|index| season.pulls.get(*index))
                .map(day_and_site)
                .collect(),
            days_at_misdrawn: season
                .pulls
                .iter()
                .filter(|pull| is_at(season, pull, &misdrawn))
                .map(Pull::date)
                .collect(),
            unplaced,
            ids_of_unsorted: unsorted
                .iter()
                .filter_map(|index| season.pulls.get(*index))
                .map(|pull| value::fold(&pull.id))
                .collect(),
            unsorted,
            twice: twice
                .iter()
                .filter_map(|index| season.pulls.get(*index))
                .map(|pull| pull.id.clone())
                .collect(),
            clock: rows_of(&[
                "end-before-start",
                "hours-beyond-daylight",
                "hours-impossible",
                "pull-in-the-dark",
            ]),
            back: rows_of(&["stage-goes-back"]),
            misdated: open(&["date-against-photos"])
                .flat_map(|finding| std::iter::once(&finding.place).chain(&finding.also))
                .map(Place::row_only)
                .collect(),
            booked_twice: rows_of(&["spending-booked-twice"]),
            log_lost: unread("pulls", LOST),
            log_unread: unread("pulls", UNREAD),
            weighings_unread: unread("weighings", UNREAD),
            misdrawn,
            site_lost: open(&["outline-wrong"]).next().is_some(),
        }
    }

    fn explain(&self, season: &Season, finding: &Finding) -> bool {
        match finding.name {
            "pull-without-photo" => self.pull_at(season, finding).is_some_and(|(index, pull)| {
                self.misdated.contains(&finding.place)
                    || self.unplaced.contains(&index)
                    || self.at_misdrawn_site(season, pull)
            }),
            "fruit-against-stage" | "pull-after-ripe-seed" => {
                self.back.contains(&finding.place.row_only())
            }
            "stage-goes-back" | "return-before-pull" => {
                self.misdated.contains(&finding.place.row_only())
            }
            "spending-over-line" => std::iter::once(&finding.place)
                .chain(&finding.also)
                .any(|place| self.booked_twice.contains(&place.row_only())),
            "photo-without-pull" => {
                self.log_lost
                    || self.misdated.contains(&finding.place)
                    || self.photo_may_belong(season, finding)
            }
            "photo-outside-site" => finding.also.iter().any(|place| {
                season
                    .ground
                    .sites
                    .iter()
                    .any(|site| site.place == *place && self.misdrawn.contains(&site.id))
            }),
            "photo-between-pulls" => season
                .match_of(&finding.place.file)
                .is_some_and(|one| one.candidates.iter().any(|id| self.twice.contains(id))),
            "station-outside-site" => finding.also.iter().any(|place| {
                season
                    .ground
                    .sites
                    .iter()
                    .any(|site| site.place == *place && self.misdrawn.contains(&site.id))
            }),
            // Its rows name the site that could not be read.
            "site-unknown" | "station-site-unknown" => self.site_lost,
            "weighing-without-pull" => {
                // An id that is one of the log's but for its spelling is a slip of its own.
                let names_a_pull = || {
                    pull_of_weighing(season, finding)
                        .is_some_and(|id| self.pulls.nearest(id).is_some())
                };
                self.log_lost && !names_a_pull() || self.weighing_of_unsorted(season, finding)
            }
            "stratum-not-weighed" | "stratum-weighed-once" | "weighings-exceed-containers" => {
                self.log_unread || self.weighings_unread || self.touches_unsorted(season, finding)
            }
            "area-beyond-site"
            | "crew-in-two-places"
            | "hours-beyond-daylight"
            | "pull-in-the-dark" => self
                .pull_at(season, finding)
                .is_some_and(|(_, pull)| self.at_misdrawn_site(season, pull)),
            "heads-against-hours" => self.clock.contains(&finding.place.row_only()),
            _ => false,
        }
    }

    fn pull_at<'s>(&self, season: &'s Season, finding: &Finding) -> Option<(usize, &'s Pull)> {
        let row = finding.place.row_only();
        season.pulls.iter().enumerate().find(|(_, pull)| {
            pull.rows
                .iter()
                .any(|one| one.row.number == number(&row) && one.row.place() == row)
        })
    }

    fn at_misdrawn_site(&self, season: &Season, pull: &Pull) -> bool {
        is_at(season, pull, &self.misdrawn)
    }

    /// May the photo be of a pull whose day or site is unsure?
    fn photo_may_belong(&self, season: &Season, finding: &Finding) -> bool {
        let Some(one) = season.match_of(&finding.place.file) else {
            return false;
        };
        let day = one.local.map(|local| local.date());
        let site = one.site.as_deref();
        // Pulls whose site is not sure come first of their day.
        let on = |sure_day| match site {
            Some(_) => [None, site]
                .into_iter()
                .any(|sure_site| self.days_and_sites.contains(&(sure_day, sure_site))),
            None => self
                .days_and_sites
                .range((sure_day, None)..)
                .next()
                .is_some_and(|(first, _)| *first == sure_day),
        };
        on(None) || day.is_some() && on(day) || self.days_at_misdrawn.contains(&day)
    }

    fn weighing_of_unsorted(&self, season: &Season, finding: &Finding) -> bool {
        pull_of_weighing(season, finding)
            .is_some_and(|id| self.ids_of_unsorted.contains(&value::fold(id)))
    }

    /// Is one of the finding's rows, or the pull of its weighing, of unsure kind or stage?
    fn touches_unsorted(&self, season: &Season, finding: &Finding) -> bool {
        self.weighing_of_unsorted(season, finding)
            || self
                .pull_at(season, finding)
                .is_some_and(|(index, _)| self.unsorted.contains(&index))
    }
}

/// A row's number, before the longer comparison of places.
fn number(place: &Place) -> u32 {
    match place.spot {
        Spot::Row { row, .. } => row,
        _ => 0,
    }
}

/// Is the pull at one of the sites?
fn is_at(season: &Season, pull: &Pull, sites: &BTreeSet<Shared>) -> bool {
    season
        .site_of(pull)
        .is_some_and(|site| sites.contains(&site.id))
}

/// The pull that the weighing names that a finding is about.
fn pull_of_weighing<'a>(season: &'a Season, finding: &Finding) -> Option<&'a str> {
    let row = finding.place.row_only();
    let mut weighings = season.weighings.iter();
    let weighing = weighings.find(|weighing| weighing.row.place() == row)?;
    weighing.pull.as_deref()
}
