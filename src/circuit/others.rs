use crate::error::Result;

use super::{Circuit, Flow, PeriodicSolution, Section, ShootingOptions, Symmetry, find_periodic};

/// States further apart than this part of their peaks are different.
const APART: f64 = 1e-4;

/// Looks for other periodic solutions of the same network at the same firing delay.
///
/// Every start is let run for `settle_periods` and then closed over one, two and three periods
/// without asking for symmetry. What comes back is different from `known` and from each other: a
/// subharmonic shifted by whole periods is the same one, a mirror image is another. Finding none is
/// no proof that there is none.
///
/// # Errors
/// As [`Flow::new`]; starts that lead nowhere are passed over.
pub fn find_others(
    circuit: &Circuit,
    known: &PeriodicSolution,
    starts: &[Section],
    settle_periods: usize,
) -> Result<Vec<PeriodicSolution>> {
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
            let Some(next) = close(circuit, known, &settled, periods) else { continue };
            // What closes over three periods may well close over one.
            let next = match close(circuit, known, &next.section, 1) {
                Some(shorter) if shorter.is_same_as(&next, APART) => shorter,
                _ => next,
            };
            let shifts = shifted(circuit, &next, periods)?;
            let seen = |other: &PeriodicSolution| {
                shifts.iter().any(|section| {
                    let moved = PeriodicSolution { section: section.clone(), ..next.clone() };
                    moved.is_same_as(other, APART)
                })
            };
            if !seen(known) && !found.iter().any(seen) {
                found.push(next);
            }
        }
    }
    Ok(found)
}

fn close(
    circuit: &Circuit,
    known: &PeriodicSolution,
    start: &Section,
    periods: usize,
) -> Option<PeriodicSolution> {
    let options = ShootingOptions {
        symmetry: Symmetry::FullPeriod,
        periods,
        attempts: 0,
        plan: known.plan,
        ..ShootingOptions::default()
    };
    find_periodic(circuit, start, known.delay_rad, None, &options).ok()
}

/// The solution's sections one mains period apart, each with the time of the first.
fn shifted(circuit: &Circuit, solution: &PeriodicSolution, periods: usize) -> Result<Vec<Section>> {
    let mut sections = vec![solution.section.clone()];
    let mut flow = Flow::new(circuit, solution.plan)?;
    flow.set_delay_rad(solution.delay_rad);
    flow.start(&solution.section)?;
    for k in 1..periods {
        let period_s = 1.0 / circuit.network().frequency_hz();
        flow.advance_to(solution.section.time_s + k as f64 * period_s, None)?;
        sections.push(Section { time_s: solution.section.time_s, ..flow.section() });
    }
    Ok(sections)
}
