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

/// What a report's file is called after the season's name. The funder edition is the report as such.
pub fn ending(edition: Edition) -> &'static str {
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
        let mut endings: Vec<_> = Edition::ALL.into_iter().map(ending).collect();
        endings.sort_unstable();
        endings.dedup();
        assert_eq!(endings.len(), Edition::ALL.len());
        for edition in Edition::ALL {
            assert!(
                crate::report::templates::all().any(|(path, _)| path == main(edition)),
                "{}",
                title(edition)
            );
        }
    }
}
