//! Effort over the season: person-hours by week, paid people below and volunteers above, with the weeks of ripe seed shaded.

use chrono::{Datelike, Days, NaiveDate};

use super::{
    Anchor, Drawing, HAIR, Lettering, NAME, SIZE, SMALL, Scale, Svg, WIDTH, cut, held, stroke,
    ticks,
};
use crate::report::fonts;
use crate::report::number::Style;
use crate::report::palette::{BARK, HUSK, INK, PAPER, POND, REED};
use crate::season::{Pull, Season};
use crate::words::{Language, Words, day_and_month, month};
use crate::{phrase, words};

const HEIGHT: f64 = 166.0;
const LEFT: f64 = 30.0;
const TOP: f64 = 26.0;
const BOTTOM: f64 = 23.0;

/// More weeks than this can't be told apart in print, and are no season.
const MOST_WEEKS: usize = 60;

/// A week of the season.
#[derive(Debug, Default, Clone)]
pub struct Week {
    /// Person-hours that are known.
    pub staff: f64,
    pub volunteers: f64,
    /// Pulls of which neither are known.
    pub pulls_without_hours: usize,
    pub pulls: usize,
}

/// The season by weeks.
pub struct Weeks {
    /// Monday of the first week.
    pub first: NaiveDate,
    pub weeks: Vec<Week>,
    /// Each pull: days since `first`, and whether its hours are known.
    pub marks: Vec<(f64, bool)>,
    /// Days since `first` on which seed ripens, if that lies in these weeks.
    pub ripe: Option<(f64, NaiveDate)>,
}

/// The words at the day from which seed is ripe.
pub fn ripe_from(day: NaiveDate, language: Language) -> String {
    words!("seed ripe from {day}", day = day_and_month(day, language)).say(language)
}

/// Effort by week; `None` where no pull has a date within the season.
pub fn weeks(season: &Season, pulls: &[&Pull]) -> Option<Weeks> {
    let (first, last) = span(season, pulls)?;
    let first = monday(first);
    let weeks_between = |date: NaiveDate| usize::try_from((date - first).num_days() / 7).ok();
    let count = (weeks_between(last)? + 1).min(MOST_WEEKS);
    let mut weeks = vec![Week::default(); count];
    let mut marks: Vec<(f64, bool)> = Vec::new();
    for pull in pulls {
        let Some(date) = pull.date().filter(|date| *date >= first) else {
            continue;
        };
        let Some(week) = weeks_between(date).and_then(|at| weeks.get_mut(at)) else {
            continue;
        };
        let (staff, volunteers) = pull.effort();
        week.staff += staff.hours().unwrap_or(0.0);
        week.volunteers += volunteers.hours().unwrap_or(0.0);
        week.pulls += 1;
        week.pulls_without_hours += usize::from(!hours_known(pull));
        marks.push(((date - first).num_days() as f64, hours_known(pull)));
    }
    let days = weeks.len() as f64 * 7.0;
    let ripe = season.settings.seed_ripens.and_then(|date| {
        let day = (date - first).num_days() as f64;
        (0.0..days).contains(&day).then_some((day, date))
    });
    (!marks.is_empty()).then_some(Weeks {
        first,
        weeks,
        marks,
        ripe,
    })
}

/// The chart; `None` where no pull has a date within the season.
///
/// `totals` is the sentence of season totals, made from the ledger.
pub fn draw(
    season: &Season,
    pulls: &[&Pull],
    totals: Option<Words>,
    style: &Style,
) -> Option<Drawing> {
    Some(paint(&weeks(season, pulls)?, totals, style))
}

fn hours_known(pull: &Pull) -> bool {
    pull.person_hours().is_some()
}

/// From the season's start to its end, widened to the pulls where they lie outside by less than half a year.
fn span(season: &Season, pulls: &[&Pull]) -> Option<(NaiveDate, NaiveDate)> {
    let settings = &season.settings;
    let dates: Vec<NaiveDate> = pulls.iter().filter_map(|pull| pull.date()).collect();
    let near = |date: &&NaiveDate| (date.year() - settings.year).abs() <= 1;
    let earliest = dates.iter().filter(near).min().copied()?;
    let latest = dates.iter().filter(near).max().copied()?;
    // The calendar year stands where nothing is said; then the pulls themselves are the season.
    let said = (settings.ends - settings.starts).num_days();
    if (1..360).contains(&said) {
        Some((earliest.min(settings.starts), latest.max(settings.ends)))
    } else {
        Some((earliest, latest))
    }
}

fn monday(date: NaiveDate) -> NaiveDate {
    let back = u64::from(date.weekday().num_days_from_monday());
    date.checked_sub_days(Days::new(back)).unwrap_or(date)
}

fn paint(all: &Weeks, totals: Option<Words>, style: &Style) -> Drawing {
    let (first, weeks, marks) = (all.first, all.weeks.as_slice(), all.marks.as_slice());
    let mut svg = Svg::new(WIDTH, HEIGHT);
    let base = HEIGHT - BOTTOM;
    let days = weeks.len() as f64 * 7.0;
    let across = Scale::new((0.0, days), (LEFT, WIDTH));
    let most = weeks
        .iter()
        .map(|week| week.staff + week.volunteers)
        .fold(0.0, f64::max);
    let lines = ticks(most, 4.0, style.language);
    let top_value = lines.last().map_or(1.0, |(value, _)| *value);
    let up = Scale::new((0.0, top_value), (base, TOP));
    if let Some((day, ripe)) = all.ripe {
        let from = across.at(day);
        svg.rect(from, TOP - 10.0, WIDTH - from, base - TOP + 10.0, HUSK);
        let told = ripe_from(ripe, style.language);
        // Behind the line, or before it where the season ends too soon for the words.
        let (at, anchor) = if from + 4.0 + fonts::width(&told, SIZE, false) <= WIDTH {
            (from + 4.0, Anchor::Start)
        } else {
            (from - 4.0, Anchor::End)
        };
        svg.text(at, TOP - 2.0, &told, Lettering::new(BARK, anchor));
    }
    for (value, text) in &lines {
        let y = up.at(*value);
        svg.line(LEFT, y, WIDTH, y, HAIR);
        svg.text(LEFT - 5.0, y + 2.6, text, held(SMALL, Anchor::End));
    }
    for (index, week) in weeks.iter().enumerate() {
        let slot = across.at(7.0) - across.at(0.0);
        // Fifteen hundredths of air on either side keep weeks apart.
        let (x, width) = (across.at(index as f64 * 7.0) + 0.15 * slot, 0.7 * slot);
        let middle = up.at(week.staff);
        svg.rect(x, middle, width, base - middle, POND);
        let top = up.at(week.staff + week.volunteers);
        svg.rect(x, top, width, middle - top, REED);
    }
    svg.line(LEFT, base, WIDTH, base, stroke(INK, 0.8));
    months(&mut svg, first, days, (&across, base), style);
    for (day, known) in marks {
        let x = across.at(*day + 0.5);
        if *known {
            svg.line(x, base + 2.0, x, base + 6.0, stroke(INK, 0.6));
        } else {
            svg.circle(x, base + 4.0, 1.7, PAPER, Some(stroke(INK, 0.7)));
        }
    }
    legend(&mut svg, style, marks.iter().any(|(_, known)| !known));
    svg.finish(style.say(all.in_words(totals, style)))
}

impl Weeks {
    /// What the chart shows, in words.
    pub fn in_words(&self, totals: Option<Words>, style: &Style) -> Words {
        let busiest = self
            .weeks
            .iter()
            .enumerate()
            .max_by(|(_, a), (_, b)| (a.staff + a.volunteers).total_cmp(&(b.staff + b.volunteers)))
            .and_then(|(index, _)| self.first.checked_add_days(Days::new(index as u64 * 7)));
        let busiest = busiest.map(|week| {
            words!(
                "The busiest week began on {day}.",
                day = day_and_month(week, style.language)
            )
        });
        let told = [
            Some(words!(
                "Columns of person-hours on the water by week, paid people and volunteers."
            )),
            totals,
            busiest,
        ];
        Words::joined(told.into_iter().flatten(), " ")
    }
}

/// Names of months below the axis, each at its first day.
fn months(
    svg: &mut Svg,
    first: NaiveDate,
    days: f64,
    (across, base): (&Scale, f64),
    style: &Style,
) {
    for day in 0..days as u64 {
        let Some(next) = first.checked_add_days(Days::new(day)) else {
            break;
        };
        let starts = next.day() == 1 || day == 0;
        if starts {
            let x = across.at(day as f64);
            // A name needs room: at the start before the next month, at the end before the edge.
            let cramped = (day == 0 && next.day() > 18) || x > WIDTH - 34.0;
            svg.line(x, base, x, base + 20.0, HAIR);
            if !cramped {
                let name = month(next.month(), style.language);
                svg.text(x + 3.0, base + 18.0, name, SMALL);
            }
        }
    }
}

fn legend(svg: &mut Svg, style: &Style, some_unknown: bool) {
    let y = 8.0;
    let said = |word| style.language.of(word);
    let wide = |word: &str| fonts::width(word, SIZE, false);
    let what = said(phrase!("person-hours a week"));
    svg.text(0.0, y, what, SMALL);
    // The places for English, farther apart where words are longer.
    let mut x = 100f64.max(wide(what) + 12.0);
    for (fill, word) in [
        (POND, said(phrase!("paid people"))),
        (REED, said(phrase!("volunteers"))),
    ] {
        svg.rect(x, y - 6.0, 7.0, 7.0, fill);
        svg.text(x + 10.0, y, word, NAME);
        x += 72f64.max(10.0 + wide(word) + 12.0);
    }
    svg.line(x + 3.0, y - 5.0, x + 3.0, y - 0.5, stroke(INK, 0.6));
    let pull = said(phrase!("a pull"));
    svg.text(x + 9.0, y, pull, NAME);
    if some_unknown {
        x += 46f64.max(9.0 + wide(pull) + 12.0);
        let without = said(phrase!("a pull without hours, not in the columns"));
        svg.circle(x + 2.0, y - 2.6, 1.7, PAPER, Some(stroke(INK, 0.7)));
        svg.text(x + 9.0, y, &cut(without, WIDTH - x - 9.0, SIZE), NAME);
    }
}
