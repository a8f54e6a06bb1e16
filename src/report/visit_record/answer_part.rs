use schemars::JsonSchema;
use serde::Serialize;

use crate::procedure::entry::Confirmation;
use crate::procedure::plan::ItemKind;
use crate::procedure::{Entry, LoggedEntry, Procedure, Visit};

/// What was answered to an item of the procedure.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AnswerPart {
    /// Key of the item.
    pub item: String,
    /// Heading of its stage.
    pub stage: String,
    /// What was asked.
    pub question: String,
    /// Whether it is so; `null` for a question that wants words, or when it was not answered.
    pub holds: Option<bool>,
    /// Words, where there are any.
    pub text: Option<String>,
    /// Number of the entry; `null` when it was not answered.
    pub entry: Option<u64>,
    /// Who answered.
    pub by: Option<String>,
    /// When, UTC.
    pub at: Option<String>,
    /// Whether this says why something was left as it is: a step not read or not set right, a
    /// protection not tried or not put right.
    pub left_as_is: bool,
    /// What was answered before and still counts as said, the oldest first.
    pub before: Vec<EarlierAnswerPart>,
}

/// An answer that was followed by another one to the same item.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EarlierAnswerPart {
    /// Whether it was so.
    pub holds: Option<bool>,
    /// Words, where there are any.
    pub text: Option<String>,
    /// Number of the entry.
    pub entry: u64,
    /// Who answered.
    pub by: String,
    /// When, UTC.
    pub at: String,
}

impl AnswerPart {
    /// The answers in the order of the procedure, the last one to each item with those before it; items
    /// nobody answered are there without one. After a reading or a trial comes why a step, or the
    /// protection, was left as it is.
    pub(super) fn all(visit: &Visit, procedure: &Procedure, steps: &[u32]) -> Vec<Self> {
        let mut parts = Vec::new();
        for (stage, item) in procedure.items() {
            let part = |key: &str, question: String, left_as_is: bool| {
                Self::of(visit, &stage.title, key, question, left_as_is)
            };
            match &item.kind {
                ItemKind::Confirm { .. } | ItemKind::Ask { .. } => {
                    parts.push(part(&item.key, item.text.clone(), false));
                }
                ItemKind::Prove { protection, .. } => {
                    let question = format!("{}, left as it is", protection.words());
                    parts.extend(Some(part(&item.key, question, true)).filter(Self::is_answered));
                }
                ItemKind::Read { output, moments } => {
                    let places =
                        steps.iter().flat_map(|step| moments.iter().map(move |m| (step, m)));
                    for (step, moment) in places {
                        let key = Procedure::left_key(&item.key, *step, *moment);
                        let question = format!(
                            "Step {step}, {}, {}, left as it is",
                            output.words(),
                            moment.words()
                        );
                        parts.extend(Some(part(&key, question, true)).filter(Self::is_answered));
                    }
                }
                ItemKind::Close => {}
            }
        }
        parts
    }

    fn is_answered(part: &Self) -> bool {
        part.entry.is_some()
    }

    fn of(visit: &Visit, stage: &str, key: &str, question: String, left_as_is: bool) -> Self {
        let mut given: Vec<(&LoggedEntry, &Confirmation)> = visit
            .counting()
            .filter_map(|logged| match &logged.entry {
                Entry::Confirmation(answer) if answer.item == key => Some((logged, answer)),
                _ => None,
            })
            .collect();
        let last = given.pop();
        Self {
            item: key.to_owned(),
            stage: stage.to_owned(),
            question,
            holds: last.and_then(|(_, answer)| answer.holds),
            text: last.and_then(|(_, answer)| answer.text.clone()),
            entry: last.map(|(logged, _)| logged.number),
            by: last.map(|(logged, _)| logged.by.clone()),
            at: last.map(|(logged, _)| logged.at.to_string()),
            left_as_is,
            before: given
                .into_iter()
                .map(|(logged, answer)| EarlierAnswerPart {
                    holds: answer.holds,
                    text: answer.text.clone(),
                    entry: logged.number,
                    by: logged.by.clone(),
                    at: logged.at.to_string(),
                })
                .collect(),
        }
    }

    /// The answers by the keys of their items, the last one to each, in the order in which they were
    /// given: for a visit whose procedure cannot be read any more.
    pub(super) fn by_key(visit: &Visit) -> Vec<Self> {
        let mut keys: Vec<&str> = Vec::new();
        for logged in visit.counting() {
            let Entry::Confirmation(answer) = &logged.entry else { continue };
            keys.retain(|key| *key != answer.item);
            keys.push(&answer.item);
        }
        let part = |key: &&str| Self::of(visit, "not known", key, (*key).to_owned(), false);
        keys.iter().map(part).collect()
    }
}
