//! The archive of an earlier season, judged and read for the season that builds on it.
//!
//! Takes a season and puts an [`Earlier`] into it. What is wrong with the archive is in the value: the finding room words it.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::Value;

use super::verdict::{Expected, Kind, Verdict};
use super::{Opened, VerifyError, open, verify};
use crate::archive::profile::{LEDGER_JSON, SEASON};
use crate::archive::words::parse_root;
use crate::season::{self, Earlier, EarlierRecord, EarlierState, NamedRoot, SETTINGS_FILE, Season};

/// Faults of an archive that are told; `windrow verify` tells all.
const MOST_TOLD: usize = 3;
/// The largest ledger or settings that are read into memory: many times what a long season needs.
const MOST_BYTES: u64 = 64 << 20;
/// The formats of the ledger whose values are understood. The first named each record by itself.
const FORMATS: [u64; 2] = [1, 2];
/// Photos of the season folder.
const PHOTOS: &str = "photos/";

/// Opens and judges the archive that a season's settings name, and joins the season to it. `elsewhere` says where the archive
/// lies, if not where the settings say. A season that names none is left as it is.
///
/// # Errors
/// [`VerifyError::Read`] where the machine fails in the middle. An archive that can't be opened is a state.
pub fn join_earlier(
    season: &mut Season,
    elsewhere: Option<&Path>,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<(), VerifyError> {
    let Some(previous) = &season.settings.previous else {
        return Ok(());
    };
    let named = match previous.root.as_deref().map(parse_root) {
        None => NamedRoot::Not,
        Some(Ok(root)) => NamedRoot::Is(root),
        Some(Err(why)) => NamedRoot::Unreadable(why),
    };
    let path = elsewhere.map_or_else(|| season.root.join(&previous.archive), Path::to_owned);
    let state = match verify(&path, &Expected::default(), progress) {
        Err(VerifyError::Open { source, .. }) => EarlierState::Missing(source.to_string()),
        Err(error) => return Err(error),
        Ok(verdict) => judged(&path, &verdict)?,
    };
    season.earlier = Some(Earlier {
        archive: previous.archive.clone(),
        named,
        state,
    });
    Ok(())
}

fn judged(path: &Path, verdict: &Verdict) -> Result<EarlierState, VerifyError> {
    if !verdict.whole() {
        let told = verdict.faults.iter().take(MOST_TOLD);
        return Ok(EarlierState::NotWhole(
            told.map(ToString::to_string).collect(),
            verdict.faults.len() + verdict.faults_left_out,
        ));
    }
    let ours = matches!(verdict.kind, Kind::Archive | Kind::Folder);
    let opened = if ours { open(path)? } else { None };
    let (Some(opened), Some(root)) = (opened, verdict.root) else {
        let what = "it is a bag of another maker, without season and ledger";
        return Ok(EarlierState::NotWhole(vec![what.to_owned()], 1));
    };
    let leaves = opened.leaves().iter().filter_map(super::TreeLeaf::named);
    let photos = leaves.filter_map(|leaf| {
        let path = leaf.path.strip_prefix(SEASON)?;
        let photo = path.starts_with(PHOTOS) && crate::photo::is_photo_name(path);
        photo.then(|| (leaf.sha256, path.to_owned()))
    });
    Ok(EarlierState::Whole(EarlierRecord {
        root,
        year: year(&opened)?,
        figures: figures(&opened)?,
        photos: photos.collect(),
        previous: verdict.previous,
    }))
}

fn year(opened: &Opened) -> Result<Option<i32>, VerifyError> {
    let bytes = opened.read(&format!("{SEASON}{SETTINGS_FILE}"), MOST_BYTES)?;
    let text = bytes.and_then(|bytes| String::from_utf8(bytes).ok());
    let settings =
        text.and_then(|text| season::read_settings_as_far_as_they_go(&text, &mut Vec::new()).ok());
    // A year that could not be read is 0.
    Ok(settings
        .map(|settings| settings.year)
        .filter(|year| *year != 0))
}

fn figures(opened: &Opened) -> Result<BTreeMap<String, Option<f64>>, VerifyError> {
    let bytes = opened.read(LEDGER_JSON, MOST_BYTES)?.unwrap_or_default();
    let ledger: Value = serde_json::from_slice(&bytes).unwrap_or_default();
    let figures = ledger.get("figures").and_then(Value::as_object);
    let format = ledger.get("format").and_then(Value::as_u64);
    let understood = format.is_some_and(|format| FORMATS.contains(&format));
    let Some(figures) = figures.filter(|_| understood) else {
        return Ok(BTreeMap::new());
    };
    let value = |figure: &Value| figure.get("value").and_then(Value::as_f64);
    Ok(figures
        .iter()
        .map(|(name, figure)| (name.clone(), value(figure)))
        .collect())
}
