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

/// What a finished public file is held against. Of no other edition is there one.
pub struct Guard {
    secrets: Secrets,
    looks: BTreeMap<String, Look>,
    find: Finder,
}

/// The file, if nothing leaks from it.
///
/// # Errors
/// All that leaks.
pub fn let_pass(
    guard: Option<Guard>,
    file: Vec<u8>,
    progress: &(dyn Fn(Step) + Sync),
) -> Result<Vec<u8>, ReportError> {
    let Some(guard) = guard else {
        return Ok(file);
    };
    progress(Step::Leaks);
    let leaks = (guard.find)(&file, &guard.secrets, &guard.looks);
    if leaks.is_empty() {
        Ok(file)
    } else {
        Err(ReportError::Leaks(leaks))
    }
}

/// Makes something for the edition that the input names: for a public one from the season as the public may see it, and with what the
/// finished file is to be held against.
pub fn guarded<T>(
    input: &Input<'_>,
    make: impl FnOnce(&Input<'_>) -> Result<T, ReportError>,
    find: Finder,
) -> Result<(T, Option<Guard>), ReportError> {
    if input.edition != Edition::Public {
        return Ok((make(input)?, None));
    }
    let season = privacy::public(input.season);
    let plates = privacy::plates(input.season, input.plates);
    let marks = privacy::marks(input.season, input.pull_marks);
    let made = make(&Input {
        season: &season,
        plates: &plates,
        pull_marks: &marks,
        ..*input
    })?;
    drop(season);
    let secrets = privacy::secrets(input.season);
    let looks = leak::looks(input.season, &secrets);
    let guard = Guard {
        secrets,
        looks,
        find,
    };
    Ok((made, Some(guard)))
}
