use schemars::JsonSchema;
use serde::Serialize;

use crate::circuit::SenseLaw;
use crate::description::{Description, RegulatorSetup};
use crate::error::Result;
use crate::regulator::{
    Load, OperatingPoint, Regulated, ResistiveLoad, SettingShift, SolveOptions, operating_table,
};
use crate::spectrum::Spectrum;

use super::Document;
use super::operating_document::side_key;
use super::parts::THD_ORDER;
use super::recheck_part::sense_key;
use super::survey_document::program;

/// Every brightness step at several loads.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LoadsDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator in words.
    pub regulator: String,
    /// What the control senses: `true-rms` or `average`.
    pub control_senses: &'static str,
    /// Load at which the steps are set, as a share of the rated load resistance.
    pub set_load_ratio: f64,
    /// Load by load, the steps from the brightest.
    pub cells: Vec<LoadCellPart>,
}

/// One step at one load.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LoadCellPart {
    /// Load as a share of the rated load resistance.
    pub load_ratio: f64,
    /// Number of the step.
    pub step: u32,
    /// Nominal of the step.
    pub nominal_rms_a: f64,
    /// Whether the nominal can be held at this load.
    pub held: bool,
    /// The end of the range when it cannot: `highest` or `lowest`.
    pub limit: Option<&'static str>,
    /// The current at that end.
    pub limit_a: Option<f64>,
    /// Why there is no answer, when the solver found none.
    pub failure: Option<String>,
    /// Firing delay at the nominal.
    pub delay_deg: Option<f64>,
    /// Crest factor at the nominal.
    pub crest_factor: Option<f64>,
    /// Form factor at the nominal.
    pub form_factor: Option<f64>,
    /// THD at the nominal, orders 2 to 50.
    pub thd_ratio: Option<f64>,
    /// Error of an average-responding meter at the nominal.
    pub average_error_ratio: Option<f64>,
    /// Error of a peak-responding meter at the nominal.
    pub peak_error_ratio: Option<f64>,
    /// `stable`, `unstable` or `marginal`.
    pub stability: Option<&'static str>,
    /// True RMS at this load of a step that was set to its nominal at the load of the setting.
    pub true_rms_after_setting_a: Option<f64>,
}

impl LoadsDocument {
    /// Solves every step of a description at every load.
    ///
    /// # Errors
    /// `OutOfRange` for a load out of bounds; as [`SettingShift::follow`].
    pub fn new(
        description: &Description,
        setup: &RegulatorSetup,
        load_ratios: &[f64],
    ) -> Result<Self> {
        let loads: Vec<ResistiveLoad> =
            load_ratios.iter().map(|ratio| setup.load(*ratio)).collect::<Result<_>>()?;
        let loads: Vec<&dyn Load> = loads.iter().map(|load| load as &dyn Load).collect();
        let targets_a: Vec<f64> =
            description.steps.steps().iter().map(|step| step.nominal.a()).collect();
        // Nominals are true RMS, whatever the control senses.
        let cells = operating_table(&setup.regulator, &loads, &targets_a, &SolveOptions::default());
        let set_load = setup.load(setup.load_ratio)?;
        let shifts = match setup.sense {
            SenseLaw::TrueRms => vec![None; targets_a.len()],
            SenseLaw::RectifiedMean => {
                SettingShift::follow(&setup.regulator, &set_load, &loads, &targets_a, setup.sense)?
            }
        };
        let part = |cell: crate::regulator::TableCell| {
            let step = &description.steps.steps()[cell.target];
            let shifted = shifts[cell.target].as_ref();
            let mut part = LoadCellPart {
                load_ratio: load_ratios[cell.load],
                step: step.number,
                nominal_rms_a: step.nominal.a(),
                true_rms_after_setting_a: shifted.and_then(|s| s.true_rms_a[cell.load]),
                ..LoadCellPart::empty()
            };
            match cell.answer {
                Ok(Regulated::Held(point)) => part.fill(&point),
                Ok(Regulated::OutOfReach(reach)) => {
                    part.limit = Some(side_key(reach.side));
                    part.limit_a = Some(reach.limit_a);
                }
                Err(error) => part.failure = Some(error.to_string()),
            }
            part
        };
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: setup.rating_words(),
            control_senses: sense_key(setup.sense),
            set_load_ratio: setup.load_ratio,
            cells: cells.into_iter().map(part).collect(),
        })
    }
}

impl LoadCellPart {
    fn empty() -> Self {
        Self {
            load_ratio: 0.0,
            step: 0,
            nominal_rms_a: 0.0,
            held: false,
            limit: None,
            limit_a: None,
            failure: None,
            delay_deg: None,
            crest_factor: None,
            form_factor: None,
            thd_ratio: None,
            average_error_ratio: None,
            peak_error_ratio: None,
            stability: None,
            true_rms_after_setting_a: None,
        }
    }

    fn fill(&mut self, point: &OperatingPoint) {
        let measures = point.output.measures();
        self.held = true;
        self.delay_deg = Some(point.delay_rad().to_degrees());
        self.crest_factor = measures.dc.crest_factor();
        self.form_factor = measures.dc.form_factor();
        self.thd_ratio = Spectrum::of(&point.output).thd_ratio(THD_ORDER);
        self.average_error_ratio = Some(point.average_responding_error_ratio());
        self.peak_error_ratio =
            measures.dc.crest_factor().map(|crest| crest / std::f64::consts::SQRT_2 - 1.0);
        self.stability = Some(point.solution.stability().words());
    }
}
