use schemars::JsonSchema;
use serde::Serialize;

use crate::description::{FieldSetup, RegulatorSetup};
use crate::error::Result;
use crate::series::{
    CableRun, Draw, LampTolerance, LoadComparison, LoadItem, LoadMargin, LoadSum, TransformerLoss,
};

/// The load calculation against the rating of the regulator.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LoadPart {
    /// Current for which it holds.
    pub current_rms_a: f64,
    /// Equipment, line by line.
    pub items: Vec<LoadItemPart>,
    /// Cable, run by run.
    pub cable: Vec<CablePart>,
    /// Whether lamps are counted as printed (`nominal`) or with the most their tolerance allows.
    pub lamp_tolerance: &'static str,
    /// All filament lamps.
    pub lamp_w: f64,
    /// All isolating transformers.
    pub transformer_loss_w: f64,
    /// All cable.
    pub cable_loss_w: f64,
    /// Everything that is no lamp.
    pub electronic_va: f64,
    /// Watts and volt-amperes added as numbers.
    pub apparent_va: f64,
    /// The same added as phasors of a sine; absent where a power factor is not known.
    pub phasor_va: Option<f64>,
    /// Active power; absent where a power factor is not known.
    pub active_w: Option<f64>,
    /// Active power over the phasor sum.
    pub power_factor: Option<f64>,
    /// Output voltage at the rated current.
    pub voltage_rms_v: f64,
    /// Rated power of the regulator.
    pub rated_va: f64,
    /// Output voltage at that power.
    pub rated_voltage_rms_v: f64,
    /// Load over rating.
    pub share_of_rating_ratio: f64,
    /// What the output tap in use gives, as a share of the rating.
    pub tap_ratio: f64,
    /// Load over what the tap gives.
    pub share_of_tap_ratio: f64,
    /// The smallest usual tap that carries the load; absent when the rating does not.
    pub smallest_tap_ratio: Option<f64>,
    /// What the tap has left; negative when the load is beyond it.
    pub spare_va: f64,
    /// The smallest size on offer that carries the load; absent when none does.
    pub smallest_size_va: Option<f64>,
    /// Where the sizes on offer come from.
    pub sizes_source: String,
}

/// Equal pieces of equipment.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LoadItemPart {
    /// Name.
    pub name: String,
    /// `lamp`, `electronic` or `apparent` (the power factor is not known).
    pub draw: &'static str,
    /// How many.
    pub count: u32,
    /// What one takes.
    pub each_va: f64,
    /// What all take, without their transformers.
    pub apparent_va: f64,
    /// Loss of their transformers.
    pub transformer_loss_w: f64,
    /// Where that loss comes from.
    pub transformer_loss_source: Option<String>,
    /// How many more would fit.
    pub spare_count: Option<u32>,
}

/// A run of cable.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CablePart {
    /// Name.
    pub name: String,
    /// Length.
    pub length_m: f64,
    /// Temperature.
    pub temperature_degc: f64,
    /// Resistance at that temperature.
    pub resistance_ohm: f64,
    /// Inductance; absent where none was entered and none is taken.
    pub inductance_h: Option<f64>,
    /// Loss at the rated current.
    pub loss_w: f64,
    /// How much more of it would fit.
    pub spare_length_m: Option<f64>,
}

/// One reason why the solved circuit takes another apparent power than the load calculation.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LoadTermPart {
    /// Stable short name.
    pub key: &'static str,
    /// What it adds.
    pub difference_va: f64,
    /// The reason in words.
    pub words: &'static str,
}

impl LoadPart {
    /// The calculation of a description's field.
    ///
    /// # Errors
    /// As [`FieldSetup::margin`].
    pub fn new(field: &FieldSetup, setup: &RegulatorSetup) -> Result<Self> {
        let margin = field.margin(setup)?;
        let (calculation, sum) = (field.calculation(), margin.load);
        Ok(Self {
            current_rms_a: sum.current_rms_a,
            items: calculation.items.iter().map(|item| LoadItemPart::new(item, &margin)).collect(),
            cable: calculation.cable.iter().map(|run| CablePart::new(run, &margin)).collect(),
            lamp_tolerance: match field.lamp_tolerance {
                LampTolerance::Nominal => "nominal",
                LampTolerance::Most => "most",
            },
            lamp_w: sum.lamp_w,
            transformer_loss_w: sum.loss_w,
            cable_loss_w: sum.cable_w,
            electronic_va: sum.electronic_va,
            apparent_va: sum.apparent_va(),
            phasor_va: sum.phasor_va(),
            active_w: sum.active_w,
            power_factor: sum.power_factor(),
            voltage_rms_v: sum.voltage_rms_v(),
            rated_va: margin.rated_va,
            rated_voltage_rms_v: margin.rated_voltage_rms_v(),
            share_of_rating_ratio: margin.share_of_rating(),
            tap_ratio: margin.tap_ratio,
            share_of_tap_ratio: margin.share_of_tap(),
            smallest_tap_ratio: margin.smallest_tap(),
            spare_va: margin.spare_va(),
            smallest_size_va: field.sizes.smallest_for(sum.apparent_va()),
            sizes_source: field.sizes.sizes_w().source.to_string(),
        })
    }
}

impl LoadItemPart {
    fn new(item: &LoadItem, margin: &LoadMargin) -> Self {
        Self {
            name: item.name.clone(),
            draw: match item.draw {
                Draw::Lamp { .. } => "lamp",
                Draw::Electronic { .. } => "electronic",
                Draw::Apparent { .. } => "apparent",
            },
            count: item.count,
            each_va: item.draw.apparent_va(),
            apparent_va: item.apparent_va(),
            transformer_loss_w: item.loss_w(),
            transformer_loss_source: match &item.loss {
                Some(TransformerLoss::Share(share)) => Some(share.source.to_string()),
                Some(TransformerLoss::PowerW(_)) | None => None,
            },
            spare_count: margin.spare_count(item),
        }
    }
}

impl CablePart {
    fn new(run: &CableRun, margin: &LoadMargin) -> Self {
        let LoadSum { current_rms_a, .. } = margin.load;
        let resistance_ohm = run.resistance_ohm();
        Self {
            name: run.name.clone(),
            length_m: run.length_m,
            temperature_degc: run.temperature_degc,
            resistance_ohm,
            inductance_h: run.inductance_h(),
            loss_w: current_rms_a * current_rms_a * resistance_ohm,
            spare_length_m: margin.spare_length_m(resistance_ohm / run.length_m),
        }
    }
}

impl LoadTermPart {
    /// The reasons behind a difference.
    #[must_use]
    pub fn of(comparison: &LoadComparison) -> Vec<Self> {
        let part = |term: crate::series::LoadTerm| Self {
            key: term.key,
            difference_va: term.difference_va,
            words: term.words,
        };
        comparison.terms().into_iter().map(part).collect()
    }
}
