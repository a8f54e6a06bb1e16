//! The worksheet: a visit on paper, to be filled in with a pencil in the vault.

use crate::assess::instrument::{Connection, StepCurrents, Suitability, Terms, Verdict};
use crate::description::Description;
use crate::meter::Meter;
use crate::procedure::Procedure;
use crate::procedure::entry::Output;
use crate::procedure::plan::{Item, ItemKind};
use crate::regulator::Step;

use super::CAUTIONS;
use super::paper::{Block, Cell, Column, Fact, Part, Table, Writing};
use super::survey_document::program;
use super::visit_record::{caution, display_number};
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
        let mut blocks = vec![Block::Title(format!("Worksheet: {title}"))];
        if self.description.is_invented {
            blocks.push(Block::Strong(
                "An invented example: place, equipment and numbers are made up.".into(),
            ));
        }
        blocks.push(Block::Facts(self.facts()));
        blocks.extend(self.warnings());
        blocks.push(caution(&CAUTIONS));
        let mut has_table = false;
        for stage in &self.procedure.stages {
            blocks.push(Block::Subheading(stage.title.clone()));
            let mut checks: Vec<String> = Vec::new();
            for item in &stage.items {
                if let ItemKind::Confirm { .. } = item.kind {
                    checks.push(with_cautions(item));
                    continue;
                }
                if !checks.is_empty() {
                    blocks.push(Block::Checks(std::mem::take(&mut checks)));
                }
                blocks.extend(self.item(item, &mut has_table));
            }
            if !checks.is_empty() {
                blocks.push(Block::Checks(checks));
            }
        }
        blocks.push(Block::Signatures(vec![
            "Done by: name, signature, day, time".into(),
            "Second person: name, signature".into(),
        ]));
        Part {
            head_left: title.clone(),
            head_right: format!("set with {}", self.meter.name),
            blocks,
            on_one_sheet: true,
        }
    }

    fn facts(&self) -> Vec<Fact> {
        let sheet = self.meter.sheet.as_ref();
        let mut facts =
            vec!["Regulator", "Circuit", "Day, time", "Done by", "Second person", "Supply V, tap"]
                .into_iter()
                .map(Fact::blank)
                .collect::<Vec<_>>();
        facts.push(match self.terms.ambient_degc {
            Some(degc) => Fact::new("Temperature", format!("{} °C", plain_number(degc))),
            None => Fact::blank("Temperature °C"),
        });
        facts.push(Fact::blank("Meter serial"));
        facts.push(Fact::new("Meter", self.meter.name.clone()));
        facts.push(match sheet.and_then(|sheet| sheet.certificate.as_ref()) {
            None => Fact::blank("Certificate"),
            Some(certificate) => {
                let due = certificate.due.map_or("no due day".into(), |due| format!("due {due}"));
                Fact::new("Certificate", format!("{}, {due}", certificate.number))
            }
        });
        let category = sheet.and_then(|sheet| sheet.category.as_ref());
        facts.push(Fact::known(
            "Made for",
            category.map(|category| category.words()),
            "not in its sheet: look",
        ));
        let loop_rms_v = self.currents.iter().filter_map(StepCurrents::loop_rms_v);
        facts.push(Fact::known(
            "Loop voltage",
            loop_rms_v.reduce(f64::max).map(|v| format!("up to {v:.0} V, field connected")),
            "not known: see its plate",
        ));
        facts
    }

    /// Steps the meter may not set.
    fn warnings(&self) -> Vec<Block> {
        let mut blocks = Vec::new();
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

    fn item(&self, item: &Item, has_table: &mut bool) -> Vec<Block> {
        let words = with_cautions(item);
        match &item.kind {
            ItemKind::Confirm { .. } => Vec::new(),
            ItemKind::Ask { .. } => vec![Block::Lines { head: words, count: 1 }],
            ItemKind::Read { output, .. } => {
                let mut blocks = vec![Block::Paragraph(words)];
                if *has_table {
                    blocks.push(Block::Paragraph(format!(
                        "Write the numbers into the table of the steps, {}.",
                        output.words()
                    )));
                } else {
                    blocks.push(Block::Table(self.steps()));
                    *has_table = true;
                }
                blocks
            }
            ItemKind::Prove { .. } => vec![Block::Paragraph(words), self.proof(item)],
            ItemKind::Close => vec![Block::Paragraph(words)],
        }
    }

    fn verdict(&self, step: u32, output: Output) -> Option<&Verdict> {
        self.verdicts.iter().find(|verdict| {
            verdict.step.number == step && verdict.connection == output.connection()
        })
    }

    fn steps(&self) -> Table {
        let must_show = |step: &Step, output: Output| match self.verdict(step.number, output) {
            None => Cell::Absent("not known".into()),
            Some(verdict) if verdict.suitability == Suitability::NotFit => {
                Cell::Strong("not fit".into())
            }
            Some(verdict) => Cell::known(
                verdict.set_band.map(|set_band| {
                    let (low, high) =
                        (display_number(set_band.low_a), display_number(set_band.high_a));
                    let width = low.len().max(high.len());
                    format!("{low:0<width$} to {high:0<width$}")
                }),
                "none",
            ),
        };
        let row = |step: &Step| {
            vec![
                Cell::Strong(step.number.to_string()),
                Cell::text(format!("{:.2}", step.nominal.a())),
                Cell::text(format!("{:.2} to {:.2}", step.band.low_a(), step.band.high_a())),
                must_show(step, Output::Shorted),
                Cell::Blank,
                Cell::Blank,
                must_show(step, Output::Field),
                Cell::Blank,
            ]
        };
        Table::new(
            format!(
                "Steps: this meter must show the numbers given, for {} confidence",
                ratio_as_exact_percent(self.terms.conformance_probability)
            ),
            vec![
                Column::words("step"),
                Column::numbers("nominal A"),
                Column::numbers("band A"),
                Column::numbers("must show, shorted A"),
                Column::words("as found A"),
                Column::words("as left A"),
                Column::numbers("must show, field A"),
                Column::words("field A"),
            ],
            self.description.steps.steps().iter().map(row).collect(),
        )
        .for_pencil()
    }

    fn proof(&self, item: &Item) -> Block {
        let ItemKind::Prove { protection, output, set_ratio, shortest_s, longest_s, source } =
            &item.kind
        else {
            return Block::Paragraph(item.text.clone());
        };
        let top = self.description.steps.top();
        let set_rms_a = set_ratio.map(|ratio| ratio * top.nominal.a());
        let gain = self.verdict(top.number, *output).and_then(|verdict| verdict.gain);
        let shown = set_rms_a.zip(gain).map(|(set_a, gain)| gain.middle_ratio() * set_a);
        let seconds = |s: Option<f64>| s.map_or("open".to_owned(), plain_number);
        let allowed = (shortest_s.is_some() || longest_s.is_some())
            .then(|| format!("{} to {}", seconds(*shortest_s), seconds(*longest_s)));
        let source = source.as_deref().unwrap_or("no source given");
        Block::Table(
            Table::new(
                format!("Set-point and times: {source}"),
                vec![
                    Column::words("protection"),
                    Column::numbers("set-point, true RMS A"),
                    Column::numbers("meter shows about A"),
                    Column::numbers("allowed s"),
                    Column::words("shown when it acted A"),
                    Column::words("after s"),
                    Column::words("acted? yes / no"),
                ],
                vec![vec![
                    Cell::text(format!("{}, {}", protection.words(), output.words())),
                    Cell::known(set_rms_a.map(|a| format!("{a:.2}")), "by the manual"),
                    Cell::known(shown.map(|a| format!("{a:.2}")), "not known"),
                    Cell::known(allowed, "by the manual"),
                    Cell::Blank,
                    Cell::Blank,
                    Cell::Blank,
                ]],
            )
            .for_pencil(),
        )
    }
}

/// What is asked in a line, or whole with the cautions that belong right there.
fn with_cautions(item: &Item) -> String {
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
