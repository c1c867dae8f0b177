//! What the seeds in the mud may do in years to come, and how many this season's pulling kept out of it: scenarios from ranges that
//! the group supposes, never a measurement.

use super::absence::{key, range, supposed_by};
use super::area;
use super::core::{Figure, Measure, Outturn, Supposed};
use super::parts::around_ripening;
use super::removal::Removal;
use super::scope::Scope;
use crate::estimate::{self, Course, Outlook, Range, SeedBank, SeedYear};
use crate::phrase;
use crate::place::Place;
use crate::season::{Pull, Season, SeedBankSettings, Site, Supposition, value};
use crate::words;
use crate::words::Words;

/// What to add to season.toml.
const NOT_SUPPOSED: &str = phrase!(
    "season.toml supposes nothing of the seeds in the mud; add `[seed_bank]` with `began`, `seeds_per_m2`, \
     `germinating`, `surviving`, `establishing`, `seeds_per_rosette` and `removed`, each a range with its source, as \
     docs/season-folder.md shows."
);

/// What every reader must be told.
const SCENARIO: &str =
    phrase!("A scenario from what was supposed, no measurement and no confidence interval.");

/// Share of the scenarios drawn that a range holds.
const SHARE: f64 = 0.9;

/// Draws: another start changes the second digit of a range's ends at most.
const DRAWS: usize = 4_000;

/// Years ahead that are given for each site; the season has every year.
const SITE_YEARS: [usize; 3] = [1, 5, 10];

const COURSES: [(Course, &str, &str); 3] = [
    (
        Course::Never,
        "never",
        phrase!("Rosettes that grow up in a year had nobody ever pulled"),
    ),
    (
        Course::SameEffort,
        "same-effort",
        phrase!("Rosettes that grow up in a year with the same effort every year"),
    ),
    (
        Course::StopNow,
        "stop-now",
        phrase!("Rosettes that grow up in a year if pulling stops now"),
    ),
];

/// The outlook of a season, drawn once.
pub struct Forecast<'a> {
    season: &'a Season,
    settings: Option<&'a SeedBankSettings>,
    /// Per square metre; or why there is none.
    outlook: Result<(Outlook, usize), Words>,
}

impl<'a> Forecast<'a> {
    pub fn of(season: &'a Season) -> Self {
        let settings = season.settings.seed_bank.as_ref();
        Self {
            season,
            settings,
            outlook: match settings {
                None => Err(Words::fixed(NOT_SUPPOSED)),
                Some(settings) => draw(settings, season.settings.year),
            },
        }
    }

    /// Figures of a scope: by year, years of follow-up, seeds kept from the mud.
    pub fn figures(&self, plants: &Removal<'_>, scope: &Scope<'_>) -> Vec<Figure> {
        let mut figures = self.rosettes(scope);
        figures.push(self.follow_up(scope));
        figures.push(self.seeds_kept(plants, scope));
        if scope.site.is_none() {
            figures.push(self.holding(scope));
        }
        figures
    }

    /// Years of pulling so far, this one included, with the outlook.
    fn outlook(&self) -> Result<(&Outlook, usize), Words> {
        self.outlook
            .as_ref()
            .map(|(outlook, past)| (outlook, *past))
            .map_err(Clone::clone)
    }

    fn places(&self) -> impl Iterator<Item = Place> {
        self.settings
            .is_some()
            .then(|| key("seed_bank"))
            .into_iter()
    }

    fn suppositions(&self, figure: Figure) -> Figure {
        let Some(settings) = self.settings else {
            return figure;
        };
        figure
            .assuming(supposed(
                words!("live seeds a square metre when pulling began"),
                &settings.seeds_per_m2,
            ))
            .assuming(supposed(
                words!("share that germinates in a year"),
                &settings.germinating,
            ))
            .assuming(supposed(
                words!("share of buried seeds that lives through a year"),
                &settings.surviving,
            ))
            .assuming(supposed(
                words!("share of seedlings that grows up"),
                &settings.establishing,
            ))
            .assuming(supposed(
                words!("live seeds a rosette adds"),
                &settings.seeds_per_rosette,
            ))
            .assuming(supposed(
                words!("share of rosettes pulled before they seed"),
                &settings.removed,
            ))
    }

    /// Square metres of a scope that were pulled, with the rows that say so.
    fn bed(&self, scope: &Scope<'_>) -> Option<(f64, Vec<Place>)> {
        let sites: Vec<&Site> = match scope.site {
            Some(site) => vec![site],
            None => self.season.ground.sites.iter().collect(),
        };
        let known: Vec<(f64, Vec<Place>)> = sites
            .into_iter()
            .filter_map(|site| area::largest(self.season, site, Pull::treated_area))
            .filter(|(area, _)| *area > 0.0)
            .collect();
        (!known.is_empty()).then(|| {
            (
                estimate::sum(known.iter().map(|(area, _)| *area)),
                known.into_iter().flat_map(|(_, places)| places).collect(),
            )
        })
    }

    fn rosettes(&self, scope: &Scope<'_>) -> Vec<Figure> {
        let method = words!(
            "S' = S(1 − g)s + S g e (1 − c) f, drawn from the ranges; rosettes are S g e on the largest area treated. The range holds \
                      nine of ten scenarios."
        );
        let refused = |reason: Words| {
            COURSES
                .iter()
                .map(|(_, name, label)| {
                    self.suppositions(scope.figure(
                        &format!("outlook.rosettes-{name}"),
                        Words::fixed(label),
                        Measure::Count,
                        Outturn::Refused(reason.clone()),
                        &method,
                    ))
                    .resting_on(self.places())
                })
                .collect()
        };
        let (outlook, past) = match self.outlook() {
            Ok(outlook) => outlook,
            // Said once for the season; by site it would be the same words again.
            Err(_) if scope.site.is_some() => return Vec::new(),
            Err(reason) => return refused(reason),
        };
        let Some((bed, places)) = self.bed(scope) else {
            return refused(words!("No pull gives the area treated."));
        };
        let mut figures = Vec::new();
        for (course, name, label) in COURSES {
            let Some((_, years)) = outlook.plants.iter().find(|(one, _)| *one == course) else {
                continue;
            };
            for (ahead, year) in years.iter().skip(past).enumerate() {
                // The first year after the past ones is next year.
                let ahead = ahead + 1;
                if scope.site.is_some() && !SITE_YEARS.contains(&ahead) {
                    continue;
                }
                let calendar = i64::from(self.season.settings.year)
                    .saturating_add(i64::try_from(ahead).unwrap_or(i64::MAX));
                figures.push(
                    self.suppositions(
                        scope
                            .figure(
                                &format!("outlook.rosettes-{name}/{calendar}"),
                                Words::fixed(label).then(", ", calendar.to_string()),
                                Measure::Count,
                                Outturn::Supposed(times(*year, bed, outlook)),
                                &method,
                            )
                            .of_kind(Words::fixed(label)),
                    )
                    .resting_on(places.iter().cloned().chain(self.places())),
                );
            }
        }
        figures
    }

    /// Years until less than one rosette a year is expected, with the same effort.
    fn follow_up(&self, scope: &Scope<'_>) -> Figure {
        let make = |outturn: Outturn, places: Vec<Place>| {
            self.suppositions(scope.figure(
                "outlook.follow-up-years",
                words!("Years of follow-up with the same effort"),
                Measure::Years,
                outturn,
                words!("Years from now until less than one rosette a year grows up on the largest area treated. The range holds nine of ten scenarios."),
            ))
            .resting_on(places.into_iter().chain(self.places()))
        };
        let (outlook, past) = match self.outlook() {
            Ok(outlook) => outlook,
            Err(reason) => return make(Outturn::Refused(reason), Vec::new()),
        };
        let Some((bed, places)) = self.bed(scope) else {
            return make(
                Outturn::Refused(words!("No pull gives the area treated.")),
                Vec::new(),
            );
        };
        let years: &[SeedYear] = outlook
            .plants
            .iter()
            .find(|(course, _)| *course == Course::SameEffort)
            .and_then(|(_, years)| years.get(past..))
            .unwrap_or_default();
        let until = |of: fn(&SeedYear) -> f64| {
            years
                .iter()
                .position(|year| of(year) * bed < 1.0)
                // Exact: a hundred years at most.
                .map(|year| year as f64)
        };
        let outturn = match until(|year| year.low) {
            None => Outturn::Refused(words!(
                "By what season.toml supposes, in hardly any scenario less than one rosette a year is left after {years} years.",
                years = years.len()
            )),
            Some(lower) => Outturn::Supposed(Supposed {
                lower,
                middle: until(|year| year.middle),
                upper: until(|year| year.high).unwrap_or(f64::INFINITY),
                share: Some(SHARE),
                caution: cautions(outlook),
            }),
        };
        make(outturn, places)
    }

    /// Share that has to be pulled each year so that the stock does not grow.
    fn holding(&self, scope: &Scope<'_>) -> Figure {
        let outturn = match self.outlook() {
            Ok((outlook, _)) => Outturn::Supposed(times(outlook.holding, 100.0, outlook)),
            Err(reason) => Outturn::Refused(reason),
        };
        self.suppositions(scope.figure(
            "outlook.holding-share",
            words!("Share to be pulled before seeding each year so that the seeds in the mud don't grow more"),
            Measure::Percent,
            outturn,
            words!("1 − (1 − (1 − g)s) ÷ (g e f), drawn from the ranges; 0 where the stock falls by itself. The range holds nine of ten scenarios."),
        ))
        .resting_on(self.places())
    }

    /// Seeds kept from the mud by what was pulled before seeds ripened.
    fn seeds_kept(&self, plants: &Removal<'_>, scope: &Scope<'_>) -> Figure {
        let make = |outturn: Outturn, places: Vec<Place>| {
            let mut figure = scope.figure(
                "outlook.seeds-kept",
                words!("Seeds kept from the mud by plants pulled before seeds ripened"),
                Measure::Count,
                outturn,
                words!("Plants pulled before the day of the first ripe seed times the seeds that a rosette adds; seedlings count by the share that \
                 would have grown up. Lower ends together and upper ends together."),
            );
            if let Some(settings) = self.settings {
                for (words, supposition) in [
                    (
                        words!("live seeds a rosette adds"),
                        &settings.seeds_per_rosette,
                    ),
                    (
                        words!("share of seedlings that grows up"),
                        &settings.establishing,
                    ),
                ] {
                    figure = figure.assuming(supposed(words, supposition));
                }
            }
            figure.resting_on(places.into_iter().chain(self.places()))
        };
        let Some(settings) = self.settings else {
            return make(Outturn::Refused(Words::fixed(NOT_SUPPOSED)), Vec::new());
        };
        let Some((before, _)) = around_ripening(plants, scope) else {
            return make(
                Outturn::Refused(Words::fixed(super::parts::NO_RIPENING)),
                Vec::new(),
            );
        };
        let is_seedling = |index: &crate::season::RowIndex| {
            self.season
                .pulls
                .get(index.pull)
                .and_then(|pull| pull.rows.get(index.row))
                .and_then(|row| row.stage.as_deref())
                .is_some_and(|stage| value::fold(stage) == "seedling")
        };
        let (seedlings, grown): (super::removal::Part, super::removal::Part) =
            before.into_iter().partition(is_seedling);
        let mut lower = 0.0;
        let mut upper = 0.0;
        let mut places = Vec::new();
        let mut left_out = Vec::new();
        let mut known = false;
        let certain = Range {
            low: 1.0,
            high: 1.0,
        };
        for (part, growing) in [
            (&grown, certain),
            (&seedlings, range(&settings.establishing)),
        ] {
            let figure = plants.of_part(scope, "outlook.seeds-kept", Words::default(), part);
            if let Outturn::Estimated(estimate) = &figure.outturn {
                known = true;
                let ends = estimate
                    .interval
                    .map_or((estimate.value, estimate.value), |interval| {
                        (interval.lower, interval.upper)
                    });
                lower += ends.0 * growing.low * settings.seeds_per_rosette.low;
                upper += ends.1 * growing.high * settings.seeds_per_rosette.high;
                places.extend(figure.places.iter());
            }
            left_out.extend(figure.left_out.iter());
        }
        let outturn = if known {
            Outturn::Supposed(Supposed {
                lower,
                middle: None,
                upper,
                share: None,
                caution: vec![
                    Words::fixed(SCENARIO),
                    words!(
                        "Some of these plants would have died without seeding, and what comes up later may seed all the same."
                    ),
                ],
            })
        } else {
            Outturn::Refused(words!(
                "How many plants were pulled before seeds ripened is not known."
            ))
        };
        make(outturn, places).without(left_out)
    }
}

/// A range as season.toml supposes it.
fn supposed(what: Words, supposition: &Supposition) -> Words {
    words!(
        "Supposed: {what}, {low} to {high} ({source}).",
        what,
        low = supposition.low,
        high = supposition.high,
        source = supposed_by(supposition)
    )
}

fn cautions(outlook: &Outlook) -> Vec<Words> {
    outlook.caution.clone()
}

fn times(year: SeedYear, factor: f64, outlook: &Outlook) -> Supposed {
    Supposed {
        lower: year.low * factor,
        middle: Some(year.middle * factor),
        upper: year.high * factor,
        share: Some(SHARE),
        caution: cautions(outlook),
    }
}

/// Draws the outlook per square metre; gives it with the years of pulling so far.
fn draw(settings: &SeedBankSettings, year: i32) -> Result<(Outlook, usize), Words> {
    let past = i64::from(year) - i64::from(settings.began) + 1;
    let Some(past) = usize::try_from(past).ok().filter(|past| *past > 0) else {
        return Err(words!(
            "season.toml says that pulling began in {began}, which is after this season; mend `began` in `[seed_bank]`.",
            began = settings.began.to_string()
        ));
    };
    let bank = SeedBank {
        seeds: range(&settings.seeds_per_m2),
        germinating: range(&settings.germinating),
        surviving: range(&settings.surviving),
        establishing: range(&settings.establishing),
        seeds_per_plant: range(&settings.seeds_per_rosette),
        removed: range(&settings.removed),
        ceiling: settings.most_seeds_per_m2,
    };
    let ahead = usize::try_from(settings.years_ahead).unwrap_or(usize::MAX);
    estimate::seed_bank_outlook(&bank, past, ahead, DRAWS, settings.seed, SHARE)
        .map(|outlook| (outlook, past))
        .map_err(|refusal| {
            words!(
                "{reason} Mend `[seed_bank]` in season.toml.",
                reason = refusal.reason
            )
        })
}
