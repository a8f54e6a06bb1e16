//! Numbers as they are written in figures: a true minus sign, never a negative zero, and a space
//! that does not break between number and unit.

/// A number with fixed decimals.
pub(super) fn plain(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let zero = text.chars().all(|character| matches!(character, '0' | '.'));
    if value < 0.0 && !zero { format!("−{text}") } else { text }
}

/// The same with a plus sign in front of what is above zero.
pub(super) fn signed(value: f64, decimals: usize) -> String {
    let text = plain(value, decimals);
    let zero = text.chars().all(|character| matches!(character, '0' | '.'));
    if zero || value < 0.0 { text } else { format!("+{text}") }
}

/// Amperes with two decimals, as bands are printed.
pub(super) fn amperes(current_a: f64) -> String {
    format!("{}\u{a0}A", plain(current_a, 2))
}

/// A ratio as signed percent with one decimal.
pub(super) fn signed_percent(ratio: f64) -> String {
    format!("{}\u{a0}%", signed(100.0 * ratio, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_signs() {
        assert_eq!(signed(-0.04, 1), "0.0");
        assert_eq!(signed(0.04, 1), "0.0");
        assert_eq!(signed(-0.06, 1), "−0.1");
        assert_eq!(signed(12.34, 1), "+12.3");
        assert_eq!(plain(-3.0, 0), "−3");
    }
}
