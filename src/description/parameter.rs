use crate::error::{Bounds, Error, Result};
use crate::units::Dimension;

use super::Description;
use super::complaint::misspelt;
use super::parameter_place::{self, ParameterPlace};

/// One number of a description that can be varied: what it is called in the file, what it is now, and
/// where it goes.
///
/// A default that the file leaves out is a parameter as well; so is a supply harmonic that is not
/// there, with a ratio of 0. Setting a parameter checks it against the bounds the reader uses.
///
/// # Example
/// ```
/// use loopcrest::description::{Description, Parameter};
/// let mut description = Description::embedded();
/// let load = Parameter::find(&description, "regulator.load").unwrap();
/// assert_eq!(load.nominal(), 0.02);
/// load.set(&mut description, 0.6).unwrap();
/// assert_eq!(description.regulator.unwrap().load_ratio, 0.6);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Parameter {
    key: String,
    words: String,
    dimension: Dimension,
    bounds: Bounds,
    nominal: f64,
    place: ParameterPlace,
}

impl Parameter {
    /// Every parameter of a description, in the order of listings.
    #[must_use]
    pub fn all(description: &Description) -> Vec<Self> {
        parameter_place::all(description)
            .into_iter()
            .filter_map(|place| Self::at(description, place))
            .collect()
    }

    /// The parameter with that dotted name.
    ///
    /// # Errors
    /// `Malformed` with the nearest spelling when the description has none of that name.
    pub fn find(description: &Description, key: &str) -> Result<Self> {
        if let Some(place) = ParameterPlace::from_key(key)
            && let Some(parameter) = Self::at(description, place)
        {
            return Ok(parameter);
        }
        if description.regulator.is_none() {
            return Err(Error::inconsistent("the description has no regulator to vary"));
        }
        let all = Self::all(description);
        Err(misspelt("the name of a parameter", key, all.iter().map(Self::key))
            .with_hint(format!("parameters begin with {}", beginnings(&all))))
    }

    fn at(description: &Description, place: ParameterPlace) -> Option<Self> {
        let nominal = place.get(description)?;
        Some(Self {
            key: place.key(),
            words: place.words(),
            dimension: place.dimension(),
            bounds: place.bounds(),
            nominal,
            place,
        })
    }

    /// Its dotted name, as it would stand in the file.
    #[must_use]
    pub fn key(&self) -> &str {
        &self.key
    }

    /// What it is, in words.
    #[must_use]
    pub fn words(&self) -> &str {
        &self.words
    }

    /// What kind of quantity it is.
    #[must_use]
    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// Values it may take.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// Its value in the description it was taken from, in SI base units.
    #[must_use]
    pub fn nominal(&self) -> f64 {
        self.nominal
    }

    /// Its name as the head of a column, with the unit: `regulator_load_ratio`.
    #[must_use]
    pub fn column(&self) -> String {
        let unit = match self.dimension {
            Dimension::Current => "a",
            Dimension::Voltage => "v",
            Dimension::Frequency => "hz",
            Dimension::Time => "s",
            Dimension::Angle => "rad",
            Dimension::Power => "w",
            Dimension::Impedance => "ohm",
            Dimension::Ratio => "ratio",
            Dimension::Length => "m",
            Dimension::Temperature => "degc",
            _ => return self.key.replace(['.', '-'], "_"),
        };
        format!("{}_{unit}", self.key.replace(['.', '-'], "_"))
    }

    /// Whether it changes anything: the share of the rated load does nothing once there is a field.
    #[must_use]
    pub fn acts_in(&self, description: &Description) -> bool {
        match &self.place {
            ParameterPlace::Field(_) => description.field.is_some(),
            _ => self.key != "regulator.load" || description.field.is_none(),
        }
    }

    /// Puts a value into its place.
    ///
    /// # Errors
    /// `OutOfRange` for a value out of bounds; `Malformed` for an exponent that is not an odd whole
    /// number; `Inconsistent` when the description has no such place.
    pub fn set(&self, description: &mut Description, value: f64) -> Result<()> {
        self.bounds
            .check(value)
            .and_then(|value| self.place.set(description, value))
            .map_err(|error| error.with_context(self.key.clone()))
    }
}

/// The first words of the dotted names, each once.
fn beginnings(all: &[Parameter]) -> String {
    let mut beginnings: Vec<&str> =
        all.iter().map(|parameter| parameter.key.split('.').next().unwrap_or_default()).collect();
    beginnings.dedup();
    beginnings.join(", ")
}
