//! A meter's data sheet as written, before any value is checked against its range.

use serde::Deserialize;
use toml::Spanned;

use super::quantity::{Amperes, Counts, DegreesCelsius, Hertz, PerKelvin, Ratio, Seconds, Volts};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawSheet {
    pub(super) clamp: Option<RawClamp>,
    pub(super) position: Option<Spanned<Ratio>>,
    pub(super) range_choice: Option<Spanned<String>>,
    #[serde(default)]
    pub(super) range: Vec<RawRange>,
    pub(super) bandwidth: Option<Spanned<Vec<Spanned<Hertz>>>>,
    #[serde(default)]
    pub(super) bandwidth_table: Vec<RawFrequencyError>,
    pub(super) calibrated: Option<Spanned<Hertz>>,
    pub(super) crest: Option<RawCrest>,
    pub(super) converter: Option<RawConverter>,
    pub(super) display_counts: Option<Spanned<u32>>,
    #[serde(default)]
    pub(super) accuracy: Vec<RawAccuracy>,
    pub(super) temperature: Option<RawTemperature>,
    pub(super) certificate: Option<RawCertificate>,
    pub(super) category: Option<RawCategory>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) enum RawClamp {
    Direct,
    IronCore {
        rated: Spanned<Amperes>,
        class: Option<Spanned<String>>,
        #[serde(rename = "low-cutoff")]
        low_cutoff: Option<Spanned<Hertz>>,
        saturation: Option<Spanned<Amperes>>,
    },
    Hall {
        offset: Option<Spanned<Amperes>>,
        noise: Option<Spanned<Amperes>>,
        saturation: Option<Spanned<Amperes>>,
    },
    FlexibleCoil {
        droop: Spanned<Hertz>,
        noise: Option<Spanned<Amperes>>,
    },
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawRange {
    pub(super) full_scale: Spanned<Amperes>,
    pub(super) resolution: Spanned<Amperes>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawFrequencyError {
    pub(super) frequency: Spanned<Hertz>,
    pub(super) error: Spanned<Ratio>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawCrest {
    pub(super) at_full_scale: Spanned<f64>,
    pub(super) cap: Option<Spanned<f64>>,
    #[serde(default)]
    pub(super) bands: Vec<RawCrestBand>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawCrestBand {
    pub(super) up_to: Spanned<f64>,
    pub(super) added: Spanned<Ratio>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) enum RawConverter {
    Analogue,
    Sampling {
        bits: Spanned<u32>,
        #[serde(rename = "sample-rate")]
        sample_rate: Spanned<Hertz>,
        /// Left out: whole periods.
        window: Option<Spanned<Seconds>>,
    },
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawAccuracy {
    pub(super) range: Option<Spanned<Amperes>>,
    pub(super) from: Spanned<Hertz>,
    pub(super) to: Spanned<Hertz>,
    pub(super) reading: Option<Spanned<Ratio>>,
    pub(super) digits: Option<Spanned<Counts>>,
    pub(super) full_scale: Option<Spanned<Ratio>>,
    pub(super) from_share: Option<Spanned<Ratio>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawTemperature {
    pub(super) low: Spanned<DegreesCelsius>,
    pub(super) high: Spanned<DegreesCelsius>,
    pub(super) coefficient: Spanned<PerKelvin>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawCertificate {
    pub(super) number: Spanned<String>,
    pub(super) date: Spanned<String>,
    pub(super) due: Option<Spanned<String>>,
    pub(super) uncertainty: Spanned<Ratio>,
    pub(super) coverage_factor: Spanned<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawCategory {
    pub(super) category: Spanned<String>,
    pub(super) voltage: Spanned<Volts>,
}
