//! The names, measures and words in which mass and plants differ; in all else they go the same way.

use crate::figure::core::Measure;
use crate::phrase;

/// The words that differ between mass and plants.
pub(super) struct Wording {
    pub stem: &'static str,
    pub noun: &'static str,
    pub measure: Measure,
    pub rate_stem: &'static str,
    pub rate_label: &'static str,
    pub rate_measure: Measure,
    pub stratum_stem: &'static str,
    pub mean_stem: &'static str,
    pub measured: &'static str,
    pub known_stem: &'static str,
    pub known_label: &'static str,
    pub other_known: Option<(&'static str, &'static str)>,
}

pub(super) const MASS: Wording = Wording {
    stem: "removal.wet-mass",
    noun: phrase!("Wet mass removed"),
    measure: Measure::Mass,
    rate_stem: "rate.mass-per-hour",
    rate_label: phrase!("Wet mass per person-hour"),
    rate_measure: Measure::MassPerTime,
    stratum_stem: "stratum.wet-mass",
    mean_stem: "stratum.mass-per-container",
    measured: phrase!("weighed"),
    known_stem: "removal.wet-mass-weighed",
    known_label: phrase!("Wet mass weighed"),
    other_known: Some((
        "removal.wet-mass-counted",
        phrase!("Wet mass that the log calls counted"),
    )),
};

pub(super) const PLANTS: Wording = Wording {
    stem: "removal.plants",
    noun: phrase!("Plants removed"),
    measure: Measure::Count,
    rate_stem: "rate.plants-per-hour",
    rate_label: phrase!("Plants per person-hour"),
    rate_measure: Measure::CountPerTime,
    stratum_stem: "stratum.plants",
    mean_stem: "stratum.plants-per-container",
    measured: phrase!("counted out"),
    known_stem: "removal.plants-counted",
    known_label: phrase!("Plants counted"),
    other_known: None,
};
