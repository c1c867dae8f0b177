//! What the public edition must not show, and a season from which it is gone.
//!
//! Takes a season; gives a copy whose sensitive sites are squares of a grid and whose free words and records that may name people
//! are gone, the photos that anybody may see, and the list of secrets that [`super::leak`] looks for. Opens no file.

use geo::{BoundingRect, Centroid, Contains, Coord, LineString, MultiPolygon, Point, Polygon};

use super::input::{Pair, Plates, PullMark, Shot};
use crate::photo::Photo;
use crate::season::{Consent, PhotoMatch, Season, Showing, Site, distance_to, showing};

/// Metres in a degree of latitude, near enough for a grid that is meant to be coarse (GRS 80 mean meridian, rounded; from memory).
const METRES_A_DEGREE: f64 = 111_200.0;

/// A finer grid would be no protection: a boat's length tells a cove.
const FINEST_GRID_M: f64 = 100.0;

/// A coarser one leaves no map.
const COARSEST_GRID_M: f64 = 100_000.0;

/// The grid's step in metres, as it is used.
pub fn grid_m(season: &Season) -> f64 {
    let wanted = season.settings.privacy.coarsen_to_m;
    if wanted.is_finite() {
        wanted.clamp(FINEST_GRID_M, COARSEST_GRID_M)
    } else {
        COARSEST_GRID_M
    }
}

/// May anybody see the photo? Where people are likely, silence is no consent.
pub fn may_be_public(season: &Season, photo: &Photo, one: &PhotoMatch) -> bool {
    showing(season, &photo.path, one.role).in_public()
}

/// The season as anybody may know it.
pub fn public(season: &Season) -> Season {
    let mut open = season.clone();
    let grid = grid_m(season);
    let hidden: Vec<Site> = sensitive(season).cloned().collect();
    for site in open.ground.sites.iter_mut().filter(|site| site.sensitive) {
        site.outline = square(&site.outline, grid);
    }
    open.ground.stations.retain(|station| {
        !near_any(&hidden, station.point, grid)
            && !station
                .site
                .as_deref()
                .and_then(|site| season.ground.site(site))
                .is_some_and(|site| site.sensitive)
    });
    if !hidden.is_empty() {
        // A boat's track shows the way to a bed.
        open.tracks.clear();
    }
    for pull in &mut open.pulls {
        for row in &mut pull.rows {
            // Free words of the log may name people; how many rows have them is told.
            row.notes = None;
            row.incident = row.incident.as_ref().map(|_| String::new());
            row.other_species = row.other_species.as_ref().map(|_| String::new());
        }
    }
    for rate in &mut open.settings.rates {
        rate.authority = None;
    }
    open.photo_notes.silence(|note| {
        note.withheld || note.consent != Some(Consent::Yes) && note.consent.is_some()
    });
    open
}

fn sensitive(season: &Season) -> impl Iterator<Item = &Site> {
    season.ground.sites.iter().filter(|site| site.sensitive)
}

fn near_any(sites: &[Site], point: Point<f64>, within_m: f64) -> bool {
    sites
        .iter()
        .any(|site| distance_to(&site.outline, point) <= within_m)
}

/// The square of the grid that holds the middle of an outline. An outline without a middle becomes nothing.
fn square(outline: &MultiPolygon<f64>, grid: f64) -> MultiPolygon<f64> {
    let middle = outline
        .centroid()
        .or_else(|| outline.bounding_rect().map(|rect| rect.center().into()));
    let Some(middle) = middle else {
        return MultiPolygon(Vec::new());
    };
    let up = grid / METRES_A_DEGREE;
    let south = (middle.y() / up).floor() * up;
    // The step in longitude follows from the row, so that every point of a row has the same one.
    let across = up / (south + up / 2.0).to_radians().cos().max(1e-3);
    let west = (middle.x() / across).floor() * across;
    let corner = |x: f64, y: f64| Coord {
        x: west + x * across,
        y: south + y * up,
    };
    let ring = vec![
        corner(0.0, 0.0),
        corner(1.0, 0.0),
        corner(1.0, 1.0),
        corner(0.0, 1.0),
        corner(0.0, 0.0),
    ];
    MultiPolygon(vec![Polygon::new(LineString(ring), Vec::new())])
}

/// Marks of pulls that anybody may see: none at or near a sensitive site.
pub fn marks(season: &Season, marks: &[PullMark]) -> Vec<PullMark> {
    let grid = grid_m(season);
    let hidden: Vec<Site> = sensitive(season).cloned().collect();
    marks
        .iter()
        .filter(|mark| {
            let at_hidden = mark
                .site
                .as_deref()
                .is_some_and(|id| hidden.iter().any(|site| site.id == id));
            let point = Point::new(mark.longitude, mark.latitude);
            // Within a hidden outline, or so near that the way there shows.
            !at_hidden
                && !hidden.iter().any(|site| site.outline.contains(&point))
                && !near_any(&hidden, point, grid / 10.0)
        })
        .cloned()
        .collect()
}

/// Plates that anybody may see. A pair of which one may not be seen is gone as a whole.
pub fn plates(season: &Season, plates: &Plates) -> Plates {
    let shown = |path: &str| {
        let found = season.photo(path).zip(season.match_of(path));
        found.is_some_and(|(photo, one)| may_be_public(season, photo, one))
    };
    // Where exactly the photographer stood is nobody's need but an auditor's.
    let open = |shot: &Shot| Shot {
        position: None,
        ..shot.clone()
    };
    Plates {
        pairs: plates
            .pairs
            .iter()
            .filter(|pair| shown(&pair.before.photo) && shown(&pair.after.photo))
            .map(|pair| Pair {
                before: open(&pair.before),
                after: open(&pair.after),
                other_years: pair
                    .other_years
                    .iter()
                    .filter(|shot| shown(&shot.photo))
                    .map(open)
                    .collect(),
                ..pair.clone()
            })
            .collect(),
        singles: plates
            .singles
            .iter()
            .filter(|single| shown(&single.photo))
            .cloned()
            .collect(),
        ..plates.clone()
    }
}

/// What must not be in anything public.
#[derive(Debug, Clone, Default)]
pub struct Secrets {
    /// Words, with what they are: `the name of a withheld photo`.
    pub words: Vec<(String, &'static str)>,
    /// Degrees of sensitive places: latitudes and longitudes alike, without sign.
    pub degrees: Vec<f64>,
    /// Decimals of a degree from which on a number is finer than the grid.
    pub decimals: usize,
    /// Paths of photos that must not be seen.
    pub photos: Vec<String>,
}

/// Words shorter than this stand in any text by chance.
const SHORTEST_WORD: usize = 5;

/// Words of a caption are looked for from this length on.
const SHORTEST_SENTENCE: usize = 16;

/// All secrets of a season.
pub fn secrets(season: &Season) -> Secrets {
    let mut secrets = Secrets {
        decimals: decimals(grid_m(season)),
        ..Secrets::default()
    };
    for (photo, one) in season.photos.iter().zip(season.matches.iter()) {
        if may_be_public(season, photo, one) {
            continue;
        }
        let forbidden = matches!(showing(season, &photo.path, one.role), Showing::Never(_));
        if !forbidden {
            // Not shown, since nobody said that it may; its name is no secret.
            continue;
        }
        secrets.photos.push(photo.path.to_string());
        secrets.word(&photo.path, "the path of a withheld photo");
        let name = photo.path.rsplit('/').next().unwrap_or_default();
        secrets.word(name, "the name of a withheld photo");
        for note in season.photo_notes.on(&photo.path) {
            for (text, what) in [
                (&note.caption, "the caption of a withheld photo"),
                (&note.reason, "why a photo is withheld"),
            ] {
                // Shorter ones, a site's name for example, stand in other places too.
                if let Some(text) = text
                    && text.chars().count() >= SHORTEST_SENTENCE
                {
                    secrets.word(text, what);
                }
            }
        }
    }
    for row in &season.spending {
        if let Some(receipt) = &row.receipt {
            // A word such as 'invoice' names no paper.
            if receipt.contains(['.', '/']) || receipt.chars().any(|c| c.is_ascii_digit()) {
                secrets.word(receipt, "the name of a receipt");
            }
        }
    }
    for site in sensitive(season) {
        for polygon in &site.outline {
            let corners = std::iter::once(polygon.exterior()).chain(polygon.interiors());
            for corner in corners.flat_map(|ring| &ring.0) {
                secrets.place(Point::from(*corner));
            }
        }
        if let Some(middle) = site.outline.centroid() {
            secrets.place(middle);
        }
        let at_site = |id: Option<&str>| id == Some(site.id.as_str());
        for station in &season.ground.stations {
            if at_site(station.site.as_deref()) || site.outline.contains(&station.point) {
                secrets.place(station.point);
            }
        }
        for track in &season.tracks {
            for point in &track.points {
                if site.outline.contains(&point.point) {
                    secrets.place(point.point);
                }
            }
        }
        for (photo, one) in season.photos.iter().zip(season.matches.iter()) {
            if let Some(position) = photo.position.filter(|_| at_site(one.site.as_deref())) {
                secrets.place(Point::new(position.longitude, position.latitude));
            }
        }
    }
    secrets
}

impl Secrets {
    fn word(&mut self, word: &str, what: &'static str) {
        let word = word.trim();
        if word.chars().count() >= SHORTEST_WORD
            && !self.words.iter().any(|(known, _)| known == word)
        {
            self.words.push((word.to_owned(), what));
        }
    }

    fn place(&mut self, point: Point<f64>) {
        self.degrees.extend([point.x().abs(), point.y().abs()]);
    }
}

/// From how many decimals of a degree on a position is finer than a grid of so many metres.
fn decimals(grid: f64) -> usize {
    // One decimal is 11 km, two are 1.1 km, three 111 m.
    (1..=7)
        .find(|decimals| METRES_A_DEGREE / 10f64.powi(*decimals) < grid)
        .and_then(|decimals| usize::try_from(decimals).ok())
        .unwrap_or(7)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::tests::sample::Recipe;
    use crate::season::Role;

    fn with_secret() -> crate::report::tests::sample::Sample {
        let mut sample = Recipe::new(3, 6).build();
        sample.season.ground.sites[1].sensitive = true;
        sample
    }

    #[test]
    fn a_square_tells_no_more_than_the_grid() {
        let sample = with_secret();
        let here = &sample.season.ground.sites[1].outline;
        let coarse = square(here, 1_000.0);
        let middle = here.centroid().unwrap();
        assert!(coarse.contains(&middle));
        let rect = coarse.bounding_rect().unwrap();
        let high = rect.height() * METRES_A_DEGREE;
        assert!((high - 1_000.0).abs() < 1.0, "{high}");
        // Any other outline with its middle in the square gives the same one.
        let small = MultiPolygon(vec![Polygon::new(
            LineString(vec![
                rect.center(),
                Coord {
                    x: rect.center().x + 1e-5,
                    y: rect.center().y,
                },
                Coord {
                    x: rect.center().x,
                    y: rect.center().y + 1e-5,
                },
                rect.center(),
            ]),
            Vec::new(),
        )]);
        assert_eq!(square(&small, 1_000.0), coarse);
    }

    #[test]
    fn stations_marks_and_free_words_of_a_sensitive_site_are_gone() {
        let mut sample = with_secret();
        sample.season.pulls[0].rows[0].incident = Some("Kim Somebody fell in".into());
        let open = public(&sample.season);
        assert_ne!(
            open.ground.sites[1].outline,
            sample.season.ground.sites[1].outline
        );
        assert_eq!(
            open.ground.sites[0].outline,
            sample.season.ground.sites[0].outline
        );
        assert!(open.ground.stations.len() < sample.season.ground.stations.len());
        assert_eq!(open.pulls[0].rows[0].incident.as_deref(), Some(""));
        let shown = marks(&sample.season, &sample.marks);
        assert!(!shown.is_empty() && shown.len() < sample.marks.len());
        let hidden = &sample.season.ground.sites[1].outline;
        assert!(
            shown
                .iter()
                .all(|mark| !hidden.contains(&Point::new(mark.longitude, mark.latitude)))
        );
    }

    #[test]
    fn finer_than_the_grid_begins_at_the_right_decimal() {
        assert_eq!(decimals(1_000.0), 3);
        assert_eq!(decimals(5_000.0), 2);
        assert_eq!(decimals(100.0), 4);
    }

    #[test]
    fn silence_is_consent_only_where_no_people_are() {
        let sample = with_secret();
        let season = &sample.season;
        let photo = |path: &str| {
            let at = season
                .photos
                .iter()
                .position(|photo| photo.path == path)
                .unwrap();
            (&season.photos[at], season.matches[at].clone())
        };
        let (still, mut one) = photo("photos/s0.jpg");
        for (role, shown) in [
            (Some(Role::Before), true),
            (Some(Role::Catch), true),
            (Some(Role::Crew), false),
            (None, false),
        ] {
            one.role = role;
            assert_eq!(may_be_public(season, still, &one), shown, "{role:?}");
        }
        let (refused, mut one) = photo("photos/s4.jpg");
        one.role = Some(Role::Before);
        assert!(!may_be_public(season, refused, &one));
        let secrets = secrets(season);
        let names: Vec<&str> = secrets
            .words
            .iter()
            .map(|(word, _)| word.as_str())
            .collect();
        assert!(names.contains(&"s4.jpg") && names.contains(&"shows a private garden"));
        assert!(!secrets.degrees.is_empty());
    }
}
