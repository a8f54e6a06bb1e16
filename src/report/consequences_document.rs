use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::{Consequence, Consequences};
use crate::description::Description;
use crate::lamp::LifeChange;
use crate::procedure::{FoundCurrents, Visit};
use crate::regulator::Placement;

use super::Document;
use super::survey_document::program;

/// What currents found meant for light and lamps.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ConsequencesDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Title of the description.
    pub title: String,
    /// Whether place, equipment and numbers are made up.
    pub invented: bool,
    /// The visit whose readings these are; `null` for currents that were typed.
    pub visit: Option<FoundAtPart>,
    /// Rated current of the lamps.
    pub lamp_rated_rms_a: f64,
    /// Exponents of light and life against current.
    pub light_exponent: f64,
    /// See `light_exponent`.
    pub life_exponent: f64,
    /// Where the exponents come from.
    pub law_source: String,
    /// Step by step.
    pub steps: Vec<ConsequencePart>,
    /// Share of lamp life used over that at the nominals, over the hours given.
    pub wear_ratio: Option<f64>,
    /// Rated life of a lamp, where it was given.
    pub rated_life_h: Option<f64>,
    /// Lamps of a hundred used up in a year at the nominals.
    pub lamps_per_hundred_nominal: Option<f64>,
    /// Lamps of a hundred used up in a year at the currents found.
    pub lamps_per_hundred_found: Option<f64>,
    /// Steps that burn but for which the law says no number.
    pub silent_steps: Vec<u32>,
    /// How far the law goes.
    pub limits: Vec<String>,
}

/// Which readings of a logbook the currents are.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FoundAtPart {
    /// Number of the visit.
    pub visit: u64,
    /// The regulator.
    pub regulator: String,
    /// The meter.
    pub meter: String,
    /// Day of the visit.
    pub day: String,
    /// `as-found` or `as-left`.
    pub moment: &'static str,
    /// `shorted` or `field`.
    pub output: &'static str,
    /// Steps that were not read so, or whose reading says nothing of the true current.
    pub unknown_steps: Vec<u32>,
}

impl FoundAtPart {
    /// Of a visit's readings.
    #[must_use]
    pub fn new(visit: &Visit, found: &FoundCurrents) -> Self {
        let opening = visit.opening();
        Self {
            visit: visit.number(),
            regulator: opening.regulator.clone(),
            meter: opening.meter.clone(),
            day: opening.day.to_string(),
            moment: found.moment.key(),
            output: found.output.key(),
            unknown_steps: found.unknown_steps.clone(),
        }
    }
}

/// What the current found at one step meant.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ConsequencePart {
    /// Number of the step.
    pub step: u32,
    /// Nominal.
    pub nominal_rms_a: f64,
    /// Lower limit of the band.
    pub low_a: f64,
    /// Upper limit of the band.
    pub high_a: f64,
    /// True RMS current found.
    pub found_rms_a: f64,
    /// Its expanded uncertainty; 0 where none was given.
    pub expanded_uncertainty_a: f64,
    /// `low`, `inside` or `high`.
    pub placement: &'static str,
    /// Hours a year.
    pub hours: f64,
    /// Light against the nominal; null where the law says only the direction.
    pub light_ratio: Option<f64>,
    /// Light at the lower end of what is known.
    pub light_low_ratio: Option<f64>,
    /// Light at the upper end.
    pub light_high_ratio: Option<f64>,
    /// Whether the light law is credible there.
    pub light_credible: bool,
    /// Life against the nominal; null where the law says no number.
    pub life_ratio: Option<f64>,
    /// Life at the upper end of the current.
    pub life_shortest_ratio: Option<f64>,
    /// Life at the lower end of the current.
    pub life_longest_ratio: Option<f64>,
    /// `ratio`, `much-longer`, `much-shorter` or `not-governing`.
    pub life: &'static str,
}

impl ConsequencesDocument {
    /// How far the laws go, said with every result.
    pub const LIMITS: [&'static str; 3] = [
        "The lamp laws are power laws for incandescent filaments within about 10 % of the rated voltage \
         (from memory); halogen lamps at low current do not follow the life law.",
        "Life is a mean over many lamps: a year's replacements scatter around it. Switching, vibration \
         and age come on top.",
        "Far below the rated current a filament's life is long anyway; such steps are left out of the \
         wear.",
    ];

    /// From the consequences of a description's steps.
    #[must_use]
    pub fn new(
        description: &Description,
        consequences: &Consequences,
        rated_life_h: Option<f64>,
    ) -> Self {
        let law = &description.lamp;
        let over_current = |exponent: f64| exponent / law.current_exponent.value;
        Self {
            format: Document::FORMAT,
            program: program(),
            title: description.title.clone(),
            invented: description.is_invented,
            visit: None,
            lamp_rated_rms_a: description.rated().a(),
            light_exponent: over_current(law.light_exponent.value),
            life_exponent: over_current(law.life_exponent.value),
            law_source: law.life_exponent.source.to_string(),
            steps: consequences.steps.iter().map(ConsequencePart::new).collect(),
            wear_ratio: consequences.wear_ratio,
            rated_life_h,
            lamps_per_hundred_nominal: consequences.lamps_per_hundred.map(|lamps| lamps.0),
            lamps_per_hundred_found: consequences.lamps_per_hundred.map(|lamps| lamps.1),
            silent_steps: consequences.silent_steps.clone(),
            limits: Self::LIMITS.map(String::from).to_vec(),
        }
    }
}

impl ConsequencesDocument {
    /// With the visit the currents were read at.
    #[must_use]
    pub fn with_visit(self, visit: FoundAtPart) -> Self {
        Self { visit: Some(visit), ..self }
    }
}

impl ConsequencePart {
    fn new(consequence: &Consequence) -> Self {
        let found = &consequence.found;
        Self {
            step: found.step.number,
            nominal_rms_a: found.step.nominal.a(),
            low_a: found.step.band.low_a(),
            high_a: found.step.band.high_a(),
            found_rms_a: found.true_rms.a(),
            expanded_uncertainty_a: found.expanded_a,
            placement: match consequence.placement {
                Placement::Low => "low",
                Placement::Inside => "inside",
                Placement::High => "high",
            },
            hours: consequence.hours,
            light_ratio: consequence.effect.light_ratio,
            light_low_ratio: consequence.light_range.map(|range| range.0),
            light_high_ratio: consequence.light_range.map(|range| range.1),
            light_credible: consequence.effect.light_credible,
            life_ratio: consequence.life_ratio(),
            life_shortest_ratio: consequence.life_range.map(|range| range.0),
            life_longest_ratio: consequence.life_range.map(|range| range.1),
            life: match consequence.effect.life {
                LifeChange::Ratio(_) => "ratio",
                LifeChange::MuchLonger => "much-longer",
                LifeChange::MuchShorter => "much-shorter",
                LifeChange::NotGoverning => "not-governing",
            },
        }
    }
}
