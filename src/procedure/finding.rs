use crate::assess::instrument::Connection;

use super::Bench;
use super::entry::Output;
use super::plan::FindingKind;

/// What the program knows about a question of the procedure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Whether it speaks against a "yes".
    pub is_against: bool,
    /// What it says, a sentence a line.
    pub lines: Vec<String>,
}

impl Finding {
    /// Looks it up.
    #[must_use]
    pub fn of(bench: &Bench, kind: FindingKind) -> Self {
        match kind {
            FindingKind::Certificate => certificate(bench),
            FindingKind::Category => category(bench),
            FindingKind::Verdict => verdict(bench),
        }
    }

    fn new(is_against: bool, line: String) -> Self {
        Self { is_against, lines: vec![line] }
    }
}

fn certificate(bench: &Bench) -> Finding {
    let name = bench.instrument().name();
    let Some(certificate) = &bench.instrument().sheet().certificate else {
        let line = format!(
            "{name} has no certificate in its data sheet: its accuracy would be taken on trust"
        );
        return Finding::new(true, line);
    };
    let due = certificate.due.map_or("no due day".to_owned(), |due| format!("due {due}"));
    let head = format!("{name}: certificate {} of {}, {due}", certificate.number, certificate.date);
    let against = bench.terms().today.and_then(|today| {
        if certificate.is_overdue(today) {
            Some(format!("{head}: overdue on {today}, it counts no more"))
        } else if certificate.date > today {
            Some(format!("{head}: dated after {today}; is the day right?"))
        } else {
            None
        }
    });
    match against {
        Some(line) => Finding::new(true, line),
        None => Finding::new(false, format!("{head}: it counts today")),
    }
}

fn category(bench: &Bench) -> Finding {
    let name = bench.instrument().name();
    match (&bench.instrument().sheet().category, bench.loop_rms_v()) {
        (None, _) => Finding::new(
            true,
            format!("the data sheet of {name} names no voltage category: look at the meter"),
        ),
        (Some(category), None) => Finding::new(
            false,
            format!(
                "{name} is made for {}; the voltage of this loop is not known here: look at the \
                 regulator's plate",
                category.words()
            ),
        ),
        (Some(category), Some(loop_rms_v)) if loop_rms_v > category.working_v => Finding::new(
            true,
            format!(
                "{name} is made for {}; with the field connected the loop has up to \
                 {loop_rms_v:.0} V to earth",
                category.words()
            ),
        ),
        (Some(category), Some(loop_rms_v)) => Finding::new(
            false,
            format!(
                "{name} is made for {}; with the field connected the loop has up to \
                 {loop_rms_v:.0} V to earth",
                category.words()
            ),
        ),
    }
}

fn verdict(bench: &Bench) -> Finding {
    let lines = bench
        .verdicts()
        .map(|verdict| {
            let connection = match verdict.connection {
                Connection::Shorted => Output::Shorted,
                Connection::Loaded => Output::Field,
            };
            format!("step {}, {}: {}", verdict.step.number, connection.words(), verdict.sentence())
        })
        .collect();
    Finding { is_against: !bench.unfit_steps(Output::Shorted).is_empty(), lines }
}
