//! Days and catches that stand apart: a date that its photos contradict, a catch beyond all others.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, NaiveDate};

use super::core::{Finding, Grade};
use super::rule::Rule;
use super::{Check, rows};
use crate::estimate::fences;
use crate::place::Place;
use crate::season::{Pull, Season, Support};
use crate::shared::Shared;
use crate::words;
use crate::words::number;

const DATE_AGAINST_PHOTOS: Rule = Rule {
    name: "date-against-photos",
    grade: Grade::Doubt,
    title: "A pull has no photo on its day, and its site has photos of a day without a pull.",
    why: "The pull counts in the wrong month or stage, and its photos prove nothing.",
};
const CATCH_FAR_OUT: Rule = Rule {
    name: "catch-far-out",
    grade: Grade::Doubt,
    title: "A pull brought in many times more containers an hour than the season's other pulls.",
    why: "The containers are converted to mass: a figure too many outweighs the rest of the season.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[
    (DATE_AGAINST_PHOTOS, date_against_photos),
    (CATCH_FAR_OUT, catch_far_out),
];

/// Photos that belong to no pull, by their site and day.
fn orphans(season: &Season) -> BTreeMap<&str, BTreeMap<NaiveDate, Vec<&str>>> {
    let mut orphans: BTreeMap<&str, BTreeMap<NaiveDate, Vec<&str>>> = BTreeMap::new();
    for (photo, one) in season.photos.iter().zip(season.matches.iter()) {
        if let (Some(site), Some(local)) = (one.site.as_deref(), one.local)
            && one.support == Support::None
            && one.candidates.is_empty()
        {
            orphans
                .entry(site)
                .or_default()
                .entry(local.date())
                .or_default()
                .push(&photo.path);
        }
    }
    orphans
}

/// May one day have been written for the other? The same day of another month, day and month changed, or one figure of the day.
fn slip(written: NaiveDate, meant: NaiveDate) -> bool {
    let (a, b) = (written, meant);
    let figures = |day: u32| (day / 10, day % 10);
    let one_figure = {
        let ((a10, a1), (b10, b1)) = (figures(a.day()), figures(b.day()));
        a.month() == b.month() && (a10 == b10 || a1 == b1)
    };
    a.day() == b.day() || (a.day() == b.month() && a.month() == b.day()) || one_figure
}

fn date_against_photos(season: &Season, findings: &mut Vec<Finding>) {
    let orphans = orphans(season);
    if orphans.is_empty() {
        return;
    }
    let shown: BTreeSet<&str> = season
        .matches
        .iter()
        .flat_map(|one| {
            one.pull
                .as_deref()
                .into_iter()
                .chain(one.candidates.iter().map(Shared::as_str))
        })
        .collect();
    let bare = |pull: &&Pull| !pull.is_empty() && !shown.contains(pull.id.as_str());
    for pull in season.pulls.iter().filter(bare) {
        let (Some(site), Some(date), Some(first)) =
            (season.site_of(pull), pull.date(), pull.rows.first())
        else {
            continue;
        };
        let Some(days) = orphans.get(site.id.as_str()) else {
            continue;
        };
        let meant: Vec<(&NaiveDate, &Vec<&str>)> =
            days.iter().filter(|(day, _)| slip(date, **day)).collect();
        // With two days to choose from nothing can be proposed.
        let [(day, photos)] = meant.as_slice() else {
            continue;
        };
        findings.push(
            DATE_AGAINST_PHOTOS
                .on(
                    &first.row,
                    Some("date"),
                    match photos.len() {
                        1 => words!(
                            "Pull {pull} is dated {date} and has no photo; there is a photo of {day} at {site} and no pull.",
                            pull = &pull.id,
                            date = date.to_string(),
                            day = day.to_string(),
                            site = &site.id
                        ),
                        photos => words!(
                            "Pull {pull} is dated {date} and has no photo; there are {photos} photos of {day} at {site} and no pull.",
                            pull = &pull.id,
                            date = date.to_string(),
                            photos,
                            day = day.to_string(),
                            site = &site.id
                        ),
                    },
                    words!(
                        "If the pull was on that day, write {day} under date; else correct the camera's clock, or add the missing pull.",
                        day = day.to_string()
                    ),
                )
                .with(photos.iter().map(|photo| Place::whole(*photo))),
        );
    }
}

/// Luck brings a day several times as good as the others; beyond this many times the median it is more likely a figure too many (common
/// practice, no source).
const MANY_TIMES: f64 = 4.0;

fn catch_far_out(season: &Season, findings: &mut Vec<Finding>) {
    // Containers an hour, by kind: the hours are the pull's, whatever else it carried.
    let mut kinds: BTreeMap<&str, Vec<(f64, &crate::season::PullRow)>> = BTreeMap::new();
    for (pull, row) in rows(season) {
        if let (Some(kind), Some(containers), Some(hours)) = (
            row.container.as_deref(),
            row.containers,
            pull.person_hours(),
        ) && containers > 0.0
            && hours > 0.0
        {
            kinds
                .entry(kind)
                .or_default()
                .push((containers / hours, row));
        }
    }
    for (kind, rates) in &kinds {
        let logs: Vec<f64> = rates.iter().map(|(rate, _)| rate.ln()).collect();
        let Some(fences) = fences(&logs) else {
            continue;
        };
        let median = fences.median.exp();
        for (rate, row) in rates {
            if rate.ln() > fences.outer.1 && *rate > MANY_TIMES * median {
                findings.push(CATCH_FAR_OUT.on(
                    &row.row,
                    Some("containers"),
                    words!(
                        "{rate} of {kind} a person-hour; half of the other rows have less than {median}.",
                        rate = number(format!("{rate:.1}")),
                        kind,
                        median = number(format!("{median:.2}"))
                    ),
                    words!(
                        "Look it up on the field sheet: a figure too many, or hours too few. Accept the finding if it was such a day."
                    ),
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_a_date_are_told_from_other_days() {
        let day = |month, day| NaiveDate::from_ymd_opt(2025, month, day).unwrap();
        assert!(slip(day(7, 19), day(6, 19)));
        assert!(slip(day(7, 8), day(8, 7)));
        assert!(slip(day(6, 14), day(6, 24)));
        assert!(!slip(day(6, 14), day(6, 23)));
        assert!(!slip(day(6, 14), day(8, 23)));
    }
}
