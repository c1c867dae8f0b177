//! A bag by RFC 8493 alone: its tag files read, its files compared with what the manifests state.
//!
//! Takes files and what reading them gave; gives faults and warnings. Knows nothing of evidence archives.

use std::collections::{BTreeMap, BTreeSet};

use super::VerifyError;
use super::bag_info;
use super::declaration::{self, Declaration};
use super::digest::{self, Algorithm};
use super::fault::{Fault, Warning};
use super::fetch::{self, FETCH};
use super::files::{Content, Files};
use super::manifest::{self, Manifest};
use super::text;
use crate::archive::profile::{self, BAG_INFO, BAGIT};

const MANIFEST: &str = "manifest-";
const TAG_MANIFEST: &str = "tagmanifest-";

/// Faults and warnings gathered on the way.
#[derive(Debug, Default)]
pub(super) struct Findings {
    pub faults: Vec<Fault>,
    pub warnings: Vec<Warning>,
}

/// What reading each file gave, by path.
pub(super) type Readings = BTreeMap<String, Content<digest::Reading>>;

/// The tag files that RFC 8493 defines, read.
#[derive(Debug)]
pub(super) struct Bag {
    declared: Declaration,
    pub manifests: Vec<Manifest>,
    pub tag_manifests: Vec<Manifest>,
    pub description: Vec<(String, String)>,
    fetch: Vec<String>,
}

impl Bag {
    /// Reads the tag files.
    ///
    /// # Errors
    /// The machine's failure.
    pub(super) fn read(files: &Files, findings: &mut Findings) -> Result<Self, VerifyError> {
        let declared = match read_tag(files, BAGIT, profile::MAX_TEXT_BYTES, findings)? {
            Some(bytes) => declaration::read(&bytes, &mut findings.faults, &mut findings.warnings),
            None => {
                if !files.contains(BAGIT) {
                    findings.faults.push(Fault::Missing {
                        path: BAGIT.into(),
                        by: "RFC 8493".into(),
                    });
                }
                Declaration::default()
            }
        };
        let mut bag = Self {
            declared,
            manifests: Vec::new(),
            tag_manifests: Vec::new(),
            description: Vec::new(),
            fetch: Vec::new(),
        };
        let is_rfc = declared.is_rfc();
        if let Some(text) = bag.read_text(files, BAG_INFO, profile::MAX_TEXT_BYTES, findings)? {
            bag.description = bag_info::read(&text, is_rfc, &mut findings.faults);
        }
        if let Some(text) = bag.read_text(files, FETCH, profile::MAX_LIST_BYTES, findings)? {
            bag.fetch = fetch::read(&text, is_rfc, &mut findings.faults);
            findings.warnings.push(Warning::FetchList {
                files: bag.fetch.len(),
            });
        }
        bag.manifests = bag.read_manifests(files, MANIFEST, findings)?;
        bag.tag_manifests = bag.read_manifests(files, TAG_MANIFEST, findings)?;
        Ok(bag)
    }

    fn read_text(
        &self,
        files: &Files,
        path: &str,
        most: u64,
        findings: &mut Findings,
    ) -> Result<Option<String>, VerifyError> {
        let bytes = read_tag(files, path, most, findings)?;
        let encoding = self.declared.encoding;
        Ok(bytes.map(|bytes| text::decode(path, &bytes, encoding, &mut findings.faults)))
    }

    fn read_manifests(
        &self,
        files: &Files,
        start: &str,
        findings: &mut Findings,
    ) -> Result<Vec<Manifest>, VerifyError> {
        let mut manifests = Vec::new();
        for (path, _) in files.tags() {
            let Some(name) = manifest::algorithm_name(path, start) else {
                continue;
            };
            let Some(algorithm) = Algorithm::from_name(name) else {
                findings.faults.push(Fault::tag_file(
                    path,
                    format!(
                        "windrow doesn't know the sum '{name}', so it can't check what this states"
                    ),
                ));
                continue;
            };
            if let Some(text) = self.read_text(files, path, profile::MAX_LIST_BYTES, findings)? {
                manifests.push(
                    manifest::Reading {
                        path,
                        algorithm,
                        is_tag: start == TAG_MANIFEST,
                        is_rfc: self.declared.is_rfc(),
                        exists: &|path| files.contains(path),
                    }
                    .read(&text, &mut findings.faults, &mut findings.warnings),
                );
            }
        }
        Ok(manifests)
    }

    /// Whether there is anything here by which files could be judged.
    pub(super) fn is_bag(&self, files: &Files) -> bool {
        files.contains(BAGIT) || !self.manifests.is_empty() || !self.tag_manifests.is_empty()
    }

    /// The sums that a file must be read for.
    pub(super) fn algorithms(&self, path: &str) -> BTreeSet<Algorithm> {
        let manifests = if path.starts_with(profile::PAYLOAD) {
            &self.manifests
        } else {
            &self.tag_manifests
        };
        manifests
            .iter()
            .map(|manifest| manifest.algorithm)
            .collect()
    }

    /// Compares the files with the manifests, and the manifests with each other.
    ///
    /// `every_tag`: a tag file that no tag manifest covers was added, as in an evidence archive; else it may be there.
    pub(super) fn judge(
        &self,
        files: &Files,
        readings: &Readings,
        every_tag: bool,
        findings: &mut Findings,
    ) {
        if self.manifests.is_empty() {
            findings.faults.push(Fault::structure(
                "the bag",
                "there is no payload manifest that could be read, so nothing says what must be in it",
            ));
        }
        self.judge_forms(files, findings);
        self.judge_fetch(findings);
        self.judge_content(files, readings, every_tag, findings);
        let payload: u64 = files.payload().map(|(_, stored)| stored.size).sum();
        bag_info::check_oxum(
            &self.description,
            payload,
            files.payload().count(),
            self.declared.is_rfc(),
            &mut findings.faults,
            &mut findings.warnings,
        );
    }

    /// What the manifests must list of each other.
    fn judge_forms(&self, files: &Files, findings: &mut Findings) {
        if self.tag_manifests.is_empty() {
            findings.warnings.push(Warning::NoTagManifest);
        }
        if !self.manifests.is_empty()
            && self
                .manifests
                .iter()
                .all(|manifest| manifest.algorithm.is_weak())
        {
            findings.warnings.push(Warning::WeakSums);
        }
        for tag_manifest in &self.tag_manifests {
            let must = files
                .tags()
                .map(|(path, _)| path)
                .filter(|path| manifest::algorithm_name(path, MANIFEST).is_some());
            for path in must.filter(|path| !tag_manifest.lines.contains_key(*path)) {
                let what = format!("it does not list {path}");
                findings.push_by_version(self.declared, &tag_manifest.path, what);
            }
            for path in tag_manifest.lines.keys() {
                if manifest::algorithm_name(path, TAG_MANIFEST).is_some() {
                    let what = format!("it lists {path}, a tag manifest");
                    findings.push_by_version(self.declared, &tag_manifest.path, what);
                }
            }
        }
        // From 1.0 on each payload manifest lists the whole payload (RFC 8493, 3).
        if self.declared.is_rfc() {
            let all: BTreeSet<&String> = self
                .manifests
                .iter()
                .flat_map(|manifest| manifest.lines.keys())
                .collect();
            for manifest in &self.manifests {
                for path in all
                    .iter()
                    .filter(|path| !manifest.lines.contains_key(**path))
                {
                    findings.faults.push(Fault::tag_file(
                        &manifest.path,
                        format!(
                            "it does not list {}, but another manifest does",
                            path.escape_debug()
                        ),
                    ));
                }
            }
        }
    }

    /// From 1.0 on what is to be fetched is in every payload manifest (RFC 8493, 2.2.3).
    fn judge_fetch(&self, findings: &mut Findings) {
        for path in &self.fetch {
            for manifest in &self.manifests {
                if !manifest.lines.contains_key(path) {
                    let what = format!("{} is not in {}", path.escape_debug(), manifest.path);
                    findings.push_by_version(self.declared, FETCH, what);
                }
            }
        }
    }

    fn judge_content(
        &self,
        files: &Files,
        readings: &Readings,
        every_tag: bool,
        findings: &mut Findings,
    ) {
        // One fault a file, whatever many manifests state.
        let mut changed: BTreeMap<&str, &Manifest> = BTreeMap::new();
        let mut missing: BTreeMap<&str, &Manifest> = BTreeMap::new();
        let mut listed: BTreeSet<&str> = BTreeSet::new();
        for manifest in self.manifests.iter().chain(&self.tag_manifests) {
            for (path, sum) in &manifest.lines {
                listed.insert(path);
                match readings.get(path) {
                    None => {
                        missing.entry(path).or_insert(manifest);
                    }
                    Some(Content::Good(reading))
                        if reading.sum(manifest.algorithm) != Some(sum) =>
                    {
                        changed.entry(path).or_insert(manifest);
                    }
                    Some(_) => {}
                }
            }
        }
        self.judge_damage(files, readings, &changed, findings);
        let mut added: BTreeSet<&str> = files
            .payload()
            .map(|(path, _)| path)
            .filter(|path| !listed.contains(path))
            .collect();
        if !self.tag_manifests.is_empty() {
            let tags = files.tags().map(|(path, _)| path);
            let uncovered = tags.filter(|path| {
                !listed.contains(path) && manifest::algorithm_name(path, TAG_MANIFEST).is_none()
            });
            if every_tag {
                // Seals are made over the tag manifest, so it can't list them.
                added.extend(uncovered.filter(|path| !profile::SEAL_FILES.contains(path)));
            } else {
                findings
                    .warnings
                    .extend(uncovered.map(|path| Warning::Uncovered { path: path.into() }));
            }
        }
        for (path, manifest) in changed {
            findings.faults.push(Fault::Changed {
                path: path.into(),
                by: manifest.path.clone(),
            });
        }
        findings
            .faults
            .extend(pair_renamed(missing, added, readings));
    }

    /// Content that the ZIP's own check sum or packing denies, and that no manifest denied already.
    fn judge_damage(
        &self,
        files: &Files,
        readings: &Readings,
        changed: &BTreeMap<&str, &Manifest>,
        findings: &mut Findings,
    ) {
        for (path, reading) in readings {
            let what = match reading {
                Content::Bad(what) => what.clone(),
                Content::Good(reading) => {
                    let stated = files.list.get(path).and_then(|stored| stored.crc());
                    if stated.is_none_or(|crc| crc == reading.crc)
                        || changed.contains_key(path.as_str())
                    {
                        continue;
                    }
                    "its bytes don't fit the check sum that the ZIP states".into()
                }
            };
            findings.faults.push(Fault::Damaged {
                path: path.clone(),
                what,
            });
        }
    }
}

impl Findings {
    /// A fault from 1.0 on, a warning before.
    fn push_by_version(&mut self, declared: Declaration, path: &str, what: String) {
        if declared.is_rfc() {
            self.faults.push(Fault::tag_file(path, what));
        } else {
            self.warnings.push(Warning::style(path, what));
        }
    }
}

/// A missing file and an added one of the same sum are one renamed file.
fn pair_renamed(
    missing: BTreeMap<&str, &Manifest>,
    added: BTreeSet<&str>,
    readings: &Readings,
) -> Vec<Fault> {
    let mut by_sum: BTreeMap<(Algorithm, &[u8]), Vec<&str>> = BTreeMap::new();
    // Taken from the end, so the first in order is used first.
    for path in added.iter().rev() {
        if let Some(Content::Good(reading)) = readings.get(*path) {
            for (algorithm, sum) in &reading.sums {
                by_sum.entry((*algorithm, sum)).or_default().push(path);
            }
        }
    }
    let mut used: BTreeSet<&str> = BTreeSet::new();
    let mut faults = Vec::new();
    for (from, manifest) in missing {
        let to = manifest.lines.get(from).and_then(|sum| {
            let list = by_sum.get_mut(&(manifest.algorithm, &**sum))?;
            loop {
                let path = list.pop()?;
                if used.insert(path) {
                    return Some(path);
                }
            }
        });
        faults.push(match to {
            Some(to) => Fault::Renamed {
                from: from.into(),
                to: to.into(),
            },
            None => Fault::Missing {
                path: from.into(),
                by: manifest.path.clone(),
            },
        });
    }
    let rest = added.into_iter().filter(|path| !used.contains(path));
    faults.extend(rest.map(|path| Fault::Added { path: path.into() }));
    faults
}

/// A tag file's bytes; None if it isn't there, or is too long or damaged to be read, of which faults tell.
fn read_tag(
    files: &Files,
    path: &str,
    most: u64,
    findings: &mut Findings,
) -> Result<Option<Vec<u8>>, VerifyError> {
    let Some(stored) = files.list.get(path) else {
        return Ok(None);
    };
    match files.read_whole(path, stored, most)? {
        Content::Good(Some(bytes)) => Ok(Some(bytes)),
        Content::Good(None) => {
            findings.faults.push(Fault::refused(
                path,
                format!("it is longer than {most} bytes"),
            ));
            Ok(None)
        }
        // The reading of all content tells of the damage.
        Content::Bad(_) => Ok(None),
    }
}
