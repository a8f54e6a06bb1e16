use std::fmt::Write;

use crate::assess::instrument::Verdict;
use crate::cli::console::cautions;
use crate::error::{Error, Result};
use crate::meter::Certificate;
use crate::procedure::entry::{Closing, Moment, ProtectionProof};
use crate::procedure::plan::{FindingKind, Item, ItemKind, Next};
use crate::procedure::{
    Advice, Candidate, Entry, Finding, Journal, ProtectionTerms, Run, typed_current,
};
use crate::report::bare_amperes;

use super::dialogue::Dialogue;
use super::said::Said;
use super::words;

/// How the guided run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Left {
    /// The visit is closed.
    Closed,
    /// It stays open.
    Open,
}

/// What a question led to.
enum Flow {
    /// On to whatever is next.
    On,
    /// Out of here.
    Out(Left),
}

/// What is asked of someone who leaves a thing as it is.
const REASON: &str = "Say why: `skip WHY`. The reason stands in the record.";

const HELP: &str = "  yes, no       the answer; words behind it are written down with it
  6.58          a number from the display, decimal point or comma
  yes  6.93  4  a protection, one after the other: it acted, what the meter
                showed then, after how many seconds; Enter for what is not known
  same          the display still shows the last number
  why           the reasons, with numbers
  note TEXT     something worth writing down
  back          take the last answer back and answer again
  list          what is entered so far, with the number of each entry
  correct N X   entry N was a slip: the meter showed X
  skip WHY      leave this one as it is
  leave         stop here; everything is kept, the same command goes on later
  end WHY       close the visit before its end
";

/// A visit led through on a terminal.
pub(super) struct Guide<'a, J> {
    run: &'a mut Run<J>,
    dialogue: &'a Dialogue,
    /// Key of the stage whose heading was shown last.
    stage: Option<String>,
    /// Key of the item whose words were shown last.
    item: Option<String>,
    /// Keys of what is asked again before anything goes on.
    again: Vec<String>,
    /// Number of the last entry before that.
    before: u64,
}

impl<'a, J: Journal> Guide<'a, J> {
    pub(super) fn new(run: &'a mut Run<J>, dialogue: &'a Dialogue, again: Vec<String>) -> Self {
        let before = run.visit().entries().last().map_or(0, |last| last.number);
        Self { run, dialogue, stage: None, item: None, again, before }
    }

    /// Asks until the visit is closed or left.
    pub(super) fn lead(&mut self) -> Result<Left> {
        self.dialogue.write(cautions().trim_start_matches('\n'))?;
        let bench = self.run.bench();
        if bench.description().is_invented {
            self.dialogue
                .say("\nPlace, equipment and numbers of this description are invented.")?;
        }
        for note in bench.notes() {
            self.dialogue.say_below(&format!("noticed: {}", note.text))?;
        }
        self.dialogue.write("\n")?;
        self.dialogue.say("`?` says what can be typed; `leave` stops at any moment.")?;
        loop {
            if let Flow::Out(left) = self.turn()? {
                return Ok(left);
            }
        }
    }

    fn turn(&mut self) -> Result<Flow> {
        let next = self.run.next();
        let Some(item) = next.item().cloned() else { return Ok(Flow::Out(Left::Closed)) };
        let heading = next.stage().map(|stage| {
            (stage.key.clone(), stage.title.clone(), stage.why.clone().unwrap_or_default())
        });
        let is_refused = matches!(next, Next::Answer { refused: Some(_), .. });
        if !is_refused && let Some(item) = self.asked_again() {
            return self.question(&item, false);
        }
        enum Kind {
            Answer { refused: bool },
            Read { step: u32, moment: Moment },
            Prove,
            Close,
        }
        let kind = match next {
            Next::Answer { refused, .. } => Kind::Answer { refused: refused.is_some() },
            Next::Read { step, moment, .. } => Kind::Read { step, moment },
            Next::Prove { .. } => Kind::Prove,
            Next::Close { .. } => Kind::Close,
            Next::Finished => return Ok(Flow::Out(Left::Closed)),
        };
        if let Some((key, title, why)) = heading
            && self.stage.as_ref() != Some(&key)
        {
            self.dialogue.write(&format!("\n== {title} ==\n"))?;
            if !why.is_empty() {
                self.dialogue.say(&why)?;
            }
            self.stage = Some(key);
        }
        match kind {
            Kind::Answer { refused } => self.question(&item, refused),
            Kind::Read { step, moment } => self.reading(&item, step, moment),
            Kind::Prove => self.proof(&item),
            Kind::Close => self.closing(&item),
        }
    }

    /// What must still be so and was not answered again yet.
    fn asked_again(&self) -> Option<Item> {
        let is_open =
            |key: &&String| self.run.last_answer_to(key).is_none_or(|number| number <= self.before);
        let key = self.again.iter().find(is_open)?;
        self.run.procedure().item(key).cloned()
    }

    /// The item's words and cautions, once while it stays the same.
    fn introduce(&mut self, item: &Item) -> Result<()> {
        if self.item.as_ref() == Some(&item.key) {
            return Ok(());
        }
        self.item = Some(item.key.clone());
        self.dialogue.write("\n")?;
        if let Some(kind) = item.shows() {
            let finding = self.finding(kind);
            for line in &finding.lines {
                self.dialogue.say_below(line)?;
            }
        }
        self.dialogue.say(&item.text)?;
        for caution in &item.cautions {
            self.dialogue.say_below(&format!("CAUTION: {caution}"))?;
        }
        Ok(())
    }

    fn finding(&self, kind: FindingKind) -> Finding {
        Finding::of(self.run.bench(), self.run.visit(), kind)
    }

    fn question(&mut self, item: &Item, refused: bool) -> Result<Flow> {
        self.introduce(item)?;
        match &item.kind {
            ItemKind::Ask { optional, .. } => self.words(item, *optional),
            _ => self.yes_or_no(item, refused),
        }
    }

    fn yes_or_no(&mut self, item: &Item, refused: bool) -> Result<Flow> {
        let prompt = if refused { "is it so now? yes or no" } else { "yes or no" };
        let said = self.dialogue.ask(prompt)?;
        match said {
            Said::Yes(reason) => {
                let is_against = item.shows().is_some_and(|kind| self.finding(kind).is_against);
                if is_against && reason.is_none() {
                    self.dialogue.say(
                        "What is known here speaks against it. Answer `no`, or `yes` with your \
                         reason behind it; the reason is written down.",
                    )?;
                    return Ok(Flow::On);
                }
                self.run.answer(&item.key, Some(true), reason)?;
            }
            Said::No(reason) => {
                self.run.answer(&item.key, Some(false), reason)?;
                if self.run.procedure().is_needed(&item.key) {
                    self.dialogue.say(
                        "Stop here: what follows needs this. Put it right and answer `yes`, or \
                         `leave` and come back; `end WHY` closes the visit.",
                    )?;
                }
            }
            other => return self.command(item, None, other, "Answer yes or no."),
        }
        Ok(Flow::On)
    }

    fn words(&mut self, item: &Item, optional: bool) -> Result<Flow> {
        let before = self.run.visit().confirmation(&item.key).and_then(|said| said.text.clone());
        let prompt = match &before {
            Some(said) => format!("words, or `same` for: {said}"),
            None if optional => "words, or Enter for none".to_owned(),
            None => "words".to_owned(),
        };
        match self.dialogue.ask(&prompt)? {
            Said::Same if before.is_some() => {
                self.run.answer(&item.key, None, before)?;
            }
            Said::Words(text) => {
                self.run.answer(&item.key, None, Some(text))?;
            }
            // An answer may begin with what is a command elsewhere.
            Said::Yes(Some(text)) => {
                self.run.answer(&item.key, None, Some(format!("yes {text}")))?;
            }
            Said::No(Some(text)) => {
                self.run.answer(&item.key, None, Some(format!("no {text}")))?;
            }
            Said::Nothing | Said::Skip(None) if optional => {
                self.run.answer(&item.key, None, None)?;
            }
            Said::Skip(Some(reason)) => {
                self.run.answer(&item.key, None, Some(format!("left open: {reason}")))?;
            }
            other => return self.command(item, None, other, "This needs words."),
        }
        Ok(Flow::On)
    }

    fn reading(&mut self, item: &Item, step: u32, moment: Moment) -> Result<Flow> {
        self.introduce(item)?;
        let Next::Read { last, output, .. } = self.run.next() else { return Ok(Flow::On) };
        let last = last.cloned();
        let mut prompt = format!("step {step} {}, A", moment.words());
        if moment == Moment::AsFound || last.is_none() {
            let nominal_a = self.run.bench().steps().step(step).map_or(f64::NAN, |s| s.nominal.a());
            self.dialogue.write(&format!("\nStep {step} ({nominal_a} A), {}\n", output.words()))?;
        } else if let Some(last) = last.as_ref().filter(|last| last.is_accepted()) {
            let _ = write!(prompt, ", or `same` for {}", last.typed);
        }
        let said = self.dialogue.ask(&prompt)?;
        let (typed, shown_a) = match said {
            Said::Words(typed) => match typed_current(&typed) {
                Ok(shown_a) => (typed, shown_a),
                Err(error) => {
                    self.complain(&error)?;
                    return Ok(Flow::On);
                }
            },
            Said::Same => match &last {
                Some(last) => (last.typed.clone(), last.shown_a),
                None => {
                    self.dialogue.say("Nothing was read here yet: type the number.")?;
                    return Ok(Flow::On);
                }
            },
            Said::Skip(None) => {
                self.dialogue.say(REASON)?;
                return Ok(Flow::On);
            }
            Said::Skip(reason) => {
                self.run.leave_step(&item.key, step, moment, reason)?;
                self.dialogue.say(&format!("Step {step} stays as it is, {}.", moment.words()))?;
                return Ok(Flow::On);
            }
            other => {
                let place = Some((step, output));
                return self.command(item, place, other, "Type the number on the display.");
            }
        };
        let candidate = Candidate { step, moment, output, shown_a };
        self.keep(candidate, typed)
    }

    /// Writes a number down, after asking about what is doubtful.
    fn keep(&mut self, candidate: Candidate, typed: String) -> Result<Flow> {
        let (mut candidate, mut typed) = (candidate, typed);
        loop {
            let reading = self.run.weigh(candidate, &typed)?;
            let asked = |code: &str| Candidate::ASKED.contains(&code);
            let mut is_asked = false;
            for doubt in reading.doubts.iter().filter(|doubt| asked(&doubt.code)) {
                self.dialogue.say(&format!("? {}", doubt.text))?;
                is_asked = true;
            }
            if is_asked {
                let prompt = format!("keep {typed}? yes, or the right number");
                match self.dialogue.ask(&prompt)? {
                    Said::Yes(_) => {}
                    Said::Words(other) => {
                        match typed_current(&other) {
                            Ok(shown_a) => {
                                candidate.shown_a = shown_a;
                                typed = other;
                            }
                            Err(error) => self.complain(&error)?,
                        }
                        continue;
                    }
                    Said::Correct { number, typed } => {
                        self.correct(number, &typed)?;
                        continue;
                    }
                    Said::Note(text) => {
                        self.run.remark(text)?;
                        self.dialogue.say_below("written down")?;
                        continue;
                    }
                    Said::Leave => {
                        self.dialogue.say(&format!("{typed} was not written down."))?;
                        return Ok(Flow::Out(Left::Open));
                    }
                    _ => {
                        self.dialogue.say(&format!("{typed} was not written down."))?;
                        return Ok(Flow::On);
                    }
                }
            }
            let logged = self.run.read(reading)?;
            let Entry::Reading(reading) = &logged.entry else { return Ok(Flow::On) };
            let verdict = self.run.bench().verdict(reading.step, reading.output);
            if let Some(danger) = verdict.and_then(Verdict::danger) {
                self.dialogue.say(&format!("DANGER: {}.", danger.text))?;
            }
            self.dialogue.say_below(&words::meaning(reading))?;
            let told = |code: &str| ["shorted-field-differ", "unmoved"].contains(&code);
            for doubt in reading.doubts.iter().filter(|doubt| told(&doubt.code)) {
                self.dialogue.say_below(&format!("! {}", doubt.text))?;
            }
            let (advice, sentence) = self.run.advice(reading);
            self.dialogue.say(&format!("-> {sentence}"))?;
            if advice == Advice::OtherMeter || advice == Advice::Explain {
                self.dialogue.say_below("`skip WHY` leaves it as it is and goes on.")?;
            }
            return Ok(Flow::On);
        }
    }

    fn proof(&mut self, item: &Item) -> Result<Flow> {
        let ItemKind::Prove { output, .. } = &item.kind else { return Ok(Flow::On) };
        let is_new = self.item.as_ref() != Some(&item.key);
        self.introduce(item)?;
        let terms = self.run.protection_terms(item);
        let ProtectionTerms { set_rms_a, shortest_s, longest_s, source, .. } = &terms;
        if is_new {
            let bench = self.run.bench();
            let shown = |true_a: f64| bench.shown_at_top_a(*output, true_a).map(bare_amperes);
            if let Some(true_a) = *set_rms_a {
                let about = shown(true_a).map_or(String::new(), |shown| {
                    format!("; this meter then shows about {shown} A")
                });
                let span = terms.set_span_a().and_then(|(low_a, high_a)| {
                    let (low, high) = shown(low_a).zip(shown(high_a))?;
                    let source = terms.set_within_source;
                    Some(format!(" Acting while it shows {low} to {high} A counts ({source})."))
                });
                self.dialogue.say_below(&format!(
                    "Set-point {} A true RMS{about}.{}",
                    bare_amperes(true_a),
                    span.unwrap_or_default()
                ))?;
            }
            let times = match (shortest_s, longest_s) {
                (Some(shortest_s), Some(longest_s)) => {
                    format!("It acts within {shortest_s} to {longest_s} s.")
                }
                (None, Some(longest_s)) => format!("It acts within {longest_s} s."),
                (Some(shortest_s), None) => format!("It acts after {shortest_s} s or later."),
                (None, None) => String::new(),
            };
            let source = source.as_ref().map_or(String::new(), |source| format!("({source})"));
            self.dialogue.say_below(&format!("{times} {source}"))?;
        }
        let acted = match self.dialogue.ask("did it act? yes or no")? {
            Said::Yes(_) => true,
            Said::No(_) => false,
            Said::Skip(Some(reason)) => {
                self.run.answer(&item.key, None, Some(reason))?;
                return Ok(Flow::On);
            }
            Said::Skip(None) => {
                self.dialogue.say(REASON)?;
                return Ok(Flow::On);
            }
            other => return self.command(item, None, other, "Answer yes or no, or `skip WHY`."),
        };
        let prompt = if acted { "the meter showed when it acted, A" } else { "most it showed, A" };
        let Some(shown_a) = self.number(&format!("{prompt} (Enter: not read)"), typed_current)?
        else {
            return Ok(Flow::Out(Left::Open));
        };
        let mut time_s = None;
        if acted {
            match self
                .number("time until it acted, s (Enter: not timed)", ProtectionProof::typed_time)?
            {
                Some(answered) => time_s = answered,
                None => return Ok(Flow::Out(Left::Open)),
            }
        }
        let Some(proof) = self.run.proof(item, acted, shown_a, time_s) else {
            return Ok(Flow::On);
        };
        let shortfalls = proof.shortfalls();
        self.run.prove(proof)?;
        for short in &shortfalls {
            self.dialogue.say(&format!("-> NOT GOOD: {short}."))?;
        }
        if !acted {
            self.dialogue.say("-> Switch off.")?;
        }
        self.dialogue.say("-> Put the output back to where it was before you go on.")?;
        if !shortfalls.is_empty() {
            self.dialogue.say(
                "-> Put the protection right and try it again; `skip WHY` leaves it so and goes on.",
            )?;
        }
        Ok(Flow::On)
    }

    /// A number, or nothing on an empty line; `None` when someone wants to leave.
    fn number(
        &self,
        prompt: &str,
        parse: impl Fn(&str) -> Result<f64>,
    ) -> Result<Option<Option<f64>>> {
        loop {
            match self.dialogue.ask(prompt)? {
                Said::Nothing => return Ok(Some(None)),
                Said::Words(typed) => match parse(&typed) {
                    Ok(value) => return Ok(Some(Some(value))),
                    Err(error) => self.complain(&error)?,
                },
                Said::Leave => {
                    self.dialogue.say("This trial was not written down.")?;
                    return Ok(None);
                }
                _ => self.dialogue.say("A number, or Enter.")?,
            }
        }
    }

    fn closing(&mut self, item: &Item) -> Result<Flow> {
        self.introduce(item)?;
        let shortfalls = self.run.shortfalls();
        for line in &shortfalls {
            self.dialogue.say_below(&format!("not good: {line}"))?;
        }
        let next_due = loop {
            match self.dialogue.ask("next due day, such as 2027-11-25 (Enter: none)")? {
                Said::Nothing => break None,
                Said::Words(typed) => match Certificate::day(&typed) {
                    Ok(day) if day > self.run.visit().opening().day => break Some(day),
                    Ok(day) => self.dialogue.say(&format!("{day} is not after this visit."))?,
                    Err(error) => self.complain(&error)?,
                },
                other => return self.command(item, None, other, "A day, or Enter."),
            }
        };
        match self.dialogue.ask("close the visit? yes or no")? {
            Said::Yes(remark) => {
                let person = self.run.visit().opening().person.clone();
                self.run.close(Closing { complete: true, person, next_due, remark })?;
                Ok(Flow::Out(Left::Closed))
            }
            Said::No(_) => {
                self.dialogue.say("It stays open; `leave` to stop here.")?;
                Ok(Flow::On)
            }
            other => self.command(item, None, other, "Answer yes or no."),
        }
    }

    /// What can be said at any question; `wanted` is what this one wants.
    fn command(
        &mut self,
        item: &Item,
        place: Option<(u32, crate::procedure::entry::Output)>,
        said: Said,
        wanted: &str,
    ) -> Result<Flow> {
        match said {
            Said::Help => self.dialogue.write(HELP)?,
            Said::Why => {
                let why = item.why.as_deref().unwrap_or("The procedure asks for it.");
                self.dialogue.say_below(why)?;
                let verdict =
                    place.and_then(|(step, output)| self.run.bench().verdict(step, output));
                if let Some(verdict) = verdict {
                    let line =
                        format!("this meter, step {}: {}", verdict.step.number, verdict.sentence());
                    self.dialogue.say_below(&line)?;
                    for note in &verdict.notes {
                        self.dialogue.say_below(&format!("noticed: {}", note.text))?;
                    }
                }
                if !item.after.is_empty() {
                    let line = format!("it comes after: {}", item.after.join(", "));
                    self.dialogue.say_below(&line)?;
                }
            }
            Said::Note(text) => {
                self.run.remark(text)?;
                self.dialogue.say_below("written down")?;
            }
            Said::Back => match self.run.take_back()? {
                Some(old) => {
                    self.item = None;
                    self.dialogue.say(&format!("taken back: {}", words::entry(&old)))?;
                    if old.replaces.is_some() {
                        self.dialogue.say_below(
                            "What stood there before the correction does not come back: enter it \
                             again where it is asked for.",
                        )?;
                    }
                }
                None => self.dialogue.say("There is nothing to take back.")?,
            },
            Said::Correct { number, typed } => self.correct(number, &typed)?,
            Said::List => {
                let lines: String = self
                    .run
                    .visit()
                    .counting()
                    .map(|logged| format!("{:>6}  {}\n", logged.number, words::entry(logged)))
                    .collect();
                self.dialogue.write(&lines)?;
            }
            Said::Leave => return Ok(Flow::Out(Left::Open)),
            Said::End(reason) => {
                let person = self.run.visit().opening().person.clone();
                let closing =
                    Closing { complete: false, person, next_due: None, remark: Some(reason) };
                self.run.close(closing)?;
                return Ok(Flow::Out(Left::Closed));
            }
            Said::Incomplete(what) => self.dialogue.say(what)?,
            Said::Skip(_) => self
                .dialogue
                .say(&format!("This cannot be left out. {wanted} `leave` stops here."))?,
            _ => self.dialogue.say(&format!("{wanted} `?` says what else can be typed."))?,
        }
        Ok(Flow::On)
    }

    fn correct(&mut self, number: u64, typed: &str) -> Result<()> {
        let corrected =
            typed_current(typed).and_then(|shown_a| self.run.correct(number, typed, shown_a));
        match corrected {
            Ok(reading) => {
                self.dialogue.say_below(&words::meaning(&reading))?;
                self.dialogue.say(&format!("entry {number} stays in the history"))
            }
            Err(error) if !matches!(error.kind(), crate::error::ErrorKind::Io { .. }) => {
                self.complain(&error)
            }
            Err(error) => Err(error),
        }
    }

    /// Says what is wrong with an answer; it is asked for again.
    fn complain(&self, error: &Error) -> Result<()> {
        self.dialogue.say(&error.to_string())?;
        match error.hint() {
            Some(hint) => self.dialogue.say_below(hint),
            None => Ok(()),
        }
    }
}
