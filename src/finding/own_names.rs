//! Tables by the names that they bear in this folder: a rule speaks of `photos.csv`, and the group keeps `photos.xlsx`.
//!
//! Takes findings, changes their words. A second table of the same name, made by somebody who takes a rule at its word, would be an
//! error of its own.

use super::Finding;
use crate::season::Season;
use crate::season::form::TABLES;

/// Endings of a workbook that may stand in for a `.csv`.
const WORKBOOKS: [&str; 2] = ["xlsx", "ods"];

pub fn use_own_names(season: &Season, findings: &mut [Finding]) {
    let there = |path: &str| season.files.iter().any(|file| file.path == path);
    let others: Vec<(String, String)> = TABLES
        .iter()
        .filter_map(|table| {
            let usual = format!("{}.csv", table.name);
            if there(&usual) {
                return None;
            }
            let mut workbooks = WORKBOOKS.map(|ending| format!("{}.{ending}", table.name));
            let own = workbooks.iter_mut().find(|path| there(path))?;
            Some((usual, std::mem::take(own)))
        })
        .collect();
    if others.is_empty() {
        return;
    }
    for finding in findings {
        for (usual, own) in &others {
            for text in [&mut finding.message, &mut finding.why, &mut finding.mend] {
                if text.to_string().contains(usual.as_str()) {
                    *text = std::mem::take(text).renaming(usual, own);
                }
            }
        }
    }
}
