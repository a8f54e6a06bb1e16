use crate::error::{Bounds, Error, Result};
use crate::waveform::TrueRms;

use super::published::{self, PublishedBand};
use super::{BandSet, CircuitClass, Step};

/// The brightness steps of a circuit, the brightest first: the order in which they are set.
#[derive(Clone, Debug, PartialEq)]
pub struct StepTable {
    name: String,
    steps: Vec<Step>,
}

impl StepTable {
    /// Number of a step.
    pub const NUMBER: Bounds = Bounds::new("step number", "", 1.0, 20.0);

    /// A table from its steps, in any order.
    ///
    /// # Errors
    /// `Inconsistent` for no step, a number given twice, a nominal outside its band, or currents
    /// that do not rise with the number; `OutOfRange` for a number out of bounds.
    pub fn new(name: impl Into<String>, mut steps: Vec<Step>) -> Result<Self> {
        if steps.is_empty() {
            return Err(Error::inconsistent("a step table without steps"));
        }
        steps.sort_by_key(|step| std::cmp::Reverse(step.number));
        for step in &steps {
            Self::NUMBER.check(f64::from(step.number))?;
            let nominal_a = step.nominal.a();
            if !(step.band.low_a()..=step.band.high_a()).contains(&nominal_a) {
                return Err(Error::inconsistent(format!(
                    "step {}: the nominal {nominal_a} A lies outside its band {} to {} A",
                    step.number,
                    step.band.low_a(),
                    step.band.high_a()
                )));
            }
        }
        for pair in steps.windows(2) {
            if pair[0].number == pair[1].number {
                return Err(Error::inconsistent(format!("step {} is given twice", pair[0].number)));
            }
            if pair[0].nominal <= pair[1].nominal {
                return Err(Error::inconsistent(format!(
                    "step {} ({} A) is not brighter than step {} ({} A)",
                    pair[0].number,
                    pair[0].nominal.a(),
                    pair[1].number,
                    pair[1].nominal.a()
                ))
                .with_hint("step 1 is the dimmest; currents rise with the number"));
            }
        }
        Ok(Self { name: name.into(), steps })
    }

    /// A published table.
    ///
    /// # Errors
    /// `Inconsistent` for a combination nobody here has read.
    pub fn published(class: CircuitClass, set: BandSet) -> Result<Self> {
        let bands = published::bands(class, set).ok_or_else(|| {
            Error::inconsistent(format!(
                "the bands of {} for {} have not been read by the authors",
                set.key(),
                class.key()
            ))
            .with_hint(format!(
                "choose {}, or enter the bands with their source in the description",
                BandSet::default_for(class).key()
            ))
        })?;
        let step = |(index, (nominal_a, published)): (usize, (&f64, &PublishedBand))| Step {
            number: index as u32 + 1,
            nominal: TrueRms::stated_a(*nominal_a),
            band: published.band,
            source: published::source(set, published.remark.is_some()),
            remark: published.remark.map(str::to_owned),
        };
        let steps = class.nominals_a().iter().zip(bands).enumerate().map(step).collect();
        Self::new(format!("{}, bands {}", class.key(), set.key()), steps)
    }

    /// The table's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The steps, the brightest first.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// The step with that number.
    #[must_use]
    pub fn step(&self, number: u32) -> Option<&Step> {
        self.steps.iter().find(|step| step.number == number)
    }

    /// The brightest step: its nominal is the rated current of the lamps.
    #[must_use]
    pub fn top(&self) -> &Step {
        &self.steps[0]
    }

    /// The step whose nominal is nearest to a current, by ratio.
    #[must_use]
    pub fn nearest(&self, current: TrueRms) -> &Step {
        let distance = |step: &Step| (current.a() / step.nominal.a()).ln().abs();
        self.steps
            .iter()
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
            .expect("a step table has at least one step")
    }
}
