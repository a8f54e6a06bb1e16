use std::sync::Arc;

use crate::error::{Error, Result};

use super::entry::{
    Closing, Confirmation, Moment, Opening, Output, ProtectionProof, ReadingDoubt, ReadingTaken,
};
use super::plan::{Item, ItemKind, Next, last_answer};
use super::{
    Advice, Bench, Candidate, Entry, Journal, LoggedEntry, Procedure, ProtectionTerms, Visit,
    VisitState,
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
        let run = Self::review_knowing(journal, number, known)?;
        if run.visit.state() != VisitState::Open {
            let state = run.visit.state().words();
            return Err(Error::inconsistent(format!("visit {number} is {state}")).with_hint(
                "open a new visit; what was entered wrong is corrected in the logbook",
            ));
        }
        Ok(run)
    }

    /// A visit to be looked at, open or closed, with benches that were solved before.
    ///
    /// # Errors
    /// As [`Journal::visit_entries`] and [`Self::open`].
    pub fn review_knowing(
        journal: J,
        number: u64,
        known: &[(Opening, Arc<Bench>)],
    ) -> Result<Self> {
        let visit = Visit::from_entries(journal.visit_entries(number)?)?;
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

    /// What was answered and must still be so when the visit goes on, each with its last answer.
    #[must_use]
    pub fn must_still_hold(&self) -> Vec<(&Item, &LoggedEntry)> {
        let items = self.procedure.must_still_hold(&self.visit, self.bench.steps());
        let mut still = Vec::with_capacity(items.len());
        for item in items {
            still.extend(last_answer(&self.visit, &item.key).map(|logged| (item, logged)));
        }
        still
    }

    /// The number of the entry with the last answer to an item.
    #[must_use]
    pub fn last_answer_to(&self, item: &str) -> Option<u64> {
        last_answer(&self.visit, item).map(|logged| logged.number)
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

    /// What a protection is tried at and held against, by the item and the description.
    #[must_use]
    pub fn protection_terms(&self, item: &Item) -> ProtectionTerms {
        ProtectionTerms::of(&item.kind, self.bench.description()).unwrap_or_default()
    }

    /// A trial of an item's protection as it would be written down; `None` for another item.
    #[must_use]
    pub fn proof(
        &self,
        item: &Item,
        acted: bool,
        shown_a: Option<f64>,
        time_s: Option<f64>,
    ) -> Option<ProtectionProof> {
        let ItemKind::Prove { protection, output, .. } = item.kind else { return None };
        let terms = self.protection_terms(item);
        let top = self.bench.steps().top().number;
        Some(ProtectionProof {
            protection,
            output,
            set_rms_a: terms.set_rms_a,
            set_within_ratio: terms.set_within_ratio,
            shown_a,
            true_rms_a: shown_a.and_then(|a| self.bench.true_rms_a(top, output, a)),
            acted,
            time_s,
            shortest_s: terms.shortest_s,
            longest_s: terms.longest_s,
            limits_source: terms.source,
            remark: None,
        })
    }

    /// Writes an entry down that [`Self::weigh_all`] gave.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn enter(&mut self, entry: Entry) -> Result<LoggedEntry> {
        self.write(None, entry)
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
                .with_hint("the list of the visit's entries shows which are, with their numbers")
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

    /// The last answer, reading or trial that counts: what [`Self::take_back`] takes back.
    #[must_use]
    pub fn last_answer(&self) -> Option<&LoggedEntry> {
        let is_answer = |logged: &&LoggedEntry| {
            matches!(
                logged.entry,
                Entry::Confirmation(_) | Entry::Reading(_) | Entry::Protection(_)
            )
        };
        self.visit.counting().filter(is_answer).max_by_key(|logged| logged.number)
    }

    /// Takes the last answer, reading or trial back, so that it is asked for again; the slip stays in
    /// the history. `None` when there is nothing to take back.
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn take_back(&mut self) -> Result<Option<LoggedEntry>> {
        let Some(last) = self.last_answer().cloned() else { return Ok(None) };
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
                        None => vec![format!("{}: not tried", protection.words())],
                        Some(proof) => proof.shortfalls(),
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

    /// What is missing before a visit can be closed, a sentence each: what keeps the result from being
    /// good, and how many items of the procedure nobody answered. Empty for one that is closed.
    #[must_use]
    pub fn missing(&self) -> Vec<String> {
        if self.visit.closing().is_some() {
            return Vec::new();
        }
        let mut missing = self.shortfalls();
        let is_question =
            |item: &Item| matches!(item.kind, ItemKind::Confirm { .. } | ItemKind::Ask { .. });
        let open: Vec<&str> = self
            .procedure
            .items()
            .map(|(_, item)| item)
            .filter(|item| is_question(item) && self.visit.confirmation(&item.key).is_none())
            .map(|item| item.key.as_str())
            .collect();
        if !open.is_empty() {
            missing.push(format!("not answered: {}", open.join(", ")));
        }
        missing
    }

    /// Dangers to people that the readings tell of, a sentence each: a clamp on the loop whose voltage
    /// category is below the loop's voltage. Its readings are judged like any other.
    #[must_use]
    pub fn dangers(&self) -> Vec<String> {
        dangers(&self.visit, &self.bench)
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
                let why = reading.why_not_accepted().unwrap_or_default();
                format!(
                    "step {}, {words}: left at {}, not accepted: {why}",
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

/// What [`Run::dangers`] says of any visit.
#[must_use]
pub fn dangers(visit: &Visit, bench: &Bench) -> Vec<String> {
    let of = |output: Output| {
        let (steps, note) = bench.danger(output)?;
        let was_read = |step: &&u32| {
            visit.readings().any(|(_, reading)| reading.step == **step && reading.output == output)
        };
        let steps: Vec<String> = steps.iter().filter(was_read).map(u32::to_string).collect();
        (!steps.is_empty()).then(|| {
            format!(
                "{}, step {}: read with a clamp that must not be there: {}. The readings count as \
                 judged; do not use this clamp there again, and have it looked at",
                output.words(),
                steps.join(", "),
                note.text
            )
        })
    };
    [Output::Shorted, Output::Field].into_iter().filter_map(of).collect()
}
