//! What comes next: a pure function of the procedure and of what is entered.

use crate::procedure::Visit;
use crate::procedure::entry::{Moment, Output};
use crate::regulator::StepTable;

use super::{Item, ItemKind, Next, Procedure, Stage};

impl Procedure {
    /// What comes next in a visit: the first item that is not done.
    ///
    /// A question answered "no" is done unless a later item needs it; then everything waits for it.
    /// A step is done when its last reading is accepted, or when it was left as it is with a reason; a
    /// protection when its last trial leaves nothing to be wished, or when it was left with a reason.
    #[must_use]
    pub fn next<'a>(&'a self, visit: &'a Visit, steps: &StepTable) -> Next<'a> {
        if visit.closing().is_some() {
            return Next::Finished;
        }
        let next = self.items().find_map(|(stage, item)| self.open(stage, item, visit, steps));
        next.unwrap_or(Next::Finished)
    }

    /// The key under which leaving a step as it is is written down.
    #[must_use]
    pub fn left_key(item: &str, step: u32, moment: Moment) -> String {
        format!("{item}:{step}:{}", moment.key())
    }

    fn open<'a>(
        &'a self,
        stage: &'a Stage,
        item: &'a Item,
        visit: &'a Visit,
        steps: &StepTable,
    ) -> Option<Next<'a>> {
        match &item.kind {
            ItemKind::Confirm { .. } => {
                let answer = visit.confirmation(&item.key);
                let is_no = answer.is_some_and(|answer| answer.holds != Some(true));
                match answer {
                    Some(_) if is_no && self.is_needed(&item.key) => {
                        Some(Next::Answer { stage, item, refused: answer })
                    }
                    Some(_) => None,
                    None => Some(Next::Answer { stage, item, refused: None }),
                }
            }
            ItemKind::Ask { .. } => visit
                .confirmation(&item.key)
                .is_none()
                .then_some(Next::Answer { stage, item, refused: None }),
            ItemKind::Read { output, moments } => steps.steps().iter().find_map(|step| {
                moments.iter().find_map(|moment| {
                    open_reading(stage, item, visit, step.number, *moment, *output)
                })
            }),
            ItemKind::Prove { protection, .. } => {
                let last = visit.proofs(*protection).last();
                let is_good = last.is_some_and(|proof| proof.shortfalls().is_empty());
                let is_left = visit.confirmation(&item.key).is_some();
                (!is_good && !is_left).then_some(Next::Prove { stage, item })
            }
            ItemKind::Close => Some(Next::Close { stage, item }),
        }
    }
}

fn open_reading<'a>(
    stage: &'a Stage,
    item: &'a Item,
    visit: &'a Visit,
    step: u32,
    moment: Moment,
    output: Output,
) -> Option<Next<'a>> {
    if visit.confirmation(&Procedure::left_key(&item.key, step, moment)).is_some() {
        return None;
    }
    let read = visit.reading(step, moment, output);
    let last = match (moment, read) {
        (Moment::AsFound, Some(_)) => return None,
        (Moment::AsLeft, Some(reading)) if reading.is_accepted() => return None,
        (Moment::AsLeft, None) => visit.reading(step, Moment::AsFound, output),
        (_, read) => read,
    };
    Some(Next::Read { stage, item, step, moment, output, last })
}
