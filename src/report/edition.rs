//! The editions: what each is called, which template sets it, and what its file is named.

use crate::phrase;
use crate::season::Edition;

/// Path of the edition's main template in the report's world.
pub fn main(edition: Edition) -> &'static str {
    match edition {
        Edition::Funder => "/funder.typ",
        Edition::Board => "/board.typ",
        Edition::Auditor => "/auditor.typ",
        Edition::Public => "/public.typ",
    }
}

/// As running head and title page call it.
pub fn title(edition: Edition) -> &'static str {
    match edition {
        Edition::Funder => phrase!("Funder edition"),
        Edition::Board => phrase!("Board edition"),
        Edition::Auditor => phrase!("Auditor edition"),
        Edition::Public => phrase!("Public edition"),
    }
}

/// A form in which an edition comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    /// Typeset, in all editions.
    Pdf,
    /// One page in HTML, in those of [`super::page::EDITIONS`].
    Page,
}

/// What a report's file is called in a form after the season's name, if the edition comes in it.
pub fn ending(edition: Edition, form: Form) -> Option<&'static str> {
    match (form, edition) {
        (Form::Pdf, edition) => Some(of_pdf(edition)),
        (Form::Page, Edition::Board) => Some("-board.html"),
        (Form::Page, Edition::Public) => Some("-public.html"),
        (Form::Page, Edition::Funder | Edition::Auditor) => None,
    }
}

/// The funder edition is the report as such.
fn of_pdf(edition: Edition) -> &'static str {
    match edition {
        Edition::Funder => "-report.pdf",
        Edition::Board => "-board.pdf",
        Edition::Auditor => "-auditor.pdf",
        Edition::Public => "-public.pdf",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_edition_has_a_template_and_a_name_of_its_own() {
        let endings: Vec<_> = Edition::ALL
            .into_iter()
            .flat_map(|edition| [Form::Pdf, Form::Page].map(|form| ending(edition, form)))
            .flatten()
            .collect();
        let different: std::collections::BTreeSet<_> = endings.iter().collect();
        assert_eq!(different.len(), endings.len());
        assert_eq!(
            endings.len(),
            Edition::ALL.len() + crate::report::page::EDITIONS.len()
        );
        for edition in Edition::ALL {
            assert!(
                crate::report::templates::all().any(|(path, _)| path == main(edition)),
                "{}",
                title(edition)
            );
        }
    }
}
