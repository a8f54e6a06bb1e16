use crate::error::{Error, Result};

use super::{
    BudgetRow, Contribution, Correlations, CoverageBasis, Distribution, Estimate, Expanded, Input,
    Part, Shape, coverage, derivatives,
};

/// An uncertainty budget: what a result depends on, how strongly, and how well each is known.
///
/// # Formula
/// u² = Σᵢⱼ rᵢⱼ cᵢuᵢ cⱼuⱼ, plus the second-order terms where they were asked for
///
/// # Source
/// JCGM 100:2008, 5.1.2 and 5.2.2.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    quantity: String,
    unit: String,
    value: f64,
    contributions: Vec<Contribution>,
    correlations: Correlations,
    second_order_variance: f64,
}

impl Budget {
    /// A budget whose sensitivities are given.
    ///
    /// # Errors
    /// `Inconsistent` for no contribution, a sensitivity or value that is not a number, or
    /// correlations of another number of inputs.
    pub fn new(
        quantity: impl Into<String>,
        unit: impl Into<String>,
        value: f64,
        contributions: Vec<Contribution>,
        correlations: Correlations,
    ) -> Result<Self> {
        let quantity = quantity.into();
        if contributions.is_empty() || contributions.len() != correlations.len() {
            return Err(Error::inconsistent(format!(
                "{quantity}: a budget of {} contributions with correlations of {}",
                contributions.len(),
                correlations.len()
            )));
        }
        if let Some(bad) = contributions.iter().find(|line| !line.part().is_finite()) {
            return Err(Error::inconsistent(format!(
                "{quantity}: the sensitivity to {} is not a number",
                bad.input.name
            )));
        }
        if !value.is_finite() {
            return Err(Error::inconsistent(format!("{quantity}: the value is not a number")));
        }
        let unit = unit.into();
        Ok(Self { quantity, unit, value, contributions, correlations, second_order_variance: 0.0 })
    }

    /// The budget of a model, its sensitivities found numerically at the estimates.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn from_model(
        quantity: impl Into<String>,
        unit: impl Into<String>,
        inputs: Vec<Input>,
        correlations: Correlations,
        model: impl Fn(&[f64]) -> f64,
    ) -> Result<Self> {
        let sensitivities = derivatives::first(&inputs, &model);
        let values: Vec<f64> = inputs.iter().map(|input| input.estimate.value).collect();
        let contributions = inputs
            .into_iter()
            .zip(sensitivities)
            .map(|(input, sensitivity)| Contribution { input, sensitivity })
            .collect();
        Self::new(quantity, unit, model(&values), contributions, correlations)
    }

    /// The same budget with the terms of second order of its model, for one that is not straight over
    /// the width of its inputs.
    ///
    /// # Formula
    /// Σᵢⱼ [½ fᵢⱼ² + fᵢ fᵢⱼⱼ] uᵢ² uⱼ² is added to the variance.
    ///
    /// # Validity
    /// Inputs of symmetric distribution; [`MonteCarlo`](super::MonteCarlo) has neither this limit nor
    /// that of second order.
    ///
    /// # Errors
    /// `Inconsistent` when inputs are correlated: the terms hold for independent ones.
    ///
    /// # Source
    /// JCGM 100:2008, 5.1.2, note.
    pub fn with_second_order(mut self, model: impl Fn(&[f64]) -> f64) -> Result<Self> {
        if self.correlations.any() {
            return Err(Error::inconsistent(
                "terms of second order are known for independent inputs only",
            )
            .with_hint("propagate correlated inputs by Monte Carlo"));
        }
        let inputs = self.inputs();
        let first: Vec<f64> = self.contributions.iter().map(|line| line.sensitivity).collect();
        self.second_order_variance = derivatives::second_order_variance(&inputs, &first, &model);
        Ok(self)
    }

    /// What is measured, in words.
    #[must_use]
    pub fn quantity(&self) -> &str {
        &self.quantity
    }

    /// Unit of the result.
    #[must_use]
    pub fn unit(&self) -> &str {
        &self.unit
    }

    /// The contributions, in the order given.
    #[must_use]
    pub fn contributions(&self) -> &[Contribution] {
        &self.contributions
    }

    /// How the inputs are correlated.
    #[must_use]
    pub fn correlations(&self) -> &Correlations {
        &self.correlations
    }

    /// The inputs alone, as Monte Carlo takes them.
    #[must_use]
    pub fn inputs(&self) -> Vec<Input> {
        self.contributions.iter().map(|line| line.input.clone()).collect()
    }

    /// The combined standard uncertainty, in the unit of the result.
    #[must_use]
    pub fn combined(&self) -> f64 {
        let parts: Vec<f64> = self.contributions.iter().map(Contribution::part).collect();
        (self.correlations.combine(&parts) + self.second_order_variance).max(0.0).sqrt()
    }

    /// Effective degrees of freedom, truncated to a whole number; infinite when every uncertainty is
    /// taken as exactly known.
    ///
    /// # Formula
    /// ν = (Σ uᵢ²)²/Σ(uᵢ⁴/νᵢ), uᵢ = |cᵢ| u(xᵢ), first-order terms only
    ///
    /// # Validity
    /// Independent inputs. When an input of finite degrees of freedom is correlated with another, the
    /// smallest νᵢ stands instead: the formula never goes below it.
    ///
    /// # Source
    /// JCGM 100:2008, G.4.1 and its note on truncation (Welch and Satterthwaite).
    #[must_use]
    pub fn effective_degrees_of_freedom(&self) -> f64 {
        let finite = |line: &&Contribution| {
            line.part() != 0.0 && line.input.estimate.degrees_of_freedom.is_finite()
        };
        let freedom = |line: &Contribution| line.input.estimate.degrees_of_freedom;
        let tied = self
            .contributions
            .iter()
            .enumerate()
            .any(|(i, line)| finite(&line) && self.correlations.involves(i));
        if tied {
            return self
                .contributions
                .iter()
                .filter(finite)
                .map(freedom)
                .fold(f64::INFINITY, f64::min);
        }
        let variance: f64 = self.contributions.iter().map(|line| line.part().powi(2)).sum();
        let sum: f64 =
            self.contributions.iter().filter(finite).map(|l| l.part().powi(4) / freedom(l)).sum();
        // Rounding must not turn a whole number into the next lower one.
        if sum > 0.0 { (variance * variance / sum * (1.0 + 1e-12)).floor() } else { f64::INFINITY }
    }

    /// The result with its combined standard uncertainty.
    #[must_use]
    pub fn estimate(&self) -> Estimate {
        Estimate {
            value: self.value,
            standard_uncertainty: self.combined(),
            degrees_of_freedom: self.effective_degrees_of_freedom().max(1.0),
        }
    }

    /// The shape of the result about its value. Correlated inputs and terms of second order make it a
    /// bell, whatever their shapes.
    #[must_use]
    pub fn shape(&self) -> Shape {
        let freedom = self.effective_degrees_of_freedom();
        if self.correlations.any() || self.second_order_variance != 0.0 {
            return Shape::bell(self.combined(), freedom);
        }
        Shape::of_sum(&self.parts(), freedom)
    }

    /// The expanded uncertainty, its coverage factor from [`Self::shape`].
    ///
    /// # Errors
    /// `OutOfRange` for a coverage probability out of bounds.
    pub fn expanded(&self, coverage_probability: f64) -> Result<Expanded> {
        let shape = self.shape();
        let factor = shape.coverage_factor(coverage_probability)?;
        Ok(Expanded::new(self.combined(), factor, coverage_probability, shape.basis()))
    }

    /// The expanded uncertainty with k = p √3, when one rectangular part dominates the result.
    ///
    /// # Errors
    /// `Inconsistent` when no rectangular part dominates: the rest together is more than
    /// [`coverage::DOMINANCE_RATIO`] of it; `OutOfRange` for a coverage probability out of bounds.
    pub fn expanded_as_rectangular(&self, coverage_probability: f64) -> Result<Expanded> {
        let parts = self.parts();
        let largest = parts.iter().fold(parts[0], |a, b| if b.size > a.size { *b } else { a });
        let all: f64 = parts.iter().map(|part| part.size * part.size).sum();
        let ratio = (all - largest.size * largest.size).max(0.0).sqrt() / largest.size;
        // Written so that a result without any uncertainty is refused as well.
        let dominates = largest.is_rectangular && ratio <= coverage::DOMINANCE_RATIO;
        if !dominates {
            return Err(Error::inconsistent(format!(
                "{}: no rectangular part dominates: all others together are {ratio:.2} of the largest",
                self.quantity
            )));
        }
        let (basis, p) = (CoverageBasis::Rectangular, coverage_probability);
        Ok(Expanded::new(self.combined(), coverage::rectangular(p)?, p, basis))
    }

    /// The budget as the table a metrologist expects, one row for each contribution.
    #[must_use]
    pub fn rows(&self) -> Vec<BudgetRow> {
        let variance = self.combined().powi(2);
        let row = |line: &Contribution| BudgetRow {
            name: line.input.name.clone(),
            unit: line.input.unit.clone(),
            value: line.input.estimate.value,
            standard_uncertainty: line.input.estimate.standard_uncertainty,
            evaluation: line.input.evaluation,
            distribution: line.input.distribution.key(),
            degrees_of_freedom: Some(line.input.estimate.degrees_of_freedom)
                .filter(|freedom| freedom.is_finite()),
            sensitivity: line.sensitivity,
            contribution: line.part().abs(),
            share_ratio: (variance > 0.0).then(|| line.part().powi(2) / variance),
        };
        self.contributions.iter().map(row).collect()
    }

    fn parts(&self) -> Vec<Part> {
        let part = |line: &Contribution| Part {
            size: line.part().abs(),
            is_rectangular: matches!(line.input.distribution, Distribution::Rectangular { .. }),
        };
        self.contributions.iter().map(part).collect()
    }
}
