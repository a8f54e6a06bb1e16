//! Curves as lists of points: thinning what is finer than the canvas, and dashes.

use crate::waveform::Waveform;

/// Points of `periods` periods of a current (time in ms, current in A), at most about two for each
/// of `columns` columns: the smallest and the largest sample of each column in the order they
/// come, so that no peak is lost however fine the grid.
pub(super) fn of_current(waveform: &Waveform, periods: usize, columns: usize) -> Vec<(f64, f64)> {
    let per_period = waveform.samples_per_period();
    let held = waveform.samples_a();
    let count = per_period * periods;
    let sample = |k: usize| {
        // A single period is drawn again: it is what "periodic" says.
        let i_a = held[k % held.len()];
        (1e3 * waveform.time_s(k), i_a)
    };
    thinned(count, columns, sample)
}

/// Samples in order, at most about two for each of `columns` columns: its smallest and its largest.
pub(super) fn thinned(
    count: usize,
    columns: usize,
    sample: impl Fn(usize) -> (f64, f64),
) -> Vec<(f64, f64)> {
    if count <= 2 * columns {
        return (0..count).map(sample).collect();
    }
    let mut points = vec![sample(0)];
    for column in 0..columns {
        let range = (column * count / columns)..((column + 1) * count / columns);
        let low = range.clone().min_by(|a, b| sample(*a).1.total_cmp(&sample(*b).1));
        let high = range.max_by(|a, b| sample(*a).1.total_cmp(&sample(*b).1));
        if let (Some(low), Some(high)) = (low, high) {
            points.extend([sample(low.min(high)), sample(low.max(high))]);
        }
    }
    points.push(sample(count - 1));
    points.dedup();
    points
}

/// The strokes of a dashed line.
pub(super) fn dashes(points_px: &[(f64, f64)], pattern_px: (f64, f64)) -> Vec<Vec<(f64, f64)>> {
    let (stroke_px, gap_px) = pattern_px;
    let mut strokes = Vec::new();
    let mut open: Vec<(f64, f64)> = points_px.first().copied().into_iter().collect();
    let mut drawing = true;
    let mut left_px = stroke_px;
    for pair in points_px.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        loop {
            let length_px = (to.0 - from.0).hypot(to.1 - from.1);
            if length_px < left_px {
                left_px -= length_px;
                if drawing {
                    open.push(to);
                }
                break;
            }
            let share = left_px / length_px;
            from = ((to.0 - from.0).mul_add(share, from.0), (to.1 - from.1).mul_add(share, from.1));
            open.push(from);
            if drawing {
                strokes.push(std::mem::take(&mut open));
            } else {
                open = vec![from];
            }
            drawing = !drawing;
            left_px = if drawing { stroke_px } else { gap_px };
        }
    }
    if drawing && open.len() > 1 {
        strokes.push(open);
    }
    strokes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_dashes_of_a_straight_line() {
        let strokes = dashes(&[(0.0, 0.0), (10.0, 0.0)], (4.0, 2.0));
        assert_eq!(strokes, [vec![(0.0, 0.0), (4.0, 0.0)], vec![(6.0, 0.0), (10.0, 0.0)]]);
    }
}
