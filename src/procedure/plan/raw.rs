//! The procedure file as written, before anything is checked.

use serde::Deserialize;
use toml::Spanned;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawProcedure {
    pub(super) format: Spanned<i64>,
    pub(super) title: Spanned<String>,
    #[serde(default)]
    pub(super) stage: Vec<Spanned<RawStage>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawStage {
    pub(super) key: Spanned<String>,
    pub(super) title: Spanned<String>,
    pub(super) why: Option<Spanned<String>>,
    #[serde(default)]
    pub(super) item: Vec<Spanned<RawItem>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawItem {
    pub(super) key: Spanned<String>,
    pub(super) kind: Spanned<String>,
    pub(super) text: Spanned<String>,
    pub(super) short: Option<Spanned<String>>,
    pub(super) why: Option<Spanned<String>>,
    #[serde(default)]
    pub(super) cautions: Vec<Spanned<String>>,
    #[serde(default)]
    pub(super) after: Vec<Spanned<String>>,
    pub(super) until: Option<Spanned<String>>,
    pub(super) shows: Option<Spanned<String>>,
    pub(super) connects: Option<Spanned<String>>,
    pub(super) optional: Option<Spanned<bool>>,
    pub(super) output: Option<Spanned<String>>,
    pub(super) moments: Option<Spanned<Vec<Spanned<String>>>>,
    pub(super) protection: Option<Spanned<String>>,
    pub(super) set_point: Option<Spanned<String>>,
    pub(super) set_within: Option<Spanned<String>>,
    pub(super) shortest: Option<Spanned<String>>,
    pub(super) longest: Option<Spanned<String>>,
    pub(super) source: Option<Spanned<String>>,
}
