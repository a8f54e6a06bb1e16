//! The worksheet: a visit on paper, to be filled in with a pencil in the vault.

use crate::assess::instrument::{Connection, StepCurrents, Suitability, Terms, Verdict};
use crate::description::Description;
use crate::meter::{Meter, Sheet};
use crate::procedure::entry::Output;
use crate::procedure::plan::{FindingKind, Item, ItemKind};
use crate::procedure::{Finding, Procedure, ProtectionTerms};
use crate::regulator::Step;

use super::CAUTIONS;
use super::paper::{Blank, Block, Cell, Column, Fact, Part, Table, Writing};
use super::survey_document::program;
use super::visit_record::{CAUTION_HEAD, display_span};
use super::wording::{plain_number, ratio_as_exact_percent};

/// One regulator's worksheet: what is known beforehand.
#[derive(Debug)]
pub struct Worksheet<'a> {
    /// The regulator.
    pub description: &'a Description,
    /// The currents that may flow.
    pub currents: &'a [StepCurrents],
    /// The meter it will be set with.
    pub meter: &'a Meter,
    /// Whether that meter may, step by step.
    pub verdicts: &'a [Verdict],
    /// What the verdicts were asked for.
    pub terms: &'a Terms,
    /// The procedure.
    pub procedure: &'a Procedure,
}

/// The worksheets of several regulators, each on sheets of its own.
#[must_use]
pub fn worksheet_writing(worksheets: &[Worksheet<'_>]) -> Writing {
    Writing {
        title: "Calibration worksheet".into(),
        program: program(),
        at: None,
        parts: worksheets.iter().map(Worksheet::part).collect(),
    }
}

impl Worksheet<'_> {
    fn part(&self) -> Part {
        let title = &self.description.title;
        let invented = if self.description.is_invented { " (invented example)" } else { "" };
        let mut blocks = vec![Block::Title(format!("Worksheet: {title}{invented}"))];
        blocks.push(Block::Facts(self.facts()));
        blocks.extend(self.warnings());
        blocks.push(Block::CautionInBrief {
            head: CAUTION_HEAD.into(),
            sentences: CAUTIONS.map(String::from).to_vec(),
        });
        blocks.extend(self.stages());
        blocks.push(Block::Signatures(vec![
            "Done by: name, signature, day, time".into(),
            "Second person: name, signature".into(),
        ]));
        Part {
            head_left: title.clone(),
            head_right: format!("set with {}", self.meter.name),
            blocks,
            on_one_sheet: true,
            on_own_leaf: false,
        }
    }

    /// The stages in order: what is ticked and answered in two lanes, the table of the steps across.
    fn stages(&self) -> Vec<Block> {
        let mut blocks = Vec::new();
        let mut lanes = Vec::new();
        let mut has_table = false;
        for stage in &self.procedure.stages {
            lanes.push(Block::Subheading(stage.title.clone()));
            for item in &stage.items {
                let is_read = matches!(item.kind, ItemKind::Read { .. });
                if is_read && !has_table {
                    has_table = true;
                    blocks.push(Block::Lanes(std::mem::take(&mut lanes)));
                    blocks.push(Block::Table(self.steps(&with_cautions(item))));
                } else {
                    lanes.extend(self.item(item));
                }
            }
        }
        blocks.push(Block::Lanes(lanes));
        blocks
    }

    fn facts(&self) -> Vec<Fact> {
        let sheet = self.meter.sheet.as_ref();
        let mut facts: Vec<Fact> =
            ["Regulator", "Circuit", "Supply V, tap"].into_iter().map(Fact::blank).collect();
        facts.push(match self.terms.ambient_degc {
            Some(degc) => Fact::new("Air", format!("{} °C", plain_number(degc))),
            None => Fact::blank("Air °C"),
        });
        facts.push(Fact::blank("Meter serial"));
        facts.push(match sheet.and_then(|sheet| sheet.certificate.as_ref()) {
            None => Fact::blank("Certificate"),
            Some(certificate) => {
                let due = certificate.due.map_or("no due day".into(), |due| format!("due {due}"));
                Fact::new("Certificate", format!("{}, {due}", certificate.number))
            }
        });
        facts.push(Fact::new("Meter", self.meter.name.clone()));
        let category = sheet.and_then(|sheet| sheet.category.as_ref());
        facts.push(Fact::known(
            "Made for",
            category.map(|category| category.words()),
            "look at it",
        ));
        let loop_rms_v = self.currents.iter().filter_map(StepCurrents::loop_rms_v);
        facts.push(Fact::known(
            "Loop voltage",
            loop_rms_v.reduce(f64::max).map(|v| format!("field: up to {v:.0} V")),
            "see its plate",
        ));
        facts
    }

    /// Where the meter must not be, and steps it may not set.
    fn warnings(&self) -> Vec<Block> {
        let mut blocks: Vec<Block> = self.danger().into_iter().collect();
        if !self.meter.sheet.as_ref().is_some_and(Sheet::states_accuracy) {
            blocks.push(Block::Strong(format!(
                "NO DATA SHEET of {}: its accuracy is not counted; what it must show is the bare band.",
                self.meter.name
            )));
        }
        for connection in [Connection::Shorted, Connection::Loaded] {
            let steps: Vec<String> = self
                .verdicts
                .iter()
                .filter(|verdict| {
                    verdict.connection == connection && verdict.suitability == Suitability::NotFit
                })
                .map(|verdict| verdict.step.number.to_string())
                .collect();
            if !steps.is_empty() {
                blocks.push(Block::Strong(format!(
                    "NOT FIT, {}: this meter cannot prove the band of step {}. Take another meter.",
                    connection.words(),
                    steps.join(", ")
                )));
            }
        }
        blocks
    }

    /// The clamp against the voltage of the loop.
    fn danger(&self) -> Option<Block> {
        let at = |verdict: &&Verdict| verdict.danger().is_some();
        let found: Vec<&Verdict> = self.verdicts.iter().filter(at).collect();
        let first = found.first()?;
        let steps: Vec<String> =
            found.iter().map(|verdict| verdict.step.number.to_string()).collect();
        Some(Block::Strong(format!(
            "DANGER, {}, step {}: {}. Take another clamp.",
            first.connection.words(),
            steps.join(", "),
            first.danger()?.text
        )))
    }

    fn item(&self, item: &Item) -> Vec<Block> {
        let words = with_cautions(item);
        let words = match item.shows() {
            Some(FindingKind::Verdict) if self.is_not_fit(Connection::Shorted) => {
                return vec![Block::Strong(
                    "NOT FIT: this meter may not set this regulator.".into(),
                )];
            }
            Some(FindingKind::Fitting) => format!("{words} {}.", self.fitting()),
            _ => words,
        };
        match &item.kind {
            ItemKind::Confirm { .. } => vec![Block::Checks(vec![words])],
            ItemKind::Ask { .. } => vec![Block::Lines { head: words, count: 1 }],
            // The numbers go into the table of the steps.
            ItemKind::Read { .. } => vec![Block::Checks(vec![words])],
            ItemKind::Prove { .. } => self.proof(item, words),
            ItemKind::Close => vec![Block::Paragraph(words)],
        }
    }

    /// How the meter is fitted, and what it is set to.
    fn fitting(&self) -> String {
        match &self.meter.sheet {
            Some(sheet) => Finding::fitting(sheet),
            None => Finding::fitting(&Sheet::ideal(self.meter.detector)),
        }
    }

    /// Whether there is a step the meter may not set with this connection.
    fn is_not_fit(&self, connection: Connection) -> bool {
        self.verdicts.iter().any(|verdict| {
            verdict.connection == connection && verdict.suitability == Suitability::NotFit
        })
    }

    fn verdict(&self, step: u32, output: Output) -> Option<&Verdict> {
        self.verdicts.iter().find(|verdict| {
            verdict.step.number == step && verdict.connection == output.connection()
        })
    }

    /// The table of the steps; its caption says how they are read.
    fn steps(&self, words: &str) -> Table {
        let numbers = |step: &Step, output: Output| match self.verdict(step.number, output) {
            None => Cell::Absent("not known".into()),
            Some(verdict) if verdict.suitability == Suitability::NotFit => {
                Cell::Strong("not fit".into())
            }
            Some(verdict) => Cell::known(
                verdict.set_band.map(|set_band| display_span(set_band.low_a, set_band.high_a)),
                "none",
            ),
        };
        let row = |step: &Step| {
            vec![
                Cell::Strong(step.number.to_string()),
                Cell::text(format!("{:.2}", step.nominal.a())),
                Cell::text(format!("{:.2} to {:.2}", step.band.low_a(), step.band.high_a())),
                numbers(step, Output::Shorted),
                Cell::Blank,
                Cell::Blank,
                numbers(step, Output::Field),
                Cell::Blank,
            ]
        };
        // The confidence stands where the numbers do: the caption is what has to be done.
        let must_show =
            format!("must show ({})", ratio_as_exact_percent(self.terms.conformance_probability))
                // A line is not broken before the percent sign.
                .replace(" %", "\u{a0}%");
        Table::new(
            words,
            vec![
                Column::words("step"),
                Column::numbers("nominal A"),
                Column::numbers("band A"),
                Column::numbers(&format!("{must_show}, shorted A")),
                Column::words("as found A"),
                Column::words("as left A"),
                Column::numbers(&format!("{must_show}, field A")),
                Column::words("field A"),
            ],
            self.description.steps.steps().iter().map(row).collect(),
        )
        .for_pencil()
    }

    /// What to do, what is allowed and by which source, and one line to fill in.
    fn proof(&self, item: &Item, words: String) -> Vec<Block> {
        let ItemKind::Prove { output, .. } = &item.kind else {
            return vec![Block::Paragraph(words)];
        };
        let terms = ProtectionTerms::of(&item.kind, self.description).unwrap_or_default();
        let ProtectionTerms { set_rms_a, set_within_ratio, shortest_s, longest_s, source, .. } =
            terms;
        let top = self.description.steps.top();
        let gain = self.verdict(top.number, *output).and_then(|verdict| verdict.gain);
        let shown = set_rms_a.zip(gain).map(|(set_a, gain)| gain.middle_ratio() * set_a);
        let mut allowed = match (set_rms_a, shown) {
            (Some(set_a), Some(shown_a)) => {
                format!("set-point {set_a:.2} A true RMS, shown about {shown_a:.2} A")
            }
            (Some(set_a), None) => format!("set-point {set_a:.2} A true RMS"),
            (None, _) => "set-point by the manual".to_owned(),
        };
        if let Some(within) = set_within_ratio {
            allowed += &format!(", within {}", ratio_as_exact_percent(within));
        }
        allowed += &match (shortest_s, longest_s) {
            (Some(shortest_s), Some(longest_s)) => {
                format!("; acts in {} to {} s", plain_number(shortest_s), plain_number(longest_s))
            }
            (None, Some(longest_s)) => format!("; acts within {} s", plain_number(longest_s)),
            (Some(shortest_s), None) => format!("; acts after {} s", plain_number(shortest_s)),
            (None, None) => "; time by the manual".to_owned(),
        };
        let source = source.as_deref().unwrap_or("no source given");
        vec![
            Block::Paragraph(words),
            Block::Strong(format!("{}: {allowed}.", capital(output.words()))),
            Block::Paragraph(format!("Source: {source}.")),
            Block::FillIn(vec![
                Blank::Words("At".into()),
                Blank::Gap,
                Blank::Words("A, after".into()),
                Blank::Gap,
                Blank::Words("s".into()),
                Blank::Tick("acted".into()),
                Blank::Tick("did not".into()),
            ]),
        ]
    }
}

/// What is asked in a line, or whole with the cautions that belong right there.
pub(super) fn with_cautions(item: &Item) -> String {
    if let Some(short) = &item.short {
        return short.clone();
    }
    let mut words = item.text.clone();
    for caution in &item.cautions {
        words.push_str(" CAUTION: ");
        words.push_str(caution);
    }
    words
}

/// The words with a capital at their beginning.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
