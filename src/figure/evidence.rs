//! Evidence: how much of what the log says is borne out by photos, weighings and tracks.

use crate::season::{Pull, Season, Support, value};

use super::core::{Figure, Measure, Outturn};
use super::scope::Scope;

/// Is there a photo of the pull, taken at its site on its day by its own position and time?
fn photographed(season: &Season, pull: &Pull) -> bool {
    season.matches.iter().any(|one| {
        one.pull.as_deref() == Some(pull.id.as_str()) && one.support == Support::PositionAndTime
    })
}

fn weighed(season: &Season, pull: &Pull) -> bool {
    season.weighings.iter().any(|weighing| {
        weighing
            .pull
            .as_deref()
            .is_some_and(|id| value::fold(id) == value::fold(&pull.id))
    }) || pull
        .rows
        .iter()
        .any(|row| row.basis == Some(crate::season::Basis::Weighed))
}

/// Figures of evidence of a scope.
pub fn figures(scope: &Scope<'_>) -> Vec<Figure> {
    let season = scope.season;
    let places = |of: &dyn Fn(&Pull) -> bool| {
        scope
            .pulls
            .iter()
            .filter(|(_, pull)| of(pull))
            .flat_map(|(_, pull)| pull.places())
            .collect::<Vec<_>>()
    };
    let count =
        |of: &dyn Fn(&Pull) -> bool| scope.pulls.iter().filter(|(_, pull)| of(pull)).count();
    let by_photo = |pull: &Pull| photographed(season, pull);
    let backed = |pull: &Pull| photographed(season, pull) || weighed(season, pull);
    let hours = |of: &dyn Fn(&Pull) -> bool| -> f64 {
        scope
            .pulls
            .iter()
            .filter(|(_, pull)| of(pull))
            .filter_map(|(_, pull)| pull.person_hours())
            .sum()
    };
    let all = hours(&|_| true);
    let share = if all > 0.0 {
        Outturn::Exact(100.0 * hours(&backed) / all)
    } else {
        Outturn::Refused("There are no person-hours to take a share of.".into())
    };
    let photos = season
        .matches
        .iter()
        .filter(|one| match scope.site {
            Some(site) => one.site.as_deref() == Some(site.id.as_str()),
            None => true,
        })
        .count();
    vec![
        scope.figure(
            "evidence.photos",
            "Photos",
            Measure::Count,
            // Exact for any number of files.
            Outturn::Exact(photos as f64),
            "Count of picture files below photos/.",
        ),
        scope
            .figure(
                "evidence.pulls-with-photo",
                "Pulls with a photo in place and time",
                Measure::Count,
                Outturn::Exact(count(&by_photo) as f64),
                "Pulls of which a photo was taken at the site on the day, by the photo's own position and time.",
            )
            .resting_on(places(&by_photo)),
        scope
            .figure(
                "evidence.effort-share",
                "Share of person-hours backed by a photo or a weighing",
                Measure::Percent,
                share,
                "Person-hours of pulls with a photo in place and time, or with a weighing, over all person-hours.",
            )
            .resting_on(places(&backed)),
    ]
}
