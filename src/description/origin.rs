use std::path::PathBuf;

use crate::error::Result;
use crate::spectrum::band_limited;
use crate::waveform::{Noise, RingDown, Scale, Shape, Synthesis, Waveform};

/// Where the current of a step comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum CurrentOrigin {
    /// A synthetic shape.
    Shape(ShapeOrigin),
    /// A recorded current.
    Capture(CaptureOrigin),
}

/// A synthetic shape with what is added to it.
#[derive(Clone, Debug, PartialEq)]
pub struct ShapeOrigin {
    /// The bare shape.
    pub shape: Shape,
    /// Mean, as a ratio of the shape's RMS.
    pub offset_ratio: f64,
    /// Noise.
    pub noise: Option<Noise>,
    /// Ringing.
    pub ring_down: Option<RingDown>,
    /// Highest harmonic kept; `None` keeps the shape's corners.
    pub highest_order: Option<usize>,
}

/// A recorded current.
#[derive(Clone, Debug, PartialEq)]
pub struct CaptureOrigin {
    /// The file.
    pub file: PathBuf,
    /// Name or number (from 1) of the column with the current.
    pub column: Option<String>,
    /// Name or number (from 1) of the column with the time.
    pub time_column: Option<String>,
    /// Sample rate, when the file does not say.
    pub sample_rate_hz: Option<f64>,
    /// Output of the clamp, when the file holds volts.
    pub clamp_v_per_a: Option<f64>,
    /// Start of the part to use, in seconds of the record.
    pub from_s: Option<f64>,
    /// End of the part to use, in seconds of the record.
    pub to_s: Option<f64>,
}

impl ShapeOrigin {
    /// The bare shape with nothing added.
    #[must_use]
    pub fn plain(shape: Shape) -> Self {
        Self { shape, offset_ratio: 0.0, noise: None, ring_down: None, highest_order: None }
    }

    /// The current, scaled so that its true RMS (mean included) is `rms_a`.
    ///
    /// # Errors
    /// As [`Synthesis::waveform`].
    pub fn waveform(&self, rms_a: f64, frequency_hz: f64) -> Result<Waveform> {
        let synthesis = Synthesis {
            offset_ratio: self.offset_ratio,
            noise: self.noise,
            ring_down: self.ring_down,
            frequency_hz,
            ..Synthesis::new(self.shape.clone(), Scale::RmsA(rms_a))
        };
        match self.highest_order {
            Some(order) => band_limited(&synthesis, order),
            None => synthesis.waveform(),
        }
    }

    /// The shape and its additions in words.
    #[must_use]
    pub fn words(&self) -> String {
        let mut words = self.shape.name();
        if self.offset_ratio.abs() > 0.0 {
            words += &format!(", mean {:.2} % of its RMS", 100.0 * self.offset_ratio);
        }
        if let Some(noise) = self.noise {
            words += &format!(", noise {:.2} %", 100.0 * noise.ratio);
        }
        if self.ring_down.is_some() {
            words += ", with ringing";
        }
        if let Some(order) = self.highest_order {
            words += &format!(", no harmonic above {order}");
        }
        words
    }
}
