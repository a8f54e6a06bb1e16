use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::description::misspelt;
use crate::error::Result;
use crate::procedure::entry::{Moment, Output, ProtectionProof};
use crate::procedure::plan::{FindingKind, Item, ItemKind, Next};
use crate::procedure::{Finding, Journal, LoggedEntry, Run, Visit};
use crate::report::{CAUTIONS, EntryPart};

/// A visit to be opened.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct OpeningSent {
    /// Who does it.
    pub(super) by: String,
    /// The regulator.
    pub(super) regulator: String,
    /// The circuit it carries.
    #[serde(default)]
    pub(super) circuit: Option<String>,
    /// The meter: of the logbook, of the description, or a kind of meter.
    pub(super) meter: String,
    /// The day, such as 2026-11-25; today when left out.
    #[serde(default)]
    pub(super) day: Option<String>,
    /// Probability with which the true current must lie in its band.
    #[serde(default)]
    pub(super) probability: Option<f64>,
    /// Temperature at the meter.
    #[serde(default)]
    pub(super) ambient_degc: Option<f64>,
    /// Supply voltage.
    #[serde(default)]
    pub(super) supply_rms_v: Option<f64>,
    /// Output tap in use.
    #[serde(default)]
    pub(super) tap: Option<String>,
    /// Weather and anything else.
    #[serde(default)]
    pub(super) conditions: Option<String>,
}

/// An entry to be written, and who writes it.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct EntrySent {
    /// Who writes it.
    pub(super) by: String,
    /// Hash of the entry that opened the visit, as its writer saw it: given, the entry goes into that visit or
    /// nowhere, for another logbook has another visit of the same number.
    #[serde(default)]
    pub(super) opening_hash: Option<String>,
    /// The entry.
    pub(super) entry: EntryAsked,
}

/// What may be entered.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub(super) enum EntryAsked {
    /// An item answered: yes, no, or in words; an item of a protection left out, with why.
    Answer {
        /// Key of the item.
        item: String,
        /// Whether it is so.
        #[serde(default)]
        holds: Option<bool>,
        /// Words.
        #[serde(default)]
        text: Option<String>,
    },
    /// A number on the display.
    Reading {
        /// Number of the step.
        step: u32,
        /// `as-found` or `as-left`.
        moment: String,
        /// `shorted` or `field`.
        output: String,
        /// The number as it was typed.
        typed: String,
        /// Whether it is kept even though it looks like a slip.
        #[serde(default)]
        keep_doubtful: bool,
    },
    /// A step left as it is.
    LeaveStep {
        /// Number of the step.
        step: u32,
        /// `as-found` or `as-left`.
        moment: String,
        /// Why.
        #[serde(default)]
        reason: Option<String>,
    },
    /// A protection that was tried.
    Proof {
        /// Key of the item.
        item: String,
        /// Whether it acted.
        acted: bool,
        /// What the meter showed then.
        #[serde(default)]
        shown: Option<String>,
        /// How long it took.
        #[serde(default)]
        time: Option<String>,
        /// Anything else.
        #[serde(default)]
        remark: Option<String>,
    },
    /// Anything else.
    Remark {
        /// The words.
        text: String,
    },
    /// Another number in the place of a reading.
    Correction {
        /// Number of the reading's entry.
        entry: u64,
        /// The right number as it was typed.
        typed: String,
    },
    /// The last answer, reading or trial taken back.
    TakeBack {
        /// Number of its entry as it was seen: given, that one is taken back or none.
        #[serde(default)]
        entry: Option<u64>,
    },
    /// The visit closed.
    Closing {
        /// Whether the procedure was gone through to its end.
        complete: bool,
        /// Next due day.
        #[serde(default)]
        next_due: Option<String>,
        /// Why it ends before its end, or anything else.
        #[serde(default)]
        remark: Option<String>,
    },
}

/// An entry as it stands in the logbook.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct EntryAnswer {
    /// False when it had been written before and was sent again.
    is_new: bool,
    /// The entry.
    entry: EntryPart,
    /// What a reading asks for; `null` for other entries and for one sent again.
    advice: Option<String>,
}

/// What comes next in a visit.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct NextPart {
    /// Number of the visit.
    visit: u64,
    /// Hash of the entry that opened it: which visit it is in whatever logbook.
    opening_hash: String,
    /// `confirm`, `ask`, `read`, `prove`, `close` or `finished`.
    kind: &'static str,
    /// Heading of its stage.
    stage: Option<String>,
    /// Key of the item.
    item: Option<String>,
    /// What is asked or to be done.
    text: Option<String>,
    /// Why.
    why: Option<String>,
    /// Cautions that belong right here: to be shown before anything is done.
    item_cautions: Vec<String>,
    /// What the program knows about the question, a sentence a line.
    knows: Vec<String>,
    /// Whether that speaks against a "yes".
    knows_against: bool,
    /// Dangers to people in what is asked or done next: to be shown before anything else.
    dangers: Vec<String>,
    /// Number of the step to read.
    step: Option<u32>,
    /// `as-found` or `as-left`.
    moment: Option<&'static str>,
    /// `shorted` or `field`.
    output: Option<&'static str>,
    /// What was last typed at this step and output, and is not yet right.
    last_typed: Option<String>,
    /// What was typed as found at this step and output and is right as it is; read as left, the step is done.
    right_as_found: Option<String>,
    /// Number of the entry that taking back would take back; `null` when there is none.
    last_entry: Option<u64>,
    /// What that entry says, in one line.
    last_says: Option<String>,
    /// Whether an earlier answer "no" stops everything behind it.
    is_refused: bool,
    /// What anyone going to the equipment must heed.
    cautions: Vec<&'static str>,
}

impl EntryAnswer {
    pub(super) fn of(logged: &LoggedEntry, advice: Option<String>) -> Self {
        Self { is_new: true, entry: EntryPart::new(logged, None), advice }
    }

    pub(super) fn again(logged: &LoggedEntry) -> Self {
        Self { is_new: false, ..Self::of(logged, None) }
    }
}

impl NextPart {
    /// Nothing: the visit is closed.
    pub(super) fn finished(visit: &Visit) -> Self {
        Self {
            visit: visit.number(),
            opening_hash: hash_of_opening(visit),
            kind: "finished",
            stage: None,
            item: None,
            text: None,
            why: None,
            item_cautions: Vec::new(),
            knows: Vec::new(),
            knows_against: false,
            dangers: Vec::new(),
            step: None,
            moment: None,
            output: None,
            last_typed: None,
            right_as_found: None,
            last_entry: None,
            last_says: None,
            is_refused: false,
            cautions: CAUTIONS.to_vec(),
        }
    }

    pub(super) fn of<J: Journal>(run: &Run<J>) -> Self {
        let next = run.next();
        let item = next.item();
        let kind = match (&next, item.map(|item| &item.kind)) {
            (Next::Finished, _) | (_, None) => "finished",
            (_, Some(kind)) => ItemKind::key(kind),
        };
        let finding = item
            .and_then(|item| item.shows())
            .map(|kind| Finding::of(run.bench(), run.visit(), kind));
        // Why a trial is asked for again.
        let tried = match item.map(|item| &item.kind) {
            Some(ItemKind::Prove { protection, .. }) => run.visit().proofs(*protection).last(),
            _ => None,
        };
        let mut short = tried.map(ProtectionProof::shortfalls).unwrap_or_default();
        if !short.is_empty() {
            short.push("Put the output back to where it was before you go on".to_owned());
        }
        let is_short = !short.is_empty();
        let (step, moment, output, last) = match next {
            Next::Read { step, moment, output, last, .. } => {
                (Some(step), Some(moment.key()), Some(output.key()), last)
            }
            _ => (None, None, None, None),
        };
        let dangers = dangers(run, &next);
        let last_answer = run.last_answer();
        Self {
            visit: run.visit().number(),
            opening_hash: hash_of_opening(run.visit()),
            kind,
            stage: next.stage().map(|stage| stage.title.clone()),
            item: item.map(|item| item.key.clone()),
            text: item.map(|item| item.text.clone()),
            why: item.and_then(|item| item.why.clone()),
            item_cautions: item.map(|item| item.cautions.clone()).unwrap_or_default(),
            knows_against: is_short
                || finding.as_ref().is_some_and(|finding| finding.is_against)
                || !dangers.is_empty(),
            dangers,
            knows: finding.map_or(short, |finding| finding.lines),
            step,
            moment,
            output,
            last_typed: last.filter(|last| !last.is_accepted()).map(|last| last.typed.clone()),
            right_as_found: last.filter(|last| last.is_accepted()).map(|last| last.typed.clone()),
            last_entry: last_answer.map(|logged| logged.number),
            last_says: last_answer.map(|logged| EntryPart::new(logged, None).says),
            is_refused: matches!(next, Next::Answer { refused: Some(_), .. }),
            cautions: CAUTIONS.to_vec(),
        }
    }
}

/// The hash of the entry a visit began with.
pub(super) fn hash_of_opening(visit: &Visit) -> String {
    visit.entries().first().map(|opening| opening.hash.clone()).unwrap_or_default()
}

/// Where the clamp must not be of all that comes next: at every output when the meter is asked about, else at the
/// one that is read, or was last connected.
fn dangers<J: Journal>(run: &Run<J>, next: &Next<'_>) -> Vec<String> {
    let Some(item) = next.item() else { return Vec::new() };
    let outputs: Vec<Output> = match (&item.kind, item.shows()) {
        (_, Some(FindingKind::Category | FindingKind::Verdict)) => {
            vec![Output::Shorted, Output::Field]
        }
        (ItemKind::Read { output, .. } | ItemKind::Prove { output, .. }, _) => vec![*output],
        _ => connected(run, item).into_iter().collect(),
    };
    let at = |output: Output| {
        let (steps, note) = run.bench().danger(output)?;
        let steps: Vec<String> = steps.iter().map(u32::to_string).collect();
        Some(format!("{}, step {}: {}", output.words(), steps.join(", "), note.text))
    };
    outputs.into_iter().filter_map(at).collect()
}

/// What the output is connected to once this item is done, by the order of the procedure.
fn connected<J: Journal>(run: &Run<J>, until: &Item) -> Option<Output> {
    let items: Vec<&Item> = run.procedure().items().map(|(_, item)| item).collect();
    let place = items.iter().position(|item| item.key == until.key)?;
    items.iter().take(place.saturating_add(1)).rev().find_map(|item| match item.kind {
        ItemKind::Confirm { connects, .. } => connects,
        _ => None,
    })
}

/// The moment of that key.
pub(super) fn moment_of(key: &str) -> Result<Moment> {
    let all = [Moment::AsFound, Moment::AsLeft];
    let known = all.map(Moment::key);
    let found = all.into_iter().find(|moment| moment.key() == key);
    found.ok_or_else(|| misspelt(known.join(" or "), key, known))
}

/// The output of that key.
pub(super) fn output_of(key: &str) -> Result<Output> {
    let all = [Output::Shorted, Output::Field];
    let known = all.map(Output::key);
    let found = all.into_iter().find(|output| output.key() == key);
    found.ok_or_else(|| misspelt(known.join(" or "), key, known))
}
