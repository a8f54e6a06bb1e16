use realfft::RealFftPlanner;

use crate::error::{Error, Result};

/// Harmonic and interharmonic groups of a window of N whole periods.
///
/// # Formula
/// C_k RMS of the line at k f₁/N; harmonic group of order h:
/// G_h² = ½ C²_{Nh−N/2} + Σ_{|i|<N/2} C²_{Nh+i} + ½ C²_{Nh+N/2}; harmonic subgroup
/// SG_h² = C²_{Nh−1} + C²_{Nh} + C²_{Nh+1}; interharmonic group between h and h+1
/// IG_h² = Σ_{i=1}^{N−1} C²_{Nh+i}; its centred subgroup leaves out the lines i = 1 and N−1.
///
/// # Validity
/// A tone between the lines spreads over all of them (`exact_interharmonic_between_lines`). The
/// smoothing over 1.5 s of the standard is not applied.
///
/// # Source
/// IEC 61000-4-7:2002 with amendment 1, 5.4 to 5.6 and annex A (from memory, not verified).
#[derive(Clone, Debug, PartialEq)]
pub struct HarmonicGroups {
    /// RMS of the lines, k from 0, up to half of the last order and beyond; line 0 is the mean.
    lines_rms_a: Vec<f64>,
    cycles: usize,
    highest_order: usize,
}

impl HarmonicGroups {
    /// The groups of samples that span so many whole periods, up to the highest order that means
    /// anything.
    ///
    /// # Errors
    /// `Inconsistent` when the samples are too few for one order, or periods fewer than two.
    pub fn of(samples_a: &[f64], cycles: usize, highest_order: usize) -> Result<Self> {
        let half = samples_a.len() / 2;
        if cycles < 2 || half < 2 * cycles || highest_order == 0 {
            return Err(Error::inconsistent("too few samples or periods for harmonic groups"));
        }
        let transform = RealFftPlanner::<f64>::new().plan_fft_forward(samples_a.len());
        let mut input = samples_a.to_vec();
        let mut lines = transform.make_output_vec();
        transform.process(&mut input, &mut lines).expect("both buffers were made for this length");
        let n = samples_a.len() as f64;
        // An order needs the lines up to half of the next.
        let most = (half - cycles / 2 - 1) / cycles;
        let highest_order = highest_order.min(most);
        let needed = highest_order * cycles + cycles;
        let lines_rms_a = lines
            .iter()
            .take((needed + 1).min(half))
            .enumerate()
            .map(|(k, line)| line.norm() / n * if k == 0 { 1.0 } else { std::f64::consts::SQRT_2 })
            .collect();
        Ok(Self { lines_rms_a, cycles, highest_order })
    }

    /// Periods of the window: lines per order.
    #[must_use]
    pub fn cycles(&self) -> usize {
        self.cycles
    }

    /// Highest order there is.
    #[must_use]
    pub fn highest_order(&self) -> usize {
        self.highest_order
    }

    /// RMS of line k, at k/N of the mains frequency; `None` beyond the last.
    #[must_use]
    pub fn line_rms_a(&self, k: usize) -> Option<f64> {
        self.lines_rms_a.get(k).copied()
    }

    /// RMS of the harmonic group of an order from 1; `None` beyond the last.
    #[must_use]
    pub fn group_rms_a(&self, order: usize) -> Option<f64> {
        let (middle, half) = (self.middle(order)?, self.cycles / 2);
        let inner = self.square_a2(middle + 1 - half..middle + half);
        let edges = self.square_a2(middle - half..middle - half + 1)
            + self.square_a2(middle + half..middle + half + 1);
        Some((inner + 0.5 * edges).sqrt())
    }

    /// RMS of the harmonic subgroup of an order from 1; `None` beyond the last.
    #[must_use]
    pub fn subgroup_rms_a(&self, order: usize) -> Option<f64> {
        let middle = self.middle(order)?;
        Some(self.square_a2(middle - 1..middle + 2).sqrt())
    }

    /// RMS of the interharmonic group between an order (from 0) and the next; `None` beyond the last.
    #[must_use]
    pub fn interharmonic_group_rms_a(&self, order: usize) -> Option<f64> {
        self.between(order, 1)
    }

    /// The same without the lines next to the harmonics: the centred subgroup.
    #[must_use]
    pub fn interharmonic_subgroup_rms_a(&self, order: usize) -> Option<f64> {
        self.between(order, 2)
    }

    /// Distortion by subgroups: all orders from 2 against the first; `None` without a fundamental.
    #[must_use]
    pub fn subgroup_thd_ratio(&self) -> Option<f64> {
        let first_a = self.subgroup_rms_a(1).filter(|rms_a| *rms_a > 0.0)?;
        let others = (2..=self.highest_order).filter_map(|h| self.subgroup_rms_a(h)).map(|a| a * a);
        Some(others.sum::<f64>().sqrt() / first_a)
    }

    fn between(&self, order: usize, margin: usize) -> Option<f64> {
        let from = order * self.cycles;
        (order < self.highest_order)
            .then(|| self.square_a2(from + margin..from + self.cycles + 1 - margin).sqrt())
    }

    fn middle(&self, order: usize) -> Option<usize> {
        (1..=self.highest_order).contains(&order).then(|| order * self.cycles)
    }

    fn square_a2(&self, lines: std::ops::Range<usize>) -> f64 {
        self.lines_rms_a[lines].iter().map(|rms_a| rms_a * rms_a).sum()
    }
}
