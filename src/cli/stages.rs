//! The stages that several commands share: season → findings and ledger → report → archive. Each takes values and gives values.

use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use super::cache::Cache;
use super::exit::Failure;
use super::items;
use super::progress::Progress;
use crate::archive::{self, BagDescription, Evidence, Item, Packed};
use crate::figure::{self, Ledger};
use crate::finding::Finding;
use crate::photo::{self, Photo};
use crate::report::{self, Step};
use crate::season::{self, FileEntry, PhotoReader, Season};
use crate::verify;

/// Version that reports and archives name.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Letters of a folder's name that outputs bear at most: with what is added, short on every system.
const LONGEST_NAME: usize = 60;

/// A season with all that follows from it alone.
pub struct Account {
    pub season: Season,
    pub ledger: Ledger,
    pub findings: Vec<Finding>,
}

/// Reads, computes and checks.
pub fn account(folder: &Path) -> Result<Account, Failure> {
    account_after(folder, EarlierArchive::AsNamed)
}

/// Where the archive of the earlier season is, if season.toml names one.
#[derive(Debug, Clone, Copy)]
pub enum EarlierArchive<'a> {
    /// Where season.toml says.
    AsNamed,
    /// Elsewhere.
    At(&'a Path),
    /// Nowhere at hand: the season is taken as if it named none.
    NotAtHand,
}

/// The same, with a say in where the earlier archive is.
pub fn account_after(folder: &Path, earlier: EarlierArchive<'_>) -> Result<Account, Failure> {
    let reader = Reader::new(None);
    let season = season::load_by(folder, &reader)?;
    drop(reader);
    judge(season, earlier)
}

/// The same for a first look: photos that `cache` knows are not read. What comes of it must not be packed.
pub fn account_at_a_glance(folder: &Path, cache: Cache) -> Result<Account, Failure> {
    let reader = Reader::new(Some(&cache));
    let season = season::load_by(folder, &reader)?;
    drop(reader);
    cache.keep(&season);
    judge(season, EarlierArchive::AsNamed)
}

fn judge(mut season: Season, earlier: EarlierArchive<'_>) -> Result<Account, Failure> {
    let progress = Progress::spinning("comparing");
    season.look_at_photos(&season::LookAtFile);
    drop(progress);
    let elsewhere = match earlier {
        EarlierArchive::At(path) => Some(path),
        _ => None,
    };
    if season.settings.previous.is_some() && !matches!(earlier, EarlierArchive::NotAtHand) {
        let progress = Progress::bytes("earlier", 0);
        verify::join_earlier(&mut season, elsewhere, &mut |done, total| {
            progress.of(total);
            progress.at(done);
        })?;
    }
    let ledger = figure::compute(&season);
    let findings = figure::findings(&season, &ledger);
    Ok(Account {
        season,
        ledger,
        findings,
    })
}

/// Reads photos, with progress.
struct Reader<'a> {
    cache: Option<&'a Cache>,
    progress: Progress,
}

impl<'a> Reader<'a> {
    fn new(cache: Option<&'a Cache>) -> Self {
        let progress = Progress::bytes("reading", 0);
        Self { cache, progress }
    }

    fn known(&self, file: &FileEntry) -> Option<&Photo> {
        self.cache.and_then(|cache| cache.photo(file))
    }
}

impl PhotoReader for Reader<'_> {
    fn expect(&self, files: &[&FileEntry]) {
        let unknown = files.iter().filter(|file| self.known(file).is_none());
        self.progress.of(unknown.map(|file| file.bytes).sum());
    }

    fn read(&self, file: &FileEntry) -> std::io::Result<Photo> {
        if let Some(photo) = self.known(file) {
            return Ok(photo.clone());
        }
        let photo = photo::read(&file.on_disk, &file.path);
        self.progress.add(file.bytes);
        photo
    }
}

impl Account {
    /// The day that report and archive bear: the last one that the season's own records name, so that the same folder gives the same
    /// bytes on any day.
    pub fn date(&self, wanted: Option<NaiveDate>) -> NaiveDate {
        let settings = &self.season.settings;
        wanted.unwrap_or_else(|| {
            let accepted = settings.accepted.iter().filter_map(|accepted| accepted.on);
            let pulled = self.season.pulls.iter().filter_map(season::Pull::date);
            let spent = self.season.spending.iter().filter_map(|row| row.date);
            // A slip of the year in a table must not date the report a century ahead.
            let latest = settings.ends + chrono::Months::new(12);
            accepted
                .chain(pulled)
                .chain(spent)
                .filter(|date| *date <= latest)
                .fold(settings.ends, NaiveDate::max)
        })
    }

    /// Where outputs go, and that they don't go into the season folder.
    pub fn output(&self, wanted: Option<&Path>) -> Result<PathBuf, Failure> {
        let folder = match wanted {
            Some(wanted) => wanted.to_owned(),
            None => self
                .season
                .root
                .canonicalize()
                .ok()
                .and_then(|root| root.parent().map(Path::to_owned))
                .unwrap_or_else(|| PathBuf::from("."))
                .join(format!("{}-out", self.plain_name())),
        };
        self.outside(&folder)?;
        std::fs::create_dir_all(&folder).map_err(|source| Failure::Write {
            path: folder.clone(),
            source,
        })?;
        Ok(folder)
    }

    /// Refuses a path in the season folder.
    pub fn outside(&self, path: &Path) -> Result<(), Failure> {
        let root = self.season.root.canonicalize();
        // The path itself need not be there yet; its nearest folder that is decides.
        let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        let place = absolute
            .ancestors()
            .find_map(|above| above.canonicalize().ok());
        if let (Ok(root), Some(place)) = (root, place)
            && place.starts_with(&root)
        {
            return Err(Failure::OutputInSeason {
                path: path.to_owned(),
            });
        }
        Ok(())
    }

    /// The folder's name in letters that every system takes in a file's name.
    fn plain_name(&self) -> String {
        let base = format!("{}-evidence", self.season.name);
        if archive::profile::check_base(&base).is_ok() {
            return self.season.name.clone();
        }
        let plain: String = self
            .season
            .name
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
            .take(LONGEST_NAME)
            .collect();
        match plain.trim_matches('-') {
            "" => "season".to_owned(),
            name => name.to_owned(),
        }
    }

    pub fn report_name(&self) -> String {
        format!("{}-report.pdf", self.plain_name())
    }

    pub fn archive_name(&self) -> String {
        format!("{}-evidence.zip", self.plain_name())
    }

    pub fn handover_name(&self) -> String {
        format!("{}-evidence-handover.zip", self.plain_name())
    }

    /// The evidence: every file of the season folder, hashed, and the ledger's files.
    pub fn evidence(&self) -> Result<(Vec<Item>, Evidence), Failure> {
        let mut items = items::of_season(&self.season)?;
        let csv = self.ledger.to_csv().unwrap_or_default();
        items.push(Item::from_bytes(
            "ledger/figures.json",
            self.ledger.to_json().into_bytes(),
        ));
        items.push(Item::from_bytes("ledger/figures.csv", csv.into_bytes()));
        let index = figure::photo_index(&self.season).unwrap_or_default();
        items.push(Item::from_bytes(
            "ledger/photo-index.csv",
            index.into_bytes(),
        ));
        let evidence = Evidence::of(&items).following(self.ledger.previous);
        Ok((items, evidence))
    }

    /// The report as a PDF.
    pub fn report(
        &self,
        evidence: &Evidence,
        archive_name: &str,
        date: NaiveDate,
    ) -> Result<Vec<u8>, Failure> {
        let progress = Progress::spinning("report");
        let plates = report::plates(&self.season);
        let marks = report::marks(&self.season);
        let input = report::Input {
            season: &self.season,
            ledger: &self.ledger,
            findings: &self.findings,
            plates: &plates,
            pull_marks: &marks,
            evidence_root: evidence.root(),
            evidence_leaves: evidence.leaves().len(),
            archive_name,
            tool_version: VERSION,
            date,
        };
        let pdf = report::render(&input, &|step| {
            progress.say(
                match step {
                    Step::Setting => "setting",
                    Step::Writing => "writing",
                    _ => "pictures",
                }
                .to_owned(),
            );
        })?;
        Ok(pdf)
    }

    /// Packs the archive.
    pub fn pack(
        &self,
        mut items: Vec<Item>,
        evidence: &Evidence,
        pdf: Vec<u8>,
        output: &Path,
        date: NaiveDate,
    ) -> Result<Packed, Failure> {
        items.push(Item::from_bytes(
            format!("report/{}", self.report_name()),
            pdf,
        ));
        let progress = Progress::bytes("packing", items.iter().map(|item| item.size).sum());
        let settings = &self.season.settings;
        let title = settings
            .title
            .clone()
            .unwrap_or_else(|| format!("Season {}", settings.year));
        let description = BagDescription {
            base: format!("{}-evidence", self.plain_name()),
            season: title,
            organisation: settings.programme.clone(),
            description: format!(
                "The season folder as it was, the figures computed from it and the report set from them. {}",
                settings.notice.as_deref().unwrap_or_default()
            )
            .trim_end()
            .to_owned(),
            bagging_date: date.to_string(),
            tool_version: VERSION.to_owned(),
        };
        Ok(archive::pack(
            items,
            evidence,
            &description,
            output,
            &mut |bytes| progress.at(bytes),
        )?)
    }
}

/// Writes an output whole or not at all.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    crate::output::write_whole(path, bytes).map_err(|source| Failure::Write {
        path: path.to_owned(),
        source,
    })
}
