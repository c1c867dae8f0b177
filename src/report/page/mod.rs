//! The page: one HTML file that needs nothing but itself, for a board on its phones, and for anybody.
//!
//! Takes the same input as the printed editions, gives the bytes of a page. Shows texts and shapes of [`super::data`] and works nothing
//! out. Whatever people wrote is escaped by the template library; styles and script are named by their hashes, so that a browser runs
//! nothing else.

mod assets;
mod engine;
mod leaks;
pub mod readback;

#[cfg(test)]
pub use self::{assets::data_address, leaks::in_page};

use super::data;
use super::error::ReportError;
use super::input::{Input, Plates, Step};
use super::number::Style;
use super::own;
use super::pictures::{self, Kept};
use super::public;
use crate::season::Edition;

/// The editions that there are as a page: the others are made to be filed, line by line.
pub const EDITIONS: [Edition; 2] = [Edition::Board, Edition::Public];

/// Makes the page of the edition that the input names.
///
/// # Errors
/// An edition that is no page; a mistake in the group's template. A public page in which something leaks is not given.
pub fn render(
    input: &Input<'_>,
    kept: Option<&Kept>,
    progress: &(dyn Fn(Step) + Sync),
) -> Result<Vec<u8>, ReportError> {
    if !EDITIONS.contains(&input.edition) {
        return Err(ReportError::NoPage(input.edition));
    }
    let (page, guard) =
        public::guarded(input, |input| make(input, kept, progress), leaks::in_page)?;
    public::let_pass(guard, page, progress)
}

fn make(
    input: &Input<'_>,
    kept: Option<&Kept>,
    progress: &(dyn Fn(Step) + Sync),
) -> Result<Vec<u8>, ReportError> {
    let style = Style::of(&input.season.settings);
    let own = own::read(input.season)?;
    // Pairs alone: the page is for looking at change.
    let plates = Plates {
        pairs: input
            .plates
            .pairs
            .iter()
            .cloned()
            .map(|mut pair| {
                pair.other_years.clear();
                pair
            })
            .collect(),
        singles: Vec::new(),
        by_rule: false,
    };
    let input = Input {
        plates: &plates,
        ..*input
    };
    let pictures = pictures::gather(input.season, &plates, kept, progress);
    let value = data::page::build(&input, &style, &pictures, &own);
    progress(Step::Setting);
    let embedded = assets::embedded(pictures, &own);
    let language = style.language;
    progress(Step::Writing);
    engine::fill(value, embedded, language)
        .map(String::into_bytes)
        .map_err(|error| ReportError::Machine(format!("{error:#}")))
}
