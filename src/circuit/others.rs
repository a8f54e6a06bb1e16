use crate::error::Result;

use super::{Circuit, Flow, PeriodicSolution, Section, ShootingOptions, Symmetry, find_periodic};

/// Looks for other periodic solutions of the same network at the same firing delay.
///
/// Every start is let run for `settle_periods` and then closed over one, two and three periods
/// without asking for symmetry. What comes back is different from `known` and from each other; a
/// solution and its mirror image count as two. Finding none is no proof that there is none.
///
/// # Errors
/// As [`Flow::new`]; starts that lead nowhere are passed over.
pub fn find_others(
    circuit: &Circuit,
    known: &PeriodicSolution,
    starts: &[Section],
    settle_periods: usize,
) -> Result<Vec<PeriodicSolution>> {
    /// States further apart than this part of their peaks are different.
    const APART: f64 = 1e-4;
    let mut found: Vec<PeriodicSolution> = Vec::new();
    let period_s = 1.0 / circuit.network().frequency_hz();
    for start in starts {
        let mut flow = Flow::new(circuit, known.plan)?;
        flow.set_delay_rad(known.delay_rad);
        flow.start(start)?;
        let end_s = start.time_s + settle_periods as f64 * period_s;
        if flow.advance_to(end_s, None).is_err() {
            continue;
        }
        // Back by whole periods: to the same phase as the known solution.
        let settled = Section { time_s: known.section.time_s, ..flow.section() };
        for periods in 1..=3 {
            let options = ShootingOptions {
                symmetry: Symmetry::FullPeriod,
                periods,
                attempts: 0,
                plan: known.plan,
                ..ShootingOptions::default()
            };
            let Ok(next) = find_periodic(circuit, &settled, known.delay_rad, None, &options) else {
                continue;
            };
            let seen = next.is_same_as(known, APART)
                || found.iter().any(|other| other.is_same_as(&next, APART));
            if !seen {
                found.push(next);
            }
        }
    }
    Ok(found)
}
