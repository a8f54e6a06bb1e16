use std::sync::Arc;

use crate::error::{Error, Place, Result};

use super::entry::{
    Closing, Confirmation, Moment, Opening, Output, ProtectionProof, ReadingDoubt, ReadingTaken,
};
use super::plan::{ItemKind, Next};
use super::{
    Advice, Bench, Candidate, Entry, FileReading, Journal, LoggedEntry, Procedure, ReadingFile,
    Visit, VisitState,
};

/// A visit being gone through: what is entered is in the journal before anything else happens.
///
/// Its state is what the entries add up to: leaving it at any moment and resuming it is the same as
/// having stayed.
#[derive(Debug)]
pub struct Run<J> {
    journal: J,
    visit: Visit,
    procedure: Procedure,
    bench: Arc<Bench>,
}

impl<J: Journal> Run<J> {
    /// Opens a visit.
    ///
    /// # Errors
    /// When procedure, description or sheet cannot be read; as [`Journal::append`]. Nothing is
    /// written then.
    pub fn open(mut journal: J, opening: Opening) -> Result<Self> {
        let (procedure, bench) =
            (Procedure::parse(&opening.procedure)?, Arc::new(Bench::of(&opening)?));
        let logged = journal.append(None, None, Entry::Opening(Box::new(opening)))?;
        let visit = Visit::from_entries(vec![logged])?;
        Ok(Self { journal, visit, procedure, bench })
    }

    /// Goes on with a visit.
    ///
    /// # Errors
    /// As [`Journal::visit_entries`] and [`Self::open`]; `Inconsistent` for one that is closed.
    pub fn resume(journal: J, number: u64) -> Result<Self> {
        Self::resume_knowing(journal, number, &[])
    }

    /// The same, with benches that were solved before: that of the same opening is taken and not solved again.
    ///
    /// # Errors
    /// As [`Self::resume`].
    pub fn resume_knowing(
        journal: J,
        number: u64,
        known: &[(Opening, Arc<Bench>)],
    ) -> Result<Self> {
        let visit = Visit::from_entries(journal.visit_entries(number)?)?;
        if visit.state() != VisitState::Open {
            let state = visit.state().words();
            return Err(Error::inconsistent(format!("visit {number} is {state}")).with_hint(
                "open a new visit; what was entered wrong is corrected in the logbook",
            ));
        }
        let opening = visit.opening();
        let procedure = Procedure::parse(&opening.procedure)?;
        let bench = match known.iter().find(|(known, _)| known == opening) {
            Some((_, bench)) => Arc::clone(bench),
            None => Arc::new(Bench::of(opening)?),
        };
        Ok(Self { journal, visit, procedure, bench })
    }

    /// The visit so far.
    #[must_use]
    pub fn visit(&self) -> &Visit {
        &self.visit
    }

    /// The procedure followed.
    #[must_use]
    pub fn procedure(&self) -> &Procedure {
        &self.procedure
    }

    /// What its readings are judged against.
    #[must_use]
    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    /// The same, to be kept.
    #[must_use]
    pub fn shared_bench(&self) -> Arc<Bench> {
        Arc::clone(&self.bench)
    }

    /// The journal, given back.
    #[must_use]
    pub fn into_journal(self) -> J {
        self.journal
    }

    /// What comes next.
    #[must_use]
    pub fn next(&self) -> Next<'_> {
        self.procedure.next(&self.visit, self.bench.steps())
    }

    /// Answers an item: yes, no, or words.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn answer(
        &mut self,
        item: &str,
        holds: Option<bool>,
        text: Option<String>,
    ) -> Result<LoggedEntry> {
        self.write(None, Entry::Confirmation(Confirmation { item: item.to_owned(), holds, text }))
    }

    /// Leaves a step as it is, with the reason.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn leave_step(
        &mut self,
        item: &str,
        step: u32,
        moment: Moment,
        reason: Option<String>,
    ) -> Result<LoggedEntry> {
        self.answer(&Procedure::left_key(item, step, moment), Some(false), reason)
    }

    /// A reading as it would be written down, judged, with what is doubtful about it.
    ///
    /// # Errors
    /// As [`Bench::judge`].
    pub fn weigh(&self, candidate: Candidate, typed: &str) -> Result<ReadingTaken> {
        let Candidate { step, moment, output, shown_a } = candidate;
        Ok(ReadingTaken {
            step,
            moment,
            output,
            typed: typed.trim().to_owned(),
            shown_a,
            judgement: Some(self.bench.judge(step, output, shown_a)?),
            doubts: candidate.doubts(&self.bench, &self.visit),
        })
    }

    /// Every reading of a file as it would be written down, one after the other; nothing is written.
    ///
    /// # Errors
    /// As [`Bench::judge`], with the line named.
    pub fn weigh_all(&self, file: &ReadingFile) -> Result<Vec<ReadingTaken>> {
        let mut visit = self.visit.clone();
        let mut all = Vec::with_capacity(file.readings.len());
        for FileReading { line, typed, candidate } in &file.readings {
            let named = |error: Error| error.at(Place::line(*line));
            let Candidate { step, moment, output, shown_a } = *candidate;
            if moment == Moment::AsFound
                && let Some(known) = visit.reading(step, moment, output)
            {
                return Err(named(
                    Error::inconsistent(format!(
                        "step {step} as found, {}, was read already: {}",
                        output.words(),
                        known.shown_words()
                    ))
                    .with_hint("leave the row out; a wrong entry is corrected in the logbook"),
                ));
            }
            let reading = ReadingTaken {
                step,
                moment,
                output,
                typed: typed.clone(),
                shown_a,
                judgement: Some(self.bench.judge(step, output, shown_a).map_err(named)?),
                doubts: candidate.doubts(&self.bench, &visit),
            };
            let mut entries = visit.entries().to_vec();
            let last = entries.last().expect("a visit has its opening").clone();
            let entry = Entry::Reading(Box::new(reading.clone()));
            entries.push(LoggedEntry { number: last.number + 1, replaces: None, entry, ..last });
            visit = Visit::from_entries(entries)?;
            all.push(reading);
        }
        Ok(all)
    }

    /// Writes a reading down.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn read(&mut self, reading: ReadingTaken) -> Result<LoggedEntry> {
        self.write(None, Entry::Reading(Box::new(reading)))
    }

    /// Writes a trial of a protection down.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn prove(&mut self, proof: ProtectionProof) -> Result<LoggedEntry> {
        self.write(None, Entry::Protection(proof))
    }

    /// Writes a remark down.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn remark(&mut self, text: String) -> Result<LoggedEntry> {
        self.write(None, Entry::Remark { text })
    }

    /// Puts another number in the place of a reading; the slip stays in the history.
    ///
    /// # Errors
    /// `Inconsistent` when the entry is no reading that counts; as [`Bench::judge`] and
    /// [`Journal::append`].
    pub fn correct(&mut self, number: u64, typed: &str, shown_a: f64) -> Result<ReadingTaken> {
        let old = self.visit.readings().find(|(logged, _)| logged.number == number);
        let (_, old) = old.ok_or_else(|| {
            Error::inconsistent(format!("entry {number} is no reading that counts in this visit"))
                .with_hint("`list` shows the numbers of the entries")
        })?;
        let reading = ReadingTaken {
            typed: typed.trim().to_owned(),
            shown_a,
            judgement: Some(self.bench.judge(old.step, old.output, shown_a)?),
            doubts: Vec::<ReadingDoubt>::new(),
            ..old.clone()
        };
        self.write(Some(number), Entry::Reading(Box::new(reading.clone())))?;
        Ok(reading)
    }

    /// Takes the last answer, reading or trial back, so that it is asked for again; the slip stays in
    /// the history. `None` when there is nothing to take back.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn take_back(&mut self) -> Result<Option<LoggedEntry>> {
        let is_answer = |logged: &&LoggedEntry| {
            matches!(
                logged.entry,
                Entry::Confirmation(_) | Entry::Reading(_) | Entry::Protection(_)
            )
        };
        let Some(last) = self.visit.counting().filter(is_answer).max_by_key(|e| e.number).cloned()
        else {
            return Ok(None);
        };
        let reason = "taken back while entering".to_owned();
        self.write(Some(last.number), Entry::Withdrawal { reason })?;
        Ok(Some(last))
    }

    /// Closes the visit.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn close(&mut self, closing: Closing) -> Result<LoggedEntry> {
        self.write(None, Entry::Closing(closing))
    }

    /// What keeps the result from being good, a sentence each; empty for a visit whose every step was
    /// left right and whose protections acted in time.
    #[must_use]
    pub fn shortfalls(&self) -> Vec<String> {
        let mut found = Vec::new();
        for (_, item) in self.procedure.items() {
            match &item.kind {
                ItemKind::Read { output, moments } if moments.contains(&Moment::AsLeft) => {
                    found.extend(self.steps_short(*output));
                }
                ItemKind::Prove { protection, .. } => {
                    found.extend(match self.visit.proofs(*protection).last() {
                        None => Some(format!("{}: not tried", protection.words())),
                        Some(proof) => proof_short(proof),
                    });
                }
                _ => {}
            }
        }
        found
    }

    /// The same for readings alone: every one that was left somewhere must be accepted, and every step
    /// of an output that was read at all must have been read as left.
    #[must_use]
    pub fn reading_shortfalls(&self) -> Vec<String> {
        let mut found = Vec::new();
        for output in [Output::Shorted, Output::Field] {
            if self.visit.readings().any(|(_, reading)| reading.output == output) {
                found.extend(self.steps_short(output));
            }
        }
        found
    }

    fn steps_short(&self, output: Output) -> Vec<String> {
        let words = output.words();
        let read = |number: u32| self.visit.reading(number, Moment::AsLeft, output);
        let numbers = || self.bench.steps().steps().iter().map(|step| step.number);
        let missing: Vec<String> =
            numbers().filter(|number| read(*number).is_none()).map(|n| n.to_string()).collect();
        let wrong = numbers().filter_map(read).filter(|reading| !reading.is_accepted());
        let mut found: Vec<String> = wrong
            .map(|reading| {
                format!(
                    "step {}, {words}: left at {}, not accepted",
                    reading.step,
                    reading.shown_words()
                )
            })
            .collect();
        if !missing.is_empty() {
            let s = if missing.len() == 1 { "" } else { "s" };
            found.push(format!("{words}: step{s} {} not read as left", missing.join(", ")));
        }
        found
    }

    fn write(&mut self, replaces: Option<u64>, entry: Entry) -> Result<LoggedEntry> {
        let logged = self.journal.append(Some(self.visit.number()), replaces, entry)?;
        let mut entries = self.visit.entries().to_vec();
        entries.push(logged.clone());
        self.visit = Visit::from_entries(entries)?;
        Ok(logged)
    }

    /// What to do after a reading, and the sentence that says so.
    #[must_use]
    pub fn advice(&self, reading: &ReadingTaken) -> (Advice, String) {
        let advice = Advice::after(reading);
        (advice, advice.sentence(reading))
    }
}

/// What a trial of a protection leaves to be wished.
fn proof_short(proof: &ProtectionProof) -> Option<String> {
    let words = proof.protection.words();
    if !proof.acted {
        return Some(format!("{words}: did not act"));
    }
    let time_s = proof.time_s?;
    if let Some(longest_s) = proof.longest_s.filter(|longest_s| time_s > *longest_s) {
        return Some(format!("{words}: acted after {time_s} s, later than {longest_s} s"));
    }
    let shortest_s = proof.shortest_s.filter(|shortest_s| time_s < *shortest_s)?;
    Some(format!("{words}: acted after {time_s} s, sooner than {shortest_s} s"))
}
