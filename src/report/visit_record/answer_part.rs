use schemars::JsonSchema;
use serde::Serialize;

use crate::procedure::plan::ItemKind;
use crate::procedure::{Entry, Procedure, Visit};

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
}

impl AnswerPart {
    /// The answers in the order of the procedure, the last one to each item; items nobody answered
    /// are there without one.
    pub(super) fn all(visit: &Visit, procedure: &Procedure) -> Vec<Self> {
        let questions = procedure.items().filter(|(_, item)| {
            matches!(item.kind, ItemKind::Confirm { .. } | ItemKind::Ask { .. })
        });
        questions
            .map(|(stage, item)| {
                let logged = visit.counting().rev().find(|logged| match &logged.entry {
                    Entry::Confirmation(answer) => answer.item == item.key,
                    _ => false,
                });
                let answer = visit.confirmation(&item.key);
                Self {
                    item: item.key.clone(),
                    stage: stage.title.clone(),
                    question: item.text.clone(),
                    holds: answer.and_then(|answer| answer.holds),
                    text: answer.and_then(|answer| answer.text.clone()),
                    entry: logged.map(|logged| logged.number),
                    by: logged.map(|logged| logged.by.clone()),
                    at: logged.map(|logged| logged.at.to_string()),
                }
            })
            .collect()
    }

    /// The answers by the keys of their items, the last one to each, in the order in which they were
    /// given: for a visit whose procedure cannot be read any more.
    pub(super) fn by_key(visit: &Visit) -> Vec<Self> {
        let mut parts: Vec<Self> = Vec::new();
        for logged in visit.counting() {
            let Entry::Confirmation(answer) = &logged.entry else { continue };
            parts.retain(|part| part.item != answer.item);
            parts.push(Self {
                item: answer.item.clone(),
                stage: "not known".into(),
                question: answer.item.clone(),
                holds: answer.holds,
                text: answer.text.clone(),
                entry: Some(logged.number),
                by: Some(logged.by.clone()),
                at: Some(logged.at.to_string()),
            });
        }
        parts
    }
}
