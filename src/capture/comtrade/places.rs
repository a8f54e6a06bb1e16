use crate::error::Note;

/// The place of each row by the number it carries, and what there is to say about it.
///
/// Rows whose numbers go up but skip some leave gaps; numbers that go back say nothing and the rows
/// count as they stand.
pub(super) fn places(
    numbers: &[f64],
    max_missing_rows: usize,
) -> (Option<Vec<Option<usize>>>, Note) {
    let first = numbers.first().copied().unwrap_or(0.0);
    let rising = numbers.windows(2).all(|pair| pair[1] - pair[0] >= 1.0);
    let most = (numbers.len() + max_missing_rows) as f64;
    let last = numbers.last().map_or(0.0, |last| last - first + 1.0);
    if !rising || last.is_nan() || last > most {
        return (
            None,
            Note::new(
                "sample-numbers-uneven",
                "the sample numbers do not go up evenly; the rows are used as they stand",
            ),
        );
    }
    let missing = last - numbers.len() as f64;
    let places = numbers.iter().map(|number| Some((number - first).round() as usize)).collect();
    (
        Some(places),
        Note::new(
            "rows-placed-by-number",
            format!("the sample numbers skip {missing:.0} rows, which stay gaps"),
        ),
    )
}
