use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::{Recheck, RecheckRow};
use crate::circuit::SenseLaw;
use crate::description::Description;

use super::parts::{PlacementPart, placement_key};

/// Every step read again at another load, after it was trimmed by a meter.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RecheckPart {
    /// Load of the setting, as a share of the rated load resistance.
    pub set_load_ratio: f64,
    /// Load at which the steps are read again; absent when that is the field described.
    pub recheck_load_ratio: Option<f64>,
    /// What the control senses and keeps: `true-rms` or `average`.
    pub control_senses: &'static str,
    /// One row for each step and meter.
    pub rows: Vec<RecheckRowPart>,
}

/// One step, set by one meter, at the other load.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RecheckRowPart {
    /// Number of the step.
    pub step: u32,
    /// Name of the meter.
    pub meter: String,
    /// True RMS after trimming, at the load of the setting.
    pub set_true_rms_a: f64,
    /// True RMS at the other load, the setting untouched.
    pub recheck_true_rms_a: f64,
    /// Where that lies.
    #[schemars(with = "PlacementPart")]
    pub recheck_placement: &'static str,
    /// What the meter shows at the other load; it showed the nominal before.
    pub recheck_shown_a: f64,
    /// (Shown at the other load minus nominal) over nominal.
    pub shown_change_ratio: f64,
}

impl RecheckPart {
    /// The re-check of a description; `None` when the description has no regulator.
    pub(super) fn new(description: &Description, recheck: &Recheck) -> Option<Self> {
        let setup = description.regulator.as_ref()?;
        Some(Self {
            set_load_ratio: setup.load_ratio,
            recheck_load_ratio: setup.recheck_load_ratio,
            control_senses: sense_key(setup.sense),
            rows: recheck.rows.iter().map(RecheckRowPart::from).collect(),
        })
    }
}

impl From<&RecheckRow> for RecheckRowPart {
    fn from(row: &RecheckRow) -> Self {
        Self {
            step: row.step.number,
            meter: row.meter.name.clone(),
            set_true_rms_a: row.set.a(),
            recheck_true_rms_a: row.loaded.a(),
            recheck_placement: placement_key(row.placement),
            recheck_shown_a: row.shown.shown_a(),
            shown_change_ratio: row.shown_change_ratio,
        }
    }
}

/// The key of what a control senses.
pub(super) fn sense_key(sense: SenseLaw) -> &'static str {
    match sense {
        SenseLaw::TrueRms => "true-rms",
        SenseLaw::RectifiedMean => "average",
    }
}
