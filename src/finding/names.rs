//! File names that can't stand in an archive, told before packing: the rules of the archive's profile, on the season's files.

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::archive::profile::{NameFault, Names, SEASON, check_path};
use crate::place::Place;
use crate::season::Season;
use crate::words;

const NAME_UNFIT: Rule = Rule {
    name: "name-unfit-for-archive",
    grade: Grade::Error,
    title: "A file's name can't stand in an archive that every system can unpack.",
    why: "The season can't be packed until the file has another name.",
};
const NAMES_COLLIDE: Rule = Rule {
    name: "names-collide",
    grade: Grade::Error,
    title: "Two names are one where capital letters don't count.",
    why: "On Windows and macOS one of the two files would overwrite the other; the season can't be packed.",
};

/// All rules of this theme, with their functions.
pub const RULES: &[(Rule, Check)] = &[(NAME_UNFIT, name_unfit), (NAMES_COLLIDE, names_collide)];

fn in_archive(path: &str) -> String {
    format!("{SEASON}{path}")
}

fn name_unfit(season: &Season, findings: &mut Vec<Finding>) {
    for file in &season.files {
        if let Err(fault) = check_path(&in_archive(&file.path)) {
            let mend = match fault {
                NameFault::NotComposed => {
                    words!(
                        "Type the file's name anew; accented letters from some systems come in two pieces."
                    )
                }
                NameFault::PathTooLong { .. }
                | NameFault::PartTooLong { .. }
                | NameFault::TooDeep { .. } => {
                    words!("Shorten the names of the file or of its folders.")
                }
                _ => words!(
                    "Rename the file; letters, figures, hyphens and dots are safe everywhere."
                ),
            };
            findings.push(NAME_UNFIT.at(
                Place::whole(&file.path),
                words!(
                    "The name can't be kept: {fault}.",
                    fault = fault.to_string()
                ),
                mend,
            ));
        }
    }
}

fn names_collide(season: &Season, findings: &mut Vec<Finding>) {
    let mut names = Names::new();
    for file in &season.files {
        let path = in_archive(&file.path);
        // A name that is unfit by itself has been told.
        if check_path(&path).is_err() {
            continue;
        }
        if let Err(NameFault::Collides { with } | NameFault::FileAndFolder { with }) =
            names.add(&path)
        {
            let with = with.strip_prefix(SEASON).unwrap_or(&with).to_owned();
            findings.push(
                NAMES_COLLIDE
                    .at(
                        Place::whole(&file.path),
                        words!(
                            "The name differs from {with} in nothing but its capitals.",
                            with = &with
                        ),
                        words!("Rename one of the two."),
                    )
                    .with([Place::whole(with)]),
            );
        }
    }
}
