use ndarray::{Array1, ArrayView1, ArrayView2};

use crate::error::{Bounds, Error, Result};

use super::moments;
use super::{Coupling, Measures, TrueRms};

/// Whole periods of a current on a uniform grid, in amperes.
///
/// The currency of the library: whatever makes one (a shape, a capture, a solved circuit),
/// everything after it is the same code. Checked once when made: finite samples, enough of them in
/// a period, whole periods.
///
/// # Example
/// ```
/// use loopcrest::waveform::Waveform;
/// let one_period: Vec<f64> =
///     (0..400).map(|k| (std::f64::consts::TAU * (k as f64 + 0.5) / 400.0).sin()).collect();
/// let sine = Waveform::new(one_period, 400, 1.0 / (60.0 * 400.0)).unwrap();
/// assert!((sine.measures().dc.rms_a - 0.5_f64.sqrt()).abs() < 1e-12);
/// assert!((sine.frequency_hz() - 60.0).abs() < 1e-9);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Waveform {
    samples_a: Array1<f64>,
    samples_per_period: usize,
    sample_interval_s: f64,
    /// Kept from the check at construction, so that [`Waveform::measures`] needs one pass only.
    mean_a: f64,
    /// Highest harmonic order that its maker vouches for; `None` when the grid alone decides.
    highest_order: Option<usize>,
}

impl Waveform {
    /// Samples in one period: below the lower bound no harmonic content can be told.
    pub const SAMPLES_PER_PERIOD: Bounds = Bounds::new("samples per period", "", 16.0, 1e8);
    /// Time between two samples.
    pub const SAMPLE_INTERVAL_S: Bounds = Bounds::new("sample interval", "s", 1e-9, 0.1);
    /// Largest magnitude of a sample; beyond it squares would lose their meaning.
    pub const SAMPLE_A: Bounds = Bounds::new("sample", "A", -1e9, 1e9);
    /// What a waveform can be scaled to.
    pub const RMS_A: Bounds = Bounds::new("RMS to scale to", "A", 0.0, 1e9);

    /// A waveform from its samples.
    ///
    /// # Errors
    /// `OutOfRange` for too few samples in a period, a sample that is not finite or beyond
    /// [`Self::SAMPLE_A`], an interval out of range; `Inconsistent` when the samples are not a
    /// whole number of periods.
    pub fn new(
        samples_a: Vec<f64>,
        samples_per_period: usize,
        sample_interval_s: f64,
    ) -> Result<Self> {
        Self::SAMPLES_PER_PERIOD.check(samples_per_period as f64)?;
        Self::SAMPLE_INTERVAL_S.check(sample_interval_s)?;
        if samples_a.is_empty() || !samples_a.len().is_multiple_of(samples_per_period) {
            return Err(Error::inconsistent(format!(
                "{} samples are not a whole number of periods of {samples_per_period} samples",
                samples_a.len()
            ))
            .with_hint("cut the record to whole periods first"));
        }
        let check = moments::check(&samples_a, Self::SAMPLE_A);
        if let Some(at) = check.first_bad {
            let outside = Self::SAMPLE_A.check(samples_a[at]).map(|_| ());
            return Err(outside
                .expect_err("the scan found this sample out of bounds")
                .with_context(format!("sample {} of {}", at + 1, samples_a.len())));
        }
        let mean_a = check.sum_a / samples_a.len() as f64;
        Ok(Self {
            samples_a: Array1::from(samples_a),
            samples_per_period,
            sample_interval_s,
            mean_a,
            highest_order: None,
        })
    }

    /// The same waveform with the highest harmonic order its maker vouches for: a record brought onto
    /// a finer grid holds nothing above half of its own rate but residue of the interpolation.
    #[must_use]
    pub fn with_highest_order(mut self, highest_order: usize) -> Self {
        self.highest_order = Some(highest_order);
        self
    }

    /// The highest harmonic order that means anything: the grid's, or the lower one of its maker.
    #[must_use]
    pub fn highest_order(&self) -> usize {
        let held = (self.samples_per_period - 1) / 2;
        self.highest_order.map_or(held, |order| order.min(held))
    }

    /// All samples, in amperes.
    #[must_use]
    pub fn samples_a(&self) -> &[f64] {
        self.samples_a.as_slice().expect("a one-dimensional array made from a Vec is contiguous")
    }

    /// The samples as an array view, in amperes.
    #[must_use]
    pub fn view_a(&self) -> ArrayView1<'_, f64> {
        self.samples_a.view()
    }

    /// The samples as periods x samples per period, in amperes.
    #[must_use]
    pub fn periods_a(&self) -> ArrayView2<'_, f64> {
        self.samples_a
            .view()
            .into_shape_with_order((self.periods(), self.samples_per_period))
            .expect("whole periods were checked at construction")
    }

    /// Samples in one period.
    #[must_use]
    pub fn samples_per_period(&self) -> usize {
        self.samples_per_period
    }

    /// Number of whole periods.
    #[must_use]
    pub fn periods(&self) -> usize {
        self.samples_a.len() / self.samples_per_period
    }

    /// Time between two samples.
    #[must_use]
    pub fn sample_interval_s(&self) -> f64 {
        self.sample_interval_s
    }

    /// Length of one period.
    #[must_use]
    pub fn period_s(&self) -> f64 {
        self.sample_interval_s * self.samples_per_period as f64
    }

    /// Frequency of the period.
    #[must_use]
    pub fn frequency_hz(&self) -> f64 {
        1.0 / self.period_s()
    }

    /// Time of sample k from the start of the first period: the middle of its cell.
    #[must_use]
    pub fn time_s(&self, k: usize) -> f64 {
        (k as f64 + 0.5) * self.sample_interval_s
    }

    /// The mean over all samples.
    #[must_use]
    pub fn mean_a(&self) -> f64 {
        self.mean_a
    }

    /// Every time-domain measure, AC- and DC-coupled, in one pass over the samples.
    #[must_use]
    pub fn measures(&self) -> Measures {
        Measures::of(self)
    }

    /// True RMS with the coupling named.
    #[must_use]
    pub fn rms_a(&self, coupling: Coupling) -> f64 {
        self.measures().coupled(coupling).rms_a
    }

    /// True RMS as the type that bands and lamps accept.
    #[must_use]
    pub fn true_rms(&self, coupling: Coupling) -> TrueRms {
        TrueRms::stated_a(self.rms_a(coupling))
    }

    /// The same shape with every sample multiplied.
    ///
    /// # Errors
    /// `OutOfRange` when the factor or a resulting sample is out of bounds or not finite.
    pub fn scaled(&self, factor: f64) -> Result<Self> {
        let samples_a = self.samples_a().iter().map(|i_a| i_a * factor).collect();
        let scaled = Self::new(samples_a, self.samples_per_period, self.sample_interval_s)?;
        Ok(Self { highest_order: self.highest_order, ..scaled })
    }

    /// The same shape scaled to a true RMS of the given coupling.
    ///
    /// # Errors
    /// `OutOfRange` for a target that is negative; `Inconsistent` when the waveform has no RMS to
    /// scale; otherwise as [`Self::scaled`].
    pub fn scaled_to_rms(&self, rms_a: f64, coupling: Coupling) -> Result<Self> {
        Self::RMS_A.check(rms_a)?;
        let now_a = self.rms_a(coupling);
        if now_a <= 0.0 {
            return Err(Error::inconsistent(format!(
                "the current is zero ({}), so it cannot be scaled to {rms_a} A",
                coupling.words()
            )));
        }
        self.scaled(rms_a / now_a)
    }

    /// The same periods begun at the rising zero crossing of the first, to the nearest sample.
    ///
    /// A current that never rises through zero is left as it is.
    #[must_use]
    pub fn from_rising_zero(mut self) -> Self {
        let n = self.samples_per_period;
        let samples_a =
            self.samples_a.as_slice_mut().expect("a one-dimensional array is contiguous");
        let rises = |k: usize| samples_a[(k + n - 1) % n] < 0.0 && samples_a[k] >= 0.0;
        if let Some(start) = (0..n).find(|k| rises(*k)) {
            samples_a.rotate_left(start);
        }
        self
    }

    /// One period made by averaging all periods sample by sample.
    #[must_use]
    pub fn averaged_period(&self) -> Self {
        let mean = self
            .periods_a()
            .mean_axis(ndarray::Axis(0))
            .expect("a waveform has at least one period");
        Self {
            samples_a: mean,
            samples_per_period: self.samples_per_period,
            sample_interval_s: self.sample_interval_s,
            mean_a: self.mean_a,
            highest_order: self.highest_order,
        }
    }
}
