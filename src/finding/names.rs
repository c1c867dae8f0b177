//! File names that can't stand in an archive, told before packing: the rules of the archive's profile, on the season's files.

use super::Check;
use super::core::{Finding, Grade};
use super::rule::Rule;
use crate::archive::names::Names;
use crate::archive::profile::{
    MAX_PART_BYTES, MAX_PARTS, MAX_PATH_UNITS, NameFault, SEASON, check_path,
};
use crate::place::Place;
use crate::season::Season;
use crate::words;
use crate::words::{Words, number};

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

/// What is wrong with a name.
fn word(fault: &NameFault) -> Words {
    let most = |most: usize| number(most.to_string());
    match fault {
        NameFault::EmptyPart => words!("a part of the path is empty"),
        NameFault::DotPart => words!("a part of the path is '.' or '..'"),
        NameFault::NotComposed => words!(
            "its letters are not in composed form (Unicode NFC); give the file its name anew"
        ),
        NameFault::Forbidden { character } => words!(
            "the character {character} can't stand in a name on every system",
            character = character.escape_debug().to_string()
        ),
        NameFault::Reserved { part } => {
            words!("'{part}' is a name that Windows keeps for itself", part)
        }
        NameFault::TrailingDotOrSpace { part } => words!(
            "'{part}' ends in a dot or a space, which Windows drops",
            part
        ),
        NameFault::PartTooLong { bytes } => words!(
            "a part of the path has {bytes} bytes; {most} are the most",
            bytes = number(bytes.to_string()),
            most = most(MAX_PART_BYTES)
        ),
        NameFault::PathTooLong { units } => words!(
            "the path has {units} characters; {most} are the most",
            units = number(units.to_string()),
            most = most(MAX_PATH_UNITS)
        ),
        NameFault::TooDeep { parts } => words!(
            "the path has {parts} parts; {most} are the most",
            parts = number(parts.to_string()),
            most = most(MAX_PARTS)
        ),
        NameFault::Collides { with } => words!(
            "it is the same as '{with}' where capitals don't count (Windows, macOS)",
            with
        ),
        NameFault::FileAndFolder { with } => {
            words!("a file and a folder would have one name: '{with}'", with)
        }
        NameFault::Misplaced => words!("the profile has no place for it"),
    }
}

fn name_unfit(season: &Season, findings: &mut Vec<Finding>) {
    for file in season.files.iter() {
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
                words!("The name can't be kept: {fault}.", fault = word(&fault)),
                mend,
            ));
        }
    }
}

fn names_collide(season: &Season, findings: &mut Vec<Finding>) {
    let mut names = Names::new();
    for file in season.files.iter() {
        let path = in_archive(&file.path);
        // A name that is unfit by itself has been told.
        if check_path(&path).is_err() {
            continue;
        }
        if let Err(NameFault::Collides { with } | NameFault::FileAndFolder { with }) =
            names.add(&file.path)
        {
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
