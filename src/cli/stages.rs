//! The stages that several commands share: season → findings and ledger → report → archive. Each takes values and gives values.

use std::io;
use std::path::Path;
use std::sync::Arc;

use chrono::NaiveDate;

use super::cache::{Cache, Trust};
use super::exit::Failure;
use super::items;
use super::outputs::Outputs;
use super::pictures::Pictures;
use super::progress::Progress;
use super::reader::{Copying, Reader};
use crate::archive::{ArchiveError, BagDescription, Draft, Evidence, Item, Packed};
use crate::figure::{self, Ledger};
use crate::finding::{self, Finding};
use crate::report::{self, Form, Step};
use crate::season::{self, Edition, FileEntry, Season};
use crate::verify;
use crate::words::Language;

/// The index of photos below `data/`.
pub const INDEX: &str = "ledger/photo-index.csv";

/// Version that reports and archives name.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

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

/// The same, while the photos are copied into an archive: each is read once.
pub fn account_into(folder: &Path, copying: Copying) -> Result<(Account, Draft), Failure> {
    let cache = Cache::open(folder, Trust::Bytes);
    let reader = Reader::new(Some(&cache), true);
    let (season, draft) = read_by(folder, reader.copying(copying))?;
    cache.keep(&season);
    let account = judge(season, EarlierArchive::AsNamed)?.condensed();
    // A reader that copies has one.
    let draft = draft.ok_or(ArchiveError::RootDiffers)?;
    Ok((account, draft))
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
    judge(read(folder, Cache::open(folder, Trust::Bytes))?, earlier)
}

/// The same, resting on nothing that an earlier run left, and leaving nothing.
pub fn account_anew(folder: &Path, earlier: EarlierArchive<'_>) -> Result<Account, Failure> {
    let (season, _) = read_by(folder, Reader::new(None, true))?;
    judge(season, earlier)
}

/// The same for a first look: photos that are known by their stamps are not read. What comes of it must not be packed.
pub fn account_at_a_glance(folder: &Path) -> Result<Account, Failure> {
    let season = read(folder, Cache::open(folder, Trust::Stamp))?;
    judge(season, EarlierArchive::AsNamed)
}

fn read(folder: &Path, cache: Cache) -> Result<Season, Failure> {
    let (season, _) = read_by(folder, Reader::new(Some(&cache), true))?;
    cache.keep(&season);
    Ok(season)
}

fn read_by(folder: &Path, mut reader: Reader<'_>) -> Result<(Season, Option<Draft>), Failure> {
    let mut season = season::load_by(folder, &reader)?;
    // Whatever stopped the copying is told before anything else: photos that were not read for it would look like the season's fault.
    let draft = reader.draft()?;
    season.look_at_photos(&reader);
    Ok((season, draft))
}

/// As [`account_at_a_glance`], and nothing is written, not even what the cache would keep. Pictures are not compared, and an earlier
/// archive is not opened: that takes longer than a moment.
pub fn account_without_a_trace(folder: &Path) -> Result<Account, Failure> {
    let cache = Cache::open(folder, Trust::Stamp);
    let reader = Reader::new(Some(&cache), false);
    let season = season::load_by(folder, &reader)?;
    drop(reader);
    Ok(judge_as_read(season))
}

fn judge(mut season: Season, earlier: EarlierArchive<'_>) -> Result<Account, Failure> {
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
    Ok(judge_as_read(season))
}

fn judge_as_read(mut season: Season) -> Account {
    let ledger = figure::compute(&season);
    let mut first = report::findings(&season);
    first.extend(finding::of_pictures(&season));
    // They have said what they can, and of tens of thousands of photos they take megabytes.
    season.looks = Vec::new();
    let findings = figure::findings(&season, &ledger, first);
    Account {
        season,
        ledger,
        findings,
    }
}

impl Account {
    /// The same with less of its findings: reports tell them in groups, and nothing else of an archive tells them.
    #[must_use]
    pub fn condensed(mut self) -> Self {
        finding::keep_what_groups_tell(&mut self.findings);
        self
    }

    /// The same to be told in another language than season.toml says.
    pub fn in_language(mut self, wanted: Option<Language>) -> Self {
        let language = &mut self.season.settings.report.language;
        *language = wanted.unwrap_or(*language);
        self
    }

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

    /// Where what is made of it goes.
    pub fn outputs(&self) -> Outputs {
        Outputs::named(&self.season.root, &self.season.name)
    }

    /// The ledger's files, which are nowhere else.
    pub fn made(&self) -> Result<Vec<Item>, Failure> {
        let made = [
            Item::deflated("ledger/figures.json", |out| self.ledger.write_json(out)),
            Item::deflated("ledger/figures.csv", |out| {
                self.ledger.write_csv(out).map_err(io::Error::other)
            }),
            Item::deflated(INDEX, |out| {
                figure::photo_index(&self.season, out).map_err(io::Error::other)
            }),
        ];
        let made = made.into_iter().collect::<Result<_, _>>();
        Ok(made.map_err(|source| ArchiveError::Read {
            file: INDEX.into(),
            source,
        })?)
    }

    /// The evidence: every file of the season folder, hashed, and the ledger's files.
    pub fn evidence(&self, made: &[Item]) -> Result<Evidence, Failure> {
        let mut leaves = items::leaves(&self.season)?;
        leaves.extend(made.iter().map(Item::leaf));
        Ok(Evidence::over(leaves).following(self.ledger.previous))
    }

    /// The editions that the archive holds, each with its file's name. A copy to hand over holds the public one alone: it shows
    /// nothing of what the copy withholds.
    pub fn editions(&self, handover: bool) -> Vec<(Edition, Form)> {
        let settings = &self.season.settings.report;
        let editions = if handover {
            vec![Edition::Public]
        } else {
            settings.all()
        };
        // The board's page is what is asked for, whether or not its PDF is made.
        let pages = report::page::EDITIONS
            .into_iter()
            .filter(|edition| {
                settings.page
                    && (editions.contains(edition) || *edition == Edition::Board && !handover)
            })
            .map(|edition| (edition, Form::Page));
        let pdfs = editions.iter().map(|edition| (*edition, Form::Pdf));
        pdfs.chain(pages).collect()
    }

    /// Editions that are ready to be set, each with its file's name. Pictures are made once for all.
    pub fn prepare(
        &self,
        editions: &[(Edition, Form)],
        evidence: &Evidence,
        archive_name: &str,
        date: NaiveDate,
    ) -> Result<Vec<(String, Ready)>, Failure> {
        let (kept, outputs) = (self.kept(), self.outputs());
        editions
            .iter()
            .map(|(edition, form)| {
                let ready =
                    self.ready(*edition, *form, Some(&kept), evidence, archive_name, date)?;
                Ok((outputs.report_name(*edition, *form)?, ready))
            })
            .collect()
    }

    /// Small copies that earlier reports drew of photos that are still in the season and may be shown.
    pub fn kept(&self) -> report::Kept {
        let pictures = Pictures::of(&self.season.root);
        pictures.tidy(&self.season);
        report::Kept::on(pictures)
    }

    /// An edition of the report in a form, ready to be set. `kept` holds what was drawn before.
    pub fn ready(
        &self,
        edition: Edition,
        form: Form,
        kept: Option<&report::Kept>,
        evidence: &Evidence,
        archive_name: &str,
        date: NaiveDate,
    ) -> Result<Ready, Failure> {
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
            edition,
            date,
        };
        let progress = Progress::spinning("report");
        let told = |step| progress.say(said(step));
        Ok(match form {
            Form::Pdf => Ready::ToSet(Box::new(report::prepare(&input, kept, &told)?)),
            Form::Page => Ready::Made(report::page::render(&input, kept, &told)?),
        })
    }

    /// What packing needs of it, and nothing of what is known of each photo and of what is said of it: where there are tens of
    /// thousands of photos, that is what takes memory.
    pub fn into_packing(self, made: Vec<Item>, date: NaiveDate) -> Packing {
        let settings = &self.season.settings;
        let title = settings
            .title
            .clone()
            .unwrap_or_else(|| format!("Season {}", settings.year));
        let description = BagDescription {
            base: self.outputs().archive_base(),
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
        Packing {
            made,
            files: Arc::unwrap_or_clone(self.season.files),
            description,
        }
    }
}

/// A step of a report's making, for whoever waits.
fn said(step: Step) -> String {
    match step {
        Step::Setting => "setting",
        Step::Writing => "writing",
        Step::Leaks => "reading back",
        _ => "pictures",
    }
    .to_owned()
}

/// An edition that is made, or lacks nothing but the typesetter.
pub enum Ready {
    ToSet(Box<report::Prepared>),
    Made(Vec<u8>),
}

impl Ready {
    /// Sets it; where it will be set `again`, the typesetter remembers how.
    pub fn set(self, again: bool) -> Result<Vec<u8>, Failure> {
        match self {
            Ready::ToSet(prepared) => {
                let progress = Progress::spinning("report");
                Ok(prepared.set(again, &|step| progress.say(said(step)))?)
            }
            Ready::Made(bytes) => Ok(bytes),
        }
    }
}

/// Sets all editions, one after another.
pub fn set(ready: Vec<(String, Ready)>) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    ready
        .into_iter()
        .map(|(name, ready)| Ok((name, ready.set(false)?)))
        .collect()
}

/// What is left to be packed of an account whose reports are ready.
pub struct Packing {
    /// The ledger's files.
    made: Vec<Item>,
    /// The season's.
    files: Vec<FileEntry>,
    description: BagDescription,
}

impl Packing {
    /// Packs the season's files, the ledger's, and the reports into `draft`.
    pub fn pack(
        self,
        evidence: &Evidence,
        reports: Vec<(String, Vec<u8>)>,
        draft: Draft,
    ) -> Result<Packed, Failure> {
        let mut items = items::of_season(self.files, evidence)?;
        items.reserve_exact(self.made.len() + reports.len());
        items.extend(self.made);
        for (name, report) in reports {
            items.push(Item::from_bytes(format!("report/{name}"), report));
        }
        let progress = Progress::bytes("packing", items.iter().map(|item| item.size).sum());
        let mut told = |bytes| progress.at(bytes);
        Ok(draft.finish(items, evidence, &self.description, &mut told)?)
    }
}
