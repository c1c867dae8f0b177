//! From a filled world to the bytes of a PDF.
//!
//! Takes a world and the printed date, gives a PDF/A-3a that is also PDF/UA-1, as far as the compiler's own checks go. Must not
//! read a clock: the date is handed in, and the identifier follows from the evidence root.

use chrono::{Datelike, NaiveDate};
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use super::error::ReportError;
use super::world::ReportWorld;

/// Archive form with attachments and full structure, and the accessible form.
const STANDARDS: [PdfStandard; 2] = [PdfStandard::A_3a, PdfStandard::Ua_1];

/// Compiles and exports. `names` are the figures that there are, for hints; what was not needed in the last `keep` runs is forgotten. With
/// 0 the pages are exported when the compiler has forgotten how it came to them, which takes as much memory as they.
///
/// # Errors
/// Where a template or a narrative file has a mistake.
pub fn pdf(
    world: &ReportWorld,
    identifier: String,
    date: NaiveDate,
    names: &[&str],
    keep: usize,
    before_export: &mut dyn FnMut(),
) -> Result<Vec<u8>, ReportError> {
    let tell = |diagnostics: &[typst::diag::SourceDiagnostic]| {
        ReportError::from_diagnostics(world, diagnostics, names)
    };
    let compiled = typst::compile::<PagedDocument>(world).output;
    let document = compiled.map_err(|diagnostics| tell(&diagnostics));
    let bytes = document.and_then(|document| {
        before_export();
        if keep == 0 {
            typst::comemo::evict(0);
        }
        let standards = PdfStandards::new(&STANDARDS)
            .map_err(|error| ReportError::Machine(error.message().to_string()))?;
        let options = PdfOptions {
            ident: Smart::Custom(identifier),
            creator: Smart::Custom(Some("windrow".to_owned())),
            timestamp: day(date).map(Timestamp::new_utc),
            standards,
            ..PdfOptions::default()
        };
        typst_pdf::pdf(&document, &options).map_err(|diagnostics| tell(&diagnostics))
    });
    // The compiler remembers across calls: where a report is set once, its pictures need not stay in memory.
    typst::comemo::evict(keep);
    bytes
}

/// A date at midnight as the compiler has it.
pub fn day(date: NaiveDate) -> Option<Datetime> {
    // Months and days fit a byte by their nature.
    let (month, day) = (
        u8::try_from(date.month()).ok()?,
        u8::try_from(date.day()).ok()?,
    );
    Datetime::from_ymd_hms(date.year(), month, day, 0, 0, 0)
}
