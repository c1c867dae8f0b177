//! What the public edition asks of any file: made from the season as the public may see it, and read back for leaks.

use std::collections::BTreeMap;

use super::error::ReportError;
use super::input::{Input, Step};
use super::leak::{self, Leak};
use super::privacy::{self, Secrets};
use crate::photo::likeness::Look;
use crate::season::Edition;

/// Finds what leaks from a finished file.
type Finder = fn(&[u8], &Secrets, &BTreeMap<String, Look>) -> Vec<Leak>;

/// Makes the edition that the input names. A public one is given only if nothing leaks from it.
pub fn render(
    input: &Input<'_>,
    progress: &(dyn Fn(Step) + Sync),
    make: impl Fn(&Input<'_>) -> Result<Vec<u8>, ReportError>,
    find: Finder,
) -> Result<Vec<u8>, ReportError> {
    if input.edition != Edition::Public {
        return make(input);
    }
    let season = privacy::public(input.season);
    let plates = privacy::plates(input.season, input.plates);
    let marks = privacy::marks(input.season, input.pull_marks);
    let file = make(&Input {
        season: &season,
        plates: &plates,
        pull_marks: &marks,
        ..*input
    })?;
    progress(Step::Leaks);
    let secrets = privacy::secrets(input.season);
    let looks = leak::looks(input.season, &secrets);
    let leaks = find(&file, &secrets, &looks);
    if leaks.is_empty() {
        Ok(file)
    } else {
        Err(ReportError::Leaks(leaks))
    }
}
