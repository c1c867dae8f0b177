//! Seasons and ledgers made by hand for the tests of this room: any number of sites and pulls, with figures of every kind.
//! All of it is invented.

mod folder;
mod ledger;
mod plates;

use chrono::NaiveDate;

use crate::figure::Ledger;
use crate::finding::Finding;
use crate::report::{Input, Plates, PullMark};
use crate::season::{self, Edition, Season};

/// A season folder, read; its figures; its plates.
pub struct Sample {
    pub season: Season,
    pub ledger: Ledger,
    pub findings: Vec<Finding>,
    pub plates: Plates,
    pub marks: Vec<PullMark>,
    _folder: tempfile::TempDir,
}

impl Sample {
    /// What the templates read, without pictures.
    pub fn data(&self) -> serde_json::Value {
        crate::report::data::build(
            &self.input(),
            &crate::report::Style::of(&self.season.settings),
            &Default::default(),
            &Default::default(),
            &Default::default(),
        )
    }

    pub fn input(&self) -> Input<'_> {
        Input {
            season: &self.season,
            ledger: &self.ledger,
            findings: &self.findings,
            plates: &self.plates,
            pull_marks: &self.marks,
            evidence_root: std::array::from_fn(|at| (at * 37 + 11) as u8),
            evidence_leaves: 57,
            archive_name: "alder-chain-2025-evidence.zip",
            tool_version: "0.1.0",
            edition: Edition::Funder,
            date: NaiveDate::from_ymd_opt(2025, 12, 2).unwrap(),
        }
    }
}

/// What a sample is made of.
pub struct Recipe {
    pub sites: usize,
    pub pulls: usize,
    pub metric: bool,
    pub paper: &'static str,
    pub narrative: &'static str,
}

impl Recipe {
    pub fn new(sites: usize, pulls: usize) -> Self {
        Self {
            sites,
            pulls,
            metric: false,
            paper: "letter",
            narrative: "We pulled #figure-text(\"removal.wet-mass\") in #figure-value(\"effort.pulls\") pulls.\n",
        }
    }

    pub fn build(&self) -> Sample {
        let folder = tempfile::tempdir().unwrap();
        self.write(folder.path());
        let season = season::load(folder.path(), &|_| ()).unwrap();
        let (plates, marks) = if self.pulls == 0 {
            (Plates::default(), Vec::new())
        } else {
            (plates::plates(), self.marks(&season))
        };
        Sample {
            ledger: self.ledger(&season),
            findings: if self.pulls == 0 {
                Vec::new()
            } else {
                plates::findings()
            },
            season,
            plates,
            marks,
            _folder: folder,
        }
    }

    fn marks(&self, season: &Season) -> Vec<PullMark> {
        season
            .pulls
            .iter()
            .enumerate()
            .map(|(index, pull)| {
                let (x, y) = self.corner(index % self.sites.max(1));
                let turn = index as f64 * 2.4;
                PullMark {
                    pull: pull.id.to_string(),
                    site: None,
                    latitude: y + 0.0008 * turn.sin(),
                    longitude: x + 0.001 * turn.cos(),
                }
            })
            .collect()
    }
}
