use statrs::distribution::{ContinuousCDF, FisherSnedecor, StudentsT};

use super::Observation;

/// What the residuals are counted in, and how well that is known.
pub(super) struct Noise {
    /// One residual of each capture is counted in this.
    pub(super) units_a: Vec<f64>,
    /// Degrees of freedom of the noise; `None` when the noise of one capture is not known and all of
    /// them weigh the same.
    pub(super) freedom: Option<usize>,
}

impl Noise {
    pub(super) fn of(observations: &[Observation]) -> Self {
        let known: Option<Vec<f64>> = observations.iter().map(|seen| seen.lines.noise_a).collect();
        match known {
            Some(units_a) => {
                let freedoms = observations.iter().map(|seen| seen.lines.noise_freedom);
                Self { units_a, freedom: Some(freedoms.fold(0, usize::saturating_add)) }
            }
            None => Self { units_a: vec![1.0; observations.len()], freedom: None },
        }
    }

    /// Probability that noise makes the reduced χ² this large; `None` when it is not known. Both
    /// variances come from a finite number of values, hence the F-distribution.
    pub(super) fn chance_ratio(&self, reduced: f64, freedom: usize) -> Option<f64> {
        let law = FisherSnedecor::new(freedom as f64, self.freedom?.max(1) as f64).ok()?;
        Some(law.sf(reduced))
    }

    /// Half-width of an interval over the standard uncertainty: that of Student's distribution with
    /// the freedom of the noise, or of the residuals where they stand for it.
    pub(super) fn coverage_factor(&self, coverage_ratio: f64, residual_freedom: usize) -> f64 {
        let freedom = self.freedom.unwrap_or(residual_freedom).max(1);
        let law = StudentsT::new(0.0, 1.0, freedom as f64)
            .expect("the scale is 1 and there is a degree of freedom at least");
        law.inverse_cdf(0.5 + 0.5 * coverage_ratio)
    }
}
