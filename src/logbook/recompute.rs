use std::collections::BTreeSet;

use serde_json::{Map, Value};

use crate::error::{Error, Result};
use crate::procedure::entry::Judgement;
use crate::procedure::{Bench, Visit};

use super::{Differing, Logbook, Recomputation};

/// Relative difference below which two numbers are the same: another processor may round the last
/// bits of a long computation the other way.
const SAME_RATIO: f64 = 1e-9;

impl Logbook {
    /// Judges every reading that counts again, from what its visit was opened with, and compares.
    ///
    /// # Errors
    /// `Inconsistent` when there is no such visit; `Io` when the logbook cannot be read. A visit that
    /// can no longer be worked with is no error but in the result.
    pub fn recompute(&self, visit: Option<u64>) -> Result<Recomputation> {
        let numbers = match visit {
            Some(number) => vec![number],
            None => self.visits()?.into_iter().map(|row| row.number).collect(),
        };
        let mut found = Recomputation::default();
        for number in numbers {
            let visit = self.visit(number)?;
            if let Err(error) = judged_again(&visit, &mut found) {
                found.failed.push((number, error.to_string()));
            }
        }
        Ok(found)
    }
}

fn judged_again(visit: &Visit, found: &mut Recomputation) -> Result<()> {
    let mut bench = None;
    for (logged, reading) in visit.readings() {
        let Some(stored) = &reading.judgement else {
            found.unjudged += 1;
            continue;
        };
        if bench.is_none() {
            bench = Some(Bench::of(visit.opening())?);
        }
        let Some(bench) = &bench else { continue };
        let now = bench.judge(reading.step, reading.output, reading.shown_a)?;
        let (stored, now) = (fields(stored)?, fields(&now)?);
        let names: BTreeSet<&String> = stored.keys().chain(now.keys()).collect();
        let before = found.differing.len();
        for name in names {
            let (was, is) = (stored.get(name), now.get(name));
            if !same(was, is) {
                found.differing.push(Differing {
                    visit: visit.number(),
                    entry: logged.number,
                    program: logged.program.clone(),
                    field: name.clone(),
                    stored: was.map(Value::to_string),
                    now: is.map(Value::to_string),
                });
            }
        }
        found.same += u64::from(found.differing.len() == before);
    }
    Ok(())
}

fn fields(judgement: &Judgement) -> Result<Map<String, Value>> {
    match serde_json::to_value(judgement) {
        Ok(Value::Object(fields)) => Ok(fields),
        _ => Err(Error::inconsistent("a judgement cannot be written down")),
    }
}

fn same(was: Option<&Value>, is: Option<&Value>) -> bool {
    match (was.and_then(Value::as_f64), is.and_then(Value::as_f64)) {
        (Some(was), Some(is)) => (was - is).abs() <= SAME_RATIO * was.abs().max(is.abs()),
        _ => was == is,
    }
}
