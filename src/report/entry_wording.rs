use crate::procedure::Entry;

use super::wording::plain_number;

/// What an entry says, in one line.
#[must_use]
pub fn entry_words(entry: &Entry) -> String {
    match entry {
        Entry::Regulator(card) => format!("regulator {}, {}", card.name, card.place),
        Entry::Circuit(card) => {
            format!("circuit {} on {}: {}", card.name, card.regulator, card.lights)
        }
        Entry::Meter(card) => match &card.serial {
            Some(serial) => format!("meter {}, serial number {serial}", card.name),
            None => format!("meter {}", card.name),
        },
        Entry::Certificate(card) => format!(
            "certificate {} of {}, {}, U {} % (k = {}){}",
            card.number,
            card.meter,
            card.date,
            plain_number(100.0 * card.expanded_ratio),
            plain_number(card.coverage_factor),
            card.due.map_or(String::new(), |due| format!(", until {due}"))
        ),
        Entry::MeterDoubt(doubt) => format!(
            "{} in doubt from {} until {}: {}",
            doubt.meter, doubt.from, doubt.until, doubt.reason
        ),
        Entry::Opening(opening) => format!(
            "visit on {} with {}, {}, {}",
            opening.regulator, opening.meter, opening.day, opening.person
        ),
        Entry::Confirmation(confirmation) => {
            let answer = match confirmation.holds {
                Some(true) => "yes",
                Some(false) => "NO",
                None => "",
            };
            let text = confirmation.text.as_deref().unwrap_or_default();
            let parts: Vec<&str> =
                [answer, text].into_iter().filter(|part| !part.is_empty()).collect();
            format!("{}: {}", confirmation.item, parts.join(", "))
        }
        Entry::Reading(reading) => format!(
            "step {}, {}, {}: {} A",
            reading.step,
            reading.output.words(),
            reading.moment.words(),
            plain_number(reading.shown_a)
        ),
        Entry::Protection(proof) => format!(
            "{}: {}",
            proof.protection.words(),
            if proof.acted { "acted" } else { "DID NOT ACT" }
        ),
        Entry::Remark { text } => text.clone(),
        Entry::Withdrawal { reason } => format!("withdrawn: {reason}"),
        Entry::Closing(closing) => {
            let end = if closing.complete { "closed, complete" } else { "closed, broken off" };
            match closing.next_due {
                Some(due) => format!("{end}; next due {due}"),
                None => end.to_owned(),
            }
        }
    }
}
