use std::collections::HashSet;

use rayon::prelude::*;
use sha2::{Digest, Sha256};

use crate::error::{Error, Result};
use crate::uncertainty::Stream;

use super::draw::Draw;
use super::{Bank, Problem, ProblemKind, SetOrder, make};

/// A set of sheets, each different, without a repeated problem.
#[derive(Clone, Debug, PartialEq)]
pub struct ExerciseSet {
    order: SetOrder,
    sheets: Vec<ExerciseSheet>,
}

/// One sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct ExerciseSheet {
    /// Its number, from 1.
    pub number: u32,
    /// Its problems, in order.
    pub problems: Vec<Problem>,
}

/// Dice set aside for one sheet: the order of its kinds, and every question with its repeats.
const DICE_OF_SHEET: u32 = 1 << 16;
/// Other problems tried in place of one that is there already.
const REPEATS: u32 = 64;

impl ExerciseSet {
    /// Draws a set, on all processors; the same order gives the same set on any number of them.
    ///
    /// # Errors
    /// As [`SetOrder::check`]; `Inconsistent` when a kind has no other problem left.
    pub fn drawn(bank: &Bank, order: SetOrder) -> Result<Self> {
        order.check()?;
        let stream = Stream::new(order.seed);
        let kinds: Vec<Vec<ProblemKind>> =
            (0..order.class).map(|sheet| kinds_of(&stream, &order, sheet)).collect();
        let places: Vec<(u32, u32)> = (0..order.class)
            .flat_map(|sheet| (0..order.questions).map(move |question| (sheet, question)))
            .collect();
        let problem = |(sheet, question): (u32, u32), repeat: u32| {
            let kind = kinds[sheet as usize][question as usize];
            let dice = sheet * DICE_OF_SHEET + 1 + question * REPEATS + repeat;
            make::make(bank, &mut Draw::new(&stream, dice), kind, order.level)
        };
        let first: Vec<Result<Problem>> =
            places.par_iter().map(|place| problem(*place, 0)).collect();
        let mut known: HashSet<String> = HashSet::new();
        let mut sheets: Vec<ExerciseSheet> = (1..=order.class)
            .map(|number| ExerciseSheet { number, problems: Vec::new() })
            .collect();
        for (place, first) in places.iter().zip(first) {
            let mut drawn = first?;
            let mut repeat = 0;
            while !known.insert(drawn.fingerprint()) {
                repeat += 1;
                if repeat == REPEATS {
                    return Err(Error::inconsistent(format!(
                        "no problem of the kind {} is left that is not in the set already",
                        drawn.kind.key()
                    ))
                    .with_hint("ask for fewer sheets or questions, or another seed"));
                }
                drawn = problem(*place, repeat)?;
            }
            sheets[place.0 as usize].problems.push(drawn);
        }
        Ok(Self { order, sheets })
    }

    /// What was asked for.
    #[must_use]
    pub fn order(&self) -> SetOrder {
        self.order
    }

    /// The sheets, in order.
    #[must_use]
    pub fn sheets(&self) -> &[ExerciseSheet] {
        &self.sheets
    }

    /// A code over everything printed, on every sheet and on the key: sheets and key with the same
    /// code belong together.
    #[must_use]
    pub fn code(&self) -> String {
        let mut hash = Sha256::new();
        hash.update(self.order.name());
        for problem in self.sheets.iter().flat_map(|sheet| &sheet.problems) {
            hash.update(problem.fingerprint());
            hash.update(problem.answer.words());
        }
        let digits: Vec<String> =
            hash.finalize().iter().take(4).map(|byte| format!("{byte:02X}")).collect();
        format!("{}-{}", digits[..2].concat(), digits[2..].concat())
    }
}

/// The kinds on a sheet: those of the level in an order of its own, over again where there are more
/// questions than kinds.
fn kinds_of(stream: &Stream, order: &SetOrder, sheet: u32) -> Vec<ProblemKind> {
    let mut kinds = ProblemKind::of_level(order.level);
    Draw::new(stream, sheet * DICE_OF_SHEET).shuffle(&mut kinds);
    kinds.into_iter().cycle().take(order.questions as usize).collect()
}
