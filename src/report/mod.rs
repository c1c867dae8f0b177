//! The report: a season's figures, findings and pictures typeset as a PDF, in editions.
//!
//! Takes values of the rooms before it, gives bytes. Computes no figure: every number is text made by [`number`] from the
//! ledger. Reads no file but the pictures and the group's own template, no clock, no network.
//!
//! The way through: [`Input`] → pictures → one JSON value of texts and drawings → templates in a closed world → PDF. The public
//! edition is made from a season that holds no secret any more ([`privacy`]), and read back before it is given away ([`leak`]);
//! [`public`] sees to both, in print and on the page.

mod chart;
mod choose;
mod compile;
mod counted;
mod data;
mod digits;
pub mod edition;
mod error;
mod fonts;
mod input;
mod leak;
mod map;
mod narrative;
pub mod number;
mod own;
pub mod page;
mod palette;
mod pictures;
mod privacy;
mod public;
mod readback;
pub mod sheets;
mod template_findings;
mod templates;
#[cfg(test)]
mod tests;
mod wording;
mod words;
mod worksheet;
mod world;

pub use choose::{chosen_by_rule, marks, plates};
pub use data::generated::missing as sections_without_prose;
pub use edition::Form;
pub use error::{Mistake, ReportError, Spot};
pub use input::{Input, Pair, PairGrade, Plates, PullMark, Shot, Single, Step};
pub use leak::Leak;
pub use number::{Printed, Style};
pub use pictures::{Kept, PictureKey, Shelf};
pub use template_findings::{RULES, findings};
pub use worksheet::{Worksheet, WorksheetItem, worksheet};

use std::io::Write;

use chrono::NaiveDate;
use typst::foundations::Bytes;

use self::pictures::Picture;
use self::public::Guard;
use self::world::ReportWorld;
use crate::season::Edition;

/// A section's template as it comes with the program; `None` if there is no such section.
pub fn section(name: &str) -> Option<&'static str> {
    templates::section(name)
}

/// Names of the sections that a group may replace.
pub fn sections() -> Vec<&'static str> {
    let mut names: Vec<_> = templates::sections()
        .filter(|name| !own::FIXED.contains(name))
        .collect();
    names.sort_unstable();
    names
}

/// Runs of the compiler after which it forgets what none of them needed, where a report is set again and again.
const KEEP_RUNS: usize = 6;

/// Sets the edition that the input names.
///
/// `progress` is called from several threads. With `kept`, pictures and pages that did not change since the last run in this
/// process are not made again.
///
/// # Errors
/// Where a narrative file or a template has a mistake; each is told with file, line and column. A public edition in which
/// something leaks is not given.
pub fn render(
    input: &Input<'_>,
    kept: Option<&Kept>,
    progress: &(dyn Fn(Step) + Sync),
) -> Result<Vec<u8>, ReportError> {
    prepare(input, kept, progress)?.set(kept.is_some(), progress)
}

/// An edition with all that it needs to be set, and nothing of the season any more: whoever packs tens of thousands of photos need not
/// hold what is known of them beside the typesetter.
pub struct Prepared {
    world: ReportWorld,
    identifier: String,
    date: NaiveDate,
    /// Names of all figures, for hints.
    names: Vec<String>,
    guard: Option<Guard>,
}

/// Prepares the edition that the input names: chooses, words and draws everything.
///
/// # Errors
/// Where the group's own template can't be read.
pub fn prepare(
    input: &Input<'_>,
    kept: Option<&Kept>,
    progress: &(dyn Fn(Step) + Sync),
) -> Result<Prepared, ReportError> {
    let (world, guard) =
        public::guarded(input, |input| world(input, kept, progress), leak::in_pdf)?;
    Ok(Prepared {
        world,
        identifier: format!(
            "windrow report {} {:?}",
            input.edition.word(),
            input.evidence_root
        ),
        date: input.date,
        names: input
            .ledger
            .figures()
            .map(|figure| figure.name.clone())
            .collect(),
        guard,
    })
}

impl Prepared {
    /// Sets it. How is forgotten unless it will be set `again`, with little that is new.
    ///
    /// # Errors
    /// As [`render`].
    pub fn set(
        self,
        again: bool,
        progress: &(dyn Fn(Step) + Sync),
    ) -> Result<Vec<u8>, ReportError> {
        let keep = if again { KEEP_RUNS } else { 0 };
        progress(Step::Setting);
        let names: Vec<&str> = self.names.iter().map(String::as_str).collect();
        let pdf = compile::pdf(
            &self.world,
            self.identifier,
            self.date,
            &names,
            keep,
            &mut || progress(Step::Writing),
        )?;
        drop(self.world);
        public::let_pass(self.guard, pdf, progress)
    }
}

/// The world of an edition's templates, texts and pictures.
fn world(
    input: &Input<'_>,
    kept: Option<&Kept>,
    progress: &(dyn Fn(Step) + Sync),
) -> Result<ReportWorld, ReportError> {
    let style = Style::of(&input.season.settings);
    let own = own::read(input.season)?;
    let pictures = pictures::gather(input.season, input.plates, kept, progress);
    let contact = match input.edition {
        Edition::Auditor => pictures::contact(input.season, kept, progress),
        _ => std::collections::BTreeMap::new(),
    };
    let value = data::build(input, &style, &pictures, &contact, &own);
    let mut world = ReportWorld::new(edition::main(input.edition), compile::day(input.date))
        .ok_or_else(|| ReportError::Machine("the main template has no path".to_owned()))?;
    for (path, text) in templates::all() {
        world.add_source(path, text);
    }
    for (path, text) in narrative::sources(input.season) {
        world.add_source(&path, text);
    }
    for (path, text) in own.sources {
        world.add_source(&path, text);
    }
    for (path, bytes) in own.files {
        world.add_file(&path, bytes);
    }
    world.add_fonts(own.fonts);
    let unwritten = |error: std::io::Error| ReportError::Machine(error.to_string());
    let write_data = |out: &mut dyn Write| Ok(serde_json::to_writer(out, &value)?);
    world
        .add_text("/data.json", write_data)
        .map_err(unwritten)?;
    drop(value);
    world
        .add_text("/figures.json", |out| write_ledger(input, out))
        .map_err(unwritten)?;
    for (number, picture) in pictures.into_values().enumerate() {
        if let Picture::Shown { jpeg, .. } = picture {
            world.add_file(&data::plates::path(number), Bytes::new(jpeg));
        }
    }
    world.add_file(
        data::contact::PATH,
        Bytes::new(data::contact::together(contact)),
    );
    Ok(world)
}

/// Writes the ledger that is attached: whole, or without the records under the figures, whose places name photos and receipts.
fn write_ledger(input: &Input<'_>, out: &mut dyn Write) -> std::io::Result<()> {
    if input.edition != Edition::Public {
        return input.ledger.write_json(out);
    }
    input.ledger.without_records().write_json(out)
}
