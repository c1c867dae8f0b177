//! The season folder as typed records, each with its place.
//!
//! Takes a folder; gives a [`Season`] with everything that could be read and a list of [`Problem`]s for what could not. Judges
//! nothing: whether a problem is grave is for the finding room. Changes nothing in the folder.

mod bounded;
mod clocks;
mod company;
mod cover;
mod earlier;
pub mod form;
mod history;
mod inventory;
mod kinds;
mod looks;
mod matching;
mod names;
mod nearness;
mod paths;
mod payer;
mod photo_notes;
mod problem;
mod pulls;
mod settings;
mod showing;
mod sites;
mod spending;
mod stations;
mod strata;
mod table;
mod tables;
mod tracks;
pub mod value;
mod weighings;
mod whereabouts;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use chrono::NaiveDate;
use rayon::prelude::*;

use self::names::{Names, Records};
use self::paths::Paths;
pub use clocks::{ClockRun, Corrected, Timing, clock_runs, timings};
pub use company::{ByOthers, clocks_by_others};
pub use cover::{CoverRow, When};
pub use earlier::{Earlier, EarlierRecord, EarlierState, NamedRoot};
pub use history::HistoryRow;
pub use inventory::{FileEntry, listing};
pub use kinds::singular;
pub use looks::{FromFile as LookAtFile, Looker};
pub use matching::{
    ASSUMED_POSITION_ERROR_M, PhotoMatch, STATION_BEARING_DEGREES, Support, bearing_difference,
};
pub use nearness::{Nearness, Standing, distance_to, nearness};
pub use payer::Payer;
pub use photo_notes::{Consent, PhotoNote, PhotoNotes, Role};
pub use problem::{Problem, ProblemKind, RowText};
pub use pulls::{Basis, Effort, Fruit, Pull, PullRow};
pub use settings::{
    AbsenceSettings, Accepted, BudgetLine, ClockSetting, DeliverableSetting, Edition, Grant, Paper,
    Previous, PrintUnits, Rate, RateKind, SETTINGS_FILE, SeedBankSettings, Settings, Supposition,
    read as read_settings_as_far_as_they_go,
};
pub use showing::{Showing, showing};
pub use sites::{Ground, SITES_FILE, Site, Station};
pub use spending::{SpendingKind, SpendingRow};
pub use stations::{PairDifference, StationPair, pair_difference, station_pairs};
pub use strata::{Amount, Catch, Known, RowIndex, StratumKey, StratumRecords, Stray, catch};
pub use table::{Column, Head, Row, TableProblem, is_ton};
pub use tracks::{Track, TrackPoint};
pub use weighings::Weighing;
pub use whereabouts::{Placed, PositionSource};

use crate::photo::likeness::Look;
use crate::photo::{self, Photo};
use crate::phrase;
use crate::place::Place;
use crate::shared::Shared;
use crate::words;
use crate::words::Words;

/// A section of prose by the coordinator.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Narrative {
    /// File name without ending: `summary`.
    pub section: String,
    pub file: String,
    pub text: String,
}

/// Everything in the folder.
#[derive(Debug, Clone)]
pub struct Season {
    /// The folder's own name.
    pub name: String,
    pub root: PathBuf,
    pub settings: Settings,
    pub ground: Ground,
    pub pulls: Vec<Pull>,
    pub weighings: Vec<Weighing>,
    pub cover: Vec<CoverRow>,
    pub history: Vec<HistoryRow>,
    pub spending: Vec<SpendingRow>,
    pub photo_notes: PhotoNotes,
    /// In the order of their paths. These three lists are long, and a copy of the season shares them.
    pub photos: Arc<Vec<Photo>>,
    /// Where each photo belongs, in the order of `photos`.
    pub matches: Arc<Vec<PhotoMatch>>,
    /// What each photo looks like, in the order of `photos`; empty until [`Season::look_at_photos`].
    pub looks: Vec<Option<Look>>,
    pub tracks: Vec<Track>,
    pub narrative: Vec<Narrative>,
    pub files: Arc<Vec<FileEntry>>,
    pub problems: Vec<Problem>,
    /// The archive that season.toml names, once somebody has opened it; `load` opens none.
    pub earlier: Option<Earlier>,
}

impl Season {
    /// The year and the record of the earlier archive, if this season may build on it.
    pub fn earlier_record(&self) -> Option<(i32, &Earlier, &EarlierRecord)> {
        let earlier = self.earlier.as_ref()?;
        let (year, record) = earlier.usable(self.settings.year)?;
        Some((year, earlier, record))
    }

    pub fn site_of(&self, pull: &Pull) -> Option<&Site> {
        self.ground.site(pull.site_text()?)
    }

    pub fn pull(&self, id: &str) -> Option<&Pull> {
        let folded = value::fold(id);
        self.pulls
            .iter()
            .find(|pull| value::fold(&pull.id) == folded)
    }

    /// The pulls by their ids in the form in which ids are compared; of two with one id the first.
    pub fn pulls_by_id(&self) -> BTreeMap<String, &Pull> {
        pulls::by_id(&self.pulls)
    }

    /// The pulls of each day, in the order of the log; those without a day are left out.
    pub fn pulls_by_day(&self) -> impl Iterator<Item = Vec<&Pull>> {
        let mut days: BTreeMap<NaiveDate, Vec<&Pull>> = BTreeMap::new();
        for pull in &self.pulls {
            if let Some(date) = pull.date() {
                days.entry(date).or_default().push(pull);
            }
        }
        days.into_values()
    }

    /// The file of this path.
    pub fn file(&self, path: &str) -> Option<&FileEntry> {
        inventory::file_at(&self.files, path)
    }

    /// Is there a file of this path, be it said as it is or below the folder?
    pub fn has_file(&self, path: &str, folder: &str) -> bool {
        let below = || self.file(&format!("{folder}{path}"));
        self.file(path).or_else(below).is_some()
    }

    /// The photo of this path.
    pub fn photo(&self, path: &str) -> Option<&Photo> {
        self.photos.get(self.number_of(path)?)
    }

    /// Where the photo of this path belongs.
    pub fn match_of(&self, photo: &str) -> Option<&PhotoMatch> {
        self.matches.get(self.number_of(photo)?)
    }

    fn number_of(&self, photo: &str) -> Option<usize> {
        let by_path = |one: &Photo| one.path.as_str().cmp(photo);
        self.photos.binary_search_by(by_path).ok()
    }

    /// What photos.csv says of a photo: its first row on it.
    pub fn note_on(&self, photo: &str) -> Option<&PhotoNote> {
        self.photo_notes.on(photo).first().copied()
    }
}

/// Why the folder can't be read at all.
#[derive(Debug)]
pub enum SeasonError {
    /// There is no such folder, or it can't be opened.
    Folder { path: PathBuf, reason: String },
    /// season.toml is not there.
    NoSettings { path: PathBuf },
    /// season.toml is no TOML.
    Settings { path: PathBuf, reason: String },
}

impl fmt::Display for SeasonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SeasonError::Folder { path, reason } => {
                write!(
                    f,
                    "{} can't be read as a season folder: {reason}. See that the path is right; `windrow` alone tells which season folders \
                     lie where you are",
                    path.display()
                )
            }
            SeasonError::NoSettings { path } => write!(
                f,
                "{} holds no {SETTINGS_FILE}, so it is no season folder yet. `windrow new` makes one with a comment on each setting; or write \
                 the file with at least programme, year and time_zone, as docs/season-folder.md shows",
                path.display()
            ),
            SeasonError::Settings { path, reason } => write!(
                f,
                "{} can't be read, and without it nothing else can:\n{reason}",
                path.display()
            ),
        }
    }
}

impl std::error::Error for SeasonError {}

impl SeasonError {
    /// Is it the machine that failed, and not the folder that lacks something?
    pub fn is_machine(&self) -> bool {
        matches!(self, SeasonError::Folder { .. })
    }
}

/// How photos are read. Called from several threads.
pub trait PhotoReader: Sync {
    /// Told once, before the first: all photos that will be asked for, in the order of their paths. They are asked for in about this order.
    fn expect(&self, files: &[&FileEntry]);

    /// One photo's record.
    ///
    /// # Errors
    /// Where the file can't be opened or read.
    fn read(&self, file: &FileEntry) -> std::io::Result<Photo>;
}

/// Reads each photo from its file.
struct FromFile<'a> {
    progress: &'a (dyn Fn(u64) + Sync),
}

impl PhotoReader for FromFile<'_> {
    fn expect(&self, _: &[&FileEntry]) {}

    fn read(&self, file: &FileEntry) -> std::io::Result<Photo> {
        let photo = photo::read(&file.on_disk(), &file.path);
        (self.progress)(file.bytes);
        photo
    }
}

/// Reads settings that are to be written into a new folder.
///
/// # Errors
/// The first thing that is wrong with them.
pub fn read_settings(text: &str) -> Result<Settings, String> {
    let mut problems = Vec::new();
    let settings = settings::read(text, &mut problems)?;
    let wrong = problems.iter().find_map(|problem| match &problem.kind {
        ProblemKind::KeyWrong { key, reason } => Some(format!("{key}: {reason}")),
        _ => None,
    });
    wrong.map_or(Ok(settings), Err)
}

/// Reads a GeoJSON text as far as it goes.
pub fn read_ground(text: &str) -> Ground {
    sites::read(text, &mut Vec::new())
}

/// Reads a season folder.
///
/// `progress` is called from several threads with the number of bytes of photos read since the last call.
///
/// # Errors
/// Where there is no folder or no usable season.toml. All else becomes a [`Problem`].
pub fn load(root: &Path, progress: &(dyn Fn(u64) + Sync)) -> Result<Season, SeasonError> {
    load_by(root, &FromFile { progress })
}

/// A season folder's name, from its whole path.
pub fn name_of(folder: &Path) -> String {
    folder.file_name().map_or_else(
        || "season".to_owned(),
        |name| name.to_string_lossy().into_owned(),
    )
}

/// Reads a season folder, its photos by `photos`.
///
/// # Errors
/// As [`load`].
pub fn load_by(root: &Path, photos: &dyn PhotoReader) -> Result<Season, SeasonError> {
    let folder_error = |reason: String| SeasonError::Folder {
        path: root.to_owned(),
        reason,
    };
    let canonical = root
        .canonicalize()
        .map_err(|error| folder_error(error.to_string()))?;
    if !canonical.is_dir() {
        return Err(folder_error("it is no folder".into()));
    }
    let settings_path = root.join(SETTINGS_FILE);
    let settings_error = |reason: String| SeasonError::Settings {
        path: settings_path.clone(),
        reason: bounded::shortened(&reason),
    };
    let settings_bytes = match bounded::read(&settings_path, LARGEST_SETTINGS) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == std::io::ErrorKind::InvalidInput => {
            return Err(settings_error(error.to_string()));
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            return Err(SeasonError::NoSettings {
                path: root.to_owned(),
            });
        }
        Err(error) => {
            return Err(SeasonError::Folder {
                path: settings_path,
                reason: error.to_string(),
            });
        }
    };
    let settings_text = String::from_utf8(settings_bytes)
        .map_err(|_| settings_error("it is not UTF-8 text".into()))?;
    let mut problems = Vec::new();
    let settings = settings::read(&settings_text, &mut problems).map_err(settings_error)?;
    let files = inventory::list(root, &mut problems);
    let mut reader = Reader {
        files: &files,
        problems,
    };

    let ground = match reader.text(SITES_FILE, phrase!("maps and figures by site")) {
        Some(text) => sites::read(&text, &mut reader.problems),
        None => Ground::default(),
    };
    let conventions = settings.conventions();
    let dates = conventions.dates;
    let tables = tables::read(&mut reader, &conventions);
    let problems = &mut reader.problems;
    let mut pull_rows = pulls::read(&tables.pulls, dates, problems);
    let mut weighings = weighings::read(&tables.weighings, dates, problems);
    let mut cover = cover::read(&tables.cover, dates, settings.units.cover, problems);
    let mut history = history::read(&tables.history, dates, problems);
    let mut spending = spending::read(&tables.spending, dates, problems);
    let all_paths = || files.iter().map(|entry| entry.path.as_str());
    let papers = Paths::of(all_paths(), "papers/");
    for row in &mut spending {
        find_file(&papers, &mut row.receipt, &row.row, "receipt", problems);
    }
    // Of a hundred thousand files an index takes fifty megabytes.
    drop(papers);
    let mut photo_notes = photo_notes::read(&tables.photos, dates, problems);
    let photo_paths = Paths::of(all_paths(), "photos/");
    for note in &mut photo_notes {
        find_file(&photo_paths, &mut note.file, &note.row, "file", problems);
    }
    drop(photo_paths);
    // The records have what they need of their rows.
    drop(tables);
    Names::of(&settings.names).apply(Records {
        pulls: &mut pull_rows,
        weighings: &mut weighings,
        cover: &mut cover,
        history: &mut history,
        spending: &mut spending,
        photos: &mut photo_notes,
    });
    kinds::keep_few(&mut pull_rows, &mut weighings, problems);
    let photo_notes = PhotoNotes::of(photo_notes);
    let tracks = reader.tracks();
    let narrative = reader.narrative();
    let photos = reader.photos(photos);
    let mut problems = reader.problems;
    problems.sort_by(|a, b| a.place.cmp(&b.place));

    let pulls = pulls::gather(pull_rows);
    let matches =
        matching::match_photos(&photos, &photo_notes, &pulls, &ground, &tracks, &settings);
    Ok(Season {
        name: name_of(&canonical),
        root: root.to_owned(),
        ground,
        pulls,
        matches: Arc::new(matches),
        looks: Vec::new(),
        weighings,
        cover,
        history,
        spending,
        photo_notes,
        photos: Arc::new(photos),
        tracks,
        narrative,
        settings,
        files: Arc::new(files),
        problems,
        earlier: None,
    })
}

/// Puts a file's own path in the place of what a cell says, where it is clear which file is meant. What fits no file stays.
fn find_file(
    paths: &Paths<'_>,
    said: &mut Option<String>,
    row: &Row,
    column: &str,
    problems: &mut Vec<Problem>,
) {
    let Some(found) = said.clone() else { return };
    let kind = match paths.resolve(&found) {
        paths::Resolved::Exact(path) => {
            *said = Some(path);
            return;
        }
        paths::Resolved::Nothing => return,
        paths::Resolved::Loose(path) => {
            *said = Some(path.clone());
            TableProblem::PathLoose {
                found,
                read_as: path,
            }
        }
        paths::Resolved::Several(files) => {
            *said = None;
            TableProblem::PathAmbiguous { found, files }
        }
    };
    problems.push(Problem {
        place: row.cell_place(column),
        kind: ProblemKind::Table(kind),
        row: Some(row.quote(Some(column))),
    });
}

/// The same text, as it is held already.
fn held_once(held: &mut BTreeSet<Shared>, text: &Shared) -> Shared {
    if let Some(same) = held.get(text) {
        return same.clone();
    }
    held.insert(text.clone());
    text.clone()
}

/// Settings above this size are refused: a hundred times the longest that makes sense.
const LARGEST_SETTINGS: u64 = 4 << 20;

/// Outlines, tracks and prose above this size are refused: no season's come near it, and it bounds memory.
const LARGEST_TEXT: u64 = 16 << 20;

struct Reader<'a> {
    files: &'a [FileEntry],
    problems: Vec<Problem>,
}

impl Reader<'_> {
    fn report(&mut self, file: &str, kind: ProblemKind) {
        self.problems.push(Problem {
            place: Place::whole(file),
            kind,
            row: None,
        });
    }

    fn bytes(&mut self, path: &str, largest: u64) -> Option<Vec<u8>> {
        let entry = inventory::file_at(self.files, path)?.clone();
        match bounded::read(&entry.on_disk(), largest) {
            Ok(bytes) => Some(bytes),
            Err(error) => {
                self.report(
                    path,
                    ProblemKind::FileUnreadable {
                        reason: error.to_string().into(),
                    },
                );
                None
            }
        }
    }

    fn text(&mut self, path: &str, needed_for: &'static str) -> Option<String> {
        if inventory::file_at(self.files, path).is_none() {
            self.report(path, ProblemKind::FileMissing { needed_for });
            return None;
        }
        let bytes = self.bytes(path, LARGEST_TEXT)?;
        let text = String::from_utf8(bytes).ok();
        if text.is_none() {
            self.report(
                path,
                ProblemKind::FileUnreadable {
                    reason: words!("it is not UTF-8 text"),
                },
            );
        }
        text
    }

    fn below(&self, folder: &str, ending: &str) -> Vec<String> {
        self.files
            .iter()
            .filter(|entry| {
                entry.path.starts_with(folder) && entry.path.to_lowercase().ends_with(ending)
            })
            .map(|entry| entry.path.to_string())
            .collect()
    }

    fn tracks(&mut self) -> Vec<Track> {
        let mut tracks = Vec::new();
        for path in self.below("tracks/", ".gpx") {
            if let Some(bytes) = self.bytes(&path, LARGEST_TEXT) {
                tracks.extend(tracks::read(&path, &bytes, &mut self.problems));
            }
        }
        tracks
    }

    fn narrative(&mut self) -> Vec<Narrative> {
        let mut sections = Vec::new();
        for file in self.below("narrative/", ".typ") {
            if let Some(text) = self.text(&file, phrase!("the report's prose")) {
                let section = file
                    .rsplit('/')
                    .next()
                    .and_then(|name| name.strip_suffix(".typ"))
                    .unwrap_or(&file)
                    .to_owned();
                sections.push(Narrative {
                    section,
                    file,
                    text,
                });
            }
        }
        sections
    }

    fn photos(&mut self, reader: &dyn PhotoReader) -> Vec<Photo> {
        let wanted: Vec<&FileEntry> = self
            .files
            .iter()
            .filter(|entry| entry.path.starts_with("photos/") && photo::is_photo_name(&entry.path))
            .collect();
        reader.expect(&wanted);
        let failures = Mutex::new(Vec::new());
        // Each photo has its place from the start: a list of tens of thousands that is built beside and let go would keep its memory.
        let places: Vec<OnceLock<Photo>> = wanted.iter().map(|_| OnceLock::new()).collect();
        // In turn, and not each processor its own half: a reader may have to hand them on in their order.
        let in_turn = wanted.iter().zip(&places).par_bridge();
        // Each path is held once, and so is the name of each camera.
        let cameras = Mutex::new(BTreeSet::new());
        in_turn.for_each(|(entry, place)| match reader.read(entry) {
            Ok(mut photo) => {
                photo.path = entry.path.clone();
                let mut cameras = cameras.lock().unwrap_or_else(PoisonError::into_inner);
                for name in [&mut photo.camera, &mut photo.serial].into_iter().flatten() {
                    *name = held_once(&mut cameras, name);
                }
                drop(cameras);
                place.get_or_init(|| photo);
            }
            Err(error) => {
                let mut failures = failures.lock().unwrap_or_else(PoisonError::into_inner);
                failures.push((entry.path.clone(), Words::own(error.to_string())));
            }
        });
        let photos = places.into_iter().filter_map(OnceLock::into_inner);
        let photos = photos.collect();
        let mut failures = failures
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner);
        failures.sort();
        for (path, reason) in failures {
            self.report(&path, ProblemKind::FileUnreadable { reason });
        }
        photos
    }
}
