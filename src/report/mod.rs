//! The report: a season's figures, findings and pictures typeset as a PDF.
//!
//! Takes values of the rooms before it, gives bytes. Computes no figure: every number is text made by [`number`] from the
//! ledger. Reads no file but the pictures of the plates, no clock, no network.
//!
//! The way through: [`Input`] → pictures → one JSON value of texts and drawings → templates in a closed world → PDF.

mod chart;
mod choose;
mod compile;
mod counted;
mod data;
mod digits;
mod error;
mod fonts;
mod input;
mod map;
mod narrative;
pub mod number;
mod palette;
mod pictures;
pub mod sheets;
mod templates;
#[cfg(test)]
mod tests;
mod words;
mod world;

pub use choose::{chosen_by_rule, marks, plates};
pub use data::generated::missing as sections_without_prose;
pub use error::{Mistake, ReportError, Spot};
pub use input::{Input, Pair, PairGrade, Plates, PullMark, Shot, Single, Step};
pub use number::{Printed, Style};

use typst::foundations::Bytes;

use self::pictures::Picture;
use self::world::ReportWorld;

/// Sets the funder edition.
///
/// `progress` is called from several threads.
///
/// # Errors
/// Where a narrative file or a template has a mistake; each is told with file, line and column.
pub fn render(input: &Input<'_>, progress: &(dyn Fn(Step) + Sync)) -> Result<Vec<u8>, ReportError> {
    let style = Style::of(&input.season.settings);
    let pictures = pictures::gather(input.season, input.plates, progress);
    let value = data::build(input, &style, &pictures);
    let mut world = ReportWorld::new("/funder.typ", compile::day(input.date))
        .ok_or_else(|| ReportError::Machine("the main template has no path".to_owned()))?;
    for (path, text) in templates::all() {
        world.add_source(path, text);
    }
    for (path, text) in narrative::sources(input.season) {
        world.add_source(&path, text);
    }
    world.add_file("/data.json", Bytes::from_string(value.to_string()));
    world.add_file("/figures.json", Bytes::from_string(input.ledger.to_json()));
    for (number, picture) in pictures.into_values().enumerate() {
        if let Picture::Shown { jpeg, .. } = picture {
            world.add_file(&data::plates::path(number), Bytes::new(jpeg));
        }
    }
    let names: Vec<&str> = input
        .ledger
        .figures()
        .map(|figure| figure.name.as_str())
        .collect();
    progress(Step::Setting);
    compile::pdf(
        &world,
        format!("windrow report {:?}", input.evidence_root),
        input.date,
        &names,
        &mut || progress(Step::Writing),
    )
}
