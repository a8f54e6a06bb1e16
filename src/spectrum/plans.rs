//! Transforms are planned once for each length and kept: planning costs more than transforming.

use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};

static PLANNER: LazyLock<Mutex<RealFftPlanner<f64>>> =
    LazyLock::new(|| Mutex::new(RealFftPlanner::new()));

pub(super) fn forward(length: usize) -> Arc<dyn RealToComplex<f64>> {
    // A poisoned lock only means another thread panicked while planning; the plans stay valid.
    PLANNER.lock().unwrap_or_else(PoisonError::into_inner).plan_fft_forward(length)
}

pub(super) fn inverse(length: usize) -> Arc<dyn ComplexToReal<f64>> {
    PLANNER.lock().unwrap_or_else(PoisonError::into_inner).plan_fft_inverse(length)
}
