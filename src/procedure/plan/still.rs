//! What must still be so when a visit goes on: a pure function of the procedure and of what is entered.

use crate::procedure::{Entry, LoggedEntry, Visit};
use crate::regulator::StepTable;

use super::{Item, ItemKind, Procedure};

impl Procedure {
    /// The items answered so far that must still hold, in the order of the procedure: those with an
    /// `until` whose item is not done yet.
    ///
    /// A procedure that says `until` nowhere gets what the next item needs, directly or through others;
    /// of the items that connect the output, the last one answered.
    #[must_use]
    pub fn must_still_hold<'a>(&'a self, visit: &Visit, steps: &StepTable) -> Vec<&'a Item> {
        if visit.closing().is_some() {
            return Vec::new();
        }
        let all: Vec<&Item> = self.items().map(|(_, item)| item).collect();
        let holds = |item: &Item| match item.kind {
            ItemKind::Ask { .. } => visit.confirmation(&item.key).is_some(),
            _ => visit.confirmation(&item.key).is_some_and(|answer| answer.holds == Some(true)),
        };
        if all.iter().any(|item| item.until.is_some()) {
            let is_over = |until: &String| self.item(until).is_some_and(holds);
            let wanted = |item: &&Item| {
                item.until.as_ref().is_some_and(|until| !is_over(until)) && holds(item)
            };
            return all.into_iter().filter(wanted).collect();
        }
        let mut needed: Vec<&str> = Vec::new();
        let next = self.next(visit, steps);
        let mut open: Vec<&Item> = next.item().into_iter().collect();
        while let Some(item) = open.pop() {
            for key in &item.after {
                if !needed.contains(&key.as_str()) {
                    needed.push(key);
                    open.extend(self.item(key));
                }
            }
        }
        let connects = |item: &Item| {
            matches!(item.kind, ItemKind::Confirm { connects: Some(_), .. }) && holds(item)
        };
        let connected = all.iter().rev().find(|item| connects(item)).map(|item| item.key.as_str());
        let is_now = |item: &&Item| {
            needed.contains(&item.key.as_str())
                && holds(item)
                && (!connects(item) || connected == Some(item.key.as_str()))
        };
        all.into_iter().filter(is_now).collect()
    }
}

/// The entry with the last answer to an item.
pub(in crate::procedure) fn last_answer<'a>(
    visit: &'a Visit,
    item: &str,
) -> Option<&'a LoggedEntry> {
    visit.counting().rev().find(|logged| match &logged.entry {
        Entry::Confirmation(answer) => answer.item == item,
        _ => false,
    })
}
