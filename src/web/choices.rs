use schemars::JsonSchema;
use serde::Serialize;

use crate::description::Description;
use crate::meter::{Archetype, Detector};
use crate::report::StepPart;
use crate::situation::Situation;

use super::shared::Shared;

/// What a page may offer to choose from.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct Choices {
    /// Title of the description.
    title: String,
    /// Whether place, equipment and numbers are made up.
    invented: bool,
    /// The brightness steps, the brightest first.
    steps: Vec<StepPart>,
    /// The load at which the steps are set, as a share of the rated one; `null` without a regulator.
    load_ratio: Option<f64>,
    /// Whether lamps can be out at that load; with the output shorted none is lit.
    lamps_can_be_out: bool,
    /// Whether the description has a field.
    has_field: bool,
    /// Meters that can be named.
    meters: Vec<MeterChoice>,
    /// Keys of a situation.
    keys: Vec<KeyChoice>,
    /// Whether visits are kept.
    has_logbook: bool,
    /// Largest body of a description, in bytes.
    most_description_bytes: usize,
    /// Largest capture, in bytes.
    most_capture_bytes: usize,
    /// Most circuits of an estimate.
    most_circuits: u64,
}

/// A meter that can be named.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct MeterChoice {
    /// What it is called in a query.
    key: String,
    /// What it is called for people.
    words: String,
    /// `described`, `kind` (with a data sheet) or `law` (ideal).
    is: &'static str,
}

/// A key of a situation.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct KeyChoice {
    /// The key.
    key: &'static str,
    /// What it takes.
    allowed: String,
    /// How it may be written.
    example: &'static str,
}

impl Choices {
    pub(super) fn of(shared: &Shared, description: &Description) -> Self {
        let described = description.meters.iter().map(|meter| MeterChoice {
            key: meter.name.clone(),
            words: meter.name.clone(),
            is: "described",
        });
        let kinds = Archetype::ALL.iter().map(|kind| MeterChoice {
            key: kind.key().into(),
            words: kind.words().into(),
            is: "kind",
        });
        let laws = Detector::ALL.iter().map(|law| MeterChoice {
            key: law.key().into(),
            words: law.words(),
            is: "law",
        });
        let key = |key| KeyChoice {
            key,
            allowed: Situation::allowed(key),
            example: Situation::example(key),
        };
        Self {
            title: description.title.clone(),
            invented: description.is_invented,
            steps: description.steps.steps().iter().map(StepPart::from).collect(),
            load_ratio: description.regulator.as_ref().map(|setup| setup.load_ratio),
            lamps_can_be_out: description
                .regulator
                .as_ref()
                .is_some_and(|setup| setup.load_ratio >= Situation::LEAST_LAMP_LOAD_RATIO),
            has_field: description.field.is_some(),
            meters: described.chain(kinds).chain(laws).collect(),
            keys: Situation::KEYS.into_iter().map(key).collect(),
            has_logbook: shared.logbook.is_some(),
            most_description_bytes: shared.limits.body_bytes,
            most_capture_bytes: shared.limits.capture_bytes,
            most_circuits: shared.limits.circuits,
        }
    }
}
