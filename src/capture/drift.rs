use super::harmonic_fit::HarmonicFit;

/// Pieces in which the phase is looked at, and the periods each must have.
const PIECES: usize = 8;
const PERIODS_IN_PIECE: f64 = 2.0;

/// How far the fundamental wanders from an even run, as a part of a period: the spread of its phase
/// over eight pieces of the stretch. `None` when the stretch is too short to tell.
pub(super) fn wander_ratio(samples: &[f64], omega_rad: f64) -> Option<f64> {
    let length = samples.len() / PIECES;
    let periods = length as f64 * omega_rad / std::f64::consts::TAU;
    if periods < PERIODS_IN_PIECE {
        return None;
    }
    let mut phases_rad = Vec::with_capacity(PIECES);
    for piece in 0..PIECES {
        let from = piece * length;
        let fit = HarmonicFit::new(&samples[from..from + length], omega_rad, 1)?;
        // The phase that the piece gives for the start of the whole stretch.
        phases_rad.push(fit.phase_rad(-(from as f64)));
    }
    let first_rad = phases_rad[0];
    let apart = phases_rad.iter().map(|phase_rad| {
        let turns = (phase_rad - first_rad) / std::f64::consts::TAU;
        turns - turns.round()
    });
    let (low, high) = apart.fold((0.0_f64, 0.0_f64), |(low, high), t| (low.min(t), high.max(t)));
    Some(high - low)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: a phase of a (n/N − 1/2)² turns spreads by a/4 between middle and ends; the pieces
    /// average over an eighth each, so that the outermost stand at (7/16)² and the inner at (1/16)².
    #[test]
    fn exact_wander_of_a_bent_phase() {
        let n = 16_000;
        let tau = std::f64::consts::TAU;
        let sine = |a: f64| -> Vec<f64> {
            let bent = |k: f64| a * (k / f64::from(n) - 0.5).powi(2);
            (0..n).map(|k| (tau * (f64::from(k) / 40.0 + bent(f64::from(k)))).sin()).collect()
        };
        let even = wander_ratio(&sine(0.0), tau / 40.0).unwrap();
        assert!(even < 1e-9, "rounding only, got {even:e}");
        let bent = wander_ratio(&sine(0.2), tau / 40.0).unwrap();
        let expected = 0.2 * ((7.0_f64 / 16.0).powi(2) - (1.0_f64 / 16.0).powi(2));
        assert!((bent / expected - 1.0).abs() < 0.01, "bend within a piece is left out: {bent}");
        assert_eq!(wander_ratio(&[1.0; 100], tau / 40.0), None, "too short to tell");
    }
}
