use std::f64::consts::TAU;

use crate::error::Result;
use crate::meter::Detector;
use crate::waveform::{Coupling, Scale, Shape, Synthesis};

/// True RMS of every rung. The errors do not depend on it.
const RMS_A: f64 = 6.6;
/// Fine enough that the largest sample of a corner is within 1e-4 of the corner's own height, so
/// that the printed decimal is the closed form's.
const SAMPLES_PER_PERIOD: usize = 36_000;

/// One shape of the ladder with the error each kind of ideal meter makes on it.
///
/// Errors are against the true RMS of the whole current, mean included: the one that heats a lamp.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// The shape in words.
    pub name: String,
    /// The shape.
    pub shape: Shape,
    /// Whether the meters see the mean of the current.
    pub coupling: Coupling,
    /// Error of a true-RMS meter.
    pub true_rms_error_ratio: f64,
    /// Error of an average-responding meter.
    pub average_error_ratio: f64,
    /// Error of a peak-responding meter.
    pub peak_error_ratio: f64,
}

impl Rung {
    /// Computes one rung.
    ///
    /// # Errors
    /// As [`Synthesis::waveform`].
    pub fn new(name: impl Into<String>, shape: Shape, coupling: Coupling) -> Result<Self> {
        let recipe = Synthesis {
            samples_per_period: SAMPLES_PER_PERIOD,
            ..Synthesis::new(shape.clone(), Scale::RmsA(RMS_A))
        };
        let waveform = recipe.waveform()?;
        let measures = waveform.measures();
        let error =
            |detector: Detector| detector.read(&measures).shown_a() / measures.dc.rms_a - 1.0;
        Ok(Self {
            name: name.into(),
            shape,
            coupling,
            true_rms_error_ratio: error(Detector::TrueRms(coupling)),
            average_error_ratio: error(Detector::AverageResponding(coupling)),
            peak_error_ratio: error(Detector::PeakResponding(coupling)),
        })
    }

    /// One period as the meter sees it, against the shape's own peak.
    #[must_use]
    pub fn seen_ratio(&self, points: usize) -> Vec<f64> {
        let values: Vec<f64> =
            (0..points).map(|k| self.shape.at(TAU * (k as f64 + 0.5) / points as f64)).collect();
        let mean = match self.coupling {
            Coupling::Ac => values.iter().sum::<f64>() / points as f64,
            Coupling::Dc => 0.0,
        };
        let peak = values.iter().map(|value| value.abs()).fold(0.0, f64::max);
        values.into_iter().map(|value| (value - mean) / peak).collect()
    }
}
