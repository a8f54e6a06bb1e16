use crate::error::{Error, Note, Noted, Result};

use super::{LampsOutSweep, MeasuredShape};

/// The likely share of lamps out behind a measured shape of the current.
///
/// # Formula
/// p(s) ∝ exp(−½ ((m − f(s))/u)²) over the shares of a sweep at which the step is held, every share
/// as likely as another beforehand; f(s) from solved points joined by straight lines
///
/// # Validity
/// It stands and falls with the field and the regulator: whatever else changes the shape (another
/// load, capacitor, supply) is taken for lamps out unless it is part of the uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct LampsOutEstimate {
    /// The share with the highest density.
    pub most_likely_ratio: f64,
    /// Mean of the distribution.
    pub mean_ratio: f64,
    /// Standard deviation of the distribution.
    pub standard_uncertainty_ratio: f64,
    /// The shortest set of shares that holds [`Self::COVERAGE`], in rising order: more than one
    /// stretch when several shares give the same shape.
    pub stretches: Vec<(f64, f64)>,
    /// Distance of the measured value from the nearest the sweep gives, in standard uncertainties.
    pub miss: f64,
}

impl LampsOutEstimate {
    /// Probability of the stretches together.
    pub const COVERAGE: f64 = 0.95;
    /// Cells of the distribution over the range of the sweep.
    const CELLS: usize = 800;
    /// A set of shares this large, as a part of what is possible, tells next to nothing: the
    /// prior's own would be 0.95.
    const TELLS_NOTHING_RATIO: f64 = 0.6;
    /// Standard uncertainties beyond which the model does not explain what was measured.
    const NOT_EXPLAINED: f64 = 3.0;

    /// What a measured shape says about a sweep's step.
    ///
    /// Notes tell when it says little: a flat course, several shares that give the same shape, or a
    /// value the field cannot give at any share.
    ///
    /// # Errors
    /// `OutOfRange` for a measured value or uncertainty out of bounds; `Inconsistent` for a sweep
    /// with fewer than three shares at which the step is held, or shares that do not rise.
    pub fn of(sweep: &LampsOutSweep, measured: &MeasuredShape) -> Result<Noted<Self>> {
        measured.check()?;
        let course = course(sweep, measured)?;
        let cells = cells(&course, Self::CELLS);
        let u = measured.standard_uncertainty;
        let misses: Vec<f64> = cells.iter().map(|(_, f)| (measured.value - f) / u).collect();
        let ends = course.iter().map(|(_, f)| ((measured.value - f) / u).abs());
        let within = course.windows(2).any(|pair| {
            let (a, b) = (pair[0].1 - measured.value, pair[1].1 - measured.value);
            a * b <= 0.0
        });
        let miss = if within { 0.0 } else { ends.fold(f64::INFINITY, f64::min) };
        // Taken from the best, so that the largest weight is 1 however far away all are.
        let best = misses.iter().map(|z| z * z).fold(f64::INFINITY, f64::min);
        let weights: Vec<f64> = misses.iter().map(|z| (-0.5 * (z * z - best)).exp()).collect();
        let total: f64 = weights.iter().sum();
        let mean_of = |what: &dyn Fn(f64) -> f64| {
            cells.iter().zip(&weights).map(|((s, _), w)| w * what(*s)).sum::<f64>() / total
        };
        let mean_ratio = mean_of(&|s| s);
        let variance = mean_of(&|s| (s - mean_ratio) * (s - mean_ratio));
        let top = (0..cells.len())
            .max_by(|a, b| weights[*a].total_cmp(&weights[*b]))
            .expect("a sweep has cells");
        let width = cells[1].0 - cells[0].0;
        let estimate = Self {
            most_likely_ratio: cells[top].0,
            mean_ratio,
            standard_uncertainty_ratio: variance.sqrt(),
            stretches: stretches(&cells, &weights, Self::COVERAGE * total, width),
            miss,
        };
        let span = (course[0].0, course[course.len() - 1].0);
        let notes = estimate.notes(span, measured);
        Ok(Noted { value: estimate, notes })
    }

    fn notes(&self, (first, last): (f64, f64), measured: &MeasuredShape) -> Vec<Note> {
        let what = measured.quantity.words();
        let mut notes = Vec::new();
        if self.miss > Self::NOT_EXPLAINED {
            notes.push(Note::new(
                "lamps-out-not-explained",
                format!(
                    "no share of lamps out gives a {what} of {:.4} on this field: the nearest is \
                     {:.1} standard uncertainties away; load, regulator or reading are not as \
                     described",
                    measured.value, self.miss
                ),
            ));
        }
        if self.stretches.len() > 1 {
            notes.push(Note::new(
                "lamps-out-several",
                format!("{} separate shares of lamps out give this {what}", self.stretches.len()),
            ));
        }
        let covered: f64 = self.stretches.iter().map(|(low, high)| high - low).sum();
        if covered > Self::TELLS_NOTHING_RATIO * (last - first) {
            notes.push(Note::new(
                "lamps-out-not-identifiable",
                format!(
                    "the {what} does not tell the share of lamps out here: its course is too flat \
                     for an uncertainty of {}",
                    measured.standard_uncertainty
                ),
            ));
        }
        notes
    }
}

/// Shares at which the step is held, each with what would be measured.
fn course(sweep: &LampsOutSweep, measured: &MeasuredShape) -> Result<Vec<(f64, f64)>> {
    let held = sweep.points.iter().filter_map(|point| {
        let shape = point.shape.as_ref()?;
        Some((point.open_ratio, measured.on(shape)))
    });
    let course: Vec<(f64, f64)> = held.collect();
    if course.len() < 3 {
        return Err(Error::inconsistent(format!(
            "the step is held at {} shares of lamps out only",
            course.len()
        ))
        .with_hint("sweep smaller shares, or more of them"));
    }
    if course.windows(2).any(|pair| pair[1].0 <= pair[0].0) {
        return Err(Error::inconsistent("the shares of the sweep do not rise"));
    }
    Ok(course)
}

/// Middle and value of equal cells over the course.
fn cells(course: &[(f64, f64)], count: usize) -> Vec<(f64, f64)> {
    let (first, last) = (course[0].0, course[course.len() - 1].0);
    let mut at = 0;
    (0..count)
        .map(|k| {
            let s = first + (k as f64 + 0.5) / count as f64 * (last - first);
            while at + 2 < course.len() && course[at + 1].0 < s {
                at += 1;
            }
            let ((s0, f0), (s1, f1)) = (course[at], course[at + 1]);
            (s, f0 + (s - s0) / (s1 - s0) * (f1 - f0))
        })
        .collect()
}

/// The most probable cells that together weigh at least `wanted`, joined where they touch.
fn stretches(cells: &[(f64, f64)], weights: &[f64], wanted: f64, width: f64) -> Vec<(f64, f64)> {
    let mut order: Vec<usize> = (0..cells.len()).collect();
    // A stable sort: equal weights stay in the order of their shares.
    order.sort_by(|a, b| weights[*b].total_cmp(&weights[*a]));
    let mut inside = vec![false; cells.len()];
    let mut sum = 0.0;
    for at in order {
        if sum >= wanted {
            break;
        }
        inside[at] = true;
        sum += weights[at];
    }
    let mut found: Vec<(f64, f64)> = Vec::new();
    for at in (0..cells.len()).filter(|at| inside[*at]) {
        let (low, high) = (cells[at].0 - 0.5 * width, cells[at].0 + 0.5 * width);
        match found.last_mut() {
            Some(stretch) if at > 0 && inside[at - 1] => stretch.1 = high,
            _ => found.push((low, high)),
        }
    }
    found
}
