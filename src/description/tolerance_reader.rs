use toml::Spanned;

use crate::error::{Error, Result};
use crate::uncertainty::Distribution;
use crate::units::{self, Dimension};

use super::generic_tolerances;
use super::raw_tolerance::{Amount, RawDistribution, RawTolerance};
use super::reader::Reader;
use super::{Description, Parameter, Tolerance};

/// Share of the probability that must lie inside the number's bounds, on either side.
const TAIL_RATIO: f64 = 1e-3;

impl Reader<'_> {
    /// The file's tolerances, and ours for the numbers it says nothing about.
    pub(super) fn tolerances(
        &self,
        raw: &[RawTolerance],
        with_generic: bool,
        description: &Description,
    ) -> Result<Vec<Tolerance>> {
        let mut all = Vec::new();
        if with_generic {
            all = generic_tolerances::of(description);
        }
        let mut own: Vec<Tolerance> = Vec::new();
        for entry in raw {
            let tolerance = self.tolerance(entry, description)?;
            if own.iter().any(|known| known.parameter == tolerance.parameter) {
                let key = tolerance.parameter.key();
                let error = Error::inconsistent(format!("two tolerances of \"{key}\""));
                return Err(self.at(&entry.of, error));
            }
            own.push(tolerance);
        }
        // The file's word replaces ours where both speak of one number.
        for tolerance in own {
            match all.iter_mut().find(|known| known.parameter == tolerance.parameter) {
                Some(known) => *known = tolerance,
                None => all.push(tolerance),
            }
        }
        Ok(all)
    }

    fn tolerance(&self, raw: &RawTolerance, description: &Description) -> Result<Tolerance> {
        let key = raw.of.get_ref().trim();
        let parameter =
            Parameter::find(description, key).map_err(|error| self.at(&raw.of, error))?;
        let distribution = self.distribution(raw, &parameter)?;
        let bounds = parameter.bounds();
        for share in [TAIL_RATIO, 1.0 - TAIL_RATIO] {
            bounds.check(distribution.quantile(share)).map_err(|error| {
                self.at(&raw.of, error.with_context(format!("tolerance of {key}")))
            })?;
        }
        let group = match &raw.group {
            Some(group) => self.filled(group, "a name for the group")?.to_owned(),
            None => generic_tolerances::group_of(&parameter),
        };
        Ok(Tolerance { parameter, distribution, group, is_generic: false })
    }

    fn distribution(&self, raw: &RawTolerance, parameter: &Parameter) -> Result<Distribution> {
        let nominal = parameter.nominal();
        let kind = *raw.distribution.get_ref();
        let distribution = match kind {
            RawDistribution::Exactly => Distribution::Exactly(nominal),
            RawDistribution::Normal => Distribution::Normal {
                mean: nominal,
                standard_uncertainty: self.standard(raw, parameter)?,
            },
            RawDistribution::StudentT => Distribution::StudentT {
                mean: nominal,
                scale: self.standard(raw, parameter)?,
                degrees_of_freedom: *self
                    .needed(raw, &raw.degrees_of_freedom, "degrees-of-freedom")?
                    .get_ref(),
            },
            RawDistribution::LogNormal => Distribution::LogNormal {
                log_mean: nominal.ln(),
                log_deviation: (self.standard(raw, parameter)? / nominal).ln_1p(),
            },
            RawDistribution::Rectangular => {
                let (low, high) = self.limits(raw, parameter)?;
                Distribution::Rectangular { low, high }
            }
            RawDistribution::Triangular => {
                let (low, high) = self.limits(raw, parameter)?;
                Distribution::Triangular { low, high }
            }
            RawDistribution::ArcSine => {
                let (low, high) = self.limits(raw, parameter)?;
                Distribution::ArcSine { low, high }
            }
            RawDistribution::Trapezoidal => {
                let (low, high) = self.limits(raw, parameter)?;
                let top = self.needed(raw, &raw.top, "top")?;
                Distribution::Trapezoidal { low, high, top_ratio: self.ratio(top)? }
            }
        };
        distribution.check().map_err(|error| self.at(&raw.distribution, error))
    }

    fn standard(&self, raw: &RawTolerance, parameter: &Parameter) -> Result<f64> {
        self.width(self.needed(raw, &raw.standard, "standard")?, parameter)
    }

    /// Both limits, or the number with a half-width to either side.
    fn limits(&self, raw: &RawTolerance, parameter: &Parameter) -> Result<(f64, f64)> {
        if let Some(half) = &raw.half_width {
            let half = self.width(half, parameter)?;
            return Ok((parameter.nominal() - half, parameter.nominal() + half));
        }
        let low = self.needed(raw, &raw.low, "half-width, or low and high")?;
        let high = self.needed(raw, &raw.high, "high")?;
        Ok((self.absolute(low, parameter)?, self.absolute(high, parameter)?))
    }

    fn needed<'t, T>(
        &self,
        raw: &RawTolerance,
        field: &'t Option<Spanned<T>>,
        name: &str,
    ) -> Result<&'t Spanned<T>> {
        field.as_ref().ok_or_else(|| {
            let error = Error::malformed(format!("{name} for this distribution"), "none");
            self.at(&raw.distribution, error)
        })
    }

    /// A width: a ratio is one of the number itself, anything else has the number's unit.
    fn width(&self, amount: &Spanned<Amount>, parameter: &Parameter) -> Result<f64> {
        let text = amount.get_ref().0.as_str();
        // A ratio of degrees Celsius means nothing.
        if parameter.dimension() != Dimension::Temperature
            && let Ok(ratio) = units::parse(text, Dimension::Ratio)
        {
            let width = ratio * parameter.nominal().abs();
            if width > 0.0 {
                return Ok(width);
            }
            let error = Error::inconsistent(format!(
                "a width of {text} of {}, which is {}, is none",
                parameter.key(),
                parameter.nominal()
            ));
            return Err(self.at(amount, error.with_hint("give `low` and `high` instead")));
        }
        self.absolute(amount, parameter)
    }

    fn absolute(&self, amount: &Spanned<Amount>, parameter: &Parameter) -> Result<f64> {
        units::parse(&amount.get_ref().0, parameter.dimension())
            .map_err(|error| self.at(amount, error))
    }

    fn ratio(&self, amount: &Spanned<Amount>) -> Result<f64> {
        units::parse(&amount.get_ref().0, Dimension::Ratio).map_err(|error| self.at(amount, error))
    }
}
