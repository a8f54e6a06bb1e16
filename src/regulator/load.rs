use std::fmt::Debug;

use crate::circuit::{BranchId, Element, Network, NodeId};
use crate::error::{Bounds, Result};

/// What is connected to a regulator's output: it attaches itself to the network.
pub trait Load: Debug + Send + Sync {
    /// Adds its branches between two nodes; returns the branch whose current is the output current.
    ///
    /// The output inductor of a resonant source stands before `from`, so a load may begin with an
    /// inductor; it may not consist of an iron core without loss alone.
    ///
    /// # Errors
    /// `OutOfRange` or `Inconsistent` for values that make no load.
    fn attach(&self, network: &mut Network, from: NodeId, to: NodeId) -> Result<BranchId>;

    /// The resistance it offers to the fundamental, roughly: for a first guess only.
    fn resistance_ohm(&self) -> f64;
}

/// A resistance, with an inductance in series when there is one.
///
/// # Example
/// ```
/// use loopcrest::regulator::{Load, ResistiveLoad};
/// let half = ResistiveLoad::new(114.8).unwrap();
/// assert_eq!(half.resistance_ohm(), 114.8);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResistiveLoad {
    resistance_ohm: f64,
    inductance_h: Option<f64>,
}

impl ResistiveLoad {
    /// Allowed load resistance: the lower end is a short with its leads.
    pub const RESISTANCE_OHM: Bounds = Bounds::new("load resistance", "ohm", 1e-6, 1e6);
    /// Allowed load inductance.
    pub const INDUCTANCE_H: Bounds = Bounds::new("load inductance", "H", 1e-9, 1e3);

    /// A plain resistance.
    ///
    /// # Errors
    /// `OutOfRange` outside [`Self::RESISTANCE_OHM`].
    pub fn new(resistance_ohm: f64) -> Result<Self> {
        Self::RESISTANCE_OHM.check(resistance_ohm)?;
        Ok(Self { resistance_ohm, inductance_h: None })
    }

    /// The same with an inductance in series.
    ///
    /// # Errors
    /// `OutOfRange` outside [`Self::INDUCTANCE_H`].
    pub fn with_inductance_h(mut self, inductance_h: f64) -> Result<Self> {
        self.inductance_h = Some(Self::INDUCTANCE_H.check(inductance_h)?);
        Ok(self)
    }
}

impl Load for ResistiveLoad {
    fn attach(&self, network: &mut Network, from: NodeId, to: NodeId) -> Result<BranchId> {
        let middle = match self.inductance_h {
            Some(inductance_h) => {
                let middle = network.node("load inner");
                network.branch("load inductance", from, middle, Element::Inductor { inductance_h });
                middle
            }
            None => from,
        };
        let element = Element::Resistor { resistance_ohm: self.resistance_ohm };
        Ok(network.branch("load", middle, to, element))
    }

    fn resistance_ohm(&self) -> f64 {
        self.resistance_ohm
    }
}
