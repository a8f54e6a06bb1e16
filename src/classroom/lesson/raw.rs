//! The head of a lesson file as it stands there.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::{Spanned, Value};

pub(super) type Settings = BTreeMap<String, Spanned<Value>>;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawHead {
    pub format: Spanned<i64>,
    pub title: String,
    #[serde(rename = "for")]
    pub audience: String,
    pub minutes: Spanned<i64>,
    #[serde(default)]
    pub goals: Vec<String>,
    pub description: Option<Spanned<String>>,
    #[serde(default)]
    pub source: Vec<RawSource>,
    #[serde(default)]
    pub situation: BTreeMap<String, Settings>,
    #[serde(default)]
    pub figure: BTreeMap<String, Spanned<RawFigure>>,
    #[serde(default)]
    pub slider: BTreeMap<String, Spanned<RawSlider>>,
    #[serde(default)]
    pub question: BTreeMap<String, Spanned<RawQuestion>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawSource {
    pub text: String,
    pub known: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawFigure {
    pub training: Option<Spanned<String>>,
    pub plot: Option<Spanned<String>>,
    pub situation: Option<Spanned<String>>,
    #[serde(default)]
    pub with: Settings,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawSlider {
    pub title: String,
    pub situation: Option<Spanned<String>>,
    #[serde(default)]
    pub steps: Vec<Spanned<i64>>,
    #[serde(default)]
    pub loads: Vec<Spanned<String>>,
    #[serde(default)]
    pub lamps_out: Vec<Spanned<String>>,
    #[serde(default)]
    pub meters: Vec<Spanned<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawQuestion {
    pub ask: Spanned<String>,
    #[serde(default)]
    pub choices: Vec<Spanned<String>>,
    #[serde(default)]
    pub right: Vec<Spanned<i64>>,
    pub situation: Option<Spanned<String>>,
    pub quantity: Option<Spanned<String>>,
    pub digits: Option<Spanned<i64>>,
    pub number: Option<Spanned<f64>>,
    pub unit: Option<String>,
    pub tolerance: Option<Spanned<Value>>,
    pub why: Spanned<String>,
}
