use crate::procedure::Entry;
use crate::units::{same_decimals, span_decimals};

/// What an entry says, in one sentence.
pub(super) fn entry_words(entry: &Entry) -> String {
    match entry {
        Entry::Reading(reading) => format!(
            "step {}, {}, {}: {} A shown (typed \"{}\")",
            reading.step,
            reading.output.words(),
            reading.moment.words(),
            display_number(reading.shown_a),
            reading.typed
        ),
        Entry::Confirmation(answer) => {
            let holds = answer.holds.map_or("", |holds| if holds { "yes" } else { "no" });
            let text = answer.text.as_deref().unwrap_or_default();
            let both = if holds.is_empty() || text.is_empty() { "" } else { ", " };
            format!("{}: {holds}{both}{text}", answer.item)
        }
        Entry::Protection(proof) => {
            let shown = proof
                .shown_a
                .map_or("no reading".to_owned(), |a| format!("{} A shown", display_number(a)));
            let time = proof.time_s.map_or(String::new(), |s| format!(" after {s} s"));
            let acted = if proof.acted { "acted" } else { "did not act" };
            format!(
                "{}, {}: {acted}{time}, {shown}",
                proof.protection.words(),
                proof.output.words()
            )
        }
        Entry::Opening(opening) => format!(
            "regulator {}, circuit {}, meter {}, day {}, by {}",
            opening.regulator,
            opening.circuit.as_deref().unwrap_or("not named"),
            opening.meter,
            opening.day,
            opening.person
        ),
        Entry::Remark { text } => text.clone(),
        Entry::Withdrawal { reason } => format!("withdrawn: {reason}"),
        Entry::Closing(closing) => {
            let end = if closing.complete { "closed as complete" } else { "closed, broken off" };
            format!("{end} by {}", closing.person)
        }
        Entry::Regulator(card) => format!("regulator {}", card.name),
        Entry::Circuit(card) => format!("circuit {}", card.name),
        Entry::Meter(card) => format!("meter {}", card.name),
        Entry::Certificate(card) => format!("certificate {} of meter {}", card.number, card.meter),
        Entry::MeterDoubt(doubt) => format!("doubt about meter {}", doubt.meter),
    }
}

/// "6.418 to 6.681": both ends with the same decimals.
pub(in crate::report) fn display_span(low: f64, high: f64) -> String {
    let (low, high) = span_decimals(low, high);
    format!("{low} to {high}")
}

/// A number as a display shows it: two decimals at least, no more than it has.
pub(in crate::report) fn display_number(value: f64) -> String {
    same_decimals(value, value).0
}

#[cfg(test)]
mod tests {
    use super::display_number;

    #[test]
    fn exact_numbers_keep_their_digits() {
        for (value, words) in
            [(6.6, "6.60"), (6.605, "6.605"), (12.0, "12.00"), (0.1234567, "0.123457")]
        {
            assert_eq!(display_number(value), words);
        }
    }
}
