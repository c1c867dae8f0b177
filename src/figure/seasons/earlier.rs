//! What the ledger of an earlier season's archive gives where history.csv is silent.
//!
//! Takes a season joined to its earlier archive and what the seasons are recorded in; gives a value for each site, with
//! the places of the two figures. A site of which history.csv has a row for that year is left to the row.

use super::recorded::{Recorded, WHOLE};
use crate::figure::left_out::LeftOut;
use crate::place::Place;
use crate::season::{EarlierRecord, Season};
use crate::words;

/// Of a site, or the whole programme.
pub struct FromLedger {
    /// The site's id, or [`WHOLE`].
    pub site: String,
    pub year: i32,
    pub outcome: Result<Given, LeftOut>,
}

/// What came out and in how many hours, in base units.
pub struct Given {
    pub amount: f64,
    pub effort: f64,
    pub places: Vec<Place>,
}

/// All that the ledger adds; empty where no archive can be built on.
pub fn of(season: &Season, recorded: &Recorded) -> Vec<FromLedger> {
    let Some((year, earlier, record)) = season.earlier_record() else {
        return Vec::new();
    };
    // Where history knows the programme as a whole only, a season by site would push all of it aside.
    let whole = !season.history.is_empty() && season.history.iter().all(|row| row.site.is_none());
    let sites: Vec<&str> = if whole {
        vec![WHOLE]
    } else {
        let sites = season.ground.sites.iter();
        sites.map(|site| site.id.as_str()).collect()
    };
    let mut found = Vec::new();
    for site in sites.into_iter().filter(|site| !told(season, year, site)) {
        let name = |stem: &str| match site {
            WHOLE => stem.to_owned(),
            site => format!("{stem}/{site}"),
        };
        let (effort, amount) = (name(EFFORT), name(&recorded.figure()));
        if record.figure(&effort).is_none() && record.figure(&amount).is_none() {
            // The site was not worked, or not yet known.
            continue;
        }
        let places = vec![earlier.place(&amount), earlier.place(&effort)];
        let lacking = |figure: &str| {
            LeftOut::new(
                earlier.place(figure),
                words!(
                    "{year}: the ledger of that archive gives no {figure}",
                    year = year.to_string(),
                    figure
                ),
            )
        };
        let outcome = match (number(record, &amount), number(record, &effort)) {
            (None, _) => Err(lacking(&amount)),
            (_, None) => Err(lacking(&effort)),
            (_, Some(hours)) if hours <= 0.0 => Err(LeftOut::new(
                earlier.place(&effort),
                words!("{year}: it took no hours", year = year.to_string()),
            )),
            (Some(amount), Some(effort)) => Ok(Given {
                amount,
                effort,
                places,
            }),
        };
        found.push(FromLedger {
            site: site.to_owned(),
            year,
            outcome,
        });
    }
    found
}

/// The figure of the hours on the water.
const EFFORT: &str = "effort.person-hours";

fn number(record: &EarlierRecord, figure: &str) -> Option<f64> {
    record.figure(figure).flatten()
}

/// Whether history.csv has a row for the year and the site, be it of use or not.
fn told(season: &Season, year: i32, site: &str) -> bool {
    season.history.iter().any(|row| {
        let of = match row.site.as_deref() {
            None => Some(WHOLE),
            Some(name) => season.ground.site(name).map(|site| site.id.as_str()),
        };
        row.year == Some(year) && of == Some(site)
    })
}
