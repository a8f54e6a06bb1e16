use crate::description::{Description, Parameter};
use crate::error::{Bounds, Error, Result};
use crate::units::{self, Dimension};

/// One parameter of a grid with the values it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    parameter: Parameter,
    values: Vec<f64>,
}

impl Axis {
    /// Values along one axis.
    pub const COUNT: Bounds = Bounds::new("values along an axis", "", 1.0, 1e7);

    /// An axis of a parameter of a description.
    ///
    /// # Errors
    /// `OutOfRange` for a value the parameter may not take, or too many values.
    pub fn new(parameter: Parameter, values: Vec<f64>) -> Result<Self> {
        Self::COUNT.check(values.len() as f64)?;
        for value in &values {
            let checked = parameter.bounds().check(*value);
            checked.map_err(|error| error.with_context(parameter.key().to_owned()))?;
        }
        Ok(Self { parameter, values })
    }

    /// An axis as people write it: `regulator.load=2%..100%/5` for five even steps with both ends,
    /// `regulator.load=2%,50%` for a list.
    ///
    /// # Errors
    /// `Malformed` for another form, an unknown parameter or a quantity of another kind; as
    /// [`Self::new`].
    pub fn parse(text: &str, description: &Description) -> Result<Self> {
        let form = || {
            Error::malformed(
                "an axis such as regulator.load=2%..100%/5 or regulator.load=2%,50%",
                format!("\"{text}\""),
            )
        };
        let (key, range) = text.split_once('=').ok_or_else(form)?;
        if key.trim() == "step" {
            return Err(Error::malformed("the name of a parameter", "\"step\"")
                .with_hint("every circuit is solved at every step; choose some with --step"));
        }
        let parameter = Parameter::find(description, key.trim())?;
        let quantity = |text: &str| quantity(text, parameter.dimension());
        let values = match range.split_once("..") {
            Some((from, rest)) => {
                let (to, count) = rest.rsplit_once('/').ok_or_else(form)?;
                let count: usize = count.trim().parse().map_err(|_| form())?;
                Self::COUNT.check(count as f64)?;
                even(quantity(from)?, quantity(to)?, count)
            }
            None => range.split(',').map(quantity).collect::<Result<_>>()?,
        };
        Self::new(parameter, values)
    }

    /// The parameter.
    #[must_use]
    pub fn parameter(&self) -> &Parameter {
        &self.parameter
    }

    /// Its values.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }
}

/// A quantity with its unit; a bare number is in the base unit, an angle in degrees.
fn quantity(text: &str, dimension: Dimension) -> Result<f64> {
    match units::parse_number(text) {
        Some(degrees) if dimension == Dimension::Angle => Ok(degrees.to_radians()),
        Some(value) => Ok(value),
        None => units::parse(text, dimension),
    }
}

/// Both ends exactly, even steps between; of one value, the first end.
fn even(from: f64, to: f64, count: usize) -> Vec<f64> {
    let last = count.saturating_sub(1);
    let at = |k: usize| {
        if k == last && k > 0 { to } else { from + (to - from) * k as f64 / last.max(1) as f64 }
    };
    (0..count).map(at).collect()
}
