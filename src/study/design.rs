use serde_json::{Value, json};

use crate::description::{Parameter, Tolerance};
use crate::error::{Bounds, Error, Result};
use crate::uncertainty::Stream;

use super::Axis;

/// Which circuits a sweep solves: each is found by its number alone.
#[derive(Clone, Debug)]
pub enum Design {
    /// Every combination of the axes' values; the last axis runs fastest.
    Grid(Vec<Axis>),
    /// A random sample of the tolerances.
    Sample {
        /// What varies.
        tolerances: Vec<Tolerance>,
        /// The random numbers.
        stream: Box<Stream>,
        /// How many circuits.
        circuits: u64,
    },
}

impl Design {
    /// Circuits of a sweep.
    pub const CIRCUITS: Bounds = Bounds::new("circuits of a sweep", "", 1.0, 1e12);

    /// A grid.
    ///
    /// # Errors
    /// `Inconsistent` without an axis or with one parameter twice; `OutOfRange` for too many
    /// circuits.
    pub fn grid(axes: Vec<Axis>) -> Result<Self> {
        if axes.is_empty() {
            return Err(Error::inconsistent("a grid without an axis"));
        }
        for (at, axis) in axes.iter().enumerate() {
            if axes[..at].iter().any(|known| known.parameter() == axis.parameter()) {
                let key = axis.parameter().key();
                return Err(Error::inconsistent(format!("two axes of \"{key}\"")));
            }
        }
        Self::CIRCUITS.check(axes.iter().map(|axis| axis.values().len() as f64).product())?;
        Ok(Self::Grid(axes))
    }

    /// A random sample.
    ///
    /// # Errors
    /// `Inconsistent` without a tolerance; `OutOfRange` for too few or too many circuits.
    pub fn sample(tolerances: Vec<Tolerance>, seed: u64, circuits: u64) -> Result<Self> {
        if tolerances.is_empty() {
            return Err(Error::inconsistent("there is no tolerance to sample from"));
        }
        Self::CIRCUITS.check(circuits as f64)?;
        Ok(Self::Sample { tolerances, stream: Box::new(Stream::new(seed)), circuits })
    }

    /// Number of circuits.
    #[must_use]
    pub fn circuits(&self) -> u64 {
        match self {
            Self::Grid(axes) => axes.iter().map(|axis| axis.values().len() as u64).product(),
            Self::Sample { circuits, .. } => *circuits,
        }
    }

    /// What varies, in the order of the values.
    #[must_use]
    pub fn parameters(&self) -> Vec<&Parameter> {
        match self {
            Self::Grid(axes) => axes.iter().map(Axis::parameter).collect(),
            Self::Sample { tolerances, .. } => tolerances.iter().map(|t| &t.parameter).collect(),
        }
    }

    /// The values of a circuit.
    #[must_use]
    pub fn values(&self, circuit: u64) -> Vec<f64> {
        match self {
            Self::Grid(axes) => {
                let mut rest = circuit;
                let mut values: Vec<f64> = axes
                    .iter()
                    .rev()
                    .map(|axis| {
                        let count = axis.values().len() as u64;
                        let at = rest % count;
                        rest /= count;
                        axis.values()[at as usize]
                    })
                    .collect();
                values.reverse();
                values
            }
            Self::Sample { tolerances, stream, .. } => {
                let value = |(c, tolerance): (usize, &Tolerance)| {
                    tolerance.value(stream.uniform(circuit, c as u32))
                };
                tolerances.iter().enumerate().map(value).collect()
            }
        }
    }

    /// All of it in words a program can compare.
    pub(super) fn card(&self) -> Value {
        match self {
            Self::Grid(axes) => {
                let axis =
                    |axis: &Axis| json!({"of": axis.parameter().key(), "values": axis.values()});
                json!({"grid": axes.iter().map(axis).collect::<Vec<_>>()})
            }
            Self::Sample { tolerances, stream, circuits } => {
                let tolerance = |tolerance: &Tolerance| {
                    let law = format!("{:?}", tolerance.distribution);
                    json!({"of": tolerance.parameter.key(), "distribution": law})
                };
                json!({
                    "circuits": circuits,
                    "sample": tolerances.iter().map(tolerance).collect::<Vec<_>>(),
                    "seed": stream.seed(),
                })
            }
        }
    }
}
