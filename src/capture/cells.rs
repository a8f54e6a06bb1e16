use super::DecimalMark;
use super::moment::Moment;
use super::number::plain_number;

/// What one cell of a table holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cell {
    Empty,
    Number(f64),
    /// Written as a number but not finite.
    NonFinite,
    Moment(Moment),
    /// What instruments write where a value should be: the input was out of range.
    Overload,
    Text,
}

impl Cell {
    /// The meaning of a trimmed cell.
    pub(super) fn of(text: &str, mark: DecimalMark) -> Self {
        let text = text.trim();
        if text.is_empty() {
            return Self::Empty;
        }
        if let Some(value) = number(text, mark) {
            return if value.is_finite() { Self::Number(value) } else { Self::NonFinite };
        }
        if is_overload(text) {
            return Self::Overload;
        }
        Moment::parse(text).map_or(Self::Text, Self::Moment)
    }

    /// Whether it stands where a value belongs.
    pub(super) fn is_value(&self) -> bool {
        matches!(self, Self::Number(_) | Self::NonFinite | Self::Moment(_) | Self::Overload)
    }
}

/// A number, finite or not, written with the given decimal mark.
fn number(text: &str, mark: DecimalMark) -> Option<f64> {
    if let Some(value) = plain_number(text.as_bytes(), mark.byte()) {
        return Some(value);
    }
    match mark {
        DecimalMark::Point => text.parse().ok(),
        // Without a comma it is read as it stands: instruments that write decimal commas still
        // write whole numbers and exponents plainly, but never a decimal point.
        DecimalMark::Comma if text.contains('.') => None,
        DecimalMark::Comma => match text.split_once(',') {
            None => text.parse().ok(),
            Some((_, fraction)) if !fraction.starts_with(|c: char| c.is_ascii_digit()) => None,
            Some(_) => text.replacen(',', ".", 1).parse().ok(),
        },
    }
}

fn is_overload(text: &str) -> bool {
    const WORDS: [&str; 12] = [
        "ol", "0l", "+ol", "-ol", "over", "overload", "overflow", "ovl", "---", "--", "#n/a", "n/a",
    ];
    text.len() <= 10 && WORDS.iter().any(|word| text.eq_ignore_ascii_case(word))
}
