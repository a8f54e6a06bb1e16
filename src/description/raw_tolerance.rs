//! Tolerances as written, before the numbers they belong to are known.

use serde::Deserialize;
use serde::de::{Deserializer, Error, Visitor};
use toml::Spanned;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct RawTolerance {
    pub(super) of: Spanned<String>,
    pub(super) distribution: Spanned<RawDistribution>,
    pub(super) standard: Option<Spanned<Amount>>,
    pub(super) half_width: Option<Spanned<Amount>>,
    pub(super) low: Option<Spanned<Amount>>,
    pub(super) high: Option<Spanned<Amount>>,
    pub(super) top: Option<Spanned<Amount>>,
    pub(super) degrees_of_freedom: Option<Spanned<f64>>,
    pub(super) group: Option<Spanned<String>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum RawDistribution {
    Exactly,
    Normal,
    Rectangular,
    Triangular,
    Trapezoidal,
    ArcSine,
    StudentT,
    LogNormal,
}

/// A quantity whose kind is only known once the number it belongs to is.
#[derive(Clone, Debug)]
pub(super) struct Amount(pub(super) String);

impl<'de> Deserialize<'de> for Amount {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(AmountVisitor).map(Self)
    }
}

struct AmountVisitor;

impl Visitor<'_> for AmountVisitor {
    type Value = String;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a ratio such as \"5 %\" or a quantity with its unit")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<String, E> {
        Ok(text.to_owned())
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<String, E> {
        Ok(value.to_string())
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<String, E> {
        Ok(value.to_string())
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<String, E> {
        Ok(value.to_string())
    }
}
