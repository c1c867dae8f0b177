//! `windrow prove`: a small proof that one file belongs to the root.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::Prove;
use super::exit::{Exit, Failure};
use super::printer::{BAD, Printer, styled};
use super::{outputs, verify};
use crate::archive::profile::{PAYLOAD, SEASON};
use crate::archive::proof;
use crate::archive::tree::hex;
use crate::verify::{Opened, TreeLeaf, open};

pub fn run(words: &Prove, printer: &mut Printer) -> Result<Exit, Failure> {
    let verdict = verify::judge(&words.archive, None, None)?;
    let opened = if verdict.whole() {
        open(&words.archive)?
    } else {
        None
    };
    let Some(opened) = opened else {
        for fault in &verdict.faults {
            printer.line(format!("{} {fault}", styled(BAD, "fault:")));
        }
        printer.line(format!(
            "{} {}: no proof is made from an archive that isn't whole, or that has no hash tree",
            styled(BAD, "refused"),
            words.archive.display()
        ));
        return Ok(Exit::NotWell);
    };
    let no_leaf = || Failure::NotInTree {
        file: words.file.clone(),
        archive: words.archive.clone(),
    };
    let path = path_in_bag(&opened, &words.file).ok_or_else(no_leaf)?;
    let is_meant = |leaf: &TreeLeaf| leaf.named().is_some_and(|leaf| leaf.path == path);
    let index = opened.leaves().iter().position(is_meant);
    let text = index
        .and_then(|index| {
            let leaf = opened.leaves().get(index)?.named()?;
            proof::make(&opened.leaf_hashes(), index, leaf)
        })
        .ok_or_else(no_leaf)?;
    let output = words.output.clone().unwrap_or_else(|| default_name(&path));
    outputs::write(&output, text.as_bytes())?;
    let root = verdict.root.map(|root| hex(&root)).unwrap_or_default();
    if words.json {
        printer.json(&json!({"proof": output, "path": path, "root": root}));
    } else {
        printer.line(format!("proof        {}", output.display()));
        printer.line(format!("file         {path}"));
        printer.line(format!("root         {root}"));
        printer.line("Who checks it takes the root from the printed report, not from the proof.");
    }
    Ok(Exit::Well)
}

/// The path in the bag that is meant: as it stands there, below data/, or below the season folder.
fn path_in_bag(opened: &Opened, file: &str) -> Option<String> {
    let file = file.replace('\\', "/");
    [
        file.clone(),
        format!("{PAYLOAD}{file}"),
        format!("{SEASON}{file}"),
    ]
    .into_iter()
    .find(|path| opened.leaf(path).is_some())
}

fn default_name(path: &str) -> PathBuf {
    let name = Path::new(path).file_name().unwrap_or_default();
    PathBuf::from(format!("{}.proof.json", name.to_string_lossy()))
}
