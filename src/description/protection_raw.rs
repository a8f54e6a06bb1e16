//! The protection of the output as written, before any value is checked.

use serde::Deserialize;
use toml::Spanned;

use super::quantity::{Ratio, Seconds};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawProtection {
    pub(super) detector: Option<Spanned<String>>,
    pub(super) window_half_cycles: Option<Spanned<u32>>,
    pub(super) reset: Option<Spanned<String>>,
    pub(super) overcurrent: Option<Spanned<Vec<Spanned<RawOvercurrent>>>>,
    pub(super) open_circuit: Option<Spanned<RawOpenCircuit>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawOvercurrent {
    pub(super) pickup: Spanned<Ratio>,
    pub(super) delay: Spanned<Seconds>,
    pub(super) tried_at: Option<Spanned<Ratio>>,
    pub(super) tried_within: Option<Spanned<Ratio>>,
    pub(super) shortest: Option<Spanned<Seconds>>,
    pub(super) longest: Option<Spanned<Seconds>>,
    pub(super) source: Option<Spanned<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawOpenCircuit {
    pub(super) below: Spanned<Ratio>,
    pub(super) delay: Spanned<Seconds>,
    pub(super) shortest: Option<Spanned<Seconds>>,
    pub(super) longest: Option<Spanned<Seconds>>,
    pub(super) source: Option<Spanned<String>>,
}
