use std::ops::Range;

use crate::error::{Error, Note, Result};

/// The rows of a record at one sample rate.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Section {
    pub(super) rate_hz: Option<f64>,
    pub(super) rows: Range<usize>,
}

/// The section asked for, counted from 1, or the one with most rows, and what there is to say.
///
/// # Errors
/// `Inconsistent` when there is no such section or it holds no rows.
pub(super) fn choose(
    rates: &[(Option<f64>, usize)],
    count: usize,
    asked: Option<usize>,
) -> Result<(Section, Option<Note>)> {
    let mut from = 0;
    let mut sections = Vec::new();
    for (at, (rate_hz, end)) in rates.iter().enumerate() {
        // Rows beyond the last promise belong to the last section.
        let end = if at + 1 == rates.len() { count } else { (*end).clamp(from, count.max(from)) };
        sections.push(Section { rate_hz: *rate_hz, rows: from..end.max(from) });
        from = end.max(from);
    }
    let most =
        || (0..sections.len()).rev().max_by_key(|at| sections[*at].rows.len()).unwrap_or_default();
    let at = asked.map_or_else(most, |number| number.wrapping_sub(1));
    let chosen = sections.get(at).filter(|section| !section.rows.is_empty()).cloned();
    let listed: Vec<String> = sections.iter().enumerate().map(words).collect();
    let chosen = chosen.ok_or_else(|| {
        Error::inconsistent(format!(
            "there is no section {} with samples in this record",
            asked.unwrap_or(at + 1)
        ))
        .with_hint(format!("sections of one sample rate: {}", listed.join("; ")))
    })?;
    let note = (sections.len() > 1).then(|| {
        Note::new(
            "several-rates",
            format!(
                "the record has {} sections of one sample rate each ({}); section {} is used",
                sections.len(),
                listed.join("; "),
                at + 1
            ),
        )
    });
    Ok((chosen, note))
}

fn words((at, section): (usize, &Section)) -> String {
    let rate = section.rate_hz.map_or("by time stamps".to_owned(), |hz| format!("{hz} Hz"));
    format!("{}: {} samples, {rate}", at + 1, section.rows.len())
}
