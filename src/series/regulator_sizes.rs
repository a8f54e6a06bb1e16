use crate::cited::{Cited, Evidence, Source};
use crate::error::{Bounds, Error, Result};

/// The sizes in which regulators are sold, the smallest first.
#[derive(Clone, Debug, PartialEq)]
pub struct RegulatorSizes {
    sizes_w: Cited<Vec<f64>>,
}

impl RegulatorSizes {
    /// Rated power of a size.
    pub const POWER_W: Bounds = Bounds::new("regulator size", "W", 100.0, 1e6);

    /// A list of one's own.
    ///
    /// # Errors
    /// `Inconsistent` for an empty list; `OutOfRange` for a size out of bounds.
    pub fn entered(mut sizes_w: Vec<f64>) -> Result<Self> {
        if sizes_w.is_empty() {
            return Err(Error::inconsistent("a list of regulator sizes without a size"));
        }
        sizes_w.iter().try_for_each(|size_w| Self::POWER_W.check(*size_w).map(drop))?;
        sizes_w.sort_by(f64::total_cmp);
        sizes_w.dedup();
        let source = Source::entered("regulator sizes of the description");
        Ok(Self { sizes_w: Cited { value: sizes_w, source } })
    }

    /// The smallest size whose rating covers a load; `None` when the load is beyond all of them.
    #[must_use]
    pub fn smallest_for(&self, apparent_va: f64) -> Option<f64> {
        self.sizes_w.value.iter().copied().find(|size_w| apparent_va <= *size_w)
    }

    /// The sizes with their source.
    #[must_use]
    pub fn sizes_w(&self) -> &Cited<Vec<f64>> {
        &self.sizes_w
    }
}

impl Default for RegulatorSizes {
    /// 4 to 70 kW; from memory, not verified.
    fn default() -> Self {
        let sizes_w = [4.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 50.0, 70.0].map(|kw| 1e3 * kw);
        let source = Source::known("usual sizes of regulators", "", Evidence::Memory);
        Self { sizes_w: Cited { value: sizes_w.to_vec(), source } }
    }
}
