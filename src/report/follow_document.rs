use schemars::JsonSchema;
use serde::Serialize;

use crate::description::{Description, RegulatorSetup};
use crate::regulator::{Followed, FollowedBranch, OperatingPoint};

use super::Document;
use super::survey_document::program;

/// Periodic solutions followed as one parameter moves at a held firing delay.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FollowDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The regulator and its load at the beginning.
    pub regulator: String,
    /// True RMS at the beginning.
    pub begin_rms_a: f64,
    /// Firing delay at the beginning; held unless it is what moves.
    pub begin_delay_deg: f64,
    /// What moves: `load_ratio`, `supply_voltage_ratio` or `delay_deg`.
    pub along: &'static str,
    /// The branch of the solution held, then those of other solutions found at the beginning.
    pub branches: Vec<FollowBranchPart>,
}

/// One branch.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FollowBranchPart {
    /// Points in the order they were met.
    pub points: Vec<FollowPointPart>,
    /// The parameter at each fold.
    pub folds: Vec<f64>,
    /// Ranges in which at least three solutions of this branch coexist.
    pub coexistence: Vec<(f64, f64)>,
    /// Why following ended early, if it did.
    pub ended_early: Option<String>,
}

/// One solution on a branch.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FollowPointPart {
    /// The parameter, in the unit `along` names.
    pub parameter: f64,
    /// True RMS of the output current.
    pub output_rms_a: f64,
    /// Its crest factor.
    pub crest_factor: Option<f64>,
    /// `stable`, `unstable` or `marginal`.
    pub stability: &'static str,
}

impl FollowDocument {
    /// The document of followed branches.
    #[must_use]
    pub fn new(
        description: &Description,
        setup: &RegulatorSetup,
        point: &OperatingPoint,
        along: Followed,
        branches: &[FollowedBranch],
    ) -> Self {
        let shown = |parameter: f64| match along {
            Followed::Delay => parameter.to_degrees(),
            Followed::Load | Followed::SupplyVoltage => parameter,
        };
        let branch = |branch: &FollowedBranch| FollowBranchPart {
            points: branch
                .rows
                .iter()
                .map(|row| FollowPointPart {
                    parameter: shown(row.parameter),
                    output_rms_a: row.output_rms_a,
                    crest_factor: row.crest_factor,
                    stability: row.stability.words(),
                })
                .collect(),
            folds: branch.folds.iter().map(|fold| shown(*fold)).collect(),
            coexistence: branch.coexistence.iter().map(|(a, b)| (shown(*a), shown(*b))).collect(),
            ended_early: branch.ended_early.clone(),
        };
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            regulator: setup.words(setup.load_ratio),
            begin_rms_a: point.output_rms_a(),
            begin_delay_deg: point.delay_rad().to_degrees(),
            along: match along {
                Followed::Load => "load_ratio",
                Followed::SupplyVoltage => "supply_voltage_ratio",
                Followed::Delay => "delay_deg",
            },
            branches: branches.iter().map(branch).collect(),
        }
    }
}
