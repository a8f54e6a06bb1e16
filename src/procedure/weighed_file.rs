//! A file of readings and answers against a visit: what each row would write down.

use crate::description::misspelt;
use crate::error::{Error, Place, Result};

use super::entry::{Closing, Confirmation, Output};
use super::plan::{Item, ItemKind, Next};
use super::{
    Candidate, Entry, FileAnswer, FileReading, FileRow, Finding, Journal, LoggedEntry, ReadingFile,
    Run, Visit,
};

impl<J: Journal> Run<J> {
    /// Every row of a file as it would be written down, in order; nothing is written.
    ///
    /// A file that answers items of the procedure is held to its order: nothing comes before what it
    /// needs, and its end only after everything else. A file of readings alone is not.
    ///
    /// # Errors
    /// As [`Bench::judge`](super::Bench::judge), `Malformed` for an item that is not of the procedure or
    /// an answer of another kind, `Inconsistent` for one out of order or against what is known; each
    /// with its line.
    pub fn weigh_all(&self, file: &ReadingFile) -> Result<Vec<Entry>> {
        let mut visit = self.visit().clone();
        let mut all = Vec::with_capacity(file.rows.len());
        for row in &file.rows {
            let named = |error: Error| error.at(Place::line(row.line()));
            let entry = match row {
                FileRow::Reading(reading) => {
                    if file.has_answers() {
                        self.may_read(&visit, reading.candidate.output).map_err(named)?;
                    }
                    self.weighed_reading(&visit, reading)
                }
                FileRow::Answer(answer) => self.weighed_answer(&visit, answer),
            }
            .map_err(named)?;
            let mut entries = visit.entries().to_vec();
            let last = entries.last().expect("a visit has its opening").clone();
            let number = last.number + 1;
            entries.push(LoggedEntry { number, replaces: None, entry: entry.clone(), ..last });
            visit = Visit::from_entries(entries).map_err(named)?;
            all.push(entry);
        }
        Ok(all)
    }

    fn weighed_reading(&self, visit: &Visit, reading: &FileReading) -> Result<Entry> {
        let Candidate { step, moment, output, .. } = reading.candidate;
        if moment == super::entry::Moment::AsFound
            && let Some(known) = visit.reading(step, moment, output)
        {
            return Err(Error::inconsistent(format!(
                "step {step} as found, {}, was read already: {}",
                output.words(),
                known.shown_words()
            ))
            .with_hint("leave the row out; a wrong entry is corrected in the logbook"));
        }
        let mut taken = self.weigh(reading.candidate, &reading.typed)?;
        taken.doubts = reading.candidate.doubts(self.bench(), visit);
        Ok(Entry::Reading(Box::new(taken)))
    }

    fn weighed_answer(&self, visit: &Visit, row: &FileAnswer) -> Result<Entry> {
        let keys: Vec<&str> = self.procedure().items().map(|(_, item)| item.key.as_str()).collect();
        let item = self.procedure().item(&row.item).ok_or_else(|| {
            misspelt("`item` as a key of the procedure", &row.item, keys.iter().copied())
        })?;
        self.may_come(visit, item)?;
        let is_trial = matches!(item.kind, ItemKind::Prove { .. });
        if !is_trial && (row.shown_a.is_some() || row.time_s.is_some()) {
            return Err(Error::inconsistent(format!(
                "item \"{}\" is no trial of a protection: `shown` and `after` stay empty",
                item.key
            )));
        }
        match &item.kind {
            ItemKind::Confirm { .. } => self.confirmed(visit, item, &row.answer),
            ItemKind::Ask { optional, .. } => {
                let words = (!row.answer.is_empty()).then(|| row.answer.clone());
                if words.is_none() && !optional {
                    return Err(Error::malformed("words in `answer` for this item", "nothing"));
                }
                Ok(answered(item, None, words))
            }
            ItemKind::Read { .. } => Err(Error::malformed(
                "an item that is answered",
                format!(
                    "\"{}\", whose steps are read: rows with step, moment, output, shown",
                    item.key
                ),
            )),
            ItemKind::Prove { .. } => {
                let acted = match row.answer.to_lowercase().replace([' ', '_'], "-").as_str() {
                    "acted" | "yes" => true,
                    "did-not-act" | "no" => false,
                    _ => {
                        let expected = "`answer` as acted or did-not-act for this item";
                        return Err(misspelt(expected, &row.answer, ["acted", "did-not-act"]));
                    }
                };
                if !acted && row.time_s.is_some() {
                    return Err(Error::inconsistent("a time although it did not act"));
                }
                let proof = self.proof(item, acted, row.shown_a, row.time_s);
                Ok(Entry::Protection(proof.expect("the item tries a protection")))
            }
            ItemKind::Close => self.closed(visit, &row.answer),
        }
    }

    /// Yes or no, with words behind it; a yes against what is known needs them.
    fn confirmed(&self, visit: &Visit, item: &Item, answer: &str) -> Result<Entry> {
        let (word, rest) = answer.split_once([' ', ',']).unwrap_or((answer, ""));
        let rest = rest.trim_start_matches([',', ' ']);
        let holds = match word.to_lowercase().as_str() {
            "yes" => true,
            "no" => false,
            _ => {
                let expected = "`answer` as yes or no, with words behind it or without";
                return Err(Error::malformed(expected, format!("\"{answer}\"")));
            }
        };
        let against = item
            .shows()
            .map(|kind| Finding::of(self.bench(), visit, kind))
            .filter(|finding| holds && finding.is_against && rest.is_empty());
        if let Some(finding) = against {
            return Err(Error::inconsistent(format!(
                "a bare yes to \"{}\" against what is known: {}",
                item.key,
                finding.lines.join("; ")
            ))
            .with_hint("answer no, or yes with the reason behind it; the reason is written down"));
        }
        Ok(answered(item, Some(holds), (!rest.is_empty()).then(|| rest.to_owned())))
    }

    fn closed(&self, visit: &Visit, answer: &str) -> Result<Entry> {
        if !answer.eq_ignore_ascii_case("yes") {
            let expected = "`answer` as yes for the end of the visit";
            return Err(Error::malformed(expected, format!("\"{answer}\"")));
        }
        match self.procedure().next(visit, self.bench().steps()) {
            Next::Close { .. } => {}
            open => {
                let key = open.item().map_or("the end", |item| item.key.as_str());
                return Err(Error::inconsistent(format!(
                    "the visit cannot be closed as complete: \"{key}\" is not done"
                ))
                .with_hint("leave the row out: the visit stays open and goes on with questions"));
            }
        }
        let person = visit.opening().person.clone();
        Ok(Entry::Closing(Closing { complete: true, person, next_due: None, remark: None }))
    }

    /// Whether everything holds that an item needs before it.
    fn may_come(&self, visit: &Visit, item: &Item) -> Result<()> {
        let holds = |key: &String| {
            let is_asked = self
                .procedure()
                .item(key)
                .is_some_and(|needed| matches!(needed.kind, ItemKind::Ask { .. }));
            visit.confirmation(key).is_some_and(|answer| is_asked || answer.holds == Some(true))
        };
        match item.after.iter().find(|key| !holds(key)) {
            None => Ok(()),
            Some(key) => Err(Error::inconsistent(format!(
                "\"{}\" comes after \"{key}\", which does not hold before it",
                item.key
            ))
            .with_hint("put its row before this one; after a no nothing that needs it follows")),
        }
    }

    fn may_read(&self, visit: &Visit, output: Output) -> Result<()> {
        let reads =
            |item: &&Item| matches!(&item.kind, ItemKind::Read { output: of, .. } if *of == output);
        match self.procedure().items().map(|(_, item)| item).find(reads) {
            None => Ok(()),
            Some(item) => self.may_come(visit, item),
        }
    }
}

fn answered(item: &Item, holds: Option<bool>, text: Option<String>) -> Entry {
    Entry::Confirmation(Confirmation { item: item.key.clone(), holds, text })
}
