//! What stands at the place of a finding, as a short hash: an acceptance holds for what a person saw, and for nothing else.

use sha2::{Digest, Sha256};

use super::core::Finding;
use crate::hash::hex;
use crate::place::{Place, Spot};
use crate::season::{Row, Season};

/// Bytes of the hash that are written: one chance in four thousand million that a change goes unseen is little beside a person's eye.
const BYTES: usize = 4;

/// Parts two cells, so that moving a letter from one to the next is a change.
const BETWEEN: &str = "\u{1f}";

/// Eight hexadecimal digits that stand for what a finding is about.
///
/// For a cell or a row, all cells of the row; for a photo, its bytes; for an outline or a station, all that sites.geojson says of it. Where
/// nothing of that kind is there, the finding's own words, which name what was found.
pub fn hash(season: &Season, finding: &Finding) -> String {
    short(&content(season, finding))
}

fn short(content: &str) -> String {
    let digest = Sha256::digest(content.as_bytes());
    hex(digest.get(..BYTES).unwrap_or_default())
}

fn content(season: &Season, finding: &Finding) -> String {
    let place = &finding.place;
    match &place.spot {
        Spot::Row { .. } | Spot::Cell(_) => row(season, place).map(cells),
        Spot::Tag(_) | Spot::Whole => season.photo(&place.file).map(|photo| hex(&photo.sha256)),
        Spot::Feature(_) => feature(season, place),
        _ => None,
    }
    .unwrap_or_else(|| finding.message.to_string())
}

/// The row at a place, of any table.
fn row<'a>(season: &'a Season, place: &Place) -> Option<&'a Row> {
    let wanted = place.row_only();
    let pulls = season
        .pulls
        .iter()
        .flat_map(|pull| &pull.rows)
        .map(|row| &row.row);
    pulls
        .chain(season.weighings.iter().map(|row| &row.row))
        .chain(season.cover.iter().map(|row| &row.row))
        .chain(season.history.iter().map(|row| &row.row))
        .chain(season.spending.iter().map(|row| &row.row))
        .chain(season.photo_notes.iter().map(|row| &row.row))
        .find(|row| row.head.file == wanted.file && row.place() == wanted)
}

/// All cells without the blanks around them; empty ones at the end are the program's that saved the table.
fn cells(row: &Row) -> String {
    let mut cells: Vec<&str> = row.cells.iter().map(|cell| cell.trim()).collect();
    while cells.last() == Some(&"") {
        cells.pop();
    }
    cells.join(BETWEEN)
}

fn feature(season: &Season, place: &Place) -> Option<String> {
    let site = season.ground.sites.iter().find(|site| site.place == *place);
    let station = season
        .ground
        .stations
        .iter()
        .find(|station| station.place == *place);
    // Written out and not derived, so that a new field of ours is no change of theirs.
    site.map(|site| {
        format!(
            "{}{BETWEEN}{}{BETWEEN}{}{BETWEEN}{}{BETWEEN}{:?}",
            site.id,
            site.name,
            site.waterbody.as_deref().unwrap_or_default(),
            site.sensitive,
            geo::CoordsIter::coords_iter(&site.outline)
                .map(|corner| (corner.x, corner.y))
                .collect::<Vec<_>>()
        )
    })
    .or_else(|| {
        station.map(|station| {
            format!(
                "{}{BETWEEN}{}{BETWEEN}{}{BETWEEN}{:?}{BETWEEN}{:?}",
                station.id,
                station.name.as_deref().unwrap_or_default(),
                station.site.as_deref().unwrap_or_default(),
                station.bearing,
                (station.point.x(), station.point.y())
            )
        })
    })
}
